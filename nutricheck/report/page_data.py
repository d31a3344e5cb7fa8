"""What the page's script needs to do the check's arithmetic again, as JSON that is safe in HTML."""

from __future__ import annotations

import base64
import json
import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

import numpy as np
import pandas as pd

from nutricheck.adequacy import coverage, salt
from nutricheck.adequacy.chance import KNOWN_ENOUGH
from nutricheck.adequacy.walking import AVAILABILITY
from nutricheck.advice.answer import slow_lacks
from nutricheck.cautions.left_at_home import left_at_home
from nutricheck.facts import components
from nutricheck.facts.caution import Caution
from nutricheck.facts.constants import value
from nutricheck.intake.edible import counts_as_eaten
from nutricheck.intake.menu import TAGS, Intake
from nutricheck.intake.portions import days_eaten
from nutricheck.needs.reference import levels_by_food
from nutricheck.needs.sodium import (
    SodiumNeed,
    person_sweat_sodium,
    sodium_minimum,
    sweat_sodium,
    sweat_sodium_spread,
)
from nutricheck.needs.sweat import is_heat_day
from nutricheck.plan.trip_days import trip_days
from nutricheck.report.answer_words import MOST_WARNINGS, asked_words, inedible_words
from nutricheck.report.page_cautions import cautions_data
from nutricheck.report.page_draws import packed_chances
from nutricheck.report.page_drink import drink_data
from nutricheck.report.page_plan import plan_with_places
from nutricheck.report.salt_days import LINE_CONSTANTS
from nutricheck.report.status import STATUSES
from nutricheck.report.walking import walking
from nutricheck.report.words import LEAST_MISSING_G, over_limit_words, reference_words
from nutricheck.rows import CoverageRow, DayCounts, EnergyShare, PortionRow, rows_of
from nutricheck.stock import balance
from nutricheck.symbols import with_symbols

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Person

__all__ = ["cites", "page_data", "script_json"]

#: Digits kept: more than anything shown, so that the page's figures round as Python's do.
_DIGITS = 15


def page_data(result: Result, cited: Mapping[str, int], found: Answer) -> dict[str, Any]:
    """Composition, portions, targets and rules; ``cited`` numbers the sources by their text.

    Lists over components are in the order of ``tags``; unknown is None.
    """
    return {
        "tags": list(TAGS),
        "components": {
            row.component: {
                "name": row.name,
                "unit": row.unit,
                "decimals": components.BY_TAG[row.component].decimals,
            }
            for row in rows_of(result.coverage, CoverageRow)
        },
        "days": [
            {
                "name": row.day,
                "longest": int(row.longest),
                "shortest": int(row.shortest),
                "water": None if water.is_asked else [water.low_l, water.likely_l, water.high_l],
                "beyond": "; ".join(map(over_limit_words, result.needs[row.day].over_limits)),
            }
            for row in rows_of(result.days, DayCounts)
            for water in [result.needs[row.day].water]
        ],
        "order": {
            trip: trip_days(result.plan.days, result.plan.order, trip)
            .shares.argmax(axis=1)
            .tolist()
            for trip in result.supply.in_order
        },
        **_pack(result),
        "items": _items(result),
        "containers": float(result.supply.items["container_mass_g"].sum())
        + result.supply.carried_g,
        "portions": _portions(result),
        "spread": _spread(result),
        "targets": _targets(result, cited),
        "chance": packed_chances(result),
        "marks": {word: statuse.sign for word, statuse in STATUSES.items()},
        "borrowed": sorted(set(result.coverage["component"][result.coverage["is_borrowed"]])),
        "salt": _salt(result),
        "walking": _walking(result),
        "drink": drink_data(result),
        "plan": plan_with_places(result),
        "wrong": inedible_words(found),
        "cautions": cautions_data(result),
        "asked": asked_words(found),
        "weeks_until_lack": slow_lacks(result.plan.person),
        "rules": {
            "known_enough": KNOWN_ENOUGH,
            "all_known": coverage.ALL_KNOWN,
            "food_level": coverage.FOOD_LEVEL,
            "run_out_rounding": value("run_out_rounding"),
            "least_missing_g": LEAST_MISSING_G,
            "atwater": components.ATWATER_KCAL_PER_G,
            "energy_range": {
                row.component: [row.low, row.high]
                for row in rows_of(result.energy_shares.drop_duplicates("component"), EnergyShare)
            },
            "most_warnings": MOST_WARNINGS,
            "followed": list(dict.fromkeys(result.supply.enough["component"])),
            "kcal_per_kg": [
                balance.LEAN_PERSON_KCAL_KG,
                balance.USUAL_KCAL_KG,
                balance.FAT_LOSS_KCAL_KG,
            ],
        },
    }


