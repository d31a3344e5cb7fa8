"""Getting a dataset: from a server on this machine, from a copy, going on where it broke off."""

import hashlib
import http.server
import io
import random
import threading
import zipfile
from typing import ClassVar

import pytest

from data_builder import fetch as module
from data_builder.fetch import fetch, listing
from data_builder.sources import sources
from nutricheck.errors import SourceError


def zipped(seed: int = 1) -> bytes:
    """A zip of one file; the same bytes whenever it is made."""
    out = io.BytesIO()
    member = zipfile.ZipInfo("food.csv", date_time=(2026, 7, 1, 0, 0, 0))
    with zipfile.ZipFile(out, "w") as archive:
        archive.writestr(member, random.Random(seed).randbytes(1_000_000))
    return out.getvalue()


CONTENT = zipped()


class Server(http.server.BaseHTTPRequestHandler):
    """Serves ``content``, with ranges; breaks off after ``most`` bytes, or in a chunk."""

    protocol_version = "HTTP/1.1"
    content = CONTENT
    most = len(CONTENT)
    knows_ranges = True
    version = '"one"'
    is_chunked = False
    ranges: ClassVar[list] = []

    def do_GET(self):
        start = 0
        asked = self.headers.get("Range")
        self.ranges.append(asked)
        is_same = self.headers.get("If-Range", self.version) == self.version
        if asked and self.knows_ranges and is_same:
            start = int(asked.removeprefix("bytes=").removesuffix("-"))
            if start >= len(self.content):
                self.send_error(416)
                return
        self.send_response(206 if start else 200)
        self.close_connection = True
        if self.version:
            self.send_header(
                "ETag" if self.version.endswith('"') else "Last-Modified", self.version
            )
        if self.is_chunked:
            self.send_header("Transfer-Encoding", "chunked")
            self.end_headers()
            self.wfile.write(b"fffff\r\n" + self.content[:1000])
            return
        self.send_header("Content-Length", str(len(self.content) - start))
        self.end_headers()
        self.wfile.write(self.content[start : start + self.most])

    def log_message(self, *arguments):
        """Say nothing."""


@pytest.fixture
def server(monkeypatch):
    for name in ("content", "most", "knows_ranges", "version", "is_chunked"):
        monkeypatch.setattr(Server, name, getattr(Server, name))
    monkeypatch.setattr(Server, "ranges", [])
    served = http.server.ThreadingHTTPServer(("127.0.0.1", 0), Server)
    thread = threading.Thread(target=served.serve_forever)
    thread.start()
    entry = sources()["fdc-foundation"] | {
        "url": f"http://127.0.0.1:{served.server_port}/food_{{release}}.zip"
    }
    monkeypatch.setattr(module, "sources", lambda: {"fdc-foundation": entry})
    yield Server
    served.shutdown()
    served.server_close()
    thread.join()


NAME = "food_2026-04-30.zip"


def get(folder, **options):
    return fetch("fdc-foundation", folder, progress=lambda text: None, **options)


def test_load_and_note_the_hash(server, tmp_path):
    path = get(tmp_path)
    assert path.name == NAME
    assert path.read_bytes() == CONTENT
    note = (tmp_path / f"{path.name}.sha256").read_text()
    assert note == f"{hashlib.sha256(CONTENT).hexdigest()}  {path.name}\n"
    assert get(tmp_path) == path
    assert len(server.ranges) == 1  # not loaded again


@pytest.mark.parametrize("knows_ranges", [True, False])
def test_interrupted_load_goes_on(server, tmp_path, knows_ranges):
    server.most = 300_000
    with pytest.raises(SourceError, match=r"cannot be loaded.*call again to go on"):
        get(tmp_path)
    assert not (tmp_path / NAME).exists()
    server.most = len(CONTENT)
    server.knows_ranges = knows_ranges
    assert get(tmp_path).read_bytes() == CONTENT
    assert server.ranges == [None, "bytes=300000-"]
    assert sorted(path.name for path in tmp_path.iterdir()) == [NAME, f"{NAME}.sha256"]


