"""The diet problem of the linear-programming literature, through the same code as additions."""

import csv
from pathlib import Path

import numpy as np
import pandas as pd
import pytest

from nutricheck.advice.additions.model import AT_LEAST, AT_MOST, Problem
from nutricheck.advice.additions.programme import lightest

# Daily allowances of a moderately active man of 154 lb (National Research Council 1943), as
# G. J. Stigler, The cost of subsistence, Journal of Farm Economics 27(2), 1945, table 1.
ALLOWANCES = {
    "calories_1000": 3.0,
    "protein_g": 70.0,
    "calcium_g": 0.8,
    "iron_mg": 12.0,
    "vitamin_a_1000_iu": 5.0,
    "thiamine_mg": 1.8,
    "riboflavin_mg": 2.7,
    "niacin_mg": 18.0,
    "ascorbic_acid_mg": 75.0,
}


def one_day(amounts, limits, *, base=None, cost=1.0, ceiling=np.inf):
    """A problem with one day and any amounts; ``limits`` are (tag, side, bound)."""
    days = ["day"]
    base = pd.DataFrame(base or {}, index=days, columns=amounts.columns, dtype=float).fillna(0.0)
    return Problem(
        low=amounts,
        high=amounts,
        base_low=base,
        base_high=base,
        limits=pd.DataFrame(limits, columns=["tag", "side", "bound"]).assign(
            day="day",
            is_firm=True,
            is_strict=False,
            weight=1.0,
            is_worth_part=True,
            rank=0,
            scale=lambda table: table["bound"],
        ),
        items=pd.DataFrame({"cost": cost, "step_g": 0.0, "is_new": True}, index=amounts.index),
        ceilings=pd.DataFrame({"day": ceiling}, index=amounts.index),
        counts=pd.Series({"day": 1}),
    )


@pytest.fixture(scope="module")
def stigler():
    with (Path(__file__).parent / "stigler_1945.csv").open(encoding="utf-8") as lines:
        rows = {row.pop("commodity"): row for row in csv.DictReader(lines)}
    assert len(rows) == 77
    amounts = pd.DataFrame(rows, dtype=float).T[list(ALLOWANCES)]
    limits = [(tag, AT_LEAST, bound) for tag, bound in ALLOWANCES.items()]
    return one_day(amounts, limits)


def test_stigler_optimum(stigler):
    """$39.69 a year in 1939 prices: J. Laderman, National Bureau of Standards 1947, reported in
    G. B. Dantzig, The diet problem, Interfaces 20(4), 1990, 43-47. A year is 365.25 days in
    E. Kalvelagen's and GLPK's models of the table; 365 days give $39.66."""
    answer = lightest(stigler)
    assert answer.status == "lightest"
    assert answer.objective * 365.25 == pytest.approx(39.69, abs=0.005)
    assert answer.objective * 365 == pytest.approx(39.66, abs=0.005)


def test_stigler_foods(stigler):
    """Dollars a year (365 days) on the five foods: OR-Tools documentation, The Stigler diet."""
    published = {
        "Wheat flour (enriched)": 10.77,
        "Liver (beef)": 0.69,
        "Cabbage": 4.09,
        "Spinach": 1.83,
        "Navy beans, dried": 22.28,
    }
    dollars = lightest(stigler).grams["day"] * 365
    assert dollars[dollars > 0].round(2).to_dict() == published


def test_stigler_prices_explain_the_cost(stigler):
    """Strong duality: the allowances valued at their prices cost what the diet costs."""
    answer = lightest(stigler)
    value = (answer.prices * stigler.limits["bound"]).sum()
    assert value == pytest.approx(answer.objective, rel=1e-9)
    # Five foods, so five of the nine allowances bind: calories, calcium, vitamin A, riboflavin and
    # ascorbic acid (the same documentation prints the other four above their minimum).
    binding = set(stigler.limits["tag"][answer.prices > 0])
    assert binding == {
        "calories_1000",
        "calcium_g",
        "vitamin_a_1000_iu",
        "riboflavin_mg",
        "ascorbic_acid_mg",
    }


def test_diet_with_upper_limits():
    """SAS/OR User's Guide: Mathematical Programming, The LP solver, example "Diet problem":
    protein at most 10 g, at most one unit of milk, half a unit of fish already on the plate."""
    foods = ["bread", "milk", "cheese", "potato", "fish", "yoghurt"]
    amounts = pd.DataFrame(
        {
            "protein": [4.0, 8, 7, 1.3, 8, 9.2],
            "fat": [1.0, 5, 9, 0.1, 7, 1],
            "carbohydrate": [15.0, 11.7, 0.4, 22.6, 0, 17],
            "calories": [90.0, 120, 106, 97, 130, 180],
        },
        index=foods,
    )
    cost = np.array([2.0, 3.5, 8, 1.5, 11, 1])
    problem = one_day(
        amounts,
        [
            ("calories", AT_LEAST, 300.0),
            ("protein", AT_MOST, 10.0),
            ("carbohydrate", AT_LEAST, 10.0),
            ("fat", AT_LEAST, 8.0),
        ],
        base={tag: 0.5 * amounts.at["fish", tag] for tag in amounts},
        cost=cost,
        ceiling=np.where(np.array(foods) == "milk", 1.0, np.inf),
    )
    answer = lightest(problem)
    assert answer.objective + 0.5 * 11 == pytest.approx(12.081337881, abs=1e-8)
    eaten = answer.grams["day"] + np.where(np.array(foods) == "fish", 0.5, 0.0)
    printed = [0.0, 0.053599, 0.449499, 1.865168, 0.5, 0.0]
    assert eaten.to_numpy() == pytest.approx(printed, abs=1e-6)
