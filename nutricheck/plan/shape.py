"""Whether data have a plan's shape: a table, or a list of tables, where a plan has one.

What reads a plan's data field by field while it is made, as the window does, may rest on that.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, get_args, get_origin

from pydantic import BaseModel

from nutricheck.errors import Fault, Location, PlanError, shorten
from nutricheck.plan.form import plain_type
from nutricheck.plan.models import Plan

__all__ = ["shaped"]


def shaped(data: dict[str, Any], source: str) -> dict[str, Any]:
    """The data; raises PlanError with each place that has another shape.

    Examples
    --------
    >>> shaped({"days": [{"name": "walk"}]}, "plan")
    {'days': [{'name': 'walk'}]}
    >>> shaped({"days": 5}, "plan")
    Traceback (most recent call last):
        ...
    nutricheck.errors.PlanError: plan: 1 thing to put right
      days: found 5; expected a list of tables, such as [[days]]
    """
    if faults := list(_faults(data, Plan, ())):
        raise PlanError(source, faults)
    return data


def _faults(table: Mapping[str, Any], model: type[BaseModel], at: Location) -> Iterator[Fault]:
    for name, field in model.model_fields.items():
        key = field.alias or name
        if key not in table:
            continue
        place, found = (*at, key), table[key]
        inner, is_list = _tables(field.annotation)
        if is_list and isinstance(found, list):
            for number, entry in enumerate(found):
                yield from _of_table(entry, inner, (*place, number), "a table")
        elif is_list and not (at and isinstance(found, Mapping)):  # one inside may stand alone
            yield from _of_table(found, None, place, f"a list of tables, such as [[{key}]]")
        elif inner is not None:
            yield from _of_table(found, inner, place, f"a table, such as [{key}]")


def _of_table(
    found: Any, model: type[BaseModel] | None, place: Location, expected: str
) -> Iterator[Fault]:
    if model is None or not isinstance(found, Mapping):
        shown = "".join(f"[{step + 1}]" if isinstance(step, int) else f" {step}" for step in place)
        yield Fault(shown.strip(), f"found {shorten(found)}; expected {expected}", place)
    else:
        yield from _faults(found, model, place)


def _tables(annotation: Any) -> tuple[type[BaseModel] | None, bool]:
    """The model that a field holds, and whether it holds a list of them."""
    kind = plain_type(annotation)[0]
    is_list = get_origin(kind) is tuple
    if is_list:
        kind = plain_type(get_args(kind)[0])[0]
    is_model = isinstance(kind, type) and issubclass(kind, BaseModel)
    return (kind if is_model else None), is_list and is_model
