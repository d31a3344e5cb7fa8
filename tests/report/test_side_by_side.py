"""Several plans side by side: the worst day of each component, within 100 columns."""

import io
import os
import subprocess
import sys
from pathlib import Path

import pytest

from nutricheck.adequacy.coverage import TRIP_MEAN
from nutricheck.cohort.check_many import checked_plans
from nutricheck.report.screen import show
from nutricheck.report.side_by_side import plans_report

SAMPLES = Path(__file__).parents[2] / "samples"
PLANS = [SAMPLES / "july_survey.toml", SAMPLES / "light_pack.toml"]


@pytest.fixture(scope="module")
def found():
    return checked_plans(PLANS, draws=0)


def printed(found) -> str:
    out = io.StringIO()
    show(plans_report(found), out)
    return out.getvalue().replace("\u00a0", " ")


def test_each_plan_shows_its_worst_day(found):
    lines = printed(found).splitlines()
    sodium = next(line for line in lines if line.startswith("sodium "))
    assert "85 % sodium is right" in sodium and "– ask your doctor" in sodium
    potassium = next(line for line in lines if line.startswith("potassium "))
    for result in found.values():
        rows = result.coverage[result.coverage["component"] == "K"]
        worst = rows[rows["day"] != TRIP_MEAN]["ratio"].min()
        assert f" {100 * worst:.0f} % " in potassium
    zinc = next(line for line in lines if line.startswith("zinc "))
    assert "enough" in zinc and "too much" in zinc
    # Enough in both, and none of the first five: not shown.
    assert not any(line.startswith("phosphorus") for line in lines)


def test_a_group_fits_the_screen(found):
    one, other = found.values()
    four = {f"{name} with a long name.toml": one for name in "ab"} | {"c.toml": other, "d": one}
    text = printed(four)
    assert max(map(len, text.splitlines())) <= 100
    assert text.count("Share of the aim") == 2


@pytest.mark.skipif(sys.platform == "win32", reason="a pseudo-terminal is POSIX")
def test_a_terminal_gets_the_table_and_a_pipe_the_csv():
    line = [sys.executable, "-m", "nutricheck", "check-many", *map(str, PLANS), "--draws", "0"]
    piped = subprocess.run(line, capture_output=True, text=True, check=True)
    assert piped.stdout.startswith("plan,day,component")
    ours, theirs = os.openpty()
    with subprocess.Popen(line, stdout=theirs, stderr=subprocess.DEVNULL) as running:
        os.close(theirs)
        shown = b""
        try:
            while piece := os.read(ours, 4096):
                shown += piece
        except OSError:  # how Linux says that the other end is closed
            pass
    os.close(ours)
    assert running.returncode == 0
    assert b"Share of the aim on the worst day" in shown
