"""Every sentence that the tool can say, out of its code and tables, to be read aloud.

``python -m tests.sentences`` prints them with their places; what is filled in stands in braces.
Docstrings and errors of programs are not among them.
"""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path
from typing import NamedTuple

from nutricheck.facts import evidence

__all__ = ["Sentence", "sentences"]

_PACKAGE = Path(__file__).parents[1] / "nutricheck"
#: What speaks to people: reports, additions, questions, and errors that a plan's owner reads.
_SPEAKING = ("report", "advice", "consistency", "editor", "plan", "cautions", "check_plan.py")
_LEAST_WORDS = 4
_WORD = re.compile(r"[A-Za-z]{2,}")


class Sentence(NamedTuple):
    """A text and where it stands."""

    place: str
    text: str


def sentences() -> list[Sentence]:
    """All texts of at least four words, in the order of the files."""
    found = [*_of_code(), *_of_tables()]
    return [sentence for sentence in found if len(_WORD.findall(sentence.text)) >= _LEAST_WORDS]


def _of_code() -> Iterator[Sentence]:
    for path in sorted(_PACKAGE.rglob("*.py")):
        inside = path.relative_to(_PACKAGE)
        if inside.parts[0] in _SPEAKING:
            tree = ast.parse(path.read_text(encoding="utf-8"))
            yield from _of_tree(tree, str(inside))


def _of_tree(tree: ast.AST, place: str) -> Iterator[Sentence]:
    docstrings = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
        and node.body
        and isinstance(node.body[0], ast.Expr)
    }
    parts = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for part in ast.walk(node)
        if part is not node and isinstance(part, ast.Constant)
    }
    for node in ast.walk(tree):
        if id(node) in docstrings or id(node) in parts:
            continue
        if isinstance(node, ast.JoinedStr):
            yield Sentence(f"{place}:{node.lineno}", _filled(node))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield Sentence(f"{place}:{node.lineno}", node.value)


def _filled(node: ast.JoinedStr) -> str:
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else "{…}" for part in node.values
    )


def _of_tables() -> Iterator[Sentence]:
    for row in evidence.rows("cautions"):
        for column in ("text", "do"):
            yield Sentence(f"cautions.csv, {row['id']}, {column}", row[column])


if __name__ == "__main__":
    for sentence in sentences():
        print(f"{sentence.place}\t{' '.join(sentence.text.split())}")
