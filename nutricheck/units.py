"""Quantities in words: ``parse("0.5 kg", "gram")`` gives 500.0.

What people may write stands in two evidence tables: ``units`` (each unit, its factor and source)
and ``unit_words`` (how it is spelled; words that hold no mass or may mean two things, with the way
out). Everything else is an error that names the nearest. pint converts, over a registry of these
units alone, so that no word finds a meaning in pint's own list; it works only here, at the edge:
inside the project every number is a float in the unit that its name states (``mass_g``).

Spoons and cups are level measures that become masses by a weighed teaspoon; pieces are counts.
"""

from __future__ import annotations

import functools
import math
import re
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.errors import UnitError, shorten
from nutricheck.facts import evidence

if TYPE_CHECKING:
    import pint

__all__ = [
    "USUAL",
    "WRITTEN_UNITS",
    "Written",
    "alike",
    "as_written",
    "convert",
    "days_words",
    "grams_text",
    "hint",
    "in_words",
    "measures",
    "number_text",
    "parse",
    "registry",
    "split_amount",
    "split_quantity",
    "symbol",
]

#: Units offered for a quantity kept in a unit of the table ``units``, the usual one first.
WRITTEN_UNITS: dict[str, tuple[str, ...]] = {
    "gram": ("g", "kg", "oz", "lb"),
    "kilogram": ("kg", "lb", "g"),
    "centimeter": ("cm", "m", "in", "ft"),
    "degC": ("°C", "°F"),
    "hour": ("h", "min", "days"),
    "day": ("days", "weeks"),
    "month": ("months", "weeks", "days"),
    "meter_per_second": ("km/h", "m/s", "mph"),
    "meter": ("m", "km", "ft"),
    "percent": ("%",),
    "liter_per_hour": ("L/h", "mL/h"),
    "liter": ("L", "mL"),
    "millimole_per_liter": ("mmol/L",),
    "kilocalorie": ("kcal", "kJ", "MJ"),
}

#: (unit written, unit kept) → factor and offset of what nearly every plan is written in, so that
#: such a plan need not wait for pint to load. Each is what pint says: tests/test_units.py.
USUAL: dict[tuple[str, str], tuple[float, float]] = {
    ("kilogram", "gram"): (1000.0, 0.0),
    ("milligram", "gram"): (0.001, 0.0),
    ("microgram", "gram"): (1e-6, 0.0),
    ("ounce", "gram"): (28.349523125, 0.0),
    ("pound", "gram"): (453.59237, 0.0),
    ("pound", "kilogram"): (0.45359237, 0.0),
    ("foot", "meter"): (0.3048, 0.0),
    ("inch", "centimeter"): (2.54, 0.0),
    ("degF", "degC"): (1 / 1.8, -32 / 1.8),
    ("minute", "hour"): (1 / 60, 0.0),
    ("day", "hour"): (24.0, 0.0),
    ("kilometer_per_hour", "meter_per_second"): (1 / 3.6, 0.0),
    ("mile_per_hour", "meter_per_second"): (0.44704, 0.0),
    ("milliliter", "liter"): (0.001, 0.0),
    ("tablespoon", "teaspoon"): (3.0, 0.0),
    ("cup", "teaspoon"): (48.0, 0.0),
}

_FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
_FRACTION = re.compile("|".join(_FRACTIONS))
# 500, 2.5, 2,5, .5, 1e3, 1/2, 1 1/2; a typesetter's minus is one too.
_NUMBER = (
    r"[+\-−]?(?:(?:\d+\s+)?\d+\s*/\s*\d+|(?:\d+(?:[.,]\d+)?|[.,]\d+)(?:[eE][+-]?\d+)?(?![\d/]))"
)
_UNIT = r"""(?:[^\W\d_]|[°º℃℉%])(?:[^\W\d_]|[°º%/. ])*|['"′″’]"""
_QUANTITY = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})?")
# 5 ft 6 in, 5'6", 9 st 7 lb, 2 lb 3 oz, 7 h 30 min
_PAIR = re.compile(
    rf"(?P<number>{_NUMBER})\s*(?P<unit>{_UNIT})\s*(?P<number_2>{_NUMBER})\s*(?P<unit_2>{_UNIT})?"
)
_PAIRED = frozenset({"mass", "length", "time"})
_AMOUNT = re.compile(rf"(?P<number>{_NUMBER})\s*(?P<words>[^\W\d_].*|[%°].*)")
# One thousand to some readers and one to others: point and comma may each be either.
_THOUSANDS = re.compile(r"[+\-−]?(?P<head>[1-9]\d{0,2})[.,](?P<tail>\d{3})")
_GROUPED = re.compile(r"[+\-−]?\d{1,3}(?:[ .,'’\u00a0\u2009\u202f]\d{3})+(?!\d)")
_LONGEST_QUANTITY = 60
_ROUGHLY = re.compile(
    r"(?:(?:ca|circa|about|approx|approximately|around|roughly)\b\.?|[~≈])\s*", re.IGNORECASE
)
_SPAN = re.compile(
    r"(?P<least>\d+(?:[.,]\d+)?)\s*[-–—]\s*(?P<most>\d+(?:[.,]\d+)?)\s*(?P<unit>\D+)"
)
_NUMBER_WORDS = {
    "half a": "0.5", "half an": "0.5", "half": "0.5", "a": "1", "an": "1", "one": "1", "two": "2",
    "three": "3", "four": "4", "five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9",
    "ten": "10",
}  # fmt: skip
_NUMBER_WORD = re.compile(rf"({'|'.join(_NUMBER_WORDS)})\s+", re.IGNORECASE)
# No quantity of food, people or days is larger in any unit, and no figure overflows up to it.
_LARGEST = 1e12
_NEAR = 50  # likeness from which on a known word is offered for an unknown one. [0 to 100]


class Written(float):
    """A float in the unit that its field states, with the words that it was written in.

    What is calculated from it is a plain float. ``unit`` is that of the words, by its name in the
    table ``units``: a plan is answered in the units that it was written in.

    Examples
    --------
    >>> mass_kg = Written(11.33980925, "25 lb", "pound")
    >>> as_written(mass_kg, "kilogram"), mass_kg + 0
    ('25 lb', 11.33980925)
    """

    text: str
    unit: str

    def __new__(cls, value: float, text: str, unit: str) -> Written:
        """The value with its words."""
        written = super().__new__(cls, value)
        written.text, written.unit = text, unit
        return written

    def __getnewargs__(self) -> tuple[float, str, str]:  # type: ignore[override]
        """What a copy is made from."""
        return float(self), self.text, self.unit


class _Unit(NamedTuple):
    """A row of the table ``units``."""

    symbol: str
    measures: str


@functools.cache
def _units() -> dict[str, _Unit]:
    return {row["unit"]: _Unit(row["symbol"], row["measures"]) for row in evidence.rows("units")}


@functools.cache
def _words() -> dict[str, tuple[str, str]]:
    """Word in small letters → its unit; where it has none, "" and the hint that says why."""
    return {_plain(row["word"]): (row["unit"], row["hint"]) for row in evidence.rows("unit_words")}


def _plain(word: str) -> str:
    return " ".join(word.casefold().split())


@functools.cache
def registry() -> pint.UnitRegistry[float]:
    """A pint registry of the units of our list and of no others, built on first use."""
    import pint

    lines = []
    for row in evidence.rows("units"):
        base = f"{row['factor']} * {row['of']}" if row["of"] else f"[{row['measures']}]"
        offset = f"; offset: {row['offset']}" if row["offset"] else ""
        lines.append(f"{row['unit']} = {base}{offset}")
    return pint.UnitRegistry(lines, autoconvert_offset_to_baseunit=True)


def symbol(unit: str) -> str:
    """How a unit of the table is written: ``symbol("pound")`` is "lb"."""
    return _units()[unit].symbol


