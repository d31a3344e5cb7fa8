"""The form: what a plan's models hold, in the order of a person's thinking.

Nothing here names every field: the steps name sections, ``MAIN`` the fields that are asked first,
and all others of the models follow under "more". So a field that a model gains has its place.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import Any, Literal, get_args, get_origin

from pydantic import BaseModel

from nutricheck.errors import Location
from nutricheck.plan import models
from nutricheck.plan.form import Field, field_of, names_of, plain_type

__all__ = ["STEPS", "Node", "Step", "kind_at", "nodes", "section_node", "step_of"]

NodeKind = Literal["field", "choices", "texts", "table", "group", "entries"]


@dataclass(frozen=True)
class Node:
    """A part of the form: ``model`` of a group or of each entry, ``field`` of all others."""

    key: str
    kind: NodeKind
    title: str
    help: str
    is_needed: bool
    is_main: bool
    field: Field | None = None
    model: type[BaseModel] | None = None


@dataclass(frozen=True)
class Step:
    """A screen: its address, what it asks, and the sections of the plan that it fills."""

    name: str
    short: str
    question: str
    sections: tuple[str, ...]


#: Fields asked first, in their order; those of a model that is not here: what is needed.
MAIN: dict[str, tuple[str, ...]] = {
    "Trip": ("title", "cooking", "reference"),
    "Person": ("sex", "age", "mass", "height", "acclimatised", "conditions"),
    "Companion": ("name", "sex", "age", "mass", "height", "share", "carries", "acclimatised"),
    "DayType": (
        *("name", "count", "count_shortest", "moving", "pace", "pack", "climb", "descent"),
        *("surface", "air_temperature", "humidity", "drink"),
    ),
    "Batch": (
        *("name", "ingredients", "preparation", "drying", "dried_mass", "moisture", "ground"),
    ),
    "Ingredient": ("food", "mass"),
    "Preparation": ("kind", "method", "liquid", "salt"),
    "Drying": ("temperature", "time"),
    "Label": ("name", "kind", "serving", "amounts"),
    "Mix": ("name", "parts"),
    "MixPart": ("item", "food", "mass"),
    "Packed": ("item", "food", "mass"),
    "Portion": ("item", "amount", "over"),
    "Stretch": ("day", "count"),
    "Additions": ("at_home", "leave_out"),
}

#: What a section or field is called where its key is no walker's word.
TITLES: dict[tuple[str, str], str] = {
    ("Plan", "trip"): "the trip",
    ("Plan", "person"): "you",
    ("Plan", "companions"): "others who eat from the same pack",
    ("Plan", "clinic"): "figures from your clinic",
    ("Plan", "found"): "found on the way",
    ("Plan", "days"): "kinds of day",
    ("Plan", "order"): "the days in their order",
    ("Plan", "batch"): "dried foods",
    ("Plan", "label"): "foods and tablets by their label",
    ("Plan", "mix"): "stirred together",
    ("Plan", "packed"): "in the pack",
    ("Plan", "portions"): "eaten a day",
    ("Plan", "additions"): "what could be added",
    ("Trip", "cooking"): "what you heat on the way",
    ("Trip", "reference"): "advised amounts for",
    ("Person", "age"): "age in years",
    ("Person", "mass"): "body mass",
    ("Person", "acclimatised"): "used to the heat",
    ("DayType", "count"): "days on the longest trip",
    ("DayType", "count_shortest"): "days on the shortest trip",
    ("DayType", "moving"): "walking",
    ("DayType", "air_temperature"): "air in the shade",
    ("Batch", "dried_mass"): "weighed after drying",
    ("Batch", "moisture"): "or water left in it",
    ("Ingredient", "mass"): "fresh mass",
    ("Preparation", "kind"): "raw, or what you did first",
    ("Preparation", "liquid"): "cooking water or brine",
    ("Drying", "temperature"): "dryer",
    ("Drying", "time"): "for",
    ("Packed", "tsp"): "a level teaspoon weighs",
    ("Packed", "piece"): "one piece weighs",
    ("Portion", "amount"): "amount a day",
    ("Portion", "over"): "or all of it, over",
    ("Label", "serving"): "one serving weighs",
    ("Label", "amounts"): "in one serving",
}

STEPS: tuple[Step, ...] = (
    Step("want", "Question", "What do you want to know?", ("trip",)),
    Step("who", "You", "Who walks?", ("person", "companions", "clinic")),
    Step("days", "Days", "Which days?", ("days", "order")),
    Step("dried", "Dried", "What did you dry?", ("batch",)),
    Step("bought", "Bought", "What did you buy?", ("label",)),
    Step("bags", "Bags", "What goes in which bag?", ("mix", "packed")),
    Step("eat", "Eaten", "What do you eat a day?", ("portions", "found")),
    Step("add", "Could be added", "What could you add?", ("additions",)),
)
#: Sections that no step names stand with the days: what is said of the way.
_OTHERS_AT = "days"


@functools.cache
def sections_of(step: Step) -> tuple[str, ...]:
    """The sections of a step; those of the plan that no step names come with the days."""
    named = {section for step in STEPS for section in step.sections}
    others = [node.key for node in nodes(models.Plan) if node.key not in named]
    return (*step.sections, *(others if step.name == _OTHERS_AT else ()))


def step_of(section: str) -> Step:
    """The step that fills a section."""
    return next((step for step in STEPS if section in sections_of(step)), STEPS[0])


@functools.cache
def nodes(model: type[BaseModel]) -> tuple[Node, ...]:
    """The parts of a model's form, those that are asked first before the others."""
    parts = [_node(model, name) for name in model.model_fields]
    order = MAIN.get(model.__name__, ())
    place = {key: at for at, key in enumerate(order)}
    return tuple(
        sorted(parts, key=lambda node: (not node.is_main, place.get(node.key, len(place))))
    )


