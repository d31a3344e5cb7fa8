"""Cautions of a person's conditions that name the items of the plan, with their amounts."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import pandas as pd

from nutricheck.cautions.not_for import ItemFood, foods_of_items, not_for
from nutricheck.cautions.oxalate import Oxalate, oxalate_of_items
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    from nutricheck.drying import DriedBatch
    from nutricheck.foods import FoodTable
    from nutricheck.intake.menu import Intake, Item
    from nutricheck.needs import DayNeeds
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
    """What a plan eats: grams of each item (day × item) and the day's amounts (day × tagname)."""

    grams: pd.DataFrame
    likely: pd.DataFrame
    added: pd.DataFrame
    items: Mapping[str, Item]

    @classmethod
    def of(cls, intake: Intake, days: Sequence[str], items: Mapping[str, Item]) -> Eaten:
        """From an intake, of these days, and its items."""
        names = list(days)
        likely, added = (intake.by_day(column).loc[names] for column in ("likely", "added"))
        return cls(intake.grams.loc[names], likely, added, items)

    def most_of(self, tag: str, column: Literal["likely", "added"]) -> dict[str, float]:
        """What each item brings on the day with most of it, the most first; none that brings none.

        [component unit/day]
        """
        amounts = {
            item.name: float(self.grams[item.name].max() * item.per_100g.at[tag, column] / 100)
            for item in self.items.values()
            if item.name in self.grams
        }
        return {
            name: amount for name, amount in sorted(amounts.items(), key=_most_first) if amount > 0
        }


def _most_first(amount: tuple[str, float]) -> float:
    return -amount[1]


def illness_cautions_of_items(
    plan: Plan, batches: Mapping[str, DriedBatch], eaten: Eaten, table: FoodTable
) -> tuple[Caution, ...]:
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
    found: list[Caution] = []
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
) -> tuple[Caution, ...]:
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
    found: list[Caution] = []
    if "blood thinner" in conditions:
        found += _vitamin_k(plan, eaten)
    if "kidney stones" in conditions:
        found += _kidney_stones(plan, batches, needs, eaten, table)
    return tuple(found)


def _most_g(eaten: Eaten, item: str) -> float:
    """Grams of a packed item on the day with most; 0 where none is eaten. [g/day]"""
    return float(eaten.grams[item].max()) if item in eaten.grams else 0.0


def _amount(tag: str, amount: float) -> str:
    from nutricheck.facts.components import BY_TAG

    return f"{amount:,.{BY_TAG[tag].decimals}f} {BY_TAG[tag].unit} of {BY_TAG[tag].name}"


# ---------------------------------------------------------------- foods by name


def _named_foods(
    plan: Plan, batches: Mapping[str, DriedBatch], eaten: Eaten, table: FoodTable
) -> Iterator[Caution]:
    """One caution for each packed item and kind, with the food that brings it and its grams."""
    conditions = plan.person.conditions
    items = foods_of_items(plan, table)
    for name in dict.fromkeys(entry.item for entry in plan.packed):
        grams = f"{_most_g(eaten, _as_eaten(eaten, name)):,.0f} g a day"
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
            yield caution(id_, name, foods="".join(f"{other}; " for other in others), grams=grams)


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


def _added(
    eaten: Eaten, id_: str, tags: Iterable[str], *, raised: bool = False
) -> Iterator[Caution]:
    """A caution for each item whose label adds one of the components, with the most of a day."""
    brought = {tag: eaten.most_of(tag, "added") for tag in tags}
    for name in dict.fromkeys(name for by_item in brought.values() for name in by_item):
        amounts = [
            _amount(tag, by_item[name]) for tag, by_item in brought.items() if name in by_item
        ]
        yield caution(id_, name, raised=raised, amounts=", ".join(amounts))


def _minerals(plan: Plan, eaten: Eaten) -> Iterator[Caution]:
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


def _iron_overload(eaten: Eaten) -> Iterator[Caution]:
    """Iron that labels add, and vitamin C beside it."""
    yield from _added(eaten, "iron added with iron overload", ("FE",))
    held = float(eaten.likely["FE"].max())
    iron = _amount("FE", held) if pd.notna(held) else "iron of unknown amount"
    for name, vitamin_c in eaten.most_of("VITC", "added").items():
        amounts = _amount("VITC", vitamin_c)
        yield caution("vitamin C added with iron overload", name, amounts=amounts, iron=iron)


def _vitamin_k_of_items(eaten: Eaten) -> Iterator[Caution]:
    """Items that bring so much vitamin K in a day that one meal of it tells."""
    for name, most in eaten.most_of("VITK1", "likely").items():
        if most >= value("vitamin_k_meal"):
            yield caution("vitamin K of one food", name, vitamin_k=f"{most:,.0f} ug")