def measures(word: str) -> str:
    """What a word measures: mass, volume, spoon, count, time …; "" where it is no unit.

    Examples
    --------
    >>> measures("tbsp"), measures("slices"), measures("mug")
    ('spoon', 'count', '')
    """
    unit = _words().get(_plain(word), ("", ""))[0]
    return _units()[unit].measures if unit else ""


def hint(word: str) -> str:
    """Why a word of the list is no unit and what to write; "" for all others.

    Examples
    --------
    >>> hint("T")
    'may mean a teaspoon, a tablespoon or a tonne; write "tsp", "tbsp" or "1000 kg"'
    """
    return _words().get(_plain(word), ("", ""))[1]


# ---------------------------------------------------------------- numbers


def split_quantity(text: str) -> tuple[float, str]:
    """Number and unit text of a quantity in words; the unit may be empty.

    Raises
    ------
    UnitError
        If the text is not a finite number followed by at most one unit, or its point or comma may
        be a thousands mark.

    Examples
    --------
    >>> split_quantity("2,5 tsp")
    (2.5, 'tsp')
    >>> split_quantity("1 1/2 cups")
    (1.5, 'cups')
    """
    plain = _with_plain_fractions(text)
    match = _QUANTITY.fullmatch(plain) if len(text) <= _LONGEST_QUANTITY else None
    if match is None:
        nearest = _without_marks(text) or _in_digits(text)
        raise UnitError(f"{shorten(text)} is not a number and a unit{nearest}")
    unit = (match["unit"] or "").strip()
    return _number(match["number"], unit, text), unit


def _with_plain_fractions(text: str) -> str:
    return _FRACTION.sub(lambda found: f" {_FRACTIONS[found[0]]}", text).strip()


def _without_marks(text: str) -> str:
    """The way out where marks stand between thousands, as in 1 000 g."""
    grouped = _GROUPED.match(text.strip()) if len(text) <= _LONGEST_QUANTITY else None
    if grouped is None:
        return ""
    whole = re.sub(r"[^\d+\-−]", "", grouped[0])
    return f'; without marks between thousands it is "{whole}{text.strip()[grouped.end() :]}"'


def _in_digits(text: str) -> str:
    """The way out where a number is in words, is said to be rough, or is a span."""
    plain = _ROUGHLY.sub("", text.strip()[:_LONGEST_QUANTITY])
    if span := _SPAN.fullmatch(plain):
        least, most = (_value(span[end]) for end in ("least", "most"))
        plain = f"{number_text((least + most) / 2)} {span['unit']}"
    elif worded := _NUMBER_WORD.match(plain):
        plain = f"{_NUMBER_WORDS[worded[1].casefold()]} {plain[worded.end() :]}"
    found = _QUANTITY.fullmatch(plain)
    is_better = plain != text.strip() and found and measures(found["unit"] or "")
    return f'; nearest: "{plain}"' if is_better else ""


def _number(digits: str, unit: str, text: str) -> float:
    """The number that the digits of ``text`` stand for, if they stand for one only."""
    if marked := _THOUSANDS.fullmatch(digits):
        sign, after = "-" * (digits[0] in "-−"), f" {unit}" if unit else ""
        small = f"{sign}{number_text(float(marked['head'] + '.' + marked['tail']))}{after}"
        large = f"{sign}{marked['head']}{marked['tail']}{after}"
        raise UnitError(
            f'{shorten(text)} may mean {small} or {large}; write "{small}" or "{large}"'
        )
    number = _value(digits)
    if not math.isfinite(number):
        raise UnitError(f"{shorten(text)} is not a finite number")
    if abs(number) > _LARGEST:
        raise UnitError(f"{shorten(text)} is larger than anything in a plan can be")
    return number


def _value(digits: str) -> float:
    """The number in "2", "-0,5", "1/2" or "1 1/2"; not finite where a fraction divides by 0."""
    total = 0.0
    for part in re.sub(r"\s*/\s*", "/", digits.lstrip("+-−")).split():
        top, _, bottom = part.replace(",", ".").partition("/")
        total += float(top) / float(bottom or 1) if float(bottom or 1) else math.inf
    return -total if digits[0] in "-−" else total


