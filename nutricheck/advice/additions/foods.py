"""What may be added: items already packed, what is at home, and dry foods fit for the trail.

The list of trail foods is a rule, kept in the evidence table ``trail_foods``: a food of the table
that is plain, without a brand, holds less than 15 % water and whose group and words the table
names; or a fruit or vegetable that is commonly dried. Its most a day is four of the reference
amounts that people eat at a time (21 CFR 101.12).
"""

from __future__ import annotations

import functools
import re
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.advice.additions.care import Care, care_of
from nutricheck.cautions.diet import is_avoided
from nutricheck.cautions.eaten import caffeine_limit
from nutricheck.cautions.not_for import ItemFood, foods_of_items
from nutricheck.cautions.oxalate import oxalate_of_food, oxalate_of_items
from nutricheck.cautions.portion import PORTION_CAUTIONS, day_levels, portion_cautions
from nutricheck.cautions.pregnancy import is_left_out_in
from nutricheck.defaults import SEED
from nutricheck.drying.retention import Kept, with_retinol
from nutricheck.drying.stages import kept_on_mean_day
from nutricheck.facts import evidence
from nutricheck.facts.caution import Caution
from nutricheck.facts.components import BY_TAG, OXALATE
from nutricheck.facts.constants import value
from nutricheck.foods.keeping import keeping
from nutricheck.foods.ready import readiness
from nutricheck.intake.edible import batch_readiness, can_be_eaten
from nutricheck.intake.menu import (
    TAGS,
    kept_draws,
    tryptophan_ends,
    with_sums,
)
from nutricheck.intake.portions import PORTION_VARIATION
from nutricheck.plan.models import Batch, Drying, Ingredient, Preparation
from nutricheck.units import convert

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.check_plan import Result
    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Packed, Plan

__all__ = [
    "RETINOL_BASIS",
    "SOURCES",
    "SPOON_STEPS",
    "Candidates",
    "candidates",
    "draws_per_g",
    "is_left_out",
    "no_candidates",
    "trail_foods",
]

#: Where candidates may come from.
SOURCES = ("packed", "home", "list")

#: The basis of vitamin A's upper level.
RETINOL_BASIS = "preformed retinol"

#: A trail food holds less water than this. [g/100 g]
DRY_BELOW_G = 15.0
#: The most of one food a day where no reference amount is known and daily_ceiling is left out; of
#: what is packed as much again as a day holds already, within these: ours. [g/day]
DAILY_CEILING_G = 150.0
MORE_OF_PACKED_G = (60.0, DAILY_CEILING_G)
#: Portions are weighed in fives, of foods eaten by the spoon in ones, of spices in halves, by what
#: may be eaten in a day: common practice, no source. (up to this ceiling [g/day], step [g])
STEPS_G = ((10.0, 0.5), (40.0, 1.0), (np.inf, 5.0))
#: Steps of what is portioned by spoon or cup.
SPOON_STEPS = {"tsp": 1.0, "tbsp": 1.0, "cup": 0.25}
_MATTERS = 0.1
#: Share of the listed foods of which a component must be known to be asked of each; ours. [-]
_KNOWN_OF_MOST = 0.5

_BRAND = re.compile(r"\b[A-Z]{3,}")
_SMALL_LETTER = re.compile(r"[a-z]")
_FLESH_GROUPS = ("0500", "0700", "1000", "1300", "1500", "1700")
_FLESH = re.compile(
    r"\b(beef|pork|lamb|veal|mutton|tallow|lard|bacon|ham|sausage|chicken|turkey|duck|goose|game|"
    r"fish|cod|tuna|salmon|anchov(?:y|ies)|shrimp|meat|gelatin|suet)\b"
)
_FLESH_EXCEPT = re.compile(r"\b(egg|meatless|fat free|chickpea)\b")

_ITEM_COLUMNS = {
    "food_id": "str",
    "source": "str",
    "how": "str",
    "is_new": "bool",
    "step": "str",
    "step_g": "float64",
    "ceiling_g": "float64",
    "water_g_per_g": "float64",
    "yield_frac": "float64",
    "variation": "float64",
}