def _vitamin_k(plan: Plan, eaten: Eaten) -> Iterator[Caution]:
    """The mean of vitamin K, its swing between the kinds of day, and what brings most of it."""
    brought = eaten.most_of("VITK1", "likely")
    counts = pd.Series({day.name: day.count for day in plan.days}, dtype=float)
    counts = counts[counts > 0]
    amounts = eaten.likely.loc[counts.index, "VITK1"]
    if amounts.isna().any():
        yield caution("vitamin K not known", "trip")
        return
    mean = float((amounts * counts).sum() / counts.sum())
    least, most = amounts.idxmin(), amounts.idxmax()
    swing = float(amounts.max() - amounts.min())
    yield caution(
        "vitamin K",
        "trip",
        raised=max(swing, float(amounts.max())) >= value("vitamin_k_meal"),
        mean=f"{mean:,.0f} ug",
        most=", ".join(f"{name} {amount:,.0f}" for name, amount in [*brought.items()][:_MOST_NAMED])
        or "no food of known content",
        swing=f", from {amounts.min():,.0f} ug on {least} to {amounts.max():,.0f} ug on {most}"
        if swing >= 1
        else ", the same every day",
        meal=f"{value('vitamin_k_meal'):,.0f}",
    )


def _oxalate_of_items(eaten: Eaten, per_g: Mapping[str, Oxalate]) -> Iterator[Caution]:
    """Items with a day's oxalate, and vitamin C in tablets, which turns to it."""
    limit = value("oxalate_stones")
    for name in eaten.grams:
        oxalate = per_g.get(str(name).casefold(), _NO_OXALATE).times(_most_g(eaten, str(name)))
        if oxalate.likely > limit:
            yield caution(
                "oxalate of one food",
                str(name),
                oxalate=f"{oxalate.likely:,.0f} mg ({oxalate.low:,.0f} to {oxalate.high:,.0f})",
                limit=f"{limit:,.0f}",
            )
    # what the pack takes of a tablet's vitamin C is no reason to say nothing
    if float(eaten.added["VITC"].max()) >= _NEARLY * value("vitamin_c_stones"):
        for name, vitamin_c in eaten.most_of("VITC", "added").items():
            yield caution(
                "vitamin C with kidney stones",
                name,
                vitamin_c=_amount("VITC", vitamin_c),
                limit=f"{value('vitamin_c_stones'):,.0f}",
            )


def _kidney_stones(
    plan: Plan,
    batches: Mapping[str, DriedBatch],
    needs: Mapping[str, DayNeeds],
    eaten: Eaten,
    table: FoodTable,
) -> Iterator[Caution]:
    """Oxalate of each kind of day, the water that urine needs, and the clash with salt."""
    per_g = oxalate_of_items(plan, batches, table)
    limit = value("oxalate_stones")
    for day in plan.days:
        if day.count == 0:
            continue
        grams = eaten.grams.loc[day.name]
        held = {item: per_g.get(str(item).casefold()) for item, gram in grams.items() if gram > 0}
        by_item = {
            item: oxalate.times(float(grams[item])) for item, oxalate in held.items() if oxalate
        }
        low, likely, high = (sum(oxalate[end] for oxalate in by_item.values()) for end in range(3))
        if likely > limit:
            first = sorted(by_item, key=lambda item: -by_item[item].likely)[:_MOST_NAMED]
            yield caution(
                "oxalate",
                day.name,
                oxalate=f"at least {likely:,.0f} mg, {low:,.0f} to {high:,.0f}; most in "
                + ", ".join(f"{item} {by_item[item].likely:,.0f}" for item in first),
                limit=f"{limit:,.0f}",
            )
        water = needs[day.name].water
        # what ordinary life needs holds some 1.5 L of urine; the rest of 2.5 L comes on top: ours
        wanted = water.drink_l[1] + value("urine_stones") - _ORDINARY_URINE_L
        if day.drink_l is not None and day.drink_l < wanted:
            yield caution(
                "water with kidney stones",
                day.name,
                planned=f"{day.drink_l:.1f}",
                wanted=f"{wanted:.1f}",
                urine=f"{value('urine_stones'):g}",
            )
        sodium = float(eaten.likely.at[day.name, "NA"])
        if needs[day.name].sweat.likely_l >= 1 or sodium > value("sodium_stones"):
            yield caution(
                "salt with kidney stones",
                day.name,
                sodium=f"{sodium:,.0f} mg",
                limit=f"{value('sodium_stones'):,.0f}",
            )


_MOST_NAMED = 3
_NO_OXALATE = Oxalate(0.0, 0.0, 0.0)
_NEARLY = 0.95  # ours
_ORDINARY_URINE_L = 1.5  # of a day in ordinary life; common knowledge, no source
