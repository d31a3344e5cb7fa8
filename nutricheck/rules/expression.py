"""An expression over named figures, said in three languages: numpy, JavaScript, cell formula.

Unknown is NaN in numbers and in the script: arithmetic on it is unknown, a comparison with it is
false. A cell that may be blank is guarded by who writes the formula.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

__all__ = [
    "SCRIPT_SUMS",
    "UNKNOWN",
    "Expression",
    "absolute",
    "choose",
    "exp",
    "figure",
    "finite",
    "formula",
    "greatest",
    "hypotenuse",
    "known",
    "least",
    "log",
    "numbers",
    "script",
    "weighed",
    "weight_known",
    "whole",
]

#: Operator → numpy, and how closely it binds.
_OPERATORS: dict[str, tuple[Callable[[Any, Any], Any], int]] = {
    ">": (np.greater, 0),
    ">=": (np.greater_equal, 0),
    "<": (np.less, 0),
    "<=": (np.less_equal, 0),
    "+": (np.add, 1),
    "-": (np.subtract, 1),
    "*": (np.multiply, 2),
    "/": (np.divide, 2),
}
#: Function → numpy, JavaScript, cell formula.
_FUNCTIONS: dict[str, tuple[Callable[..., Any], str, str]] = {
    "greatest": (np.maximum, "Math.max({},{})", "MAX({},{})"),
    "least": (np.minimum, "Math.min({},{})", "MIN({},{})"),
    "hypotenuse": (np.hypot, "Math.hypot({},{})", "SQRT(({})^2+({})^2)"),
    "log": (np.log, "Math.log({})", "LN({})"),
    "exp": (np.exp, "Math.exp({})", "EXP({})"),
    "absolute": (np.abs, "Math.abs({})", "ABS({})"),
    "whole": (np.floor, "Math.floor({})", "INT({})"),
    "known": (lambda value: ~np.isnan(value), "!Number.isNaN({})", "ISNUMBER({})"),
    "finite": (
        lambda value, otherwise: np.where(np.isfinite(value), value, otherwise),
        "(Number.isFinite({0})?{0}:{1})",
        "IFERROR({},{})",
    ),
    "both": (np.logical_and, "({}&&{})", "AND({},{})"),
    "either": (np.logical_or, "({}||{})", "OR({},{})"),
    "not": (np.logical_not, "!({})", "NOT({})"),
    "choose": (np.where, "({}?{}:{})", "IF({},{},{})"),
    # over things: the last axis of the weights, the first one of the values
    "weighed": (
        lambda weights, values: np.tensordot(weights, np.where(np.isnan(values), 0.0, values), 1),
        "weighed({},{})",
        "SUMPRODUCT({},{})",
    ),
    "weight known": (
        lambda weights, values: np.tensordot(weights, ~np.isnan(values) * 1.0, 1),
        "weightKnown({},{})",
        "SUMPRODUCT({},--ISNUMBER({}))",
    ),
}
#: What the script needs for sums: of two lists, what is unknown left out.
SCRIPT_SUMS = """const sumKnownBy = (weights, values, of) => weights.reduce((total, weight, i) =>
Number.isNaN(values[i]) ? total : total + of(weight, values[i]), 0);
const weighed = (weights, values) => sumKnownBy(weights, values, (weight, value) => weight * value);
const weightKnown = (weights, values) => sumKnownBy(weights, values, (weight) => weight);
"""
_CLOSEST, _NEVER = 3, -1
#: An address, a name or a number: what needs no brackets in a formula.
_PLAIN = re.compile(r"('[^']+'!|\w+!)?[\w$.:]+")
_QUOTED = re.compile(r"\"[^\"]*\"|'[^']*'")
_INNER_BRACKETS = re.compile(r"\([^()]*\)")


@dataclass(frozen=True, eq=False)
class Expression:
    """A figure by name, a number, a word, or an operator or function with its parts."""

    kind: str
    parts: tuple[Expression, ...] = ()
    leaf: str | float = ""

    def __add__(self, other: Expression | float) -> Expression:
        return Expression("+", (self, _of(other)))

    def __radd__(self, other: float) -> Expression:
        return Expression("+", (_of(other), self))

    def __sub__(self, other: Expression | float) -> Expression:
        return Expression("-", (self, _of(other)))

    def __rsub__(self, other: float) -> Expression:
        return Expression("-", (_of(other), self))

    def __mul__(self, other: Expression | float) -> Expression:
        return Expression("*", (self, _of(other)))

    def __rmul__(self, other: float) -> Expression:
        return Expression("*", (_of(other), self))

    def __truediv__(self, other: Expression | float) -> Expression:
        return Expression("/", (self, _of(other)))

    def __rtruediv__(self, other: float) -> Expression:
        return Expression("/", (_of(other), self))

    def __gt__(self, other: Expression | float) -> Expression:
        return Expression(">", (self, _of(other)))

    def __ge__(self, other: Expression | float) -> Expression:
        return Expression(">=", (self, _of(other)))

    def __lt__(self, other: Expression | float) -> Expression:
        return Expression("<", (self, _of(other)))

    def __le__(self, other: Expression | float) -> Expression:
        return Expression("<=", (self, _of(other)))

    def __and__(self, other: Expression) -> Expression:
        return Expression("both", (self, other))

    def __or__(self, other: Expression) -> Expression:
        return Expression("either", (self, other))

    def __invert__(self) -> Expression:
        return Expression("not", (self,))


def _of(part: Expression | float | str) -> Expression:
    if isinstance(part, Expression):
        return part
    if isinstance(part, str):
        return Expression("word", leaf=part)
    return Expression("number", leaf=float(part))


#: NaN; in a cell an empty text.
UNKNOWN = Expression("unknown")


def figure(name: str) -> Expression:
    """A figure that the caller supplies by this name."""
    return Expression("figure", leaf=name)


def greatest(one: Expression, *others: Expression | float) -> Expression:
    """The greatest of two or more."""
    for other in others:
        one = Expression("greatest", (one, _of(other)))
    return one


def least(one: Expression, other: Expression | float) -> Expression:
    """The lesser of two."""
    return Expression("least", (one, _of(other)))


def hypotenuse(one: Expression, other: Expression) -> Expression:
    """The root of both squares' sum: two errors that are independent, as one."""
    return Expression("hypotenuse", (one, other))


