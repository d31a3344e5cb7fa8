"""Reading a plan: text to one checked :class:`~nutricheck.plan.models.Plan`, all faults at once.

A plan passes three gates, and the faults of all three are told together where they can be:
the file is readable text (or a workbook), each entry has the right fields and units, and the
entries name each other rightly (a portion's item is packed, a mix's part exists, …).
Whether a food stands in the table is the fourth gate, :func:`food_faults`.
"""

from __future__ import annotations

import errno
import re
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from graphlib import CycleError, TopologicalSorter
from pathlib import Path
from typing import TYPE_CHECKING, Any

from pydantic import ValidationError

from nutricheck.defaults import TRIP_MEAN
from nutricheck.errors import Fault, PlanError, UnitError, UnknownFoodError, shorten
from nutricheck.facts import components
from nutricheck.plan.counts import counts_as_masses
from nutricheck.plan.fixes import with_fixes
from nutricheck.plan.models import LABEL_TABLES, THE_TRIP, Plan, repeated
from nutricheck.plan.names import close_names, unknown_component, unknown_name
from nutricheck.units import measures, parse, split_amount, split_quantity

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable

__all__ = [
    "data_in_text",
    "data_of",
    "plan_from_data",
    "read_data",
    "read_placed_plan",
    "read_plan",
    "with_cell_places",
    "with_ways_out",
]

#: Location in the data → what the user sees there.
Places = Mapping[tuple[str | int, ...], str]

_LARGEST_PLAN_BYTES = 2_000_000
_LONGEST_LINE = 20_000


def read_plan(path: str | Path, table: FoodTable | None = None) -> Plan:
    """The plan in a TOML text or a fill-in workbook.

    Parameters
    ----------
    path : str or Path
        A ``.toml`` text in UTF-8, or a ``.xlsx`` workbook.
    table : FoodTable, optional
        Where given, each food of the plan must stand in it.

    Raises
    ------
    PlanError
        With every fault found, each with its place in the file.
    OSError
        If the file cannot be read.
    """
    return read_placed_plan(path, table)[0]


def read_placed_plan(
    path: str | Path, table: FoodTable | None = None
) -> tuple[Plan, dict[str, Any], Places | None]:
    """The plan, its data, and for a workbook the cell of each entry; for faults found later on."""
    data, places, faults = _data(Path(path))
    plan = plan_from_data(data, str(path), table, places, faults)
    return plan, _in_new_words(data), places


def with_cell_places(error: PlanError, places: Places | None) -> PlanError:
    """The error with the places that the workbook's user sees; as it is without ``places``."""
    if places is None:
        return error
    faults = [
        replace(fault, place=_cell(fault.location, places) or fault.place) for fault in error.faults
    ]
    return PlanError(error.source, faults)


def read_data(path: str | Path) -> dict[str, Any]:
    """The plan of either form as a dictionary shaped like the TOML text, quantities as written.

    It holds a plan without faults; raises as :func:`read_plan` does.
    """
    data, places, faults = _data(Path(path))
    plan_from_data(data, str(path), None, places, faults)
    return _in_new_words(data)


def data_of(path: str | Path) -> dict[str, Any]:
    """What the file of either form holds, faults or not; what cannot be read is left out."""
    return _in_new_words(_data(Path(path))[0])


def data_in_text(text: str, source: str = "plan") -> dict[str, Any]:
    """What a TOML text holds, faults or not. Raises PlanError where it is no TOML."""
    return _in_new_words(_toml(text, source))


def _data(path: Path) -> tuple[dict[str, Any], Places | None, Sequence[Fault]]:
    """What the file holds, where its entries stand and what could not be read."""
    if not path.exists():
        raise FileNotFoundError(
            errno.ENOENT,
            "There is no such file. Check the name and the folder. To start a new plan: "
            "nutricheck new plan.toml",
            str(path),
        )
    if path.suffix.lower() in {".xlsx", ".xlsm"}:
        from nutricheck.plan.from_workbook import read_workbook

        return read_workbook(path)
    return _toml(_text(path), str(path)), None, ()


