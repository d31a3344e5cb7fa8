"""What a person and the days of a trip ask for, whatever is packed and eaten.

A check works it out before it looks at the food; while a plan is made it stays the same as long as
person, days, clinic and reference do.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import pandas as pd

from nutricheck.adequacy.chance import Aims, aims_of
from nutricheck.adequacy.coverage import TRIP_MEAN, ReferenceGrid, mean_targets
from nutricheck.cautions.levels import other_uppers, unset_level_notes
from nutricheck.needs import DayNeeds, day_needs
from nutricheck.needs.clinic import AimAndLimit
from nutricheck.needs.energy import energy_need
from nutricheck.needs.sweat import is_heat_day, measured_sweat_factor, sweat_need
from nutricheck.plan.models import DayType, Person, Stretch
from nutricheck.plan.trip_days import TRIPS, TripDays, heat_days, trip_days

__all__ = ["Asked", "what_is_asked"]


@dataclass(frozen=True)
class Asked:
    """Needs, references and aims of every kind of day and of the trip's mean.

    ``needs``: of each kind of day, with the water that ordinary food brings. ``days``: day,
    longest, shortest [day]. ``counts``: of the longest trip, by kind of day [day]. ``targets``:
    of the kinds of day; ``all_targets``: with the rows of the trip's mean.
    """

    needs: Mapping[str, DayNeeds]
    days: pd.DataFrame
    counts: pd.Series[int]
    trips: Mapping[str, TripDays]
    targets: pd.DataFrame
    all_targets: pd.DataFrame
    aims: Aims
    references: ReferenceGrid
    """Of the kinds of day and the trip's mean"""
    of_days: ReferenceGrid
    """Of the kinds of day"""
    of_another_body: ReferenceGrid
    """The other set's upper levels, of the same days"""
    unset_notes: Mapping[str, str]
    """What is said of a component for which the body in force set no upper level"""


def what_is_asked(
    person: Person,
    days: Sequence[DayType],
    order: Sequence[Stretch],
    reference: str,
    figures: Mapping[str, AimAndLimit],
    holds_l: float | None,
    draws: int,
    seed: int,
) -> Asked:
    """What is asked of the food.

    Parameters
    ----------
    person : Person
    days : sequence of DayType
    order : sequence of Stretch
        The days in the plan's order; empty: evenly mixed.
    reference : {"DRI", "EFSA"}
    figures : mapping
        What the person's clinic set, by component.
    holds_l : float or None
        Water that the bottles hold; None: not known. [L]
    draws, seed : int
        Of the aims' own draws.

    Raises
    ------
    NutricheckError
        If the set holds no values for the person's age.
    """
    trips = {trip: trip_days(days, order, trip) for trip in TRIPS}
    sweat_factor = measured_sweat_factor(person, days)
    in_heat = _heat_days(person, days, trips["longest"], sweat_factor)
    needs = {
        day.name: day_needs(
            person,
            day,
            reference,
            measured_sweat_factor=sweat_factor,
            figures=figures,
            heat_days=in_heat[day.name],
            holds_l=holds_l,
        )
        for day in days
    }
    counted = pd.DataFrame(
        {
            "day": [day.name for day in days],
            "longest": [day.count for day in days],
            "shortest": [day.shortest for day in days],
        }
    )
    counts = counted.set_index("day")["longest"]
    targets = pd.concat(
        [need.targets.assign(day=name) for name, need in needs.items()], ignore_index=True
    )
    all_targets = pd.concat([targets, mean_targets(targets, counts)], ignore_index=True)
    losses = {name: need.sweat.electrolytes for name, need in needs.items()}
    names = [day.name for day in days]
    return Asked(
        needs=needs,
        days=counted,
        counts=counts,
        trips=trips,
        targets=targets,
        all_targets=all_targets,
        aims=aims_of(person, reference, targets, losses, counts, draws, seed),
        references=ReferenceGrid.read(all_targets, [*needs, TRIP_MEAN]),
        of_days=ReferenceGrid.read(targets, names),
        of_another_body=ReferenceGrid.read(other_uppers(person, reference, names), names),
        unset_notes=unset_level_notes(person, reference),
    )


def _heat_days(
    person: Person, days: Sequence[DayType], trip: TripDays, sweat_factor: float
) -> dict[str, tuple[int, ...]]:
    """The heat days of the longest trip that each kind of day falls on."""
    hot = {
        day.name
        for day in days
        if is_heat_day(sweat_need(person, day, energy_need(person, day), sweat_factor))
    }
    return heat_days(trip, hot)
