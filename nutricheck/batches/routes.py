"""One ingredient dried by several routes, side by side.

A route is a few plain words, such as ``raw 35C 6d`` or ``boiled drained, 68C 8h``.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, get_args

import numpy as np
import pandas as pd

from nutricheck.cautions.portion import adult_levels, portion_cautions
from nutricheck.defaults import BATCH_DRAWS, SEED
from nutricheck.drying.batch import DriedBatch, dry_batch, with_cautions
from nutricheck.drying.classes import food_class
from nutricheck.drying.flags import SAME_NUTRIENT
from nutricheck.errors import DryingError, shorten
from nutricheck.facts.components import BY_TAG, tags
from nutricheck.plan.models import Batch, CookedBy, DriedBy
from nutricheck.ranges import ends
from nutricheck.units import number_text

if TYPE_CHECKING:
    from nutricheck.foods import Food, FoodTable

__all__ = ["Comparison", "compare_routes", "parse_route", "usual_routes"]

_COOKED: tuple[CookedBy, ...] = get_args(CookedBy)
#: Hot air is meant where no dryer is named.
_DRYERS: tuple[DriedBy, ...] = get_args(DriedBy)[1:]
_NUMBER = r"\d+(?:[.,]\d+)?"
_TEMPERATURE = re.compile(rf"([+\-−]?{_NUMBER})\s*°?\s*([cf])\b")
_TIME = re.compile(rf"({_NUMBER})\s*(min|minutes?|h|hours?|d|days?)\b")
_HOURS = {"m": 1 / 60, "h": 1.0, "d": 24.0}
_MOST_ROUTES = 12
_SIDES = ("low", "likely", "high")
_DRIED = ("dried_low", "dried_likely", "dried_high")
_FRESH = ("fresh_low", "fresh_likely", "fresh_high")
#: Columns of a comparison, and of a batch's steps: low, likely and high.
KEPT = ("kept_low", "kept_likely", "kept_high")
#: What a table of routes may be of → its columns.
AMOUNTS = {"dried": _DRIED, "fresh": _FRESH}

#: Cooking that goes before drying in common home practice, by food class; others are steamed.
_USUAL_COOKING = {
    **dict.fromkeys(("meat", "poultry", "offal", "liver"), "braised kept"),
    **dict.fromkeys(("legume", "grain"), "boiled kept"),
    **dict.fromkeys(("fish", "shellfish", "fruit"), "baked"),
    "egg": "scrambled",
    "dairy": "simmered",
}


@dataclass(frozen=True)
class Comparison:
    """Routes side by side.

    ``table``: one row per route and component: ``route``, ``component``, ``unit``, and low, likely
    and high per 100 g dried (``dried_…``), per 100 g fresh (``fresh_…``) and as share kept
    (``kept_…``) [component unit, component unit, -]. The route "fresh" is the food as it is.
    ``differences``: one row per component and route after the first, which it is held against draw
    by draw: ``first``, ``second``, ``component``, ``unit``, low, likely and high of what 100 g
    fresh keep more by the first [component unit], and ``chance``, the share of draws in which the
    first keeps more [-]. What both routes share (the food, its record) errs alike in both and so
    drops out.
    """

    food: Food
    batches: dict[str, DriedBatch]
    table: pd.DataFrame
    differences: pd.DataFrame


def parse_route(text: str) -> dict[str, object]:
    """Preparation and drying of a route in words, as the plan's ``Batch`` takes them.

    In any order: raw, a cooking word (boiled, fried …), blanched (with water or steam), fermented;
    kept or drained; sulphited; a dryer (oven, sun, shade, freeze, spray, drum, vacuum; left out:
    hot air); temperatures and times in pairs (``55C 4h 40C 14h``).

    Raises
    ------
    DryingError
        If a word is not understood or a temperature has no time.

    Examples
    --------
    >>> parse_route("boiled drained, 68C 8h")["preparation"]
    {'kind': 'cooked', 'method': 'boiled', 'liquid': 'drained'}
    """
    rest = text.lower().replace("-dried", " ").replace("hot air", " ")
    rest = re.sub(r"(?<=[a-z])[-−]|[-−](?=[a-z])", " ", rest)  # not the minus of a temperature
    steps, rest = _steps(text, rest)
    preparation: dict[str, object] = {}
    drying: dict[str, object] = {"steps": steps} if steps else {}
    words = re.findall(r"[^\s,;]+", rest)
    blanched = "blanched" in words
    for word in words:
        if word in ("raw", "fermented"):
            _put(text, preparation, "kind", word)
        elif word == "blanched":
            _put(text, preparation, "kind", "blanched")
            preparation.setdefault("method", "water")
        elif blanched and word in {"water", "steam"}:
            preparation["method"] = word
        elif word in _COOKED:
            _put(text, preparation, "kind", "cooked")
            preparation["method"] = word
        elif word in {"kept", "drained"}:
            _put(text, preparation, "liquid", word)
        elif word in {"sulphited", "sulfited", "sulphured", "sulfured"}:
            preparation["sulphited"] = True
        elif word in _DRYERS:
            _put(text, drying, "method", word)
        elif word not in {"then", "and", "at", "for", "liquid", "dried", "in", "the"}:
            raise DryingError(
                f"route {shorten(text)}: {shorten(word)} is not understood; write for example "
                '"raw 57C 10h" or "boiled drained, 68C 8h"; preparations: raw, blanched, '
                f"fermented, {', '.join(_COOKED)}; dryers: hot air, {', '.join(_DRYERS)}"
            )
    preparation.setdefault("kind", "raw")
    return {"preparation": preparation, "drying": drying}


def _put(text: str, into: dict[str, object], key: str, value: str) -> None:
    if into.setdefault(key, value) != value:
        raise DryingError(
            f"route {shorten(text)}: both {into[key]} and {value}; give one, and a second "
            "route for the other"
        )


def _steps(text: str, rest: str) -> tuple[list[dict[str, str]], str]:
    """The temperature and time pairs of a route, and what is left of its text."""
    temperatures = _TEMPERATURE.findall(rest)
    rest = _TEMPERATURE.sub(" ", rest)
    times = _TIME.findall(rest)
    rest = _TIME.sub(" ", rest)
    if len(temperatures) != len(times):
        raise DryingError(
            f"route {shorten(text)}: temperatures: {len(temperatures)}, times: {len(times)}; "
            'give each temperature its time, such as "57C 10h", or leave both out'
        )
    steps = []
    for (degrees, scale), (amount, unit) in zip(temperatures, times, strict=True):
        hours = float(amount.replace(",", ".")) * _HOURS[unit[0]]
        steps.append(
            {
                "temperature": f"{degrees} deg{scale.upper()}",
                "time": f"{number_text(float(f'{hours:.6g}'))} h",
            }
        )
    return steps, rest


def usual_routes(food: Food) -> tuple[str, str]:
    """Raw-dried and cooked-then-dried as people do it at home, for a food's class."""
    cooking = _USUAL_COOKING.get(food_class(food).name, "steamed")
    return "raw 57C 10h", f"{cooking}, 60C 8h"


