"""The needs of one person on one kind of day, put together."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, fields, replace
from operator import attrgetter

import pandas as pd

from nutricheck.caution_limits import Limit, of_day
from nutricheck.facts.caution import Caution, caution
from nutricheck.facts.components import BY_TAG, FLUID
from nutricheck.facts.constants import value
from nutricheck.needs.clinic import AimAndLimit, left_to_clinic, with_figures
from nutricheck.needs.dry import (
    StretchWater,
    carried_too_much,
    stretch_water,
    with_water_on_back,
)
from nutricheck.needs.energy import EnergyNeed, energy_need
from nutricheck.needs.heat import heat_cautions
from nutricheck.needs.reference import (
    NO_FIGURE,
    Reference,
    reference_intakes,
    total_water,
)
from nutricheck.needs.sodium import (
    ORDINARY_HIGH,
    SALT_DANGER,
    SALT_HIGH,
    SALT_LOW,
    SALT_LOW_EVERY_DAY,
    SALT_LOW_FIRST,
    SodiumNeed,
    sodium_need,
)
from nutricheck.needs.sweat import OverLimit, SweatNeed, electrolyte_ends, sweat_need
from nutricheck.needs.water import WaterNeed, water_need
from nutricheck.plan.conditions import condition_name
from nutricheck.plan.models import DayType, Person
from nutricheck.rules.status import ASK_DOCTOR
from nutricheck.units import as_written

__all__ = ["SWEAT_SOURCE", "DayNeeds", "day_needs", "with_food_water"]

#: Between the source of a published value and that of what sweat adds to it.
SWEAT_SOURCE = "; sweat: "
#: Rounds that find water, pack and sweat together; the third changes nothing that is shown.
_ROUNDS = 3
_COLUMNS = [field.name for field in fields(Reference)]
_as_row = attrgetter(*_COLUMNS)
_ORDER = {tag: number for number, tag in enumerate(BY_TAG)}
_AI, _CDRR = "AI", "CDRR"
_SALT_SOURCE = (
    "NRC 1989, Recommended Dietary Allowances, table 11-1 (need without sweat); IOM 1993, p. 17, "
    "Allsopp et al. 1998 and Taylor et al. 1944 (caps); NASEM 2019 (AI, CDRR); shares of the sweat "
    "are ours"
)
_DOCTOR_SOURCE = (
    "NASEM 2019 (its figures are for healthy people); CDC, Heat and Medications, guidance for "
    "clinicians"
)
_CHLORIDE_NOTE = "chloride goes with sodium, 1.54 mg with each mg, and is not judged by itself"
# Of body mass. Young people: American Academy of Pediatrics, as the press quotes it. Old people:
# ours, where common practice for fit adults ends at 20 to 25 %. [-]
_HEAVY_PACK = 0.20
_VITC_HEAT = (
    "no published standard raises vitamin C for heat; a review allows that up to 250 mg/day may "
    "help while acclimatising (IOM 1993)"
)


@dataclass(frozen=True)
class DayNeeds:
    """What one kind of day asks of the food.

    ``targets`` has a row per reference value: component, role, kind, basis, low, likely, high,
    unit, is_published, source, note, sd. Roles: ``target`` (one per component, what intake is
    compared with), ``requirement`` (EAR or AR), ``base`` (the published value under a planning
    target), ``upper``, ``range low`` and ``range high`` (percent of energy), ``guide``; of sodium
    the lines of :mod:`nutricheck.needs.sodium`. ``basis`` is explained in
    :mod:`nutricheck.needs.reference`. ``sd`` is the standard deviation of requirements where EAR
    and RDA give it.
    """

    day: str
    reference: str
    targets: pd.DataFrame
    energy: EnergyNeed
    sweat: SweatNeed
    sodium: SodiumNeed
    water: WaterNeed
    effort_cautions: tuple[Caution, ...]
    """Of heat, pack, energy and sweat"""
    dry: tuple[StretchWater, ...] = ()
    """Water of each stretch without a source"""
    too_dry: tuple[OverLimit, ...] = ()
    """Where a stretch asks for more water than can be carried"""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What is to be minded on such a day, whatever is eaten but for the water in it."""
        return (*self.effort_cautions, *self.water.cautions)

    def limits(self, days: int) -> tuple[Limit, ...]:
        """The same as limits, with those that a change could bring; ``days`` of it are walked."""
        effort = (of_day(found, self.day, days) for found in self.effort_cautions)
        return (*effort, *self.water.limits)

    @property
    def over_limits(self) -> tuple[OverLimit, ...]:
        """What the day asks for beyond what a body does; not empty: the day is not possible."""
        return (*self.sweat.over_limits, *self.water.over_limits, *self.too_dry)


