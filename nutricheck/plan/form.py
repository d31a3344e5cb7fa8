"""What there is to fill in, drawn from the plan's models: sheets, their fields and the help.

The text form, the fill-in workbook and the workbook's reader all work from :data:`SHEETS`, so a
field that a model gains stands in both forms, with the same name and the same help. A field's
title is its path in words: ``drying.temperature`` of a batch is "drying temperature".
"""

from __future__ import annotations

import types
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Annotated, Any, Literal, Union, get_args, get_origin

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from nutricheck.plan import models

__all__ = [
    "CORNER",
    "EACH",
    "ENTRY",
    "HELP",
    "OWN_NOTES",
    "SHEETS",
    "UNIT",
    "YES_NO",
    "Field",
    "FormSheet",
    "Names",
    "field_of",
    "names_of",
    "plain_type",
    "rows",
]

# Titles of the sheets with fields down the side, and of columns that are not read.
CORNER = "field"
HELP = "what it means"
ENTRY = "entry"
UNIT = "unit"
OWN_NOTES = "note"

#: Step of a path that stands for each entry of a list or, in a label's amounts, each tagname.
EACH = "*"

#: Choices of a field that may be left unsaid.
YES_NO = ("yes", "no")

Kind = Literal["text", "number", "yes/no", "choice", "quantity", "date"]
#: What a text field names; the workbook offers these names in its drop-downs.
Names = Literal[
    "",
    "food",
    "item",
    "packed item",
    "kind of day",
    "batch",
    "label",
    "component",
    "compound",
    "figure",
    "ferment",
    "leg",
    "person",
]


@dataclass(frozen=True)
class Field:
    """One thing to fill in; ``path`` leads to it from its entry, in the text form's keys."""

    path: tuple[str, ...]
    title: str
    kind: Kind
    help: str = ""
    is_needed: bool = False
    example: str = ""
    default: str = ""
    choices: tuple[str, ...] = ()
    units: tuple[str, ...] = ()
    names: Names = ""

    @property
    def is_repeated(self) -> bool:
        """Whether one entry may hold several, each under the same title."""
        return EACH in self.path


@dataclass(frozen=True)
class FormSheet:
    """One sheet of the workbook and the section of the text form that it fills.

    A sheet that goes ``down`` has its fields down the side and an entry in each column; the others
    have an entry in each row. The rows of a sheet with ``under`` make the list of that path inside
    the section's entries; ``link`` is the name of the entry that a row belongs to. ``older`` are
    fields of older workbooks: still read, no longer offered.
    """

    name: str
    section: str
    help: str
    fields: tuple[Field, ...]
    is_needed: bool = False
    goes_down: bool = False
    is_single: bool = False
    under: tuple[str, ...] = ()
    link: Field | None = None
    older: tuple[Field, ...] = ()


# ---------------------------------------------------------------- fields of a model

#: Text fields that name something else: (model, key) → what.
_NAMES: dict[tuple[str, str], Names] = {
    ("ClinicFigure", "component"): "figure",
    ("Ingredient", "food"): "food",
    ("MixPart", "item"): "item",
    ("MixPart", "food"): "food",
    ("Packed", "item"): "item",
    ("Packed", "food"): "food",
    ("Packed", "leg"): "leg",
    ("Found", "food"): "food",
    ("Found", "days"): "kind of day",
    ("Found", "leg"): "leg",
    ("FermentPart", "item"): "packed item",
    ("Portion", "item"): "packed item",
    ("Portion", "days"): "kind of day",
    ("Portion", "who"): "person",
    ("ClinicFigure", "who"): "person",
    ("Stretch", "day"): "kind of day",
    ("Additions", "at_home"): "food",
}


def _fields(
    model: type[BaseModel],
    elsewhere: tuple[str, ...] = (),
    path: tuple[str, ...] = (),
    is_optional: bool = False,
) -> Iterator[Field]:
    """The model's fields and those of models inside it; ``elsewhere`` stand on other sheets."""
    for name, info in model.model_fields.items():
        key = info.alias or name
        here = (*path, key)
        if ".".join(here) in elsewhere:
            continue
        kind, metadata = plain_type(info.annotation)
        metadata = metadata or info.metadata
        if get_origin(kind) is tuple:
            here = (*here, EACH)
            kind, metadata = plain_type(get_args(kind)[0])
        needed = info.is_required() and not is_optional and EACH not in here
        if isinstance(kind, type) and issubclass(kind, BaseModel):
            yield from _fields(kind, elsewhere, here, is_optional=not needed)
        else:
            yield field_of(here, kind, info, metadata, needed, names_of(model, key))


