"""The labels that would settle most: of items that bring what is drawn, where a need is open."""

import pytest

from nutricheck.adequacy import chance
from nutricheck.advice.settling import settling
from nutricheck.check_plan import check
from nutricheck.report.answer_words import settling_words, unknown_words
from tests.plans import WOMAN


def _plan(**foods):
    return {
        "person": dict(WOMAN),
        "days": [{"name": "day", "count": 5}],
        "packed": [
            {"item": name, "food": food, "mass": f"{5 * grams} g"}
            for name, (food, grams) in foods.items()
        ],
        "portions": [{"item": name, "amount": f"{grams} g"} for name, (_, grams) in foods.items()],
    }


def test_the_item_that_brings_what_is_drawn_is_named():
    """Dried shiitake has no iodine or biotin of its own or another table's; oil has nothing."""
    result = check(
        _plan(mushrooms=("11268", 60), oil=("04053", 30), rice=("20044", 200)), draws=200
    )
    found = settling(result)
    assert 1 <= len(found) <= 3
    rows = result.coverage.set_index(["day", "component"])
    for label in found:
        assert label.kind == "food" and label.item != "oil"
        for tag in label.tags:
            row = rows.loc[("trip mean", tag)]
            assert row["chance_word"] not in (chance.ENOUGH, chance.SHORT)
            assert row["drawn"] > 0 or row["accounted_share"] < 1
    assert "FD" not in {tag for label in found for tag in label.tags}  # in water, not on labels
    words = settling_words(found)
    assert words.startswith("To be surer, get: the label of ") and words.endswith(".")


def test_nothing_is_asked_for_where_all_is_clear():
    assert settling(check(_plan(salt=("02047", 1)), draws=200)) == ()
    assert settling_words(()) == ""


@pytest.mark.parametrize(("tags", "is_said"), [(["FD", "CR"], True), (["CR"], False)])
def test_fluoride_comes_from_water(tags, is_said):
    assert ("water" in unknown_words(tags)) is is_said
