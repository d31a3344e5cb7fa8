"""Cautions of a person's conditions that name the items of the plan, with their amounts."""

from __future__ import annotations

import math
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import pandas as pd

from nutricheck.caution_limits import AsPlanned, Figure, Found, Limit, Moving, Shown, Words
from nutricheck.cautions.not_for import ItemFood, foods_of_items, not_for
from nutricheck.cautions.oxalate import Oxalate, oxalate_of_items
from nutricheck.facts.caution import caution
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.drying import DriedBatch
    from nutricheck.foods import FoodTable
    from nutricheck.intake.menu import Intake, Item
    from nutricheck.needs import DayNeeds
    from nutricheck.needs.water import WaterNeed
    from nutricheck.plan.models import Batch, Plan

__all__ = ["Eaten", "illness_cautions", "illness_cautions_of_items", "ways_not_for"]

#: (condition, "holds" or "may hold") → id of the caution that names a food.
_OF_FOOD = {
    ("coeliac", "holds"): "gluten",
    ("coeliac", "may hold"): "gluten doubtful",
    ("thyroid", "holds"): "seaweed with thyroid disease",
    ("liver", "holds"): "not with liver disease",
    ("no alcohol", "holds"): "alcohol",
    ("no alcohol", "may hold"): "alcohol doubtful",
    ("MAO inhibitor", "holds"): "tyramine",
    ("MAO inhibitor", "may hold"): "tyramine doubtful",
    ("histamine", "holds"): "histamine-rich food",
    ("G6PD deficiency", "holds"): "broad beans",
    ("G6PD deficiency", "may hold"): "broad beans doubtful",
}
_SHELLFISH = ("crustaceans", "molluscs")
#: Hours in air of 4 to 45 °C from which animal food dries slowly: fresh fish and meat make
#: histamine and tyramine in it; ours, after the two hours of food-safety advice. [h]
_SLOW_HOURS, _SLOW_C = 2.0, 45.0
_ANIMAL = ("meat", "poultry", "offal", "liver", "fish", "shellfish", "dairy")


@dataclass(frozen=True)
class Eaten:
    """What a plan eats: grams of each item (day × item) and the day's amounts (day × tagname).

    ``walked``: the kinds of day that are on a trip.
    """

    grams: pd.DataFrame
    likely: pd.DataFrame
    added: pd.DataFrame
    items: Mapping[str, Item]
    walked: Sequence[str]

    @classmethod
    def of(cls, intake: Intake, walked: Sequence[str], items: Mapping[str, Item]) -> Eaten:
        """From an intake, its items and the days of a trip."""
        likely, added = (intake.by_day(column) for column in ("likely", "added"))
        return cls(intake.grams, likely, added, items, list(walked))

    def most_g(self, item: str) -> float:
        """Grams of an item on the walked day with most; 0 where none is eaten. [g/day]"""
        return float(self.grams.loc[self.walked, item].max()) if item in self.grams else 0.0

    def most_of(self, tag: str, column: Literal["likely", "added"]) -> dict[str, Moving]:
        """What each item that holds any brings on the day with most of it, the most first.

        [component unit/day]
        """
        amounts = {}
        for item in self.items.values():
            per_g = float(item.per_100g.at[tag, column]) / 100
            if item.name in self.grams and per_g > 0:
                most = self.most_g(item.name) * item.per_100g.at[tag, column] / 100
                amounts[item.name] = Moving(float(most), "grams", weights={item.name: per_g})
        return dict(sorted(amounts.items(), key=_most_first))

    def grams_of(self, item: str) -> Moving:
        """Grams of an item on the day with most of it. [g/day]"""
        return Moving(self.most_g(item), "grams", weights={item: 1.0})


def _most_first(amount: tuple[str, Moving]) -> float:
    return -amount[1].value


