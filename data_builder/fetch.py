"""Getting a dataset's official file, from its publisher or from a copy at hand.

pooch loads and checks the file. Where the publisher gives no hash, that of the first load is
noted beside the file (``NAME.sha256``, as sha256sum writes it) and must be met ever after. A load
that is interrupted leaves the folder ``NAME.loading`` and goes on there if the server still has
the same version of the file (If-Range, RFC 9110 section 13.1.5), else anew.
"""

from __future__ import annotations

import http.client
import shutil
import urllib.error
import urllib.parse
import urllib.request
import zipfile
from collections.abc import Callable, Mapping
from http import HTTPStatus
from pathlib import Path, PurePosixPath
from typing import Any

from nutricheck.atomic import replacing, write_whole
from nutricheck.errors import SourceError, shorten

from .sources import sources

__all__ = ["fetch", "listing"]

_CHUNK_BYTES = 1 << 20
_TELL_EACH_BYTES = 20 << 20
_TIMEOUT_S = 60.0
_BUILDER_EXTRA = (
    "getting a dataset needs pooch, which does not come with nutricheck: "
    'pip install ".[builder]" in the folder of nutricheck installs it'
)


def fetch(
    dataset: str,
    folder: Path,
    *,
    release: str = "",
    local: Path | None = None,
    progress: Callable[[str], None],
) -> Path:
    """Load a dataset's file into the folder, or check a copy of it and put that there.

    Parameters
    ----------
    dataset : str
        Its key in sources.toml.
    folder : Path
        Where the file goes.
    release : str, optional
        Date of the release; left out: the one that sources.toml names.
    local : Path, optional
        A copy of the file, used in place of the network.
    progress : callable
        Told in a line of text how far the load is.

    Returns
    -------
    Path
        The file.

    Raises
    ------
    SourceError
        If the dataset is unknown, cannot be loaded, or has another hash than before; or if pooch
        is not installed.
    """
    try:
        import pooch  # type: ignore[import-untyped]  # pooch 1.9 has no types
    except ImportError:
        raise SourceError(_BUILDER_EXTRA) from None

    known = {key: entry for key, entry in sources().items() if "url" in entry}
    if dataset not in known:
        raise SourceError(f"no dataset {shorten(dataset)} can be got; known: {', '.join(known)}")
    entry = known[dataset]
    release = urllib.parse.quote(release, safe="") or entry.get("release", "")
    url = entry["url"].format(release=release)
    path = folder / PurePosixPath(url).name
    note = path.with_name(f"{path.name}.sha256")
    expected = _noted(note)
    if local is not None and not local.is_file():
        raise SourceError(f"{local}: no such file")
    pooch.get_logger().setLevel("WARNING")  # progress is told here
    if local is not None:
        found = pooch.file_hash(str(local))
        if expected and found != expected:
            raise SourceError(
                f"{local}: SHA-256 is {found}, expected {expected} as {note.name} notes"
            )
        _check_zip(local, str(local))
        folder.mkdir(parents=True, exist_ok=True)
        with replacing(path) as part:
            shutil.copyfile(local, part)
    elif not path.exists() or (expected and pooch.file_hash(str(path)) != expected):
        _load(url, path, expected, entry["page"], progress)
    sha256 = pooch.file_hash(str(path))
    if not expected:
        write_whole(note, f"{sha256}  {path.name}\n")
    progress(f"SHA-256 {sha256}")
    return path


def listing() -> str:
    """The datasets of sources.toml in words."""
    lines = []
    for key, entry in sources().items():
        steps = ["get"] if "url" in entry else []
        if "build" in entry:
            steps.append(f"build {entry['build']}")
        lines += [
            f"{key} ({', '.join(steps)})" if steps else key,
            f"  {entry['title']}" + (f", {entry['release']}" if "release" in entry else ""),
            f"  {entry['publisher']}; {entry['licence']}",
            f"  {entry.get('from') or entry['page']}",
        ]
    return "\n".join(lines) + "\n"


def _noted(note: Path) -> str | None:
    if not note.exists():
        return None
    sha256 = note.read_text(encoding="utf-8").split(" ")[0].strip()
    if len(sha256) != 64:
        raise SourceError(f"{note}: expected a SHA-256, found {shorten(sha256)}; delete the file")
    return sha256