@dataclass(frozen=True)
class Candidates:
    """What may be added, per gram.

    ``items`` is indexed by item: ``food_id``, ``source`` (one of SOURCES), ``how`` (in words),
    ``is_new``, ``step`` (g, tsp, tbsp, cup or piece), ``step_g``, ``ceiling_g`` [g/day],
    ``water_g_per_g`` (to prepare it [g/g]), ``yield_frac`` (dried of fresh, NaN where bought
    [g/g]), ``variation`` (of a portion, as portions.PORTION_VARIATION [-]).
    ``low``, ``likely`` and ``added`` (supplemental or fortified) are item × component,
    NaN unknown. [component unit/g] ``batches`` and ``cautions`` are those of home-dried items.
    ``not_for`` holds what is packed or at home but not proposed because of a condition, each
    with the reason.
    """

    items: pd.DataFrame
    low: pd.DataFrame
    likely: pd.DataFrame
    added: pd.DataFrame
    batches: Mapping[str, Batch]
    cautions: Mapping[str, tuple[Caution, ...]]
    not_for: Mapping[str, str] = field(default_factory=dict)


def trail_foods(table: FoodTable, among: Collection[str] | None = None) -> pd.DataFrame:
    """Foods of the table that can be carried as they are or are commonly dried at home.

    Parameters
    ----------
    table : FoodTable
    among : collection of str, optional
        Ids of the foods to judge; left out: all of the table.

    Returns
    -------
    DataFrame
        Index ``food_id``; ``description``, ``group_code``, ``group``, ``use`` ("carry" or "dry at
        home"), ``ceiling_g`` of the food as named [g/day], ``water_g_per_g`` to prepare it (NaN:
        by the drying model) [g/g], ``water_g`` [g/100 g].
    """
    rules = evidence.frame("trail_foods")
    foods = table.all_foods() if among is None else _named(table, among)
    foods = foods[foods["group_code"].isin(set(rules["group_code"]) - {""})]
    foods = foods[~_has_brand(foods["description"])]
    fits = pd.DataFrame({"rule": _first_rule(foods, rules)}, index=foods.index)
    foods = foods.join(fits).join(rules.drop(columns=["group_code", "words"]), on="rule")
    foods = foods[foods["use"].isin(["carry", "dry at home"])]
    foods = foods.assign(water_g=table.composition(list(foods.index), ["WATER"])["WATER"])
    foods = foods[(foods["use"] != "carry") | (foods["water_g"] < DRY_BELOW_G)]
    columns = ["description", "group_code", "group", "use", "ceiling_g", "water_g_per_g", "water_g"]
    return foods.assign(ceiling_g=foods["serving_g"] * foods["servings"])[columns]


def _named(table: FoodTable, food_ids: Collection[str]) -> pd.DataFrame:
    """As ``all_foods``, of these foods alone."""
    foods = table.foods(sorted(food_ids))
    columns = {
        "description": [food.description for food in foods],
        "group_code": [food.group_code for food in foods],
        "group": [food.group for food in foods],
    }
    index = pd.Index([food.id for food in foods], name="food_id", dtype="str")
    return pd.DataFrame(columns, index=index, dtype="str")


def _has_brand(descriptions: pd.Series[str]) -> pd.Series[bool]:
    """Whether a description names a brand: a word in capitals among words that are not."""
    mixed = descriptions.str.contains(_SMALL_LETTER)
    return mixed & descriptions.str.contains(_BRAND)


def _first_rule(foods: pd.DataFrame, rules: pd.DataFrame) -> NDArray[np.int64]:
    """The number of the first rule that fits each food and lets it be used; -1 where none does.

    Rules of one group are tried first: what none of them lets be used, no rule of all groups keeps.
    """
    words = foods["description"].str.lower().tolist()
    none = len(rules)
    chosen = np.full(len(foods), none)
    codes = foods["group_code"].to_numpy(dtype=object)
    numbered = list(enumerate(rules.itertuples(index=False)))
    for number, rule in sorted(numbered, key=lambda pair: pair[1].group_code == ""):
        is_open = chosen > number
        if rule.group_code:
            is_open &= codes == rule.group_code
        elif rule.use == "no":
            is_open &= chosen < none
        places = np.flatnonzero(is_open)
        if len(places):
            pattern = re.compile(str(rule.words))
            hit = [place for place in places if pattern.search(words[place])]
            chosen[hit] = number
    return np.where(chosen < none, chosen, -1)


