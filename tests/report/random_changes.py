"""Random changes of plans in the page and in the workbook, each held against a fresh check.

``python -m tests.report.random_changes --count 200 --seed 1 --page --workbook`` changes portions,
counts of days, drinks and, in the workbook, body mass, heat and hours, and counts how many words
and figures are those of a check of the plan so changed.
"""

from __future__ import annotations

import argparse
import copy
import math
import re
import tempfile
import tomllib
from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from random import Random
from typing import Any, NamedTuple
from unittest.mock import patch

import openpyxl

import nutricheck as nc
from nutricheck import check_plan
from nutricheck.adequacy import chance
from nutricheck.advice.answer import answer
from nutricheck.check_plan import Result
from nutricheck.defaults import TRIP_MEAN
from nutricheck.drying.stages import pack_stage
from nutricheck.errors import NutricheckError
from nutricheck.report.answer_words import chance_words, headline
from nutricheck.report.page import write_page
from nutricheck.report.page_cautions import NOT_FOLLOWED
from nutricheck.report.walking import walking
from nutricheck.report.workbook import workbook_sheets
from nutricheck.report.workbook.cells import Formula, Sheet, letter
from nutricheck.report.workbook.days import days_of
from nutricheck.report.workbook.file import workbook_bytes
from nutricheck.rows import CoverageRow, PortionRow, rows_of
from nutricheck.rules import status
from tests.plans import Entry, sample
from tests.report.browser import browser
from tests.report.spreadsheet import convert_all, formulas
from tests.screens.write import PLANS

__all__ = [
    "PUT",
    "READ",
    "Change",
    "Tally",
    "changed_plan",
    "filled",
    "hold_cautions",
    "inputs_of",
    "page_changes",
    "random_change",
    "steps",
    "workbook_changes",
]

#: Plan → how many of fifteen changes are made to it.
SHARES = {
    **dict.fromkeys(("july_survey", "light_pack", "ridge_walk"), 4),
    **{path.stem: 1 for path in PLANS if path.stem in ("six_weeks", "child", "five_dangers")},
}
Cells = Mapping[tuple[str, str], Formula]
_FACTORS = (0.0, 0.25, 0.5, 0.8, 0.9, 1.1, 1.25, 1.5, 2.0, 3.0)
_MOST_G = 600.0


@dataclass(frozen=True)
class Change:
    """What is changed of a plan, by numbers of its portions and days.

    ``portions``: times the planned amount. ``longest``, ``shortest``: days. ``air``: [°C].
    ``hours``: on the move [h]. ``mass``: of the body [kg]; NaN as planned.
    """

    portions: Mapping[int, float] = field(default_factory=dict)
    longest: Mapping[int, int] = field(default_factory=dict)
    shortest: Mapping[int, int] = field(default_factory=dict)
    air: Mapping[int, float] = field(default_factory=dict)
    hours: Mapping[int, float] = field(default_factory=dict)
    mass: float = math.nan

    @property
    def has_body(self) -> bool:
        """Whether what the body is asked is changed."""
        return bool(self.air or self.hours) or not math.isnan(self.mass)


def plan_of(name: str) -> Entry:
    """A sample, or a plan of the screens."""
    path = next((path for path in PLANS if path.stem == name), None)
    return tomllib.loads(path.read_text("utf-8")) if path else sample(name)


def random_change(plan: Entry, result: Result, random: Random, *, has_body: bool) -> Change:
    """Some portions or all drinks, often the days, and with ``has_body`` what the body is asked."""
    portions = _random_portions(result, random)
    longest, shortest = _random_days(plan, random)
    if not has_body or random.random() < 0.5:
        return Change(portions, longest, shortest)
    warm = [n for n, day in enumerate(plan["days"]) if "air_temperature" in day]
    walked = [n for n, day in enumerate(result.plan.days) if day.moving_h]
    return Change(
        portions,
        longest,
        shortest,
        {n: result.plan.days[n].air_temperature_c + random.choice((-4, -1.5, 2, 4)) for n in warm},
        {n: max(1.0, result.plan.days[n].moving_h + random.choice((-2, -0.5, 1))) for n in walked},
        round(result.plan.person.mass_kg * random.choice((0.9, 0.96, 1.0, 1.07)), 1),
    )


