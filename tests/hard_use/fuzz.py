"""Fuzz the readers: damaged input must end well or with one clear error, soon, in little memory.

    python -m tests.hard_use.fuzz [TARGET…] [--seconds 60 | --rounds 500] [--seed 1] [--save DIR]

A target is one of tests/hard_use/targets.py; none means all. Inputs that lead to anything else
than a NutricheckError are saved with their traceback and counted; exit status 1 if there are any.
A run that takes over 10 s of processor time ends the process with a traceback of where it was, on
a busy machine as on an idle one. Memory is limited, so that an input that asks for much of it
fails.
"""

from __future__ import annotations

import argparse
import faulthandler
import hashlib
import random
import resource
import shutil
import signal
import sys
import tempfile
import time
import traceback
import warnings
from pathlib import Path

from tests.hard_use.targets import TARGETS, Target

LONGEST_S = 10.0
#: Above what the libraries themselves take: numpy, pandas and pyarrow reserve about 3 GB.
MEMORY_BYTES = 6 << 30
RESIDENT_BYTES = 1 << 30


def fuzz(
    name: str, target: Target, seed: int, rounds: int | None, seconds: float, save: Path | None
) -> int:
    """Run one target; the number of findings."""
    seeds = target.seeds()
    found: dict[str, int] = {}
    slowest, count, refused = 0.0, 0, 0
    start = time.monotonic()
    with tempfile.TemporaryDirectory() as text:
        folder = Path(text)
        for raw in dict.fromkeys(seeds):
            target.try_one(raw, folder)
        while count < rounds if rounds else time.monotonic() - start < seconds:
            chance = random.Random(f"{seed} {count}")
            raw = target.damage(chance.choice(seeds), chance, chance.choice(seeds))
            began = time.process_time()
            signal.setitimer(signal.ITIMER_PROF, LONGEST_S)
            try:
                refused += target.try_one(raw, folder)
            except Exception:
                kind = _kind(traceback.format_exc())
                found[kind] = found.get(kind, 0) + 1
                if found[kind] == 1:
                    _save(save, name, raw, seed, count)
            signal.setitimer(signal.ITIMER_PROF, 0)
            slowest = max(slowest, time.process_time() - began)
            count += 1
            for entry in folder.iterdir():
                shutil.rmtree(entry) if entry.is_dir() else entry.unlink()
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss * 1024
    took = time.monotonic() - start
    print(
        f"{name}: {count} inputs ({refused} refused) in {took:.0f} s, slowest {slowest:.2f} s, "
        f"peak {peak / 1e6:.0f} MB, {sum(found.values())} findings of {len(found)} kinds",
        flush=True,
    )
    for kind, times in found.items():
        print(f"  {times} × {kind}", flush=True)
    if peak > RESIDENT_BYTES:
        print(f"  took {peak / 1e6:.0f} MB of memory", flush=True)
    return len(found) + (peak > RESIDENT_BYTES)


def _kind(trace: str) -> str:
    """The last line of a traceback and the last place of it in our code."""
    lines = [line.strip() for line in trace.splitlines()]
    ours = [line for line in lines if line.startswith("File ") and "/site-packages/" not in line]
    message = next(line for line in reversed(lines) if line and not line.startswith("^"))
    place = ours[-1].rpartition("/")[2] if ours else ""
    return f"{message[:160]} ({place})"


def _save(folder: Path | None, name: str, raw: bytes, seed: int, count: int) -> None:
    trace = traceback.format_exc()
    if folder is None:
        print(trace, flush=True)
        return
    folder.mkdir(parents=True, exist_ok=True)
    path = folder / f"{name}-{hashlib.sha256(raw).hexdigest()[:12]}"
    path.with_suffix(".input").write_bytes(raw)
    path.with_suffix(".txt").write_text(f"seed {seed}, input {count}\n{trace}")


def main() -> int:
    """Fuzz the named targets."""
    parser = argparse.ArgumentParser(description=(__doc__ or "").split("\n")[0])
    parser.add_argument("targets", nargs="*", choices=[[], *TARGETS], default=[])
    parser.add_argument("--seconds", type=float, default=60)
    parser.add_argument("--rounds", type=int)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--save", type=Path)
    given = parser.parse_args()
    resource.setrlimit(resource.RLIMIT_AS, (MEMORY_BYTES, MEMORY_BYTES))
    faulthandler.enable()
    faulthandler.register(signal.SIGPROF, chain=True)  # told where it was, it ends
    warnings.simplefilter("error")
    findings = sum(
        fuzz(name, TARGETS[name], given.seed, given.rounds, given.seconds, given.save)
        for name in given.targets or TARGETS
    )
    return 1 if findings else 0


if __name__ == "__main__":
    sys.exit(main())
