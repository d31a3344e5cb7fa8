"""Every sentence that the tool can say, out of its code, templates and tables, to be read aloud.

``python -m tests.sentences`` prints them with their places; what is filled in stands in braces.
Docstrings are not among them, but for those of commands, which are their help.
"""

from __future__ import annotations

import ast
import functools
import re
from collections.abc import Iterator
from html.parser import HTMLParser
from pathlib import Path
from typing import NamedTuple

from nutricheck.facts import evidence

__all__ = ["Sentence", "sentences"]

_PACKAGE = Path(__file__).parents[1] / "nutricheck"
#: Rules in three languages and what is kept in memory say nothing to anybody.
_SILENT = ("rules", "memory.py", "facts/checksums.py")
#: Columns of tables that are shown to people as sentences.
_SPEAKING_COLUMNS = {
    "cautions": ("detail", "text", "do"),
    "cold_soaking": ("why",),
    "dri_us_canada": ("note",),
    "efsa_drv": ("note",),
    "levels_by_food": ("why",),
    "ready_to_eat": ("made_safe", "reason"),
    "unit_words": ("hint",),
}
_LEAST_WORDS = 4
_WORD = re.compile(r"(?<![\w.{\[=-])[A-Za-z][A-Za-z'’-]+(?![\w(={\]])")
#: Patterns, queries, addresses, styles and lists of column names.
_NOT_SAID = re.compile(
    r"\\b|\(\?|^\s*(SELECT|INSERT|CREATE|UPDATE|DELETE|PRAGMA|WITH)\b|^\w+(?: \w*_\w+)+$|"
    r"^WHERE |LEFT JOIN|https?://\S+$|^#\w+ \w+\[|-src '"
)
_SKIPPED_TAGS = ("script", "style", "svg")
_INLINE = ("b", "bdi", "span", "strong", "em", "a", "code", "i", "sub", "sup", "kbd", "abbr")
_SPOKEN_ATTRIBUTES = ("aria-label", "title", "placeholder", "alt")
_SCRIPT_TEXT = re.compile(r"'((?:[^'\\\n]|\\.)*)'|\"((?:[^\"\\\n]|\\.)*)\"|`((?:[^`\\]|\\.)*)`")
_SCRIPT_COMMENT = re.compile(r"/\*.*?\*/|(?<![:'\"])//[^\n]*", re.DOTALL)


class Sentence(NamedTuple):
    """A text and where it stands."""

    place: str
    text: str


@functools.cache
def sentences() -> list[Sentence]:
    """All texts of at least four words, in the order of the files."""
    found = [*_of_code(), *_of_templates(), *_of_scripts(), *_of_example(), *_of_tables()]
    ids = {row["id"] for row in evidence.rows("cautions")}
    return [
        sentence
        for sentence in found
        if len(_WORD.findall(sentence.text)) >= _LEAST_WORDS
        and not _NOT_SAID.search(sentence.text)
        and sentence.text not in ids
    ]


def _of_code() -> Iterator[Sentence]:
    for path in sorted(_PACKAGE.rglob("*.py")):
        inside = path.relative_to(_PACKAGE).as_posix()
        if not inside.startswith(_SILENT):
            tree = ast.parse(path.read_text(encoding="utf-8"))
            yield from _of_tree(tree, inside)


def _of_tree(tree: ast.AST, place: str) -> Iterator[Sentence]:
    bodies = [
        node
        for node in ast.walk(tree)
        if isinstance(node, ast.Module | ast.ClassDef | ast.FunctionDef)
    ]
    #: Docstrings of modules, classes and functions, and those below a field.
    docstrings = {
        id(part.value)
        for node in bodies
        for part in node.body
        if isinstance(part, ast.Expr) and isinstance(part.value, ast.Constant)
    }
    if place.startswith("cli/"):
        docstrings -= {id(text) for node in bodies for text in _help_of_command(node, place)}
    parts = {
        id(part)
        for node in ast.walk(tree)
        if isinstance(node, ast.JoinedStr)
        for value in node.values
        for part in (value, *ast.walk(getattr(value, "format_spec", None) or ast.Pass()))
    }
    for node in ast.walk(tree):
        if id(node) in docstrings or id(node) in parts:
            continue
        if isinstance(node, ast.JoinedStr):
            yield Sentence(f"{place}:{node.lineno}", _filled(node))
        elif isinstance(node, ast.Constant) and isinstance(node.value, str):
            yield Sentence(f"{place}:{node.lineno}", node.value)


