"""Short runs of the fuzzer, the same on every machine; the long ones are started by hand."""

from __future__ import annotations

import sys

import pytest

from tests import warm
from tests.hard_use.fuzz import main
from tests.hard_use.targets import TARGETS

ROUNDS = {"label": 1000, "sr28": 200, "zip": 200, "own": 200, "parquet": 200}


def fuzzed(target: str, rounds: int) -> None:
    sys.argv = ["fuzz", target, "--rounds", str(rounds), "--seed", "1"]
    sys.exit(main())


@pytest.mark.parametrize(
    "target",
    [pytest.param(t, marks=pytest.mark.parquet) if t == "parquet" else t for t in TARGETS],
)
def test_damaged_input_ends_well_or_with_one_clear_error(target):
    rounds = ROUNDS.get(target, 25)
    done = warm.started_work(fuzzed, target, rounds).wait()
    printed = done.stdout_text
    assert done.returncode == 0, printed[-4000:] + done.stderr_text[-4000:]
    assert f"{target}: {rounds} inputs" in printed
    assert " 0 findings" in printed
