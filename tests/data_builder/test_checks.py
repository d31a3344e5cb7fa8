"""The quality report finds what does not add up, and only that."""

import numpy as np
import pytest

from data_builder.checks import MISSING, quality_report
from data_builder.dataset import Amounts, Dataset
from nutricheck.foods.store import ComponentRow, FoodRow, TableSource

TAGS = ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC", "ENERC_KCAL", "SUGAR", "FIBTG", "NA")
UNITS = dict.fromkeys(TAGS, "g") | {"ENERC_KCAL": "kcal", "NA": "mg"}
# Raw turnip: sums to 100 g; 0.9 × 2.44 + 0.1 × 8.37 + 6.43 × 3.57 = 26 kcal
WHOLE = (91.87, 0.90, 0.10, 6.43, 0.70, 0.0, 28.0, 3.8, 1.8, 67.0)
FACTORS = (2.44, 8.37, 3.57)


def dataset(amounts, factors=FACTORS):
    values = np.array([amounts], dtype=float)
    food, component = np.nonzero(~np.isnan(values))
    source = TableSource("made up", "1", "CC0", "", "", "")
    return Dataset(
        source,
        {"1": "Roots"},
        [ComponentRow(tag, tag, tag, UNITS[tag]) for tag in TAGS],
        [FoodRow("01001", "Turnip", "1", "", "", "", None, 6.25, *factors)],
        Amounts(food, component, values[food, component]),
        [],
    )


def changed(**amounts):
    return [amounts.get(tag, amount) for tag, amount in zip(TAGS, WHOLE, strict=True)]


def findings(data):
    return [(f.check, f.component) for f in quality_report(data).findings if f.check != MISSING]


def test_sound_food():
    assert findings(dataset(WHOLE)) == []


@pytest.mark.parametrize(
    ("amounts", "check"),
    [
        ({"WATER": 80.0}, "sum of proximates"),
        ({"ENERC_KCAL": 60.0}, "energy against Atwater"),
        ({"NA": -1.0}, "amount below zero"),
        ({"NA": 100_001.0}, "more than 100 g can hold"),
        ({"ENERC_KCAL": 950.0}, "more than 100 g can hold"),
        ({"SUGAR": 6.0}, "parts exceed CHOCDF"),
    ],
)
def test_unsound_food(amounts, check):
    assert check in {found for found, _ in findings(dataset(changed(**amounts)))}


def test_unknown_is_not_unsound_but_counted():
    data = dataset(changed(ASH=float("nan"), NA=float("nan")))
    assert findings(data) == []
    shares = {f.component: f.found for f in quality_report(data).findings if f.check == MISSING}
    assert shares["NA"] == 1.0
    assert shares["WATER"] == 0.0


def test_alcohol_counts_in_both_sums():
    """A made-up wine: 87 g water, 10.6 g alcohol, 2.2 g carbohydrate, 0.2 g ash: 82 kcal."""
    amounts = (87.0, 0.0, 0.0, 2.2, 0.2, 10.6, 82.0, 0.6, 0.0, 5.0)
    assert findings(dataset(amounts, (None, None, None))) == []


def test_own_factors_win_over_the_general_ones():
    """Fibre-rich: 60 g carbohydrate at 2 kcal/g is 120 kcal, not 240."""
    amounts = (30.0, 5.0, 2.0, 60.0, 3.0, 0.0, 150.0, 0.0, 50.0, 5.0)
    assert findings(dataset(amounts, (2.4, 8.4, 2.0))) == []
    assert findings(dataset(amounts, (2.4, 0.0, 2.0))) == [("energy against Atwater", "ENERC_KCAL")]


def test_summary_counts():
    text = quality_report(dataset(changed(WATER=80.0))).summary()
    assert "1  sum of proximates" in text
    assert "0.0%" in text
