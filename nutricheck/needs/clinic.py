"""Figures that a person's own doctor or dietitian set: they stand in the place of every reference.

An **aim** takes the place of the target, and of a published upper level that it passes. A **limit**
takes the place of the upper levels; a target above it is dropped, since to reach it would pass the
limit. Each figure is marked with who set it and when.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from nutricheck.errors import Fault, NutricheckError, PlanError
from nutricheck.facts.components import BY_TAG, FIGURE_NAMES, FLUID
from nutricheck.labels.amounts import stated_amount
from nutricheck.needs.reference import NO_FIGURE, Reference
from nutricheck.plan.conditions import Condition, condition_name, unjudged_components
from nutricheck.plan.models import ClinicFigure
from nutricheck.rules.status import ASK_DOCTOR
from nutricheck.units import number_text, parse

__all__ = ["CLINIC", "AimAndLimit", "clinic_figures", "left_to_clinic", "with_figures"]

#: The kind of a target or upper level that a clinic set.
CLINIC = "clinic"
#: Roles that an aim takes the place of.
_AIMED = ("target", "requirement", "base", "guide")


@dataclass(frozen=True)
class AimAndLimit:
    """An aim and a limit for one component, or for fluid; NaN where there is none.

    Amounts are in the component's unit, of fluid in litres. [per day]
    """

    component: str
    aim: float
    limit: float
    source: str


def clinic_figures(clinic: Sequence[ClinicFigure]) -> dict[str, AimAndLimit]:
    """The figures of a plan in the components' units, by component; salt's are sodium's.

    Raises
    ------
    PlanError
        With every amount that cannot be read, and every aim above its limit.
    """
    faults: list[Fault] = []
    found = {}
    for number, entry in enumerate(clinic):
        place = f"clinic[{number + 1}] ({FIGURE_NAMES[entry.component]!r})"
        amounts = {"aim": math.nan, "limit": math.nan}
        for key, text in (("aim", entry.aim), ("limit", entry.limit)):
            try:
                amounts[key] = math.nan if text is None else _amount(entry.component, text)
            except NutricheckError as error:
                faults.append(Fault(f"{place} {key}", str(error), ("clinic", number, key)))
        if amounts["aim"] > amounts["limit"]:
            text = f"the aim of {entry.aim} is above the limit of {entry.limit}; were they swapped?"
            faults.append(Fault(f"{place} aim", text, ("clinic", number, "aim")))
        tag = "NA" if entry.component == "NACL" else entry.component
        who = f"set by {entry.set_by}, {entry.set_on}"
        found[tag] = AimAndLimit(tag, amounts["aim"], amounts["limit"], who)
    if faults:
        raise PlanError("plan", faults)
    return found


def _amount(component: str, text: str) -> float:
    """An amount in the component's unit. [component unit, or L]"""
    if component != FLUID:
        return stated_amount(component, text)
    litres = parse(text, "liter")
    if litres < 0:
        raise NutricheckError(f"{text!r} is negative")
    return litres


def with_figures(rows: Sequence[Reference], figures: Mapping[str, AimAndLimit]) -> list[Reference]:
    """The day's reference values with the clinic's figures in their places.

    What they take the place of is told in the note. Chloride comes with salt and has no target
    beside a figure for sodium. Fluid is no reference value: it is left to
    :mod:`nutricheck.needs.water`.
    """
    follows = {"CLD"} if "NA" in figures else set()
    day_rows = [row for row in rows if row.component not in {*figures, *follows}]
    for tag, figure in figures.items():
        if tag != FLUID:
            day_rows += _of_component(tag, figure, [row for row in rows if row.component == tag])
    return day_rows


def left_to_clinic(
    rows: Sequence[Reference], conditions: Sequence[Condition], figures: Mapping[str, AimAndLimit]
) -> list[Reference]:
    """The day's reference values without those that do not hold with the person's conditions.

    The published target stays beside them as ``base``; a row says that there is no figure. Upper
    levels stay. What the clinic set stays too.

    References
    ----------
    .. [1] Potassium: NASEM 2019. Magnesium: IOM 1997. Phosphorus and protein: KDOQI 2020. Iron:
       EASL 2022. From memory, but for the abstract of EASL 2022.
    """
    tags = unjudged_components(conditions) - set(figures)
    if not tags:
        return list(rows)
    names = " and ".join(
        condition_name(condition)
        for condition in conditions
        if unjudged_components((condition,)) & tags
    )
    kept: list[Reference] = []
    for row in rows:
        if row.component not in tags or row.role == "upper":
            kept.append(row)
        elif row.role == "target":
            if row.is_published:
                kept.append(replace(row, role="base"))
            note = f"no figure with {names}: {ASK_DOCTOR}"
            kept.append(_no_figure(row, note))
        elif row.role == "base":
            kept.append(row)
    return kept


def _no_figure(row: Reference, note: str) -> Reference:
    return replace(
        row,
        role=NO_FIGURE,
        kind=ASK_DOCTOR,
        basis="all sources",
        low=math.nan,
        likely=math.nan,
        high=math.nan,
        is_published=False,
        note=note,
        sd=math.nan,
    )


def _of_component(tag: str, figure: AimAndLimit, rows: Sequence[Reference]) -> list[Reference]:
    has_aim, has_limit = not math.isnan(figure.aim), not math.isnan(figure.limit)
    kept = []
    for row in rows:
        is_passed = row.role == "upper" and figure.aim > row.likely
        is_above = row.role in _AIMED and figure.limit < row.likely
        if row.role.startswith("range") or (row.role == "upper" and (has_limit or is_passed)):
            continue
        if row.role in _AIMED and (has_aim or is_above):
            continue
        kept.append(row)
    if not any(row.role == "target" for row in kept):
        # a requirement or a guide without its target judges nothing
        kept = [row for row in kept if row.role not in _AIMED]
    if has_aim:
        kept.append(_row(tag, "target", figure.aim, figure, _instead(rows, "target")))
    if has_limit:
        kept.append(_row(tag, "upper", figure.limit, figure, _instead(rows, "upper")))
    return kept


def _row(tag: str, role: str, value: float, figure: AimAndLimit, note: str) -> Reference:
    return Reference(
        tag,
        role,
        CLINIC,
        "all sources",
        value,
        value,
        value,
        BY_TAG[tag].unit,
        False,
        figure.source,
        "; ".join(part for part in (figure.source, note) if part),
    )


def _instead(rows: Sequence[Reference], role: str) -> str:
    """What the figure takes the place of."""
    found = next((row for row in rows if row.role == role), None)
    if found is None:
        return ""
    value = number_text(float(f"{found.likely:.4g}"))
    return f"in place of the {found.kind} of {value} {found.unit}"