def log(one: Expression) -> Expression:
    """The natural logarithm."""
    return Expression("log", (one,))


def exp(one: Expression) -> Expression:
    """e to this power."""
    return Expression("exp", (one,))


def absolute(one: Expression) -> Expression:
    """Without its sign."""
    return Expression("absolute", (one,))


def whole(one: Expression) -> Expression:
    """The whole number below."""
    return Expression("whole", (one,))


def known(one: Expression) -> Expression:
    """Whether there is a figure."""
    return Expression("known", (one,))


def finite(one: Expression, otherwise: Expression | float) -> Expression:
    """The figure, or another one where it cannot be worked out."""
    return Expression("finite", (one, _of(otherwise)))


def weighed(weights: Expression, values: Expression) -> Expression:
    """The sum of weights times values over many things, of what is known."""
    return Expression("weighed", (weights, values))


def weight_known(weights: Expression, values: Expression) -> Expression:
    """The sum of the weights of those things whose value is known."""
    return Expression("weight known", (weights, values))


def choose(
    condition: Expression, then: Expression | float | str, otherwise: Expression | float | str
) -> Expression:
    """One of two, by a comparison."""
    return Expression("choose", (condition, _of(then), _of(otherwise)))


def numbers(expression: Expression, figures: Mapping[str, Any]) -> Any:
    """The expression's value for arrays, or numbers, by name.

    Examples
    --------
    >>> float(numbers(figure("packed") / figure("used"), {"packed": 300.0, "used": 40.0}))
    7.5
    """
    with np.errstate(divide="ignore", invalid="ignore"):
        return _numbers(expression, figures)