def day_needs(
    person: Person,
    day: DayType,
    reference: str = "DRI",
    measured_sweat_factor: float = 1.0,
    figures: Mapping[str, AimAndLimit] | None = None,
    heat_days: Sequence[int] = (1,),
    holds_l: float | None = None,
) -> DayNeeds:
    """The needs of a person on such a kind of day, with the water that ordinary food brings.

    Parameters
    ----------
    person : Person
    day : DayType
    reference : {"DRI", "EFSA"}
    measured_sweat_factor : float
        What the person's measured days say of the unmeasured ones,
        :func:`nutricheck.needs.sweat.measured_sweat_factor`. [-]
    figures : mapping, optional
        What the person's clinic set for this day, by component.
    heat_days : sequence of int
        The heat days of the trip that such days fall on,
        :func:`nutricheck.plan.trip_days.heat_days`.
    holds_l : float, optional
        Water that the bottles hold; left out: not known. [L]

    Returns
    -------
    DayNeeds

    Raises
    ------
    NutricheckError
        If the set holds no values for the person's age.

    References
    ----------
    As of the functions that it calls; each row of the targets has its own source.

    Examples
    --------
    >>> from nutricheck.plan.models import DayType, Person
    >>> walker = Person(sex="female", age=35, mass="70 kg", height="168 cm")
    >>> rest = day_needs(walker, DayType(name="rest", count=1))
    >>> rest.targets.query("component == 'MG' and role == 'target'")["likely"].item()
    320.0
    """
    dry: tuple[StretchWater, ...] = ()
    bare = day
    energy = energy_need(person, day)
    figures = figures or {}
    sweat = sweat_need(person, day, energy, measured_sweat_factor, heat_days)
    for _ in range(_ROUNDS if bare.dry else 0):
        # the water weighs, what weighs makes sweat, and sweat asks for water
        dry = stretch_water(bare, sweat.rate_l_h[1], total_water(person, reference)[0])
        day = with_water_on_back(bare, dry)
        energy = energy_need(person, day)
        sweat = sweat_need(person, day, energy, measured_sweat_factor, heat_days)
    water = water_need(person, day, sweat, reference, fluid=figures.get(FLUID))
    published = reference_intakes(person, reference, (energy.low, energy.likely, energy.high))
    ordinary = _ordinary_sodium(person, published)
    sodium = sodium_need(
        person,
        sweat.likely_l,
        electrolyte_ends(sweat.electrolytes, "NA"),
        ordinary[_AI].likely,
        ordinary[_CDRR].likely,
        heat_days,
        figures.get("NA"),
    )
    rows = [_energy_target(energy), *_with_sweat(published, sweat), *_guides(person, day)]
    if sodium.is_set:
        rows = [*with_figures(rows, figures), *_lines(sodium, figures["NA"].source)]
    else:
        rows = [
            *with_figures([row for row in rows if row.component != "NA"], figures),
            replace(ordinary[_AI], role="base"),
            replace(ordinary[_CDRR], role=ORDINARY_HIGH),
            *_salt_rows(sodium, sweat, ordinary[_AI]),
        ]
    rows = left_to_clinic(rows, person.conditions, figures)
    rows.sort(key=lambda row: _ORDER[row.component])
    targets = pd.DataFrame([_as_row(row) for row in rows], columns=_COLUMNS)
    cautions = (
        *heat_cautions(person, day, energy),
        *_pack_cautions(person, day),
        *energy.cautions,
        *sweat.cautions,
    )
    return DayNeeds(
        day.name,
        reference,
        targets,
        energy,
        sweat,
        sodium,
        water,
        cautions,
        dry,
        carried_too_much(dry, holds_l),
    )


