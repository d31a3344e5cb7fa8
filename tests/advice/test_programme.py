"""The programme behind additions: by hand, by duality, by brute force, and where it cannot be."""

import itertools
from dataclasses import replace

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricheck.advice.additions import solver
from nutricheck.advice.additions.model import (
    AT_LEAST,
    AT_MOST,
    Model,
    Problem,
)
from nutricheck.advice.additions.programme import droppable, levels, lightest
from nutricheck.advice.additions.solver import OUT_OF_TIME, UNDECIDED, Solution

DAYS = ("rest", "climb")


def problem(amounts, limits, **changes):
    """Items × components per gram, and (day, tag, side, bound) limits; one gram costs one."""
    items = pd.DataFrame({"cost": 1.0, "step_g": 0.0, "is_new": True}, index=amounts.index)
    days = list(dict.fromkeys(day for day, *_ in limits))
    base = pd.DataFrame(0.0, index=days, columns=amounts.columns)
    parts = {
        "low": amounts,
        "high": amounts,
        "base_low": base,
        "base_high": base,
        "limits": pd.DataFrame(limits, columns=["day", "tag", "side", "bound"]).assign(
            is_firm=True,
            is_strict=False,
            weight=1.0,
            rank=0,
            is_worth_part=True,
            scale=lambda table: table["bound"],
        ),
        "items": items,
        "ceilings": pd.DataFrame(np.inf, index=amounts.index, columns=days),
        "counts": pd.Series(1, index=days),
    }
    return Problem(**(parts | changes))


@pytest.fixture
def oats_and_salt():
    """Oats hold 4 kcal and 1 mg magnesium a gram; nuts 6 and 3; salt 390 mg sodium."""
    return pd.DataFrame(
        {"kcal": [4.0, 6, 0], "mg": [1.0, 3, 0], "na": [0.0, 2, 390]},
        index=["oats", "nuts", "salt"],
    )


def test_by_hand(oats_and_salt):
    """By hand: nuts give most kcal and magnesium a gram, but 2 mg of sodium with each. 600 kcal
    from nuts alone are 100 g with 200 mg of sodium; at most 100 mg allows 50 g (300 kcal), and
    75 g of oats give the other 300. Trading a gram of nuts for 1.5 g of oats saves 2 mg of sodium
    and costs 0.5 g: 0.25 g per mg; a kcal more costs 0.25 g of oats."""
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    answer = lightest(problem(oats_and_salt, limits))
    assert answer.status == "lightest"
    assert answer.grams["day"].to_dict() == pytest.approx({"oats": 75.0, "nuts": 50.0, "salt": 0.0})
    assert answer.objective == pytest.approx(125.0)
    assert answer.prices.to_numpy() == pytest.approx([0.25, 0.25])


def test_counts_weigh_days(oats_and_salt):
    """By hand: 60 kcal are 10 g of nuts a day, on two days of one kind and five of the other."""
    limits = [("rest", "kcal", AT_LEAST, 60.0), ("climb", "kcal", AT_LEAST, 120.0)]
    counts = pd.Series({"rest": 5, "climb": 2})
    answer = lightest(problem(oats_and_salt, limits, counts=counts))
    assert answer.grams.loc["nuts"].to_dict() == pytest.approx({"rest": 10.0, "climb": 20.0})
    assert answer.objective == pytest.approx(5 * 10 + 2 * 20)
    assert answer.prices.to_numpy() == pytest.approx([5 / 6, 2 / 6])


def test_whole_steps(oats_and_salt):
    """By hand: 100 kcal in 10 g spoons of nuts take two (120 kcal); in 7 g pieces three (126)."""
    limits = [("day", "kcal", AT_LEAST, 100.0)]
    for step, grams in ((10.0, 20.0), (7.0, 21.0)):
        asked = problem(oats_and_salt, limits)
        items = asked.items.assign(step_g=step)
        answer = lightest(problem(oats_and_salt, limits, items=items))
        assert answer.grams.at["nuts", "day"] == pytest.approx(grams)
        assert answer.objective == pytest.approx(grams)


