"""The report's sentences: what a result says, in words, the same in every form of report.

A :class:`Finding` is one sentence with its kind; :func:`verdict` gives them in the order that a
reader needs: the energy, what is short, what is too much, what runs out, what is not known.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any, Literal

import pandas as pd

from nutricheck import components, coverage

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.plan.models import Person

__all__ = [
    "Finding",
    "amount",
    "disclaimer",
    "percent",
    "person_words",
    "reference_words",
    "verdict",
]

Kind = Literal["good", "attention", "bad", "unknown"]

disclaimer = (
    "Reference intakes are for healthy people; those marked planning are figures for planning, "
    "not published limits. This is no medical advice: take it to a dietitian or doctor, and "
    "follow your local food-safety rules."
)


@dataclass(frozen=True)
class Finding:
    """One sentence of the verdict; ``kind`` decides its mark, never its wording."""

    kind: Kind
    text: str


def amount(value: float, decimals: int) -> str:
    """A number for reading: thousands marked, ``–`` where unknown."""
    if pd.isna(value):
        return "–"
    return f"{value:,.{decimals}f}"


def percent(ratio: float) -> str:
    """A ratio as a percentage for reading; ``–`` where unknown."""
    if pd.isna(ratio):
        return "–"
    # a no-break space, so that a line never ends between the number and its sign
    return f"{ratio * 100:,.0f}\u00a0%" if ratio < 9.995 else f"{ratio:,.0f}\u00a0×"


def rows_of(frame: pd.DataFrame) -> list[SimpleNamespace]:
    """A frame's rows with its columns as attributes; a tenth of the time of ``itertuples``."""
    names = list(frame.columns)
    columns = [frame[name].tolist() for name in names]
    return [
        SimpleNamespace(**dict(zip(names, row, strict=True))) for row in zip(*columns, strict=True)
    ]


def person_words(person: Person) -> str:
    """Who the plan is for, in one line."""
    words = [
        "woman" if person.sex == "female" else "man",
        f"{person.age_years} y",
        f"{person.mass_kg:g} kg",
        f"{person.height_cm:g} cm",
    ]
    if person.life_stage != "general":
        words.append({"pregnancy": "pregnant", "lactation": "breast-feeding"}[person.life_stage])
    if person.smoker:
        words.append("smoker")
    words.append("used to the heat" if person.acclimatised else "not yet used to the heat")
    return ", ".join(words)


def reference_words(kind: object) -> str:
    """How a kind of reference is named in a table."""
    return "planning" if kind == "planning" else str(kind) if isinstance(kind, str) else ""


def notes(result: Result) -> list[tuple[str, str]]:
    """(component, note) beside the numbers: how a target came about, and guides beside it.

    Each wording once, with the day types it holds for where that is not all of them.
    """
    rows = result.coverage[result.coverage["reference"].notna() & (result.coverage["note"] != "")]
    guides = result.targets[(result.targets["role"] == "guide") & (result.targets["note"] != "")]
    told = [(row.component, row.note, row.day) for row in rows_of(rows)]
    told += [(row.component, _guide_words(row), row.day) for row in rows_of(guides)]
    where: dict[tuple[str, str], list[str]] = {}
    for component, note, day in told:
        if day != coverage.TRIP_MEAN:
            where.setdefault((component, note), []).append(day)
    order = {tag: i for i, tag in enumerate(components.BY_TAG)}
    everywhere = len(result.days)
    return [
        (
            components.BY_TAG[tag].name,
            note if len(days) == everywhere else f"{', '.join(days)}: {note}",
        )
        for (tag, note), days in sorted(where.items(), key=lambda item: order[item[0][0]])
    ]


def _guide_words(row: Any) -> str:
    """A guide's own figures before its note, where it has any."""
    component = components.BY_TAG[row.component]
    ends = [row.low, row.likely, row.high]
    if any(pd.isna(end) for end in ends):
        return str(row.note)
    figures = "–".join(amount(end, component.decimals) for end in ends)
    return f"guide {figures} {row.unit}: {row.note}"


def verdict(result: Result) -> list[Finding]:
    """The result in sentences, the most important first."""
    rows = rows_of(result.coverage)
    return [
        *_energy(result),
        *_dangers(result),
        *_hot_day_four(rows),
        *_others(rows),
        *_too_much(rows),
        *_supply(result),
        *_unknown(rows),
    ]


def _energy(result: Result) -> list[Finding]:
    """The energy gap first: what the pack really holds against what the days use."""
    findings = []
    for trip in ("longest", "shortest"):
        balance, own = result.balance[trip], result.supply.trips.loc[trip]
        days = balance.trip_days
        if trip == "shortest" and days == result.balance["longest"].trip_days:
            continue
        per_day, share = balance.per_day_kcal, 1 - balance.deficit_share
        if pd.isna(per_day[1]):
            findings.append(Finding("unknown", "Energy: not known for all that is packed."))
            continue
        spent = float((balance.days["need"] * balance.days["count"]).sum()) / days
        text = (
            f"Energy, {trip} trip ({days} days): the food as portioned gives "
            f"{amount(spent + per_day[1], 0)} of {amount(spent, 0)} kcal a day ({percent(share)})"
        )
        if per_day[2] < 0 and share < 0.95:
            covered = _enough(result, "ENERC_KCAL", trip)
            kilos = [-kg for kg in reversed(balance.mass_change_kg)]
            text += (
                f": {amount(-per_day[1], 0)} kcal a day are missing. The "
                f"{amount(own['food_g'] / 1000, 1)} kg packed hold the energy of "
                f"{amount(covered, 1)} such days; expect to lose about {amount(kilos[1], 1)} kg "
                f"({amount(kilos[0], 1)} to {amount(kilos[2], 1)})."
            )
            findings.append(Finding("bad" if share < 0.9 else "attention", text))
        elif share < 1 and per_day[2] >= 0:
            findings.append(Finding("attention", text + ", which may or may not be enough."))
        else:
            findings.append(Finding("good" if share <= 1.15 else "attention", text + "."))
    return findings