def _help_of_command(node: ast.AST, place: str) -> list[ast.expr]:
    """The docstring of a command: the function that its file is called after."""
    if isinstance(node, ast.FunctionDef) and node.name.strip("_") == Path(place).stem:
        return [part.value for part in node.body[:1] if isinstance(part, ast.Expr)]
    return []


def _filled(node: ast.JoinedStr) -> str:
    return "".join(
        str(part.value) if isinstance(part, ast.Constant) else "{…}" for part in node.values
    )


class _Template(HTMLParser):
    """Texts of a template, an inline element as a part of the text around it."""

    def __init__(self) -> None:
        super().__init__()
        self.texts: list[tuple[int, str]] = []
        self._open: list[str] = []
        self._silent = ""

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        for name, value in attrs:
            if name in _SPOKEN_ATTRIBUTES and value:
                self.texts.append((self.getpos()[0], value))
        if tag not in _INLINE:
            self.end_text()
        if tag in _SKIPPED_TAGS:
            self._silent = tag

    def handle_endtag(self, tag: str) -> None:
        if tag not in _INLINE:
            self.end_text()
        if tag == self._silent:
            self._silent = ""

    def handle_data(self, data: str) -> None:
        if not self._silent:
            self._open.append(data)

    def end_text(self) -> None:
        text = " ".join("".join(self._open).split())
        self._open = []
        if text:
            self.texts.append((self.getpos()[0], text))


def _of_templates() -> Iterator[Sentence]:
    for path in sorted(_PACKAGE.rglob("*.html")):
        source = re.sub(r"\{#.*?#\}", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        said = re.findall(r"\{[{%].*?[%}]\}", source, re.DOTALL)
        place = path.relative_to(_PACKAGE).as_posix()
        template = _Template()
        template.feed(_without_jinja(source))
        template.close()
        template.end_text()
        for line, text in template.texts:
            yield Sentence(f"{place}:{line}", text)
        for block in said:
            for text in _script_texts(block):
                line = source[: source.index(block)].count("\n") + 1
                yield Sentence(f"{place}:{line}", text)


def _without_jinja(source: str) -> str:
    """The template with {…} for what is filled in, lines kept."""
    source = re.sub(
        r"\{\{.*?\}\}", lambda found: "{…}" + _line_ends(found), source, flags=re.DOTALL
    )
    return re.sub(r"\{%.*?%\}", _line_ends, source, flags=re.DOTALL)


def _line_ends(found: re.Match[str]) -> str:
    """The line ends of what is taken out, so that lines keep their numbers."""
    return "\n" * found.group().count("\n")


def _of_scripts() -> Iterator[Sentence]:
    for path in sorted(_PACKAGE.rglob("*.js")):
        place = path.relative_to(_PACKAGE).as_posix()
        source = _SCRIPT_COMMENT.sub(_line_ends, path.read_text(encoding="utf-8"))
        for found in _SCRIPT_TEXT.finditer(source):
            text = next(text for text in found.groups() if text is not None)
            line = source[: found.start()].count("\n") + 1
            yield Sentence(f"{place}:{line}", re.sub(r"\$\{[^}]*\}", "{…}", text))


def _script_texts(source: str) -> Iterator[str]:
    for found in _SCRIPT_TEXT.finditer(source):
        yield next(text for text in found.groups() if text is not None)


def _of_example() -> Iterator[Sentence]:
    example = (_PACKAGE / "plan" / "example.toml").read_text(encoding="utf-8")
    for number, line in enumerate(example.splitlines(), 1):
        if line.startswith("#"):
            yield Sentence(f"plan/example.toml:{number}", line.lstrip("# "))


def _of_tables() -> Iterator[Sentence]:
    """Each text of a column once, with the first row that holds it."""
    keys = ("id", "component", "food_class", "words", "word", "group_codes")
    for table, columns in _SPEAKING_COLUMNS.items():
        texts: set[str] = set()
        for row in evidence.rows(table):
            key = next((row[name] for name in keys if row.get(name)), "")
            for column in columns:
                if row[column] not in texts:
                    texts.add(row[column])
                    yield Sentence(f"{table}.csv, {key}, {column}", row[column])


if __name__ == "__main__":
    for found_sentence in sentences():
        print(f"{found_sentence.place}\t{' '.join(found_sentence.text.split())}")