def is_left_out(description: str, leave_out: Iterable[str], *, vegetarian: bool = False) -> bool:
    """Whether a food is out, by words to leave out or for holding flesh.

    A word fits as a whole, in the singular or plural. Only names are read, not ingredients.

    Examples
    --------
    >>> is_left_out("Nuts, almonds", ["nut"])
    True
    >>> is_left_out("Spices, nutmeg, ground", ["nuts"])
    False
    >>> is_left_out("Fat, beef tallow", [], vegetarian=True)
    True
    """
    small = description.lower()
    if vegetarian and _FLESH.search(small) and not _FLESH_EXCEPT.search(small):
        return True
    return any(_word(word).search(small) for word in leave_out if word.strip())


@functools.cache
def _word(word: str) -> re.Pattern[str]:
    stem = re.escape(word.strip().lower().removesuffix("s"))
    return re.compile(rf"\b{stem}(?:s|es)?\b")


def candidates(
    result: Result,
    *,
    sources: Sequence[str] = SOURCES,
    leave_out: Sequence[str] = (),
    daily_ceiling_g: float | None = None,
    with_range: bool = False,
    care: Care | None = None,
) -> Candidates:
    """Everything that may be added to a checked plan.

    Parameters
    ----------
    result : Result
        The checked plan.
    sources : sequence of str
        "packed": more of what is packed, supplements excepted; "home": what the plan has at home;
        "list": trail foods of the table.
    leave_out : sequence of str
        Words of foods to leave out, beside the plan's own.
    daily_ceiling_g : float, optional
        The most of one item a day, where it is less than the food's reference amount or that is
        not known; left out: the plan's, or ours. [g/day]
    with_range : bool
        Work out the low end of foods of the table and of home-dried ones by as many draws as the
        check; else foods of the table are taken at the likely value.
    care : Care, optional
        What is left to the clinic; left out: all that the plan's days ask for.

    Returns
    -------
    Candidates
        Items and what a gram of each brings.
    """
    plan, table = result.plan, result.table
    if daily_ceiling_g is None:
        daily_ceiling_g = plan.additions.daily_ceiling_g
    unknown_g = DAILY_CEILING_G if daily_ceiling_g is None else daily_ceiling_g
    at_home = [table.resolve(text) for text in plan.additions.at_home]
    of_plan = {item.food_id for item in result.items.values() if item.food_id}
    of_plan |= {food.id for food in at_home}
    listed = trail_foods(table, None if "list" in sources else of_plan)
    draws = result.draws if with_range else 0
    parts, seen = [], set()
    if "packed" in sources:
        parts.append(_packed(result, listed, daily_ceiling_g))
        seen = {item.food_id for item in result.items.values()}
    if "home" in sources:
        water = {food.id: food.water_g for food in at_home if food.id not in seen}
        fresh = [
            food_id for food_id, water_g in water.items() if water_g >= value("fresh_food_water")
        ]
        bought = [food_id for food_id in water if food_id not in fresh]
        parts.append(_as_bought(bought, "home", listed, table, draws))
        parts.append(_home_dried(fresh, "home", listed, result, draws))
        seen.update(water)
    if "list" in sources:
        rest = listed[~listed.index.isin(seen)]
        if plan.person.vegetarian:
            rest = rest[~rest["group_code"].isin(_FLESH_GROUPS)]
        rest = rest[_has_known_uppers(rest, result)]
        is_out = [_out(text, plan, leave_out) for text in rest["description"]]
        rest = rest[~np.array(is_out, dtype=bool)]
        carried, fresh = (list(rest.index[rest["use"] == u]) for u in ("carry", "dry at home"))
        parts.append(_as_bought(carried, "list", listed, table, draws))
        parts.append(_home_dried(fresh, "list", listed, result, draws))

    found = _in_pack(_joined(parts), result)
    items = found.items
    items = items.assign(ceiling_g=items["ceiling_g"].fillna(unknown_g))
    if daily_ceiling_g is not None:
        items = items.assign(ceiling_g=items["ceiling_g"].clip(upper=daily_ceiling_g))
    upto, steps = zip(*STEPS_G, strict=True)
    by_weight = np.array(steps)[np.searchsorted(upto, items["ceiling_g"])]
    items = items.assign(step_g=items["step_g"].fillna(pd.Series(by_weight, items.index)))
    is_out = [_out(str(name), plan, leave_out) for name in items.index]
    found = _only(replace(found, items=items), ~np.array(is_out, dtype=bool))
    return _fit_for_person(found, result, care or care_of(result, list(result.days["day"])))


