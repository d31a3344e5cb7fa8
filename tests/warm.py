"""Commands in processes of their own that start at once: forked from one that has all imported.

Starting Python and importing the libraries takes longer than most commands take. What is tested
here is what a process does (its exit status, its output, how it dies), not how Python starts, so
that ``multiprocessing``'s fork server may import once for all. Where there is no fork server,
each process starts from scratch.
"""

from __future__ import annotations

import multiprocessing
import os
import sys
import tempfile
from collections.abc import Callable, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from importlib import import_module
from pathlib import Path

ROOT = Path(__file__).parents[1]
#: Package → the name of its command.
PROGRAMS = {"nutricheck": "nutricheck", "data_builder": "nutricheck-data"}
_HAS_FORK_SERVER = "forkserver" in multiprocessing.get_all_start_methods()
_PROCESSES = multiprocessing.get_context("forkserver" if _HAS_FORK_SERVER else "spawn")
if _HAS_FORK_SERVER:
    _PROCESSES.set_forkserver_preload([__name__, "tests.warm_imports"])


@dataclass(frozen=True)
class Done:
    """A process that has ended; its output as bytes and as text."""

    returncode: int
    stdout: bytes
    stderr: bytes

    @property
    def stdout_text(self) -> str:
        """What it printed."""
        return self.stdout.decode()

    @property
    def stderr_text(self) -> str:
        """What it told beside."""
        return self.stderr.decode()


class Running:
    """A started process whose output goes to files."""

    def __init__(
        self,
        work: Callable[..., object],
        words: Sequence[object],
        cwd: Path,
        variables: Mapping[str, str],
    ) -> None:
        self._output = tempfile.TemporaryDirectory()
        self._files = [Path(self._output.name) / name for name in ("stdout", "stderr")]
        environment = dict(os.environ) | dict(variables)
        self._process = _PROCESSES.Process(
            target=_begin, args=(work, list(words), cwd, environment, self._files)
        )
        self._process.start()

    @property
    def pid(self) -> int:
        """The process's number."""
        assert self._process.pid is not None
        return self._process.pid

    def is_running(self) -> bool:
        """Whether it has not ended."""
        return self._process.is_alive()

    def kill(self) -> None:
        """End it at once, with no chance to tidy up."""
        self._process.kill()

    def wait(self, timeout_s: float = 1200) -> Done:
        """What it left, when it has ended."""
        self._process.join(timeout_s)
        if self._process.is_alive():
            self._process.kill()
            raise TimeoutError(f"a process took over {timeout_s} s")
        status = self._process.exitcode
        assert status is not None
        self._process.close()
        found = [file.read_bytes() if file.exists() else b"" for file in self._files]
        self._output.cleanup()
        return Done(status, *found)


def started_work(work: Callable[..., object], *words: object) -> Running:
    """A function of a module of ours in a process of its own."""
    return Running(work, words, ROOT, {})


def started(module: str, *words: object, cwd: Path = ROOT, **variables: str) -> Running:
    """The package's command in a process of its own."""
    return Running(_command, [module, *map(_text, words)], cwd, variables)


def run(
    module: str, *words: object, cwd: Path = ROOT, timeout_s: float = 1200, **variables: str
) -> Done:
    """``started`` until its end."""
    return started(module, *words, cwd=cwd, **variables).wait(timeout_s)


def _text(word: object) -> str:
    return os.fspath(word) if isinstance(word, Path) else str(word)


def _begin(
    work: Callable[..., object],
    words: list[object],
    cwd: Path,
    environment: dict[str, str],
    files: list[Path],
) -> None:
    """In the new process: its surroundings, then its work."""
    os.chdir(cwd)
    os.environ.clear()
    os.environ.update(environment)
    for number, file in enumerate(files, start=1):
        with file.open("wb") as target:
            os.dup2(target.fileno(), number)
    work(*words)
    with suppress(ValueError):  # closed by the work
        sys.stdout.flush()


def _command(module: str, *words: str) -> None:
    sys.argv = [PROGRAMS[module], *words]
    import_module(f"{module}.cli").main()
