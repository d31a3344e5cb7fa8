"""What must hold for every plan, whatever its foods, drying and portions."""

from __future__ import annotations

import copy

import numpy as np
import pandas as pd
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricheck.adequacy import chance, coverage
from nutricheck.check_plan import Result, check
from nutricheck.drying import dry_batch
from nutricheck.drying.contents import contents_of
from nutricheck.facts.components import tags
from nutricheck.foods import open_table
from nutricheck.plan.models import Batch
from tests.plans import drawn_batches, drawn_plans, in_grams, with_portions

TABLE = open_table()
FOOD_IDS = list(TABLE.all_foods().index)
TAGS = tags()
DRAWS = 40
NOT_KNOWN = coverage.NOT_KNOWN
UNKNOWN_FOOD = "35042"  # herring, air-dried: 36 of the 46 components are not given
MINERALS = ["CA", "FE", "P", "ZN", "CU", "SE"]


def checked(plan: dict, draws: int = 0) -> Result:
    return check(plan, table=TABLE, draws=draws)


def day_rows(result: Result):
    return result.coverage[result.coverage["day"] == "day"].set_index("component")


# ---------------------------------------------------------------- batches


@settings(max_examples=20)
@given(drawn_batches())
def test_mass_balance_of_drying_closes(raw):
    batch = Batch.model_validate(raw)
    dried = dry_batch(batch, TABLE)
    dry_g = dried.dried_mass_g * (1 - dried.water_frac)
    assert dry_g == pytest.approx(dried.dry_matter_g, rel=1e-9)
    into = dried.fresh_mass_g + batch.preparation.salt_g
    assert dried.dried_mass_g + dried.water_removed_g == pytest.approx(into, rel=1e-9)
    assert dried.composition.at["WATER", "likely"] == pytest.approx(
        100 * dried.water_frac, rel=1e-9
    )
    water = TABLE.composition([part.food for part in batch.ingredients], ["WATER"])["WATER"]
    masses = np.array([part.mass_g for part in batch.ingredients])
    solids_g = (masses * (1 - water.to_numpy() / 100)).sum() + batch.preparation.salt_g
    assert dried.dry_matter_g <= solids_g * (1 + 1e-9)
    if batch.preparation.kind == "raw":
        assert dried.dry_matter_g == pytest.approx(solids_g, rel=1e-9)


@settings(max_examples=20)
@given(drawn_batches())
def test_each_component_of_a_batch_is_the_sum_of_its_ingredients(raw):
    dried = dry_batch(Batch.model_validate(raw), TABLE)
    of_ingredients = dried.steps.groupby("component")["amount"].sum(min_count=1).reindex(TAGS)
    of_batch = dried.composition["likely"] * dried.dried_mass_g / 100
    salted = {"NA", "CLD", "ASH"} if "salt" in raw["preparation"] else set()
    kept = [tag for tag in TAGS if tag not in {"WATER", "NIAEQ", *salted}]
    np.testing.assert_allclose(of_batch[kept], of_ingredients[kept], rtol=1e-9)


@settings(max_examples=20)
@given(drawn_batches())
def test_minerals_stay_where_nothing_is_poured_off(raw):
    batch = Batch.model_validate({**raw, "preparation": {"kind": "raw"}})
    dried = dry_batch(batch, TABLE)
    fresh = TABLE.composition([part.food for part in batch.ingredients], MINERALS).to_numpy()
    masses = np.array([part.mass_g for part in batch.ingredients])
    amounts = np.nansum(fresh * masses[:, None] / 100, axis=0)
    minerals = dried.composition.loc[MINERALS, "likely"] * dried.dried_mass_g / 100
    np.testing.assert_allclose(minerals, amounts, rtol=1e-9)


@settings(max_examples=20)
@given(drawn_batches(), st.integers(0, 3))
def test_low_likely_high_stay_in_order_and_shares_in_bounds(raw, seed):
    batch = Batch.model_validate(raw)
    for draws in (0, DRAWS):
        found = dry_batch(batch, TABLE, draws=draws, seed=seed).composition
        known = found["likely"].notna()
        assert (found["low"][known] <= found["likely"][known]).all()
        assert (found["likely"][known] <= found["high"][known]).all()
        assert (found["low"][known] >= 0).all()
        assert found["known_share"].between(0, 1 + 1e-12).all()
        # added salt is no ingredient: known where no food is
        dried = found[known].drop(["NA", "CLD", "ASH"], errors="ignore")
        assert (dried["known_share"] <= dried["accounted_share"] + 1e-12).all()
        assert (dried["accounted_share"] > 0).all()
        drawn = dried[dried["known_share"] == 0]
        np.testing.assert_allclose(drawn["drawn"], drawn["likely"], rtol=1e-9)


