"""Quantities in words: ``parse("0.5 kg", "g")`` gives 500.0.

One pint registry, built on first use with a disk cache. pint works only here, at the edge; inside
the project every number is a float in the unit that its name states (``mass_g``).

Trade units that pint lacks or reads otherwise are defined here, each with its source:
``tsp``/``tbsp``/``cup`` are volumes (US measures, NIST Handbook 44 Appendix C) and become masses
only by a weighed mass per teaspoon; ``piece`` is a count.
"""

from __future__ import annotations

import functools
import math
import re
from typing import TYPE_CHECKING

from nutricheck.errors import UnitError, shorten

if TYPE_CHECKING:
    import pint

__all__ = [
    "PIECES",
    "SPOONS",
    "USUAL",
    "WRITTEN_UNITS",
    "convert",
    "days_words",
    "number_text",
    "parse",
    "registry",
    "split_amount",
    "split_quantity",
]

#: Units offered for a quantity kept in pint's unit, the usual one first.
WRITTEN_UNITS: dict[str, tuple[str, ...]] = {
    "gram": ("g", "kg", "oz", "lb"),
    "kilogram": ("kg", "lb", "g"),
    "centimeter": ("cm", "m", "in", "ft"),
    "degC": ("°C", "°F"),
    "hour": ("h", "min", "days"),
    "day": ("days", "weeks"),
    "month": ("months", "weeks", "days"),
    "meter/second": ("km/h", "m/s", "mph"),
    "meter": ("m", "km", "ft"),
    "percent": ("%",),
    "liter/hour": ("L/h", "mL/h"),
    "liter": ("L", "mL"),
    "millimole/liter": ("mmol/L",),
    "kilocalorie": ("kcal", "kJ", "MJ"),
}

#: (as written, pint's unit kept) → factor and offset of what nearly every plan is written in, so
#: that such a plan need not wait for pint to load. Each is what pint says: tests/test_units.py.
USUAL: dict[tuple[str, str], tuple[float, float]] = {
    ("g", "gram"): (1.0, 0.0),
    ("kg", "gram"): (1000.0, 0.0),
    ("kg", "kilogram"): (1.0, 0.0),
    ("cm", "centimeter"): (1.0, 0.0),
    ("m", "meter"): (1.0, 0.0),
    ("°C", "degC"): (1.0, 0.0),
    ("h", "hour"): (1.0, 0.0),
    ("days", "hour"): (24.0, 0.0),
    ("days", "day"): (1.0, 0.0),
    ("month", "month"): (1.0, 0.0),
    ("months", "month"): (1.0, 0.0),
    ("km/h", "meter/second"): (1 / 3.6, 0.0),
    ("%", "percent"): (1.0, 0.0),
    ("L", "liter"): (1.0, 0.0),
    ("L/h", "liter/hour"): (1.0, 0.0),
    ("kcal", "kilocalorie"): (1.0, 0.0),
    ("teaspoon", "teaspoon"): (1.0, 0.0),
    ("tablespoon", "teaspoon"): (3.0, 0.0),
    ("cup", "teaspoon"): (48.0, 0.0),
}

_PIECE = "piece = [piece_count]"

# Number, then unit; decimal point or comma, no thousands mark.
_NUMBER = r"(?P<number>[+-]?(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d+)?)\s*"
_QUANTITY = re.compile(_NUMBER + r"(?P<unit>[A-Za-zµμ°%][A-Za-zµμ°% /]*)?")
_AMOUNT = re.compile(_NUMBER + r"(?P<words>[^\W\d_].*|[%°].*)")
# One thousand to some readers and one to others.
_THOUSANDS = re.compile(r"[+-]?[1-9]\d{0,2},\d{3}")
_LONGEST_QUANTITY = 60
# No quantity of food, people or days is larger in any unit, and no figure overflows up to it.
_LARGEST = 1e12

#: Spoons and cups as people write them → pint's name; US measures.
SPOONS = {
    "tsp": "teaspoon",
    "teaspoon": "teaspoon",
    "teaspoons": "teaspoon",
    "tbsp": "tablespoon",
    "tablespoon": "tablespoon",
    "tablespoons": "tablespoon",
    "cup": "cup",
    "cups": "cup",
}
#: Counted things as people write them.
PIECES = frozenset({"piece", "pieces", "pcs"})

# Short for gram to some and for grain (64.8 mg) to pint: never guessed.
_AMBIGUOUS = {"gr": "g"}

# Spellings people use, in small letters → pint's. What is not here goes to pint as written.
_SPELLINGS = {
    "%": "percent",
    "°c": "degC",
    "c": "degC",
    "degc": "degC",
    "celsius": "degC",
    "°f": "degF",
    "f": "degF",
    "degf": "degF",
    "fahrenheit": "degF",
    "g": "gram",
    "kg": "kilogram",
    "mcg": "microgram",
    "ug": "microgram",
    "l": "liter",
    "l/h": "liter/hour",
    "km/h": "kilometer/hour",
    "kmh": "kilometer/hour",
    "kmph": "kilometer/hour",
    "kcal": "kilocalorie",
    "kj": "kilojoule",
    "d": "day",
    "y": "year",
    "pcs": "piece",
    "pieces": "piece",
}


