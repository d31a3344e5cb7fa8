"""The kinds of things to do, each with what its words need and nothing else."""

from __future__ import annotations

import math
from dataclasses import dataclass, fields
from typing import Literal

__all__ = [
    "ACTION_FIELDS",
    "Action",
    "ActionKind",
    "AddSalt",
    "AskClinic",
    "CarryMore",
    "CarryMoreOfAll",
    "EatMore",
    "EatWhatIsLeft",
    "GapAction",
    "Heed",
    "MakeSafe",
    "NothingCloses",
    "SameEveryDay",
    "SeeTo",
    "TakeLess",
    "TakeTablet",
]

HeedKind = Literal[
    "out of the heat",
    "into the shade",
    "early and late",
    "not for you",
    "leave until asked",
    "ask first",
]
ActionKind = (
    HeedKind
    | Literal[
        "inedible",
        "see to it",
        "same every day",
        "less",
        "carry more",
        "eat what is left",
        "salt",
        "ask the clinic",
        "energy",
        "food",
        "tablet",
        "nothing closes it",
    ]
)


@dataclass(frozen=True, kw_only=True)
class Action:
    """One thing to do: its kind, what it is about, and the component of it; "" for none.

    ``item`` names items, kinds of day, or what is asked; "" is all that is packed.
    """

    kind: ActionKind
    item: str = ""
    tag: str = ""


@dataclass(frozen=True, kw_only=True)
class Heed(Action):
    """What needs no figures: kinds of day out of the heat, items left at home, whom to ask what."""

    kind: HeedKind


@dataclass(frozen=True, kw_only=True)
class MakeSafe(Action):
    """Items that cannot be eaten as packed; ``how`` they are made safe at home."""

    kind: Literal["inedible"] = "inedible"
    how: str


@dataclass(frozen=True, kw_only=True)
class SeeTo(Action):
    """What a caution asks for, ``how``, with its words in ``why``; ``item`` is where."""

    kind: Literal["see to it"] = "see to it"
    how: str
    why: str


@dataclass(frozen=True, kw_only=True)
class SameEveryDay(Action):
    """``amount_a_day``: what the item brings on the day with most. [component unit/day]"""

    kind: Literal["same every day"] = "same every day"
    amount_a_day: float


@dataclass(frozen=True, kw_only=True)
class TakeLess(Action):
    """Less of an item that brings most of what passes a level.

    ``level`` is the level [component unit/day], ``before_share`` what is counted over it,
    ``after_share`` the share of the item that may stay, ``taken_share`` the same in tablets as
    they can be cut [-]. ``grams_a_day`` is so much of it [g/day], ``tablets_a_day`` the same of a
    tablet, in quarters, or whole where it cannot be cut; NaN of what is no tablet. ``harm_from``:
    of salt, sodium that is a danger from there on [mg/day]. ``is_set``: the level is the clinic's.
    ``without``: the items that are left out before.
    """

    kind: Literal["less"] = "less"
    level: float
    before_share: float
    after_share: float
    taken_share: float
    grams_a_day: float
    tablets_a_day: float = math.nan
    harm_from: float = math.nan
    is_set: bool = False
    without: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class CarryMore(Action):
    """``grams_trip`` more of what ends on ``ends_on_day``, or ``less_a_day`` of it. [g, g/day]

    ``grams_trip`` is NaN where the clinic says whether more may be carried. ``leg``: the leg on
    which it lacks, where the plan has legs.
    """

    kind: Literal["carry more"] = "carry more"
    grams_trip: float
    less_a_day: float
    ends_on_day: int
    leg: str = ""


@dataclass(frozen=True, kw_only=True)
class EatWhatIsLeft(Action):
    """``grams_trip`` of a packed item that no portion takes, while energy is short. [g, g/day]"""

    kind: Literal["eat what is left"] = "eat what is left"
    grams_trip: float
    grams_a_day: float


@dataclass(frozen=True, kw_only=True)
class AddSalt(Action):
    """Salt on a kind of day, ``item``: in each litre of drink and on the food. [g/L, g/day]

    ``before_share`` is the sodium eaten over the aim [-]; ``is_less_later``: from a later heat day
    on less does.
    """

    kind: Literal["salt"] = "salt"
    grams_a_litre: float
    grams_a_day: float
    before_share: float
    is_less_later: bool


@dataclass(frozen=True, kw_only=True)
class AskClinic(Action):
    """The clinic says what to add; ``before_share`` is what is eaten over the aim. [-]"""

    kind: Literal["ask the clinic"] = "ask the clinic"
    before_share: float


@dataclass(frozen=True, kw_only=True)
class GapAction(Action):
    """What closes a gap in one component, or that nothing does.

    ``before`` is the chance in tenths without it, ``before_share`` the likely amount over the aim
    [-]. ``weeks``: from when a lack shows on a diet without it, NaN unknown; ``shows``: whether one
    can show within the trip, with what is eaten, after ``weeks_left``; None unknown [week].
    ``with_energy``: reckoned on the food that closes the gap in energy.
    """

    before: int
    before_share: float
    weeks: float
    shows: bool | None = None
    weeks_left: float = math.nan
    with_energy: bool = False


@dataclass(frozen=True, kw_only=True)
class EatMore(GapAction):
    """``grams_a_day`` of one food, ``grams_trip`` in all. [g/day, g]

    ``after`` and ``after_share`` are the chance and the share with it. ``is_new``: not packed yet.
    """

    kind: Literal["energy", "food"]
    grams_a_day: float
    grams_trip: float
    after: int
    after_share: float
    is_new: bool


@dataclass(frozen=True, kw_only=True)
class CarryMoreOfAll(GapAction):
    """More of everything that is packed, for energy, but of what is not for the person. [g/day, g]

    ``without``: the items of which there is no more.
    """

    kind: Literal["energy"] = "energy"
    grams_a_day: float
    grams_trip: float
    without: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class TakeTablet(GapAction):
    """A tablet a day that holds ``amount_a_day``, and what it lifts the chance and share to.

    ``asks``: who is asked before; "" for no one. [component unit/day]
    """

    kind: Literal["tablet"] = "tablet"
    amount_a_day: float
    after: int
    after_share: float
    asks: str


@dataclass(frozen=True, kw_only=True)
class NothingCloses(GapAction):
    """No single food or tablet does it; ``is_advised``: only an advised amount is published."""

    kind: Literal["nothing closes it"] = "nothing closes it"
    is_advised: bool


#: The fields of all kinds, each once.
ACTION_FIELDS = tuple(
    dict.fromkeys(
        field.name
        for kind in (
            *(Heed, MakeSafe, SeeTo, SameEveryDay, TakeLess, CarryMore, AddSalt, AskClinic),
            *(EatMore, CarryMoreOfAll, EatWhatIsLeft, TakeTablet, NothingCloses),
        )
        for field in fields(kind)
    )
)
