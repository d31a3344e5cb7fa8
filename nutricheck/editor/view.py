"""What the templates show of a session: controls with what was typed, faults, cards, the answer."""

from __future__ import annotations

import json
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from nutricheck.editor.form import STEPS, Node, Step, nodes, section_node, sections_of, step_of
from nutricheck.errors import Fault, Fix, Location, NutricheckError, UnknownFoodError
from nutricheck.facts.components import FIGURE_NAMES, NAMES
from nutricheck.plan.changes import at
from nutricheck.plan.models import LABEL_TABLES, Label
from nutricheck.report.page_answer import answer_view
from nutricheck.report.people import part_words, people_lines
from nutricheck.units import split_quantity

if TYPE_CHECKING:
    from pydantic import BaseModel

    from nutricheck.editor.session import Session
    from nutricheck.foods import FoodTable

__all__ = ["answer_part", "identifier", "path_text", "state_of", "step_part"]

Entry = dict[str, Any]
#: Lists whose entries show what is asked first in a row; of the others one is open at a time.
INLINE = frozenset({"packed", "portions", "order", "clinic"})
_MOST_NAMES = 300
#: What a part of a description says of the state of a food, in the order of telling.
_STATES = ("raw", "dried", "dehydrated", "dry", "cooked", "boiled", "canned", "frozen", "roasted")


def path_text(location: Location) -> str:
    """The place as the page sends it back."""
    return json.dumps(location, ensure_ascii=False)


def identifier(location: Location) -> str:
    """The place as an id of an element."""
    return "f-" + "-".join(re.sub(r"\W", "_", str(step)) for step in location)


@dataclass
class _Faults:
    """The faults by place, and which were shown."""

    by_place: dict[Location, list[Fault]]
    shown: set[Location]

    @classmethod
    def of(cls, session: Session) -> _Faults:
        found: dict[Location, list[Fault]] = {}
        for fault in session.partial.faults:
            found.setdefault(fault.location, []).append(fault)
        return cls(found, set())

    def at(self, location: Location) -> list[Entry]:
        self.shown.add(location)
        return [fault_view(fault) for fault in self.by_place.get(location, ())]

    def within(self, location: Location) -> list[Entry]:
        """What was not shown at its own place, of the places inside this one."""
        length = len(location)
        found = []
        for place, faults in self.by_place.items():
            if place[:length] == location and place not in self.shown:
                self.shown.add(place)
                found += [fault_view(fault, is_named=True) for fault in faults]
        return found


def fault_view(fault: Fault, *, is_named: bool = False) -> Entry:
    """A fault's words and its ways out."""
    text = fault.message
    if is_named and fault.location:
        named = " ".join(str(step).replace("_", " ") for step in fault.location[2:])
        text = f"{named}: {text}" if named else text
    return {
        "text": f"{text[0].upper()}{text[1:]}" if text else "",
        "fixes": [fix_view(fix) for fix in fault.fixes],
    }


def fix_view(fix: Fix) -> Entry:
    """A way out as a press."""
    return {"words": fix.words, "changes": json.dumps(fix.changes, ensure_ascii=False)}


# ---------------------------------------------------------------- the state of the whole


def state_of(session: Session) -> Entry:
    """What the head of the page and the list of steps show."""
    counts: dict[str, int] = {}
    for fault in session.partial.faults:
        if fault.location:
            name = step_of(str(fault.location[0])).name
            counts[name] = counts.get(name, 0) + 1
    return {
        "title": str(at(session.data, ("trip", "title")) or "New plan"),
        "file": session.path.name if session.path else "",
        "revision": session.revision,
        "is_saved": session.is_saved,
        "can_undo": session.can_undo,
        "can_redo": session.can_redo,
        "effect": session.effect,
        "steps": [
            {
                "name": step.name,
                "short": step.short,
                "question": step.question,
                "summary": _summary(session.data, step),
                "faults": counts.get(step.name, 0),
            }
            for step in STEPS
        ],
    }


def _summary(data: Mapping[str, Any], step: Step) -> str:
    """What a step holds, in a line."""
    if step.name == "want":
        return str(at(data, ("trip", "title")) or "")
    if step.name == "who":
        who = data.get("person")
        who = who if isinstance(who, Mapping) else {}
        return ", ".join(str(who[key]) for key in ("sex", "age", "mass") if key in who)
    if step.name == "days":
        days = [day for day in data.get("days") or () if isinstance(day, Mapping)]
        total = sum(day["count"] for day in days if isinstance(day.get("count"), int))
        return f"{total} days" if total else ""
    counts = [
        len(data.get(section) or ()) for section in sections_of(step) if section != "additions"
    ]
    return str(sum(counts)) if sum(counts) else ""


# ---------------------------------------------------------------- a step's form


