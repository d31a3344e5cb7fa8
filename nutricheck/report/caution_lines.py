"""Cautions as lines: each behind its level, the dangers and warnings of a short screen, labels."""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING

from nutricheck.report.answer_words import MOST_WARNINGS
from nutricheck.report.parts import Line, Report, Style, Styled

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.facts.caution import Caution

__all__ = ["caution_lines", "danger_lines", "labels_report", "warning_lines", "warnings_told"]

_LEVEL_STYLES: dict[str, Style] = {"danger": "bad", "warning": "warn", "note": ""}
_BRACKETS = re.compile(r" \((?:[^()]|\([^()]*\))*\)")


def caution_lines(cautions: Iterable[Caution]) -> Report:
    """Each caution as a paragraph behind its level."""
    for caution in cautions:
        where = f"{caution.where}: " if caution.where else ""
        mark = Styled(f"{caution.level}:", _LEVEL_STYLES[caution.level])
        yield Line(f"{where}{caution.text}", mark=mark, hint=caution.authority)


def danger_lines(cautions: Iterable[Caution]) -> Iterator[Line]:
    """Dangers in full, those of one place together."""
    by_place: dict[str, list[str]] = {}
    for caution in cautions:
        place = "" if caution.where == "person" else caution.where.partition(" (taken as raw")[0]
        alike = [known for known in by_place if place and known.startswith(f"{place} (")]
        by_place.setdefault((*alike, place)[0], []).append(caution.text)
    for place, texts in by_place.items():
        head = f"Danger, {place}:" if place else "Danger:"
        yield Line(f"{head} {' '.join(dict.fromkeys(texts))}", mark=Styled("!", "bad"))


def warnings_told(cautions: Sequence[Caution], done: Collection[str]) -> list[Caution]:
    """The worst warnings, but those that an action tells of; ``done``: words of the actions."""
    warnings = [caution for caution in cautions if caution.level == "warning"]
    return [caution for caution in warnings if not caution.do or caution.do not in done][
        :MOST_WARNINGS
    ]


def warning_lines(warnings: Sequence[Caution], *, with_places: bool) -> Report:
    """What warnings are about, in one line."""
    words = [_short_words(caution, with_places=with_places) for caution in warnings]
    if words:
        yield Line(f"Take care: {'; '.join(words)}.", "warn")


def _short_words(caution: Caution, *, with_places: bool) -> str:
    """A warning in a few words: what it is about and where, or what it says of its place."""
    if caution.short:
        return f"{_places(caution.where)}: {caution.short}"
    places = f" ({_places(caution.where)})" if with_places and caution.where != "person" else ""
    return caution.topic + places


def _places(where: str) -> str:
    """The places of a caution without their figures in brackets."""
    return ", ".join(_BRACKETS.sub("", where).split("; "))


def labels_report(result: Result) -> Report:
    """How the labels were read."""
    for label in result.labels.values():
        if label.notes:
            yield Line(f"{'; '.join(label.notes)}.", mark=f"{label.name}:")