def section_node(section: str) -> Node:
    """The node of one of the plan's sections."""
    return next(node for node in nodes(models.Plan) if node.key == section)


def _node(model: type[BaseModel], name: str) -> Node:
    info = model.model_fields[name]
    key = info.alias or name
    kind, metadata = plain_type(info.annotation)
    metadata = metadata or info.metadata
    form: NodeKind = "field"
    inner: Any = kind
    if get_origin(kind) is tuple:
        inner, found = plain_type(get_args(kind)[0])
        metadata = found or ()
        form = "choices" if get_origin(inner) is Literal else "texts"
    elif get_origin(kind) is dict:
        inner, found = plain_type(get_args(kind)[1])
        metadata = found or ()
        form = "table"
    entry_model: type[BaseModel] | None = None
    if isinstance(inner, type) and issubclass(inner, BaseModel):
        entry_model, form = inner, "entries" if form != "field" else "group"
    main = MAIN.get(model.__name__)
    title = TITLES.get((model.__name__, key), key.replace("_", " "))
    names = names_of(model, key)
    field = None
    if entry_model is None:
        field = field_of((key,), inner, info, metadata, info.is_required(), names)
    help_text = field.help if field else _first_sentence(entry_model, info.description)
    return Node(
        key,
        form,
        title,
        help_text,
        info.is_required(),
        key in main if main is not None else info.is_required(),
        field,
        entry_model,
    )


def _first_sentence(model: type[BaseModel] | None, description: str | None) -> str:
    text = description or (model.__doc__ if model else "") or ""
    return " ".join(text.strip().split("\n\n")[0].replace("`", "").split())


def kind_at(location: Location) -> Node | None:
    """The node that a place in the plan's data belongs to; None where a plan has no such place."""
    model: type[BaseModel] | None = models.Plan
    node: Node | None = None
    for step in location:
        if isinstance(step, int):
            if node is None or node.kind not in ("entries", "texts", "choices"):
                return None
            continue
        if node is not None and node.kind == "table":
            continue
        if model is None:
            return None
        node = next((node for node in nodes(model) if node.key == step), None)
        if node is None:
            return None
        model = node.model
    return node