def _toml(text: str, source: str) -> dict[str, Any]:
    for number, line in enumerate(text.splitlines(), start=1):
        if len(line) > _LONGEST_LINE:
            raise PlanError(
                source,
                [
                    Fault(
                        f"line {number}",
                        f"is {len(line):,} characters long; a plan has at most "
                        f"{_LONGEST_LINE:,} in a line. Is this a plan?",
                    )
                ],
            )
    if not text.strip():
        raise PlanError(
            source,
            [Fault("", "the file is empty. To get a plan to fill in: nutricheck new plan.toml")],
        )
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise PlanError(source, [_toml_fault(error, text)]) from None
    except RecursionError:
        raise PlanError(
            source, [Fault("", "holds too many brackets inside brackets for a plan")]
        ) from None
    except ValueError:  # Python reads no whole number of more than 4300 digits
        raise PlanError(source, [Fault("", "holds a number with thousands of digits")]) from None


def plan_from_data(
    data: Mapping[str, Any],
    source: str = "plan",
    table: FoodTable | None = None,
    places: Places | None = None,
    known_faults: Sequence[Fault] = (),
) -> Plan:
    """The plan in a dictionary shaped like the TOML text.

    ``places`` maps a location in the data to what the user sees there, such as a workbook cell;
    ``known_faults`` were found while reading. Raises PlanError as :func:`read_plan` does.
    """
    plan: Plan | None = None
    data = _in_new_words(data)
    weighed, faults = counts_as_masses(data, table)
    uncounted = {location for location, _ in faults}
    try:
        plan = Plan.model_validate(weighed)
    except ValidationError as error:
        errors = [(_location(item["loc"], data), item) for item in error.errors()]
        faults += [
            (location, _message(item))
            for location, item in errors
            # a list whose entries are faulty themselves is told as too short as well
            if not (item["type"] == "too_short" and item["input"]) and location not in uncounted
        ]
    faults += list(_crossed_names(data))
    if table is not None:
        faults += list(food_faults(data, table))
    if faults or known_faults or plan is None:
        found = [Fault(_place(location, data, places), text, location) for location, text in faults]
        # what could not be read is told as such, not as missing
        unread = {fault.place for fault in known_faults}
        found = [*known_faults, *(fault for fault in found if fault.place not in unread)]
        raise PlanError(source, with_fixes(dict.fromkeys(found), data, table))
    return plan


def with_ways_out(error: PlanError, given: object, table: FoodTable) -> PlanError:
    """The error of a check with the ways out; ``given`` is the plan's data or its file."""
    data = given
    if isinstance(given, str | Path):
        data = data_of(given)
    if not isinstance(data, Mapping):
        return error
    return PlanError(error.source, with_fixes(error.faults, data, table))


def _in_new_words(data: Mapping[str, Any]) -> dict[str, Any]:
    """The plan with what older plans say in other words said as now.

    What is said in both words is left: the old one is then a fault.
    """
    data = dict(data)
    person, additions = data.get("person"), data.get("additions")
    if isinstance(person, Mapping) and isinstance(person.get("vegetarian"), bool):
        eats = "vegetarian" if person["vegetarian"] else "everything"
        data["person"] = _renamed(person, "vegetarian", "eats", eats)
    if isinstance(additions, Mapping) and "pantry" in additions:
        data["additions"] = _renamed(additions, "pantry", "at_home", additions["pantry"])
    return data


def _renamed(entry: Mapping[str, Any], old: str, new: str, value: object) -> Mapping[str, Any]:
    """The entry with ``new`` at the place of ``old``."""
    if new in entry:
        return entry
    return dict((new, value) if key == old else (key, content) for key, content in entry.items())


# ---------------------------------------------------------------- the file


