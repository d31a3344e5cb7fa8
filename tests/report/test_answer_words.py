"""The sentence that answers, and the screen it stands on."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from nutricheck.advice.actions import SeeTo
from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from nutricheck.defaults import DRAWS
from nutricheck.report.answer_screen import answer_report
from nutricheck.report.answer_words import action_words, headline
from nutricheck.report.screen import Screen
from nutricheck.symbols import with_symbols
from tests.plans import WOMAN, checked

SAMPLES = Path(__file__).parents[2] / "samples"


def oats(amount, packed, days=10):
    return check(
        {
            "person": dict(WOMAN),
            "days": [{"name": "walk", "count": days, "moving": "4 h"}],
            "packed": [{"item": "oats", "food": "08120", "mass": packed}],
            "portions": [{"item": "oats", "amount": amount}],
        },
        draws=100,
    )


def test_a_pack_that_ends_early_says_so_first():
    words = headline(answer(oats("600 g", "3.1 kg")))
    assert words.startswith("No. The pack covers 5 of 10 days. Gone early: oats on day 6.")


def test_a_pack_that_covers_no_day_says_for_how_many_its_energy_is_enough():
    """2 kg at 379 kcal in 100 g against the days' use."""
    found = answer(oats("200 g", "2 kg"))
    use = float(found.days["longest"].days["use_kcal"].mean())
    words = headline(found)
    held = f"the pack holds the energy of {2000 * 3.79 / use:.1f} of 10 days."
    assert words.startswith(f"No. Food for no full day: {held}")


def test_a_single_day_with_too_little_says_its_share():
    words = headline(answer(oats("200 g", "200 g", days=1)))
    assert re.match(r"No\. The food gives \d+\s% of the energy that the day uses\.", words)


def test_a_caution_to_see_to_is_told_of_by_its_first_sentence_and_that_whole():
    why = "Drying alone does not kill E. coli for certain. Heat the meat."
    found = action_words(SeeTo(tag="", item="jerky", how="Heat it", why=why))
    assert found == ("Heat it: jerky", "Drying alone does not kill E. coli for certain.")


@pytest.mark.parametrize("sample", ["july_survey", "light_pack"])
def test_the_screen_fits_80_columns_and_says_every_action(sample):
    found = answer(checked(sample, DRAWS))
    out = io.StringIO()
    screen = Screen(out)
    screen.width = 80
    screen.show(answer_report(found, screen.width, everything=True))
    text = out.getvalue()
    assert max(map(len, text.splitlines())) <= 80
    flat = " ".join(text.split())
    for action in found.actions:
        assert with_symbols(" ".join(action_words(action)[0].split())) in flat