def illness_cautions_of_items(
    plan: Plan, batches: Mapping[str, DriedBatch], eaten: Eaten, table: FoodTable
) -> tuple[Found, ...]:
    """The cautions of the person's conditions that each name one packed item.

    Parameters
    ----------
    plan : Plan
    batches : mapping
        The dried batches, by case-folded name.
    eaten : Eaten
        All that is packed and portioned.
    table : FoodTable
    """
    conditions = plan.person.conditions
    found: list[Found] = []
    if plan.person.life_stage == "pregnancy":
        found += _added(eaten, "retinol added in pregnancy", ("RETOL",))
    found += _named_foods(plan, batches, eaten, table)
    found += _minerals(plan, eaten)
    if "iron overload" in conditions:
        found += _iron_overload(eaten)
    if "liver" in conditions:
        found += _added(eaten, "supplements with liver disease", ("RETOL", "NIA", "FE"))
    if "thyroid" in conditions:
        found += _added(eaten, "iodine added with thyroid disease", ("ID",))
        found += _added(eaten, "minerals beside levothyroxine", ("FE", "CA", "MG"))
    if "blood thinner" in conditions:
        found += _vitamin_k_of_items(eaten)
    if "kidney stones" in conditions:
        found += _oxalate_of_items(eaten, oxalate_of_items(plan, batches, table))
    return tuple(found)


def illness_cautions(
    plan: Plan,
    batches: Mapping[str, DriedBatch],
    needs: Mapping[str, DayNeeds],
    eaten: Eaten,
    table: FoodTable,
) -> tuple[Found, ...]:
    """The cautions of the person's conditions on days and on the trip.

    Parameters
    ----------
    plan : Plan
    batches : mapping
        The dried batches, by case-folded name.
    needs : mapping
        Day → its needs.
    eaten : Eaten
        What is eaten of what is packed.
    table : FoodTable
    """
    conditions = plan.person.conditions
    found: list[Found] = []
    if "blood thinner" in conditions:
        found += _vitamin_k(plan, eaten)
    if "kidney stones" in conditions:
        found += _kidney_stones(plan, batches, needs, eaten, table)
    return tuple(found)


def _shown(figure: str, tag: str) -> Shown:
    fact = BY_TAG[tag]
    return Shown(figure, fact.decimals, f" {fact.unit} of {fact.name}")


# ---------------------------------------------------------------- foods by name


def _named_foods(
    plan: Plan, batches: Mapping[str, DriedBatch], eaten: Eaten, table: FoodTable
) -> Iterator[Limit]:
    """One caution for each packed item and kind, with the food that brings it and its grams."""
    conditions = plan.person.conditions
    items = foods_of_items(plan, table)
    for name in dict.fromkeys(entry.item for entry in plan.packed):
        foods = items[name.casefold()]
        named: dict[str, list[str]] = {}
        for food in foods:
            for condition, kind, holding in not_for(conditions, *food):
                id_ = _OF_FOOD.get((condition, holding), "")
                if kind in _SHELLFISH:
                    id_ = _of_shellfish(food, holding)
                elif id_ == "not with liver disease" and kind == "alcohol":
                    id_ = "alcohol with liver disease"
                elif condition == "iron overload" and holding == "holds":
                    id_ = "iron-rich organs"
                if id_:
                    named.setdefault(id_, []).append(food.name)
        for id_, batch in ways_not_for(name, plan, batches):
            named.setdefault(id_, []).append(batch)
        sure = {id_.removesuffix(" doubtful") for id_ in named if not id_.endswith(" doubtful")}
        for id_, names in named.items():
            if id_.removesuffix(" doubtful") in sure and id_.endswith(" doubtful"):
                continue
            others = [
                other for other in dict.fromkeys(names) if other.casefold() != name.casefold()
            ]
            yield Limit(
                id_,
                name,
                "always",
                {"rank": 1.0, "grams": eaten.grams_of(_as_eaten(eaten, name))},
                {
                    "foods": "".join(f"{other}; " for other in others),
                    "grams": Shown("grams", unit=" g a day"),
                },
            )