def _pack(result: Result) -> dict[str, Any]:
    """What is packed for which leg, and what drinks on the way take of it, where there are such.

    ``packed``: item, leg and grams; ``legs``: days of each on the longest trip; ``ferments``: the
    drink's item and its parts, item and grams of a batch.
    """
    plan = result.written
    if plan is None or not (plan.legs or plan.ferment):
        return {}
    item_at = {name.casefold(): i for i, name in enumerate(result.supply.items["item"])}
    leg_at = {leg.name.casefold(): i for i, leg in enumerate(plan.legs)}
    return {
        "packed": [
            [
                item_at[entry.item.casefold()],
                leg_at.get(entry.leg.casefold(), 0),
                float(entry.mass_g),
            ]
            for entry in plan.packed
        ],
        "legs": [leg.days for leg in plan.legs],
        "ferments": [
            {
                "item": item_at[ferment.name.casefold()],
                "parts": [
                    [item_at[one.item.casefold()], float(one.mass_g)] for one in ferment.parts
                ],
            }
            for ferment in plan.ferment
            if ferment.name.casefold() in item_at
        ],
    }


def script_json(data: Any) -> str:
    """JSON for a script element: nothing in it can end the element or start a comment.

    Words have their symbols, as all that is shown; bytes stand in base64, which has none.
    """
    text = json.dumps(
        _as_json(data), ensure_ascii=False, allow_nan=False, separators=(",", ":"), sort_keys=False
    )
    for character in "<>&\u2028\u2029":
        text = text.replace(character, f"\\u{ord(character):04x}")
    return text


def _as_json(value: Any) -> Any:
    """The same with numbers to a few digits, NaN as None, bytes in base64 and units as symbols."""
    if isinstance(value, dict):
        return {key: _as_json(one) for key, one in value.items()}
    if isinstance(value, list | tuple):
        return [_as_json(one) for one in value]
    if isinstance(value, bytes):
        return base64.b64encode(value).decode()
    if isinstance(value, str):
        return with_symbols(value)
    if isinstance(value, float):
        if not math.isfinite(value):
            return None
        short = float(f"{value:.{_DIGITS}g}")
        return int(short) if short.is_integer() and abs(short) < 1e15 else short
    return value


def _items(result: Result) -> list[dict[str, Any]]:
    stores = result.supply.items.set_index("item")
    masses = stores["mass_g"]
    items = result.items
    standing = [found for found in result.limits if isinstance(found, Caution)]
    left = left_at_home(result.plan, standing)
    cooking = result.plan.trip.cooking
    return [
        {
            "name": name,
            "mass": float(masses[name]),
            "eaten": bool(stores.at[name, "is_eaten"]),
            **({"found": True} if name.casefold() in result.plan.found_names else {}),
            # only a limit leaves it at home
            **(
                {"may": True}
                if not stores.at[name, "is_eaten"]
                and name not in left
                and counts_as_eaten(result.edible[name.casefold()], cooking)
                else {}
            ),
            **({"supplement": True} if items[name.casefold()].is_supplement else {}),
            "soak": float(np.nan_to_num(items[name.casefold()].rehydration_water_g_per_100g)),
            "per100g": items[name.casefold()].per_100g["likely"].tolist(),
            "accounted": items[name.casefold()].per_100g["accounted_share"].tolist(),
            **_drawn(items[name.casefold()].per_100g),
            **_added(items[name.casefold()].per_100g),
            **_inactive(items[name.casefold()].per_100g),
        }
        for name in masses.index
    ]