def test_at_most_so_many_new_items(oats_and_salt):
    """By hand: with one new item, oats alone must bring the 600 kcal, for nuts have too much
    sodium: 150 g instead of 125."""
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    answer = lightest(problem(oats_and_salt, limits, most_new=1))
    assert answer.status == "lightest"
    assert answer.grams["day"].to_dict() == pytest.approx({"oats": 150.0, "nuts": 0.0, "salt": 0.0})
    packed = problem(oats_and_salt, limits).items.assign(is_new=[False, True, True])
    answer = lightest(problem(oats_and_salt, limits, most_new=1, items=packed))
    assert answer.objective == pytest.approx(125.0)


def test_nothing_needed(oats_and_salt):
    base = pd.DataFrame({"kcal": [700.0], "mg": 5.0, "na": 10.0}, index=["day"])
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    answer = lightest(problem(oats_and_salt, limits, base_low=base, base_high=base))
    assert answer.status == "nothing needed"
    assert answer.objective == 0
    assert not answer.grams.to_numpy().any()


def test_unknown_counts_as_nothing(oats_and_salt):
    """An unknown amount is never relied on: the magnesium comes from oats."""
    limits = [("day", "mg", AT_LEAST, 30.0)]
    unknown = oats_and_salt.assign(mg=[1.0, np.nan, np.nan])
    answer = lightest(problem(unknown, limits))
    assert answer.grams["day"].to_dict() == pytest.approx({"oats": 30.0, "nuts": 0.0, "salt": 0.0})


def test_low_end_meets_high_end_stays_under(oats_and_salt):
    """By hand: half of the nuts' kcal is sure, so 600 kcal take 200 g; oats 150 g are lighter."""
    low = oats_and_salt.assign(kcal=[4.0, 3.0, 0.0])
    limits = [("day", "kcal", AT_LEAST, 600.0)]
    answer = lightest(problem(low, limits, high=oats_and_salt))
    assert answer.grams["day"].to_dict() == pytest.approx({"oats": 150.0, "nuts": 0.0, "salt": 0.0})


def test_conflicting_pair_is_named(oats_and_salt):
    """By hand: 100 mg of sodium allow 50 g of nuts; oats are rationed to 10 g. 340 of 600 kcal."""
    limits = [
        ("day", "kcal", AT_LEAST, 600.0),
        ("day", "na", AT_MOST, 100.0),
        ("day", "mg", AT_LEAST, 20.0),
    ]
    ceilings = pd.DataFrame({"day": [10.0, np.inf, np.inf]}, index=oats_and_salt.index)
    answer = lightest(problem(oats_and_salt, limits, ceilings=ceilings))
    assert answer.status == "not all kept"
    assert list(answer.given_up.index) == [0]
    kcal = answer.given_up.loc[0]
    assert kcal["reached"] == pytest.approx(340.0, rel=1e-4)
    assert kcal["reason"] == "other limits"
    assert kcal["with_limits"] == (1,)
    assert answer.grams["day"].to_dict() == pytest.approx(
        {"oats": 10.0, "nuts": 50.0, "salt": 0.0}, rel=1e-4
    )


def test_ceilings_that_rule_a_target_out(oats_and_salt):
    limits = [("day", "kcal", AT_LEAST, 600.0)]
    ceilings = pd.DataFrame({"day": [10.0, 10.0, 10.0]}, index=oats_and_salt.index)
    answer = lightest(problem(oats_and_salt, limits, ceilings=ceilings))
    assert answer.given_up.at[0, "reached"] == pytest.approx(100.0, rel=1e-4)
    assert answer.given_up.at[0, "reason"] == "no allowed amount"
    assert answer.given_up.at[0, "with_limits"] == ()


def test_firm_limits_outlast_soft_ones(oats_and_salt):
    """A soft limit gives way, as little as it must: 100 mg of sodium become 200."""
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    asked = problem(oats_and_salt, limits)
    softened = asked.limits.assign(is_firm=[True, False])
    ceilings = pd.DataFrame({"day": [0.0, np.inf, np.inf]}, index=oats_and_salt.index)
    answer = lightest(replace(asked, limits=softened, ceilings=ceilings))
    assert list(answer.given_up.index) == [1]
    assert answer.given_up.at[1, "reached"] == pytest.approx(200.0, rel=1e-4)
    assert answer.given_up.at[1, "with_limits"] == (0,)


