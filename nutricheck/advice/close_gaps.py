"""What closes a gap: the single food or tablet that does it for the least mass, tried on the draws.

Found without the linear programme of :mod:`nutricheck.advice.additions`.
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
import pandas as pd

from nutricheck.adequacy import chance, coverage
from nutricheck.advice.actions import (
    Action,
    AskClinic,
    CarryMoreOfAll,
    EatMore,
    GapAction,
    NothingCloses,
    TakeTablet,
)
from nutricheck.advice.additions.limits import advised_alone, most_for_advised
from nutricheck.advice.tablets import dose
from nutricheck.cautions.oxalate import oxalate_of_items
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG, HOT_DAY_FOUR, TABLETS
from nutricheck.facts.constants import value
from nutricheck.intake.menu import TAGS
from nutricheck.needs.reference import levels_by_food
from nutricheck.plan.models import trip_length
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import LACK_SHOWS_LATER, WEEKS_LEFT

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.advice.additions.care import Care
    from nutricheck.advice.additions.foods import Candidates
    from nutricheck.advice.standing import Standing
    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Person

__all__ = ["closing_of_gaps", "later", "slow_lacks", "weeks_left", "weeks_until_lack"]

_ENERGY = "ENERC_KCAL"
_TRIES = 5


@dataclass(frozen=True)
class _Foods:
    """Foods that may be added, and what a gram of one brings in each draw, worked out on demand."""

    result: Result
    care: Care
    offered: Candidates
    draws: dict[str, NDArray[np.float64]]

    @cached_property
    def eaten_by_day(self) -> dict[str, pd.Series]:
        """What each kind of day of the trip holds, by tagname. [component unit/day]"""
        days = self.result.days.loc[self.result.days["longest"] > 0, "day"]
        held = self.result.intake.table.pivot(index="day", columns="component", values="likely")
        return {str(day): held.loc[day] for day in days}

    @cached_property
    def levels_by_day(self) -> dict[str, tuple[NDArray[np.intp], NDArray[np.float64]]]:
        """Day → columns of ``likely`` with an upper level that counts food; those counted so far
        and the levels."""
        rows = self.result.coverage
        rows = rows[rows["upper_basis"] == "all sources"]
        rows = rows[~rows["upper_kind"].isin(list(coverage.UPPER_NOTES))]
        # what ordinary food alone may pass without harm that is known holds back less food
        added = self.result.portioned.table.groupby("component")[["added", "supplemental"]].sum()
        times = levels_by_food(self.result.plan.person)
        by_food = [tag for tag in times if not added.loc[tag].sum() > 0]
        factor = rows["component"].where(rows["component"].isin(by_food)).map(times).fillna(1.0)
        rows = rows.assign(upper=rows["upper"] * factor)
        return {
            str(day): (
                self.offered.likely.columns.get_indexer(levels["component"]),
                levels[["upper_likely", "upper"]].to_numpy(dtype=float).T,
            )
            for day, levels in rows.groupby("day")
        }

    @cached_property
    def places(self) -> dict[str, int]:
        """Row of each food in ``offered``."""
        return {str(name): place for place, name in enumerate(self.offered.items.index)}

    @cached_property
    def likely(self) -> NDArray[np.float64]:
        """``offered.likely`` as an array. [component unit/g]"""
        return np.asarray(self.offered.likely, dtype=float)

    def draws_per_g(self, name: str) -> NDArray[np.float64]:
        """Draws × components of one food. [component unit/g]"""
        from nutricheck.advice.additions.foods import draws_per_g

        if name not in self.draws:
            self.draws[name] = draws_per_g(self.offered, name, self.result)
        return self.draws[name]


def weeks_until_lack(person: Person) -> dict[str, float]:
    """Weeks on a diet without it from which a lack shows, by tagname. [week]

    Nothing for a pregnant or nursing woman and who still grows: only adults were tried, and a
    child in the womb shows a lack long before its mother does.

    References
    ----------
    ``facts/evidence/weeks_until_lack.csv`` names the trial of each.
    """
    if person.life_stage != "general" or person.age_years < value("adult_age"):
        return {}
    return {row["component"]: float(row["weeks_low"]) for row in evidence.rows("weeks_until_lack")}


def _trip_weeks(result: Result) -> float:
    return trip_length(result.plan.days, "longest") / 7


def _shows_later(standing: Standing, weeks: float, trip_weeks: float) -> bool:
    """Whether no lack shows within the trip, by weeks until it does on a diet without."""
    share = standing.likely / standing.aim
    figures = {"weeks": weeks, "share": share, "trip_weeks": trip_weeks}
    return bool(numbers(LACK_SHOWS_LATER, figures))


def slow_lacks(person: Person) -> dict[str, float]:
    """:func:`weeks_until_lack` without the four of hot days, which count from the first day."""
    weeks = weeks_until_lack(person)
    return {tag: until for tag, until in weeks.items() if tag not in HOT_DAY_FOUR}


def later(result: Result, standings: Iterable[Standing]) -> frozenset[str]:
    """What no lack shows of within the trip."""
    until_lack = slow_lacks(result.plan.person)
    return frozenset(
        standing.tag
        for standing in standings
        if standing.tag in until_lack
        and _shows_later(standing, until_lack[standing.tag], _trip_weeks(result))
    )


def closing_of_gaps(result: Result, gaps: Iterable[Standing], care: Care) -> list[Action]:
    """The lightest single food or tablet for each gap: energy first, then what shows soonest.

    With some illnesses nothing is named: the clinic is asked.
    """
    trip_weeks = _trip_weeks(result)
    gaps = [gap for gap in gaps if gap.tag not in care.unsought]
    if not gaps:
        return []
    if care.no_list:
        energy = next((gap for gap in gaps if gap.tag == _ENERGY), gaps[0])
        return [AskClinic(tag=energy.tag, before_share=energy.likely / energy.aim)]
    foods = _foods(result, care)
    found = []
    more: _More | None = None
    until_lack = weeks_until_lack(result.plan.person)
    for gap in sorted(gaps, key=lambda gap: gap.tag != _ENERGY):
        weeks = until_lack.get(gap.tag, math.nan)
        asked, eaten = _with_more(result, gap, foods, more)
        if asked is None:
            continue
        action = _closing(result, asked, foods, weeks, eaten, is_more=more is not None)
        if gap.tag == _ENERGY and gap.likely > 0 and isinstance(action, EatMore | CarryMoreOfAll):
            more = _More(action.item, action.grams_a_day, gap.aim / gap.likely)
        if not math.isnan(weeks):
            left = weeks_left(weeks, asked.likely / asked.aim)
            action = replace(
                action,
                shows=not _shows_later(asked, weeks, trip_weeks),
                weeks_left=left if math.isfinite(left) else math.nan,
            )
        found.append((_shows_after(asked, action), action))
    return [action for _, action in sorted(found, key=lambda pair: pair[0])]


@dataclass(frozen=True)
class _More:
    """What closes the gap in energy: grams a day of ``item``, or ``factor`` times all (no item)."""

    item: str
    grams: float
    factor: float


def _with_more(
    result: Result, gap: Standing, foods: _Foods, more: _More | None
) -> tuple[Standing | None, NDArray[np.float64]]:
    """A gap and its draws once the gap in energy is closed; None where that closes it too.

    A vitamin that is low since there is little food asks for food, not for a tablet.
    """
    drawn = result.intake.drawn_by_day(result.days.set_index("day")["longest"])[gap.day]
    eaten = drawn[:, TAGS.index(gap.tag)]
    if more is None:
        return gap, eaten
    if more.item:
        brought = foods.draws_per_g(more.item)[:, TAGS.index(gap.tag)]
        eaten = eaten + more.grams * np.nan_to_num(brought)
        per_g = float(np.nan_to_num(foods.offered.likely.at[more.item, gap.tag]))
        likely = gap.likely + more.grams * per_g
    else:
        eaten, likely = eaten * more.factor, gap.likely * more.factor
    tenths = chance.tenths(result.aims.chance(gap.day, gap.tag, eaten))
    if likely >= gap.aim and tenths >= value("proposal_tenths"):
        return None, eaten
    return replace(gap, likely=likely, tenths=tenths), eaten


def weeks_left(weeks: float, share: float) -> float:
    """From when a lack shows where a share of the aim is eaten; infinite where it never does.

    [week] ``weeks``: on a diet without it; unknown, this is too. [week] ``share``: [-]

    Examples
    --------
    >>> weeks_left(4, 0.0), weeks_left(4, 0.75), weeks_left(4, 1.1)
    (4.0, 16.0, inf)
    """
    return float(numbers(WEEKS_LEFT, {"weeks": weeks, "share": share}))


def _shows_after(gap: Standing, action: GapAction) -> tuple[int, bool, float, float]:
    """Energy, then what shows within the trip, then the rest; of these the four of hot days first,
    then by weeks, then by what is missing.

    Last what nothing closes, where no lack shows, or where nobody is called short of it.
    """
    if gap.tag == _ENERGY:
        return (0, False, 0.0, 0.0)
    place = 1 if action.shows else 2
    if isinstance(action, NothingCloses) and (action.is_advised or place == 2):
        place = 3
    weeks = math.inf if math.isnan(action.weeks_left) else action.weeks_left
    return (place, gap.tag not in HOT_DAY_FOUR, weeks, gap.likely / gap.aim)


def _foods(result: Result, care: Care) -> _Foods:
    """Foods that may be added: more of what is packed, and the plan's own list."""
    from nutricheck.advice.additions.foods import candidates

    sources = ("packed", "home") if result.plan.additions.at_home else ("packed",)
    return _Foods(result, care, candidates(result, sources=sources, care=care), {})