def _added(per_100g: pd.DataFrame) -> dict[str, Any]:
    """What labels and fortification add, where they add anything."""
    added = {end: per_100g[column].tolist() for end, column in _ADDED.items()}
    return {"added": added} if any(map(any, added.values())) else {}


def _drawn(per_100g: pd.DataFrame) -> dict[str, Any]:
    """What is estimated from foods of its kind, where anything is."""
    drawn = _shown(per_100g["drawn"].tolist())
    return {"drawn": drawn} if any(drawn) else {}


def _inactive(per_100g: pd.DataFrame) -> dict[str, Any]:
    """What upper levels count beyond the composition, where there is any, by tag."""
    inactive = {
        end: {tag: value for tag, value in per_100g[column].items() if value}
        for end, column in _INACTIVE.items()
    }
    return {"inactive": inactive} if any(inactive.values()) else {}


def _shown(amounts: list[float]) -> list[float]:
    """What is only shown needs few digits."""
    return [float(f"{amount:.4g}") for amount in amounts]


_ADDED = {"low": "added_low", "likely": "added", "high": "added_high"}
_INACTIVE = {"low": "inactive_low", "likely": "inactive", "high": "inactive_high"}


def _portions(result: Result) -> list[dict[str, Any]]:
    """One entry per portion of the plan: its item, the kinds of day it belongs to, grams a day."""
    item_at = {name.casefold(): i for i, name in enumerate(result.supply.items["item"])}
    day_at = {name: i for i, name in enumerate(result.days["day"])}
    found: dict[int, dict[str, Any]] = {}
    for row in rows_of(result.portions, PortionRow):
        entry = found.setdefault(
            row.portion,
            {
                "item": item_at[row.item.casefold()],
                "days": [],
                "grams": row.grams,
                "unit": "",
                "unit_g": 0.0,
            },
        )
        entry["days"].append(day_at[row.day])
        if result.plan.portions[row.portion - 1].is_over_trip:
            longest, shortest = days_eaten(result.plan.portions[row.portion - 1], result.plan.days)
            entry["over_days"] = longest or shortest
        if row.measured in ("spoon", "piece"):
            entry["unit"] = row.unit
            entry["unit_g"] = row.grams / row.number if row.number else 0.0
    return [found[number] for number in sorted(found)]


def _spread(result: Result) -> dict[str, list[list[float]]]:
    """low / likely and high / likely of each day's intake, by which the page keeps the ranges.

    ``packed_low`` and ``packed_high`` are those of what upper levels count, with what cannot be
    eaten. A component that a day holds nothing of yet takes the widest factors of the other days.
    """
    eaten, packed = _factors(result, result.intake), _factors(result, result.portioned)
    return eaten | {f"packed_{end}": factors for end, factors in packed.items()}


def _factors(result: Result, intake: Intake) -> dict[str, list[list[float]]]:
    """By end of the range, its share of the likely amount: day × component."""
    rows = intake.table
    shape = (len(result.days), len(TAGS))
    likely = rows["likely"].to_numpy(dtype=float).reshape(shape)

    def factors(column: str, widest: Any) -> list[list[float]]:
        ends = rows[column].to_numpy(dtype=float).reshape(shape)
        with np.errstate(divide="ignore", invalid="ignore"):
            factors: NDArray[np.float64] = np.where(likely > 0, ends / likely, np.nan)
        other = pd.DataFrame(factors).agg(widest).fillna(1.0).to_numpy()
        filled: list[list[float]] = np.where(np.isnan(factors), other, factors).tolist()
        return [[float(f"{factor:.10g}") for factor in day] for day in filled]

    return {"low": factors("low", "min"), "high": factors("high", "max")}


def _targets(result: Result, cited: Mapping[str, int]) -> list[list[dict[str, Any]]]:
    """By kind of day and component: the reference's range, the upper level and its basis."""
    rows = {(row.day, row.component): row for row in rows_of(result.coverage, CoverageRow)}
    by_food = levels_by_food(result.plan.person)
    return [
        [_target(rows[day, tag], cited, by_food.get(tag, 0.0)) for tag in TAGS]
        for day in result.days["day"]
    ]