@pytest.mark.parametrize(
    ("before", "after"),
    [
        ('"one"', '"two"'),
        ("Wed, 25 Nov 2026 08:00:00 GMT", "Wed, 25 Nov 2026 09:00:00 GMT"),
        ('W/"one"', 'W/"one"'),
        ("", ""),
    ],
    ids=["tag", "date", "weak tag", "server names none"],
)
def test_file_changed_between_two_loads_is_not_spliced(server, tmp_path, before, after):
    server.version, server.most = before, 300_000
    with pytest.raises(SourceError, match="call again to go on"):
        get(tmp_path)
    server.version, server.content, server.most = after, zipped(2), len(CONTENT)
    assert get(tmp_path).read_bytes() == zipped(2)


def test_all_loaded_and_stopped_before_it_was_checked(server, tmp_path):
    (tmp_path / f"{NAME}.loading").mkdir()
    (tmp_path / f"{NAME}.loading" / "begun").write_bytes(CONTENT)
    (tmp_path / f"{NAME}.loading" / "version").write_text(server.version)
    assert get(tmp_path).read_bytes() == CONTENT
    assert server.ranges == [f"bytes={len(CONTENT)}-"]


def test_connection_that_breaks(server, tmp_path):
    server.is_chunked = True
    with pytest.raises(SourceError, match="cannot be loaded"):
        get(tmp_path)


def test_a_page_in_place_of_the_file(server, tmp_path):
    server.content = b"<!DOCTYPE html><title>Please log in</title>"
    with pytest.raises(SourceError, match=r"expected a zip, found .* '<!DOCTYPE html>"):
        get(tmp_path)
    assert list(tmp_path.iterdir()) == []


def test_altered_file_is_loaded_again(server, tmp_path):
    path = get(tmp_path)
    path.write_bytes(CONTENT[:-1])
    assert get(tmp_path).read_bytes() == CONTENT
    assert len(server.ranges) == 2


def test_another_file_than_before_is_refused(server, tmp_path):
    path = get(tmp_path)
    note = tmp_path / f"{path.name}.sha256"
    note.write_text(f"{'0' * 64}  {path.name}\n")
    with pytest.raises(SourceError, match="SHA-256 is not 0000"):
        get(tmp_path)
    assert path.read_bytes() == CONTENT
    assert len(list(tmp_path.iterdir())) == 2
    note.write_text("nonsense\n")
    with pytest.raises(SourceError, match="expected a SHA-256"):
        get(tmp_path)


def test_other_release(server, tmp_path):
    assert get(tmp_path, release="2025-12-18").name == "food_2025-12-18.zip"
    assert get(tmp_path, release="../ä").name == "food_..%2F%C3%A4.zip"


def test_copy_at_hand_needs_no_network(tmp_path, monkeypatch):
    copy = tmp_path / "copy.zip"
    copy.write_bytes(CONTENT)
    path = get(tmp_path / "there", local=copy)
    assert path.name == "FoodData_Central_foundation_food_csv_2026-04-30.zip"
    assert path.read_bytes() == CONTENT
    copy.write_bytes(CONTENT + b"altered")
    with pytest.raises(SourceError, match=r"copy\.zip: SHA-256 is"):
        get(tmp_path / "there", local=copy)
    with pytest.raises(SourceError, match="no such file"):
        get(tmp_path / "there", local=tmp_path / "none.zip")
    copy.write_bytes(b"no zip")
    with pytest.raises(SourceError, match=r"copy\.zip: expected a zip"):
        get(tmp_path / "elsewhere", local=copy)
    assert not (tmp_path / "elsewhere").exists()


def test_no_network_and_unknown_dataset(tmp_path, monkeypatch):
    entry = sources()["fdc-foundation"] | {"url": "http://127.0.0.1:9/food.zip"}
    monkeypatch.setattr(module, "sources", lambda: {"fdc-foundation": entry})
    with pytest.raises(SourceError, match=r"cannot be loaded.*--local"):
        get(tmp_path)
    assert list(tmp_path.iterdir()) == []
    with pytest.raises(SourceError, match=r"no dataset 'nothing'.*fdc-foundation"):
        fetch("nothing", tmp_path, progress=lambda text: None)


def test_listing_names_every_source_with_its_licence():
    text = listing()
    for key, entry in sources().items():
        assert key in text
        assert entry["licence"] in text
        assert "{" not in entry["title"]
