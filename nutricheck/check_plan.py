"""The whole job: plan → batches → menu → needs → coverage → supply, as one :class:`Result`.

Each step is a function that can be called alone; this module only calls them in order and keeps
what they return, so that every figure of a report can be followed back.
"""

from __future__ import annotations

import functools
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, ClassVar, TypeVar

import numpy as np
import pandas as pd

from nutricheck.adequacy import coverage
from nutricheck.adequacy.chance import (
    NOT_KNOWN,
    Aims,
    chances,
    shown_words,
)
from nutricheck.adequacy.salt import CHANCE_OF, salt_chances
from nutricheck.asked import Asked, what_is_asked
from nutricheck.caution_limits import Found, Limit, Moving, holding
from nutricheck.cautions.diet import diet_cautions, diet_questions, not_eaten_cautions
from nutricheck.cautions.eaten import (
    eaten_limits,
    laxative_limits,
    seaweed_cautions,
    unknown_drink_cautions,
)
from nutricheck.cautions.ferments import ferment_cautions
from nutricheck.cautions.illness import Eaten, illness_cautions, illness_cautions_of_items
from nutricheck.cautions.left_at_home import LeftAtHome, left_at_home
from nutricheck.cautions.levels import level_limits, shortest_trip_limits
from nutricheck.cautions.on_trip import on_this_trip
from nutricheck.cautions.packed import edible_cautions, fresh_limits, soaking_cautions
from nutricheck.cautions.person import deficit_limits, person_cautions
from nutricheck.cautions.portion import (
    DayLevel,
    day_levels,
    fish_liver_oil_limits,
    portion_cautions,
)
from nutricheck.cautions.pregnancy import pregnancy_cautions
from nutricheck.cautions.salt import doctor_cautions, salt_limits
from nutricheck.consistency import day_totals, plan_questions, used_g
from nutricheck.defaults import DRAWS, REFERENCES, SEED
from nutricheck.drying import DriedBatch, dry_batch, with_cautions
from nutricheck.drying.contents import contents_of
from nutricheck.drying.stages import PackStage, pack_stage
from nutricheck.errors import Fault, NutricheckError, PlanError, shorten
from nutricheck.facts.caution import Caution, caution, grouped
from nutricheck.facts.constants import value
from nutricheck.intake import menu
from nutricheck.intake.edible import COLD, Edibility, can_be_eaten, counts_as_eaten, edibility
from nutricheck.intake.fermented import Fermented, fermented_items, with_ferments_packed
from nutricheck.intake.found import carried_grams, with_found_packed
from nutricheck.intake.named import NamedFood, named_foods
from nutricheck.intake.portions import daily_portions, on_trip
from nutricheck.labels.amounts import LabelFood, label_composition
from nutricheck.memory import Memory
from nutricheck.needs import DayNeeds, with_food_water
from nutricheck.needs.clinic import AimAndLimit, clinic_figures
from nutricheck.needs.reference import levels_by_food
from nutricheck.needs.sodium import SALT_LOW_EVERY_DAY
from nutricheck.people import parts
from nutricheck.plan.models import DAYS_PER_MONTH, Batch, Cooking, Packed, Person, Plan, trip_length
from nutricheck.plan.read import plan_from_data, read_placed_plan, with_cell_places, with_ways_out
from nutricheck.plan.trip_days import TripDays, trip_days
from nutricheck.stock.balance import EnergyBalance, energy_balance
from nutricheck.stock.legs import LegStock, leg_stock
from nutricheck.stock.supply import FOLLOWED, TRIPS, Supply, eaten_share, rehydration_litres, supply

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.foods import Food, FoodTable, Table

__all__ = ["Result", "check"]

_Value = TypeVar("_Value")


@dataclass(frozen=True)
class Result:
    """All that a check found; every report is written from this alone."""

    plan: Plan
    source: str
    data: Mapping[str, Any] | None
    """The plan as its text form has it; None where a ready :class:`Plan` was given"""
    table: FoodTable
    reference: str
    draws: int
    seed: int
    unknown_scale: NDArray[np.float64]
    """Best estimate over mean of what is unknown in the plan's foods, by component [-]"""
    days: pd.DataFrame
    """day, longest, shortest [day]"""
    batches: Mapping[str, DriedBatch]
    labels: Mapping[str, LabelFood]
    items: Mapping[str, menu.Item]
    """As eaten on the mean day in the pack"""
    pack: PackStage
    ferments: Mapping[str, Fermented]
    """What one batch of each drink made on the way came to, by case-folded name"""
    portions: pd.DataFrame
    edible: Mapping[str, Edibility]
    """Whether each packed item can be eaten, by its case-folded name"""
    left: LeftAtHome
    """What is packed and not for this person"""
    intake: menu.Intake
    """What the portions of what can be eaten, and is for this person, give"""
    portioned: menu.Intake
    """What all portions would give: upper levels and supply go by it"""
    on_shortest: tuple[menu.Intake, menu.Intake]
    """The two on the shortest trip; the same, where nothing is spread over the trip"""
    unheated: menu.Intake | None
    """What they give if nothing is heated, where the plan does not say and it makes a difference"""
    figures: Mapping[str, AimAndLimit]
    """What the person's clinic set, by component"""
    needs: Mapping[str, DayNeeds]
    targets: pd.DataFrame
    coverage: pd.DataFrame
    aims: Aims
    energy_shares: pd.DataFrame
    supply: Supply
    packed: pd.DataFrame
    """item, is_eaten, leg, mass_g, container, container_mass_g: a row for each container"""
    legs: Mapping[str, LegStock]
    """Trip → the pack leg by leg; empty where the plan has no legs"""
    balance: Mapping[str, EnergyBalance]
    """Energy balance of the "longest" and the "shortest" trip, from what is packed"""
    limits: tuple[Found, ...]
    """The cautions before they are grouped, as limits where a change of amounts moves them"""
    questions: tuple[str, ...]

    @functools.cached_property
    def cautions(self) -> tuple[Caution, ...]:
        """What is to be minded, each once with all its places, the most serious first."""
        return grouped(holding(self.limits))

    def is_eaten(self, key: str) -> bool:
        """Whether a packed item, by its case-folded name, counts as eaten."""
        return _is_eaten(self.edible[key], self.left, self.plan.trip.cooking)

    def intake_on(self, trip: str) -> menu.Intake:
        """What can be eaten gives, on the longest or the shortest trip."""
        return self.intake if trip == "longest" else self.on_shortest[0]

    def portioned_on(self, trip: str) -> menu.Intake:
        """What all portions would give, on the longest or the shortest trip."""
        return self.portioned if trip == "longest" else self.on_shortest[1]

    written: Plan | None = None
    """The plan before drinks on the way and what is found came among what is packed"""
    is_part: bool = False
    """Whether this is a person's part of a pack from which several eat"""
    group: Group | None = None
    """Everybody who eats from the pack, where they are several; of the first person's result"""

    notebook_view: ClassVar[Callable[[Result], str] | None] = None
    """What a notebook shows of a result; the package sets the page's summary"""

    def _repr_html_(self) -> str | None:
        view = type(self).notebook_view
        return None if view is None else view(self)


