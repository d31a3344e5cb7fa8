"""What a row of each frame holds, for those who read rows one by one.

A field is a column of the frame. A number that is not known is NaN, a text that is not there empty.
"""

from __future__ import annotations

import functools
from typing import TYPE_CHECKING, NamedTuple, TypeVar, get_type_hints

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "AddedItem",
    "AddedPortion",
    "CoverageRow",
    "DayCounts",
    "Difference",
    "Droppable",
    "EnergyDay",
    "EnergyShare",
    "Enough",
    "Flag",
    "Gap",
    "LegDay",
    "PortionRow",
    "StoredItem",
    "TargetRow",
    "TripUse",
    "UnknownUpper",
    "rows_of",
]


class DayCounts(NamedTuple):
    """``Result.days``: a kind of day and how many of it each trip holds. [day]"""

    day: str
    longest: int
    shortest: int


class TargetRow(NamedTuple):
    """``Result.targets``: a reference value, limit or guide. [component unit per day]"""

    component: str
    role: str
    kind: str
    basis: str
    low: float
    likely: float
    high: float
    unit: str
    is_published: bool
    source: str
    note: str
    sd: float
    day: str


class CoverageRow(NamedTuple):
    """``Result.coverage``: intake against need; its columns: ``coverage_table``.

    ``low``, ``likely``, ``high``: the intake; ``reference…``: the aim (in ``Result.targets`` the
    role "target"); ``upper``: the upper level, ``upper_low`` and so on: what of the intake counts.
    """

    day: str
    component: str
    name: str
    unit: str
    group: str
    low: float
    likely: float
    high: float
    known_share: float
    accounted_share: float
    drawn: float
    borrowed: float
    at_least: float
    is_borrowed: bool
    added: float
    supplemental: float
    reference_kind: str
    reference_low: float
    reference: float
    reference_high: float
    reference_source: str
    ratio_low: float
    ratio: float
    ratio_high: float
    upper_kind: str
    upper: float
    upper_basis: str
    upper_source: str
    upper_low: float
    upper_likely: float
    upper_high: float
    probability_adequate: float
    status: str
    note: str
    chance: float
    chance_of: str
    chance_word: str


class EnergyShare(NamedTuple):
    """``Result.energy_shares``: a macronutrient's grams and percent of the day's energy."""

    day: str
    component: str
    grams: float
    share: float
    low: float
    high: float
    status: str
    source: str


class PortionRow(NamedTuple):
    """``Result.portions``: what one portion of the plan gives on one kind of day. [g/day]"""

    portion: int
    item: str
    day: str
    text: str
    measured: str
    number: float
    unit: str
    grams: float
    variation: float
    shortest_times: float


class TripUse(NamedTuple):
    """What a trip takes of one item: a mean day's use, days it lasts, left and missing. [g]"""

    used_g: float
    lasts_days: float
    left_g: float
    missing_g: float


class StoredItem(NamedTuple):
    """``Supply.items``: what is packed of one item, and what each trip takes of it."""

    item: str
    container: str
    mass_g: float
    container_mass_g: float
    is_eaten: bool
    energy_kcal: float
    kcal_per_g: float
    lasts_longest_days: float
    used_longest_g: float
    left_longest_g: float
    missing_longest_g: float
    lasts_shortest_days: float
    used_shortest_g: float
    left_shortest_g: float
    missing_shortest_g: float

    def on(self, trip: str) -> TripUse:
        """What the longest or the shortest trip takes of it."""
        if trip == "longest":
            return TripUse(
                self.used_longest_g,
                self.lasts_longest_days,
                self.left_longest_g,
                self.missing_longest_g,
            )
        return TripUse(
            self.used_shortest_g,
            self.lasts_shortest_days,
            self.left_shortest_g,
            self.missing_shortest_g,
        )


class LegDay(NamedTuple):
    """``LegStock.days``: what is carried on one morning. [g]"""

    day: int
    leg: str
    food_g: float
    total_g: float


class LegBox(NamedTuple):
    """``LegStock.boxes``: one item that is packed for a leg. [g]"""

    leg: str
    filled: str
    item: str
    container: str
    mass_g: float
    container_mass_g: float


class Enough(NamedTuple):
    """``Supply.enough``: for how many days a component is enough on a trip."""

    component: str
    trip: str
    per_day: float
    target: float
    enough_days_low: float
    enough_days: float
    enough_days_high: float
    falls_below_day: float
    known_share: float


class EnergyDay(NamedTuple):
    """``EnergyBalance.days``: a kind of day's energy, eaten and needed. [kcal/day]"""

    day: str
    intake: float
    need: float
    likely: float
    low: float
    high: float
    share: float


class Flag(NamedTuple):
    """``DriedBatch.flags``: a component that the route cuts, and what is kept of it. [-]"""

    component: str
    cause: str
    kept_low: float
    kept_likely: float
    kept_high: float
    text: str


class Difference(NamedTuple):
    """``Comparison.differences``: what the first route keeps more. [component unit]"""

    first: str
    second: str
    component: str
    unit: str
    low: float
    likely: float
    high: float
    chance: float


class AddedItem(NamedTuple):
    """``Proposal.items``: a food to add. [g]"""

    item: str
    source: str
    how: str
    food_id: str
    is_new: bool
    trip_g: float
    fresh_g: float
    mean_g: float
    energy_kcal: float
    water_g: float


class AddedPortion(NamedTuple):
    """``Proposal.portions``: what to add on one kind of day. [g]"""

    item: str
    day: str
    grams: float
    text: str
    days: int


class Gap(NamedTuple):
    """``Proposal.gaps``: a target before and after. [component unit]"""

    day: str
    component: str
    name: str
    unit: str
    group: str
    kind: str
    target: float
    before: float
    after: float
    after_low: float
    ratio_before: float
    ratio_after: float
    is_searched: bool
    state: str


class UnknownUpper(NamedTuple):
    """``Proposal.unknown_uppers``: an item and what is not known of it."""

    item: str
    components: str


class Droppable(NamedTuple):
    """``Reduction.items``: an item, and whether it may be left out. [g]"""

    item: str
    trip_g: float
    is_droppable: bool
    is_chosen: bool
    reason: str


_Row = TypeVar("_Row", bound=NamedTuple)


def rows_of(frame: pd.DataFrame, kind: type[_Row]) -> list[_Row]:
    """The frame's rows, of Python's own numbers and texts; a third of the time of ``itertuples``.

    Parameters
    ----------
    frame : DataFrame
        Holds at least the columns that ``kind`` has as fields.
    kind : type
        One of the types of rows here.
    """
    texts = _texts(kind)
    columns = [
        (frame[name].fillna("") if name in texts else frame[name]).tolist() for name in kind._fields
    ]
    return list(map(kind._make, zip(*columns, strict=True)))


@functools.cache
def _texts(kind: type[NamedTuple]) -> frozenset[str]:
    """Fields that hold texts."""
    return frozenset(name for name, type_ in get_type_hints(kind).items() if type_ is str)