def compare_routes(
    food: str,
    routes: Sequence[str] = (),
    table: FoodTable | None = None,
    *,
    moisture: str | None = None,
    draws: int = BATCH_DRAWS,
    seed: int = SEED,
) -> Comparison:
    """One food dried by several routes to the same water content.

    Parameters
    ----------
    food : str
        Id or description of a food of the table.
    routes : sequence of str
        Routes in words; left out: raw-dried and cooked-then-dried.
    table : FoodTable, optional
        Left out: the embedded one.
    moisture : str, optional
        Water left, such as "8 %"; left out: usual for the food's class.
    draws, seed : int
        Of the Monte Carlo. [-]

    Raises
    ------
    DryingError
        If a route is not understood, given twice, or there are more than twelve.
    """
    if table is None:
        from nutricheck.foods import open_table

        table = open_table()
    found = table.resolve(food)
    chosen = list(routes) or list(usual_routes(found))
    if len(chosen) > _MOST_ROUTES:
        raise DryingError(f"{len(chosen)} routes given; at most {_MOST_ROUTES} can be compared")
    batches: dict[str, DriedBatch] = {}
    levels = adult_levels()
    for text in chosen:
        batch = dry_batch(_batch(found, text, moisture), table, draws=draws, seed=seed)
        of_portion = portion_cautions(batch.name, batch.composition, levels)
        batch = with_cautions(batch, of_portion)
        if batch.route in batches:
            raise DryingError(f"route {shorten(text)} is given twice")
        batches[batch.route] = batch
    per_100g = table.composition([found.id], tags()).iloc[0]
    frame = _table(per_100g, batches)
    return Comparison(found, batches, frame, _differences(frame, batches))


