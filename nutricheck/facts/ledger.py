"""Every published figure the tool uses, with its citation and how far it was checked.

The figures stand in ``nutricheck/facts/evidence`` (a CSV and its sidecar per subject) and in the
embedded food table. A sidecar says with ``cited_in``, ``found_at``, ``checked`` and ``read_in``
which columns hold a row's citation, address, check status and the page that was read for it; where
one of the first two is left out, or blank in a row, the sidecar's own publication stands for it.
``checked`` may also be one status for the whole table. ``rated`` names columns of our own ratings,
which no publication gives; ``named_by`` the columns of words that say what a row is, where not all
of them do.
"""

from __future__ import annotations

import csv
import gzip
import json
from collections.abc import Iterator
from dataclasses import dataclass
from importlib.resources import files

from nutricheck.errors import EvidenceError, shorten
from nutricheck.facts import evidence

__all__ = [
    "STATUSES",
    "Figure",
    "Row",
    "Source",
    "all_figures",
    "figures",
    "rows",
    "sources",
]

#: Check statuses, the surest first, and what they mean.
STATUSES = {
    "official": "read in the publisher's own text or file",
    "page": "read on a page of the publication, its abstract among them, or a stored copy of it",
    "copy": "read in a copy of the publication",
    "secondary": "read where another publication quotes it",
    "compiled": "our own figure, drawn from the publications or records named",
    "ours": "our own choice or grouping; nothing published",
    "memory": "from memory, not checked yet",
}
_EMBEDDED = "foods/default"
#: Columns of numbers that say whom a figure is for.
_BANDS = ("age_from", "age_below")
_NO_END = 120
#: Citation, address, check status and page read of a column that ``rated`` names.
_OUR_RATING = ("our own rating", "", "ours", "")


@dataclass(frozen=True)
class Figure:
    """One number: where it stands, what it is, its value in ``unit``, its source, its check.

    ``read`` is the page that was read, where that was another than the publication's own.
    """

    table: str
    row: int
    what: str
    figure: str
    value: str
    unit: str
    citation: str
    address: str
    status: str
    read: str


@dataclass(frozen=True)
class Source:
    """A publication as one table uses it: rows and numbers taken from it, and their check."""

    table: str
    citation: str
    status: str
    rows: int
    figures: int


def figures(name: str) -> list[Figure]:
    """Every number of one evidence table, in file order.

    Raises
    ------
    EvidenceError
        If there is no such table, or a row has no citation or no known check status.
    """
    return [figure for row in rows(name) for figure in row.figures]


def all_figures() -> Iterator[Figure]:
    """Every number of all evidence tables."""
    for name in evidence.names():
        yield from figures(name)


def sources() -> list[Source]:
    """All publications, table by table, the embedded food table first."""
    found = [_embedded()]
    for name in evidence.names():
        counts: dict[tuple[str, str], list[int]] = {}
        for row in rows(name):
            counts.setdefault((row.citation, row.status), [0, 0])[0] += 1
            for figure in row.figures:
                counts.setdefault((figure.citation, figure.status), [0, 0])[1] += 1
        found += [Source(name, *key, *count) for key, count in counts.items()]
    return found


# ---------------------------------------------------------------- reading


@dataclass(frozen=True)
class Row:
    """One row of a table: what it is, its source and check, and its numbers."""

    what: str
    citation: str
    address: str
    status: str
    read: str
    figures: list[Figure]


def rows(name: str) -> Iterator[Row]:
    """The rows of one evidence table, in file order. Raises EvidenceError as :func:`figures`."""
    sidecar = evidence.sidecar(name)
    columns: dict[str, dict[str, str]] = sidecar["columns"]
    cited_in, found_at = sidecar.get("cited_in", ""), sidecar.get("found_at", "")
    checked, read_in = sidecar.get("checked", ""), sidecar.get("read_in", "")
    rated: list[str] = sidecar.get("rated", [])
    numbers = [
        key for key, column in columns.items() if column["unit"] != "text" and key not in _BANDS
    ]
    not_words = {cited_in, found_at, checked, read_in, "unit", "note", *_BANDS, *numbers}
    words = sidecar.get("named_by") or [key for key in columns if key not in not_words]
    whole = f"{sidecar['publisher']}: {sidecar['title']}, {sidecar['edition']}"
    for number, row in enumerate(evidence.rows(name), start=2):
        citation = row.get(cited_in, "") or whole
        address = row.get(found_at, "") or ("" if row.get(cited_in) else sidecar["source"])
        status = row[checked] if checked in columns else checked
        if status not in STATUSES:
            raise EvidenceError(
                f"{name}.csv row {number}: check status is {shorten(status)}, expected one of "
                f"{', '.join(STATUSES)}"
            )
        what = ", ".join([row[key] for key in words if row[key]] + _band(row))
        whence = (citation, address, status, row.get(read_in, ""))
        figures = [
            Figure(
                name,
                number,
                what,
                key,
                row[key],
                row["unit"]
                if columns[key]["unit"] == "1" and "unit" in row
                else columns[key]["unit"],
                *(_OUR_RATING if key in rated else whence),
            )
            for key in numbers
            if row[key] != columns[key]["missing"]
        ]
        yield Row(what, citation, address, status, row.get(read_in, ""), figures)


def _band(row: dict[str, str]) -> list[str]:
    if _BANDS[0] not in row:
        return []
    youngest, above = (int(row[key]) for key in _BANDS)
    return [f"from {youngest} years" if above >= _NO_END else f"{youngest} to {above - 1} years"]


def _embedded() -> Source:
    """The embedded food table, counted in its texts: the facts stand below the food table."""
    folder = files("nutricheck").joinpath(_EMBEDDED)
    package = json.loads(folder.joinpath("datapackage.json").read_text(encoding="utf-8"))
    text = gzip.decompress(folder.joinpath("values.csv.gz").read_bytes()).decode("utf-8")
    _, *rows = csv.reader(text.splitlines())
    return Source(
        package["name"],
        f"{package['title']}, {package['version']}, {package['sources'][0]['path']}",
        "official",
        len(rows),
        sum(1 for _, *amounts in rows for cell in amounts if cell),
    )