def _as_eaten(eaten: Eaten, name: str) -> str:
    """The item's name as the intake writes it."""
    return next((item for item in eaten.grams if item.casefold() == name.casefold()), name)


def _of_shellfish(food: ItemFood, holding: str) -> str:
    is_raw = holding == "holds" and ", raw" in food.name.lower()
    return "raw shellfish with iron overload" if is_raw else ""


def ways_not_for(
    item: str, plan: Plan, batches: Mapping[str, DriedBatch]
) -> tuple[tuple[str, str], ...]:
    """Cautions for how the batches in an item were made: (id of the caution, batch)."""
    written = {batch.name.casefold(): batch for batch in plan.batch}
    return tuple(
        (id_, batch.name)
        for batch in _batches_in(item.casefold(), plan, written)
        for id_ in _of_batch(batch, batches, plan.person.conditions)
    )


def _batches_in(key: str, plan: Plan, written: Mapping[str, Batch]) -> Iterator[Batch]:
    """The batches that a packed item is made of."""
    if key in written:
        yield written[key]
    for mix in plan.mix:
        if mix.name.casefold() == key:
            for part in mix.parts:
                if part.item:
                    yield from _batches_in(part.item.casefold(), plan, written)


def _of_batch(
    batch: Batch, batches: Mapping[str, DriedBatch], conditions: tuple[str, ...]
) -> Iterator[str]:
    """Cautions for how a batch was made: fermented, or animal food dried slowly."""
    dried = batches[batch.name.casefold()]
    is_slow = dried.food_class in _ANIMAL and batch.drying.method != "freeze"
    slow_h = sum(step.hours for step in batch.drying.profile if step.temperature_c <= _SLOW_C)
    is_slow = is_slow and slow_h > _SLOW_HOURS
    if batch.preparation.kind == "fermented" and "no alcohol" in conditions:
        yield "alcohol of fermenting"
    if batch.preparation.kind == "fermented" or is_slow:
        if "MAO inhibitor" in conditions:
            yield "tyramine"
        if "histamine" in conditions:
            yield "histamine-rich food"


# ---------------------------------------------------------------- amounts


def _added(eaten: Eaten, id_: str, tags: Iterable[str], *, raised: bool = False) -> Iterator[Limit]:
    """A caution for each item whose label adds one of the components, with the most of a day."""
    brought = {tag: eaten.most_of(tag, "added") for tag in tags}
    for name in dict.fromkeys(name for by_item in brought.values() for name in by_item):
        amounts = {tag: by_item[name] for tag, by_item in brought.items() if name in by_item}
        yield Limit(
            id_,
            name,
            "passes",
            {
                "amount": eaten.grams_of(name),
                "limit": 0.0,
                "raised": 0.0 if raised else math.inf,
                **amounts,
            },
            {"amounts": tuple(piece for tag in amounts for piece in (", ", _shown(tag, tag)))[1:]},
        )


def _minerals(plan: Plan, eaten: Eaten) -> Iterator[Limit]:
    """Minerals of tablets and mixes that a treatment changes; not those that the clinic set."""
    is_grave = not _GRAVE_MINERALS.isdisjoint(plan.person.conditions)
    if not is_grave and "blood pressure" not in plan.person.conditions:
        return
    settled = {"NA" if figure.component == "NACL" else figure.component for figure in plan.clinic}
    tags = [tag for tag in ("NA", "K", "MG") if tag not in settled and (is_grave or tag != "MG")]
    yield from _added(eaten, "minerals cleared badly", tags, raised=is_grave)


#: With these sodium, potassium and magnesium of tablets and mixes are a danger: NASEM 2019, IOM
#: 1997; MSD Manual.
_GRAVE_MINERALS = {"kidney", "heart", "salt medicine"}