def _fit_for_person(found: Candidates, result: Result, care: Care) -> Candidates:
    """The candidates without those that a condition or a clinic's limit rules out."""
    limited = [tag for tag, figure in result.figures.items() if tag in BY_TAG and figure.limit >= 0]
    foods = result.table.foods([food_id for food_id in set(found.items["food_id"]) if food_id])
    groups = {food.id: food.group_code for food in foods}
    named = foods_of_items(result.plan, result.table)
    rows = result.intake.table
    eaten_mg = rows.loc[rows["component"] == "CAFFN", "likely"].fillna(0.0).max()
    caffeine_left_mg = caffeine_limit(result.plan.person) - eaten_mg
    most_of_one_g = value("closing_food_most")
    reasons = {}
    for name, item in found.items.iterrows():
        per_g = found.likely.loc[name]
        unknown = [tag for tag in limited if pd.isna(per_g[tag])]
        reason = care.left_out.get(str(name).casefold(), "") if item["source"] == "packed" else ""
        reason = reason or care.why_not(str(name), groups.get(item["food_id"], ""), per_g)
        group = groups.get(item["food_id"], "")
        reason = reason or _why_not_eaten(str(name), item, group, found, result, named)
        brought_mg = per_g["CAFFN"] * max(item["ceiling_g"], most_of_one_g)
        if not reason and brought_mg > max(caffeine_left_mg, 0.0):
            reason = "with much of it a day holds too much caffeine"
        if not reason and unknown:
            reason = f"its {BY_TAG[unknown[0]].name} is not known"
        if reason:
            reasons[str(name)] = reason
    if "kidney stones" in care.conditions:
        found = _with_oxalate(found, result)
    is_in = ~found.items.index.isin(list(reasons))
    not_listed = found.items.index[found.items["source"] != "list"]
    kept = _only(found, is_in)
    return replace(kept, not_for={name: why for name, why in reasons.items() if name in not_listed})


def _why_not_eaten(
    name: str,
    item: pd.Series,
    group_code: str,
    found: Candidates,
    result: Result,
    named: Mapping[str, tuple[ItemFood, ...]],
) -> str:
    """Why this person cannot or does not eat a candidate on this trip; "" where nothing is against.

    What must be heated is proposed to people who cook alone: hot water poured over it is not
    enough, and where the plan does not say how they cook, nobody knows.
    """
    plan, table = result.plan, result.table
    foods = [(name, group_code)]
    if item["source"] == "packed":
        foods += [(part.name, part.group_code) for part in named.get(name.casefold(), ())]
        edible = result.edible[name.casefold()]
        ready, is_perishable = edible.readiness, edible.keeping.is_perishable
    elif name in found.batches:
        ready, is_perishable = batch_readiness(found.batches[name], table), False
    else:
        new = table.food(str(item["food_id"]))
        ready, is_perishable = readiness(new), keeping(new).is_perishable
    for food, group in foods:
        if reason := is_avoided(plan.person, food, group):
            return reason
        stage = plan.person.life_stage
        if stage != "general" and is_left_out_in(stage, food, group):
            return f"not in {stage}"
    if is_perishable:
        return "undried it goes bad in hours"
    if item["source"] == "packed" and not can_be_eaten(ready, plan.trip.cooking):
        return "it cannot be eaten as packed"
    if item["source"] == "packed":
        return ""
    if ready.name is None:
        return "nobody knows whether it can be eaten without cooking"
    if ready.name == "never" or (ready.name == "heat" and plan.trip.cooking != "cooks"):
        return "it must be cooked"
    return ""


def draws_per_g(found: Candidates, name: str, result: Result) -> NDArray[np.float64]:
    """What a gram of a candidate brings in each draw of the check: draws × components.

    One draw, the likely amount, where the check has none. [component unit/g]
    """
    from nutricheck.drying import composition_draws, dry_batch

    draws = result.draws
    packed = result.items.get(name.casefold())
    if not draws:
        return np.asarray(found.likely.loc[[name], list(TAGS)], dtype=float)
    if packed is not None and packed.draws is not None:
        return packed.draws / 100
    kept = kept_draws(_kept_in_pack(result, found.likely.loc[name]), draws, SEED)
    if name in found.batches:
        dried = dry_batch(found.batches[name], result.table, draws=draws, seed=SEED)
        assert dried.draws is not None
        return dried.draws * kept / 100
    food_id = str(found.items.at[name, "food_id"])
    drawn = composition_draws([food_id], result.table, TAGS, draws=draws, seed=SEED)[:, 0, :]
    return np.asarray(drawn * kept / 100)


