"""Cautions that follow from who walks."""

from __future__ import annotations

import pytest

from nutricheck.cautions.person import person_cautions
from nutricheck.needs.reference import reference_intakes
from nutricheck.plan.models import Person


def walker(**changes) -> Person:
    return Person(**{"sex": "female", "age": 35, "mass": "70 kg", "height": "168 cm"} | changes)


@pytest.mark.parametrize(
    ("changes", "topic"),
    [
        ({"conditions": ("kidney",)}, "kidney"),
        ({"conditions": ("heart",)}, "heart"),
        ({"conditions": ("blood pressure",)}, "high blood pressure"),
        ({"conditions": ("salt medicine",)}, "medicines"),
        ({"conditions": ("cystic fibrosis",)}, "cystic fibrosis"),
        ({"conditions": ("diabetes",)}, "diabetes"),
        ({"conditions": ("liver",)}, "liver"),
        ({"conditions": ("iron overload",)}, "iron overload"),
        ({"life_stage": "pregnancy"}, "raw animal foods"),
        ({"life_stage": "pregnancy"}, "vitamin A"),
        ({"life_stage": "lactation"}, "breast-feeding"),
        ({"smoker": True}, "smoking"),
    ],
)
def test_conditions_switch_cautions_on(changes, topic):
    assert not any(topic in c.topic for c in person_cautions(walker(), "DRI"))
    assert any(topic in c.topic for c in person_cautions(walker(**changes), "DRI"))


@pytest.mark.parametrize(("age", "is_told"), [(17, True), (18, False)])
def test_young_until_18(age, is_told):
    topics = {caution.topic for caution in person_cautions(walker(age=age), "DRI")}
    assert ("young person" in topics) is is_told


@pytest.mark.parametrize(("reference", "more_mg"), [("DRI", 35), ("EFSA", 0)])
def test_what_a_smoker_is_told_is_what_the_reference_holds(reference, more_mg):
    """IOM 2000: 35 mg of vitamin C more; EFSA sets no extra."""

    def vitamin_c(**changes):
        rows = reference_intakes(walker(**changes), reference, (2000.0, 2000.0, 2000.0))
        return next(row.likely for row in rows if (row.component, row.role) == ("VITC", "target"))

    assert vitamin_c(smoker=True) - vitamin_c() == more_mg
    (smoking,) = (
        caution
        for caution in person_cautions(walker(smoker=True), reference)
        if caution.id == "smoking"
    )
    assert ("that is in the need here" in smoking.text) is bool(more_mg)
    assert ("EFSA sets no more" in smoking.text) is not bool(more_mg)


def test_values_that_are_not_held_for_the_young_are_named():
    def texts(age, reference):
        cautions = person_cautions(walker(age=age), reference)
        return [caution.text for caution in cautions if caution.id == "efsa values not held"]

    (text,) = texts(12, "EFSA")
    assert "zinc" in text and "selenium" in text and "vitamin C" not in text
    assert texts(18, "EFSA") == texts(12, "DRI") == []
