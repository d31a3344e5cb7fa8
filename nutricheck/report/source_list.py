"""The publications that a check's figures come from, each with what it is used for."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG
from nutricheck.facts.constants import constant
from nutricheck.needs.clinic import CLINIC
from nutricheck.report.parts import Line, Report
from nutricheck.report.words import every_day
from nutricheck.rows import TargetRow, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = [
    "SourceUse",
    "batch_sources",
    "label_sources",
    "need_sources",
    "source_numbers",
    "sources_report",
]

#: Constants that the sodium in a litre of sweat follows from.
_SWEAT_SODIUM = (
    "sweat_sodium_first_day",
    "sweat_sodium_tenth_day",
    "sweat_sodium_days",
    "sweat_sodium_spread",
)


class SourceUse(NamedTuple):
    """A source, the kind of figure that is taken from it, and what that is of."""

    what: str
    of: str
    source: str


def sources_report(result: Result, days: Collection[str]) -> Report:
    """Each source of a figure of ``days`` once, with its number and its uses."""
    uses: dict[str, list[str]] = {}
    for what, of, source in _all_sources(result, days):
        uses.setdefault(source, []).append(f"{what}: {of}" if of else what)
    for number, (source, words) in enumerate(uses.items(), start=1):
        yield Line(source, mark=f"{number}.", hint="; ".join(words))


def source_numbers(result: Result) -> dict[str, int]:
    """Every source → its number in the list of sources."""
    sources = dict.fromkeys(use.source for use in _all_sources(result, every_day(result)))
    return {source: number for number, source in enumerate(sources, start=1)}


def _all_sources(result: Result, days: Collection[str]) -> list[SourceUse]:
    """Without the batches, of which each names its own sources."""
    drying = (use._replace(of="") for use in batch_sources(result))
    return [*need_sources(result, days), *drying, *label_sources(result)]


def need_sources(result: Result, days: Collection[str]) -> list[SourceUse]:
    """Of the targets of ``days`` with the components they are for; of energy, sweat and water."""
    names: dict[tuple[str, str], dict[str, None]] = {}
    for row in rows_of(result.targets[result.targets["day"].isin(list(days))], TargetRow):
        what = "reference intake" if row.is_published else "planning figure or guide"
        what = "figure of the clinic" if row.kind == CLINIC else what
        names.setdefault((what, row.source), {})[BY_TAG[row.component].name] = None
    for need in (need for need in result.needs.values() if need.day in days):
        names.setdefault(("sweat", need.sweat.source), {})[need.day] = None
        names.setdefault(("water needed", need.water.base_source), {})[need.day] = None
        names.setdefault(("energy used", need.energy.method), {})[need.day] = None
    state = "acclimatised" if result.plan.person.acclimatised else "not acclimatised"
    for entry in evidence.rows("sweat"):
        if entry["state"] == state and entry["item"] in BY_TAG:
            key = (f"in sweat, {state}", entry["source"])
            names.setdefault(key, {})[BY_TAG[entry["item"]].name] = None
    for figure in map(constant, _SWEAT_SODIUM):
        names.setdefault(("sodium of sweat", figure.source), {})[figure.what] = None
    return [SourceUse(what, ", ".join(of), source) for (what, source), of in names.items()]


def batch_sources(result: Result) -> list[SourceUse]:
    """Evidence for preparing, drying and storing, with the batches that it is used for."""
    names: dict[str, list[str]] = {}
    for batch in result.batches.values():
        for source in dict.fromkeys(batch.evidence):
            names.setdefault(source, []).append(batch.name)
    return [
        SourceUse("drying", batch_names(result, batches), source)
        for source, batches in names.items()
    ]


def batch_names(result: Result, names: list[str]) -> str:
    """Names of batches; of all of them in two words."""
    return "every batch" if len(names) == len(result.batches) > 1 else "; ".join(names)


def label_sources(result: Result) -> list[SourceUse]:
    """What labels were read by."""
    names: dict[str, list[str]] = {}
    for label in result.labels.values():
        for source in ("the label, as stated in the plan", *label.sources):
            names.setdefault(source, []).append(label.name)
    return [SourceUse("reading of labels", "; ".join(of), source) for source, of in names.items()]