def _iron_overload(eaten: Eaten) -> Iterator[Limit]:
    """Iron that labels add, and vitamin C beside it."""
    yield from _added(eaten, "iron added with iron overload", ("FE",))
    held = float(eaten.likely.loc[eaten.walked, "FE"].max())
    iron: Words = "iron of unknown amount" if math.isnan(held) else _shown("iron", "FE")
    for name, vitamin_c in eaten.most_of("VITC", "added").items():
        yield Limit(
            "vitamin C added with iron overload",
            name,
            "passes",
            {
                "amount": vitamin_c,
                "limit": 0.0,
                "raised": math.inf,
                "iron": Moving(held, "likely", "FE"),
            },
            {"amounts": _shown("amount", "VITC"), "iron": iron},
        )


def _vitamin_k_of_items(eaten: Eaten) -> Iterator[Limit]:
    """Items that bring so much vitamin K in a day that one meal of it tells."""
    for name, most in eaten.most_of("VITK1", "likely").items():
        yield Limit(
            "vitamin K of one food",
            name,
            "reaches",
            {"amount": most, "limit": value("vitamin_k_meal"), "raised": math.inf},
            {"vitamin_k": Shown("amount", unit=" ug")},
        )


def _vitamin_k(plan: Plan, eaten: Eaten) -> Iterator[Found]:
    """The mean of vitamin K, its swing between the kinds of day, and what brings most of it.

    The swing is no more than the most of a day.
    """
    brought = [
        (name, most.value) for name, most in eaten.most_of("VITK1", "likely").items() if most.value
    ]
    counts = pd.Series({day.name: day.count for day in plan.days}, dtype=float)
    counts = counts[counts > 0]
    amounts = eaten.likely.loc[counts.index, "VITK1"]
    if amounts.isna().any():
        yield caution("vitamin K not known", "trip")
        return
    mean = float((amounts * counts).sum() / counts.sum())
    least, most = amounts.idxmin(), amounts.idxmax()
    swing = ", the same every day"
    if amounts.max() - amounts.min() >= 1:
        swing = f", from {amounts.min():,.0f} ug on {least} to {amounts.max():,.0f} ug on {most}"
    named = ", ".join(f"{name} {amount:,.0f}" for name, amount in brought[:_MOST_NAMED])
    yield Limit(
        "vitamin K",
        "trip",
        "does reach",
        {
            "amount": Moving(float(amounts.max()), "likely on the longest", "VITK1"),
            "limit": value("vitamin_k_meal"),
        },
        {
            "mean": (AsPlanned(f"{mean:,.0f} ug"),),
            "swing": (AsPlanned(swing),),
            "most": (AsPlanned(named or "no food of known content"),),
            "meal": f"{value('vitamin_k_meal'):,.0f}",
        },
    )


def _oxalate_of_items(eaten: Eaten, per_g: Mapping[str, Oxalate]) -> Iterator[Limit]:
    """Items with a day's oxalate, and vitamin C in tablets, which turns to it."""
    for name in map(str, eaten.grams):
        oxalate = per_g.get(name.casefold(), _NO_OXALATE)
        if not oxalate.likely > 0:
            continue
        most = oxalate.times(eaten.most_g(name))
        yield Limit(
            "oxalate of one food",
            name,
            "passes",
            {
                **_oxalate_figures(most, {name: oxalate}),
                "limit": value("oxalate_stones"),
                "raised": math.inf,
            },
            {
                "oxalate": (*_oxalate_words(" mg ("), ")"),
                "limit": f"{value('oxalate_stones'):,.0f}",
            },
        )
    # what the pack takes of a tablet's vitamin C is no reason to say nothing
    together = Moving(float(eaten.added.loc[eaten.walked, "VITC"].max()), "added", "VITC")
    for name, vitamin_c in eaten.most_of("VITC", "added").items():
        yield Limit(
            "vitamin C with kidney stones",
            name,
            "beside",
            {
                "together": together,
                "limit": _NEARLY * value("vitamin_c_stones"),
                "amount": vitamin_c,
            },
            {
                "vitamin_c": _shown("amount", "VITC"),
                "limit": f"{value('vitamin_c_stones'):,.0f}",
            },
        )


