"""Short runs of the fuzzer, the same on every machine; the long ones are started by hand."""

from __future__ import annotations

import subprocess
import sys
from pathlib import Path

import pytest

from tests.hard_use.targets import TARGETS

ROOT = Path(__file__).parents[2]
ROUNDS = {"label": 3000, "sr28": 600, "zip": 600, "own": 600, "parquet": 600}


@pytest.mark.parametrize(
    "target",
    [pytest.param(t, marks=pytest.mark.parquet) if t == "parquet" else t for t in TARGETS],
)
def test_damaged_input_ends_well_or_with_one_clear_error(target):
    command = [sys.executable, "-m", "tests.hard_use.fuzz", target]
    rounds = str(ROUNDS.get(target, 80))
    done = subprocess.run(
        [*command, "--rounds", rounds, "--seed", "1"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=False,
        timeout=300,
    )
    assert done.returncode == 0, done.stdout[-4000:] + done.stderr[-4000:]
    assert f"{target}: {rounds} inputs" in done.stdout
    assert " 0 findings" in done.stdout