def test_soft_limit_that_costs_too_much_is_given_up(oats_and_salt):
    """By hand: to stay under 100 mg of sodium, 50 g of nuts become 75 g of oats: 25 g for all of
    the bound. Worth 20, it is given up; worth 30, it is kept."""
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    asked = problem(oats_and_salt, limits)
    softened = asked.limits.assign(is_firm=[True, False])
    for worth, nuts, given_up in ((20.0, 100.0, {1: "too dear"}), (30.0, 50.0, {})):
        answer = lightest(replace(asked, limits=softened, soft_cost=worth))
        assert answer.grams.at["nuts", "day"] == pytest.approx(nuts)
        assert answer.given_up["reason"].to_dict() == given_up


def test_what_cannot_be_reached_is_not_pursued(oats_and_salt):
    """10 g of nuts bring 30 mg of magnesium at most; 60 are asked for. Worth part of the way, all
    of them are added; else nothing is, and what they would bring is told."""
    limits = [("day", "mg", AT_LEAST, 60.0)]
    ceilings = pd.DataFrame({"day": [0.0, 10.0, 0.0]}, index=oats_and_salt.index)
    asked = problem(oats_and_salt, limits, ceilings=ceilings)
    for is_worth, grams in ((True, 10.0), (False, 0.0)):
        limits = asked.limits.assign(is_worth_part=is_worth)
        answer = lightest(replace(asked, limits=limits))
        assert answer.status == "not all kept"
        assert answer.grams.at["nuts", "day"] == pytest.approx(grams, rel=1e-4)
        assert answer.given_up.at[0, "reason"] == "no allowed amount"
        assert answer.given_up.at[0, "most"] == pytest.approx(30.0)


def test_the_weightier_limit_goes_before_the_other():
    """By hand: 100 mg of sodium allow 100 g of oil or of leaf, each of which meets one limit."""
    amounts = pd.DataFrame(
        {"kcal": [9.0, 0], "mg": [0.0, 9], "na": [1.0, 1]}, index=["oil", "leaf"]
    )
    limits = [
        ("day", "kcal", AT_LEAST, 900.0),
        ("day", "mg", AT_LEAST, 900.0),
        ("day", "na", AT_MOST, 100.0),
    ]
    asked = problem(amounts, limits)
    for weights, item in (([10.0, 1.0, 1.0], "oil"), ([1.0, 10.0, 1.0], "leaf")):
        answer = lightest(replace(asked, limits=asked.limits.assign(weight=weights)))
        assert answer.grams.at[item, "day"] == pytest.approx(100.0, rel=1e-4)


def test_level_passed_beforehand_is_not_made_worse(oats_and_salt):
    """Sodium is above its level already: oats, which hold none, bring the energy."""
    base = pd.DataFrame({"kcal": [0.0], "mg": 0.0, "na": 150.0}, index=["day"])
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    answer = lightest(problem(oats_and_salt, limits, base_low=base, base_high=base))
    assert answer.grams["day"].to_dict() == pytest.approx({"oats": 150.0, "nuts": 0.0, "salt": 0.0})
    assert answer.given_up["reason"].to_dict() == {1: "passed beforehand"}


def test_too_few_new_items_is_said(oats_and_salt):
    """One item cannot bring both sodium and energy; the level reached and the reason are given."""
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_LEAST, 390.0)]
    salt_or_oats = oats_and_salt.loc[["oats", "salt"]]
    answer = lightest(problem(salt_or_oats, limits, most_new=1))
    assert answer.status == "not all kept"
    assert len(answer.given_up) == 1
    assert set(answer.given_up["reason"]) == {"too few new items"}


def test_no_new_item_allowed(oats_and_salt):
    """Nothing can be added; a soft limit that is broken as things are does not change that."""
    base = pd.DataFrame({"kcal": [400.0], "mg": 5.0, "na": 150.0}, index=["day"])
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    for tags, status in (((0, 1), "not all kept"), ((1,), "nothing needed")):
        asked = problem(oats_and_salt, limits, base_low=base, base_high=base, most_new=0)
        asked = replace(asked, limits=asked.limits.loc[list(tags)])
        answer = lightest(asked)
        assert answer.status == status
        assert not answer.grams.to_numpy().any()
    soft = [("day", "mg", AT_LEAST, 9.0)]
    asked = problem(oats_and_salt, soft, base_low=base, base_high=base, most_new=0)
    answer = lightest(replace(asked, limits=asked.limits.assign(is_firm=False)))
    assert not answer.grams.to_numpy().any()
    assert list(answer.given_up.index) == [0]