def _random_portions(result: Result, random: Random) -> dict[int, float]:
    plan = result.plan.portions
    carried = {
        row.portion - 1: row
        for row in rows_of(result.portions, PortionRow)
        if row.measured != "found" and not plan[row.portion - 1].is_over_trip
    }
    drinks = [
        number
        for number, row in carried.items()
        if (label := result.labels.get(row.item.casefold())) and label.kind == "drink mix"
    ]
    if drinks and random.random() < 0.15:
        return dict.fromkeys(drinks, 0.0)
    chosen = random.sample(sorted(carried), min(random.randint(1, 4), len(carried)))
    return {
        n: factor
        for n in chosen
        if (factor := random.choice(_FACTORS)) * carried[n].grams < _MOST_G
    }


def _random_days(plan: Entry, random: Random) -> tuple[dict[int, int], dict[int, int]]:
    """Counts of days; where legs hold the days one kind takes those of another."""
    days = plan["days"]
    if random.random() < 0.4 or "order" in plan:
        return {}, {}
    if "legs" in plan:
        taken, given = random.sample(range(len(days)), 2)
        moved = random.randint(0, min(3, days[taken]["count_shortest"]))
        return tuple(  # type: ignore[return-value]
            {taken: days[taken][key] - moved, given: days[given][key] + moved}
            for key in ("count", "count_shortest")
        )
    number = random.randrange(len(days))
    count = random.randint(0 if len(days) > 1 else 1, max(2, 2 * days[number]["count"]))
    fewest = days[number].get("count_shortest", days[number]["count"])
    return {number: count}, {number: min(count, fewest)}


def changed_plan(plan: Entry, result: Result, change: Change) -> Entry:
    """The plan as a person would write the change: each portion in its own measure."""
    plan = copy.deepcopy(plan)
    rows = {portion.portion - 1: portion for portion in rows_of(result.portions, PortionRow)}
    for number, times in change.portions.items():
        entry, row = plan["portions"][number], rows[number]
        over = result.plan.portions[number].over_days
        entry.pop("over", None)
        if over is None:
            entry["amount"] = f"{row.number * times:.10g} {row.unit}"
        elif times:
            entry["over"] = f"{over / times:.10g} days"
        else:
            entry["amount"] = "0 g"
    for key, counts in (("count", change.longest), ("count_shortest", change.shortest)):
        for number, count in counts.items():
            plan["days"][number][key] = count
    for number, air in change.air.items():
        plan["days"][number]["air_temperature"] = f"{air} °C"
    for number, hours in change.hours.items():
        plan["days"][number]["moving"] = f"{hours} h"
    if not math.isnan(change.mass):
        plan["person"]["mass"] = f"{change.mass} kg"
    return plan