def _first(error: Exception) -> str:
    return shorten(str(error).splitlines()[0] if str(error) else type(error).__name__)


def _load(
    url: str, path: Path, expected: str | None, page: str, progress: Callable[[str], None]
) -> None:
    """Load the file in a folder of its own, which holds pooch's temporary files too."""
    import pooch

    loading = path.with_name(f"{path.name}.loading")
    begun = loading / "begun"
    loaded = loading / path.name
    try:
        pooch.retrieve(
            url,
            known_hash=f"sha256:{expected}" if expected else None,
            fname=path.name,
            path=loading,
            downloader=_Resuming(begun, progress),
        )
    except ValueError as error:  # pooch's word for a wrong hash
        shutil.rmtree(loading)
        raise SourceError(
            f"{url}: SHA-256 is not {expected} as {path.name}.sha256 notes; the publisher changed "
            f"the file, or it was altered. If it was changed, delete {path.name}.sha256 "
            f"({_first(error)})"
        ) from None
    except (OSError, http.client.HTTPException) as error:
        if not begun.exists():
            shutil.rmtree(loading, ignore_errors=True)
        raise SourceError(
            f"{url}: cannot be loaded ({_first(error)}); look at {page}, or use --local with a copy"
        ) from None
    try:
        _check_zip(loaded, url)
        loaded.replace(path)
    finally:
        shutil.rmtree(loading)


def _check_zip(path: Path, place: str) -> None:
    if not zipfile.is_zipfile(path):
        with path.open("rb") as file:
            begins = file.read(60).decode("utf-8", "replace")
        raise SourceError(
            f"{place}: expected a zip, found a file that begins with {shorten(begins)}; "
            "nothing was changed"
        )


def _version(headers: Mapping[str, str]) -> str:
    """By what the server tells this version of the file from others; "" where it does not."""
    tag = headers.get("ETag", "")
    return tag if tag.startswith('"') else headers.get("Last-Modified", "")  # W/ is too weak


class _Resuming:
    """Loads into the file ``begun`` and goes on there if it is there already.

    Beside it stands the ``version`` that the server names; without one nothing goes on.
    """

    def __init__(self, begun: Path, progress: Callable[[str], None]) -> None:
        self._begun = begun
        self._version = begun.with_name("version")
        self._progress = progress

    def __call__(self, url: str, output_file: Any, pooch: Any) -> None:
        version = self._version.read_text(encoding="utf-8") if self._version.exists() else ""
        begun = self._begun.stat().st_size if version and self._begun.exists() else 0
        request = urllib.request.Request(url)
        if begun:
            request.add_header("Range", f"bytes={begun}-")
            request.add_header("If-Range", version)
        try:
            answer = urllib.request.urlopen(request, timeout=_TIMEOUT_S)
        except urllib.error.HTTPError as error:
            error.close()
            if not (begun and error.code == HTTPStatus.REQUESTED_RANGE_NOT_SATISFIABLE):
                raise
            answer = None  # nothing is left to load
        if answer is not None:
            with answer:
                goes_on = answer.status == HTTPStatus.PARTIAL_CONTENT
                if not goes_on:
                    self._begun.unlink(missing_ok=True)  # of another version
                    self._version.write_text(_version(answer.headers), encoding="utf-8")
                self._load(answer, begun if goes_on else 0)
        self._begun.replace(output_file)

    def _load(self, answer: Any, begun: int) -> None:
        whole = begun + answer.length if answer.length is not None else None
        done = reported = begun
        with self._begun.open("ab" if begun else "wb") as file:
            while chunk := answer.read(_CHUNK_BYTES):
                file.write(chunk)
                done += len(chunk)
                if done - reported >= _TELL_EACH_BYTES:
                    reported = done
                    of = f" of {whole / 1e6:,.0f}" if whole else ""
                    self._progress(f"loaded {done / 1e6:,.0f}{of} MB")
        if whole is not None and done != whole:
            raise OSError(f"broke off after {done:,} of {whole:,} bytes; call again to go on")