def split_amount(text: str) -> tuple[float, str] | None:
    """Number and the words after it, of an amount such as "0.5 cup, shredded".

    None where the text does not begin with a number, or its number may mean two.

    Examples
    --------
    >>> split_amount("0,50 cup, shredded")
    (0.5, 'cup, shredded')
    >>> split_amount("1/2 cup")
    (0.5, 'cup')
    """
    match = _AMOUNT.fullmatch(_with_plain_fractions(text))
    if match is None or _THOUSANDS.fullmatch(match["number"]):
        return None
    number = _value(match["number"])
    return (number, match["words"]) if math.isfinite(number) else None


def days_words(count: float) -> str:
    """A number of days in words: ``1 day``, ``21 days``."""
    return "1 day" if count == 1 else f"{count:.0f} days"


def number_text(number: float) -> str:
    """The number as a plan's text has it: 500.0 is "500", 0.1 is "0.1".

    Three decimals get a fourth, so that they are not taken for thousands.

    Examples
    --------
    >>> number_text(500.0), number_text(0.1), number_text(2.125)
    ('500', '0.1', '2.1250')
    """
    if abs(number) < 1e15 and number == int(number):
        return str(int(number))
    text = repr(number)
    return f"{text}0" if _THOUSANDS.fullmatch(text) else text


def grams_text(grams: float) -> str:
    """Grams as a plan's text has them, to seven digits.

    Examples
    --------
    >>> grams_text(120.0), grams_text(0.25)
    ('120 g', '0.25 g')
    """
    return f"{number_text(float(f'{grams:.7g}'))} g"


# ---------------------------------------------------------------- quantities


def parse(text: str, unit: str) -> Written:
    """The quantity in words, in ``unit``; it keeps its words.

    Parameters
    ----------
    text : str
        Number and unit, such as ``"0.5 kg"``, ``"95 °F"``, ``"6 days"`` or ``"5 ft 6 in"``.
    unit : str
        Unit of the result, by its name in the table ``units``, such as ``"gram"``.

    Returns
    -------
    Written
        The value in ``unit``. [unit]

    Raises
    ------
    UnitError
        If there is no unit, the unit is unknown, or it measures something else.

    Examples
    --------
    >>> parse("0.5 kg", "gram")
    500.0
    >>> round(parse("95 °F", "degC"), 1), round(parse("5 ft 6 in", "centimeter"), 1)
    (35.0, 167.6)
    """
    is_pair = len(text) <= _LONGEST_QUANTITY and not _QUANTITY.fullmatch(text.strip())
    if is_pair and (pair := _PAIR.fullmatch(text.strip())):
        return _pair(pair, text, unit)
    number, given = split_quantity(text)
    if not given:
        raise UnitError(f"{shorten(text)} has no unit")
    value = convert(number, given, unit)
    return Written(value, in_words(number, _unit_of(given, unit)), _unit_of(given, unit))


def _pair(pair: re.Match[str], text: str, unit: str) -> Written:
    """A quantity in two units, the larger first: 5 ft 6 in."""
    larger = _unit_of(pair["unit"].strip(), unit)
    second = (pair["unit_2"] or "").strip() or ("in" if larger == "foot" else "")
    if not second:
        raise UnitError(f"{shorten(text)}: {pair['number_2']} has no unit")
    smaller = _unit_of(second, unit)
    numbers = [_number(pair[key], "", text) for key in ("number", "number_2")]
    parts = [_to(numbers[0], larger, unit), _to(numbers[1], smaller, unit)]
    is_sum = _units()[unit].measures in _PAIRED and numbers[0] >= 0 and numbers[0] % 1 == 0
    if not is_sum or not 0 <= parts[1] < _to(1, larger, unit) * (1 - 1e-9):
        raise UnitError(
            f"{shorten(text)} is not a whole number of one unit and some of a smaller one, as in "
            "5 ft 6 in"
        )
    words = f"{in_words(numbers[0], larger)} {in_words(numbers[1], smaller)}"
    return Written(sum(parts), words, larger)