@settings(max_examples=30)  # salted batches come only after twenty
@given(drawn_batches(), st.floats(0.01, 50))
def test_a_batch_of_another_size_has_the_same_composition(raw, factor):
    other = copy.deepcopy(raw)
    for part in other["ingredients"]:
        part["mass"] = in_grams(float(part["mass"].removesuffix(" g")) * factor)
    if "salt" in raw["preparation"]:
        other["preparation"] = raw["preparation"] | {"salt": in_grams(20 * factor)}
    one, two = (dry_batch(Batch.model_validate(batch), TABLE) for batch in (raw, other))
    np.testing.assert_allclose(one.composition, two.composition, rtol=1e-9)
    assert two.dried_mass_g == pytest.approx(one.dried_mass_g * factor, rel=1e-9)


# ---------------------------------------------------------------- plans


@settings(max_examples=12)
@given(drawn_plans(), st.data())
def test_more_of_a_food_never_lowers_an_intake(plan, data):
    which = data.draw(st.integers(0, len(plan["portions"]) - 1))
    factor = data.draw(st.floats(1.001, 4))
    before = day_rows(checked(plan, DRAWS))
    after = day_rows(checked(with_portions(plan, factor, only=which), DRAWS))
    for column in ("low", "likely", "high", "ratio"):
        known = before[column].notna()
        assert (after[column][known] >= before[column][known] * (1 - 1e-9)).all(), column
    # nor does it make known what was not, or unknown what was known
    assert (after["likely"].isna() == before["likely"].isna()).all()


@settings(max_examples=12)
@given(drawn_plans(), st.floats(0.05, 8))
def test_scaling_all_portions_scales_coverage(plan, factor):
    before = day_rows(checked(plan, DRAWS))
    after = day_rows(checked(with_portions(plan, factor), DRAWS))
    for column in ("low", "likely", "high"):
        np.testing.assert_allclose(after[column], before[column] * factor, rtol=1e-9)
    np.testing.assert_allclose(after["known_share"], before["known_share"], rtol=1e-9)
    np.testing.assert_allclose(after["ratio"], before["ratio"] * factor, rtol=1e-9)


@settings(max_examples=30)  # salted batches come only after twenty
@given(drawn_plans())
def test_two_equal_halves_of_a_batch_are_the_batch(plan):
    halved = copy.deepcopy(plan)
    whole = halved["batch"].pop(0)
    number = next(
        i for i, portion in enumerate(halved["portions"]) if portion["item"] == whole["name"]
    )
    portion = halved["portions"].pop(number)
    entry = next(p for p in halved["packed"] if p["item"] == whole["name"])
    halved["packed"].remove(entry)
    for half in ("first half", "second half"):
        halves = copy.deepcopy(whole)
        halves["name"] = half
        for part in halves["ingredients"]:
            part["mass"] = in_grams(float(part["mass"].removesuffix(" g")) / 2)
        if "salt" in halves["preparation"]:
            halves["preparation"] = halves["preparation"] | {"salt": "10 g"}
        halved["batch"].append(halves)
        halved["packed"].append({"item": half, "mass": "2.5 kg"})
        amount = float(portion["amount"].removesuffix(" g")) / 2
        halved["portions"].append({"item": half, "amount": in_grams(amount)})
    one, two = checked(plan), checked(halved)
    before, after = day_rows(one), day_rows(two)
    for column in ("likely", "known_share", "ratio"):
        np.testing.assert_allclose(after[column], before[column], rtol=1e-9)
    assert list(after["status"]) == list(before["status"])
    ours, theirs = (
        result.supply.trips.select_dtypes("number").to_numpy(dtype=float) for result in (one, two)
    )
    np.testing.assert_allclose(theirs, ours, rtol=1e-9)


