"""The status words follow from the chance that the range gives, by the rules in coverage.py."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from nutricheck.adequacy import chance, coverage
from nutricheck.needs.reference import NO_FIGURE, levels_by_food
from nutricheck.needs.sodium import (
    SALT_DANGER,
    SALT_HIGH,
    SALT_LOW,
    SALT_LOW_EVERY_DAY,
    SALT_LOW_FIRST,
)
from nutricheck.plan.models import Person

NAN = math.nan


def intake_rows(**values):
    row = {
        "day": "walk",
        "component": "MG",
        "low": 90.0,
        "likely": 100.0,
        "high": 110.0,
        "known_share": 1.0,
        "added": 0.0,
        "supplemental": 0.0,
        "inactive": 0.0,
        "drawn": 0.0,
        "borrowed": 0.0,
    } | values
    row.setdefault("accounted_share", row["known_share"])
    for amount in ("added", "supplemental", "inactive"):
        for end in ("low", "high"):
            row.setdefault(f"{amount}_{end}", row[amount])
    return pd.DataFrame([row])


def target_row(role, likely, low=None, high=None, **values):
    return {
        "day": "walk",
        "component": "MG",
        "role": role,
        "kind": {"target": "RDA", "requirement": "EAR", "upper": "UL"}.get(role, role),
        "basis": "all sources",
        "low": likely if low is None else low,
        "likely": likely,
        "high": likely if high is None else high,
        "sd": NAN,
        "unit": "mg",
        "is_published": True,
        "source": "by hand",
        "note": "",
    } | values


def compared(intake, *targets):
    rows = coverage.coverage_table(intake, pd.DataFrame(list(targets)))
    return rows[rows["component"] == targets[0]["component"]].iloc[0]


@pytest.mark.parametrize(
    ("intake", "target", "status"),
    [
        ((90, 100, 110), (200, 200, 200), chance.BELOW_ADVISED),
        ((90, 100, 110), (105, 105, 105), chance.BELOW_ADVISED),
        ((90, 100, 110), (101, 101, 101), chance.NEAR_ADVISED),
        ((90, 100, 110), (99, 99, 99), chance.NEAR_ADVISED),
        ((90, 100, 110), (95, 95, 95), chance.LIKELY_ENOUGH),
        ((90, 100, 110), (80, 80, 80), chance.ENOUGH),
        ((100, 100, 100), (50, 110, 200), chance.NEAR_ADVISED),
        ((0, 0, 0), (10, 10, 10), chance.BELOW_ADVISED),
        ((NAN, NAN, NAN), (10, 10, 10), chance.NOT_KNOWN),
    ],
)
def test_status_from_the_range_of_what_is_only_advised(intake, target, status):
    """By hand: 105 lies ln(1.05) / (ln(1.1) / 1.645) = 0.84 deviations above 100: 2 in 10."""
    low, likely, high = intake
    rows = intake_rows(low=low, likely=likely, high=high)
    row = compared(rows, target_row("target", target[1], target[0], target[2], kind="AI"))
    assert row["status"] == status


@pytest.mark.parametrize(
    ("likely", "status"),
    [(80, "short"), (92, "likely short"), (100, "even odds"), (108, "likely enough"),
     (120, "enough")],
)  # fmt: skip
def test_status_where_a_requirement_is_published(likely, status):
    """Mean requirement 100, spread (120 − 100) / 2 = 10 (IOM 2000), an intake without a range."""
    rows = intake_rows(low=likely, likely=likely, high=likely)
    targets = target_row("target", 120), target_row("requirement", 100)
    assert compared(rows, *targets)["status"] == status


def test_what_sweat_takes_comes_on_top_of_the_requirement():
    """Base 120, planned with 30 more for sweat: the mean requirement is 100 + 30."""
    rows = intake_rows(low=130, likely=130, high=130)
    planned = target_row("target", 150, kind="planning"), target_row("base", 120, kind="RDA")
    assert compared(rows, *planned, target_row("requirement", 100))["status"] == chance.EVEN


def test_incomplete_can_be_enough_but_not_short():
    rows = intake_rows(known_share=0.5)
    assert compared(rows, target_row("target", 50.0))["status"] == chance.ENOUGH
    assert compared(rows, target_row("target", 500.0))["status"] == chance.NOT_KNOWN


def test_ratio_range_by_hand():
    """ln(120/100) and ln(100/80) combine as the root of their squares."""
    row = compared(intake_rows(low=80, likely=100, high=120), target_row("target", 100, 80, 125))
    assert row["ratio"] == 1
    assert row["ratio_high"] == pytest.approx(math.exp(math.hypot(math.log(1.2), math.log(1.25))))
    assert row["ratio_low"] == pytest.approx(math.exp(-math.hypot(math.log(1.25), math.log(1.25))))


@pytest.mark.parametrize(
    ("basis", "status"),
    [
        ("all sources", coverage.ABOVE),
        ("supplements only", chance.ENOUGH),
        ("supplements and fortified food", coverage.ABOVE),
    ],
)
def test_upper_level_on_its_own_basis(basis, status):
    rows = intake_rows(low=500, likely=500, high=500, supplemental=300, added=400)
    row = compared(rows, target_row("target", 310), target_row("upper", 350, basis=basis))
    assert row["status"] == status


def test_retinol_counts_for_the_upper_level_of_vitamin_a():
    rows = pd.concat(
        [
            intake_rows(component="VITA_RAE", low=9000, likely=9000, high=9000),
            intake_rows(component="RETOL", low=100, likely=100, high=100),
        ]
    )
    target = target_row("target", 700, component="VITA_RAE")
    upper = target_row("upper", 3000, component="VITA_RAE", basis="preformed retinol")
    row = compared(rows, target, upper)
    assert row["status"] == chance.ENOUGH
    assert row["upper_likely"] == 100


def test_the_top_of_the_range_over_the_upper_level_is_said():
    rows = intake_rows(low=320, likely=340, high=400)
    row = compared(rows, target_row("target", 310), target_row("upper", 350))
    assert row["status"] == chance.MAYBE_TOO_MUCH
    assert "top of the range" in row["note"]


def test_an_unclear_supplement_may_pass_the_upper_level():
    rows = intake_rows(low=600, likely=600, high=600, supplemental=320, supplemental_high=400)
    upper = target_row("upper", 350, basis="supplements only")
    row = compared(rows, target_row("target", 310), upper)
    assert row["status"] == chance.MAYBE_TOO_MUCH
    assert "top of the range" in row["note"]


@pytest.mark.parametrize(
    ("tag", "age", "times", "added", "status"),
    [
        ("MN", 12, 1.3, 0, chance.ENOUGH),
        ("MN", 40, 4.9, 0, chance.ENOUGH),
        ("MN", 12, 1.3, 0.5, coverage.ABOVE),
        ("MN", 12, 5.1, 0, coverage.ABOVE),
        ("ZN", 12, 1.3, 0, chance.ENOUGH),
        ("ZN", 12, 2.1, 0, coverage.ABOVE),
        ("ZN", 40, 1.3, 0, coverage.ABOVE),
        ("CU", 12, 1.3, 0, coverage.ABOVE),
        ("SE", 12, 1.3, 0, coverage.ABOVE),
    ],
)
def test_a_level_set_by_what_people_eat_is_no_harm_by_food_alone(tag, age, times, added, status):
    """IOM 2001: manganese's level is that of plant diets, zinc's of the young that of infants on
    formula by body mass. Liver and Brazil nuts do harm by copper and selenium of food."""
    who = Person(sex="female", age=age, mass="45 kg", height="150 cm")
    eaten = 6 * times
    rows = intake_rows(component=tag, low=eaten, likely=eaten, high=eaten, added=added)
    targets = [
        target_row("target", 1.6, component=tag),
        target_row("upper", 6, component=tag, basis="all sources", kind="UL"),
    ]
    found = coverage.coverage_table(rows, pd.DataFrame(targets), levels_by_food(who))
    row = found[found["component"] == tag].iloc[0]
    assert row["status"] == status
    assert ("by ordinary food alone" in row["note"]) == (status == chance.ENOUGH)


def test_folic_acid_of_fortified_food_counts():
    rows = intake_rows(component="FOLAC", low=1200, likely=1200, high=1200)
    upper = target_row("upper", 1000, component="FOLAC", basis="supplements and fortified food")
    assert compared(rows, upper)["status"] == coverage.ABOVE


def salt_rows(day="walk", low=3722.0, aim=5871.0, high=6971.0, danger=10971.0, first=3900.0):
    """The lines of sodium; case A of the worked cases (tests/needs/test_sodium.py)."""
    lines = {
        "target": aim,
        SALT_LOW: low,
        SALT_LOW_EVERY_DAY: low + 900,
        SALT_LOW_FIRST: first,
        SALT_HIGH: high,
        SALT_DANGER: danger,
    }
    kind = {"kind": "planning", "is_published": False}
    return [target_row(role, line, component="NA", day=day, **kind) for role, line in lines.items()]


@pytest.mark.parametrize(
    ("eaten", "word"),
    [
        (3500, "too little sodium"),
        (3722, "sodium is right"),
        (4211, "sodium is right"),
        (6971, "sodium is right"),
        (7311, "more than useful"),
        (10971, "more than useful"),
        (11000, "far too much"),
    ],
)
def test_sodium_is_judged_by_its_lines_alone(eaten, word):
    """However wide the range of the intake is."""
    rows = intake_rows(component="NA", low=eaten * 0.5, likely=eaten, high=eaten * 2.0)
    assert compared(rows, *salt_rows())["status"] == word


def test_sodium_of_the_trip_is_held_to_the_stricter_low_line():
    day = coverage.TRIP_MEAN
    rows = intake_rows(component="NA", day=day, low=4000, likely=4000, high=4000)
    assert compared(rows, *salt_rows(day=day))["status"] == "too little sodium"


@pytest.mark.parametrize(
    ("eaten", "known", "word"),
    [(3500, 0.89, "not known"), (3500, 0.91, "too little sodium"), (4211, 0.2, "sodium is right")],
)
def test_sodium_that_is_only_at_least_so_much_is_not_called_too_little(eaten, known, word):
    rows = intake_rows(component="NA", low=eaten, likely=eaten, high=eaten, known_share=known)
    assert compared(rows, *salt_rows())["status"] == word


def test_sodium_right_as_the_mean_and_too_little_on_the_first_heat_day_is_noted():
    rows = intake_rows(component="NA", low=3800, likely=3800, high=3800)
    row = compared(rows, *salt_rows())
    assert row["status"] == "sodium is right" and "first heat day" in row["note"]
    enough = intake_rows(component="NA", low=3900, likely=3900, high=3900)
    assert "first heat day" not in compared(enough, *salt_rows())["note"]


def test_one_day_without_a_salt_figure_leaves_the_trip_without_one():
    asked = target_row(NO_FIGURE, NAN, component="NA", day="walk", kind="ask your doctor")
    targets = pd.DataFrame([asked, *salt_rows(day="rest")])
    mean = coverage.mean_targets(targets, pd.Series({"walk": 1, "rest": 3}))
    assert mean["role"].tolist() == [NO_FIGURE]
    rows = intake_rows(component="NA", day=coverage.TRIP_MEAN, likely=4000)
    row = compared(rows, *mean.to_dict("records"))
    assert row["status"] == "ask your doctor" and np.isnan(row["reference"])
    only_rest = coverage.mean_targets(targets, pd.Series({"walk": 0, "rest": 3}))
    assert "target" in set(only_rest["role"])


def test_trip_mean_weighs_by_days():
    rows = pd.concat([intake_rows(likely=100.0), intake_rows(day="rest", likely=40.0)])
    mean = coverage.mean_intake(rows, pd.Series({"walk": 3, "rest": 1}))
    assert mean["likely"].tolist() == [85]
    assert mean["day"].tolist() == [coverage.TRIP_MEAN]


def test_trip_mean_with_an_unknown_day_is_at_least():
    """What one day brings does not stand for the days of which nothing is known."""
    rows = pd.concat(
        [intake_rows(likely=100.0), intake_rows(day="rest", likely=NAN, known_share=0.0)]
    )
    mean = coverage.mean_intake(rows, pd.Series({"walk": 3, "rest": 1}))
    assert mean["likely"].tolist() == [75]
    assert mean["known_share"].tolist() == [0.75]


def test_trip_mean_of_one_known_day_in_twenty_is_not_covered():
    known = dict.fromkeys(("low", "likely", "high"), 600.0)
    unknown = dict.fromkeys(known, NAN)
    rows = pd.concat(
        [
            intake_rows(component="ID", day="walk", **unknown, known_share=0.0),
            intake_rows(component="ID", day="rest", **known, known_share=0.0),
        ]
    )
    mean = coverage.mean_intake(rows, pd.Series({"walk": 19, "rest": 1}))
    row = compared(mean, target_row("target", 150, component="ID", day=coverage.TRIP_MEAN))
    assert (row["likely"], row["status"]) == (30, chance.NOT_KNOWN)


def test_trip_mean_unknown_on_every_day_is_unknown():
    rows = pd.concat([intake_rows(day=day, likely=NAN) for day in ("walk", "rest")])
    assert coverage.mean_intake(rows, pd.Series({"walk": 3, "rest": 1}))["likely"].isna().all()


def test_trip_mean_of_published_and_planning_targets_is_one_row():
    rows = pd.DataFrame(
        [
            target_row("target", 310.0, day="rest"),
            target_row("target", 350.0, kind="planning", is_published=False),
        ]
    )
    mean = coverage.mean_targets(rows, pd.Series({"walk": 3, "rest": 1}))
    assert mean["likely"].tolist() == [340]
    assert mean["kind"].tolist() == ["planning"]


def test_energy_shares_by_hand():
    """50 g protein, 100 g fat, 275 g carbohydrate: 200 + 900 + 1100 = 2200 kcal."""
    rows = pd.concat(
        [
            intake_rows(component="PROCNT", likely=50.0),
            intake_rows(component="FAT", likely=100.0),
            intake_rows(component="CHOCDF", likely=275.0),
        ]
    )
    bounds = []
    for tag, low, high in (("PROCNT", 10, 35), ("FAT", 20, 35), ("CHOCDF", 45, 65)):
        for role, value in (("range low", low), ("range high", high)):
            row = target_row("upper", value, component=tag, basis="% of energy")
            bounds.append(row | {"role": role, "kind": "AMDR"})
    shares = coverage.energy_shares(rows, pd.DataFrame(bounds)).set_index("component")
    assert shares["share"].tolist() == pytest.approx([200 / 22, 900 / 22, 1100 / 22])
    assert shares["status"].tolist() == ["below the range", "above the range", "inside the range"]
    assert np.isclose(shares["share"].sum(), 100)


def test_chance_of_adequacy_needs_a_known_intake():
    """Unknown is not zero: of an "at least" no chance follows."""
    targets = target_row("target", 120, sd=10.0), target_row("requirement", 100)
    assert compared(intake_rows(), *targets)["probability_adequate"] == pytest.approx(0.5)
    assert math.isnan(compared(intake_rows(known_share=0.5), *targets)["probability_adequate"])


def test_chance_of_adequacy_by_hand():
    """IOM 2000: z = (110 − 100) / hypot(10, 32.9 / 3.29) = 0.7071, below which lie 76.0 %."""
    targets = target_row("target", 120, sd=10.0), target_row("requirement", 100)
    found = compared(intake_rows(low=95.0, likely=110.0, high=127.9), *targets)
    assert found["probability_adequate"] == pytest.approx(0.7602, abs=0.0005)


def test_a_mean_with_a_planning_figure_has_no_spread_of_requirements():
    walk = target_row("target", 347, kind="planning", is_published=False)
    rest = target_row("target", 320, day="rest", sd=27.5)
    counts = pd.Series({"walk": 10, "rest": 2})
    mean = coverage.mean_targets(pd.DataFrame([walk, rest]), counts).iloc[0]
    assert mean["likely"] == pytest.approx((10 * 347 + 2 * 320) / 12) and math.isnan(mean["sd"])


@pytest.mark.parametrize(
    ("kind", "likely", "high", "added", "expected"),
    [
        ("UL", 9.0, 11.0, 0.0, "maybe too much"),
        ("UL", 10.0, 10.0, 0.0, ""),
        ("clinic", 11.0, 12.0, math.nan, "too much"),
        ("safe level", 11.0, 12.0, math.nan, ""),  # by ordinary food alone
        ("safe level", 11.0, 12.0, 6.0, "too much"),
        ("safe level", 9.0, 12.0, 9.0, ""),
        ("UL from food", 15.0, 20.0, 0.0, ""),
        ("UL", math.nan, math.nan, math.nan, ""),
    ],
)
def test_an_excess_by_hand(kind, likely, high, added, expected):
    row = {"upper_kind": kind, "upper": 10.0, "upper_likely": likely, "upper_high": high}
    assert coverage.excesses(pd.DataFrame([row | {"added": added}])) == [expected]