@dataclass(frozen=True)
class Group:
    """Several people who eat from one pack, and the whole pack.

    Attributes
    ----------
    people : mapping
        Name → the check of that person's part of the pack, the plan's person first.
    supply, legs : Supply, mapping
        Of the whole pack and of what all eat of it; without needs.
    cautions, questions : tuple
        On the whole pack and the whole plan.
    """

    people: Mapping[str, Result]
    supply: Supply
    legs: Mapping[str, LegStock]
    cautions: tuple[Caution, ...]
    questions: tuple[str, ...]


def check(
    plan: Plan | str | Path | Mapping[str, Any],
    *,
    table: Table = None,
    reference: str | None = None,
    draws: int = DRAWS,
    seed: int = SEED,
    memory: Memory | None = None,
) -> Result:
    """Check a plan: does what is packed cover the needs, for how long, and how sure is that?

    Parameters
    ----------
    plan : Plan, path or mapping
        A plan, its file, or a dictionary shaped like the text form.
    table : FoodTable, path or paths, optional
        The food table, or several over each other, the first on top; left out: the embedded USDA
        SR28 table.
    reference : {"DRI", "EFSA"}, optional
        The reference set; left out: the plan's own.
    draws : int
        Monte Carlo draws for low and high; 0 leaves low = likely = high.
    seed : int
        The same seed gives the same digits.
    memory : Memory, optional
        Keeps what did not change from one check to the next, of the same table; the digits are
        those of a check without it.

    Raises
    ------
    PlanError
        With all faults of the plan.
    TableError
        If the table cannot be read.
    """
    from nutricheck.foods import open_table

    food_table = open_table(table)
    memory = Memory() if memory is None else memory
    memory.begin_check()
    source, places, given = "plan", None, plan
    data: Mapping[str, Any] | None = None
    if isinstance(plan, str | Path):
        source = str(plan)
        plan, data, places = read_placed_plan(plan, food_table)
    elif not isinstance(plan, Plan):
        data, plan = plan, plan_from_data(plan, source, food_table)
    chosen = reference or plan.trip.reference
    if chosen not in REFERENCES:
        raise NutricheckError(
            f"reference {shorten(chosen)} is not known; expected one of {', '.join(REFERENCES)}"
        )

    food_table = food_table.with_salt(plan.trip.iodised_salt)
    how = _How(source, data, food_table, chosen, draws, seed, memory)
    try:
        scale = _unknown_scale(with_ferments_packed(with_found_packed(plan), source), food_table)
        if plan.companions:
            return _check_group(plan, how, scale)
        return _check_one(plan, how, scale, _eaten(plan, how, scale))
    except PlanError as error:
        raise with_cell_places(with_ways_out(error, given, food_table), places) from None


@dataclass(frozen=True)
class _How:
    """What a check is made with, whoever eats."""

    source: str
    data: Mapping[str, Any] | None
    table: FoodTable
    reference: str
    draws: int
    seed: int
    memory: Memory


@dataclass(frozen=True)
class _Eaten:
    """The food of a plan and what a day takes of it."""

    plan: Plan
    batches: dict[str, DriedBatch]
    labels: dict[str, LabelFood]
    figures: dict[str, AimAndLimit]
    pack: PackStage
    items: dict[str, menu.Item]
    drinks: dict[str, tuple[menu.Item, Fermented]]
    portions: pd.DataFrame