@settings(max_examples=12)
@given(drawn_plans(), st.integers(1, 400))
def test_what_is_unknown_never_becomes_zero(plan, amount):
    """A food of which SR28 gives little, beside any plan: it adds what is drawn, nothing known."""
    unknown = TABLE.composition([UNKNOWN_FOOD], TAGS).iloc[0].isna()
    wider = copy.deepcopy(plan)
    wider["packed"].append({"item": "other", "food": UNKNOWN_FOOD, "mass": "1 kg"})
    wider["portions"].append({"item": "other", "amount": f"{amount} g"})
    results = (checked(plan), checked(wider))
    before, after = (day_rows(result) for result in results)
    tags_unknown = [tag for tag in unknown.index[unknown] if tag in after.index and tag != "NIAEQ"]
    before, after = before.loc[tags_unknown], after.loc[tags_unknown]
    known_before, known_after = (
        (rows["likely"] - rows["drawn"]).where(rows["known_share"] > 0) for rows in (before, after)
    )
    np.testing.assert_allclose(known_after, known_before, rtol=1e-9, atol=1e-12)
    # What all food of the pack likely holds of the unknown is shared out by one scale, which a food
    # with a wide range may lower: no more than that does the estimate of the others fall.
    scales = (pd.Series(result.unknown_scale, index=TAGS)[tags_unknown] for result in results)
    scale_before, scale_after = scales
    least = (before["likely"] - before["drawn"]) + before["drawn"] * np.minimum(
        scale_after / scale_before, 1
    )
    is_added = after["likely"].notna() & before["likely"].notna() & (scale_before > 0)
    assert (after["likely"] >= least * (1 - 1e-9))[is_added].all()
    assert not (after["likely"].isna() & before["likely"].notna()).any()
    was_known = before["known_share"] > 0
    assert (after["known_share"] < before["known_share"])[was_known].all()
    assert (after["known_share"] == 0)[~was_known].all()
    unsure = (after["accounted_share"] < coverage.KNOWN_ENOUGH) & after["reference"].notna()
    sure = {chance.ENOUGH, chance.LIKELY_ENOUGH, chance.TOO_MUCH, chance.MAYBE_TOO_MUCH}
    assert set(after.loc[unsure, "status"]) <= {NOT_KNOWN, *sure}


@settings(max_examples=12)
@given(drawn_plans(), st.integers(1, 400))
def test_another_food_never_lowers_an_end_of_a_range(plan, amount):
    """Each food has draws of its own, whatever stands beside it, so that each drawn sum grows."""
    wider = copy.deepcopy(plan)
    wider["packed"].append({"item": "other", "food": UNKNOWN_FOOD, "mass": "1 kg"})
    wider["portions"].append({"item": "other", "amount": f"{amount} g"})
    before, after = (
        result.intake.drawn_by_day(pd.Series({"day": result.plan.days[0].count}))["day"]
        for result in (checked(plan, DRAWS), checked(wider, DRAWS))
    )
    known = ~np.isnan(before)
    assert (after[known] >= before[known] * (1 - 1e-9)).all()


@settings(max_examples=30)
@given(st.lists(st.sampled_from(FOOD_IDS), min_size=1, max_size=8, unique=True), st.data())
def test_another_food_never_lowers_what_all_foods_likely_hold(food_ids, data):
    """Of what is unknown, in the best estimate: the median of the drawn sums of all of them."""
    mass_g = np.array([data.draw(st.floats(1, 2000)) for _ in food_ids])
    contents = contents_of([TABLE.food(food_id) for food_id in food_ids], TABLE)
    without = mass_g.copy()
    without[-1] = 0
    less, more = (contents.scale(grams) * (grams @ contents.mean) for grams in (without, mass_g))
    assert (more >= less * (1 - 1e-9)).all()


@settings(max_examples=12)
@given(drawn_plans())
def test_masses_of_the_pack_are_conserved(plan):
    """Packed = used + left over, short and long trip; the day's grams are the portions'."""
    result = checked(plan)
    items = result.supply.items
    for trip in ("longest", "shortest"):
        days = result.supply.trips.at[trip, "days"]
        used = items[f"used_{trip}_g"] * days - items[f"missing_{trip}_g"]
        np.testing.assert_allclose(used + items[f"left_{trip}_g"], items["mass_g"], rtol=1e-9)
    eaten = result.intake.by_item.groupby(["day", "component"])["likely"].sum(min_count=1)
    table = result.intake.table.set_index(["day", "component"])["likely"]
    np.testing.assert_allclose(eaten.reindex(table.index), table, rtol=1e-9)
