"""Writing a plan: the text form and the fill-in workbook, with help beside what is filled in.

Both are written from a dictionary shaped like the text form, with quantities as they were given,
so that a plan goes from one form to the other without loss.
"""

from __future__ import annotations

import json
import textwrap
import tomllib
from collections.abc import Iterator, Mapping
from datetime import date
from importlib import resources
from pathlib import Path
from typing import Any

from nutricheck.atomic import write_whole
from nutricheck.errors import NutricheckError
from nutricheck.facts.components import NAMES
from nutricheck.plan.form import EACH, SHEETS, Field, FormSheet
from nutricheck.plan.read import read_data

__all__ = ["example", "plan_text", "write_data", "write_plan"]

_WIDTH = 100
_HELP_INDENT = 30


def write_plan(
    path: str | Path, source: str | Path | None = None, *, overwrite: bool = False
) -> None:
    """Write a plan to fill in: a text form (.toml) or a workbook (.xlsx), by the file's ending.

    Parameters
    ----------
    path : str or Path
        The file to write; it appears whole or not at all.
    source : str or Path, optional
        A plan of either form to convert; left out: the example.
    overwrite : bool
        Whether a file that is there already may be replaced.

    Raises
    ------
    NutricheckError
        If the ending is another, the file is there already or cannot be written.
    PlanError
        With the faults of ``source``.
    """
    if Path(path).exists() and not overwrite:
        raise NutricheckError(
            f"{path}: there is such a file already. Choose another name, or write "
            "over it with --force"
        )
    write_data(path, example() if source is None else read_data(source), overwrite=overwrite)


def write_data(path: str | Path, data: Mapping[str, Any], *, overwrite: bool = False) -> None:
    """Write a plan that is a dictionary shaped like the text form; else as :func:`write_plan`."""
    path = Path(path)
    ending = path.suffix.lower()
    if ending not in {".toml", ".xlsx"}:
        raise NutricheckError(f"{path}: the name must end in .toml or .xlsx")
    if path.exists() and not overwrite:
        raise NutricheckError(f"{path}: there is such a file already. Choose another name")
    if ending == ".toml":
        write_whole(path, plan_text(data))
    else:
        from nutricheck.plan.fill_in import plan_workbook

        write_whole(path, plan_workbook(dict(data)))


def example() -> dict[str, Any]:
    """The example that a new form is filled in with."""
    text = resources.files("nutricheck.plan").joinpath("example.toml").read_text("utf-8")
    return tomllib.loads(text)


# ---------------------------------------------------------------- the text form

_HEAD = """\
A plan for nutricheck: who walks, what the days are like, what you dried, packed and eat.

The tool skips lines that begin with #. Write quantities with their unit, in quotes: "2.6 kg".
Leave out what you do not know: it counts as not known, never as zero.
Write foods as the food table names them. To find one: nutricheck food "sweet potato raw"
"""


def plan_text(data: Mapping[str, Any]) -> str:
    """The plan as TOML, with help on each section.

    Parameters
    ----------
    data : mapping
        A plan as its text form has it, without faults.
    """
    lines = [f"# {line}".rstrip() for line in _HEAD.splitlines()]
    for section in dict.fromkeys(sheet.section for sheet in SHEETS):
        sheets = [sheet for sheet in SHEETS if sheet.section == section]
        lines += ["", *_help_lines(sheets)]
        entries = data.get(section, [])
        if sheets[0].is_single:
            entries = [entries] if entries else []
        for entry in entries:
            header = f"[{section}]" if sheets[0].is_single else f"[[{section}]]"
            lines += ["", header, *_table_lines(section, entry)]
    return "\n".join(lines) + "\n"


def _help_lines(sheets: list[FormSheet]) -> Iterator[str]:
    """A section's title, what it is for, and each of its fields in words."""
    head = sheets[0]
    key = f"[{head.section}]" if head.is_single else f"[[{head.section}]]"
    yield f"# {head.name} {key} ".ljust(_WIDTH, "-")
    yield from _commented(head.help)
    for sheet in sheets:
        name = "  " + ".".join(sheet.under)
        if sheet.under == ("amounts",):
            yield from _label_help(sheet)
            continue
        if sheet.link and sheet is head:
            yield from _commented(_field_help(sheet.link), "  name")
            yield from _commented("needed: a list; write for each part", name)
        elif sheet.link:
            yield from _commented(sheet.help, name)
        for field in sheet.fields:
            step = ".".join(step for step in field.path if step != EACH)
            text = _field_help(field, is_list=field.path[-1] == EACH)
            yield from _commented(text, ("    " if sheet.link else "  ") + step)


def _label_help(sheet: FormSheet) -> Iterator[str]:
    for field in sheet.fields[1:]:
        listed = field.kind == "yes/no"
        text = f"{field.help}; a list of short names" if listed else _field_help(field)
        yield from _commented(
            text if listed else f"for each short name: {text}", f"  {field.path[0]}"
        )
    names = "; ".join(f"{tag} {name}" for tag, name in NAMES.items())
    yield from _commented(names, "  short names")


def _commented(text: str, name: str = "") -> Iterator[str]:
    """The text as comment lines, beside ``name`` where there is one."""
    indent = _HELP_INDENT if name else 0
    for number, line in enumerate(textwrap.wrap(text, _WIDTH - 2 - indent)):
        yield f"# {'' if number else name:{indent}}{line}" if indent else f"# {line}"


def _field_help(field: Field, *, is_list: bool = False) -> str:
    """What the field means, what it can be, an example and what leaving it out means."""
    text = f"needed: {field.help}" if field.is_needed else field.help
    if field.kind == "choice":
        text += f"; {'a list of' if is_list else 'one of'} {', '.join(field.choices)}"
    elif field.kind == "yes/no":
        text += "; true or false"
    elif field.example:
        example = _inline([field.example] if is_list else field.example)
        text += f", such as {field.example if field.kind == 'number' else example}"
    if field.default and field.default != "no":
        text += f"; if left out: {'true' if field.default == 'yes' else field.default}"
    return text


def _table_lines(name: str, table: Mapping[str, Any]) -> Iterator[str]:
    """The table's keys; what is too long for its line comes after the others."""
    longer = {}
    for key, value in table.items():
        line = f"{key} = {_inline(value)}"
        if isinstance(value, Mapping) and len(line) > _WIDTH:
            longer[key] = value
        elif isinstance(value, list) and (len(line) > _WIDTH or line.count("{") > 1):
            yield f"{key} = ["
            yield from (f"    {_inline(part)}," for part in value)
            yield "]"
        else:
            yield line
    for key, value in longer.items():
        yield from ("", f"[{name}.{key}]", *_table_lines(f"{name}.{key}", value))


def _inline(value: Any) -> str:
    """The value in TOML, on one line."""
    if isinstance(value, Mapping):
        return "{ " + ", ".join(f"{k} = {_inline(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_inline(part) for part in value) + "]"
    if isinstance(value, date):
        return value.isoformat()
    # strings, numbers and truth values are written as in JSON
    return json.dumps(value, ensure_ascii=False)