def _oxalate_figures(
    oxalate: Oxalate, per_g: Mapping[str, Oxalate], day: str = ""
) -> dict[str, Figure]:
    """Low, likely and high of the oxalate of items on a day, or on that with most."""
    return {
        name: Moving(
            getattr(oxalate, end),
            "grams",
            day=day,
            weights={item: getattr(one, end) for item, one in per_g.items()},
        )
        for name, end in (("low", "low"), ("amount", "likely"), ("high", "high"))
    }


def _oxalate_words(after: str) -> tuple[str | Shown, ...]:
    return Shown("amount"), after, Shown("low"), " to ", Shown("high")


def _kidney_stones(
    plan: Plan,
    batches: Mapping[str, DriedBatch],
    needs: Mapping[str, DayNeeds],
    eaten: Eaten,
    table: FoodTable,
) -> Iterator[Limit]:
    """Oxalate of each kind of day, the water that urine needs, and the clash with salt."""
    per_g = oxalate_of_items(plan, batches, table)
    limit = value("oxalate_stones")
    names = {str(item): per_g.get(str(item).casefold(), _NO_OXALATE) for item in eaten.grams}
    holding = {item: oxalate for item, oxalate in names.items() if oxalate.likely > 0}
    for day in plan.days:
        grams = eaten.grams.loc[day.name]
        by_item = {
            item: oxalate.times(float(grams[item]))
            for item, oxalate in names.items()
            if grams[item] > 0
        }
        whole = Oxalate(*(sum(oxalate[end] for oxalate in by_item.values()) for end in range(3)))
        first = sorted(by_item, key=lambda item: -by_item[item].likely)[:_MOST_NAMED]
        most = ", ".join(f"{item} {by_item[item].likely:,.0f}" for item in first)
        yield Limit(
            "oxalate",
            day.name,
            "passes",
            {**_oxalate_figures(whole, holding, day.name), "limit": limit, "raised": math.inf},
            {
                "oxalate": ("at least ", *_oxalate_words(" mg, "), "; most in ", AsPlanned(most)),
                "limit": f"{limit:,.0f}",
            },
            day=day.name,
            trip="longest",
            days=day.count,
        )
        water = needs[day.name].water
        if day.drink_l is not None:
            # what ordinary life needs holds some 1.5 L of urine; the rest of 2.5 L comes on top:
            # ours
            wanted = water.drink_l[1] + value("urine_stones") - _ORDINARY_URINE_L
            yield Limit(
                "water with kidney stones",
                day.name,
                "falls below",
                {"amount": day.drink_l, "limit": _beside_food(wanted, day.name, water)},
                {
                    "planned": f"{day.drink_l:.1f}",
                    "wanted": Shown("limit", 1),
                    "urine": f"{value('urine_stones'):g}",
                },
                day=day.name,
                trip="longest",
                days=day.count,
            )
        # on a day that takes so much sweat the two always clash
        is_sweating = needs[day.name].sweat.likely_l >= 1
        yield Limit(
            "salt with kidney stones",
            day.name,
            "always" if is_sweating else "passes",
            {
                "amount": Moving(float(eaten.likely.at[day.name, "NA"]), "likely", "NA", day.name),
                "limit": value("sodium_stones"),
                "raised": math.inf,
                "rank": 1.0,
            },
            {
                "sodium": Shown("amount", unit=" mg"),
                "limit": f"{value('sodium_stones'):,.0f}",
            },
            day=day.name,
            trip="longest",
            days=day.count,
        )


def _beside_food(drink_l: float, day: str, water: WaterNeed) -> Figure:
    """What is to be drunk beside the food's water, and follows it but where a clinic set it."""
    if water.clinic is not None:
        return drink_l
    return Moving(drink_l, "beside food", day=day, plus=drink_l + water.likely_l - water.drink_l[1])


_MOST_NAMED = 3
_NO_OXALATE = Oxalate(0.0, 0.0, 0.0)
_NEARLY = 0.95  # ours
_ORDINARY_URINE_L = 1.5  # of a day in ordinary life; common knowledge, no source