def _dangers(result: Result) -> list[Finding]:
    """Batches that can make people ill, told before any nutrient."""
    unsafe = [
        batch.name
        for batch in result.batches.values()
        if any(caution.level == "danger" for caution in batch.cautions)
    ]
    if not unsafe:
        return []
    return [Finding("bad", f"Danger, read its cautions before eating it: {'; '.join(unsafe)}.")]


def _enough(result: Result, tag: str, trip: str) -> float:
    """Days that the packed total of a component really covers."""
    rows = result.supply.enough
    own = rows[(rows["component"] == tag) & (rows["trip"] == trip)]
    return float(own["enough_days"].iloc[0])


def _hot_day_four(rows: Sequence[SimpleNamespace]) -> list[Finding]:
    findings = []
    for tag in components.HOT_DAY_FOUR:
        component = components.BY_TAG[tag]
        own = [row for row in rows if row.component == tag and row.day != coverage.TRIP_MEAN]
        if not own:
            continue
        worst = min(own, key=lambda row: row.ratio if pd.notna(row.ratio) else 1e9)
        if worst.status == coverage.ABOVE:
            continue  # told with what is too much
        same = {row.status for row in own}
        where = "on every kind of day" if len(same) == 1 else f"on {worst.day}"
        text = (
            f"{component.name[0].upper()}{component.name[1:]}: {worst.status} {where}: "
            f"{amount(worst.likely, component.decimals)} {component.unit} of "
            f"{amount(worst.reference, component.decimals)} ({percent(worst.ratio)}, "
            f"between {percent(worst.ratio_low)} and {percent(worst.ratio_high)})."
        )
        findings.append(Finding(_KIND_OF.get(worst.status, "unknown"), text))
    return findings


_KIND_OF: dict[str, Kind] = {
    coverage.COVERED: "good",
    coverage.BORDERLINE: "attention",
    coverage.SHORT: "bad",
    coverage.ABOVE: "bad",
    coverage.NOT_KNOWN: "unknown",
}


def _others_of_the_mean(rows: Sequence[SimpleNamespace], status: str) -> list[SimpleNamespace]:
    """Rows of the trip's mean with a status, the hot-day four and energy left out."""
    told = {*components.HOT_DAY_FOUR, "ENERC_KCAL"}
    return [
        row
        for row in rows
        if row.day == coverage.TRIP_MEAN and row.status == status and row.component not in told
    ]


def _others(rows: Sequence[SimpleNamespace]) -> list[Finding]:
    findings = []
    short = _others_of_the_mean(rows, coverage.SHORT)
    if short:
        named = ", ".join(f"{row.name} ({percent(row.ratio)})" for row in short)
        findings.append(Finding("bad", f"Also short, as the mean of the trip: {named}."))
    near = _others_of_the_mean(rows, coverage.BORDERLINE)
    if near:
        named = ", ".join(row.name for row in near)
        findings.append(Finding("attention", f"Borderline: {named}."))
    return findings


def _too_much(rows: Sequence[SimpleNamespace]) -> list[Finding]:
    findings = []
    above: dict[str, list[SimpleNamespace]] = {}
    for row in rows:
        if row.status == coverage.ABOVE:
            above.setdefault(row.component, []).append(row)
    for tag, own in above.items():
        worst = max(own, key=lambda row: row.upper_likely)
        component = components.BY_TAG[tag]
        basis = _BASIS_WORDS.get(worst.upper_basis, worst.upper_basis)
        findings.append(
            Finding(
                "bad",
                f"Too much {component.name} on {worst.day}: "
                f"{amount(worst.upper_likely, component.decimals)} {component.unit} {basis} "
                f"against an upper level of {amount(worst.upper, component.decimals)}.",
            )
        )
    return findings


_BASIS_WORDS = {
    "all sources": "from all sources",
    "supplements only": "from supplements",
    "supplements and fortified food": "from supplements and fortified food",
    "preformed retinol": "as retinol",
}


#: Share of a trip's portions that may be missing and still be called rounding; ours. [-]
ROUNDING = 0.02


def _supply(result: Result) -> list[Finding]:
    findings, lengths = [], set()
    for trip, days in result.supply.trips["days"].items():
        if days in lengths:
            continue
        lengths.add(days)
        ending = [
            item
            for item in rows_of(result.supply.items)
            if getattr(item, f"missing_{trip}_g")
            > ROUNDING * days * getattr(item, f"used_{trip}_g")
        ]
        if not ending:
            text = f"Supply: all that is packed lasts the {trip} trip of {days:.0f} days."
            findings.append(Finding("good", text))
            continue
        first = min(ending, key=lambda item: getattr(item, f"lasts_{trip}_days"))
        day = int(getattr(first, f"lasts_{trip}_days")) + 1
        text = f"Supply: on the {trip} trip of {days:.0f} days {first.item} runs out on day {day}"
        if len(ending) > 1:
            text += f", before the other {len(ending) - 1} of {len(result.items)} that do not last"
        findings.append(Finding("bad", text + "."))
    return findings


def _unknown(rows: Sequence[SimpleNamespace]) -> list[Finding]:
    unknown = _others_of_the_mean(rows, coverage.NOT_KNOWN)
    if not unknown:
        return []
    named = ", ".join(row.name for row in unknown)
    return [Finding("unknown", f"Not known from this table: {named}. Unknown is not zero.")]
