"""Ways out of a plan's faults, each with its words and the change that takes it.

They are found from what stands at the place and what the field can hold, not from the fault's
sentence: a number without a unit becomes one with each unit that the field is written in, a name
that nothing carries becomes the nearest that is there, and so on. A fault without one has none.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from nutricheck.errors import (
    Change,
    Fault,
    Fix,
    Location,
    NutricheckError,
    UnitError,
    UnknownFoodError,
    shorten,
)
from nutricheck.plan import models
from nutricheck.plan.changes import at, tables_of
from nutricheck.plan.models import THE_TRIP
from nutricheck.units import grams_text, number_text, parse

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable

__all__ = ["fixes_of", "with_fixes"]

_MOST = 4
_MOST_OF_CHOICE = 8
_THOUSANDS = re.compile(r"\s*([1-9]\d{0,2})[.,](\d{3})\s*(\D.*)?")
_BARE = re.compile(r"\s*[+\-−]?\d+(?:[.,]\d+)?\s*")
#: Two ways of saying one thing, of which an entry holds one: (section's list, keys).
_EITHER = (
    ("batch", ("dried_mass", "moisture")),
    ("portions", ("amount", "over")),
    ("parts", ("item", "food")),
    ("drying", ("temperature", "steps")),
)


def with_fixes(
    faults: Iterable[Fault], data: Mapping[str, Any], table: FoodTable | None = None
) -> list[Fault]:
    """The faults with what stands at their places and the ways out."""
    return [
        replace(
            fault,
            value=_words(at(data, fault.location)) if fault.location else "",
            fixes=tuple(fixes_of(fault, data, table)),
        )
        for fault in faults
    ]


def fixes_of(
    fault: Fault, data: Mapping[str, Any], table: FoodTable | None = None
) -> Iterator[Fix]:
    """The ways out of one fault, the likeliest first."""
    if not fault.location:
        return
    seen: set[tuple[Change, ...]] = set()
    for fix in _found(fault, data, table):
        if repr(fix.changes) not in {repr(changes) for changes in seen}:
            seen.add(fix.changes)
            yield fix


def _found(fault: Fault, data: Mapping[str, Any], table: FoodTable | None) -> Iterator[Fix]:
    location = fault.location
    value, key = at(data, location), location[-1]
    if "there is no such field here" in fault.message:
        yield _without("Take it out", location)
        return
    yield from _either(location, data)
    if key == "dried_mass" and location[0] == "batch" and table is not None:
        yield from _too_light(location, data, table)
    if isinstance(value, str):
        if key in ("food",) or location[:2] == ("additions", "at_home"):
            yield from _foods(location, value, table)
        yield from _names(location, value, data)
        yield from _quantities(location, value)
        yield from _choices(location, value)
    if key == "item" and location[0] == "packed" and isinstance(value, str):
        yield Fix(
            f"Take {shorten(value)} as a food of the table", (((*location[:-1], "food"), value),)
        )
    if key == "amount" and location[0] == "portions":
        yield Fix(
            "Eat all of it, evenly over the trip",
            ((location, None), ((*location[:-1], "over"), THE_TRIP)),
        )


def _words(value: Any) -> str:
    return "" if value is None or isinstance(value, Mapping | list) else str(value)


def _without(words: str, location: Location) -> Fix:
    return Fix(words, ((location, None),))


# ---------------------------------------------------------------- one of two


def _either(location: Location, data: Mapping[str, Any]) -> Iterator[Fix]:
    """Where both of two ways of saying one thing are given, leave out the one or the other."""
    for where, keys in _EITHER:
        if where not in location:
            continue
        base = location if not isinstance(location[-1], str) or location[-1] == where else ()
        for length in range(len(location), 0, -1):
            entry = at(data, location[:length])
            if isinstance(entry, Mapping) and all(key in entry for key in keys):
                base = location[:length]
                for leave, keep in (keys, keys[::-1]):
                    changes: list[Change] = [((*base, leave), None)]
                    if leave == "temperature":
                        changes.append(((*base, "time"), None))
                    yield Fix(f"Keep {keep}, without {leave.replace('_', ' ')}", tuple(changes))
                return


# ---------------------------------------------------------------- water balance


def _too_light(location: Location, data: Mapping[str, Any], table: FoodTable) -> Iterator[Fix]:
    """A weighed dried mass that cannot be: less was dried, or only a part was weighed."""
    batch = at(data, location[:-1])
    parts = batch.get("ingredients") if isinstance(batch, Mapping) else None
    if not isinstance(parts, list):
        return
    try:
        dried_g = float(parse(str(batch.get("dried_mass")), "gram"))
        masses = [float(parse(str(part["mass"]), "gram")) for part in parts]
        waters = [table.resolve(str(part["food"])).water_g / 100 for part in parts]
    except (NutricheckError, KeyError, TypeError):
        return
    fresh_g = sum(masses)
    dry_g = sum(mass * (1 - water) for mass, water in zip(masses, waters, strict=True))
    if not 0 < dry_g < float("inf") or not fresh_g > 0:
        return
    if dried_g < dry_g:
        likely_g = fresh_g * dried_g * (1 - _USUAL_WATER) / dry_g
        if len(parts) == 1:
            text = _grams(likely_g)
            yield Fix(f"It was only {text}", (((*location[:-1], "ingredients", 0, "mass"), text),))
    elif dried_g > fresh_g and len(parts) == 1:
        yield Fix(
            "Swap the two masses",
            (
                (location, parts[0]["mass"]),
                ((*location[:-1], "ingredients", 0, "mass"), batch["dried_mass"]),
            ),
        )
    yield _without("I weighed only a part: leave it out", location)


#: Water left in most dried food, for a guess at what was dried: common practice, no source. [g/g]
_USUAL_WATER = 0.06


def _grams(grams: float) -> str:
    if grams >= 1000:
        return f"{number_text(round(grams / 1000, 1))} kg"
    return grams_text(round(grams))


# ---------------------------------------------------------------- names


def _foods(location: Location, value: str, table: FoodTable | None) -> Iterator[Fix]:
    if table is None:
        return
    try:
        table.resolve(value)
    except UnknownFoodError as error:
        for food_id, description in error.candidates[:_MOST]:
            yield Fix(description, ((location, _naming(table, food_id, description)),))


def _naming(table: FoodTable, food_id: str, description: str) -> str:
    """The description where it names this food, else its id."""
    return description if table.resolve(description).id == food_id else food_id


def _names(location: Location, value: str, data: Mapping[str, Any]) -> Iterator[Fix]:
    """The nearest names of the plan, where the field names an entry of it."""
    from nutricheck.plan.names import close_names

    known = list(_known_names(location, data))
    if not known or value.strip().casefold() in {name.casefold() for name in known}:
        return
    for name in close_names(value, known):
        yield Fix(f"It is {name}", ((location, name),))
    if location[0] == "portions" and location[-1] == "item":
        yield _without("Take out this portion", location[:2])


def _known_names(location: Location, data: Mapping[str, Any]) -> Iterator[str]:
    section, key = location[0], next((s for s in reversed(location) if isinstance(s, str)), "")
    places: tuple[tuple[str, str], ...] = ()
    item_names = (("batch", "name"), ("label", "name"), ("mix", "name"))
    if section in ("mix", "packed") and key == "item":
        places = item_names
    elif section == "portions" and key == "item":
        places = (("packed", "item"),)
    elif key in ("day", "days") and section != "days":
        places = (("days", "name"),)
    for other, name in places:
        for entry in tables_of(data, other):
            if isinstance(entry.get(name), str):
                yield entry[name]


# ---------------------------------------------------------------- quantities and choices


def _field(location: Location) -> tuple[Any, tuple[Any, ...]]:
    """Kind and metadata of the plan's field at a place; (None, ()) where there is none."""
    from nutricheck.plan.form import plain_type

    model: Any = models.Plan
    kind: Any = None
    metadata: tuple[Any, ...] = ()
    for step in location:
        if isinstance(step, int):
            continue
        fields = {
            info.alias or name: info for name, info in getattr(model, "model_fields", {}).items()
        }
        if step not in fields:
            if kind is None or getattr(kind, "__origin__", None) is not dict:
                return None, ()
            kind, found = plain_type(kind.__args__[1])
            metadata = tuple(found)
            continue
        kind, found = plain_type(fields[step].annotation)
        metadata = tuple(found or fields[step].metadata)
        inner = kind.__args__[0] if getattr(kind, "__origin__", None) is tuple else kind
        model = plain_type(inner)[0]
    return kind, metadata


