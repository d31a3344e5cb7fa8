"""The legs of a trip in words and tables."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any

from nutricheck.report.parts import Report, Table, left, right
from nutricheck.report.words import amount
from nutricheck.rows import LegDay, rows_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from nutricheck.check_plan import Result
    from nutricheck.stock.legs import LegStock

__all__ = ["boxes_table", "leg_words", "legs_report", "short_legs", "short_legs_of"]


def _kg(grams: float) -> str:
    return amount(grams / 1000, 1)


def short_legs(result: Result) -> str:
    """What each leg weighs at its start and end, in one line; empty: the plan has no legs."""
    return short_legs_of(result.legs) if result.legs else ""


def short_legs_of(stocks: Mapping[str, LegStock]) -> str:
    """The same of the legs of a pack."""
    legs = [
        f"{row['leg']} {_kg(row['start_total_g'])} to {_kg(row['end_total_g'])} kg"
        for row in stocks["longest"].legs.to_dict("records")
    ]
    return f"Pack, from the start to the end of each leg: {', '.join(legs)}."


def leg_words(result: Result) -> str:
    """The legs with their days, what goes into each box, and what runs out where."""
    if not result.legs:
        return ""
    stock = result.legs["longest"]
    legs = []
    for leg in stock.legs.to_dict("records"):
        ends = stock.ends[stock.ends["leg"] == leg["leg"]]
        out = ", ".join(f"{row.item} on day {row.day}" for row in ends.itertuples())
        legs.append(
            f"{leg['leg']}, days {leg['first_day']} to {leg['last_day']}: "
            f"{_kg(leg['picked_up_g'])} kg from {leg['filled']}, "
            f"{_kg(leg['start_total_g'])} kg at the start{_limit(leg['limit_g'])}, "
            f"{_kg(leg['end_total_g'])} kg at the end" + (f"; runs out: {out}" if out else "")
        )
    return f"{'. '.join(legs)}."


def _limit(grams: float) -> str:
    """The most that a leg may begin with, where the plan sets it."""
    return "" if math.isnan(grams) else f" of at most {_kg(grams)} kg"


def boxes_table(result: Result) -> Table | None:
    """What goes into each box; None where the plan has no legs."""
    if not result.legs:
        return None
    rows: list[dict[Any, Any]] = result.legs["longest"].boxes.to_dict("records")
    keys = ("leg", "filled", "item", "container")
    return Table(
        "What goes into each box, and what is bought where",
        [*left("leg", "from", "item", "container"), *right("g")],
        [[*(str(row[key]) for key in keys), amount(row["mass_g"], 0)] for row in rows],
    )


def legs_report(result: Result) -> Report:
    """What goes into each box, and what the pack weighs on each morning."""
    boxes = boxes_table(result)
    if boxes is None:
        return
    yield boxes
    rows = [
        [str(row.day), row.leg, amount(row.food_g, 0), amount(row.total_g, 0)]
        for row in rows_of(result.legs["longest"].days, LegDay)
    ]
    columns = [*right("day"), *left("leg"), *right("food g", "all g")]
    yield Table("What is carried on each morning", columns, rows)
