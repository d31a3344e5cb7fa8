"""An expression says the same in its three languages.

The texts are worked out by Python itself, whose operators bind as those of the script and the cell
do; what a browser and LibreOffice make of them is tested with the whole page and workbook.
"""

from __future__ import annotations

import math
import re
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from nutricheck.rules import formulas, status
from nutricheck.rules.expression import (
    SCRIPT_SUMS,
    Expression,
    absolute,
    choose,
    exp,
    figure,
    finite,
    formula,
    greatest,
    hypotenuse,
    least,
    log,
    numbers,
    script,
)
from nutricheck.rules.formulas import FORMULAS, formulas_script

NAMES = ("a", "b", "c")
MATH = SimpleNamespace(max=max, min=min, hypot=math.hypot, log=math.log, exp=math.exp, abs=abs)
SHEET = {
    **{"MAX": max, "MIN": min, "SQRT": math.sqrt, "LN": math.log, "EXP": math.exp, "ABS": abs},
    "IF": lambda condition, then, otherwise: then if condition else otherwise,
}

plain = st.one_of(
    st.sampled_from(NAMES).map(figure),
    st.integers(1, 9).map(lambda number: figure("a") * 0 + number),
)
expressions = st.recursive(
    plain,
    lambda parts: st.one_of(
        st.tuples(parts, parts).map(lambda two: two[0] + two[1]),
        st.tuples(parts, parts).map(lambda two: two[0] - two[1]),
        st.tuples(parts, parts).map(lambda two: two[0] * two[1]),
        st.tuples(parts, parts).map(lambda two: two[0] / two[1]),
        st.tuples(parts, parts).map(lambda two: greatest(*two)),
        st.tuples(parts, parts).map(lambda two: least(*two)),
        st.tuples(parts, parts).map(lambda two: hypotenuse(*two)),
        parts.map(absolute),
        st.tuples(parts, parts, parts).map(lambda three: choose(three[0] > three[1], *three[1:])),
    ),
    max_leaves=8,
)


def in_script(expression: Expression, figures: dict[str, float]) -> float:
    """What the script's text gives, where nothing is chosen in it."""
    return float(eval(script(expression), {"v": SimpleNamespace(**figures), "Math": MATH}))


def in_cells(expression: Expression, figures: dict[str, float]) -> float:
    """What the formula's text gives, each figure in a cell of its own name."""
    text = formula(expression, {name: name for name in NAMES})
    return float(eval(text.replace("^", "**"), SHEET | figures))


@given(
    expressions,
    st.tuples(*(st.floats(0.25, 4).map(lambda x: round(x, 3)) for _ in NAMES)),
)
@settings(max_examples=200)
def test_the_three_languages_agree(expression, values):
    figures = dict(zip(NAMES, values, strict=True))
    expected = float(numbers(expression, figures))
    if not math.isfinite(expected) or abs(expected) > 1e9:
        return
    try:
        assert in_cells(expression, figures) == pytest.approx(expected, rel=1e-9, abs=1e-9)
        if "?" not in script(expression):
            assert in_script(expression, figures) == pytest.approx(expected, rel=1e-9, abs=1e-9)
    except ZeroDivisionError:
        pass  # Python alone refuses to divide by 0


@pytest.mark.parametrize(
    ("expression", "in_js", "in_cell"),
    [
        (figure("a") - (figure("b") - figure("c")), "v.a-(v.b-v.c)", "A1-(B1-C1)"),
        (figure("a") / (figure("b") * figure("c")), "v.a/(v.b*v.c)", "A1/(B1*C1)"),
        (2 * (figure("a") + 0.5), "2*(v.a+0.5)", "2*(A1+0.5)"),
        (
            choose(figure("a") >= 1, log(figure("b")), exp(figure("c"))),
            "(v.a>=1?Math.log(v.b):Math.exp(v.c))",
            "IF(A1>=1,LN(B1),EXP(C1))",
        ),
    ],
)
def test_its_text(expression, in_js, in_cell):
    assert script(expression) == in_js
    assert formula(expression, {"a": "A1", "b": "B1", "c": "C1"}) == in_cell


def test_a_formula_in_the_place_of_a_cell_keeps_its_brackets():
    assert formula(figure("a") * 2, {"a": "B1+C1"}) == "(B1+C1)*2"
    assert formula(figure("a") * 2, {"a": "'Per 100 g'!$B$1"}) == "'Per 100 g'!$B$1*2"


def test_unknown_stays_unknown_and_compares_with_nothing():
    assert np.isnan(numbers(figure("a") + 1, {"a": math.nan}))
    chosen = numbers(choose(figure("a") > 0, 1, 2), {"a": np.array([math.nan, 3.0])})
    assert chosen.tolist() == [2.0, 1.0]


def test_each_rule_has_a_function_in_the_script():
    text = formulas_script()
    for name in FORMULAS:
        assert f'\n"{name}":(v)=>' in text


def test_a_number_below_nought_keeps_its_brackets():
    assert script(figure("a") - (-1)) == "v.a-(-1)"
    assert formula(figure("a") * -2, {"a": "A1"}) == "A1*(-2)"
    assert script(figure("a") + 1) == "v.a+1"


def all_rules() -> list[Expression]:
    """Every rule of the two modules, whether the script uses it or not."""
    found = [value for module in (formulas, status) for value in vars(module).values()]
    return [*FORMULAS.values(), *(value for value in found if isinstance(value, Expression))]


def test_a_script_calls_only_what_the_page_has():
    defined = set(re.findall(r"const (\w+) =", SCRIPT_SUMS))
    called = {name for rule in all_rules() for name in re.findall(r"([\w.]+)\(", script(rule))}
    standard = {name for name in called if name.startswith(("Math.", "Number."))}
    assert called - standard <= defined


def test_what_cannot_be_worked_out_has_another_figure():
    ratio = finite(figure("a") / figure("b"), figure("c"))
    assert numbers(ratio, {"a": 1.0, "b": np.float64(0.0), "c": 4.0}) == 4.0
    assert numbers(ratio, {"a": 1.0, "b": 2.0, "c": 4.0}) == 0.5
    assert script(ratio) == "(Number.isFinite(v.a/v.b)?v.a/v.b:v.c)"
    assert formula(ratio, {"a": "A1", "b": "B1", "c": "C1"}) == "IFERROR(A1/B1,C1)"