def test_without_end(oats_and_salt):
    limits = [("day", "kcal", AT_LEAST, 600.0)]
    asked = problem(oats_and_salt, limits)
    answer = lightest(problem(oats_and_salt, limits, items=asked.items.assign(cost=-1.0)))
    assert answer.status == "without end"
    assert np.isnan(answer.objective)


def test_out_of_time_gives_the_best_found_and_its_gap():
    """A hard counting problem with next to no time: an answer with a gap, or none, in time."""
    rng = np.random.default_rng(5)
    amounts = pd.DataFrame(
        rng.lognormal(0, 1.5, (400, 25)) * (rng.random((400, 25)) < 0.5),
        index=[f"food {k}" for k in range(400)],
        columns=[f"c{k}" for k in range(25)],
    )
    limits = [(day, tag, AT_LEAST, 100.0) for day in DAYS for tag in amounts]
    asked = problem(amounts, limits, most_new=6)
    answer = lightest(asked, time_limit_s=1.5, gap=1e-6)
    assert answer.seconds < 20, "a fraction of this on a machine at rest"
    assert answer.status in {"best found", "not all kept"}
    assert ((answer.grams > 0).any(axis=1)).sum() <= 6
    if answer.status == "best found":
        assert answer.gap > 0
        assert answer.bound < answer.objective
        assert (levels(asked, answer.grams) >= 100 * (1 - 1e-5)).all()


def test_next_to_no_time_still_gives_an_answer():
    """With whole steps and too few items allowed, the nearest quick answer, told as such."""
    rng = np.random.default_rng(7)
    amounts = pd.DataFrame(
        rng.lognormal(0, 1.5, (300, 20)) * (rng.random((300, 20)) < 0.4),
        index=[f"food {k}" for k in range(300)],
        columns=[f"c{k}" for k in range(20)],
    )
    limits = [(day, tag, AT_LEAST, 100.0) for day in DAYS for tag in amounts]
    asked = problem(amounts, limits, most_new=1)
    asked = replace(asked, items=asked.items.assign(step_g=5.0))
    answer = lightest(asked, time_limit_s=0.2)
    assert answer.seconds < 20, "a fraction of this on a machine at rest"
    assert answer.status == "not all kept"
    assert ((answer.grams > 0).any(axis=1)).sum() == 1
    assert (answer.grams % 5 == 0).all(axis=None)
    reached = levels(asked, answer.grams)
    assert set(reached.index[reached < 100 * (1 - 1e-4)]) == set(answer.given_up.index)


def test_an_answer_among_few_items_is_not_told_as_proven(oats_and_salt, monkeypatch):
    """When whole steps take too long over several items, those used most are searched alone.

    In any amounts 50 g of nuts and 75 g of oats are least (as by hand above), so one new item means
    oats: 150 g, of which no more is proven than that at least 125 g are needed.
    """
    minimum = Model.minimum

    def slow(model, *arguments, **named):
        is_open = model.upper[: len(model.unit_g)] > 0
        if model.is_whole.any() and is_open.sum() > 1:
            return Solution(OUT_OF_TIME, None)
        return minimum(model, *arguments, **named)

    monkeypatch.setattr(Model, "minimum", slow)
    limits = [("day", "kcal", AT_LEAST, 600.0), ("day", "na", AT_MOST, 100.0)]
    asked = problem(oats_and_salt, limits, most_new=1)
    answer = lightest(replace(asked, items=asked.items.assign(step_g=5.0)))
    assert answer.grams["day"].tolist() == [150, 0, 0]
    assert answer.status == "best found"
    assert (answer.objective, answer.bound) == pytest.approx((150, 125))
    assert answer.gap == pytest.approx(25 / 150)