def _closing(
    result: Result,
    gap: Standing,
    foods: _Foods,
    weeks: float,
    eaten: NDArray[np.float64],
    *,
    is_more: bool,
) -> GapAction:
    """The single food or tablet that lifts one component to its aim and to the wanted chance.

    ``eaten``: its draws; ``is_more``: with what closes the gap in energy.
    """
    length = trip_length(result.plan.days, "longest")
    lightest = _lightest(gap, eaten, foods)
    share = gap.likely / gap.aim
    is_advised = gap.tag in advised_alone(result)
    if lightest is not None and is_advised and lightest[0] > most_for_advised(length):
        lightest = None
    if lightest is not None:
        grams, name, after = lightest
        if grams <= value("closing_food_most") or gap.tag not in TABLETS:
            per_g = float(foods.offered.likely.at[name, gap.tag])
            return EatMore(
                kind="energy" if gap.tag == _ENERGY else "food",
                tag=gap.tag,
                item=name,
                is_new=bool(foods.offered.items.at[name, "is_new"]),
                grams_a_day=grams,
                grams_trip=grams * length,
                before=gap.tenths,
                after=after,
                before_share=share,
                after_share=share + grams * per_g / gap.aim,
                weeks=weeks,
                with_energy=is_more,
            )
    has_tablet = gap.tag in TABLETS and gap.tag not in foods.care.no_supplement
    tablet = _tablet(result, gap, eaten) if has_tablet else None
    if tablet is not None:
        amount, after = tablet
        return TakeTablet(
            tag=gap.tag,
            item=BY_TAG[gap.tag].name,
            amount_a_day=amount,
            before=gap.tenths,
            after=after,
            before_share=share,
            after_share=share + amount / gap.aim,
            weeks=weeks,
            asks=_asked_before_tablets(result.plan.person),
            with_energy=is_more,
        )
    if gap.tag == _ENERGY:
        action = _more_of_all(foods, gap, weeks)
        if action is not None:
            return action
    return NothingCloses(
        tag=gap.tag,
        item=BY_TAG[gap.tag].name,
        before=gap.tenths,
        before_share=share,
        weeks=weeks,
        with_energy=is_more,
        is_advised=is_advised,
    )