def _eaten(plan: Plan, how: _How, unknown_scale: NDArray[np.float64]) -> _Eaten:
    """The plan's food, with drinks made and food found on the way among what is packed."""
    source, table, draws, seed = how.source, how.table, how.draws, how.seed
    plan = with_ferments_packed(with_found_packed(plan), source)
    batches, labels, figures = _batches_and_labels(
        plan, source, table, how.reference, draws, seed, unknown_scale, how.memory
    )
    pack = pack_stage(plan.days)
    batches = _with_portions(plan, batches, day_levels(plan.person, how.reference, figures))
    items = menu.packed_items(
        plan,
        table,
        batches,
        labels,
        draws=draws,
        seed=seed,
        unknown_scale=unknown_scale,
        pack=pack,
        memory=how.memory,
    )
    drinks = fermented_items(items, plan, pack.temperature_c[1], draws, seed)
    items |= {key: item for key, (item, _) in drinks.items()}
    return _Eaten(
        plan,
        batches,
        labels,
        figures,
        pack,
        items,
        drinks,
        daily_portions(plan, items, table, source),
    )


def _check_group(plan: Plan, how: _How, unknown_scale: NDArray[np.float64]) -> Result:
    """The first person's check of their part of the pack, with the others' and the whole pack."""
    without_draws = replace(how, draws=0)
    eaten: list[_Eaten] = []

    def portions_of(eater_plan: Plan) -> pd.DataFrame:
        eaten.append(_eaten(eater_plan, without_draws, unknown_scale))
        return eaten[-1].portions

    people = {
        part.person.name: _check_one(
            part, how, unknown_scale, _eaten(part, how, unknown_scale), is_part=True
        )
        for part in parts(plan, portions_of)
    }
    first = next(iter(people.values()))
    stores, legs = _whole_pack(plan, people)
    written = pd.concat([part.portions for part in eaten], ignore_index=True)
    written = written[written["portion"] <= len(plan.portions)]
    questions = plan_questions(plan, how.table, first.batches, eaten[0].items, written, stores)
    group = Group(
        people=people,
        supply=stores,
        legs=legs,
        cautions=grouped((*_leg_cautions(legs), *_more_than_dried(plan, first.batches))),
        questions=tuple(map(str, questions)),
    )
    return replace(first, group=group)


def _whole_pack(plan: Plan, people: Mapping[str, Result]) -> tuple[Supply, dict[str, LegStock]]:
    """The pack of all people together, and leg by leg; it is enough for no need of one of them."""
    first = next(iter(people.values()))
    packed = pd.concat([result.packed for result in people.values()], ignore_index=True)
    # what one of them leaves, another may eat
    packed["is_eaten"] = packed.groupby("item")["is_eaten"].transform("any")
    keys = ["item", "is_eaten", "leg", "container"]
    packed = packed.groupby(keys, sort=False, as_index=False).sum()
    items = {item.name: item for result in people.values() for item in result.items.values()}
    grams = {
        trip: functools.reduce(
            lambda one, other: one.add(other, fill_value=0.0),
            [carried_grams(plan, result.portioned_on(trip).grams) for result in people.values()],
        ).reindex([day.name for day in plan.days])
        for trip in TRIPS
    }
    trips = {trip: trip_days(plan.days, plan.order, trip) for trip in TRIPS}
    carried_g = sum(gear.mass_g for gear in plan.carried)
    stores = supply(
        packed,
        grams["longest"],
        pd.DataFrame({name: item.per_100g["likely"] for name, item in items.items()}).T,
        _rehydration(items),
        first.days,
        first.targets,
        (),
        {trip: days.shares for trip, days in trips.items() if days.is_in_order},
        carried_g,
        grams["shortest"],
    )
    return stores, _leg_stocks(plan, packed, grams, trips, plan.packed)