def _quantities(location: Location, value: str) -> Iterator[Fix]:
    """The number with each unit that the field takes; the two readings of a doubtful point."""
    _, metadata = _field(location)
    found = next((m for m in metadata if isinstance(m, models.Quantity | models.Amount)), None)
    if found is None or (isinstance(found, models.Quantity) and _is_read(found, value)):
        return
    texts = []
    if doubtful := _THOUSANDS.fullmatch(value):
        head, tail, unit = doubtful[1], doubtful[2], (doubtful[3] or "").strip()
        small = number_text(float(f"{head}.{tail}"))
        texts = [f"{number} {unit}".strip() for number in (small, f"{head}{tail}")]
    elif _BARE.fullmatch(value):
        texts = [f"{value.strip()} {unit}" for unit in found.units[:_MOST]]
    elif isinstance(found, models.Quantity):
        number = re.match(r"\s*[+\-−]?\d+(?:[.,]\d+)?", value)
        texts = [f"{number[0].strip()} {unit}" for unit in found.units] if number else []
    offered = [text for text in texts if text != value.strip() and _is_read(found, text)]
    for text in offered[:_MOST]:
        yield Fix(text, ((location, text),))


def _is_read(found: models.Quantity | models.Amount, text: str) -> bool:
    try:
        found.read(text)
    except (ValueError, UnitError):
        return False
    return True


def _choices(location: Location, value: str) -> Iterator[Fix]:
    from typing import Literal, get_args, get_origin

    kind, _ = _field(location)
    if get_origin(kind) is not Literal:
        return
    choices = [str(choice) for choice in get_args(kind)]
    if value in choices:
        return
    from nutricheck.plan.names import close_names

    near = close_names(value, choices) or choices[:_MOST_OF_CHOICE]
    for choice in near:
        yield Fix(choice, ((location, choice),))