@functools.cache
def registry() -> pint.UnitRegistry[float]:
    """The one pint registry, with ``piece`` counted, built on first use."""
    import pint

    units: pint.UnitRegistry[float] = pint.UnitRegistry(
        cache_folder=":auto:", autoconvert_offset_to_baseunit=True
    )
    units.define(_PIECE)
    return units


def split_quantity(text: str) -> tuple[float, str]:
    """Number and unit text of a quantity in words; the unit may be empty.

    Raises
    ------
    UnitError
        If the text is not a finite number followed by at most one unit, or a comma may be a
        thousands mark.

    Examples
    --------
    >>> split_quantity("2,5 tsp")
    (2.5, 'tsp')
    """
    match = _QUANTITY.fullmatch(text.strip()) if len(text) <= _LONGEST_QUANTITY else None
    if match is None:
        raise UnitError(f"{shorten(text)} is not a number and a unit")
    if _THOUSANDS.fullmatch(match["number"]):
        whole = match["number"].replace(",", "")
        raise UnitError(
            f"{shorten(text)} may mean {whole} or {float(match['number'].replace(',', '.')):g}; "
            "write it without the comma"
        )
    number = float(match["number"].replace(",", "."))
    if not math.isfinite(number):
        raise UnitError(f"{shorten(text)} is not a finite number")
    if abs(number) > _LARGEST:
        raise UnitError(f"{shorten(text)} is more than any quantity of a plan")
    return number, (match["unit"] or "").strip()


def split_amount(text: str) -> tuple[float, str] | None:
    """Number and the words after it, of an amount such as "0.5 cup, shredded".

    None where the text does not begin with a plain number, as "1/2 cup" or "1,000 g".

    Examples
    --------
    >>> split_amount("0,50 cup, shredded")
    (0.5, 'cup, shredded')
    """
    match = _AMOUNT.fullmatch(text.strip())
    if match is None or _THOUSANDS.fullmatch(match["number"]):
        return None
    number = float(match["number"].replace(",", "."))
    return (number, match["words"]) if math.isfinite(number) else None


def days_words(count: float) -> str:
    """A number of days in words: ``1 day``, ``21 days``."""
    return "1 day" if count == 1 else f"{count:.0f} days"


def number_text(number: float) -> str:
    """The number as people write it: 500.0 is "500", 0.1 is "0.1".

    Examples
    --------
    >>> number_text(500.0), number_text(0.1)
    ('500', '0.1')
    """
    return str(int(number)) if abs(number) < 1e15 and number == int(number) else repr(number)


def parse(text: str, unit: str) -> float:
    """The quantity in words, in ``unit``.

    Parameters
    ----------
    text : str
        Number and unit, such as ``"0.5 kg"``, ``"95 °F"``, ``"6 days"``.
    unit : str
        Unit of the result, in pint's spelling, such as ``"gram"``.

    Returns
    -------
    float
        The value in ``unit``. [unit]

    Raises
    ------
    UnitError
        If there is no unit, the unit is unknown, or it measures something else.

    Examples
    --------
    >>> parse("0.5 kg", "gram")
    500.0
    >>> round(parse("95 °F", "degC"), 1)
    35.0
    """
    number, given = split_quantity(text)
    if not given:
        raise UnitError(
            f'{shorten(text)} has no unit; write it with one, such as "{number:g} {unit}"'
        )
    return convert(number, given, unit)


def convert(number: float, given: str, unit: str) -> float:
    """``number`` of unit ``given``, in ``unit``; both in words. Raises UnitError as parse does."""
    factor, offset = USUAL.get((given, unit)) or _line(given, unit)
    return number * factor + offset


@functools.cache
def _line(given: str, unit: str) -> tuple[float, float]:
    """Factor and offset from one unit to another: every unit here is a straight line apart.

    pint is asked once per pair, since a plan says "g" a few hundred times.
    """
    import pint

    if given.lower() in _AMBIGUOUS:
        raise UnitError(f"{shorten(given)} may mean two units; write {_AMBIGUOUS[given.lower()]!r}")
    spelled = _SPELLINGS.get(given.lower(), given)
    try:
        zero, one = (registry().Quantity(x, spelled).to(unit).magnitude for x in (0.0, 1.0))
    except pint.DimensionalityError:
        wanted = WRITTEN_UNITS.get(unit, (unit,))[0]
        is_volume = registry().Quantity(1, spelled).check("[volume]")
        hint = (
            ": it is a measure of volume; weigh it, or take the grams that `nutricheck food` shows"
            " for it"
        )
        raise UnitError(
            f"{shorten(given)} does not convert to {wanted}{hint * is_volume}"
        ) from None
    except Exception:  # pint's parser raises many kinds on odd text
        raise UnitError(f"{shorten(given)} is not a unit known here") from None
    return float(one - zero), float(zero)
