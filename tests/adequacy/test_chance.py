"""The chance that an intake is enough: by hand, by brute force, and its words."""

from __future__ import annotations

import math

import numpy as np
import pandas as pd
import pytest

from nutricheck.adequacy.chance import (
    ADVISED,
    REQUIREMENT,
    aims_of,
    chance_word,
    chances,
    drawn_amounts,
    lognormal_share,
)
from nutricheck.plan.models import Person
from tests.plans import WOMAN

TAGS = ("MG", "K", "PROCNT", "ENERC_KCAL", "CA")
NO_LOSS = pd.DataFrame(columns=["low", "likely", "high"], dtype=float)


def walker(**values):
    return Person(**WOMAN | values)


def target(day, tag, role, kind, likely, low=None, high=None):
    return {
        "day": day,
        "component": tag,
        "role": role,
        "kind": kind,
        "low": likely if low is None else low,
        "likely": likely,
        "high": likely if high is None else high,
    }


def found(draws, targets, losses=None, known_share=1.0, counts=None, person=None, seed=1):
    """Chances of draws given as {day: {tag: array}}."""
    days = list(draws)
    count = len(next(iter(next(iter(draws.values())).values())))
    array = np.full((len(days), count, len(TAGS)), np.nan)
    for i, day in enumerate(days):
        for tag, values in draws[day].items():
            array[i, :, TAGS.index(tag)] = values
    intake = pd.DataFrame(
        [(day, tag, known_share) for day in [*days, "trip mean"] for tag in TAGS],
        columns=["day", "component", "accounted_share"],
    )
    counts = pd.Series(counts or dict.fromkeys(days, 1))
    aims = aims_of(
        person or walker(),
        "DRI",
        pd.DataFrame(targets),
        {day: (losses or {}).get(day, NO_LOSS) for day in days},
        counts,
        count,
        seed,
    )
    mean = np.einsum("d,dnc->nc", counts.to_numpy() / counts.sum(), array)
    drawn = {**dict(zip(days, array, strict=True)), "trip mean": mean}
    found = chances(aims, drawn, intake, TAGS)
    columns = ["chance", "chance_of", "chance_word"]
    return pd.DataFrame(found.values(), pd.MultiIndex.from_tuples(found), columns)


@pytest.mark.parametrize("count", range(11))
def test_the_word_follows_from_the_rounded_figure(count):
    """Each chance that rounds to a tenth has that tenth's word, whatever its further digits."""
    words = ["short", *["likely short"] * 3, *["even odds"] * 3, *["likely enough"] * 3, "enough"]
    advised = [
        *["below the advised amount"] * 4,
        *["near the advised amount"] * 3,
        *["likely enough"] * 3,
        "enough",
    ]
    for chance in np.clip(count / 10 + np.array([-0.049, 0.0, 0.049]), 0, 1):
        assert chance_word(float(chance), REQUIREMENT) == words[count]
        assert chance_word(float(chance), ADVISED) == advised[count]


def test_requirement_by_brute_force():
    """A requirement drawn for each of 400,000 people, held against an intake drawn anew."""
    stream = np.random.default_rng(3)
    intake = 280 * np.exp(0.2 * stream.standard_normal(2000))
    targets = [
        target("walk", "MG", "target", "RDA", 320),
        target("walk", "MG", "requirement", "EAR", 265),
    ]
    got = found({"walk": {"MG": intake}}, targets).loc[("walk", "MG")]
    people = 265 + 27.5 * stream.standard_normal(400_000)
    meals = stream.choice(intake, 400_000)
    assert got["chance"] == pytest.approx((meals >= people).mean(), abs=0.005)
    assert got["chance_of"] == "requirement"


def test_protein_is_skewed_by_brute_force():
    stream = np.random.default_rng(4)
    intake = 45 * np.exp(0.1 * stream.standard_normal(2000))
    targets = [
        target("walk", "PROCNT", "target", "RDA", 48.8),
        target("walk", "PROCNT", "requirement", "EAR", 40.26),
    ]
    got = found({"walk": {"PROCNT": intake}}, targets).loc[("walk", "PROCNT")]
    sd = math.log(48.8 / 40.26) / 1.959964
    people = 40.26 * np.exp(sd * stream.standard_normal(400_000))
    assert got["chance"] == pytest.approx(
        (stream.choice(intake, 400_000) >= people).mean(), abs=0.005
    )