def _numbers(expression: Expression, figures: Mapping[str, Any]) -> Any:
    if expression.kind in ("number", "word"):
        return expression.leaf
    if expression.kind == "unknown":
        return np.nan
    if expression.kind == "figure":
        return figures[str(expression.leaf)]
    parts = [_numbers(part, figures) for part in expression.parts]
    value = (_OPERATORS.get(expression.kind) or _FUNCTIONS[expression.kind])[0](*parts)
    # a plain number does not make an array of single precision one of double
    return value.item() if np.ndim(value) == 0 else value


def script(expression: Expression) -> str:
    """The expression in JavaScript, over the properties of ``v``.

    Examples
    --------
    >>> script((figure("a") + 1) * figure("b"))
    '(v.a+1)*v.b'
    """
    return _text(expression, lambda name: f"v.{name}", 1)[0]


def formula(expression: Expression, cells: Mapping[str, str]) -> str:
    """The expression as a cell formula, without its equals sign.

    Parameters
    ----------
    expression : Expression
    cells : mapping
        Name of a figure → its address, its name in the workbook, or a formula for it; TRUE, FALSE
        and 0 leave out of the formula what does not matter then.

    Examples
    --------
    >>> formula((figure("a") + 1) * figure("b"), {"a": "B3", "b": "C3-D3"})
    '(B3+1)*(C3-D3)'
    """

    def cell(name: str) -> str:
        text = cells[name]
        return text if _PLAIN.fullmatch(text) or _is_one_call(text) else f"({text})"

    return _text(expression, cell, 2)[0]


def _is_one_call(text: str) -> bool:
    """Whether a formula is one function, or stands in brackets, from its start to its end."""
    inside, found = _QUOTED.sub("", text), 1
    while found:
        inside, found = _INNER_BRACKETS.subn("", inside)
    return text.endswith(")") and (inside == "" or inside.isalpha())


def _text(expression: Expression, name: Callable[[str], str], language: int) -> tuple[str, int]:
    """The text, and how closely its outermost operator binds."""
    if expression.kind == "number":
        # "a--1" is no script
        binds = _CLOSEST if float(expression.leaf) >= 0 else _NEVER
        return f"{expression.leaf:.15g}", binds
    if expression.kind == "figure":
        return name(str(expression.leaf)), _CLOSEST
    if expression.kind == "word":
        return json.dumps(expression.leaf), _CLOSEST
    if expression.kind == "unknown":
        return ("NaN", '""')[language - 1], _CLOSEST
    parts = [_text(part, name, language) for part in expression.parts]
    if (settled := _settled(expression.kind, parts)) is not None:
        return settled
    if expression.kind in _FUNCTIONS:
        return str(_FUNCTIONS[expression.kind][language]).format(
            *(text for text, _ in parts)
        ), _CLOSEST
    level = _OPERATORS[expression.kind][1]
    (left, of_left), (right, of_right) = parts
    # a − (b − c) and a / (b · c) keep their brackets
    is_apart = of_right < level or (of_right == level and expression.kind in "-/")
    left, right = (f"({left})" if of_left < level else left, f"({right})" if is_apart else right)
    return f"{left}{expression.kind}{right}", level


def _settled(kind: str, parts: list[tuple[str, int]]) -> tuple[str, int] | None:
    """What TRUE, FALSE or 0 in the place of a cell leaves of it; None where nothing follows."""
    first = parts[0][0]
    if kind == "choose" and first in ("TRUE", "FALSE"):
        return parts[1 if first == "TRUE" else 2]
    if kind == "not" and first in ("TRUE", "FALSE"):
        return {"TRUE": "FALSE", "FALSE": "TRUE"}[first], _CLOSEST
    if kind in ("both", "either"):
        ends, passes = ("FALSE", "TRUE") if kind == "both" else ("TRUE", "FALSE")
        for (text, _), other in zip(parts, parts[::-1], strict=True):
            if text in (ends, passes):
                return (ends, _CLOSEST) if text == ends else other
    return parts[0] if kind in ("+", "-") and parts[1][0] == "0" else None