def test_droppable_by_hand(oats_and_salt):
    """By hand: 120 g oats give 480 kcal and 90 g nuts 540, where 450 are asked for. Either of them
    can go, not both; the heaviest set is salt with oats, 125 g."""
    portions = pd.DataFrame({"day": [120.0, 90.0, 5.0]}, index=oats_and_salt.index)
    base = portions.T @ oats_and_salt
    limits = [("day", "kcal", AT_LEAST, 450.0)]
    alone, together = droppable(
        problem(oats_and_salt, limits, base_low=base, base_high=base), portions
    )
    assert alone["is_droppable"].to_dict() == {"oats": True, "nuts": True, "salt": True}
    assert together.grams["day"].to_dict() == {"oats": 120.0, "nuts": 0.0, "salt": 5.0}
    assert (together.objective, together.bound, together.gap) == pytest.approx((125.0, 125.0, 0.0))

    limits = [("day", "kcal", AT_LEAST, 900.0), ("day", "na", AT_LEAST, 5000.0)]
    alone, together = droppable(
        problem(oats_and_salt, limits, base_low=base, base_high=base), portions
    )
    assert alone["first_limit"].to_dict() == {"oats": 0, "nuts": 0, "salt": 1}
    # Without salt 180 of 2130 mg sodium are left, and 5000 are asked for: 1950 / 5000 more missing.
    assert alone.at["salt", "by"] == pytest.approx(0.39)
    assert together.objective == 0


amount = st.integers(0, 40).map(lambda n: n / 8)


@st.composite
def problems(draw, most_items=5, most_tags=4, whole=False):
    items = [f"item {k}" for k in range(draw(st.integers(1, most_items)))]
    tags = [f"tag {k}" for k in range(draw(st.integers(1, most_tags)))]
    days = list(DAYS[: draw(st.integers(1, 2))])
    amounts = pd.DataFrame([[draw(amount) for _ in tags] for _ in items], index=items, columns=tags)
    base = pd.DataFrame([[draw(amount) * 2 for _ in tags] for _ in days], index=days, columns=tags)
    limits = []
    for day, tag in itertools.product(days, tags):
        bound = draw(st.integers(1, 400)) / 8
        if draw(st.booleans()):
            limits.append((day, tag, AT_LEAST, bound))
        if draw(st.integers(0, 3)) == 0:
            limits.append((day, tag, AT_MOST, bound + draw(st.integers(1, 400)) / 8))
    if not limits:
        limits.append((days[0], tags[0], AT_LEAST, 1.0))
    ceiling = draw(st.sampled_from([3.0, 20.0, np.inf])) if not whole else 4.0
    return problem(
        amounts,
        limits,
        base_low=base,
        base_high=base,
        items=pd.DataFrame(
            {
                "cost": [draw(st.integers(1, 24)) / 8 for _ in items],
                "step_g": 1.0 if whole else 0.0,
                "is_new": True,
            },
            index=items,
        ),
        ceilings=pd.DataFrame(ceiling, index=items, columns=days),
        counts=pd.Series([draw(st.integers(1, 5)) for _ in days], index=days),
        most_new=draw(st.integers(1, 3)) if whole else None,
    )


def excess(asked, grams):
    """By limit, the share of its bound by which it is broken (negative: room)."""
    sign = np.where(asked.limits["side"] == AT_LEAST, -1.0, 1.0)
    return sign * (levels(asked, grams) - asked.limits["bound"]) / asked.limits["bound"]