def _check_one(
    written: Plan,
    how: _How,
    unknown_scale: NDArray[np.float64],
    eaten: _Eaten,
    *,
    is_part: bool = False,
) -> Result:
    """The check of one person's plan; of a part of a pack nothing is asked about its figures."""
    plan, batches, labels, figures = eaten.plan, eaten.batches, eaten.labels, eaten.figures
    pack, items, drinks, portions = eaten.pack, eaten.items, eaten.drinks, eaten.portions
    source, data, food_table, chosen = how.source, how.data, how.table, how.reference
    draws, seed, memory = how.draws, how.seed, how.memory
    edible = edibility(plan, food_table)
    foods = named_foods(plan, food_table)
    portioned = menu.daily_intake(portions, items, plan.days, seed=seed)
    levels = day_levels(plan.person, chosen, figures)
    named, left = _named_items(plan, foods, food_table, batches, items, portioned, levels)
    counting = _Counting(plan, items, edible, left, seed)
    intake, unheated = counting.intakes(portions, portioned)
    on_shortest = _on_shortest(portions, counting) or (intake, portioned)
    bottles = [gear.holds_l for gear in plan.carried if gear.holds_l is not None]
    asked = memory.result_of(
        what_is_asked,
        plan.person,
        plan.days,
        plan.order,
        chosen,
        figures,
        sum(bottles) if bottles else None,
        draws,
        seed,
    )
    soaking, food_water = _food_water_l(items, intake)
    needs = {
        day.name: with_food_water(
            asked.needs[day.name],
            plan.person,
            day,
            float(food_water[day.name]),
            float(soaking[day.name]),
            figures,
        )
        for day in plan.days
    }
    counts = asked.counts
    intake_rows = _with_mean(intake, counts)
    counted_rows = intake_rows if portioned is intake else _with_mean(portioned, counts)
    grams = {
        trip: carried_grams(plan, trip_intake.grams)
        for trip, trip_intake in zip(TRIPS, (portioned, on_shortest[1]), strict=True)
    }
    packed_rows = _packed_rows(plan, items, edible, left)
    stores = _supply(plan, items, grams, asked, packed_rows)
    leg_stocks = _leg_stocks(plan, packed_rows, grams, asked.trips, written.packed)
    balance = {
        trip: _balance(trip, plan.person.mass_kg, intake, trip_intake, needs, asked.days, stores)
        for trip, trip_intake in zip(TRIPS, (intake, on_shortest[0]), strict=True)
    }
    compared = _coverage(plan.person, intake, intake_rows, counted_rows, asked)
    return Result(
        plan=plan,
        source=source,
        written=written,
        is_part=is_part,
        data=data,
        table=food_table,
        reference=chosen,
        draws=draws,
        seed=seed,
        unknown_scale=unknown_scale,
        days=asked.days,
        batches=batches,
        labels=labels,
        items=items,
        pack=pack,
        ferments={key: ferment for key, (_, ferment) in drinks.items()},
        portions=portions,
        edible=edible,
        left=left,
        intake=intake,
        figures=figures,
        portioned=portioned,
        on_shortest=on_shortest,
        unheated=unheated,
        needs=needs,
        targets=asked.all_targets,
        coverage=compared,
        aims=asked.aims,
        energy_shares=coverage.energy_shares(intake_rows, asked.all_targets),
        supply=stores,
        packed=packed_rows,
        legs=leg_stocks,
        balance=balance,
        limits=(
            # of equals, what is about the person comes first
            *named,
            *_cautions(
                plan,
                batches,
                labels,
                needs,
                asked,
                balance["longest"],
                intake,
                portioned,
                on_shortest[1],
                items,
                food_table,
                chosen,
            ),
            *_food_cautions(plan, foods, food_table, edible, left, items, stores),
            *_leg_cautions(leg_stocks),
            *ferment_cautions(plan, [ferment for _, ferment in drinks.values()]),
            *deficit_limits(plan.person, balance["longest"].deficit_share),
            *diet_cautions(plan.person, b12=_b12(compared)),
        ),
        questions=(
            *_cooking_questions(plan, edible),
            *_storage_questions(plan),
            *diet_questions(plan.person, foods, food_table),
            *(
                f"Label of {label.name}: {ask}"
                for label in labels.values()
                for ask in label.questions
            ),
            *(
                f"Batch {batch.name}: {ask}"
                for batch in batches.values()
                for ask in batch.questions
            ),
            *_about_person(plan.person),
            *map(
                str,
                ()
                if is_part
                else plan_questions(
                    written,
                    food_table,
                    batches,
                    items,
                    portions[portions["portion"] <= len(written.portions)],
                    stores,
                ),
            ),
            *map(str, day_totals(intake.by_day("likely"), asked.targets)),
        ),
    )


def _coverage(
    person: Person,
    intake: menu.Intake,
    intake_rows: pd.DataFrame,
    counted_rows: pd.DataFrame,
    asked: Asked,
) -> pd.DataFrame:
    """The coverage table with the chance of each component, sodium's among them."""
    aims, counts = asked.aims, asked.counts
    drawn = intake.drawn_by_day(counts)
    compared = _with_unset_levels(
        coverage.coverage_table(
            intake_rows, asked.references, levels_by_food(person), counted_rows
        ),
        asked.unset_notes,
    )
    is_borrowed = compared["is_borrowed"].to_numpy()
    borrowed = set(compared["component"].to_numpy(dtype=object)[is_borrowed])
    found = chances(aims, drawn, intake_rows, menu.TAGS, borrowed)
    pairs = zip(compared["day"].tolist(), compared["component"].tolist(), strict=True)
    chance_rows = [found.get(pair, (np.nan, np.nan, np.nan)) for pair in pairs]
    names = ("chance", "chance_of", "chance_word")
    table = compared.assign(
        **dict(zip(names, map(list, zip(*chance_rows, strict=True)), strict=True))
    )
    place = menu.TAGS.index("NA")
    salt = salt_chances(
        aims.person,
        {
            day: (need.sodium, (need.sweat.low_l, need.sweat.likely_l, need.sweat.high_l))
            for day, need in asked.needs.items()
        },
        {day: draws[:, place] for day, draws in drawn.items()},
        {str(day): float(count) for day, count in counts.items()},
        aims.z,
    )
    is_sodium = table["component"] == "NA"
    chance = table.loc[is_sodium, "day"].map(salt)
    # an intake that is only "at least" so much may be enough, but is not called low
    is_unsure = table.loc[is_sodium, "status"] == NOT_KNOWN
    table.loc[is_sodium, "chance"] = chance.mask(is_unsure)
    table.loc[is_sodium, "chance_of"] = CHANCE_OF
    table.loc[is_sodium, "chance_word"] = table.loc[is_sodium, "status"]
    # the word of the draws in place of the range's
    is_drawn = table["chance_word"].notna() & ~is_sodium
    words = shown_words(
        table["chance_word"].to_numpy(dtype=object),
        np.array(coverage.excesses(table), dtype=object),
    )
    table["status"] = table["status"].where(~is_drawn, words)
    return table


