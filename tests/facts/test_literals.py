"""Published numbers stand in tables, not in code.

A numeric literal in the science is 0, 1, 2, a power of ten, a factor between units of time, or it
stands in literals.csv with the reason why it may: a coefficient of an equation that cites its
source in the same function or module, a bound of numerics, how many of something are shown.
"""

import ast
import csv
from collections import defaultdict
from pathlib import Path

import nutricheck

ROOT = Path(nutricheck.__file__).parent
SCIENCE = ("drying", "needs", "labels", "cautions", "intake")
REVIEWED = Path(__file__).with_name("literals.csv")
#: Plain counts, powers of ten, minutes and seconds of an hour, hours of a day, days of a week.
PLAIN = {0, 1, 2, 10, 100, 1000, 1e-3, 1e6, 1e-6, 60, 3600, 24, 7}

Scoped = dict[tuple[str, str], set[float]]


def literals(source: str, module: str) -> Scoped:
    """Module and name (function, or constant of the module) → its literals that are not plain."""
    found: Scoped = defaultdict(set)
    for statement in ast.parse(source).body:
        for name, node in _named(statement, ""):
            numbers = {
                float(part.value)
                for part in ast.walk(node)
                if isinstance(part, ast.Constant) and type(part.value) in (int, float)
            }
            if numbers - PLAIN:
                found[module, name] |= numbers - PLAIN
    return dict(found)


def _named(node: ast.stmt, before: str) -> list[tuple[str, ast.AST]]:
    if isinstance(node, ast.ClassDef):
        return [pair for child in node.body for pair in _named(child, f"{before}{node.name}.")]
    if isinstance(node, ast.FunctionDef):
        return [(before + node.name, node)]
    if isinstance(node, ast.AnnAssign | ast.Assign):
        targets = [node.target] if isinstance(node, ast.AnnAssign) else node.targets
        return [(before + ast.unparse(targets[0]), node)]
    return [(f"{before}line", node)]


def all_literals() -> Scoped:
    found: Scoped = {}
    for folder in SCIENCE:
        for path in sorted((ROOT / folder).rglob("*.py")):
            module = ".".join(path.relative_to(ROOT).with_suffix("").parts)
            found |= literals(path.read_text("utf-8"), module)
    return found


def reviewed() -> Scoped:
    with REVIEWED.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(file))
    assert all(row["reason"] for row in rows)
    return {
        (row["module"], row["name"]): {float(number) for number in row["literals"].split()}
        for row in rows
    }


def test_each_number_in_the_science_is_from_a_table_or_reviewed():
    found, allowed = all_literals(), reviewed()
    new = {
        place: sorted(numbers - allowed.get(place, set()))
        for place, numbers in found.items()
        if numbers - allowed.get(place, set())
    }
    assert new == {}, "read these from facts/, or list them in literals.csv with a reason"
    gone = {
        place: sorted(numbers - found.get(place, set()))
        for place, numbers in allowed.items()
        if numbers - found.get(place, set())
    }
    assert gone == {}, "literals.csv lists what is there no more"


def test_a_planted_number_is_found():
    planted = "def loss(x):\n    return x * 3.7 + 2\n\nK = {'a': 0.41}\n"
    assert literals(planted, "m") == {("m", "loss"): {3.7}, ("m", "K"): {0.41}}
    somewhere = next(iter(all_literals()))
    assert 3.7 not in reviewed().get(somewhere, set())
