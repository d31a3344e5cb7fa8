"""Modules whose name says what they hold: a name stands for one thing.

A command bears its own name. Where a second module of a name stands below, both are of the same
topic at two stages of the way of the data: what it is, and how it is asked about or shown.
"""

from __future__ import annotations

import ast
from collections import Counter
from pathlib import Path

PACKAGE = Path(__file__).parents[1] / "nutricheck"
ROOTS = (PACKAGE, PACKAGE.parent / "data_builder", Path(__file__).parent)

SAME_TOPIC = {
    *("additions", "balance", "batch", "batches", "check_many", "days", "drink", "dry"),
    *("ferments", "foods", "in_pack", "legs", "meals", "people", "portions", "salt", "schema"),
    *("search", "status", "counts", "form", "heat", "page", "sources", "walking"),
}
#: Names that say nothing of what a value is.
EMPTY_NAMES = {"told", "made", "own"}


def test_no_two_modules_bear_one_name_but_for_a_topic():
    modules = [
        path
        for path in PACKAGE.rglob("*.py")
        if path.name != "__init__.py" and path.parent.name != "cli"
    ]
    names = Counter(path.stem for path in modules)
    assert {name for name, count in names.items() if count > 1} <= SAME_TOPIC


def test_no_two_classes_bear_one_name():
    names = Counter(
        node.name
        for path in PACKAGE.rglob("*.py")
        for node in ast.parse(path.read_text(encoding="utf-8")).body
        if isinstance(node, ast.ClassDef) and not node.name.startswith("_")
    )
    assert len(names) > 150
    assert not {name for name, count in names.items() if count > 1}


def empty_names(tree: ast.AST) -> list[tuple[str, int]]:
    """Names of values and functions that say nothing, with their lines."""
    return [
        (name, node.lineno)
        for node in ast.walk(tree)
        for name in [
            node.arg
            if isinstance(node, ast.arg)
            else node.name
            if isinstance(node, ast.FunctionDef)
            else node.id
            if isinstance(node, ast.Name) and isinstance(node.ctx, ast.Store)
            else ""
        ]
        if name.lstrip("_") in EMPTY_NAMES
    ]


def test_values_are_named_by_what_they_hold():
    found = {
        f"{path.relative_to(PACKAGE.parent)}:{line} {name}"
        for root in ROOTS
        for path in root.rglob("*.py")
        for name, line in empty_names(ast.parse(path.read_text()))
    }
    assert not found


def test_a_planted_empty_name_is_found():
    tree = ast.parse("def f(own):\n    for told in own:\n        made = told\ndef _made(): ...\n")
    assert sorted(empty_names(tree)) == [("_made", 4), ("made", 3), ("own", 1), ("told", 2)]