def with_food_water(
    needs: DayNeeds,
    person: Person,
    day: DayType,
    food_water_l: float,
    soaking_l: float,
    figures: Mapping[str, AimAndLimit] | None = None,
) -> DayNeeds:
    """The needs with the water that the day's own food brings; nothing else rests on it.

    Parameters
    ----------
    needs : DayNeeds
        Of this person on this day.
    person : Person
    day : DayType
    food_water_l : float
        Water of the day's food, :func:`nutricheck.needs.water.water_need`. [L/day]
    soaking_l : float
        The part of it that soaks the food. [L/day]
    figures : mapping, optional
        What the person's clinic set, by component.
    """
    fluid = (figures or {}).get(FLUID)
    sweat, reference = needs.sweat, needs.reference
    water = water_need(person, day, sweat, reference, food_water_l, soaking_l, fluid)
    return replace(needs, water=water)


def _energy_target(energy: EnergyNeed) -> Reference:
    return Reference(
        "ENERC_KCAL",
        "target",
        "planning",
        "all sources",
        energy.low,
        energy.likely,
        energy.high,
        "kcal",
        False,
        "Mifflin et al., Am J Clin Nutr 1990;51:241; Pandolf et al., J Appl Physiol 1977;43:577; "
        "Looney et al., Med Sci Sports Exerc 2022;54:646; NASEM 2023, DRI for energy, table S-3",
        energy.method,
    )


def _with_sweat(published: list[Reference], sweat: SweatNeed) -> list[Reference]:
    """Replace the target of what sweat takes by base plus sweat; keep the base beside it.

    Sodium has lines of its own, and chloride goes with it: it has no target and no level.
    """
    rows = []
    for row in published:
        if row.component == "CLD" and row.role in ("target", "upper"):
            rows.append(replace(row, role="base", note=_CHLORIDE_NOTE))
            continue
        is_taken = row.component in sweat.electrolytes.index and row.component != "NA"
        if row.role != "target" or not is_taken or sweat.high_l <= 0:
            rows.append(row)
            continue
        low, likely, high = electrolyte_ends(sweat.electrolytes, row.component)
        rows.append(replace(row, role="base"))
        rows.append(
            replace(
                row,
                kind="planning",
                low=row.low + low,
                likely=row.likely + likely,
                high=row.high + high,
                is_published=False,
                source=f"{row.source}{SWEAT_SOURCE}{sweat.source}",
                note=(
                    f"published {row.kind} {row.likely:,g} {row.unit} plus what sweat takes, "
                    f"{likely:,.0f} ({low:,.0f}–{high:,.0f}) {row.unit}"
                ),
                sd=float("nan"),
            )
        )
    return rows


def _ordinary_sodium(person: Person, published: list[Reference]) -> dict[str, Reference]:
    """The adequate intake and the CDRR of sodium, the set's own or, where it has none, the DRI."""

    def of_sodium(rows: list[Reference]) -> dict[str, Reference]:
        return {row.kind: row for row in rows if row.component == "NA"}

    sodium = of_sodium(published)
    if _AI in sodium and _CDRR in sodium:
        return sodium
    return {**of_sodium(reference_intakes(person, "DRI", (math.nan,) * 3)), **sodium}