@dataclass(frozen=True)
class _Form:
    """What the controls of a form need to know."""

    data: Mapping[str, Any]
    faults: _Faults
    table: FoodTable


def step_part(session: Session, step: Step, is_open: Location = ()) -> Entry:
    """The form of a step; ``is_open`` is the entry whose every field is shown."""
    form = _Form(session.data, _Faults.of(session), session.table)
    sections = [_section(form, section, is_open) for section in sections_of(step)]
    left = [fault for section in sections_of(step) for fault in form.faults.within((section,))]
    return {
        "name": step.name,
        "question": step.question,
        "sections": sections,
        "faults": left,
        "names": {
            "component": [f"{tag} {name}" for tag, name in NAMES.items()],
        },
        "next": STEPS[STEPS.index(step) + 1].name if step is not STEPS[-1] else "",
    }


def _section(form: _Form, section: str, is_open: Location) -> Entry:
    node = section_node(section)
    location: Location = (section,)
    if node.kind == "group" and node.model is not None:
        return {"kind": "group", **_group(form, node.model, location), **_said(node, location)}
    if node.kind != "entries" or node.model is None:
        return {
            "kind": "group",
            "main": [_control(form, node, location)],
            "more": [],
            **_said(node, location),
        }
    entries = form.data.get(section)
    entries = entries if isinstance(entries, list) else []
    shown = []
    for number, entry in enumerate(entries):
        place = (section, number)
        shows = place == is_open or (section in INLINE)
        row: Entry = {
            "title": _title(entry, node, number),
            "line": _line(section, entry),
            "path": path_text(place),
            "id": identifier(place),
            "address": f"{section}.{number}",
            "is_open": place == is_open,
            "is_inline": section in INLINE,
            "has_fault": any(found[:2] == place for found in form.faults.by_place),
        }
        if shows:
            row |= _group(form, node.model, place)
            if section == "packed":
                _food_aside(form, row, entry)
            row["more_at"] = ""
            if not row["is_open"]:  # the rest of a row is shown where it is opened
                filled = [one["title"] for one in row["more"] if one["is_filled"]]
                row |= {"more": [], "more_at": f"{section}.{number}", "more_filled": filled}
            row["faults"] = form.faults.at(place) + form.faults.within(place)
        shown.append(row)
    return {
        "kind": "entries",
        "section": section,
        "entries": shown,
        "add_path": path_text((section, len(entries))),
        "add_number": len(entries),
        **_said(node, location),
    }


def _food_aside(form: _Form, row: Entry, entry: Any) -> None:
    """What is dried, bought or mixed needs no food of the table beside it."""
    items = {name.casefold() for name in _offered(form.data, "item")}
    item = entry.get("item") if isinstance(entry, Mapping) else None
    if isinstance(item, str) and item.casefold() in items and "food" not in entry:
        row["more"] = [*(one for one in row["main"] if one["key"] == "food"), *row["more"]]
        row["main"] = [one for one in row["main"] if one["key"] != "food"]


def _said(node: Node, location: Location) -> Entry:
    return {
        "title": node.title,
        "help": node.help,
        "id": identifier(location),
        "path": path_text(location),
        "is_needed": node.is_needed,
        "key": node.key,
        "default": "",
        "record": "",
        "faults": [],
    }


def _title(entry: Any, node: Node, number: int) -> str:
    for key in ("name", "item", "day", "component"):
        if isinstance(entry, Mapping) and isinstance(entry.get(key), str):
            return str(entry[key])
    return f"{node.title} {number + 1}"


def _line(section: str, entry: Any) -> str:
    """What an entry that is not open says of itself."""
    if not isinstance(entry, Mapping):
        return ""
    if section == "batch":
        parts = [part for part in entry.get("ingredients") or () if isinstance(part, Mapping)]
        fresh = ", ".join(str(part["mass"]) for part in parts if "mass" in part)
        dried = entry.get("dried_mass") or entry.get("moisture") or ""
        return " → ".join(str(text) for text in (fresh, dried) if text)
    if section == "days":
        return f"{entry.get('count', '?')} days"
    if section == "label":
        return f"{len(entry.get('amounts') or ())} amounts in {entry.get('serving', 'a serving')}"
    if section == "mix":
        return f"{len(entry.get('parts') or ())} parts"
    return str(entry.get("mass") or entry.get("amount") or "")


def _group(form: _Form, model: type[BaseModel], location: Location) -> Entry:
    """The controls of a model: what is asked first, and the rest."""
    main: list[Entry] = []
    more: list[Entry] = []
    for node in nodes(model):
        if model is Label and node.key in (*LABEL_TABLES[1:], "fortified"):
            continue  # beside the amounts
        control = _control(form, node, (*location, node.key))
        (main if node.is_main else more).append(control)
    return {
        "main": main,
        "more": more,
        "more_filled": sum(control["is_filled"] for control in more),
    }