def _batch(food: Food, text: str, moisture: str | None) -> Batch:
    from pydantic import ValidationError

    content = {
        "name": food.description[:80],
        "ingredients": [{"food": food.id, "mass": "1 kg"}],
        "moisture": moisture,
        **parse_route(text),
    }
    try:
        return Batch.model_validate(content)
    except ValidationError as error:
        first = error.errors()[0]
        place = "moisture" if first["loc"][:1] == ("moisture",) else f"route {shorten(text)}"
        raise DryingError(f"{place}: {first['msg'].removeprefix('Value error, ')}") from None


def _table(per_100g: pd.Series, batches: dict[str, DriedBatch]) -> pd.DataFrame:
    fresh = per_100g.to_numpy(dtype=float)
    names = tags()
    units = [BY_TAG[tag].unit for tag in names]
    frames = [
        pd.DataFrame(
            {
                "route": "fresh",
                "component": names,
                "unit": units,
                **dict.fromkeys(_FRESH, fresh),
                **dict.fromkeys(KEPT, np.where(fresh > 0, 1.0, np.nan)),
            }
        )
    ]
    for route, batch in batches.items():
        steps = batch.steps
        columns: dict[str, object] = {"route": route, "component": names, "unit": units}
        for side, of_dried, of_fresh, kept in zip(_SIDES, _DRIED, _FRESH, KEPT, strict=True):
            dried = batch.composition[side].to_numpy(dtype=float)
            columns[of_dried] = dried
            columns[of_fresh] = dried * batch.yield_frac
            columns[kept] = np.where(fresh > 0, steps[kept], np.nan)
        frames.append(pd.DataFrame(columns))
    return pd.concat(frames, ignore_index=True)


#: A difference of less than this share of the fresh content is not told; ours. [-]
_TOLD = 0.02
_DIFFERENCE_COLUMNS = (
    *("first", "second", "component", "unit"),
    *("low", "likely", "high", "chance"),
)


def _differences(table: pd.DataFrame, batches: dict[str, DriedBatch]) -> pd.DataFrame:
    """What the first route keeps more than each other one, by the draws that they share."""
    routes = list(batches)
    wide = table.set_index(["component", "route"])
    rows = []
    for other in routes[1:]:
        first, second = batches[routes[0]], batches[other]
        if first.draws is None or second.draws is None:
            continue
        more = first.draws * first.yield_frac - second.draws * second.yield_frac
        low, high = ends(more)
        chance = np.mean(more > 0, axis=0)
        for place, tag in enumerate(tags()):
            kept = [float(wide.at[(tag, route), "kept_likely"]) for route in (routes[0], other)]
            if tag in SAME_NUTRIENT or not abs(kept[0] - kept[1]) >= _TOLD:
                continue
            likely = [float(wide.at[(tag, route), "fresh_likely"]) for route in (routes[0], other)]
            rows.append(
                (
                    *(routes[0], other, tag, BY_TAG[tag].unit),
                    *(low[place], likely[0] - likely[1], high[place], chance[place]),
                )
            )
    return pd.DataFrame(rows, columns=list(_DIFFERENCE_COLUMNS))
