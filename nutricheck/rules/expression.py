"""An expression over named figures, said in three languages: numpy, JavaScript, cell formula.

Unknown is NaN in numbers and in the script: arithmetic on it is unknown, a comparison with it is
false. A cell that may be blank is guarded by who writes the formula.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np

__all__ = [
    "Expression",
    "absolute",
    "choose",
    "exp",
    "figure",
    "formula",
    "greatest",
    "hypotenuse",
    "least",
    "log",
    "numbers",
    "script",
]

#: Operator → numpy, sign, and how closely it binds.
_OPERATORS: dict[str, tuple[Callable[[Any, Any], Any], int]] = {
    ">": (np.greater, 0),
    ">=": (np.greater_equal, 0),
    "<": (np.less, 0),
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
    "choose": (np.where, "({}?{}:{})", "IF({},{},{})"),
}
_CLOSEST = 3
#: An address, a name, a number or one function: what needs no brackets in a formula.
_PLAIN = re.compile(r"('[^']+'!|\w+!)?[\w$.:]+|SUM\([^()]*\)")


@dataclass(frozen=True, eq=False)
class Expression:
    """A figure by name, a number, or an operator or function with its parts."""

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

    def __gt__(self, other: Expression | float) -> Expression:
        return Expression(">", (self, _of(other)))

    def __ge__(self, other: Expression | float) -> Expression:
        return Expression(">=", (self, _of(other)))

    def __lt__(self, other: Expression | float) -> Expression:
        return Expression("<", (self, _of(other)))


def _of(thing: Expression | float) -> Expression:
    return thing if isinstance(thing, Expression) else Expression("number", leaf=float(thing))


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


def choose(
    condition: Expression, then: Expression | float, otherwise: Expression | float
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


def _numbers(own: Expression, figures: Mapping[str, Any]) -> Any:
    if own.kind == "number":
        return own.leaf
    if own.kind == "figure":
        return figures[str(own.leaf)]
    parts = [_numbers(part, figures) for part in own.parts]
    return (_OPERATORS.get(own.kind) or _FUNCTIONS[own.kind])[0](*parts)


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
        Name of a figure → its address, its name in the workbook, or a formula for it.

    Examples
    --------
    >>> formula((figure("a") + 1) * figure("b"), {"a": "B3", "b": "C3-D3"})
    '(B3+1)*(C3-D3)'
    """

    def cell(name: str) -> str:
        text = cells[name]
        return text if _PLAIN.fullmatch(text) else f"({text})"

    return _text(expression, cell, 2)[0]


def _text(own: Expression, name: Callable[[str], str], language: int) -> tuple[str, int]:
    """The text, and how closely its outermost operator binds."""
    if own.kind == "number":
        return f"{own.leaf:.15g}", _CLOSEST
    if own.kind == "figure":
        return name(str(own.leaf)), _CLOSEST
    parts = [_text(part, name, language) for part in own.parts]
    if own.kind in _FUNCTIONS:
        return str(_FUNCTIONS[own.kind][language]).format(*(text for text, _ in parts)), _CLOSEST
    level = _OPERATORS[own.kind][1]
    (left, of_left), (right, of_right) = parts
    # a − (b − c) and a / (b · c) keep their brackets
    is_apart = of_right < level or (of_right == level and own.kind in "-/")
    left, right = (f"({left})" if of_left < level else left, f"({right})" if is_apart else right)
    return f"{left}{own.kind}{right}", level
