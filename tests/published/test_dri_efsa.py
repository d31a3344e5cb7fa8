"""EFSA's values against the abstracts and tables they were read in."""

import pytest

from nutricheck.needs.reference import reference_intakes
from nutricheck.plan.models import Person

ENERGY = (2400.0, 2500.0, 2600.0)


def found(component, *kinds, **person):
    """Low, likely and high of the person's EFSA value."""
    base = {"sex": "female", "age": 35, "mass": "60 kg", "height": "165 cm"}
    items = reference_intakes(Person(**{**base, **person}), "EFSA", ENERGY)
    chosen = [item for item in items if item.component == component and item.kind in kinds]
    assert len(chosen) == 1
    return chosen[0].low, chosen[0].likely, chosen[0].high


# EFSA Journal 2014;12(10):3844, PRIs at 300, 600, 900 and 1200 mg phytate, as tabled in Immunity &
# Ageing 2025, doi 10.1186/s12979-025-00511-1, table 3; pregnancy +1.6, lactation +2.9 (abstract).
@pytest.mark.parametrize(
    ("person", "expected"),
    [
        ({"sex": "male"}, (9.4, 11.7, 16.3)),
        ({"sex": "female"}, (7.5, 9.3, 12.7)),
        ({"sex": "male", "vegetarian": True}, (9.4, 14.0, 16.3)),
        ({"sex": "female", "vegetarian": True}, (7.5, 11.0, 12.7)),
        ({"life_stage": "pregnancy"}, (9.1, 10.9, 14.3)),
        ({"life_stage": "lactation"}, (10.4, 12.2, 15.6)),
    ],
)
def test_zinc(person, expected):
    assert found("ZN", "PRI", **person) == pytest.approx(expected)


# EFSA Journal 2015;13(7):4149, abstract: 13 mg for men, 11 mg for women, the same in pregnancy and
# breast-feeding.
@pytest.mark.parametrize(
    ("person", "mg"),
    [
        ({"sex": "male"}, 13),
        ({"sex": "female"}, 11),
        ({"life_stage": "pregnancy"}, 11),
        ({"life_stage": "lactation"}, 11),
    ],
)
def test_vitamin_e(person, mg):
    assert found("TOCPHA", "AI", **person) == (mg, mg, mg)


# EFSA Journal 2015;13(5):4101, abstract (AR 750 mg from 25 years) and news of it: PRI 1000 mg at 18
# to 24 years, 950 mg from 25; UL 2500 mg: EFSA Journal 2012;10(7):2814, abstract.
@pytest.mark.parametrize(("age", "mg"), [(18, 1000), (24, 1000), (25, 950), (70, 950)])
def test_calcium(age, mg):
    assert found("CA", "PRI", age=age)[1] == mg
    assert found("CA", "UL", age=age)[1] == 2500
    if age >= 25:
        assert found("CA", "AR", age=age)[1] == 750


# EFSA Journal 2012;10(2):2557 as quoted in the summary of dietary reference values: 0.83 g/kg;
# pregnancy +1, +9, +28 g by trimester; breast-feeding +19 g to 6 months, +13 g after.
@pytest.mark.parametrize(
    ("person", "expected"),
    [
        ({}, (49.8, 49.8, 49.8)),
        ({"life_stage": "pregnancy"}, (50.8, 58.8, 77.8)),
        ({"life_stage": "lactation"}, (62.8, 68.8, 68.8)),
    ],
)
def test_protein(person, expected):
    assert found("PROCNT", "PRI", **person) == pytest.approx(expected)


def test_selenium_upper_level():
    """EFSA Journal 2023;21(1):7704, abstract: 255 ug, pregnant and lactating women included."""
    for stage in ("general", "pregnancy", "lactation"):
        assert found("SE", "UL", life_stage=stage)[1] == 255


def test_cobalamin_fibre_and_shares_of_energy():
    """EFSA news 2015-07-09 (B12, 4 ug); EFSA 2010 (fibre 25 g, carbohydrate 45 to 60 % of energy,
    alpha-linolenic acid 0.5 % of energy)."""
    assert found("VITB12", "AI")[1] == 4
    assert found("FIBTG", "AI")[1] == 25
    assert found("CHOCDF", "RI low")[1] == 45 and found("CHOCDF", "RI high")[1] == 60
    assert found("F18D3CN3", "AI") == pytest.approx([kcal * 0.005 / 9 for kcal in ENERGY])


def test_upper_levels_not_set_for_mothers_are_not_shown():
    """EFSA: no copper or niacin upper level for pregnancy and lactation."""
    for stage in ("pregnancy", "lactation"):
        person = Person(sex="female", age=30, mass="60 kg", height="165 cm", life_stage=stage)
        upper = {i.component for i in reference_intakes(person, "EFSA", ENERGY) if i.kind == "UL"}
        assert not upper & {"CU", "NIA"}


def test_magnesium_added_to_food_counts_against_the_level():
    """SCF 2001: 250 mg of readily dissociable salts in supplements, water or added to food."""
    person = Person(sex="female", age=35, mass="60 kg", height="165 cm")
    upper = [
        (item.basis, item.likely)
        for item in reference_intakes(person, "EFSA", ENERGY)
        if item.component == "MG" and item.role == "upper"
    ]
    assert upper == [("supplements and fortified food", 250)]