def _control(form: _Form, node: Node, location: Location) -> Entry:
    value = at(form.data, location)
    base: Entry = {
        "kind": node.kind,
        "is_filled": value is not None,
        **_said(node, location),
    }
    if node.kind == "group" and node.model is not None:
        base |= _group(form, node.model, location)
        base["faults"] = form.faults.at(location)
        return base
    if node.kind == "entries" and node.model is not None:
        base |= _rows(form, node.model, location, value)
        base["faults"] = form.faults.at(location)
        return base
    if node.kind == "table":
        base |= _table(form, node, location, value)
        base["faults"] = form.faults.at(location)
        return base
    field = node.field
    assert field is not None
    base |= {
        "type": field.kind,
        "example": field.example,
        "default": field.default,
        "choices": list(field.choices),
        "units": list(field.units),
        "names": field.names,
        "faults": form.faults.at(location),
    }
    if node.kind == "choices":
        chosen = value if isinstance(value, list) else []
        base["chosen"] = [str(one) for one in chosen]
        return base
    if node.kind == "texts":
        offered = (
            _offered(form.data, field.names) if field.names in ("kind of day", "person") else []
        )
        if offered:
            base["kind"] = "choices"
            base["choices"] = offered
            base["chosen"] = [str(one) for one in value] if isinstance(value, list) else []
            return base
        texts = value if isinstance(value, list) else []
        base["texts"] = [
            {
                "value": str(text),
                "help": "",
                "default": "",
                "path": path_text((*location, number)),
                "id": identifier((*location, number)),
                "faults": form.faults.at((*location, number)),
                "record": _record(form.table, text) if field.names == "food" else "",
            }
            for number, text in enumerate(texts)
        ]
        base["add_path"] = path_text((*location, len(texts)))
        base["add_id"] = identifier((*location, len(texts)))
        return base
    base["value"] = _shown(value)
    if field.kind == "quantity" and isinstance(value, str):
        base |= _split(value, field.units)
    if field.names == "food" and isinstance(value, str):
        base["record"] = _record(form.table, value)
    if field.names in ("item", "packed item", "kind of day", "leg", "person"):
        base["choices"] = _offered(form.data, field.names)
    if field.names == "figure":
        base["choices"] = list(FIGURE_NAMES)
    return base


def _shown(value: Any) -> str:
    if value is None:
        return ""
    if isinstance(value, bool):
        return "yes" if value else "no"
    return str(value)


def _split(value: str, units: Sequence[str]) -> Entry:
    """Number and unit apart where the unit is one that is offered; else the words as typed."""
    try:
        split_quantity(value)
    except NutricheckError:
        return {"number": value, "unit": ""}
    for unit in units:
        if value.endswith(unit) and re.fullmatch(r"[\d.,/ ]+", value[: -len(unit)].strip() or "x"):
            return {"number": value[: -len(unit)].strip(), "unit": unit}
    return {"number": value, "unit": ""}


def _rows(form: _Form, model: type[BaseModel], location: Location, value: Any) -> Entry:
    one = [value] if isinstance(value, Mapping) else []
    entries = value if isinstance(value, list) else one
    rows = []
    for number in range(len(entries)):
        place = (*location, number)
        rows.append(
            {
                **_group(form, model, place),
                "path": path_text(place),
                "id": identifier(place),
                "number": number + 1,
                "faults": form.faults.at(place),
            }
        )
    place = (*location, len(entries))
    return {
        "rows": rows,
        "add_path": path_text(place),
        "add_id": identifier(place),
        "add_first": path_text((*place, nodes(model)[0].key)),
        "blank": _group(form, model, place),
    }


def _table(form: _Form, node: Node, location: Location, value: Any) -> Entry:
    """Rows by key; a label's tables of one component stand in one row."""
    field = node.field
    assert field is not None
    keys = list(value) if isinstance(value, Mapping) else []
    is_label = location[0] == "label" and node.key == "amounts"
    base = location[:-1]
    others = [node for node in nodes(Label) if node.key in LABEL_TABLES[1:]] if is_label else []
    fortified = at(form.data, (*base, "fortified")) if is_label else ()
    fortified = fortified if isinstance(fortified, list) else []
    rows = []
    for key in keys:
        amount = _key_control(form, node, (*location, key))
        row: Entry = {
            "key": key,
            "name": NAMES.get(key, key),
            "amount": amount,
            "others": [_key_control(form, other, (*base, other.key, key)) for other in others],
            "takes_out": json.dumps(
                [
                    [[*base, table, key], None]
                    for table in (LABEL_TABLES if is_label else (node.key,))
                    if at(form.data, (*base, table, key)) is not None
                ]
                + (
                    [[[*base, "fortified", fortified.index(key)], None]] if key in fortified else []
                ),
                ensure_ascii=False,
            ),
        }
        if is_label:
            row["fortified"] = {
                "id": identifier((*base, "fortified", key)),
                "path": path_text((*base, "fortified")),
                "value": key,
                "is_on": key in fortified,
            }
        rows.append(row)
    return {
        "type": field.kind,
        "example": field.example,
        "units": list(field.units),
        "choices": list(field.choices),
        "rows": rows,
        "is_label": is_label,
        "key_names": [(tag, name) for tag, name in NAMES.items() if tag not in keys],
    }