def _asked_before_tablets(person: Person) -> str:
    """Who is asked before any tablet; "" for no one."""
    if person.conditions or person.life_stage != "general":
        return "your doctor"
    return "a pharmacist for a child's dose" if person.age_years < value("adult_age") else ""


def _more_of_all(foods: _Foods, gap: Standing, weeks: float) -> CarryMoreOfAll | None:
    """More of everything that is packed, where no single food closes the gap in energy.

    What is not for the person is left out; None where nothing else gives energy, or so much of it
    would pass what a clinic or an illness allows.
    """
    result = foods.result
    stores = result.supply.items
    is_left = stores["item"].str.casefold().isin(list(_no_more_of(foods)))
    is_named = stores["is_eaten"] | stores["item"].map(lambda item: item in result.left)
    without = tuple(stores.loc[is_left & is_named, "item"])
    stores = stores[stores["is_eaten"] & ~is_left]
    if not stores["energy_kcal"].sum() > 0:
        return None
    kcal_per_g = float(stores["energy_kcal"].sum() / stores["mass_g"].sum())
    grams = (gap.aim - gap.likely) / kcal_per_g
    shares = stores.set_index("item")["mass_g"] / stores["mass_g"].sum()
    likely = {item.name: item.per_100g["likely"].fillna(0.0) for item in result.items.values()}
    more = sum(grams * share / 100 * likely[str(item)] for item, share in shares.items())
    if _passes_by(foods, more):
        return None
    return CarryMoreOfAll(
        tag=gap.tag,
        grams_a_day=grams,
        grams_trip=grams * trip_length(result.plan.days, "longest"),
        before=gap.tenths,
        before_share=gap.likely / gap.aim,
        weeks=weeks,
        without=without,
    )


