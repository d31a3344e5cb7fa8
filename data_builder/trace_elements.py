"""Foods of another country's table in long form: food_id, name, group, tag, unit, value, flag.

So cut are Public Health England's CoFID 2021 (iodine, biotin, chloride, selenium) and DTU's Frida
(with chromium, molybdenum and fluoride), each with water, protein and fat. An empty value is below
a limit or not given; it is unknown, not zero.
"""

from __future__ import annotations

import csv
import hashlib
import math
from dataclasses import dataclass, field
from pathlib import Path

from nutricheck.errors import SourceError, shorten

__all__ = ["ForeignFood", "check_sha256", "read_foreign"]

_HEADER = ["food_id", "name", "group", "tag", "unit", "value", "flag"]
_UNITS = {
    **dict.fromkeys(("WATER", "PROCNT", "FAT"), "g"),
    **dict.fromkeys(("CLD", "NA"), "mg"),
    **dict.fromkeys(("ID", "BIOT", "SE", "CR", "MO", "FD"), "ug"),
}


@dataclass(frozen=True)
class ForeignFood:
    """A food of another table; amounts by tag, per 100 g edible portion."""

    food_id: str
    name: str
    group: str
    amounts: dict[str, float] = field(default_factory=dict)

    @property
    def dry_g(self) -> float:
        """Dry matter; NaN where the water is unknown. [g per 100 g]"""
        return 100 - self.amounts.get("WATER", math.nan)


def read_foreign(path: Path) -> dict[str, ForeignFood]:
    """The foods by their id.

    Raises
    ------
    SourceError
        Names file and line of what does not fit.
    """
    try:
        with path.open(encoding="utf-8", newline="") as file:
            rows = list(csv.reader(file))
    except (OSError, UnicodeDecodeError, csv.Error) as error:
        raise SourceError(f"{path}: cannot be read ({error})") from None
    if not rows or rows[0] != _HEADER:
        raise SourceError(f"{path}:1: expected the columns {', '.join(_HEADER)}")
    foods: dict[str, ForeignFood] = {}
    for line, row in enumerate(rows[1:], start=2):
        if len(row) != len(_HEADER):
            raise SourceError(f"{path}:{line}: {len(row)} cells, expected {len(_HEADER)}")
        food_id, name, group, tag, unit, text, _ = row
        if _UNITS.get(tag) != unit:
            raise SourceError(
                f"{path}:{line}: {shorten(tag)} in {shorten(unit)}; expected one of "
                + ", ".join(f"{component} in {of}" for component, of in _UNITS.items())
            )
        food = foods.setdefault(food_id, ForeignFood(food_id, name, group))
        if tag in food.amounts:
            raise SourceError(f"{path}:{line}: {tag} of {shorten(food_id)} stands there already")
        if text:
            food.amounts[tag] = _number(text, f"{path}:{line}")
    return foods


def _number(text: str, place: str) -> float:
    try:
        number = float(text)
    except ValueError:
        number = math.nan
    if not 0 <= number < math.inf:
        raise SourceError(f"{place}: value is {shorten(text)}, expected a number of at least 0")
    return number


def check_sha256(path: Path, expected: str) -> None:
    """Refuse a file that is not the one whose figures we reviewed.

    Raises
    ------
    SourceError
        If it cannot be read or differs by a byte.
    """
    try:
        found = hashlib.sha256(path.read_bytes()).hexdigest()
    except OSError as error:
        raise SourceError(f"{path}: cannot be read ({error.strerror})") from None
    if found != expected:
        raise SourceError(
            f"{path}: SHA-256 is {found}, expected {expected}; the pairs of foods were reviewed "
            "for that file alone"
        )