def _text(path: Path) -> str:
    def refuse(message: str) -> PlanError:
        return PlanError(str(path), [Fault("", message)])

    if path.is_dir():
        raise refuse("is a folder; expected a plan: a .toml text or a .xlsx workbook")
    size = path.stat().st_size
    if size > _LARGEST_PLAN_BYTES:
        raise refuse(
            f"is {size / 1e6:.1f} MB; a plan has at most {_LARGEST_PLAN_BYTES / 1e6:.0f} MB. "
            "Is this a plan?"
        )
    with path.open("rb") as file:  # a pipe or device has no honest size, so the read is bounded
        raw = file.read(_LARGEST_PLAN_BYTES + 1)
    if len(raw) > _LARGEST_PLAN_BYTES:
        raise refuse(f"is larger than {_LARGEST_PLAN_BYTES / 1e6:.0f} MB. Is this a plan?")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise refuse("is written in UTF-16; save it as UTF-8 text")
    if raw.startswith(b"PK\x03\x04"):
        raise refuse("is a zip file or a workbook. If it is a workbook, let its name end in .xlsx")
    if b"\x00" in raw:
        at = raw.index(b"\x00")
        raise refuse(f"is not text (byte {at + 1} is zero); expected a plan saved as UTF-8 text")
    try:
        return raw.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = raw.count(b"\n", 0, error.start) + 1
        raise refuse(
            f"line {line} holds a character that is not UTF-8 (byte 0x{raw[error.start]:02x}). "
            "Save "
            "the file as UTF-8 text"
        ) from None


def _toml_fault(error: tomllib.TOMLDecodeError, text: str) -> Fault:
    match = re.search(r"^(?P<what>.*?) \(at (?P<where>.*)\)$", str(error), re.DOTALL)
    what, where = (match["what"], match["where"]) if match else (str(error), "")
    place = where.replace(", column", " column") if where.startswith("line") else where
    at = re.match(r"line (\d+)", where)
    line = text.split("\n")[int(at[1]) - 1].strip() if at else ""
    hint = (
        'put text, and numbers with a unit, in straight quotes, as in mass = "500 g"; write '
        "true and false in small letters; write _ for a space in a field's name; begin each "
        "entry with its [[section]]"
    )
    return Fault(
        place,
        f"cannot be read: {' '.join(what.split())[:120]}"
        + (f", in {shorten(line)}" if line else "")
        + f". What helps most often: {hint}",
    )


# ---------------------------------------------------------------- places and messages


def _location(location: tuple[str | int, ...], data: object) -> tuple[str | int, ...]:
    """The location without the names pydantic adds for unions and functions."""
    kept: list[str | int] = []
    here: Any = data
    for step in location:
        if isinstance(here, Mapping):
            if isinstance(step, int):  # the one entry of a list, written without it
                continue
            kept.append(step)
            here = here.get(step)
        elif isinstance(here, list) and isinstance(step, int):
            kept.append(step)
            here = here[step] if step < len(here) else None
    return tuple(kept)


def _place(location: tuple[str | int, ...], data: object, places: Places | None) -> str:
    """``batch[2] "spinach" dried_mass`` for the text form, the cell for a workbook."""
    if places is not None and (cell := _cell(location, places)):
        return cell
    words: list[str] = []
    here: Any = data
    for step in location:
        if isinstance(step, int):
            here = here[step] if isinstance(here, list) and step < len(here) else None
            words[-1] += f"[{step + 1}]"
            name = next(
                (
                    here[key]
                    for key in ("name", "item", "food")
                    if isinstance(here, Mapping) and isinstance(here.get(key), str)
                ),
                None,
            )
            if name is not None:
                words[-1] += f" ({shorten(name[:40])})"
        else:
            words.append(str(step))
            here = here.get(step) if isinstance(here, Mapping) else None
    return " ".join(words)


def _cell(location: tuple[str | int, ...], places: Places) -> str:
    """The cell of the location; else that of the nearest thing around it, and what it lacks."""
    for length in range(len(location), 0, -1):
        if location[:length] in places:
            rest = " ".join(str(step) for step in location[length:] if isinstance(step, str))
            return f"{places[location[:length]]} {rest}".rstrip()
    return ""


#: pydantic's kind of error → what to say after what was found; ``{}`` from its context.
_EXPECTED = {
    "int_type": "expected a whole number",
    "int_parsing": "expected a whole number",
    "int_from_float": "expected a whole number",
    "bool_type": "expected true or false",
    "bool_parsing": "expected true or false",
    "string_type": "expected text",
    "dict_type": "expected one for each nutrient, as in {{ MG = … }}",
    "literal_error": "expected {expected}",
    "greater_than_equal": "expected at least {ge}",
    "less_than_equal": "expected at most {le}",
    "string_too_long": "expected at most {max_length} characters",
    "too_long": "expected at most {max_length} entries",
}