def _no_more_of(foods: _Foods) -> set[str]:
    """Packed items of which no more is named, by case-folded name."""
    from nutricheck.advice.additions.foods import unsafe_items

    result = foods.result
    found = {*foods.care.left_out} | result.plan.found_names
    found |= {name.casefold() for name in unsafe_items(result)}
    if "kidney stones" in foods.care.conditions:
        held = oxalate_of_items(result.plan, result.batches, result.table)
        most = _LITTLE_OXALATE * value("oxalate_stones")
        grams = result.intake.grams.max()
        found |= {
            key
            for key, oxalate in held.items()
            if key in result.items and oxalate.likely * grams[result.items[key].name] > most
        }
    if "blood thinner" in foods.care.conditions:
        rows = result.intake.by_item
        rows = rows[(rows["component"] == "VITK1") & (rows["likely"] > value("vitamin_k_slack"))]
        found |= {str(name).casefold() for name in rows["item"]}
    return found


#: Share of the day's limit of oxalate that one item may bring and still be carried more of; ours.
_LITTLE_OXALATE = 0.1


def _passes_by(foods: _Foods, more: pd.Series[float]) -> bool:
    """Whether so much more a day, by tagname, passes what a clinic or an illness allows."""
    return any(
        foods.care.passes(day, held, more)
        or any(
            held[tag] + more[tag] > figure.limit and more[tag] > 0
            for tag, figure in foods.result.figures.items()
            if tag in BY_TAG
        )
        for day, held in foods.eaten_by_day.items()
    )


def _first_try(gap: Standing) -> float:
    """The amount that is tried first: the aim, or a step beyond what does not do."""
    return max(gap.aim, gap.likely * value("proposal_margin"))


