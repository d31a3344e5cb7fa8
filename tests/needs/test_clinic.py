"""A clinic's figures take the place of every reference, marked with who set them."""

from __future__ import annotations

import math

import pytest

from nutricheck.check_plan import check
from nutricheck.errors import PlanError
from nutricheck.needs.clinic import CLINIC, clinic_figures, with_figures
from nutricheck.needs.reference import Reference
from nutricheck.plan.models import ClinicFigure
from tests.plans import MAN

WHO = {"set_by": "kidney dietitian", "set_on": "May 2026"}
SOURCE = "set by kidney dietitian, May 2026"


def small_plan(**changes) -> dict:
    """Two kinds of day, oats on both; ``changes`` replace whole sections."""
    return {
        "person": dict(MAN),
        "days": [
            {"name": "walk", "count": 10, "moving": "6 h", "air_temperature": "30 °C"},
            {"name": "rest", "count": 4},
        ],
        "packed": [{"item": "oats", "food": "08120", "mass": "20 kg"}],
        "portions": [{"item": "oats", "amount": "600 g"}],
    } | changes


def figure(component: str, **amounts: str) -> ClinicFigure:
    return ClinicFigure(component=component, **amounts, **WHO)


def published(tag: str, role: str, value: float, kind: str = "RDA", basis: str = "all sources"):
    return Reference(tag, role, kind, basis, value, value, value, "mg", True, "a report", "")


def roles(rows: list[Reference]) -> dict[str, tuple[str, float]]:
    return {row.role: (row.kind, row.likely) for row in rows}


@pytest.mark.parametrize(
    ("component", "text", "tag", "expected"),
    [
        ("NA", "1800 mg", "NA", 1800),
        ("sodium", "80 mmol", "NA", 80 * 22.99),  # IUPAC (CIAAW) 2021: 22.990
        ("salt", "5 g", "NA", 2000),  # Regulation (EU) 1169/2011, annex I: salt is 2.5 × sodium
        ("potassium", "60 mmol", "K", 60 * 39.098),  # IUPAC (CIAAW) 2021: 39.098
        ("fluid", "1500 mL", "FLUID", 1.5),
        ("energy", "9000 kJ", "ENERC_KCAL", 9000 / 4.184),
        ("VITD", "1000 IU", "VITD", 25),
    ],
)
def test_figures_are_read_as_clinics_write_them(component, text, tag, expected):
    figures = clinic_figures([figure(component, limit=text)])
    assert figures[tag].limit == pytest.approx(expected, rel=1e-4)
    assert math.isnan(figures[tag].aim)
    assert figures[tag].source == SOURCE


def test_all_that_is_wrong_with_figures_is_told_at_once():
    wrong = [
        figure("K", limit="2 L"),
        figure("NA", aim="3 g", limit="2 g"),
        figure("fluid", aim="2 g"),
    ]
    with pytest.raises(PlanError) as error:
        clinic_figures(wrong)
    message = str(error.value)
    for words in ("potassium", "sodium", "above the limit", "fluid"):
        assert words in message


@pytest.mark.parametrize(
    ("fields", "words"),
    [
        ({"component": "NA"}, "aim"),
        ({"component": "brainium", "aim": "2 g"}, "brainium"),
        ({"component": "water in food", "aim": "2 L"}, "fluid"),
    ],
)
def test_a_figure_says_what_it_is_for_and_how_much(fields, words):
    with pytest.raises(ValueError, match=words):
        ClinicFigure.model_validate(fields | WHO)


def test_two_figures_for_one_component_are_a_fault():
    plan = small_plan(
        clinic=[
            {"component": "NA", "limit": "2 g", **WHO},
            {"component": "salt", "limit": "5 g", **WHO},
        ]
    )
    with pytest.raises(PlanError, match="two figures"):
        check(plan, draws=0)


ROWS = [
    published("K", "target", 2600, "AI"),
    published("MG", "target", 320),
    published("MG", "requirement", 265, "EAR"),
    published("MG", "upper", 350, "UL", "supplements only"),
]


def test_an_aim_takes_the_place_of_target_and_requirement():
    rows = with_figures(ROWS, clinic_figures([figure("MG", aim="300 mg")]))
    magnesium = [row for row in rows if row.component == "MG"]
    assert roles(magnesium) == {"target": (CLINIC, 300), "upper": ("UL", 350)}
    assert magnesium[-1].source == SOURCE
    assert "RDA of 320" in magnesium[-1].note
    assert [row for row in rows if row.component == "K"] == ROWS[:1]