def test_what_sweat_takes_comes_on_top():
    """300 mg less 35 mg in sweat is the median requirement of 265: even odds."""
    targets = [
        target("walk", "MG", "base", "RDA", 320),
        target("walk", "MG", "target", "planning", 355),
        target("walk", "MG", "requirement", "EAR", 265),
    ]
    losses = {"walk": pd.DataFrame({"low": 35.0, "likely": 35.0, "high": 35.0}, index=["MG"])}
    got = found({"walk": {"MG": np.full(100, 300.0)}}, targets, losses).loc[("walk", "MG")]
    assert got["chance"] == pytest.approx(0.5)
    assert got["chance_word"] == "even odds"


def test_an_advised_amount_is_reached_or_not_but_never_short():
    targets = [target("walk", "K", "target", "AI", 2600)]
    intake = np.linspace(2000, 3000, 1001)
    got = found({"walk": {"K": intake}}, targets).loc[("walk", "K")]
    assert got["chance"] == pytest.approx(0.4, abs=0.002)
    assert got["chance_word"] == "near the advised amount"
    low = found({"walk": {"K": intake - 1500}}, targets).loc[("walk", "K")]
    assert (low["chance"], low["chance_word"]) == (0.0, "below the advised amount")


def test_energy_by_the_days_use_and_the_trips_mean_by_the_same_draws():
    """A trip of three walks and a rest eats and needs the weighted means."""
    targets = [
        target("walk", "ENERC_KCAL", "target", "planning", 3000),
        target("rest", "ENERC_KCAL", "target", "planning", 2000),
    ]
    shared = np.linspace(0.9, 1.1, 1001)
    draws = {
        "walk": {"ENERC_KCAL": 2900 * shared},
        "rest": {"ENERC_KCAL": 2400 * shared},
    }
    rows = found(draws, targets, counts={"walk": 3, "rest": 1})
    mean = (3 * 2900 + 2400) / 4 * shared
    assert rows.loc[("trip mean", "ENERC_KCAL"), "chance"] == pytest.approx((mean >= 2750).mean())
    assert rows.loc[("walk", "ENERC_KCAL"), "chance"] == pytest.approx(
        (2900 * shared >= 3000).mean()
    )
    assert rows.loc[("walk", "ENERC_KCAL"), "chance_of"] == "the day's use"


def test_of_an_intake_that_is_at_least_so_much_nothing_low_follows():
    targets = [target("walk", "K", "target", "AI", 2600)]
    little = found({"walk": {"K": np.full(10, 1000.0)}}, targets, known_share=0.5)
    assert math.isnan(little.loc[("walk", "K"), "chance"])
    assert little.loc[("walk", "K"), "chance_word"] == "not known"
    plenty = found({"walk": {"K": np.full(10, 3000.0)}}, targets, known_share=0.5)
    assert plenty.loc[("walk", "K"), "chance_word"] == "enough"


def test_more_food_never_lowers_a_chance():
    targets = [
        target("walk", "MG", "target", "RDA", 320),
        target("walk", "MG", "requirement", "EAR", 265),
    ]
    intake = np.random.default_rng(5).lognormal(5.5, 0.3, 500)
    steps = [
        found({"walk": {"MG": intake * more}}, targets).loc[("walk", "MG"), "chance"]
        for more in np.linspace(0.2, 3, 40)
    ]
    assert steps == sorted(steps)


def test_draws_of_a_figure_have_its_ends():
    z = np.random.default_rng(6).standard_normal(200_000)
    drawn = drawn_amounts(50.0, 100.0, 300.0, z)
    assert np.percentile(drawn, [5, 50, 95]) == pytest.approx([50, 100, 300], rel=0.02)
    assert drawn_amounts(0.0, 100.0, 300.0, z).min() >= 0


def test_a_lognormal_requirement_has_its_upper_percentile():
    assert lognormal_share(np.array([8.0, 6.0, 0.0]), 6.0, 8.0) == pytest.approx([0.975, 0.5, 0])