def _batches_and_labels(
    plan: Plan,
    source: str,
    table: FoodTable,
    reference: str,
    draws: int,
    seed: int,
    unknown_scale: NDArray[np.float64],
    memory: Memory,
) -> tuple[dict[str, DriedBatch], dict[str, LabelFood], dict[str, AimAndLimit]]:
    """Batches and labels by case-folded name, and the clinic's figures; all faults told at once."""
    faults: list[Fault] = []

    def attempt(
        place: str, location: tuple[str | int, ...], make: Callable[[], _Value]
    ) -> _Value | None:
        try:
            return make()
        except PlanError as error:
            faults.extend(
                Fault(f"{place} {fault.place}".strip(), fault.message, (*location, *fault.location))
                for fault in error.faults
            )
            return None
        except NutricheckError as error:
            faults.append(Fault(place, str(error), location))
            return None

    batches, labels = {}, {}
    for i, batch in enumerate(plan.batch, start=1):
        dried = attempt(
            f"batch[{i}] ({batch.name!r})",
            ("batch", i - 1, "dried_mass" if batch.dried_mass_g is not None else "moisture"),
            partial(
                memory.result_of,
                dry_batch,
                batch,
                table,
                draws=draws,
                seed=seed,
                unknown_scale=unknown_scale,
            ),
        )
        if dried is not None:
            batches[batch.name.casefold()] = dried
    for i, label in enumerate(plan.label, start=1):
        read = attempt(
            f"label[{i}] ({label.name!r})",
            ("label", i - 1),
            partial(
                memory.result_of,
                label_composition,
                label,
                reference,
                takes_retinol=plan.person.life_stage == "pregnancy",
            ),
        )
        if read is not None:
            labels[label.name.casefold()] = read
    figures = attempt("", (), partial(clinic_figures, plan.clinic))
    if faults or figures is None:
        raise PlanError(source, faults)
    return batches, labels, figures


def _with_portions(
    plan: Plan, batches: Mapping[str, DriedBatch], levels: Mapping[str, DayLevel]
) -> dict[str, DriedBatch]:
    """The batches with cautions on how much of each a day of this person bears."""
    return {
        key: with_cautions(
            batch, portion_cautions(batch.name, batch.composition, levels, plan.person)
        )
        for key, batch in batches.items()
    }


def _unknown_scale(plan: Plan, table: FoodTable) -> NDArray[np.float64]:
    """Best estimate over mean of what is unknown in all foods of the plan together. [-]"""
    used = [(part.food, part.mass_g) for batch in plan.batch for part in batch.ingredients]
    used += [(part.food, part.mass_g) for mix in plan.mix for part in mix.parts if part.food]
    used += [(entry.food, entry.mass_g) for entry in plan.packed if entry.food]
    mass_g: dict[Food, float] = {}
    for text, mass in used:
        try:
            food = table.resolve(text)
        except NutricheckError:  # said where the plan's faults are gathered
            continue
        mass_g[food] = mass_g.get(food, 0.0) + mass
    if not mass_g:
        return np.ones(len(menu.TAGS))
    return contents_of(list(mass_g), table).scale(np.array(list(mass_g.values())))


#: Ages that reference values for pregnancy and breast-feeding are printed for. [year]
_MOTHERS = (14, 50)


def _about_person(person: Person) -> list[str]:
    """Questions about what is hardly possible together; nothing is changed for them."""
    questions = []
    age = f"{person.age_years} years"
    if person.sex == "male" and person.postmenopausal:
        questions.append("Person: postmenopausal is set for a man. Is the sex right?")
    if person.life_stage != "general":
        stage = "pregnancy" if person.life_stage == "pregnancy" else "breast-feeding"
        youngest, oldest = _MOTHERS
        if not youngest <= person.age_years <= oldest:
            questions.append(
                f"Person: {stage} at {age}. Are age and life stage right? The aims are those "
                f"of {youngest} to {oldest} years"
            )
        if person.postmenopausal:
            questions.append(f"Person: {stage} and postmenopausal. Which of the two is right?")
    return questions


def _is_eaten(edibility: Edibility, left: LeftAtHome, cooking: Cooking | None) -> bool:
    """Whether a packed item counts as eaten: it can be, and the person need not leave it."""
    return counts_as_eaten(edibility, cooking) and edibility.item not in left


@dataclass(frozen=True)
class _Counting:
    """What of a plan counts as eaten."""

    plan: Plan
    items: Mapping[str, menu.Item]
    edible: Mapping[str, Edibility]
    left: LeftAtHome
    seed: int

    def intakes(
        self, portions: pd.DataFrame, portioned: menu.Intake
    ) -> tuple[menu.Intake, menu.Intake | None]:
        """Intake of what counts as eaten, and, where that is asked, of what can be eaten cold."""
        cooking = self.plan.trip.cooking
        is_asked = cooking is None and any(
            not can_be_eaten(edibility.readiness, COLD[0]) for edibility in self.edible.values()
        )
        intake = self._where_cooked(cooking, portions, portioned)
        return intake, self._where_cooked(COLD[0], portions, portioned) if is_asked else None

    def _where_cooked(
        self, cooking: Cooking | None, portions: pd.DataFrame, portioned: menu.Intake
    ) -> menu.Intake:
        eaten = [
            key
            for key, edibility in self.edible.items()
            if _is_eaten(edibility, self.left, cooking)
        ]
        if len(eaten) == len(self.edible):
            return portioned
        is_eaten = portions["item"].str.casefold().isin(eaten)
        return menu.daily_intake(portions[is_eaten], self.items, self.plan.days, seed=self.seed)


def _on_shortest(
    portions: pd.DataFrame, counting: _Counting
) -> tuple[menu.Intake, menu.Intake] | None:
    """Intake of what counts and of all on the shortest trip, where something is spread over it."""
    shorter = on_trip(portions, "shortest")
    if shorter is portions:
        return None
    portioned = menu.daily_intake(shorter, counting.items, counting.plan.days, seed=counting.seed)
    return counting.intakes(shorter, portioned)[0], portioned