def field_of(
    path: tuple[str, ...],
    kind: Any,
    info: FieldInfo,
    metadata: Sequence[Any],
    is_needed: bool = False,
    names: Names = "",
) -> Field:
    """The field at ``path`` of ``kind``; ``info`` describes it and ``metadata`` its type."""
    written = next((m for m in metadata if isinstance(m, models.Quantity | models.Amount)), None)
    example: Any = info.examples[0] if info.examples else written.example if written else ""
    if isinstance(example, list):
        example = example[0]
    elif isinstance(example, dict):
        example = next(iter(example.values()))
    meaning, _, left_out = (info.description or "").partition("; left out: ")
    field = Field(
        path,
        title=" ".join(step.replace("_", " ") for step in path if step != EACH),
        kind="text",
        help=meaning,
        default=left_out,
        is_needed=is_needed,
        example=str(example),
        names=names,
    )
    if written:
        return replace(field, kind="quantity", units=written.units)
    if any(isinstance(m, models.Date) for m in metadata):
        return replace(field, kind="date")
    if kind is bool:
        if info.default is None:  # not said is an answer too
            return replace(field, kind="choice", choices=YES_NO)
        return replace(field, kind="yes/no", default="yes" if info.default is True else "no")
    if kind in (int, float):
        return replace(field, kind="number")
    if get_origin(kind) is Literal:
        default = info.default if isinstance(info.default, str) else ""
        return replace(field, kind="choice", choices=get_args(kind), default=default)
    return field


def names_of(model: type[BaseModel], key: str) -> Names:
    """What the text of a field names; "" where it names nothing."""
    return _NAMES.get((model.__name__, key), "")


def plain_type(kind: Any) -> tuple[Any, Sequence[Any]]:
    """The type without ``None`` and ``Annotated``, and the metadata that came with it."""
    if get_origin(kind) in {Union, types.UnionType}:
        kind = next(part for part in get_args(kind) if part is not types.NoneType)
    if get_origin(kind) is Annotated:
        kind, *metadata = get_args(kind)
        return kind, metadata
    return kind, ()


# ---------------------------------------------------------------- the sheets


def _in_words(model: type[BaseModel]) -> str:
    first = (model.__doc__ or "").strip().split("\n\n")[0]
    return " ".join(first.replace("`", "").split())


def _link(section: Names, help_text: str, example: str = "") -> Field:
    return Field(("name",), section, "text", help_text, True, example, names=section)


def _sheet(
    name: str,
    model: type[BaseModel],
    section: str = "",
    help: str = "",
    elsewhere: tuple[str, ...] = (),
    **shape: Any,
) -> FormSheet:
    """A sheet of a model's fields, in the model's words; its section has the sheet's name."""
    fields = tuple(_fields(model, elsewhere=elsewhere))
    return FormSheet(name, section or name, help or _in_words(model), fields, **shape)


def _down(name: str, model: type[BaseModel], **shape: Any) -> FormSheet:
    """A sheet with its fields down the side, of a section that stands once."""
    return _sheet(name, model, **{"goes_down": True, "is_single": True} | shape)


def _label_amounts() -> tuple[Field, ...]:
    """A row for each component of a label, gathered from the label's tables by tagname."""
    described = models.Label.model_fields
    fields = []
    for key in models.LABEL_TABLES:
        info = described[key]
        kind, metadata = plain_type(get_args(info.annotation)[1])
        names: Names = "compound" if key == "compounds" else ""
        field = field_of((key, EACH), kind, info, metadata, key == "amounts", names)
        fields.append(replace(field, title=key.removesuffix("s")))
    fortified = described["fortified"].description or ""
    return (
        Field(
            (EACH,),
            "component",
            "text",
            "choose it from the list, or write its short name",
            is_needed=True,
            example="MG",
            names="component",
        ),
        *fields,
        Field(("fortified", EACH), "fortified", "yes/no", fortified, default="no"),
    )


_OF_BATCH = _link("batch", "name of a dried batch", "spinach, raw")
_OF_MIX = replace(next(_fields(models.Mix)), title="mix")