def _kept_in_pack(result: Result, likely: pd.Series) -> Kept:
    """Share that the days in the pack leave of a new food, by what of its vitamin A is retinol."""
    return with_retinol(kept_on_mean_day(result.pack), likely[list(TAGS)].to_numpy(dtype=float))


def _in_pack(found: Candidates, result: Result) -> Candidates:
    """New foods as eaten on the mean day in the pack; what is packed is so already."""
    if found.likely.empty:
        return found
    on_mean_day = kept_on_mean_day(result.pack)
    kept = [with_retinol(on_mean_day, row) for row in found.likely[list(TAGS)].to_numpy(float)]
    is_new = found.items["is_new"].to_numpy()[:, None]
    shares = {
        "low": [leaves.low for leaves in kept],
        "likely": [leaves.likely for leaves in kept],
        "added": [leaves.likely for leaves in kept],
    }
    sides = {
        side: getattr(found, side) * np.where(is_new, np.reshape(share, (len(kept), -1)), 1.0)
        for side, share in shares.items()
    }
    return replace(found, **sides)


def _with_oxalate(found: Candidates, result: Result) -> Candidates:
    """With the oxalate of each candidate beside its components; unknown as nothing. [mg/g]"""
    packed = oxalate_of_items(result.plan, result.batches, result.table)
    per_g = {}
    for name in found.items.index:
        of_food = oxalate_of_food(str(name))
        dry = 1 - found.likely.at[name, "WATER"]
        known = packed.get(str(name).casefold()) or (of_food.times(dry) if of_food else None)
        per_g[name] = np.nan if known is None else known.likely
    column = pd.DataFrame({OXALATE: per_g}, index=found.items.index, dtype=float)
    return replace(
        found,
        low=pd.concat([found.low, column], axis=1),
        likely=pd.concat([found.likely, column], axis=1),
        added=pd.concat([found.added, column * 0.0], axis=1),
    )


def _has_known_uppers(listed: pd.DataFrame, result: Result) -> NDArray[np.bool_]:
    """Whether a food's amount is known of each component whose upper level it might matter to.

    What is not known of a listed food would count as nothing against its upper level, and a search
    for the lightest answer would find and favour just such foods. A level matters to a food group
    unless the day's most of each of its foods is known to bring less than a tenth of it.
    """
    uppers = result.targets[result.targets["role"] == "upper"]
    tag = uppers["component"].where(uppers["basis"] != RETINOL_BASIS, "RETOL")
    counts_food = uppers["basis"].isin(["all sources", RETINOL_BASIS])
    level = uppers["likely"][counts_food].groupby(tag[counts_food]).min()
    amounts = result.table.composition(list(listed.index), list(level.index))
    # what is known of few foods, such as borrowed iodine, says nothing about a food without it
    amounts = amounts.loc[:, amounts.notna().mean() >= _KNOWN_OF_MOST]
    brought = amounts.mul(listed["ceiling_g"] / 100, axis=0)
    most = brought.groupby(listed["group_code"]).transform("max")
    matters = ~(most < _MATTERS * level[most.columns])
    known: NDArray[np.bool_] = (amounts.notna() | ~matters).all(axis=1).to_numpy()
    return known


def _out(description: str, plan: Plan, leave_out: Sequence[str]) -> bool:
    words = (*plan.additions.leave_out, *leave_out)
    if plan.person.life_stage == "pregnancy":
        words = (*words, "liver")  # and its oil: cautions/person.py
    return is_left_out(description, words, vegetarian=plan.person.vegetarian)


def unsafe_items(result: Result) -> list[str]:
    """Packed items of which no more is proposed, for a caution against a batch in them."""
    unsafe = {key for key, batch in result.batches.items() if _is_unsafe(batch.cautions)}
    mixes = {mix.name.casefold(): mix for mix in result.plan.mix}

    def is_unsafe(key: str) -> bool:
        parts = mixes[key].parts if key in mixes else ()
        return key in unsafe or any(is_unsafe(part.item.casefold()) for part in parts if part.item)

    return [item.name for key, item in result.items.items() if is_unsafe(key)]