def _named_items(
    plan: Plan,
    foods: Sequence[NamedFood],
    table: FoodTable,
    batches: Mapping[str, DriedBatch],
    items: Mapping[str, menu.Item],
    portioned: menu.Intake,
    levels: Mapping[str, DayLevel],
) -> tuple[tuple[Found, ...], LeftAtHome]:
    """Cautions that each name one item that may not be for this person, and what stays at home."""
    days = [day.name for day in plan.days if day.is_on_a_trip]
    grams = portioned.grams.loc[days]
    named: tuple[Found, ...] = (
        *illness_cautions_of_items(plan, batches, Eaten.of(portioned, days, items), table),
        *pregnancy_cautions(plan.person, foods),
        *not_eaten_cautions(plan.person, foods),
        *laxative_limits(plan, grams, table),
        *fish_liver_oil_limits(plan.person, foods, items, grams, levels),
    )
    return named, left_at_home(plan, holding(named))


def _with_mean(intake: menu.Intake, counts: pd.Series[int]) -> pd.DataFrame:
    """The rows of each kind of day, then those of the trip's mean."""
    mean = coverage.mean_intake(intake.table, counts)
    return pd.concat([intake.table, mean], ignore_index=True)


def _food_water_l(
    items: Mapping[str, menu.Item], intake: menu.Intake
) -> tuple[pd.Series, pd.Series]:
    """What soaks each day's food, and all of its water, with the moisture where known. [L/day]"""
    soaked = rehydration_litres(intake.grams, _rehydration(items)).set_index("day")["litres"]
    rows = intake.table
    moisture_g = rows[rows["component"] == "WATER"].set_index("day")["likely"].fillna(0.0)
    return soaked, soaked + moisture_g / 1000


def _rehydration(items: Mapping[str, menu.Item]) -> pd.Series:
    """Water that makes each item ready. [g per 100 g]"""
    return pd.Series({item.name: item.rehydration_water_g_per_100g for item in items.values()})


def _supply(
    plan: Plan,
    items: Mapping[str, menu.Item],
    grams: Mapping[str, pd.DataFrame],
    asked: Asked,
    packed: pd.DataFrame,
) -> Supply:
    composition = pd.DataFrame(
        np.array([item.per_100g["likely"].to_numpy() for item in items.values()]),
        pd.Index([item.name for item in items.values()], name="item"),
        list(menu.TAGS),
    )
    # Of salt the least that is right every day is followed, not the aim.
    targets = asked.all_targets
    role = targets["role"].to_numpy(dtype=object)
    is_aim = (targets["component"].to_numpy(dtype=object) == "NA") & (role == "target")
    targets = targets.assign(role=np.where(role == SALT_LOW_EVERY_DAY, "target", role))[~is_aim]
    aimed = targets[(targets["role"] == "target") & (targets["day"] == coverage.TRIP_MEAN)]
    followed = [tag for tag in FOLLOWED if tag in set(aimed["component"])]
    soaks = _rehydration(items).where(packed.groupby("item")["is_eaten"].first(), 0.0)
    shares = {trip: days.shares for trip, days in asked.trips.items() if days.is_in_order}
    carried_g = sum(gear.mass_g for gear in plan.carried)
    return supply(
        packed,
        grams["longest"],
        composition,
        soaks,
        asked.days,
        targets,
        followed,
        shares,
        carried_g,
        grams["shortest"],
    )


def _leg_cautions(stocks: Mapping[str, LegStock]) -> Iterator[Caution]:
    """Legs that begin with more weight than the plan allows."""
    for trip, stock in stocks.items():
        for leg in stock.legs[stock.legs["is_over"]].to_dict("records"):
            if trip == "longest" or stocks["longest"].legs["is_over"].sum() == 0:
                yield caution(
                    "leg too heavy",
                    str(leg["leg"]),
                    start=f"{leg['start_total_g'] / 1000:.1f}",
                    limit=f"{leg['limit_g'] / 1000:.1f}",
                    over=f"{(leg['start_total_g'] - leg['limit_g']) / 1000:.1f}",
                )


def _packed_rows(
    plan: Plan,
    items: Mapping[str, menu.Item],
    edible: Mapping[str, Edibility],
    left: LeftAtHome,
) -> pd.DataFrame:
    """What is packed, a row for each container."""
    return pd.DataFrame(
        [
            {
                "item": items[entry.item.casefold()].name,
                "is_eaten": _is_eaten(edible[entry.item.casefold()], left, plan.trip.cooking),
                "leg": entry.leg,
                "mass_g": entry.mass_g,
                "container": entry.container,
                "container_mass_g": entry.container_mass_g,
            }
            for entry in plan.packed
        ]
    )


def _leg_stocks(
    plan: Plan,
    packed: pd.DataFrame,
    grams: Mapping[str, pd.DataFrame],
    trips: Mapping[str, TripDays],
    written: Sequence[Packed],
) -> dict[str, LegStock]:
    """Trip → the pack leg by leg; none where the plan has no legs.

    ``written``: what the plan itself packs, before drinks on the way took their parts.
    """
    carried_g = sum(gear.mass_g for gear in plan.carried)
    packed = packed[~packed["item"].str.casefold().isin(plan.found_names)]
    columns = ["item", "leg", "mass_g", "container", "container_mass_g"]
    filled = pd.DataFrame(
        [[getattr(entry, key) for key in columns] for entry in written], None, columns
    )
    return {
        trip: leg_stock(packed, grams[trip], trips[trip].shares, plan.legs, trip, carried_g, filled)
        for trip in (TRIPS if plan.legs else ())
    }


