"""The ledger of published figures for a terminal, and its figures as CSV."""

from __future__ import annotations

import csv
from collections.abc import Iterable
from dataclasses import astuple, fields
from typing import IO

from nutricheck.errors import NutricheckError, shorten
from nutricheck.facts import evidence
from nutricheck.facts.ledger import STATUSES, Figure, Row, rows, sources
from nutricheck.outside_text import csv_cell
from nutricheck.report.parts import Line, Report, Table, left, right

__all__ = ["figures_report", "sources_report", "write_figures"]


def sources_report() -> Report:
    """All publications with the count of figures and their check."""
    lines: list[tuple[str, ...]] = []
    table = ""
    for source in sources():
        if source.table != table:
            table = source.table
            lines.append((table,))
        lines.append((f"  {source.citation}", f"{source.figures or source.rows:,}", source.status))
    yield Table(
        "Published figures and where they come from",
        [*left("table and publication"), *right("figures"), *left("checked")],
        lines,
    )
    yield from _explained()
    yield Line("One table's figures, one by one: nutricheck sources TABLE. All of them: --csv.")


def figures_report(name: str) -> Report:
    """Every row of one evidence table with its figures, citation and check."""
    _known_name(name)
    sidecar = evidence.sidecar(name)
    yield Line(f"{sidecar['title']}. {sidecar['publisher']}, {sidecar['edition']}.")
    yield Line(f"{sidecar['source']}; retrieved {sidecar['retrieved']}.")
    if sidecar["changes"].strip():
        yield Line(f"Changes: {' '.join(sidecar['changes'].split())}")
    yield Line()
    lines = [
        (
            row.what,
            ", ".join(_figure_words(figure) for figure in row.figures),
            _cited(row) if "cited_in" in sidecar else "",
            row.status,
        )
        for row in rows(name)
    ]
    heads = ("what", "figures", "source", "checked")
    shown = [i for i in range(4) if any(line[i] for line in lines)]
    yield Table(
        name, left(*(heads[i] for i in shown)), [[line[i] for i in shown] for line in lines]
    )
    yield from _explained()


def _cited(row: Row) -> str:
    citation = f"{row.citation} {row.address}".strip()
    return f"{citation}; read: {row.read}" if row.read else citation


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


def _figure_words(figure: Figure) -> str:
    unit = "" if figure.unit == "1" else f" {figure.unit}"
    return f"{figure.figure} {figure.value}{unit}"


def _explained() -> Report:
    for status, meaning in STATUSES.items():
        yield Line(f"{status}: {meaning}", "dim")
