"""SR28's NUT_DATA.txt: 679,045 amounts, read as one array of bytes and checked.

Reading a line at a time would take seconds. Only when something in the file does not fit is it
gone through line by line, to name the line.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import numpy as np
import numpy.typing as npt

from nutricheck.errors import SourceError, shorten
from nutricheck.foods.store import Basis

from .dataset import Amounts
from .source_files import CaretFile, SourceFiles

__all__ = ["read_amounts"]

_FIELDS = 18
_TEXT_FIELDS = {0, 1, 5, 6, 7, 8, 15, 16, 17}
_FOOD, _COMPONENT, _VALUE, _ANALYSES, _ERROR, _SOURCE, _DERIVATION = range(7)  # the used fields
_NONE = -1
_ASSUMED_ZERO = "7"  # SRC_CD: "Assumed zero"
_UNKNOWN = -2
_LONGEST_NUMBER = 15  # digits that a float64 holds exactly
_LONGEST_CODE = 7  # letters that an int64 holds
_PIECE_BYTES = 1 << 20

_Bytes = npt.NDArray[np.uint8]
_Integers = npt.NDArray[np.int64]
_Floats = npt.NDArray[np.float64]


def read_amounts(
    files: SourceFiles,
    foods: list[int],
    components: list[int],
    source_codes: list[str],
    derivation_codes: list[str],
) -> tuple[Amounts, list[Basis]]:
    """The amounts of NUT_DATA.txt.

    Parameters
    ----------
    files : SourceFiles
        The dataset.
    foods, components : list of int
        Known food ids and nutrient numbers, in key order.
    source_codes, derivation_codes : list of str
        Known codes, in key order.

    Returns
    -------
    Amounts, list of Basis
        Amounts sorted by food and component key, and what they rest on.

    Raises
    ------
    SourceError
        Names file and line of the first thing that does not fit.
    """
    file = CaretFile(files, "NUT_DATA.txt", _FIELDS, _TEXT_FIELDS)
    try:
        parts = [_columns(piece) for piece in _pieces(file.raw)]
    except ValueError:
        raise _first_fault(file) from None
    food, component, value, analyses, standard_error, source, derivation = (
        np.concatenate(columns) for columns in zip(*parts, strict=True)
    )
    food = _keys(food, foods)
    component = _keys(component, components)
    source = _code_keys(source, source_codes)
    derivation = _code_keys(derivation, derivation_codes)
    for faulty, fault in (
        (food < 0, "is of a food that FOOD_DES.txt does not list"),
        (component < 0, "is of a nutrient that NUTR_DEF.txt does not list"),
        (source < 0, "has no source code that SRC_CD.txt lists"),
        (derivation == _UNKNOWN, "has a derivation code that DERIV_CD.txt does not list"),
        (~np.isfinite(value), "is not a finite number"),
        (~np.isfinite(analyses) | (analyses < 0) | (analyses % 1 != 0), "has no count of analyses"),
        (standard_error < 0, "has a standard error below zero"),
    ):
        if faulty.any():
            raise _fault(file, int(faulty.argmax()), fault)
    place = food * len(components) + component
    step = np.diff(place)
    order: Any = slice(None)
    if np.any(step <= 0):
        order = np.argsort(place, kind="stable")
        step = np.diff(place[order])
        if not np.all(step):
            raise _fault(file, int(order[step.argmin() + 1]), "stands there a second time")
    if len(bare := np.flatnonzero(np.bincount(food, minlength=len(foods)) == 0)):
        raise SourceError(
            f"{file.place}:{len(food)}: ends without an amount for {len(bare)} foods of "
            f"FOOD_DES.txt, such as {foods[bare[0]]:05d}; was the file cut short?"
        )
    distinct, basis = _bases(analyses.astype(np.int64), source, derivation)
    amounts = Amounts(
        food[order].astype(np.int32),
        component[order].astype(np.int32),
        value[order],
        standard_error[order],
        basis[order],
    )
    return amounts, [
        Basis(
            count,
            source_codes[code],
            None if how == _NONE else derivation_codes[how],
            "assumed zero" if source_codes[code] == _ASSUMED_ZERO else None,
        )
        for count, code, how in distinct
    ]


def _bases(
    analyses: _Integers, source: _Integers, derivation: _Integers
) -> tuple[list[tuple[int, int, int]], _Integers]:
    """The distinct combinations, and the place of each amount's among them."""
    combined = (analyses * 1000 + source) * 1000 + derivation - _NONE
    distinct = np.unique(combined)
    rest, how = np.divmod(distinct, 1000)
    count, code = np.divmod(rest, 1000)
    combinations = zip(count.tolist(), code.tolist(), (how + _NONE).tolist(), strict=True)
    return list(combinations), np.searchsorted(distinct, combined)


def _pieces(raw: bytes) -> Iterator[_Bytes]:
    """The file in pieces of whole lines, small enough for the processor's cache."""
    start = 0
    while start < len(raw):
        end = raw.rfind(b"\n", start, start + _PIECE_BYTES) + 1
        if end == 0:
            raise ValueError("a line without end")
        yield np.frombuffer(raw, dtype=np.uint8, count=end - start, offset=start)
        start = end


def _columns(text: _Bytes) -> tuple[npt.NDArray[Any], ...]:
    """The used fields of some lines, in file order; ValueError where one does not read."""
    is_end = text == ord("\n")
    marks = np.flatnonzero(is_end | (text == ord("^")))
    lines = np.count_nonzero(is_end)
    if len(marks) != lines * _FIELDS or not is_end[marks[_FIELDS - 1 :: _FIELDS]].all():
        raise ValueError("a line with a wrong number of fields")
    ends = marks.reshape(lines, _FIELDS).T
    starts = np.concatenate((np.concatenate(([0], ends[-1, :-1] + 1))[None], ends[:-1] + 1))
    return tuple(
        read(text, starts[field], ends[field], *extra)
        for field, read, extra in (
            (_FOOD, _digits, (5,)),
            (_COMPONENT, _digits, (3,)),
            (_VALUE, _numbers, ()),
            (_ANALYSES, _numbers, ()),
            (_ERROR, _numbers, ()),
            (_SOURCE, _codes, ()),
            (_DERIVATION, _codes, ()),
        )
    )