def convert(number: float, given: str, unit: str) -> float:
    """``number`` of the unit written ``given``, in ``unit``. Raises UnitError as parse does.

    Examples
    --------
    >>> convert(2, "tbsp", "teaspoon")
    6.0
    """
    return _to(number, _unit_of(given, unit), unit)


def as_written(value: float, unit: str) -> str:
    """A quantity kept in ``unit``, in the words it was written in; else in ``unit``.

    Examples
    --------
    >>> as_written(parse("90 f", "degC"), "degC"), as_written(35.0, "degC")
    ('90 °F', '35 °C')
    """
    return value.text if isinstance(value, Written) else in_words(value, unit)


def alike(value: float, unit: str, written: float) -> str:
    """``value``, kept in ``unit``, in the unit that ``written`` was written in; three digits.

    Examples
    --------
    >>> alike(100, "degC", parse("300 °F", "degC"))
    '212 °F'
    """
    shown = written.unit if isinstance(written, Written) else unit
    factor, offset = (1.0, 0.0) if shown == unit else _line(shown, unit)
    return in_words(float(f"{(value - offset) / factor:.3g}"), shown)


def in_words(number: float, unit: str) -> str:
    """A number of a unit: ``21 days``, ``1 day``."""
    sign = symbol(unit)
    sign = sign[:-1] if number == 1 and sign.endswith("s") else sign
    return f"{number:.12g} {sign}"


def _to(number: float, given: str, unit: str) -> float:
    """From one unit of the table to another."""
    factor, offset = _line(given, unit)
    return number * factor + offset


@functools.cache
def _line(given: str, unit: str) -> tuple[float, float]:
    """Factor and offset from one unit to another: every unit here is a straight line apart."""
    if given == unit:
        return 1.0, 0.0
    if (given, unit) in USUAL:
        return USUAL[given, unit]
    quantity = registry().Quantity
    zero, one = (quantity(x, given).to(unit).magnitude for x in (0.0, 1.0))
    return float(one - zero), float(zero)


def _unit_of(word: str, unit: str) -> str:
    """The unit that the word means, if it measures what ``unit`` does."""
    found, hint = _words().get(_plain(word), ("", ""))
    if found and measures(word) == _units()[unit].measures:
        return found
    usual = _offered(unit)[0]
    if hint:
        raise UnitError(f"{shorten(word)} {hint}")
    if not found:
        raise UnitError(f"{shorten(word)} is not a unit known here; {_nearest(word, unit)}")
    kind = measures(word)
    if kind in ("volume", "spoon") and _units()[unit].measures == "mass":
        raise UnitError(
            f"{shorten(word)} does not convert to {usual}: it is a measure of volume; weigh it, or "
            "take the grams that `nutricheck food` shows for it"
        )
    if kind == "count":
        raise UnitError(f"{shorten(word)} are counted and do not convert to {usual}: weigh them")
    raise UnitError(
        f"{shorten(word)} measures {kind} and does not convert to {usual}; {_nearest(word, unit)}"
    )


def _offered(unit: str) -> tuple[str, ...]:
    return WRITTEN_UNITS.get(unit) or (symbol(unit),)


def _nearest(word: str, unit: str) -> str:
    """The words for what ``unit`` measures that are most like this one."""
    from rapidfuzz import fuzz, process

    wanted = _units()[unit].measures
    known = [
        name
        for name, (known_unit, _) in _words().items()
        if known_unit and _units()[known_unit].measures == wanted
    ]
    close = process.extract(_plain(word), known, scorer=fuzz.ratio, limit=3, score_cutoff=_NEAR)
    near = list(dict.fromkeys(symbol(_words()[name][0]) for name, _, _ in close))
    near = near or list(_offered(unit))
    return f"nearest: {' or '.join(filter(None, (', '.join(near[:-1]), near[-1])))}"