def _balance(
    trip: str,
    mass_kg: float,
    intake: menu.Intake,
    on_trip: menu.Intake,
    needs: Mapping[str, DayNeeds],
    days: pd.DataFrame,
    stores: Supply,
) -> EnergyBalance:
    """Energy eaten against energy spent; what is no longer in the pack is not eaten.

    The range of the trip's energy has the width, as a share, of that of the longest trip.
    """
    ends = ["low", "likely", "high"]
    energy_kcal, likely = (
        trip_intake.table[trip_intake.table["component"] == "ENERC_KCAL"].set_index("day")[ends]
        for trip_intake in (intake, on_trip)
    )
    if on_trip is not intake:
        energy_kcal = energy_kcal.mul(
            (likely["likely"] / energy_kcal["likely"]).fillna(1.0), axis=0
        )
    used = [
        (day_need.energy.low, day_need.energy.likely, day_need.energy.high)
        for day_need in needs.values()
    ]
    need = pd.DataFrame(used, index=list(needs), columns=ends)
    counts = days.set_index("day")[trip]
    eaten = energy_kcal.loc[counts.index] * eaten_share(stores, trip)
    return energy_balance(mass_kg, eaten, need, counts, _assumed_pace(needs, counts))


def _assumed_pace(needs: Mapping[str, DayNeeds], counts: pd.Series) -> str:
    """That the energy of some days rests on a pace that the plan does not say."""
    days = [
        name
        for name, need in needs.items()
        if counts[name] > 0 and any(one.id == "pace assumed" for one in need.cautions)
    ]
    return f"at an assumed pace on {', '.join(days)}, since the plan gives none" if days else ""


def _more_than_dried(plan: Plan, batches: Mapping[str, DriedBatch]) -> tuple[Caution, ...]:
    """A note on each batch of which more is packed and mixed than it gave."""
    used = used_g(plan)
    return tuple(
        caution(
            "more packed than dried",
            batch.name,
            used=f"{used[key]:,.0f}",
            dried=f"{batch.dried_mass_g:,.0f}",
        )
        for key, batch in batches.items()
        if used.get(key, 0.0) > value("more_packed_than_dried") * batch.dried_mass_g
    )


def _cautions(
    plan: Plan,
    batches: Mapping[str, DriedBatch],
    labels: Mapping[str, LabelFood],
    needs: Mapping[str, DayNeeds],
    asked: Asked,
    balance: EnergyBalance,
    intake: menu.Intake,
    portioned: menu.Intake,
    on_shortest: menu.Intake,
    items: Mapping[str, menu.Item],
    table: FoodTable,
    reference: str,
) -> Iterator[Found]:
    """Cautions on batches, days and what a day brings; too much counts what cannot be eaten."""
    groups: list[Iterable[Found]] = [balance.limits, person_cautions(plan.person, reference)]
    groups += [_of_batch(plan, batch, batches[batch.name.casefold()]) for batch in plan.batch]
    groups += [_more_than_dried(plan, batches)]
    walked = [day for day in plan.days if day.is_on_a_trip]
    groups += [needs[day.name].limits(day.walked) for day in plan.days]
    sodium = intake.table[intake.table["component"] == "NA"].set_index("day")
    groups += [
        salt_limits(
            day,
            float(sodium.at[day.name, "likely"]),
            needs[day.name].sodium,
            known_share=float(sodium.at[day.name, "accounted_share"]),
            # two rules clash, and a caution of its own says so
            is_asked="kidney stones" in plan.person.conditions
            and not needs[day.name].sodium.is_set,
        )
        for day in plan.days
    ]
    groups.append(doctor_cautions(needs[day.name].sodium for day in walked))
    nicotinic_acid = _nicotinic_acid(plan, labels, portioned.grams)
    eaten = portioned.table.set_index("component")
    groups += [
        eaten_limits(
            plan.person,
            day,
            eaten[eaten["day"] == day.name],
            needs[day.name].targets,
            nicotinic_acid[day.name],
            reference,
        )
        for day in plan.days
    ]
    of_days = Eaten.of(portioned, [day.name for day in walked], items)
    groups.append(_on_levels(plan, portioned.table, of_days.added, asked, reference))
    if any(portion.is_over_trip for portion in plan.portions):
        groups.append(_only_on_shortest(plan, portioned.table, on_shortest.table, asked))
    groups.append(illness_cautions(plan, batches, needs, of_days, table))
    for cautions in groups:
        yield from cautions


def _with_unset_levels(rows: pd.DataFrame, notes: Mapping[str, str]) -> pd.DataFrame:
    """The coverage with a note where the body in force set no upper level, and none holds."""
    unset = rows["component"].map(notes).where(rows["upper"].isna(), "").fillna("")
    said = ["; ".join(filter(None, pair)) for pair in zip(rows["note"], unset, strict=True)]
    return rows.assign(note=said)


def _of_batch(plan: Plan, batch: Batch, dried: DriedBatch) -> tuple[Found, ...]:
    """A batch's cautions, as they hold for this person and the longest trip."""
    stored_days = sum(stage.warm_days for stage in batch.storage)
    name = batch.name.casefold()
    mixes = [
        mix.name
        for mix in plan.mix
        if any(part.item is not None and part.item.casefold() == name for part in mix.parts)
    ]
    length = trip_length(plan.days, "longest")
    return on_this_trip(dried.cautions, plan.person, length, stored_days, mixes)


def _on_levels(
    plan: Plan, eaten: pd.DataFrame, added: pd.DataFrame, asked: Asked, reference: str
) -> tuple[Limit, ...]:
    """Cautions on safe levels, and on upper levels that only another body has set."""
    return level_limits(
        plan.person,
        reference,
        coverage.upper_levels(eaten, asked.of_days),
        coverage.upper_levels(eaten, asked.of_another_body),
        added,
        {day.name: day.walked for day in plan.days},
    )