def random_changes(
    count: int, random: Random, *, has_body: bool
) -> Iterator[tuple[str, Entry, Result, list[tuple[Change, Result]]]]:
    """Plan by plan: its name, itself, its check, and changes with the check of each."""
    shared = [name for name, share in SHARES.items() for _ in range(share)]
    wanted = Counter(shared[number * len(shared) // count % len(shared)] for number in range(count))
    for name, often in wanted.items():
        plan = plan_of(name)
        result = nc.check(plan)
        found: list[tuple[Change, Result]] = []
        while len(found) < often:
            change = random_change(plan, result, random, has_body=has_body)
            try:
                found.append((change, nc.check(changed_plan(plan, result, change))))
            except NutricheckError:  # no plan, such as a trip without days
                continue
        yield name, plan, result, found


# ---------------------------------------------------------------- how far words are from each other

_ADEQUACY = (status.SHORT, status.LIKELY_SHORT, status.EVEN, status.LIKELY_ENOUGH, status.ENOUGH)
_ADVISED = (status.BELOW_ADVISED, status.NEAR_ADVISED, status.LIKELY_ENOUGH, status.ENOUGH)
_EXCESS = (status.ENOUGH, status.MAYBE_TOO_MUCH, status.TOO_MUCH)
_LIKELY_EXCESS = (status.LIKELY_ENOUGH, status.MAYBE_TOO_MUCH, status.TOO_MUCH)
_UNSURE = (status.NOT_KNOWN, status.LIKELY_ENOUGH)
_NO_AIM = ("", status.MAYBE_TOO_MUCH, status.TOO_MUCH)
_SALT = (status.TOO_LITTLE, status.RIGHT, status.MORE_THAN_USEFUL, status.FAR_TOO_MUCH)
_RANGE = (status.BELOW_RANGE, status.INSIDE_RANGE, status.ABOVE_RANGE)
_SCALES = (_ADEQUACY, _ADVISED, _EXCESS, _LIKELY_EXCESS, _UNSURE, _NO_AIM, _SALT, _RANGE)


def steps(word: str, other: str) -> int:
    """How many words lie from one to the other; words of no common scale are far apart."""
    if word == other:
        return 0
    return min(
        (
            abs(scale.index(word) - scale.index(other))
            for scale in _SCALES
            if {word, other} <= {*scale}
        ),
        default=9,
    )


class Apart(NamedTuple):
    """What is not as a fresh check has it."""

    where: str
    found: object
    expected: object


@dataclass
class Tally:
    """Words and figures held against fresh checks, by kind."""

    compared: Counter[str] = field(default_factory=Counter)
    apart: dict[str, list[Apart]] = field(default_factory=dict)

    def hold(self, kind: str, where: str, found: object, expected: object, is_same: bool) -> None:
        """Count one comparison."""
        self.compared[kind] += 1
        if not is_same:
            self.apart.setdefault(kind, []).append(Apart(where, found, expected))

    def word(self, kind: str, where: str, found: Any, expected: str) -> None:
        """Hold a word against that of a fresh check."""
        self.hold(kind, where, found or "", expected, (found or "") == expected)

    def figure(self, kind: str, where: str, found: Any, expected: float, tolerance: float) -> None:
        """Hold a figure against that of a fresh check; unknown is unknown in both."""
        if not isinstance(found, int | float):
            found = math.nan
        is_same = math.isclose(found, expected, rel_tol=tolerance, abs_tol=1e-6)
        self.hold(
            kind,
            where,
            found,
            expected,
            is_same or (math.isnan(found) == math.isnan(expected) and math.isnan(found)),
        )

    def share(self, kind: str) -> float:
        """Share of a kind that is as a fresh check has it. [-]"""
        return 1 - len(self.apart.get(kind, ())) / self.compared[kind]

    def far(self, kind: str) -> list[Apart]:
        """Words two or more away."""
        return [
            miss
            for miss in self.apart.get(kind, ())
            if steps(str(miss.found), str(miss.expected)) > 1
        ]

    def __str__(self) -> str:
        lines = []
        for kind, count in sorted(self.compared.items()):
            missed = self.apart.get(kind, [])
            line = f"{kind}: {count - len(missed)} of {count} ({100 * self.share(kind):.2f} %)"
            if "word" in kind and missed:
                line += f", two or more away: {len(self.far(kind))}"
            lines.append(line)
        return "\n".join(lines)


# ---------------------------------------------------------------- the workbook


def workbook_changes(count: int, random: Random, folder: Path) -> Tally:
    """Changes of the workbook's cells, computed by a spreadsheet program."""
    tally = Tally()
    for name, _, result, changes in random_changes(count, random, has_body=True):
        sheets = _without_results(workbook_sheets(result))
        planned = formulas(sheets)
        paths = []
        for number, (change, _) in enumerate(changes):
            paths.append(folder / f"{name} {number}.xlsx")
            inputs = inputs_of(result, change, sheets)
            paths[-1].write_bytes(workbook_bytes([filled(sheet, inputs) for sheet in sheets]))
        for number, (path, (change, fresh)) in enumerate(
            zip(convert_all(paths, folder, "xlsx"), changes, strict=True)
        ):
            _hold_workbook(tally, f"{name} {number}", change, planned, fresh, path, number)
    return tally


def _without_results(sheets: Sequence[Sheet]) -> list[Sheet]:
    """The sheets without the values of their formulas, so that none is taken for a result."""
    return [
        replace(
            sheet,
            cells={
                row: {
                    column: (
                        Formula(value.text, "") if isinstance(value, Formula) else value,
                        style,
                    )
                    for column, (value, style) in cells.items()
                }
                for row, cells in sheet.cells.items()
            },
        )
        for sheet in sheets
    ]


def inputs_of(
    result: Result, change: Change, sheets: Sequence[Sheet]
) -> dict[tuple[str, str], float | None]:
    """(sheet, cell) → what is typed there."""
    days = days_of(result)
    names = {name: area for sheet in sheets for name, area in sheet.names.items()}
    first = int(names["portion_number"].partition(":")[0].rpartition("$")[2])
    at = {name: names[f"portion_{name}"].split("$")[1] for name in ("number", "over_days")}
    rows = {}
    for portion in rows_of(result.portions, PortionRow):
        rows.setdefault(portion.portion - 1, portion)
    typed: dict[tuple[str, str], float | None] = {}
    for place, (number, portion) in enumerate(sorted(rows.items())):
        if (times := change.portions.get(number)) is None:
            continue
        over = result.plan.portions[number].over_days
        if over is None:
            typed["Portions", f"{at['number']}{first + place}"] = portion.number * times
        else:
            typed["Portions", f"{at['over_days']}{first + place}"] = over / times if times else None
    for trip, counts in (("longest", change.longest), ("shortest", change.shortest)):
        for day, count in counts.items():
            typed[place_of(days.count_at(day, trip))] = float(count)
    typed |= {place_of(days.air_at(day)): air for day, air in change.air.items()}
    typed |= {place_of(days.hours_at(day)): hours for day, hours in change.hours.items()}
    if not math.isnan(change.mass):
        typed[place_of(days.mass_at)] = change.mass
    return typed


def place_of(address: str) -> tuple[str, str]:
    """Sheet and cell of an address."""
    sheet, _, cell = address.replace("$", "").rpartition("!")
    return sheet.strip("'"), cell


def filled(sheet: Sheet, inputs: Mapping[tuple[str, str], float | None]) -> Sheet:
    """The sheet with what is typed into it."""
    cells = {
        row: {
            column: (inputs.get((sheet.name, f"{letter(column)}{row}"), value), style)
            for column, (value, style) in line.items()
        }
        for row, line in sheet.cells.items()
    }
    return replace(sheet, cells=cells) if any(name == sheet.name for name, _ in inputs) else sheet


#: Sheets whose figures are held against a fresh check's, every so many changes; ends of ranges
#: keep their factors, as the workbook says, and are not.
_FIGURES = ("Portions", "Supply", "Day by day", "Drink and salt", "Reference intakes")
_EVERY = 3


def _hold_workbook(
    tally: Tally, name: str, change: Change, planned: Cells, fresh: Result, path: Path, number: int
) -> None:
    """One changed workbook against a fresh check, ``planned``: the formulas that it has."""
    is_every = number % _EVERY == 0
    book = openpyxl.load_workbook(path, data_only=True, read_only=not is_every)
    is_of_body = change.has_body
    body = ", body or heat changed" if is_of_body else ""
    _hold_daily(tally, name, body, fresh, book["Daily coverage"])
    if not is_every:
        return
    for sheet in workbook_sheets(fresh):
        if sheet.name not in _FIGURES:
            continue
        for row, cells in sheet.cells.items():
            for column, (value, _) in cells.items():
                place = (sheet.name, f"{letter(column)}{row}")
                if not isinstance(value, Formula) or place not in planned:
                    continue
                found = book[sheet.name][place[1]].value
                where, kind = f"{name} {'!'.join(place)}", f"{sheet.name}{body}"
                if isinstance(value.value, str):
                    tally.word(f"{kind}: words", where, found, value.value)
                elif not _is_end(sheet, row, column):
                    tolerance = 0.05 if is_of_body else 2e-3
                    tally.figure(f"{kind}: figures", where, found, value.value, tolerance)


def _is_end(sheet: Sheet, row: int, column: int) -> bool:
    """Whether a cell stands under a heading, or beside a name, of an end of a range."""
    heads = (
        str(sheet.cells[above][column][0])
        for above in range(row - 1, 0, -1)
        if column in sheet.cells.get(above, {}) and "head" in sheet.cells[above][column][1]
    )
    names = (str(sheet.cells[row].get(place, ("",))[0]) for place in (1, 3))
    return any(re.search(r"\b(low|high)\b", text) for text in (next(heads, ""), *names))


def _hold_daily(tally: Tally, name: str, body: str, fresh: Result, found: Any) -> None:
    rows = {(row.day, row.name): row for row in rows_of(fresh.coverage, CoverageRow)}
    lines = found.iter_rows(min_row=4, values_only=True)
    at = {head: column for column, head in enumerate(next(lines))}
    for line in lines:
        row = rows.get((line[1], line[0]))
        if row is None:
            continue
        place = f"{name} {line[0]}, {line[1]}"
        tally.word(f"Daily{body}: status words", place, line[at["Status"]], row.status)
        shown = line[at["Chance it is enough ≈"]]
        if not math.isnan(row.chance):
            words, wanted = (
                chance_words(chance.tenths(one)) if isinstance(one, float | int) else ""
                for one in (shown, row.chance)
            )
            tally.word(f"Daily{body}: chances in tenths", place, words, wanted)
            off = abs(float(shown or 0) - row.chance)
            kind = f"Daily{body}: chances within a tenth"
            tally.hold(kind, place, shown, row.chance, off <= 0.1)
        tolerance = 0.05 if body else 2e-3
        amounts = (("Likely", row.likely), ("Aim", row.reference), ("Ratio", row.ratio))
        for key, value in amounts:
            tally.figure(f"Daily{body}: {key}", place, line[at[key]], value, tolerance)


# ---------------------------------------------------------------- the page

READ = """() => {
  const text = (root, name) => root.querySelector(`[data-f=${name}]`)?.textContent ?? "";
  const result = nutricheck.result();
  return JSON.parse(JSON.stringify({
    title: document.querySelector("#h-answer").textContent,
    standings: Object.fromEntries([...document.querySelectorAll("[data-standing]")].map((e) =>
      [e.dataset.standing, ["word", "where", "chance"].map((name) => text(e, name))])),
    planned: [...document.querySelectorAll(".as-planned")].map((e) => !e.hidden),
    tags: nutricheck.data.tags,
    days: result.days.map((rows) => rows.map((row) => ({ status: row.status, likely: row.likely,
      ratio: row.ratio, reference: row.reference, upper_likely: row.upper_likely }))),
    told: result.told, shares: result.shares,
    walking: result.walking.filter((_, i) =>
      !document.querySelector(`[data-key^="walk ${i} "]`).closest("tr").hidden),
    supply: result.supply, balance: result.balance,
    cautions: result.cautions.map(({ id, level, places }) => [id, level, places]),
    warned: [...document.querySelectorAll("#warned li, #milder li")].map((e) =>
      `${e.querySelector("b").textContent} ${e.querySelector("bdi").textContent}`),
    alarm: document.querySelector(".alarm").hidden ? ""
      : document.querySelector(".alarm").textContent.trim(),
  }));
}"""
PUT = """changes => {
  for (const [id, value] of changes) {
    const input = document.getElementById(id);
    input.value = value;
    input.dispatchEvent(new Event("input", { bubbles: true }));
  }
  return new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)));
}"""


def page_changes(count: int, random: Random, folder: Path, page: Any) -> Tally:
    """Changes by the page's controls, one after the other in one page of each plan."""
    tally = Tally()
    for name, plan, result, changes in random_changes(count, random, has_body=False):
        path, pack = folder / f"{name}.html", pack_stage(result.plan.days)
        write_page(result, path)
        page.goto(path.as_uri())
        planned = page.evaluate(READ)
        rows = {portion.portion - 1: portion for portion in rows_of(result.portions, PortionRow)}
        controls = {n: place for place, n in enumerate(sorted(rows))}
        for number, (change, fresh) in enumerate(changes):
            typed = [
                (f"portion-{controls[n]}", rows[n].grams * times)
                for n, times in change.portions.items()
            ]
            typed += [(f"longest-{n}", count) for n, count in change.longest.items()]
            typed += [(f"shortest-{n}", count) for n, count in change.shortest.items()]
            page.evaluate(PUT, typed)
            found = page.evaluate(READ)
            _hold_page(tally, f"{name} {number}", fresh, found, bool(typed))
            hold_cautions(tally, f"{name} {number}", result, fresh, found)
            with patch.object(check_plan, "pack_stage", return_value=pack):
                kept = nc.check(changed_plan(plan, result, change))
            _hold_words(
                tally, "status words, days in the pack as planned", f"{name} {number}", kept, found
            )
            page.evaluate("document.querySelector('#change [data-do=reset]').click()")
            page.evaluate(PUT, [])
            tally.hold("reset", name, "", "", page.evaluate(READ) == planned)
    return tally


def _rows(
    name: str, fresh: Result, found: Mapping[str, Any]
) -> Iterator[tuple[CoverageRow, dict[str, Any], str]]:
    """A fresh check's rows with the page's, and where they stand."""
    days = [*fresh.days["day"], TRIP_MEAN]
    for expected in rows_of(fresh.coverage, CoverageRow):
        day = days.index(expected.day)
        row = found["days"][day][found["tags"].index(expected.component)]
        yield expected, row | {"day": day}, f"{name} {expected.component}, {expected.day}"


def _hold_words(
    tally: Tally, kind: str, name: str, fresh: Result, found: Mapping[str, Any]
) -> None:
    for expected, row, place in _rows(name, fresh, found):
        tally.word(kind, place, row["status"], expected.status)


#: What is said of vitamin K, and of what holds most oxalate, stays as planned in words.
_WORDS_AS_PLANNED = ("vitamin K", "oxalate")


def hold_cautions(
    tally: Tally, name: str, planned: Result, fresh: Result, found: Mapping[str, Any]
) -> None:
    """The cautions that hold in a changed page, and what they say, against a fresh check."""
    shown = {
        (id_, level, place)
        for id_, level, places in found["cautions"]
        for place in (places or [""])
        if id_ not in NOT_FOLLOWED
    }
    before, expected = (_placed(result) for result in (planned, fresh))
    for one in sorted(shown | expected | before):
        words = ("holds" if one in each else "" for each in (shown, expected))
        tally.word("cautions", f"{name} {one}", *words)
        if (one in before) != (one in expected):
            kind = "cautions that appear" if one in expected else "cautions that vanish"
            tally.hold(kind, f"{name} {one}", one in shown, one in expected, True)
    texts = {re.sub("µ", "u", text) for text in found["warned"]}
    for caution in fresh.cautions:
        if caution.id in (*NOT_FOLLOWED, *_WORDS_AS_PLANNED):
            continue
        text = f"{caution.level}: {f'{caution.where}: ' if caution.where else ''}{caution.text}"
        tally.hold("what cautions say", name, "", text, _alike(text) in map(_alike, texts))
    dangers = sum(caution.level == "danger" for caution in fresh.cautions)
    wanted = f"{dangers} danger{'s' if dangers > 1 else ''} to read first" if dangers else ""
    tally.hold("dangers", name, found["alarm"], wanted, found["alarm"].startswith(wanted))


def _placed(result: Result) -> set[tuple[str, str, str]]:
    """Id, level and place of the cautions of a check that the page follows."""
    return {
        (caution.id, caution.level, place)
        for caution in result.cautions
        for place in (caution.places or ("",))
        if caution.id not in NOT_FOLLOWED
    }


def _alike(text: str) -> str:
    """A caution's words with its places in one order."""
    return " ".join(sorted(re.split(r"[ ;:]+", text)))


def _says_days(text: str) -> bool:
    """Whether a sentence says for how many days the pack is enough."""
    return "The pack covers" in text or "Food for no full day" in text


def _hold_page(
    tally: Tally, name: str, fresh: Result, found: Mapping[str, Any], is_changed: bool
) -> None:
    """One changed page against a fresh check."""
    fresh_answer = answer(fresh)
    _hold_words(tally, "status words", name, fresh, found)
    for expected, row, place in _rows(name, fresh, found):
        shown = found["told"] and found["told"][row["day"]].get(expected.component)
        if shown and not math.isnan(expected.chance):
            both = (shown["tenths"], chance.tenths(expected.chance))
            tally.word("chances in tenths", place, *map(chance_words, both))
        for key in ("likely", "ratio", "reference", "upper_likely"):
            tally.figure(f"figures: {key}", place, row[key], getattr(expected, key), 1e-3)
    for standing in (*fresh_answer.five, *fresh_answer.others):
        word, _, tenths = found["standings"][standing.tag]
        place = f"{name} {standing.tag}"
        tally.word("first screen: words", place, word, standing.shown_word)
        if standing.shown_word == standing.word:
            tally.word("first screen: chances", place, tenths, chance_words(standing.tenths))
    tally.word("verdict sentences", name, found["title"], headline(fresh_answer))
    covered = [text for text in found["title"].split(".") if _says_days(text)]
    wanted = [text for text in headline(fresh_answer).split(".") if _says_days(text)]
    tally.hold("days covered", name, covered, wanted, covered == wanted)
    tally.hold(
        "cautions say they are as planned", name, "", "", set(found["planned"]) == {is_changed}
    )
    for shown, row in zip(found["walking"], walking(fresh), strict=True):
        place = f"{name} {row.component}, {row.day}"
        tally.figure("the walk: per kilogram", place, shown["likely"], row.likely, 1e-3)
        tally.word("the walk: words", place, shown["word"], row.place)
    for trip in ("longest", "shortest"):
        for item, row in zip(
            found["supply"][trip]["items"], fresh.supply.items.to_dict("records"), strict=True
        ):
            for key, column in (("lasts", f"lasts_{trip}_days"), ("left", f"left_{trip}_g")):
                tally.figure(
                    f"supply: {key}", f"{name} {row['item']}", item[key], row[column], 1e-3
                )
        tally.figure(
            "energy balance",
            f"{name} {trip}",
            found["balance"][trip]["per_day"][1],
            fresh.balance[trip].per_day_kcal[1],
            1e-3,
        )
        tally.figure(
            "change of body mass",
            f"{name} {trip}",
            found["balance"][trip]["mass_change"][1],
            fresh.balance[trip].mass_change_kg[1],
            1e-3,
        )


def main() -> None:
    """Count and print."""
    parser = argparse.ArgumentParser(description=__doc__.partition("\n")[0])
    parser.add_argument("--count", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--page", action="store_true")
    parser.add_argument("--workbook", action="store_true")
    asked = parser.parse_args()
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        if asked.workbook:
            _tell("workbook", workbook_changes(asked.count, Random(asked.seed), folder))
        if asked.page:
            with browser() as started:
                page = started.new_page()
                _tell("page", page_changes(asked.count, Random(asked.seed), folder, page))


def _tell(what: str, tally: Tally) -> None:
    print(f"== {what}\n{tally}")
    for kind, missed in tally.apart.items():
        print(f"-- {kind}")
        for miss in missed[:40]:
            print("  ", *miss, sep=" | ")


if __name__ == "__main__":
    main()
