"""What a report is made of: sections of lines and tables, said once and rendered where they are
wanted."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Literal, NamedTuple

__all__ = [
    "Cell",
    "Column",
    "Columns",
    "Line",
    "Part",
    "Pieces",
    "Report",
    "Section",
    "Style",
    "Styled",
    "Table",
    "left",
    "live",
    "right",
]

Style = Literal["", "bold", "good", "warn", "bad", "dim"]


class Styled(NamedTuple):
    """Text with the style that repeats what it says; ``key`` finds a figure that can change."""

    text: str
    style: Style = ""
    key: str = ""


Cell = str | Styled


class Column(NamedTuple):
    """A column's heading and the side that its cells keep to; a narrow screen has no extra ones."""

    head: str
    side: Literal["left", "right"]
    is_extra: bool = False


Columns = list[Column]


def live(text: str, *key: str | int) -> Styled:
    """A figure that the page's script says anew; it finds it by ``key``: what, and of what."""
    return Styled(text, key=" ".join(map(str, key)))


def left(*heads: str) -> Columns:
    """Columns of words."""
    return [Column(head, "left") for head in heads]


def right(*heads: str) -> Columns:
    """Columns of figures."""
    return [Column(head, "right") for head in heads]


@dataclass(frozen=True)
class Line:
    """A paragraph; ``mark`` stands before it, ``hint`` behind it. Without text, an empty line."""

    text: str = ""
    style: Style = ""
    mark: Cell = ""
    hint: str = ""


@dataclass(frozen=True)
class Pieces:
    """One line of pieces as they are, not wrapped; the first stands apart."""

    pieces: Sequence[Styled]


@dataclass(frozen=True)
class Table:
    """A table under its title; a row shorter than the columns is a heading of its own."""

    title: str
    columns: Columns
    rows: Sequence[Sequence[Cell]]


Part = Line | Pieces | Table
#: A report, part by part.
Report = Iterator[Part]


@dataclass(frozen=True)
class Section:
    """Parts of one topic, with the name by which a rendering takes or leaves them."""

    name: str
    title: str
    parts: Iterable[Part]
