"""The needs of one person on one kind of day, put together."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from operator import attrgetter

import pandas as pd

from nutricheck.cautions.caution import Caution, caution
from nutricheck.facts.components import BY_TAG
from nutricheck.needs.clinic import Figure, with_figures
from nutricheck.needs.energy import EnergyNeed, energy_need
from nutricheck.needs.heat import heat_cautions
from nutricheck.needs.reference import Reference, reference_intakes
from nutricheck.needs.sweat import OverLimit, SweatNeed, sweat_need
from nutricheck.needs.water import WaterNeed, water_need
from nutricheck.plan.models import DayType, Person
from nutricheck.units import as_written

__all__ = ["SWEAT_SOURCE", "DayNeeds", "day_needs"]

#: Between the source of a published value and that of what sweat adds to it.
SWEAT_SOURCE = "; sweat: "
_COLUMNS = [field.name for field in fields(Reference)]
_as_row = attrgetter(*_COLUMNS)
_ORDER = {tag: number for number, tag in enumerate(BY_TAG)}
#: Of the 1500 mg AI, 230 mg replace losses other than sweat and urine; the rest may serve for
#: sweat: IOM 2005, Dietary Reference Intakes for Water …, p. 317. [mg/day]
INSENSIBLE_SODIUM_MG = 230.0
# Of body mass. Young people: American Academy of Pediatrics, as the press quotes it. Old people:
# ours, where common practice for fit adults ends at 20 to 25 %. [-]
_HEAVY_PACK = 0.20
_ADULT, _OLD = 18, 65  # children below, older people above. [year]
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
    target), ``upper``, ``range low`` and ``range high`` (percent of energy), ``guide``. ``basis``
    is explained in :mod:`nutricheck.needs.reference`. ``sd`` is the standard deviation of
    requirements where EAR and RDA give it.
    """

    day: str
    reference: str
    targets: pd.DataFrame
    energy: EnergyNeed
    sweat: SweatNeed
    water: WaterNeed
    cautions: tuple[Caution, ...]

    @property
    def over_limits(self) -> tuple[OverLimit, ...]:
        """What the day asks for beyond what a body does; not empty: the day is not possible."""
        return (*self.sweat.over_limits, *self.water.over_limits)


def day_needs(
    person: Person,
    day: DayType,
    reference: str = "DRI",
    own_sweat_factor: float = 1.0,
    food_water_l: float | None = None,
    figures: Mapping[str, Figure] | None = None,
) -> DayNeeds:
    """The needs of a person on a day of this type.

    Parameters
    ----------
    person : Person
    day : DayType
    reference : {"DRI", "EFSA"}
    own_sweat_factor : float
        What the person's measured days say of the unmeasured ones,
        :func:`nutricheck.needs.sweat.own_sweat_factor`. [-]
    food_water_l : float, optional
        Water of the day's food, :func:`nutricheck.needs.water.water_need`. [L/day]
    figures : mapping, optional
        What the person's clinic set for this day, by component.

    Returns
    -------
    DayNeeds

    Raises
    ------
    NutricheckError
        If the set holds no values for the person's age.

    Examples
    --------
    >>> from nutricheck.plan.models import DayType, Person
    >>> walker = Person(sex="female", age=35, mass="70 kg", height="168 cm")
    >>> rest = day_needs(walker, DayType(name="rest", count=1))
    >>> rest.targets.query("component == 'MG' and role == 'target'")["likely"].item()
    320.0
    """
    energy = energy_need(person, day)
    sweat = sweat_need(person, day, energy, own_sweat_factor)
    water = water_need(person, day, sweat, reference, food_water_l)
    published = reference_intakes(person, reference, (energy.low, energy.likely, energy.high))
    rows = [
        _energy_target(energy),
        *_with_sweat(published, sweat, person.acclimatised),
        *_guides(person, day),
    ]
    rows = with_figures(rows, figures or {})
    rows.sort(key=lambda row: _ORDER[row.component])
    targets = pd.DataFrame([_as_row(row) for row in rows], columns=_COLUMNS)
    cautions = (
        *heat_cautions(person, day, energy),
        *_pack_cautions(person, day),
        *energy.cautions,
        *sweat.cautions,
        *water.cautions,
    )
    return DayNeeds(day.name, reference, targets, energy, sweat, water, cautions)


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


def _with_sweat(
    published: list[Reference], sweat: SweatNeed, acclimatised: bool
) -> list[Reference]:
    """Replace the target of what sweat takes by base plus sweat; keep the base beside it."""
    if sweat.high_l <= 0:
        return published
    losses = {
        str(tag): dict(zip(("low", "likely", "high"), map(float, values), strict=True))
        for tag, values in zip(sweat.electrolytes.index, sweat.electrolytes.to_numpy(), strict=True)
    }
    rows = []
    for row in published:
        if row.role != "target" or row.component not in losses:
            rows.append(row)
            continue
        lost = losses[row.component]
        rows.append(replace(row, role="base"))
        low = row.low + lost["low"]
        if row.component == "NA":
            low = max(row.low, INSENSIBLE_SODIUM_MG + lost["low"])
        rows.append(
            replace(
                row,
                kind="planning",
                low=low,
                likely=row.likely + lost["likely"],
                high=row.high + lost["high"],
                is_published=False,
                source=f"{row.source}{SWEAT_SOURCE}{sweat.source}",
                note=(
                    f"published {row.kind} {row.likely:,g} {row.unit} plus what sweat takes, "
                    f"{lost['likely']:,.0f} ({lost['low']:,.0f}–{lost['high']:,.0f}) {row.unit}"
                    + (_sodium_note(acclimatised) if row.component == "NA" else "")
                ),
                sd=float("nan"),
            )
        )
    return rows


def _sodium_note(acclimatised: bool) -> str:
    """What makes the sodium figure a high one."""
    note = (
        "; other losses take about 230 mg of the published intake (IOM 2005 p. 317), what is left "
        "of it is for sweat outside the hours of effort"
    )
    if not acclimatised:
        note += "; after some ten days in the heat sweat holds a third less"
    return note


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
    if is_judged and person.age_years > _OLD:
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
    if is_judged and person.age_years >= _ADULT:
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
    if _ADULT <= person.age_years <= _OLD or day.pack_kg <= _HEAVY_PACK * person.mass_kg:
        return ()
    id_ = "pack of a young person" if person.age_years < _ADULT else "pack in old age"
    pack, percent = as_written(day.pack_kg, "kilogram"), f"{100 * day.pack_kg / person.mass_kg:.0f}"
    return (caution(id_, day.name, pack=pack, percent=percent),)