def _is_unsafe(cautions: Iterable[Caution]) -> bool:
    """Whether drying it so can make people ill, as meat dried raw does, or more of it, as liver."""
    return any(caution.level == "danger" or caution.id in PORTION_CAUTIONS for caution in cautions)


def _packed(result: Result, listed: pd.DataFrame, daily_ceiling_g: float | None) -> Candidates:
    """More of what is packed, in the plan's own spoons and pieces.

    No more of a supplement, of what is found on the way, nor of what is unsafe; and as much again
    as a day holds already, unless the plan sets a ceiling of its own or the food's amount is known.
    """
    unsafe = unsafe_items(result)
    entries = {entry.item.casefold(): entry for entry in result.plan.packed}
    used_g = result.intake.grams.max()
    rows = {}
    for key, item in result.items.items():
        if item.is_supplement or item.name in unsafe or key in result.plan.found_names:
            continue
        rule = listed.loc[item.food_id] if item.food_id in listed.index else None
        ceiling_g = np.nan if rule is None else float(rule["ceiling_g"])
        if rule is None and daily_ceiling_g is None:
            ceiling_g = float(used_g.get(item.name, 0.0))
            if item.kind != "label":
                ceiling_g = float(np.clip(ceiling_g, *MORE_OF_PACKED_G))
        portion = result.portions[result.portions["item"].str.casefold() == key]
        step, step_g = _step(entries[key], portion)
        rows[item.name] = {
            "food_id": item.food_id or "",
            "source": "packed",
            "how": "more of what is packed",
            "is_new": False,
            "step": step,
            "step_g": step_g,
            "ceiling_g": ceiling_g,
            "water_g_per_g": item.rehydration_water_g_per_100g / 100
            if rule is None
            else float(rule["water_g_per_g"]),
            "yield_frac": np.nan,
            "variation": PORTION_VARIATION["spoon" if step in SPOON_STEPS else "weighed"],
        }
    per_g = {
        side: pd.DataFrame(
            {name: result.items[name.casefold()].per_100g[side] / 100 for name in rows}
        ).T
        for side in ("low", "likely", "added")
    }
    return _assembled(rows, per_g)


def _step(entry: Packed, portions: pd.DataFrame) -> tuple[str, float]:
    """The unit that an item is portioned by, and the grams of its step; NaN where weighed."""
    ways = set(portions["measured"])
    if ways == {"piece"} and entry.piece_g is not None:
        return "piece", entry.piece_g
    if ways == {"spoon"} and entry.tsp_g is not None:
        units = {unit.casefold() for unit in portions["unit"]}
        unit = units.pop() if len(units) == 1 else "tsp"
        unit = unit if unit in SPOON_STEPS else "tsp"
        return unit, convert(SPOON_STEPS[unit], unit, "teaspoon") * entry.tsp_g
    return "g", float("nan")


def _as_bought(
    food_ids: Sequence[str], source: str, listed: pd.DataFrame, table: FoodTable, draws: int
) -> Candidates:
    """Foods of the table as they are."""
    if not food_ids:
        return _assembled({}, {})
    composition = table.composition(food_ids, TAGS)
    names = [food.description for food in table.foods(food_ids)]
    low = likely = composition.to_numpy()
    if draws:
        from nutricheck.drying import composition_draws

        drawn = composition_draws(food_ids, table, TAGS, draws=draws, seed=SEED)
        low = np.fmin(np.percentile(drawn, 5, axis=0), likely)
    folic_acid = likely[:, [TAGS.index("FOLAC")]]
    rows = {
        name: {
            "food_id": food_id,
            "source": source,
            "how": "as bought",
            "is_new": True,
            "step": "g",
            "step_g": np.nan,
            "ceiling_g": listed["ceiling_g"].get(food_id, np.nan),
            "water_g_per_g": listed["water_g_per_g"].get(food_id, 0.0),
            "yield_frac": np.nan,
            "variation": PORTION_VARIATION["weighed"],
        }
        for food_id, name in zip(food_ids, names, strict=True)
    }
    # Folic acid is the form that is added to food; what food holds by nature is food folate.
    added = np.where(np.array(TAGS) == "FOLAC", np.nan_to_num(folic_acid), 0.0)
    per_g = {
        side: pd.DataFrame(values / 100, index=names, columns=list(TAGS))
        for side, values in (("low", low), ("likely", likely), ("added", added))
    }
    for side, share in zip(("low", "likely"), tryptophan_ends()[:2], strict=True):
        per_g[side] = with_sums(per_g[side], share)
    return _assembled(rows, per_g)


