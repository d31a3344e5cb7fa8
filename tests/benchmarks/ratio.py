"""How long one command takes against another, measured in one run.

Both are started in turn, so that a busy machine slows both alike; the figure is the ratio of the
medians. Run a benchmark as a script: ``python tests/benchmarks/bench_check.py``.
"""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
import time
from collections.abc import Sequence

__all__ = ["measure", "python", "seconds", "tell"]


#: Modules keep their bytecode, as an installed package has it; the warm-up writes what is missing.
_ENVIRONMENT = {
    name: value for name, value in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"
}


def python(*arguments: str) -> list[str]:
    """The command of this Python with arguments."""
    return [sys.executable, *arguments]


def seconds(command: Sequence[str]) -> float:
    """Wall time of one whole process. [s]"""
    start = time.perf_counter()
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL, env=_ENVIRONMENT)
    return time.perf_counter() - start


def measure(command: Sequence[str], base: Sequence[str], runs: int = 9) -> tuple[float, float]:
    """Median wall times of ``command`` and ``base``, started in turn after one warm-up. [s]"""
    seconds(command)
    seconds(base)
    times = [(seconds(command), seconds(base)) for _ in range(runs)]
    ours, theirs = zip(*times, strict=True)
    return statistics.median(ours), statistics.median(theirs)


def tell(name: str, ours: float, theirs: float, at_most: float) -> bool:
    """Print one line with the ratio and whether it keeps its bound."""
    kept = ours / theirs <= at_most
    sys.stdout.write(
        f"{name}: {ours:.3f} s / {theirs:.3f} s = {ours / theirs:.2f} "
        f"(at most {at_most}) {'kept' if kept else 'NOT KEPT'}\n"
    )
    return kept