#: Names that people give a field, where another is more like it.
_MEANT = {"weight": "mass", "walking": "moving", "vegetarian": "eats", "diet": "eats"}


def _message(item: Any) -> str:
    """What pydantic found, in plain words."""
    kind, found, location = item["type"], item.get("input"), item["loc"]
    if kind == "missing":
        return "is missing"
    if kind == "extra_forbidden":
        known = _keys(location[:-1])
        meant = _MEANT.get(str(location[-1]))
        near = [meant] if meant in known else close_names(str(location[-1]), known)
        hint = f"did you mean {' or '.join(near)}?" if near else "is it spelt right?"
        return f"there is no such field here; {hint}"
    if kind == "value_error":
        return str(item["ctx"]["error"])
    if kind in {"model_type", "model_attributes_type"}:
        fields = ", ".join(f"{key} = …" for key in _keys(location)[:3])
        return f"found {shorten(found)}; expected fields in braces, as in {{ {fields} }}"
    if kind in {"tuple_type", "list_type"}:
        section = location[-1]
        shape = f'such as ["{found}"]' if isinstance(found, str) and len(found) < 80 else ""
        shape = f"(repeat the section as [[{section}]])" if isinstance(found, Mapping) else shape
        return f"found {shorten(found)}; expected a list {shape}".rstrip()
    if kind in {"too_short", "string_too_short"}:
        return "is empty; expected at least one entry" if kind == "too_short" else "is blank"
    if kind == "string_pattern_mismatch":
        if r"\d" in item["ctx"]["pattern"]:
            return f"found {shorten(found)}; expected four digits"
        return (
            f"found {shorten(found)}, which holds a line break or a character that cannot be "
            "printed; take it out"
        )
    if kind == "string_type" and type(found) in {int, float} and "amount" in str(location):
        one = components.BY_TAG.get(str(location[-1]))
        unit = one.unit if one else "g"
        return f'found {shorten(found)}; expected a number and a unit, such as "{found} {unit}"'
    if kind in _EXPECTED:
        return f"found {shorten(found)}; {_EXPECTED[kind].format(**item.get('ctx', {}))}"
    return f"found {shorten(found)}; {item['msg'][0].lower()}{item['msg'][1:]}"


def _keys(location: tuple[str | int, ...]) -> list[str]:
    """The keys that the section at the location may have."""
    from nutricheck.plan.form import plain_type

    model: Any = Plan
    for step in location:
        fields = {info.alias or name: info for name, info in model.model_fields.items()}
        if step in fields:
            kind = plain_type(fields[str(step)].annotation)[0]
            model = plain_type(kind.__args__[0])[0] if hasattr(kind, "__args__") else kind
    return [info.alias or name for name, info in model.model_fields.items()]


# ---------------------------------------------------------------- names that point at each other


def _entries(data: Mapping[str, Any], section: str) -> Iterator[tuple[int, Mapping[str, Any]]]:
    found = data.get(section)
    if isinstance(found, list):
        yield from ((i, entry) for i, entry in enumerate(found) if isinstance(entry, Mapping))


def _names(data: Mapping[str, Any], section: str, key: str = "name") -> dict[str, str]:
    """Case-folded name → name as written."""
    return {
        entry[key].strip().casefold(): entry[key].strip()
        for _, entry in _entries(data, section)
        if isinstance(entry.get(key), str)
    }


