"""EFSA's values against the abstracts and tables they were read in."""

import pytest

from nutricheck.facts import evidence
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
        ({"sex": "male", "eats": "vegetarian"}, (9.4, 14.0, 16.3)),
        ({"sex": "female", "eats": "vegan"}, (7.5, 11.0, 12.7)),
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


# Under 18. Potassium: EFSA news of 27 October 2016; magnesium: EFSA Journal 2015;13(7):4186,
# abstract; iron: EFSA Journal 2015;13(10):4254, abstract; sodium: EFSA Journal 2019;17(9):5778,
# abstract; vitamin C: EFSA Journal 2013;11(11):3418 as tabled by nutri-facts.org; vitamin D: EFSA
# Journal 2016;14(10):4547, abstract; vitamin B6: EFSA news of 24 June 2016; cobalamin: EFSA Journal
# 2015;13(7):4150, abstract.
@pytest.mark.parametrize(
    ("component", "person", "amount"),
    [
        ("K", {"age": 10}, 1800),
        ("K", {"age": 11}, 2700),
        ("K", {"age": 15}, 3500),
        ("MG", {"age": 9}, 230),
        ("MG", {"age": 10}, 250),
        ("MG", {"age": 10, "sex": "male"}, 300),
        ("NA", {"age": 10}, 1700),
        ("NA", {"age": 17}, 2000),
        ("FE", {"age": 11}, 11),
        ("FE", {"age": 12}, 13),
        ("FE", {"age": 17, "sex": "male"}, 11),
        ("FE", {"age": 18}, 16),
        ("VITC", {"age": 9}, 45),
        ("VITC", {"age": 14}, 70),
        ("VITC", {"age": 17}, 90),
        ("VITC", {"age": 17, "sex": "male"}, 100),
        ("VITD", {"age": 9}, 15),
        ("VITB6A", {"age": 14}, 1.4),
        ("VITB6A", {"age": 15}, 1.6),
        ("VITB6A", {"age": 15, "sex": "male"}, 1.7),
        ("VITB12", {"age": 17}, 4),
    ],
)
def test_the_young(component, person, amount):
    assert found(component, "PRI", "AI", **person)[1] == amount


# Iron's safe level: EFSA Journal 2024;22(6):8819, EFSA's news (35 mg at 15 to 17 years) and
# trade news (20 and 30 mg); fluoride's: EFSA Journal 2025;23(7):9478 as the news has it.
@pytest.mark.parametrize(
    ("component", "age", "amount"),
    [("FE", 10, 20), ("FE", 14, 30), ("FE", 17, 35), ("FE", 18, 40), ("FD", 9, 3300)],
)
def test_safe_levels(component, age, amount):
    assert found(component, "safe level", age=age)[1] == amount


@pytest.mark.parametrize("age", [9, 12, 17])
def test_fibre_of_the_young_is_by_energy(age):
    """EFSA Journal 2010;8(3):1462, abstract: 2 g/MJ in children; 25 g a day are of adults."""
    grams = [2 * kcal * 4.184 / 1000 for kcal in ENERGY]
    assert found("FIBTG", "AI", age=age) == pytest.approx(grams)


@pytest.mark.parametrize(
    ("age", "kg", "printed"), [(9, 28.7, 130), (13, 44.6, 180), (16, 60.3, 230)]
)
def test_selenium_level_of_the_young_is_scaled_from_adults(age, kg, printed):
    """EFSA Journal 2023;21(1):7704, abstract: by body mass to 0.75 from 255 ug, which are taken to
    be of 70 kg; EFSA's body masses and the rounding to ten are from memory."""
    assert found("SE", "UL", age=age)[1] == printed
    assert printed == pytest.approx(255 * (kg / 70) ** 0.75, abs=5)


@pytest.mark.parametrize(("age", "mg"), [(9, 13), (11, 18), (15, 22)])
def test_zinc_level_of_the_young(age, mg):
    """SCF 2003, as https://sanomedica.com/zinc-intake/ quotes it."""
    assert found("ZN", "UL", age=age)[1] == mg


def test_protein_of_the_young_by_the_year():
    """European Commission's table of EFSA 2012: 0.89 g/kg for girls of 12, 0.86 for boys of 17."""
    assert found("PROCNT", "PRI", age=12)[1] == pytest.approx(60 * 0.89)
    assert found("PROCNT", "PRI", age=17, sex="male")[1] == pytest.approx(60 * 0.86)


def test_protein_requirement_keeps_its_share_of_the_recommendation():
    """EFSA 2012: AR 0.66 and PRI 0.83 g/kg for adults; the increments are of the PRI."""
    for stage in ("pregnancy", "lactation"):
        needed, recommended = (found("PROCNT", kind, life_stage=stage)[1] for kind in ("AR", "PRI"))
        assert needed / recommended == pytest.approx(0.66 / 0.83)
        assert needed > found("PROCNT", "AR")[1]


def test_a_mother_under_18_has_the_higher_target_and_the_lower_upper_level():
    """No values of EFSA for mothers under 18 were found: the stricter of the two is taken."""
    girl = {"age": 16, "life_stage": "pregnancy"}
    assert found("CA", "PRI", **girl)[1] == 1150  # at 11 to 17 years; mothers of 18: 1000
    assert found("FE", "PRI", **girl)[1] == 16  # mothers; girls of 16: 13
    assert found("VITA_RAE", "UL", **girl)[1] == 2600  # at 15 to 17 years; mothers: 3000


@pytest.mark.parametrize(
    ("sex", "ends", "pri"),
    [
        ("female", {300: (6.2, 7.5), 1200: (10.2, 12.7)}, {600: 9.3, 900: 11.0}),
        ("male", {300: (7.5, 9.4), 1200: (12.7, 16.3)}, {600: 11.7, 900: 14.0}),
    ],
)
def test_zinc_requirement_between_the_phytate_intakes_of_the_abstract(sex, ends, pri):
    """EFSA Journal 12(10):3844, 2014: its abstract gives requirement and PRI at 300 and 1200 mg of
    phytate, Nutrients 12:2464, 2020, table 1 the PRI between. Requirement over PRI is taken on a
    straight line between the ends."""
    first, last = (requirement / aim for requirement, aim in ends.values())
    for phytate, aim in pri.items():
        share = first + (last - first) * (phytate - 300) / 900
        row = next(
            row
            for row in evidence.rows("efsa_drv")
            if (row["component"], row["kind"], row["sex"]) == ("ZN", "AR", sex)
            and row["basis"] == f"per_day_at_phytate_{phytate}mg"
        )
        assert float(row["value"]) == pytest.approx(share * aim, abs=0.05)
