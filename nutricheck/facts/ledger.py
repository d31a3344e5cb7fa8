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
from collections.abc import Iterable, Iterator
from dataclasses import astuple, dataclass, fields
from importlib.resources import files
from typing import IO, TYPE_CHECKING

from nutricheck.errors import EvidenceError, NutricheckError, shorten
from nutricheck.facts import evidence
from nutricheck.outside_text import csv_cell

if TYPE_CHECKING:
    from nutricheck.report.screen import Screen

__all__ = [
    "STATUSES",
    "Figure",
    "Source",
    "all_figures",
    "figures",
    "print_figures",
    "print_sources",
    "sources",
    "write_figures",
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
    return [figure for row in _rows(name) for figure in row.figures]


def all_figures() -> Iterator[Figure]:
    """Every number of all evidence tables."""
    for name in evidence.names():
        yield from figures(name)


def sources() -> list[Source]:
    """All publications, table by table, the embedded food table first."""
    found = [_embedded()]
    for name in evidence.names():
        counts: dict[tuple[str, str], list[int]] = {}
        for row in _rows(name):
            counts.setdefault((row.citation, row.status), [0, 0])[0] += 1
            for figure in row.figures:
                counts.setdefault((figure.citation, figure.status), [0, 0])[1] += 1
        found += [Source(name, *key, *count) for key, count in counts.items()]
    return found


# ---------------------------------------------------------------- reading


@dataclass(frozen=True)
class _Row:
    what: str
    citation: str
    address: str
    status: str
    read: str
    figures: list[Figure]


def _rows(name: str) -> Iterator[_Row]:
    sidecar = evidence.sidecar(name)
    columns: dict[str, dict[str, str]] = sidecar["columns"]
    cited_in, found_at = sidecar.get("cited_in", ""), sidecar.get("found_at", "")
    checked, read_in = sidecar.get("checked", ""), sidecar.get("read_in", "")
    rated: list[str] = sidecar.get("rated", [])
    numbers = [
        key for key, column in columns.items() if column["unit"] != "text" and key not in _BANDS
    ]
    own = {cited_in, found_at, checked, read_in, "unit", "note", *_BANDS, *numbers}
    words = sidecar.get("named_by") or [key for key in columns if key not in own]
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
        made = [
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
        yield _Row(what, citation, address, status, row.get(read_in, ""), made)


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


# ---------------------------------------------------------------- showing


def print_sources(file: IO[str] | None = None) -> None:
    """Print all publications with the count of figures and their check, 100 columns wide."""
    from nutricheck.report.screen import Screen

    screen = Screen(file)
    rows: list[tuple[str, ...]] = []
    table = ""
    for source in sources():
        if source.table != table:
            table = source.table
            rows.append((table,))
        rows.append((f"  {source.citation}", f"{source.figures or source.rows:,}", source.status))
    screen.table(
        "Published figures and where they come from",
        [("table and publication", "left"), ("figures", "right"), ("checked", "left")],
        rows,
    )
    _explain(screen)
    screen.line("One table's figures, one by one: nutricheck sources TABLE. All of them: --csv.")


def print_figures(name: str, file: IO[str] | None = None) -> None:
    """Print every row of one evidence table with its figures, citation and check."""
    from nutricheck.report.screen import Screen

    _known_name(name)
    screen = Screen(file)
    sidecar = evidence.sidecar(name)
    screen.line(f"{sidecar['title']}. {sidecar['publisher']}, {sidecar['edition']}.")
    screen.line(f"{sidecar['source']}; retrieved {sidecar['retrieved']}.")
    if sidecar["changes"].strip():
        screen.line(f"Changes: {' '.join(sidecar['changes'].split())}")
    screen.line()
    rows = [
        (
            row.what,
            ", ".join(_told(figure) for figure in row.figures),
            _cited(row) if "cited_in" in sidecar else "",
            row.status,
        )
        for row in _rows(name)
    ]
    heads = ("what", "figures", "source", "checked")
    shown = [i for i in range(4) if any(row[i] for row in rows)]
    screen.table(
        name, [(heads[i], "left") for i in shown], [[row[i] for i in shown] for row in rows]
    )
    _explain(screen)


def _cited(row: _Row) -> str:
    told = f"{row.citation} {row.address}".strip()
    return f"{told}; read: {row.read}" if row.read else told


def write_figures(found: Iterable[Figure], file: IO[str]) -> None:
    """Write figures as CSV with a heading line."""
    writer = csv.writer(file, lineterminator="\n")
    writer.writerow([field.name for field in fields(Figure)])
    writer.writerows(map(csv_cell, astuple(figure)) for figure in found)


def _known_name(name: str) -> None:
    if name not in evidence.names():
        raise NutricheckError(
            f"there is no table of figures {shorten(name)}; expected one of "
            f"{', '.join(evidence.names())}"
        )


def _told(figure: Figure) -> str:
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    return f"{figure.figure} {figure.value}{unit}"


def _explain(screen: Screen) -> None:
    for status, meaning in STATUSES.items():
        screen.line(f"{status}: {meaning}", "dim")