@settings(max_examples=150, deadline=None, derandomize=True)
@given(problems(), st.randoms(use_true_random=False))
def test_duality(asked, random):
    """Weak duality, no gap at the optimum, and complementary slackness, from the prices alone.

    D. Bertsimas and J. N. Tsitsiklis, Introduction to Linear Optimization, Athena 1997,
    theorems 4.3 to 4.5.
    """
    answer = lightest(asked)
    over = excess(asked, answer.grams)
    if len(answer.given_up):
        assert (over.drop(answer.given_up.index) <= 1e-5).all()
        return
    assert answer.status in {"lightest", "nothing needed"}
    assert (over <= 1e-5).all()
    assert (answer.prices >= 0).all()

    sign = np.where(asked.limits["side"] == AT_LEAST, 1.0, -1.0)
    held = levels(asked, answer.grams * 0)
    worth = (sign * answer.prices * (asked.limits["bound"] - held)).sum()
    for day in asked.counts.index:
        here = asked.limits["day"] == day
        prices = (sign * answer.prices)[here]
        value = asked.low[asked.limits["tag"][here]].to_numpy() @ prices.to_numpy()
        left = asked.items["cost"] * asked.counts[day] - value  # reduced cost
        ceilings = asked.ceilings[day]
        is_capped = np.isfinite(ceilings)
        assert (left[~is_capped] >= -1e-6).all()
        worth += np.minimum(left[is_capped], 0.0) @ ceilings[is_capped]
        grams = answer.grams[day]
        assert (left[grams > 1e-7] <= 1e-6).all()
        assert (left[grams < ceilings - 1e-7] >= -1e-6).all()
    assert (over[answer.prices > 1e-7] >= -1e-6).all()
    assert worth == pytest.approx(answer.objective, rel=1e-6, abs=1e-6)

    # Weak duality against other plans that keep every limit: none costs less than the prices say.
    for _ in range(5):
        extra = [[random.random() * 3 for _ in answer.grams] for _ in answer.grams.index]
        other = answer.grams + np.array(extra)
        other = other.where(other < asked.ceilings, asked.ceilings)
        if (excess(asked, other) <= 0).all():
            cost = (asked.items["cost"] @ other) @ asked.counts
            assert cost >= worth - 1e-6


@settings(max_examples=60, deadline=None, derandomize=True)
@given(problems(most_items=3, most_tags=2, whole=True))
def test_whole_steps_and_counting_against_brute_force(asked):
    """Every combination of 0 to 4 g of up to three items, with at most so many items used."""
    items, days = asked.items.index, asked.counts.index
    best = np.inf
    for used in itertools.product([False, True], repeat=len(items)):
        if sum(used) > asked.most_new:
            continue
        total = 0.0
        for day in days:
            here = asked.limits["day"] == day
            part = asked.limits[here]
            ranges = [range(5) if u else (0,) for u in used]
            plans = np.array(list(itertools.product(*ranges)), dtype=float)
            reached = plans @ asked.low[part["tag"]].to_numpy()
            reached += asked.base_low.loc[day, part["tag"]].to_numpy()
            is_least = (part["side"] == AT_LEAST).to_numpy()
            bound = part["bound"].to_numpy()
            held = asked.base_high.loc[day, part["tag"]].to_numpy()
            limit = np.where(is_least, bound, np.maximum(bound, held))
            kept = np.where(is_least, reached >= limit - 1e-9, reached <= limit + 1e-9).all(axis=1)
            costs = plans @ asked.items["cost"].to_numpy() * asked.counts[day]
            total += costs[kept].min(initial=np.inf)
        best = min(best, total)
    quick = lightest(asked)
    answer = lightest(asked, gap=0.0)
    is_kept = set(answer.given_up["reason"]) <= {"passed beforehand"}
    if np.isfinite(best):
        assert is_kept
        assert answer.objective == pytest.approx(best)
        if set(quick.given_up["reason"]) <= {"passed beforehand"}:
            assert quick.objective >= best - 1e-6
            assert quick.bound <= best + 1e-6
            assert (excess(asked, quick.grams).drop(quick.given_up.index) <= 1e-6).all()
            assert ((quick.grams > 0).any(axis=1)).sum() <= asked.most_new
    else:
        assert not is_kept or (excess(asked, answer.grams) > 0).any()


@settings(max_examples=100, deadline=None, derandomize=True)
@given(problems())
def test_named_conflicts_are_real_and_smallest(asked):
    """A limit and those named with it cannot all be kept; without any one of them they can."""
    answer = lightest(asked)
    for label, row in answer.given_up.iterrows():
        if row["reason"] not in {"other limits", "no allowed amount"}:
            continue
        group = [label, *row["with_limits"]]
        alone = problem_with(asked, group)
        assert label_is_broken(alone, group)
        for one in group:
            rest = [other for other in group if other != one]
            if rest:
                assert not label_is_broken(problem_with(asked, rest), rest)


def problem_with(asked, labels):
    return replace(asked, limits=asked.limits.loc[labels])


def label_is_broken(asked, labels):
    answer = lightest(asked)
    return any(label in answer.given_up.index for label in labels)