def _home_dried(
    food_ids: Sequence[str], source: str, listed: pd.DataFrame, result: Result, draws: int
) -> Candidates:
    """Fresh foods dried by the plan's default route, as the drying model sees them."""
    from nutricheck.drying import dry_batch, with_cautions

    if not food_ids:
        return _assembled({}, {})
    choice, table = result.plan.additions, result.table
    levels = day_levels(result.plan.person, result.reference, result.figures)
    rows, columns, batches = {}, {}, {}
    cautions: dict[str, tuple[Caution, ...]] = {}
    for food in table.foods(food_ids):
        name = f"{food.description}, dried"
        batch = _batch(name, food.id, choice.preparation, choice.drying)
        dried = dry_batch(batch, table, draws=draws, seed=SEED)
        of_portion = portion_cautions(dried.name, dried.composition, levels, result.plan.person)
        dried = with_cautions(dried, of_portion)
        if _is_unsafe(dried.cautions):
            continue
        ceiling_g = listed["ceiling_g"].get(food.id)
        rows[name] = {
            "food_id": food.id,
            "source": source,
            "how": f"dried at home: {dried.route}",
            "is_new": True,
            "step": "g",
            "step_g": np.nan,
            "ceiling_g": np.nan if ceiling_g is None else ceiling_g * dried.yield_frac,
            "water_g_per_g": dried.rehydration_water_g_per_100g / 100,
            "yield_frac": dried.yield_frac,
            "variation": PORTION_VARIATION["weighed"],
        }
        columns[name] = dried.composition
        batches[name] = batch
        cautions[name] = dried.cautions
    per_g = {
        side: pd.DataFrame({name: column[side] / 100 for name, column in columns.items()})
        .T.reindex(columns=list(TAGS))
        .astype(float)
        for side in ("low", "likely")
    }
    for side, share in zip(("low", "likely"), tryptophan_ends()[:2], strict=True):
        per_g[side] = with_sums(per_g[side], share)
    per_g["added"] = pd.DataFrame(0.0, index=per_g["likely"].index, columns=list(TAGS))
    return _assembled(rows, per_g, batches, cautions)


def _batch(name: str, food_id: str, preparation: Preparation, drying: Drying) -> Batch:
    ingredient = Ingredient.model_validate({"food": food_id, "mass": "1 kg"})
    return Batch(name=name[:80], ingredients=(ingredient,), preparation=preparation, drying=drying)


def _assembled(
    rows: Mapping[str, Mapping[str, object]],
    per_g: Mapping[str, pd.DataFrame],
    batches: Mapping[str, Batch] | None = None,
    cautions: Mapping[str, tuple[Caution, ...]] | None = None,
) -> Candidates:
    items = pd.DataFrame(list(rows.values()), index=list(rows), columns=list(_ITEM_COLUMNS))
    items = items.astype(_ITEM_COLUMNS)
    empty = pd.DataFrame(columns=list(TAGS), dtype=float)
    sides = {
        side: per_g[side].reindex(index=items.index, columns=list(TAGS)) if len(items) else empty
        for side in ("low", "likely", "added")
    }
    return Candidates(items=items, batches=batches or {}, cautions=cautions or {}, **sides)


def no_candidates() -> Candidates:
    """Nothing that may be added."""
    return _assembled({}, {})


def _joined(parts: Sequence[Candidates]) -> Candidates:
    full = [part for part in parts if len(part.items)] or [_assembled({}, {})]
    sides = {
        side: pd.concat([getattr(part, side) for part in full])
        for side in ("items", "low", "likely", "added")
    }
    return Candidates(
        **sides,
        batches={name: batch for part in full for name, batch in part.batches.items()},
        cautions={name: caution for part in full for name, caution in part.cautions.items()},
    )


def _only(found: Candidates, is_kept: NDArray[np.bool_]) -> Candidates:
    """Those candidates alone that are kept, once each."""
    is_kept = is_kept & ~found.items.index.duplicated()
    sides = {side: getattr(found, side)[is_kept] for side in ("items", "low", "likely", "added")}
    return replace(found, **sides)
