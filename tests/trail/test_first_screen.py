"""The samples' first screens: forty lines of eighty columns, and every danger on them."""

from __future__ import annotations

import io

import pytest

import nutricheck as nc
from nutricheck.report.terminal import print_report
from tests.plans import SAMPLES


@pytest.mark.parametrize("name", ["july_survey", "light_pack", "ridge_walk"])
def test_the_first_screen_is_short_and_hides_no_danger(name):
    result = nc.check(SAMPLES / f"{name}.toml")
    out = io.StringIO()
    print_report(result, file=out)
    lines = out.getvalue().splitlines()
    assert len(lines) <= 40
    assert max(map(len, lines)) <= 80
    shown = " ".join(out.getvalue().split())
    for caution in result.cautions:
        if caution.level == "danger":
            assert " ".join(caution.text.split()) in shown, caution.id