def pack_of_four():
    """Sodium from salt, energy from oil, magnesium and calcium from leaf, by hand."""
    amounts = pd.DataFrame(
        {"na": [0.0, 0, 300], "kcal": [9.0, 0, 0], "mg": [0.0, 9, 0], "ca": [0.0, 3, 0]},
        index=["oil", "leaf", "salt"],
    )
    wanted = {"na": 600.0, "kcal": 900.0, "mg": 450.0, "ca": 300.0}
    asked = problem(amounts, [("day", tag, AT_LEAST, amount) for tag, amount in wanted.items()])
    return replace(asked, limits=asked.limits.assign(rank=[0, 1, 2, 2]))


@pytest.mark.parametrize(
    ("most_g", "step_g", "grams"),
    [
        (300, 0, (100, 100, 2)),  # all that is needed
        (202, 1, (100, 100, 2)),
        # 5 g steps of salt: calcium lacks 5 g of leaf, magnesium is whole at 50 g
        (200, 5, (100, 95, 5)),
        (110, 0, (100, 8, 2)),
        (60, 5, (55, 0, 5)),  # energy before all others
        (1, 0, (0, 0, 1)),  # and salt before energy
        (0, 1, (0, 0, 0)),
    ],
)
def test_a_limit_on_mass_is_filled_by_rank(most_g, step_g, grams):
    asked = pack_of_four()
    items = asked.items.assign(step_g=float(step_g))
    answer = lightest(replace(asked, items=items, most_g=float(most_g)))
    assert answer.grams["day"].to_list() == pytest.approx(grams, abs=1e-3)
    short = set(answer.given_up["reason"])
    assert short == (set() if grams[1] == 100 else {"too heavy"})


def test_of_one_rank_the_number_of_needs_goes_before_the_sum_of_shares():
    """By hand: 100 g. Leaf fills one need with 60 g; broth lifts two others by 90 % with 100 g."""
    amounts = pd.DataFrame(
        {"mg": [10.0, 0], "k": [0.0, 9], "ca": [0.0, 9]}, index=["leaf", "broth"]
    )
    needs = [("day", "mg", AT_LEAST, 600.0), ("day", "k", AT_LEAST, 1000.0)]
    asked = problem(amounts, [*needs, ("day", "ca", AT_LEAST, 1000.0)])
    answer = lightest(replace(asked, most_g=100.0))
    assert answer.grams["day"].to_list() == pytest.approx([60, 40], abs=1e-3)
    assert set(answer.given_up.index) == {1, 2}


def test_a_limit_on_mass_counts_each_day_as_often_as_the_trip_holds_it():
    asked = problem(
        pd.DataFrame({"kcal": [9.0]}, index=["oil"]),
        [("rest", "kcal", AT_LEAST, 90.0), ("climb", "kcal", AT_LEAST, 90.0)],
    )
    asked = replace(asked, counts=pd.Series({"rest": 3, "climb": 1}))
    assert lightest(replace(asked, most_g=40.0)).status == "lightest"
    tight = lightest(replace(asked, most_g=39.0))
    assert (tight.grams.loc["oil"] * asked.counts).sum() == pytest.approx(39.0, abs=1e-3)
    assert tight.status == "not all kept"


def test_a_second_try_of_the_solver_has_what_the_first_left(monkeypatch):
    """The first try takes 7 of 10 s and ends undecided; 3 s are left."""
    clock = iter([0.0, 0.0, 7.0])
    limits: list[float] = []

    class Undecided:
        def setOptionValue(self, name, value):
            limits.extend([value] if name == "time_limit" else [])

        def run(self):
            pass

        getSolution = getInfo = run

    monkeypatch.setattr(solver, "_solver", lambda *_: Undecided())
    monkeypatch.setattr(solver, "_status", lambda _: UNDECIDED)
    monkeypatch.setattr(solver, "_has_point", lambda _: False)
    monkeypatch.setattr(solver.time, "monotonic", lambda: next(clock))
    one = np.ones(1)
    found = solver.minimum(one, None, one, one, np.array([False]), time_limit_s=10.0)
    assert (found.status, limits) == (UNDECIDED, [10.0, 3.0])