def test_an_aim_above_a_published_level_lifts_it():
    rows = with_figures(ROWS, clinic_figures([figure("MG", aim="600 mg")]))
    assert roles([row for row in rows if row.component == "MG"]) == {"target": (CLINIC, 600)}


def test_a_limit_takes_the_place_of_the_level_and_drops_a_target_above_it():
    low = with_figures(ROWS, clinic_figures([figure("MG", limit="200 mg")]))
    assert roles([row for row in low if row.component == "MG"]) == {"upper": (CLINIC, 200)}
    high = with_figures(ROWS, clinic_figures([figure("MG", limit="800 mg")]))
    kept = roles([row for row in high if row.component == "MG"])
    assert kept == {
        "target": ("RDA", 320),
        "requirement": ("EAR", 265),
        "upper": (CLINIC, 800),
    }


def test_chloride_comes_with_salt():
    rows = [published("NA", "target", 1500, "AI"), published("CLD", "target", 2300, "AI")]
    new_rows = with_figures(rows, clinic_figures([figure("NA", aim="2 g")]))
    assert [row.component for row in new_rows] == ["NA"]


def test_a_check_judges_by_the_figure_and_names_its_author():
    plan = small_plan(
        clinic=[
            {"component": "K", "aim": "1 g", "limit": "1.2 g", **WHO},
            {"component": "VITC", "aim": "20 mg", **WHO},
        ]
    )
    rows = check(plan).coverage.set_index(["component", "day"])
    for _, row in rows.loc[["K", "VITC"]].iterrows():
        assert row["reference_kind"] == CLINIC
        assert row["reference_source"] == SOURCE
        assert row["chance_of"] == "advised amount"
    potassium = rows.loc["K"]
    assert (potassium["upper"] == 1200).all()
    assert (potassium["upper_kind"] == CLINIC).all()
    is_above = potassium["upper_likely"] > 1200
    assert (potassium.loc[is_above, "status"] == "too much").all()


def test_a_clinics_energy_is_an_aim_and_the_days_use_stays_the_use():
    aimed = small_plan(clinic=[{"component": "energy", "aim": "1500 kcal", **WHO}])
    with_aim, without = check(aimed, draws=0), check(small_plan(), draws=0)
    for trip, balance in without.balance.items():
        assert with_aim.balance[trip].per_day_kcal == balance.per_day_kcal
    energy = with_aim.coverage.query("component == 'ENERC_KCAL'")
    assert (energy["reference"] == 1500).all()
    assert (energy["chance_of"] == "advised amount").all()


# ---------------------------------------------------------------- what no figure judges


@pytest.mark.parametrize(
    ("condition", "tags"),
    [
        ("kidney", {"NA", "K", "MG", "P", "PROCNT"}),
        ("heart", {"NA", "K"}),
        ("salt medicine", {"NA", "K"}),
        ("iron overload", {"FE"}),
        ("coeliac", set()),
    ],
)
def test_what_does_not_hold_with_a_condition_is_left_to_the_doctor(condition, tags):
    person = small_plan()["person"] | {"conditions": [condition]}
    rows = check(small_plan(person=person), draws=0).coverage
    asked = rows[rows["status"] == "ask your doctor"]
    assert set(asked["component"]) == tags
    assert set(asked["day"]) == {"walk", "rest", "trip mean"} or not tags
    assert asked["reference"].isna().all()
    assert asked["chance"].isna().all()
    assert asked["likely"].notna().all()


def test_a_clinics_figure_lifts_it_for_its_component_alone():
    person = small_plan()["person"] | {"conditions": ["kidney"]}
    clinic = [{"component": "K", "aim": "2 g", "limit": "2.5 g", **WHO}]
    rows = check(small_plan(person=person, clinic=clinic), draws=0).coverage
    asked = set(rows.loc[rows["status"] == "ask your doctor", "component"])
    assert asked == {"NA", "MG", "P", "PROCNT"}
    assert (rows.loc[rows["component"] == "K", "reference"] == 2000).all()


def test_an_upper_level_holds_where_there_is_no_figure():
    """IOM 1997: 350 mg of magnesium from supplements, with kidney disease too."""
    person = small_plan()["person"] | {"conditions": ["kidney"]}
    tablet = {"name": "tablet", "kind": "supplement", "serving": "1 g", "amounts": {"MG": "500 mg"}}
    plan = small_plan(person=person, label=[tablet])
    plan["packed"].append({"item": "tablet", "mass": "20 g"})
    plan["portions"].append({"item": "tablet", "amount": "1 g"})
    rows = check(plan, draws=0).coverage
    assert (rows.loc[rows["component"] == "MG", "status"] == "too much").all()
