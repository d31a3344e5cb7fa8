"""Fuzz one target led by code coverage, with atheris (`pip install atheris`; Linux, CPython 3.11).

    python -m tests.hard_use.guided TARGET FOLDER [-max_total_time=600 …]

The folder holds the corpus, which grows; the seeds of the target are put into it first. Stops at
the first input that leads to anything else than a NutricheckError, and leaves it as crash-….
"""

from __future__ import annotations

import hashlib
import shutil
import sys
import tempfile
from pathlib import Path

import atheris

WATCHED = ["nutricheck", "data_builder", "tomllib"]

with atheris.instrument_imports(include=WATCHED):
    from tests.hard_use.targets import TARGETS


def main() -> None:
    """Fuzz the target named first on the command line; the rest goes to libFuzzer."""
    target, corpus = TARGETS[sys.argv[1]], Path(sys.argv[2])
    corpus.mkdir(parents=True, exist_ok=True)
    folder = Path(tempfile.mkdtemp())

    def one(raw: bytes) -> None:
        target.try_one(raw, folder)
        for entry in folder.iterdir():
            shutil.rmtree(entry) if entry.is_dir() else entry.unlink()

    # Targets import what they test when they run; only what is imported in here is watched.
    with atheris.instrument_imports(include=WATCHED):
        for seed in target.seeds():
            (corpus / hashlib.sha256(seed).hexdigest()[:16]).write_bytes(seed)
            one(seed)
    flags = ["-timeout=10", "-rss_limit_mb=2048", "-max_len=100000"]
    atheris.Setup([sys.argv[0], *flags, *sys.argv[3:], str(corpus)], one)
    atheris.Fuzz()


if __name__ == "__main__":
    main()