def _salt_rows(sodium: SodiumNeed, sweat: SweatNeed, ai: Reference) -> list[Reference]:
    """The aim of sodium and the lines around it, or the row that says that there is no figure."""
    source = f"{_SALT_SOURCE}{SWEAT_SOURCE}{sweat.source}"
    if sodium.band is None:
        names = " and ".join(condition_name(reason) for reason in sodium.reasons)
        note = f"no figure with {names}: {ASK_DOCTOR}"
        return [_salt_row(NO_FIGURE, ASK_DOCTOR, math.nan, _DOCTOR_SOURCE, note)]
    lost = sodium.band.sweat
    days = len(sodium.heat_days)
    note = (
        f"{sodium.minimum_mg:,.0f} mg, and {lost:,.0f} mg in {sweat.likely_l:.1f} L of sweat with "
        f"{sodium.mmol_l:.1f} mmol/L"
        + (f", the mean of {days} heat days" if days > 1 and len(sodium.stages) > 1 else "")
    )
    if sodium.band.aim <= sodium.ai_mg:
        note = "the adequate intake holds what the day's sweat takes"
    if sodium.band.is_capped:
        note += "; more than a plan should replace: shorten the day, and measure your sweat"
    aim = _salt_row("target", "planning", sodium.band.aim, source, note)
    if sodium.band.aim <= sodium.ai_mg:
        aim = replace(ai, note=note)
    return [aim, *_lines(sodium, source)]


def _lines(sodium: SodiumNeed, source: str) -> list[Reference]:
    """The lines around the aim."""
    band, first = sodium.band, sodium.first
    if band is None or first is None:
        return []
    lines = (
        (SALT_LOW, band.low, "below it there is too little sodium"),
        (
            SALT_LOW_EVERY_DAY,
            sodium.low_every_day_mg,
            "the same where every day of the trip is to reach it",
        ),
        (SALT_LOW_FIRST, first.band.low, f"the same on heat day {first.heat_day}"),
        (SALT_HIGH, band.high, "above it more salt has no use"),
        (SALT_DANGER, band.danger, "above it there is far too much sodium"),
    )
    return [_salt_row(role, "planning", line, source, note) for role, line, note in lines]


def _salt_row(role: str, kind: str, line: float, source: str, note: str) -> Reference:
    return Reference("NA", role, kind, "all sources", line, line, line, "mg", False, source, note)


#: With these protein is set by the clinic, and no guide for the healthy is shown.
_PROTEIN_BY_CLINIC = {"kidney", "liver"}


def _protein_guide(
    person: Person, per_kg: tuple[float, float], source: str, note: str
) -> Reference:
    low, high = (share * person.mass_kg for share in per_kg)
    likely = (low + high) / 2
    return Reference(
        "PROCNT", "guide", "guide", "all sources", low, likely, high, "g", False, source, note
    )


def _guides(person: Person, day: DayType) -> list[Reference]:
    """Figures of sports and field nutrition, and of old age, that are no reference intakes."""
    found = []
    is_judged = _PROTEIN_BY_CLINIC.isdisjoint(person.conditions)
    if is_judged and person.age_years > value("old_age"):
        found.append(
            _protein_guide(
                person,
                (1.0, 1.2),
                "PROT-AGE study group, J Am Med Dir Assoc 2013;14:542; ESPEN expert group 2014",
                "1.0 to 1.2 g/kg above 65 years, more with hard effort; less in kidney disease",
            )
        )
    if not day.moving_h:
        return found
    if is_judged and person.age_years >= value("adult_age"):
        found.append(
            _protein_guide(
                person,
                (1.2, 2.0),
                "AND/DC/ACSM 2016, Nutrition and athletic performance",
                "1.2 to 2.0 g/kg for people in training",
            )
        )
    return [
        *found,
        Reference(
            "VITC",
            "guide",
            "guide",
            "all sources",
            float("nan"),
            float("nan"),
            250.0,
            "mg",
            False,
            "IOM 1993, Nutritional Needs in Hot Environments, p. 159",
            _VITC_HEAT,
        ),
    ]


def _pack_cautions(person: Person, day: DayType) -> tuple[Caution, ...]:
    """A pack too heavy for one who still grows, or for old bones."""
    if (
        value("adult_age") <= person.age_years <= value("old_age")
        or day.pack_kg <= _HEAVY_PACK * person.mass_kg
    ):
        return ()
    id_ = "pack of a young person" if person.age_years < value("adult_age") else "pack in old age"
    pack, percent = as_written(day.pack_kg, "kilogram"), f"{100 * day.pack_kg / person.mass_kg:.0f}"
    return (caution(id_, day.name, pack=pack, percent=percent),)