#: What the page needs beside the figures of the lines.
_MORE_CONSTANTS = ("sodium_reference_mass", "sodium_molar_mass")


def _salt(result: Result) -> dict[str, Any]:
    """What the lines of sodium follow from, by kind of day and for all of them."""
    person = result.plan.person
    return {
        **{name: value(name) for name in (*LINE_CONSTANTS, *_MORE_CONSTANTS)},
        "mass": person.mass_kg,
        "minimum": sodium_minimum(person.age_years),
        # of a measured sweat, its ratio to the usual one of the same day
        "spread": sweat_sodium_spread(person),
        "ratio": person_sweat_sodium(person, (1,)) / _usual_sodium(person),
        "is_used_to_heat": person.acclimatised,
        "is_pregnant": person.life_stage == "pregnancy",
        "days": [
            {
                "litres": [need.sweat.low_l, need.sweat.likely_l, need.sweat.high_l],
                "is_hot": is_heat_day(need.sweat),
                "heat_days": list(need.sodium.heat_days),
                "ai": need.sodium.ai_mg,
                "cdrr": need.sodium.cdrr_mg,
                "asks": any(reason != "pregnancy" for reason in need.sodium.reasons),
                "set": _set_lines(need.sodium),
            }
            for need in result.needs.values()
        ],
    }


def _walking(result: Result) -> list[dict[str, Any]]:
    """What each row of the table of the walk follows from, in the order of its rows."""
    day_at = {name: place for place, name in enumerate(result.days["day"])}
    return [
        {
            "day": day_at[row.day],
            "exercise": row.exercise,
            "kilograms": row.kilograms,
            "low": row.least,
            "high": row.most,
            **({} if row.component == AVAILABILITY else {"tag": row.component}),
            **({"asked": row.place} if row.place == salt.ASK_DOCTOR else {}),
        }
        for row in walking(result)
    ]


def _usual_sodium(person: Person) -> float:
    return sweat_sodium(int(value("sweat_sodium_days")) if person.acclimatised else 1)


def _set_lines(sodium: SodiumNeed) -> list[float] | None:
    """Low, aim, high and danger where a clinic set them; else they follow from the sweat."""
    if not sodium.is_set or sodium.band is None:
        return None
    return [sodium.band.low, sodium.band.aim, sodium.band.high, sodium.band.danger]


def _target(row: CoverageRow, cited: Mapping[str, int], times_by_food: float) -> dict[str, Any]:
    # which of the two it is follows from what is eaten
    kind = "UL" if row.upper_kind == coverage.FOOD_LEVEL else row.upper_kind
    is_of_food = kind == "UL" and row.upper_basis == "all sources"
    target = {
        "low": row.reference_low,
        "likely": row.reference,
        "high": row.reference_high,
        "upper": row.upper,
        "upper_kind": kind,
        "times_by_food": times_by_food if is_of_food else 0.0,
        "basis": row.upper_basis,
        "kind": reference_words(row.reference_kind),
        "left_to": row.status if row.status == salt.ASK_DOCTOR else "",
        "cites": cites(row, cited),
    }
    # the script takes what is left out for unknown, nothing or no word
    return {
        key: one for key, one in target.items() if not _goes_without_saying(key, one, row.reference)
    }


def _goes_without_saying(key: str, one: Any, likely: float) -> bool:
    """Whether the script knows it: an end that is the likely value, what is unknown or nothing."""
    if key in ("low", "high"):
        return one == likely or math.isnan(likely)
    is_unknown = isinstance(one, float) and math.isnan(one)
    return is_unknown or one in ("", None) or (key, one) == ("times_by_food", 0.0)


def cites(row: CoverageRow, cited: Mapping[str, int]) -> str:
    """Numbers of a coverage row's sources, such as ``"2 5"``."""
    sources = dict.fromkeys((row.reference_source, row.upper_source))
    return " ".join(str(cited[source]) for source in sources if source in cited)