#: All sheets, in the order of filling in.
SHEETS: tuple[FormSheet, ...] = (
    _down("trip", models.Trip),
    _down(
        "person",
        models.Person,
        is_needed=True,
        older=(Field(("vegetarian",), "vegetarian", "yes/no"),),
    ),
    replace(
        _down(
            "companions",
            models.Companion,
            help="Others who walk the same days and eat from the same pack.",
            is_single=False,
        ),
        fields=tuple(sorted(_fields(models.Companion), key=lambda field: field.path != ("name",))),
    ),
    _sheet("clinic", models.ClinicFigure),
    _down("days", models.DayType, elsewhere=("dry",), is_single=False, is_needed=True),
    _sheet(
        "dry stretches",
        models.DryStretch,
        "days",
        under=("dry",),
        link=_link("kind of day", "name of a kind of day", "survey walk"),
    ),
    _sheet("order", models.Stretch),
    _sheet("legs", models.Leg),
    _sheet("dried batches", models.Batch, "batch", elsewhere=("ingredients", "drying.steps")),
    _sheet(
        "ingredients",
        models.Ingredient,
        "batch",
        "What you put into each dried batch.",
        under=("ingredients",),
        link=_OF_BATCH,
    ),
    _sheet(
        "drying steps",
        models.DryingStep,
        "batch",
        under=("drying", "steps"),
        link=replace(_OF_BATCH, example="red pepper, raw"),
    ),
    _sheet(
        "labels",
        models.Label,
        "label",
        elsewhere=("amounts", "compounds", "states", "forms", "fortified"),
    ),
    FormSheet(
        "label amounts",
        "label",
        "What the label says, one nutrient in each row.",
        _label_amounts(),
        under=("amounts",),
        link=_link("label", "name of a label", "magnesium capsule"),
    ),
    _sheet("mixes", models.MixPart, "mix", _in_words(models.Mix), under=("parts",), link=_OF_MIX),
    _sheet(
        "mix storage",
        models.Storage,
        "mix",
        "How you keep a mix before the trip, from the day you stirred it together.",
        under=("storage",),
        link=_OF_MIX,
    ),
    _sheet("ferments", models.Ferment, "ferment", elsewhere=("parts",)),
    _sheet(
        "ferment parts",
        models.FermentPart,
        "ferment",
        "What goes into each drink that you make on the way, out of the pack.",
        under=("parts",),
        link=_link("ferment", "name of a drink made on the way", "evening sugar ferment"),
    ),
    _sheet("packed", models.Packed, is_needed=True),
    _sheet("carried", models.Carried),
    _sheet("found", models.Found),
    _sheet("portions", models.Portion, is_needed=True),
    _down(
        "additions",
        models.Additions,
        older=(Field(("pantry", EACH), "pantry", "text", names="food"),),
    ),
)


# ---------------------------------------------------------------- rows of a plan


def rows(sheet: FormSheet, data: Mapping[str, Any]) -> list[dict[Field, list[Any]]]:
    """The plan's entries for the sheet: for each, its fields with the values they hold.

    ``data`` is a plan as its text form has it, without faults. A field holds no value, one, or,
    where it is repeated, several; a gap inside a repeated group is None.
    """
    section = data.get(sheet.section, {} if sheet.is_single else [])
    entries = [section] if sheet.is_single else section
    if sheet.link is None:
        return [{field: _values(entry, field.path) for field in sheet.fields} for entry in entries]
    part_rows = []
    for entry in entries:
        for part in _parts(sheet, entry):
            values = {field: _values(part, field.path) for field in sheet.fields}
            part_rows.append({sheet.link: [entry["name"]], **values})
    return part_rows


def _parts(sheet: FormSheet, entry: Mapping[str, Any]) -> list[Any]:
    if sheet.under != ("amounts",):
        return _values(entry, (*sheet.under, EACH))
    return [
        {
            EACH: tag,
            **{key: [entry[key][tag]] for key in models.LABEL_TABLES if tag in entry.get(key, {})},
            **({"fortified": [True]} if tag in entry.get("fortified", ()) else {}),
        }
        for tag in entry.get("amounts", {})
    ]


def _values(entry: Any, path: tuple[str, ...]) -> list[Any]:
    if not path:
        return [entry]
    step, rest = path[0], path[1:]
    if step == EACH and isinstance(entry, Mapping) and EACH not in entry:
        entry = [entry]  # the one entry of a list, written without it
    if step == EACH and isinstance(entry, list | tuple):
        return [value for part in entry for value in _values(part, rest) or [None]]
    return _values(entry[step], rest) if step in entry else []