def _only_on_shortest(
    plan: Plan, on_longest: pd.DataFrame, on_shortest: pd.DataFrame, asked: Asked
) -> tuple[Limit, ...]:
    """Cautions on levels that only the larger portions of the shortest trip pass."""
    return shortest_trip_limits(
        coverage.upper_levels(on_longest, asked.of_days),
        coverage.upper_levels(on_shortest, asked.of_days),
        on_shortest.pivot(index="day", columns="component", values="added"),
        {day.name: day.shortest for day in plan.days},
    )


def _food_cautions(
    plan: Plan,
    foods: Sequence[NamedFood],
    table: FoodTable,
    edible: Mapping[str, Edibility],
    left: LeftAtHome,
    items: Mapping[str, menu.Item],
    stores: Supply,
) -> Iterator[Found]:
    """Cautions on foods as they are packed: edible or not, fresh, soaked, seaweed.

    Of what the person must leave out anyway nothing is said of how it could be eaten.
    """
    rows = stores.items.set_index(stores.items["item"].str.casefold())
    edible = {key: found for key, found in edible.items() if found.item not in left.not_for_person}
    yield from edible_cautions(edible, dict(rows["mass_g"]), plan.trip.cooking)
    longest = trip_length(plan.days, "longest")
    carried = rows["lasts_longest_days"].fillna(longest).clip(upper=longest)
    yield from fresh_limits(plan, table, edible, dict(rows["mass_g"]), dict(carried))
    soaked = [
        key
        for key, edibility in edible.items()
        if edibility.readiness.name == "soak" or items[key].rehydration_water_g_per_100g > 0
    ]
    yield from soaking_cautions(plan, table, soaked)
    named = [named_food.food.id for named_food in foods if named_food.food is not None]
    yield from seaweed_cautions(plan.person, named, plan.label, table)
    yield from unknown_drink_cautions(plan.person, named, plan.label, table)


def _b12(compared: pd.DataFrame) -> float:
    """Vitamin B12 over its reference, as the mean of the trip. [-]"""
    is_mean = (compared["day"] == coverage.TRIP_MEAN) & (compared["component"] == "VITB12")
    return float(compared.loc[is_mean, "ratio"].min())


def _cooking_questions(plan: Plan, edible: Mapping[str, Edibility]) -> list[str]:
    """What is asked where the plan does not say how it cooks, or of what is not known."""
    cooking = plan.trip.cooking
    must_be_heated = [
        edibility.item
        for edibility in edible.values()
        if not can_be_eaten(edibility.readiness, COLD[0])
    ]
    if cooking is None:
        if not must_be_heated:
            return []
        return [
            f"What do you heat on the way? You cannot eat {_listed(must_be_heated)} unheated. "
            'Write cooking = "none", "cold soak", "hot water" or "cooks" under [trip]; until '
            "then everything packed counts as eaten"
        ]
    unknown = [edibility.item for edibility in edible.values() if edibility.readiness.name is None]
    if cooking not in COLD or not unknown:
        return []
    return [
        f"Can you eat {_listed(unknown)} without heating? The tool does not know, and counts "
        'it as eaten. Write eaten = "as it is", "soaked" or "heated"'
    ]


def _storage_questions(plan: Plan) -> list[str]:
    """Whether a storage about as long as the trip is in the pack, where the plan does not say."""
    stored = [(batch.name, batch.storage) for batch in plan.batch]
    stored += [(label.name, label.storage) for label in plan.label]
    stored += [(mix.name, mix.storage) for mix in plan.mix]
    longest = trip_length(plan.days, "longest") / DAYS_PER_MONTH
    span = value("storage_like_trip")
    long = [
        name
        for name, stages in stored
        if stages
        and stages[-1].where is None
        and stages[-1].months > value("storage_asked_from")
        and abs(stages[-1].months - longest) <= span * longest
    ]
    if not long:
        return []
    return [
        f"Is the storage of {_listed(long)} the time before the trip? It counts as that, and "
        'the days in the pack come after it. Write where = "before the trip", or where = "in '
        'the pack" if it is the days on the way'
    ]


def _listed(names: Sequence[str]) -> str:
    return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} and {names[-1]}"


def _nicotinic_acid(
    plan: Plan, labels: Mapping[str, LabelFood], grams: pd.DataFrame
) -> dict[str, Moving]:
    """Added niacin that labels state as nicotinic acid, by day, mixes included. [mg/day]"""
    mixes = {mix.name.casefold(): mix for mix in plan.mix}
    flushing = {
        label.name.casefold()
        for label in plan.label
        for tag, form in label.forms.items()
        if tag in ("NIA", "NIAEQ") and "nicotinic acid" in form.casefold()
    }

    def mg_per_g(name: str) -> float:
        key = name.casefold()
        if key in mixes:
            parts = mixes[key].parts
            mg = sum(part.mass_g * mg_per_g(part.item) for part in parts if part.item)
            return mg / sum(part.mass_g for part in parts)
        if key in flushing and "NIA" in labels[key].added:
            return float(labels[key].composition.at["NIA", "likely"]) / 100
        return 0.0

    per_g = [mg_per_g(name) for name in grams]
    weights = {str(name): mg for name, mg in zip(grams, per_g, strict=True) if mg > 0}
    return {
        str(day): Moving(float(mg), "grams", day=str(day), weights=weights)
        for day, mg in (grams @ per_g).items()
    }
