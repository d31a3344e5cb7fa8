"""What the search for additions returns: what to add, and what could be left out."""

from __future__ import annotations

from dataclasses import dataclass

import pandas as pd

from nutricheck.advice.additions.care import Care
from nutricheck.advice.additions.foods import Candidates
from nutricheck.facts.caution import Caution

__all__ = ["Proposal", "Reduction"]


@dataclass(frozen=True)
class Proposal:
    """The lightest additions.

    Attributes
    ----------
    status : str
        As :class:`nutricheck.advice.additions.programme.Outcome` gives it.
    objective : str
        One of OBJECTIVES; ``is_robust`` and ``trip`` are as asked for.
    words, details : tuple of str
        The answer in sentences, the most important first, and what stands behind it.
    items : DataFrame
        One row per item to add: item, source, how, food_id, is_new, trip_g, fresh_g (to dry, NaN
        where bought), mean_g (a mean day), energy_kcal and water_g (of a mean day).
    portions : DataFrame
        item, day, grams, text (such as "2 tsp"), days (how many of that day the trip holds).
    gaps : DataFrame
        day, component, name, unit, group, target, before, after (likely), after_low, ratio_before,
        ratio_after, is_searched, state ("covered before", "closed", "narrowed", "open").
    not_kept : DataFrame
        day, component, name, unit, side, kind, bound, reached, share (of the bound), most_share
        (with all that may be added, at its daily ceiling), supplement (what one would have to hold
        to meet it, NaN where none is named), reason, with (the limits it conflicts with, in words),
        text (the limit in words).
    prices : DataFrame
        day, component, name, side, kind, bound, unit, cost_per_percent (of the trip, in the
        objective's unit), a_day (the same on one such day); dearest first. For programs, in JSON
        alone: people carry whole steps, of which a price for 1 % tells nothing.
    pack : Series
        food_before_g, added_g, food_after_g, containers_g (with things carried), total_after_g,
        energy_kcal and water_g added on a mean day, limit_g and deficit_kcal (NaN and 0 where none
        was given), days.
    unsure : tuple of str
        Components whose target is reached with less than 8 in 10, by tagname.
    not_searched : tuple of str
        Components with a target whose intake is known of less than half of the food.
    unknown_uppers : DataFrame
        item, components: added items whose amount of a component with an upper level is unknown.
    cautions : tuple of Caution
        Of the person, of the foods dried at home, and of salt.
    care : Care
        What is left to the clinic.
    gap, seconds : float
        Distance from the proven least; time of the search. [-], [s]
    candidates : Candidates
        What could have been added.
    not_carried_for : tuple of str
        Components of which only an advised amount is published, which much food would reach.
    """

    status: str
    objective: str
    trip: str
    is_robust: bool
    words: tuple[str, ...]
    details: tuple[str, ...]
    items: pd.DataFrame
    portions: pd.DataFrame
    gaps: pd.DataFrame
    not_kept: pd.DataFrame
    prices: pd.DataFrame
    pack: pd.Series[float]
    unsure: tuple[str, ...]
    not_searched: tuple[str, ...]
    unknown_uppers: pd.DataFrame
    cautions: tuple[Caution, ...]
    care: Care
    gap: float
    seconds: float
    candidates: Candidates
    not_carried_for: tuple[str, ...] = ()


@dataclass(frozen=True)
class Reduction:
    """What could be left out without opening a gap.

    ``items``: item, trip_g, is_droppable (alone), is_chosen (in the heaviest set that can go
    together), reason (the target that its absence misses first). ``words`` is the answer in
    sentences; ``saved_g`` the mass of the set over the trip; ``open_before`` the targets missed
    with everything in place, none of which gets worse.
    """

    status: str
    trip: str
    words: tuple[str, ...]
    items: pd.DataFrame
    saved_g: float
    open_before: pd.DataFrame
    seconds: float
