"""A plan is answered in the units that it was written in."""

from __future__ import annotations

import re
import sys

import pytest

from nutricheck import check
from nutricheck.drying import dry_batch
from nutricheck.foods import open_table
from nutricheck.plan.read import plan_from_data
from nutricheck.report.kinds_of_day import walk_words
from nutricheck.report.verdict import verdict
from nutricheck.report.words import person_words
from tests.consistency.honest import HONEST

US = HONEST["in pounds and Fahrenheit"]
#: What a conversion leaves behind: 32.2222 °C, 11.3398 kg.
CRUMBS = re.compile(r"\d\.\d{3,} ?(?:°C|kg|g|cm|m|h|km/h)\b")


@pytest.fixture(scope="module")
def result():
    return check(US, draws=0)


def test_person_and_days(result):
    assert person_words(result.plan.person).split(", ")[2:4] == ["148 lb", "5 ft 6 in"]
    words = walk_words(result.plan.days[0])
    assert words == (
        "7 h on the move at 2.2 mph (dirt road), 1800 ft up, 1800 ft down, pack 31 lb, air 88 °F, "
        "humidity 35 %"
    )


def test_a_batch(result):
    route = result.batches["chili"].route
    assert route == "simmered, liquid kept, salt 1 oz; hot air 145 °F 10 h"


def test_what_follows_from_them_is_told_in_them(result):
    words = " ".join(sentence.text for sentence in verdict(result))
    assert re.search(r"you may lose about \d\.\d lb of body mass \(\d\.\d to \d+\.\d\)", words)
    assert re.search(r"\d\.\d lb of food hold the energy", words)


def test_no_caution_shows_what_a_conversion_leaves(result):
    for one in result.cautions:
        assert not CRUMBS.search(f"{one.where} {one.detail} {one.text}"), one
    assert any("88 °F" in f"{one.where} {one.detail}" for one in result.cautions)


def test_questions_and_errors_speak_in_them():
    hot = {
        **US,
        "batch": [{**US["batch"][1], "storage": {"time": "2 weeks", "temperature": "135 °F"}}],
    }
    batch = plan_from_data({**hot, "packed": US["packed"][2:], "portions": US["portions"][2:]})
    assert dry_batch(batch.batch[0], open_table(), draws=0).route.endswith("135 °F 20 h")
    person = {**US["person"], "mass": "1480 lb"}
    with pytest.raises(ValueError, match=r"'1480 lb' is outside 44\.1 to 661 lb"):
        plan_from_data({**US, "person": person})


def test_usual_units_do_not_wait_for_pint(monkeypatch):
    """Metric plans, and those in pounds and Fahrenheit but for stones and quarts."""
    monkeypatch.setitem(sys.modules, "pint", None)
    days = [{**US["days"][0], "drink": "5 L"}]
    portions = [{**one, "days": []} for one in US["portions"]]
    assert check({**US, "days": days, "portions": portions}, draws=0).plan.days[0].pack_kg > 14
    assert check("samples/july_survey.toml", draws=0).plan.days[0].pack_kg == 9