def _crossed_names(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Faults between entries, read from the raw data so that they show beside other faults."""
    by_section = {section: _names(data, section) for section in ("batch", "label", "mix")}
    all_made = {key: name for names in by_section.values() for key, name in names.items()}
    yield from _repeats(data)
    yield from _mix_faults(data, all_made)
    yield from _packed_faults(data, all_made)
    yield from _ferment_faults(data)
    yield from _leg_faults(data)
    yield from _found_faults(data, all_made)
    yield from _people_faults(data)
    yield from _portion_faults(data)
    yield from _clinic_faults(data)
    yield from _order_faults(data)
    for i, entry in _entries(data, "label"):
        yield from _label_faults(i, entry)


def _repeats(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    items = [
        (section, i, entry["name"].strip())
        for section in ("batch", "label", "mix", "ferment")
        for i, entry in _entries(data, section)
        if isinstance(entry.get("name"), str)
    ]
    days = [
        ("days", i, entry["name"].strip())
        for i, entry in _entries(data, "days")
        if isinstance(entry.get("name"), str)
    ]
    for section, i, name in days:
        if name.casefold() == TRIP_MEAN:
            yield (
                (section, i, "name"),
                (f"{shorten(name)} is a name that the report uses itself; choose another"),
            )
    for group, what in ((items, "batch, label or mix"), (days, "kind of day")):
        twice = set(repeated(name for _, _, name in group))
        seen: set[str] = set()
        for section, i, name in group:
            if name.casefold() in twice and name.casefold() in seen:
                yield (
                    (section, i, "name"),
                    f"{shorten(name)} is also the name of another {what}; give each its own",
                )
            seen.add(name.casefold())


def _mix_faults(
    data: Mapping[str, Any], item_names: Mapping[str, str]
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    parts_of: dict[str, list[str]] = {}
    for i, entry in _entries(data, "mix"):
        parts = entry.get("parts")
        names = parts_of.setdefault(str(entry.get("name", "")).strip().casefold(), [])
        for j, part in enumerate(parts if isinstance(parts, list) else []):
            item = part.get("item") if isinstance(part, Mapping) else None
            if not isinstance(item, str):
                continue
            names.append(item.strip().casefold())
            if item.strip().casefold() not in item_names:
                yield (
                    ("mix", i, "parts", j, "item"),
                    unknown_name(item, item_names.values())
                    + "; write a food of the table under food",
                )
    yield from _mix_too_large(data, parts_of)
    for i, entry in _entries(data, "mix"):
        start = str(entry.get("name", "")).strip().casefold()
        reached, todo = set[str](), list(parts_of.get(start, ()))
        while todo:
            name = todo.pop()
            if name not in reached:
                reached.add(name)
                todo += parts_of.get(name, ())
        if start in reached:
            yield ("mix", i, "parts"), "this mix contains itself; take that part out"
        elif entry.get("storage") and reached & set(parts_of):
            yield (
                ("mix", i, "storage"),
                "a mix that holds mixes has no storage of its own; write storage with the "
                "mixes inside it",
            )


#: Parts of a mix with all mixes in it unfolded, and mixes one in the other; ours. So that what is
#: worked out part by part ends in time.
_MOST_UNFOLDED, _MOST_DEEP = 5_000, 50


def _mix_too_large(
    data: Mapping[str, Any], parts_of: Mapping[str, list[str]]
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Mixes that hold too many parts once the mixes in them are unfolded, or too many mixes."""
    try:
        order = list(TopologicalSorter(parts_of).static_order())
    except CycleError:  # a fault of its own
        return
    parts, depth = dict.fromkeys(order, 1), dict.fromkeys(order, 0)
    for name in order:
        if name in parts_of:
            parts[name] = max(1, sum(parts[inner] for inner in parts_of[name]))
            depth[name] = 1 + max((depth[inner] for inner in parts_of[name]), default=0)
    for i, entry in _entries(data, "mix"):
        name = str(entry.get("name", "")).strip().casefold()
        if parts[name] > _MOST_UNFOLDED:
            text = f"counting the mixes in it, this mix has over {_MOST_UNFOLDED:,} parts"
        elif depth[name] > _MOST_DEEP:
            text = f"it holds a mix in a mix, over {_MOST_DEEP} deep"
        else:
            continue
        yield ("mix", i, "parts"), f"{text}. Mix it from foods instead"


def _packed_faults(
    data: Mapping[str, Any], item_names: Mapping[str, str]
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    seen: dict[str, Any] = {}
    for i, entry in _entries(data, "packed"):
        item = entry.get("item")
        if not isinstance(item, str):
            continue
        key, food = item.strip().casefold(), entry.get("food")
        if food is None and key not in item_names:
            yield (
                ("packed", i, "item"),
                unknown_name(item, item_names.values())
                + '; if it is a food of the table, add food = "its description"',
            )
        if food is not None and key in item_names:
            yield (
                ("packed", i, "food"),
                f"{shorten(item)} is a batch, label or mix of this plan; leave food out",
            )
        said = (_grams(entry.get(name)) for name in ("tsp", "piece", "eaten", "bought"))
        details = (food, *said)
        if seen.setdefault(key, details) != details:
            yield (
                ("packed", i, "item"),
                f"{shorten(item)} is packed twice, and food, tsp, piece, eaten or bought "
                "differ. Write these the same for each container",
            )


def _grams(text: Any) -> Any:
    """A mass in words in grams, so that 3.1 g is 3.10 g; what is no mass stays as it is."""
    try:
        return round(parse(text, "gram"), 9) if isinstance(text, str) else text
    except UnitError:
        return text


def _leg_faults(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Legs of one name, and packed items of a leg that is none."""
    legs = _names(data, "legs")
    seen: set[str] = set()
    for i, entry in _entries(data, "legs"):
        key = str(entry.get("name", "")).strip().casefold()
        if key in seen:
            yield (
                ("legs", i, "name"),
                (f"{shorten(entry['name'])} is also the name of another leg; give each its own"),
            )
        seen.add(key)
    for i, entry in _entries(data, "packed"):
        leg = entry.get("leg")
        if isinstance(leg, str) and leg.strip() and leg.strip().casefold() not in legs:
            yield ("packed", i, "leg"), unknown_name(leg, legs.values(), "legs")


def _people_faults(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """People without a name of their own, names of nobody, and people who eat nothing."""
    person = data.get("person")
    first = person.get("name") if isinstance(person, Mapping) else None
    first = first.strip() if isinstance(first, str) else ""
    companions = list(_entries(data, "companions"))
    if companions and not first:
        yield (
            ("person", "name"),
            ("is missing; where several people eat from one pack, each needs a name"),
        )
    if not companions and isinstance(person, Mapping) and person.get("share") is not None:
        yield (
            ("person", "share"),
            ("counts only where several people eat from one pack; leave it out"),
        )
    people = {first.casefold(): first} if first else {}
    places: dict[str, tuple[str | int, ...]] = {first.casefold(): ("person", "name")}
    for i, entry in companions:
        name = str(entry.get("name", "")).strip()
        if name.casefold() in people:
            yield (
                ("companions", i, "name"),
                (f"{shorten(name)} is also the name of another person; give each their own"),
            )
        people[name.casefold()] = name
        places[name.casefold()] = ("companions", i, "name")
    eating: set[str] = set()
    for location, name in _who(data):
        eating.add(name.casefold())
        if name and name.casefold() not in people:
            yield location, unknown_name(name, people.values(), "people")
    if companions and "" not in eating and data.get("portions"):
        for key in set(people) - eating:
            text = f"{shorten(people[key])} gets no portion; add one, or leave this person out"
            yield places[key], text
    for i, entry in _entries(data, "clinic"):
        who = entry.get("who")
        if isinstance(who, str) and who.strip() and who.strip().casefold() not in people:
            yield ("clinic", i, "who"), unknown_name(who, people.values(), "people")


def _who(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Whom portions are for, with the place; "": everybody."""
    for i, entry in _entries(data, "portions"):
        who = entry.get("who") or [""]
        for name in who if isinstance(who, list) else []:
            if isinstance(name, str):
                yield ("portions", i, "who"), name.strip()


def _found_faults(
    data: Mapping[str, Any], item_names: Mapping[str, str]
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Food found on the way: names of its own, and days and legs that there are."""
    taken = {**item_names, **_names(data, "packed", "item"), **_names(data, "ferment")}
    days, legs = _names(data, "days"), _names(data, "legs")
    seen: set[str] = set()
    for i, entry in _entries(data, "found"):
        name = str(entry.get("name", "")).strip()
        if name.casefold() in taken or name.casefold() in seen:
            yield (
                ("found", i, "name"),
                (f"{shorten(name)} is also the name of something else; choose another"),
            )
        seen.add(name.casefold())
        wanted = entry.get("days", [])
        for day in wanted if isinstance(wanted, list) else []:
            if isinstance(day, str) and days and day.strip().casefold() not in days:
                yield ("found", i, "days"), unknown_name(day, days.values(), "kinds of day")
        leg = entry.get("leg")
        if isinstance(leg, str) and leg.strip() and leg.strip().casefold() not in legs:
            yield ("found", i, "leg"), unknown_name(leg, legs.values(), "legs")


def _ferment_faults(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Parts of drinks made on the way that are not packed, and drinks that are."""
    packed = _names(data, "packed", "item")
    for i, entry in _entries(data, "ferment"):
        name = str(entry.get("name", "")).strip().casefold()
        if name in packed:
            yield (
                ("ferment", i, "name"),
                f"{shorten(entry['name'])} is made on the way, from what you packed: take it "
                "out of packed",
            )
        parts = entry.get("parts")
        for j, part in enumerate(parts if isinstance(parts, list) else []):
            item = part.get("item") if isinstance(part, Mapping) else None
            if isinstance(item, str) and packed and item.strip().casefold() not in packed:
                yield (
                    ("ferment", i, "parts", j, "item"),
                    unknown_name(item, packed.values(), "packed items")
                    + "; pack what goes into the drink",
                )


def _portion_faults(
    data: Mapping[str, Any],
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    packed = _names(data, "packed", "item")
    packed |= _names(data, "ferment") if packed else {}
    found = _names(data, "found")
    days = _names(data, "days")
    details: dict[str, Mapping[str, Any]] = {}
    for _, entry in _entries(data, "packed"):
        if isinstance(entry.get("item"), str):
            details.setdefault(entry["item"].strip().casefold(), entry)
    of_pieces = {
        str(entry.get("name")).strip().casefold()
        for _, entry in _entries(data, "label")
        if entry.get("pieces") is not None
    }
    for i, entry in _entries(data, "portions"):
        item, amount = entry.get("item"), entry.get("amount")
        # where nothing at all is packed, or no day given, that alone is told
        if isinstance(item, str) and item.strip().casefold() in set(found) - set(packed):
            yield (
                ("portions", i, "item"),
                f"you find {shorten(item)} on the way, and its amount is given there; leave this "
                "portion out",
            )
        elif isinstance(item, str) and packed and item.strip().casefold() not in packed:
            yield (
                ("portions", i, "item"),
                unknown_name(item, packed.values(), "packed items")
                + "; pack it, or correct the name",
            )
        wanted = entry.get("days", [])
        for name in wanted if isinstance(wanted, list) else []:
            if isinstance(name, str) and days and name.strip().casefold() not in days:
                yield (
                    ("portions", i, "days"),
                    unknown_name(name, days.values(), "kinds of day"),
                )
        if isinstance(amount, str) and isinstance(item, str):
            key = item.strip().casefold()
            fault = _amount_fault(amount, details.get(key), has_pieces=key in of_pieces)
            if fault:
                yield ("portions", i, "amount"), fault
    yield from _over_trip_faults(data)


def _over_trip_faults(
    data: Mapping[str, Any],
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """All of an item spread over the trip, and another portion of it."""
    entries = [
        (i, str(entry["item"]).strip().casefold(), entry.get("over"))
        for i, entry in _entries(data, "portions")
        if isinstance(entry.get("item"), str)
    ]
    twice = set(repeated(item for _, item, _ in entries))
    for i, item, over in entries:
        if item in twice and isinstance(over, str) and over.strip().casefold() == THE_TRIP:
            yield (
                ("portions", i, "over"),
                "this spreads all of it over the trip, but another portion takes some of it "
                "too. Give both an amount, or leave the other out",
            )


def _clinic_faults(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Two figures for one component."""
    seen: set[str] = set()
    for i, entry in _entries(data, "clinic"):
        component = entry.get("component")
        if not isinstance(component, str):
            continue
        tag = components.figure_tag(component) or component
        tag = "NA" if tag == "NACL" else tag  # salt is told as its sodium
        tag = f"{tag} {str(entry.get('who', '')).strip().casefold()}"
        if tag in seen:
            yield (
                ("clinic", i, "component"),
                f"{shorten(component)} has two figures; keep the one that is right now",
            )
        seen.add(tag)


def _order_faults(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    days = _names(data, "days")
    for i, entry in _entries(data, "order"):
        day = entry.get("day")
        if isinstance(day, str) and days and day.strip().casefold() not in days:
            yield ("order", i, "day"), unknown_name(day, days.values(), "kinds of day")


_AMOUNTS = 'write for example "40 g", "2 tsp" or "3 pieces"'


def _amount_fault(
    amount: str, packed: Mapping[str, Any] | None, *, has_pieces: bool = False
) -> str | None:
    try:
        number, unit = split_quantity(amount)
    except UnitError as error:
        # a household measure in words is the table's matter
        return None if split_amount(amount) else f"{error}; {_AMOUNTS}"
    if number < 0:
        return f"{shorten(amount)} is negative"
    if not unit:
        return f"{shorten(amount)} has no unit; {_AMOUNTS}"
    if packed is None or packed.get("food") is not None:
        return None
    if measures(unit) == "spoon" and packed.get("tsp") is None:
        return (
            f"{shorten(amount)} needs the mass of a level teaspoon (a third of a tablespoon). "
            'Weigh one and write it with the packed item: tsp = "3.1 g"'
        )
    is_serving = unit.casefold() in ("serving", "servings")  # of a label, which says its mass
    has_pieces = has_pieces or is_serving or packed.get("piece") is not None
    if measures(unit) == "count" and not has_pieces:
        return (
            f"{shorten(amount)} needs the mass of one piece. Write it with the packed item: "
            'piece = "0.9 g"'
        )
    return None


def _label_faults(i: int, entry: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    amounts, fortified = entry.get("amounts"), entry.get("fortified")
    given = set(amounts) if isinstance(amounts, Mapping) else set()
    tables = [(key, entry.get(key)) for key in LABEL_TABLES]
    named = [
        (("label", i, key, tag), tag)
        for key, table in tables
        for tag in (table if isinstance(table, Mapping) else ())
    ]
    listed = [
        (("label", i, "fortified", j), tag)
        for j, tag in enumerate(fortified if isinstance(fortified, list) else [])
        if isinstance(tag, str)
    ]
    for location, tag in (*named, *listed):
        if tag not in components.NAMES:
            yield location, unknown_component(tag)
        elif tag not in given:
            yield (
                location,
                (f"{tag} is not among the amounts; give its amount, or leave it out here"),
            )


# ---------------------------------------------------------------- foods


_MOST_UNKNOWN_FOODS = 200


def food_faults(
    data: Mapping[str, Any], table: FoodTable
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    """Each food of the raw data that the table does not hold, or holds under several names.

    To look up an unknown name takes some milliseconds: after many of them the rest waits.
    """
    messages: dict[str, str] = {}
    for location, text in _foods(data):
        if len(messages) == _MOST_UNKNOWN_FOODS:
            yield location, ("the foods from here on were not looked up: first correct those above")
            return
        try:
            table.resolve(text)
        except UnknownFoodError as error:
            yield location, messages.setdefault(text, str(error))


def _foods(data: Mapping[str, Any]) -> Iterator[tuple[tuple[str | int, ...], str]]:
    for section, key in (("batch", "ingredients"), ("mix", "parts")):
        for i, entry in _entries(data, section):
            for j, part in _entries(entry, key):
                if isinstance(part.get("food"), str):
                    yield (section, i, key, j, "food"), part["food"].strip()
    for section in ("packed", "found"):
        for i, entry in _entries(data, section):
            if isinstance(entry.get("food"), str):
                yield (section, i, "food"), entry["food"].strip()
    additions = data.get("additions")
    at_home = additions.get("at_home") if isinstance(additions, Mapping) else None
    for i, food in enumerate(at_home if isinstance(at_home, list) else []):
        if isinstance(food, str):
            yield ("additions", "at_home", i), food.strip()
