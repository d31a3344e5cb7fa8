"""Cautions on safe levels and on what another body has set lower or alone."""

from __future__ import annotations

import pytest

from nutricheck.check_plan import check
from nutricheck.report.verdict import verdict

OATS = {"food": "Cereals, oats, regular and quick, not fortified, dry"}


def plan_of(amounts, reference, food_g=0.0, **who):
    """A pill a day, beside oats."""
    plan = {
        "trip": {"reference": reference},
        "person": {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"} | who,
        "days": [{"name": "walk", "count": 3}],
        "label": [{"name": "pill", "kind": "supplement", "serving": "5 g", "amounts": amounts}],
        "packed": [{"item": "pill", "mass": "50 g", "piece": "5 g"}],
        "portions": [{"item": "pill", "amount": "1 pieces"}],
    }
    if food_g:
        plan["packed"].append({"item": "oats", "mass": "3 kg", "food": OATS["food"]})
        plan["portions"].append({"item": "oats", "amount": f"{food_g} g"})
    return plan


def levels_told(result):
    """Id, level, place and text of the cautions on levels."""
    ids = ("level of another body", "above a safe level")
    return [
        (caution.id, caution.level, caution.where, caution.text)
        for caution in result.cautions
        if caution.id in ids
    ]


def of_levels(*plan, **who):
    return levels_told(check(plan_of(*plan, **who), draws=0))


def test_a_lower_level_of_another_body_is_a_note_with_its_name():
    """B6: IOM 1998, 100 mg; EFSA 2023, 12 mg."""
    ((id_, level, where, text),) = of_levels({"VITB6A": "31 mg"}, "DRI")
    assert (id_, level, where) == ("level of another body", "note", "walk (30.99 mg)")
    assert text.startswith("Vitamin B6: above the upper level of EFSA, 12.00 mg a day")
    assert "That of the US and Canada, in force here, is 100 mg" in text
    assert of_levels({"VITB6A": "11 mg"}, "DRI") == []
    # what is too much by the level in force has a status of its own
    assert of_levels({"VITB6A": "31 mg"}, "EFSA") == []


def test_what_a_body_has_not_set_is_said():
    """Copper: IOM 2001, 10 mg; SCF 2003: none for pregnancy. Vitamin C: IOM 2000, 2000 mg."""
    ((_, level, _, text),) = of_levels({"CU": "11 mg"}, "EFSA", life_stage="pregnancy")
    assert level == "warning" and text.endswith("EFSA, in force here, has set none.")
    ((_, level, _, text),) = of_levels({"VITC": "2500 mg"}, "EFSA")
    assert level == "warning" and "2,000 mg" in text
    assert of_levels({"CU": "9 mg"}, "EFSA", life_stage="pregnancy") == []


@pytest.mark.parametrize(
    ("iron", "level"), [("39 mg", ""), ("42 mg", "warning"), ("300 mg", "danger")]
)
def test_iron_above_the_safe_level(iron, level):
    """EFSA 2024: 40 mg, no upper level; IOM 2001: 45 mg."""
    found = of_levels({"FE": iron}, "EFSA")
    assert [row[1] for row in found if row[0] == "above a safe level"] == ([level] if level else [])
    if level == "danger":
        text = next(row[3] for row in found if row[0] == "above a safe level")
        assert "than the safe level of EFSA, 40.0 mg a day" in text


def test_manganese_of_ordinary_food_is_said_for_what_it_is():
    """EFSA 2023: 8 mg; 300 g of oats hold 10.9 mg (SR28 20038 and 08120: 3.6 mg in 100 g)."""
    plan = plan_of({"VITC": "10 mg"}, "EFSA", food_g=300)
    result = check(plan, draws=0)
    assert levels_told(result) == []
    text = next(
        sentence.text for sentence in verdict(result) if sentence.text.startswith("Upper levels")
    )
    assert "Above the safe level by ordinary food alone: manganese" in text


@pytest.mark.parametrize(
    ("reference", "who", "note"),
    [
        (
            "EFSA",
            {"life_stage": "pregnancy"},
            "EFSA has set no upper level; that of the US and Canada is 10.00 mg from all sources",
        ),
        ("EFSA", {}, ""),
        ("DRI", {"life_stage": "pregnancy"}, ""),
    ],
)
def test_a_row_says_that_no_level_is_set(reference, who, note):
    """Copper, SCF 2003: insufficient data for pregnancy; IOM 2001: 10 mg."""
    rows = check(plan_of({"CU": "1 mg"}, reference, **who), draws=0).coverage
    text = rows.set_index(["day", "component"]).at[("walk", "CU"), "note"]
    assert (note in text) if note else ("no upper level" not in text)


def test_that_no_level_is_passed_names_whose_and_what_is_unset():
    result = check(plan_of({"VITC": "100 mg", "ZN": "5 mg"}, "EFSA"), draws=0)
    text = next(
        sentence.text for sentence in verdict(result) if sentence.text.startswith("Upper levels")
    )
    assert "you pass none that EFSA set" in text
    assert "EFSA has set none for vitamin C; you do not pass that of the US and Canada" in text