def _lightest(
    gap: Standing, eaten: NDArray[np.float64], foods: _Foods
) -> tuple[float, str, int] | None:
    """The food that does it with the fewest grams a day, those grams, and the chance in tenths."""
    per_g = foods.offered.likely[gap.tag]
    per_g = per_g[per_g > 0]
    place = {str(name): at for at, name in enumerate(per_g.index)}
    best: tuple[float, int, str, int] | None = None
    # A food's first try is its lightest: where that is heavier than the best, so are all behind it.
    for name, first_g in ((_first_try(gap) - gap.likely) / per_g).sort_values().items():
        if best is not None and math.ceil(first_g) > best[0]:
            break
        grams, after = _grams(gap, eaten, foods, str(name))
        if not math.isnan(grams) and (best is None or (grams, place[str(name)]) < best[:2]):
            best = grams, place[str(name)], str(name), after
    return None if best is None else (best[0], best[2], best[3])


def _grams(
    gap: Standing, eaten: NDArray[np.float64], foods: _Foods, name: str
) -> tuple[float, int]:
    """Grams a day of a food that are enough, and the chance then in tenths; NaN: cannot be."""
    per_g = float(foods.offered.likely.at[name, gap.tag])
    most_g = float(foods.offered.items.at[name, "ceiling_g"])
    wanted = _first_try(gap)
    for _ in range(_TRIES):
        grams = max(math.ceil((wanted - gap.likely) / per_g), 1)
        if grams > most_g or _passes_level(foods, gap.day, name, grams):
            return math.nan, -1
        if _passes_care(foods, name, grams):
            return math.nan, -1
        brought = foods.draws_per_g(name)[:, TAGS.index(gap.tag)]
        more = eaten + grams * np.nan_to_num(brought)
        after = chance.tenths(foods.result.aims.chance(gap.day, gap.tag, more))
        if gap.likely + grams * per_g >= gap.aim and after >= value("proposal_tenths"):
            return float(grams), after
        wanted *= value("proposal_margin")
    return math.nan, -1


def _passes_care(foods: _Foods, name: str, grams: float) -> bool:
    """Whether so much more of a food a day passes what an illness allows, on any day."""
    if not foods.care.caps:
        return False
    more = grams * foods.offered.likely.loc[name].fillna(0.0)
    return any(foods.care.passes(day, held, more) for day, held in foods.eaten_by_day.items())


def _passes_level(foods: _Foods, day: str, name: str, grams: float) -> bool:
    """Whether so much more of a food passes an upper level that counts food."""
    if day not in foods.levels_by_day:
        return False
    columns, (counted, upper) = foods.levels_by_day[day]
    brought = foods.likely[foods.places[name], columns]
    more = grams * np.nan_to_num(brought)
    return bool(((counted + more > upper) & (more > 0)).any())


def _tablet(result: Result, gap: Standing, eaten: NDArray[np.float64]) -> tuple[float, int] | None:
    """What a tablet must hold a day, and the chance then; None where it would pass a level."""
    rows = result.coverage.set_index(["day", "component"])
    upper, basis, kind, counted = (
        rows.at[(gap.day, gap.tag), name]
        for name in ("upper", "upper_basis", "upper_kind", "upper_likely")
    )
    if basis == "all sources":
        # with what closes the gap in energy
        held = float(rows.at[(gap.day, gap.tag), "likely"])
        counted += max(0.0, gap.likely - held)
    wanted = _first_try(gap)
    for _ in range(_TRIES):
        amount = dose(gap.tag, wanted - gap.likely)
        if basis and kind not in coverage.UPPER_NOTES and counted + amount > upper:
            return None
        after = chance.tenths(result.aims.chance(gap.day, gap.tag, np.nan_to_num(eaten) + amount))
        if after >= value("proposal_tenths"):
            return amount, after
        wanted *= value("proposal_margin")
    return None