def _key_control(form: _Form, node: Node, location: Location) -> Entry:
    field = node.field
    assert field is not None
    value = at(form.data, location)
    control: Entry = {
        "kind": "field",
        "type": field.kind,
        "title": node.title.removesuffix("s"),
        "help": node.help,
        "example": field.example,
        "default": "",
        "record": "",
        "choices": list(field.choices),
        "units": list(field.units),
        "names": field.names,
        "value": _shown(value),
        "path": path_text(location),
        "id": identifier(location),
        "is_needed": False,
        "is_filled": value is not None,
        "faults": form.faults.at(location),
    }
    if field.kind == "quantity" and isinstance(value, str):
        control |= _split(value, field.units)
    return control


def _names(data: Mapping[str, Any], places: Sequence[tuple[str, str]]) -> list[str]:
    return [
        str(entry[key])
        for section, key in places
        for entry in data.get(section) or ()
        if isinstance(entry, Mapping) and isinstance(entry.get(key), str)
    ][:_MOST_NAMES]


def _offered(data: Mapping[str, Any], names: str) -> list[str]:
    if names == "packed item":
        return list(dict.fromkeys(_names(data, (("packed", "item"),))))
    if names == "kind of day":
        return _names(data, (("days", "name"),))
    if names == "leg":
        return _names(data, (("legs", "name"),))
    if names == "person":
        person = data.get("person")
        first = person.get("name") if isinstance(person, Mapping) else None
        return [
            *([first] if isinstance(first, str) else []),
            *_names(data, (("companions", "name"),)),
        ]
    return _names(data, (("batch", "name"), ("label", "name"), ("mix", "name")))


def _record(table: FoodTable, text: Any) -> str:
    """The record that the table takes for a word, beside it."""
    if not isinstance(text, str) or not text.strip():
        return ""
    try:
        food = table.resolve(text)
    except (UnknownFoodError, NutricheckError):
        return ""
    return f"{food.description} ({food.id}), {water_words(food.water_g)}"


def water_words(water_g: float) -> str:
    """The water of a food as it is listed."""
    return "water not known" if math.isnan(water_g) else f"{water_g:.0f} % water"


def state_words(description: str) -> str:
    """The state of a food, where its description says one."""
    words = re.findall(r"\w+", description.lower())
    return next((state for state in _STATES if state in words), "as sold")


# ---------------------------------------------------------------- the answer


def answer_part(session: Session) -> Entry:
    """What stands in view beside every step."""
    partial, found = session.partial, session.answer
    needed = []
    for fault in partial.needed:
        section = str(fault.location[0]) if fault.location else ""
        if not section:
            continue
        step = step_of(section)
        named = " ".join(
            str(step).replace("_", " ") for step in fault.location[1:] if isinstance(step, str)
        )
        if len(fault.location) > 1 and isinstance(fault.location[1], int):
            continue  # told with what is left out
        needed.append({"step": step.name, "words": named or step.question})
    left_out = [
        {
            "step": step_of(str(entry.location[0])).name,
            "open": f"{entry.location[0]}.{entry.location[1]}" if len(entry.location) > 1 else "",
            "name": entry.name,
            "why": entry.why,
        }
        for entry in partial.left_out
    ]
    uneaten = _uneaten(partial.counted)
    base: Entry = {
        "needed": needed,
        "left_out": left_out,
        "uneaten": uneaten,
        "has_answer": False,
        "faults": [fault_view(fault) for fault in partial.faults if not fault.location],
    }
    if partial.result is None or found is None:
        return base
    view = answer_view(partial.result, found)
    questions = partial.result.questions
    return base | {
        "has_answer": True,
        "view": view,
        "questions": questions,
        "about": part_words(partial.result),
        "people": people_lines(partial.result),
    }


def _uneaten(data: Mapping[str, Any]) -> list[str]:
    """What is in the pack and has no portion."""
    eaten = {name.casefold() for name in _names(data, (("portions", "item"),))}
    packed = dict.fromkeys(_names(data, (("packed", "item"),)))
    return [name for name in packed if name.casefold() not in eaten]
