"""How much liver a day bears, by who eats it and by whose level."""

from __future__ import annotations

import pytest

from nutricheck.cautions.portion import adult_levels, day_levels, portion_cautions
from nutricheck.check_plan import check
from nutricheck.drying import dry_batch
from nutricheck.foods import open_table
from nutricheck.needs.clinic import AimAndLimit
from nutricheck.plan.models import Batch, Person

COOKED = {"kind": "cooked", "method": "braised"}
HOT = {"temperature": "68 °C", "time": "8 h"}
LIVER = {
    "name": "liver powder",
    "ingredients": [{"food": "13325", "mass": "1 kg"}],
    "preparation": COOKED,
    "drying": HOT,
}


def person(**changes) -> Person:
    return Person(**{"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"} | changes)


# Retinol: IOM 2001 (3000, 2800 at 14 to 18 and 1700 ug at 9 to 13 years), EFSA 2024 (3000) and as
# printed in Allen 2020 (2000 ug at 11 to 14). Copper: IOM 2001 (10 and 5 mg at 9 to 13), SCF 2003
# (5 and 4 mg at 11 to 14; none for mothers).
@pytest.mark.parametrize(
    ("changes", "reference", "retinol_ug", "copper_mg"),
    [
        ({}, "DRI", 3000, 10),
        ({}, "EFSA", 3000, 5),
        ({"age": 13}, "DRI", 1700, 5),
        ({"age": 13}, "EFSA", 2000, 4),
        ({"life_stage": "pregnancy"}, "EFSA", 3000, 10),
        ({"life_stage": "pregnancy", "age": 18}, "DRI", 2800, 8),
    ],
)
def test_levels_are_those_in_force(changes, reference, retinol_ug, copper_mg):
    found = day_levels(person(**changes), reference)
    assert (found["VITA_RAE"].amount, found["CU"].amount) == (retinol_ug, copper_mg)


def test_a_level_that_is_not_set_is_said():
    whose = day_levels(person(life_stage="lactation"), "EFSA")["CU"].whose
    assert "of the US and Canada; EFSA has set none for this person" in whose


def test_a_clinics_limit_wins():
    figures = {"CU": AimAndLimit("CU", float("nan"), 2.0, "set by the clinic, May")}
    found = day_levels(person(), "DRI", figures)["CU"]
    assert found.amount == 2.0 and "set by the clinic, May" in found.whose


def test_without_a_person_the_lower_level_of_adults_holds():
    assert adult_levels()["CU"].amount == 5
    assert adult_levels()["CU"].whose.endswith("of EFSA")


def test_a_portion_holds_no_more_than_the_level_at_the_high_end():
    dried = dry_batch(Batch(**LIVER), open_table(), draws=500)
    for changes, reference in (({}, "DRI"), ({"age": 13}, "DRI"), ({}, "EFSA")):
        levels = day_levels(person(**changes), reference)
        found = portion_cautions("liver", dried.composition, levels)
        assert {caution.id for caution in found} == {"vitamin a", "copper"}
        for caution, tag, key in zip(found, ("RETOL", "CU"), ("VITA_RAE", "CU"), strict=True):
            grams = float(caution.detail.removesuffix(" g"))
            assert 0 < grams < 50
            held = grams / 100 * dried.composition.at[tag, "high"]
            assert held <= levels[key].amount
            next_step = 1 if grams >= 10 else 0.1
            assert (grams + next_step) / 100 * dried.composition.at[tag, "high"] > levels[
                key
            ].amount


def test_nothing_is_said_of_ordinary_foods():
    carrots = Batch(name="carrots", ingredients=[{"food": "11124", "mass": "1 kg"}])
    dried = dry_batch(carrots, open_table())
    assert portion_cautions("x", dried.composition, adult_levels()) == ()


def test_a_check_gives_the_portion_of_the_person_once():
    def of_liver(**changes):
        plan = {
            "trip": {"reference": "EFSA"},
            "person": {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"} | changes,
            "days": [{"name": "walk", "count": 3}],
            "batch": [LIVER],
            "packed": [{"item": "liver powder", "mass": "30 g"}],
            "portions": [{"item": "liver powder", "amount": "10 g"}],
        }
        found = check(plan, draws=0).cautions
        return {caution.id: caution for caution in found if caution.topic.endswith("in liver")}

    grown, young = of_liver(), of_liver(age=13)
    assert set(grown) == set(young) == {"vitamin a", "copper"}
    assert "5.0 mg of copper" in grown["copper"].text and "EFSA" in grown["copper"].text
    assert "2,000 ug of vitamin A" in young["vitamin a"].text
    pregnant = of_liver(life_stage="pregnancy")
    assert set(pregnant) == {"liver in pregnancy", "copper"}
    assert pregnant["liver in pregnancy"].level == "danger"
    assert "no more" not in pregnant["liver in pregnancy"].text