def _digits(text: _Bytes, starts: _Integers, ends: _Integers, width: int) -> _Integers:
    """Whole numbers of so many digits, between tildes."""
    starts, widths = _inner(text, starts, ends)
    if np.any(widths != width):
        raise ValueError("wrong number of digits")
    numbers = np.zeros(len(starts), dtype=np.int64)
    for place in range(width):
        digit = text[starts + place] - np.uint8(ord("0"))
        if np.any(digit > 9):
            raise ValueError("not a digit")
        numbers = numbers * 10 + digit
    return numbers


def _codes(text: _Bytes, starts: _Integers, ends: _Integers) -> _Integers:
    """Short codes between tildes, as numbers that ``_code_number`` makes too."""
    starts, widths = _inner(text, starts, ends)
    longest = int(widths.max(initial=0))
    if longest > _LONGEST_CODE:
        raise ValueError("a code of many letters")
    numbers = np.zeros(len(starts), dtype=np.int64)
    for place in range(longest):
        letter = text[np.minimum(starts + place, len(text) - 1)]
        numbers = np.where(place < widths, numbers * 256 + letter, numbers)
    return numbers


def _numbers(text: _Bytes, starts: _Integers, ends: _Integers) -> _Floats:
    """Decimal numbers, NaN where the field is empty; exactly as float() reads them."""
    filled = np.flatnonzero(ends > starts)
    start, widths = starts[filled], (ends - starts)[filled]
    longest = int(widths.max(initial=0))
    if longest > _LONGEST_NUMBER:
        raise ValueError("a number of many digits")
    digits = np.zeros(len(filled), dtype=np.int64)
    decimals = np.zeros(len(filled), dtype=np.int8)
    points = np.zeros(len(filled), dtype=np.int8)
    for place in range(longest):
        letter = text[np.minimum(start + place, len(text) - 1)]
        digit = letter - np.uint8(ord("0"))
        is_inside = place < widths
        is_digit = is_inside & (digit <= 9)
        is_point = is_inside & (letter == ord("."))
        if np.any(is_inside & ~(is_digit | is_point)):
            raise ValueError("not a digit")
        digits = np.where(is_digit, digits * 10 + digit, digits)
        decimals += is_digit & (points > 0)
        points += is_point
    if np.any(points > 1) or np.any(points == widths):
        raise ValueError("not a number")
    values = np.full(len(ends), np.nan)
    values[filled] = digits / 10.0**decimals
    return values


def _inner(text: _Bytes, starts: _Integers, ends: _Integers) -> tuple[_Integers, _Integers]:
    """Start and width of texts between tildes, without these."""
    tilde = ord("~")
    if np.any(ends - starts < 2) or np.any((text[starts] != tilde) | (text[ends - 1] != tilde)):
        raise ValueError("no text between tildes")
    return starts + 1, ends - starts - 2


def _code_number(code: str) -> int:
    """A code's bytes read as one number; the empty code is 0."""
    return int.from_bytes(code.encode("latin-1"), "big")


def _keys(numbers: _Integers, known: list[int]) -> _Integers:
    """Position of each number among the known ones, _UNKNOWN where it is not there."""
    order = np.argsort(known, kind="stable")
    ranked = np.array(known, dtype=np.int64)[order]
    place = np.minimum(np.searchsorted(ranked, numbers), len(ranked) - 1)
    return np.where(ranked[place] == numbers, order[place], _UNKNOWN)


def _code_keys(numbers: _Integers, known: list[str]) -> _Integers:
    """Position of each code among the known ones, _NONE where none is given, or _UNKNOWN."""
    distinct = np.unique(numbers)
    positions = {_code_number(code): position for position, code in enumerate(known)} | {0: _NONE}
    found = np.array([positions.get(number, _UNKNOWN) for number in distinct.tolist()])
    return found[np.searchsorted(distinct, numbers)]


def _first_fault(file: CaretFile) -> SourceError:
    """The error about the first line that does not read."""
    try:
        columns = file.columns()
        for position, pattern, name in (
            (_FOOD, r"\d{5}", "food id"),
            (_COMPONENT, r"\d{3}", "nutrient number"),
            (_VALUE, r"[\d.]{1,15}", "amount"),
            (_ANALYSES, r"[\d.]{1,15}", "number of analyses"),
            (_ERROR, r"[\d.]{0,15}", "standard error"),
            (_SOURCE, r".{1,7}", "source code"),
            (_DERIVATION, r".{0,7}", "derivation code"),
        ):
            for line, text in enumerate(columns[position], start=1):
                if not re.fullmatch(pattern, text):
                    return SourceError(f"{file.place}:{line}: {name} is {shorten(text)}")
        for position, name in ((_VALUE, "amount"), (_ANALYSES, "number"), (_ERROR, "error")):
            file.numbers(columns[position], name)
    except SourceError as error:
        return error
    return SourceError(f"{file.place}: cannot be read as fields between ^ and ~")


def _fault(file: CaretFile, position: int, fault: str) -> SourceError:
    line = file.raw.split(b"\n", position + 1)[position].decode("latin-1").strip()
    return SourceError(f"{file.place}:{position + 1}: the amount {fault}: {shorten(line)}")
