"""Cautions appear and vanish in the page and in the workbook as a fresh check has them."""

from __future__ import annotations

import functools
from collections import Counter
from collections.abc import Collection, Sequence

import pytest

import nutricheck as nc
from nutricheck.caution_limits import Found, Limit
from nutricheck.check_plan import Result
from nutricheck.report.page import write_page
from nutricheck.report.workbook import workbook_sheets
from nutricheck.report.workbook.cautions_now import (
    AS_PLANNED,
    CHECK_AGAIN,
    FIRST,
    HOLDS,
    NAME,
    NEW,
    NO_LONGER,
    limits_shown,
)
from nutricheck.report.workbook.days import SUMMARY
from nutricheck.report.workbook.file import workbook_bytes
from nutricheck.rows import PortionRow, rows_of
from tests.plans import Entry
from tests.report.browser import browser
from tests.report.moving_cautions import CASES, Case, change_of, placed, plan_of
from tests.report.random_changes import (
    PUT,
    READ,
    Change,
    Tally,
    changed_plan,
    hold_cautions,
    inputs_of,
)
from tests.report.spreadsheet import Values, recalculated_books


def person_of(case: Case) -> str:
    return repr((case.who, case.reference))


@functools.cache
def planned(person: str) -> tuple[Entry, Result]:
    plan = plan_of(next(case for case in CASES if person_of(case) == person))
    return plan, nc.check(plan, draws=0)


@functools.cache
def fresh(number: int) -> Result:
    plan, result = planned(person_of(CASES[number]))
    return nc.check(changed_plan(plan, result, change_of(CASES[number], result)), draws=0)


@pytest.mark.parametrize("number", range(len(CASES)), ids=[case.id for case in CASES])
def test_each_case_brings_its_caution_or_takes_it_away(number):
    case = CASES[number]
    before = placed(planned(person_of(case))[1], case)
    assert case.level in {level for level, _ in before ^ placed(fresh(number), case)}


@pytest.mark.browser
def test_the_page_shows_what_a_fresh_check_shows(tmp_path):
    tally, apart = Tally(), []
    with browser() as started:
        page = started.new_page()
        for person in dict.fromkeys(map(person_of, CASES)):
            _, result = planned(person)
            write_page(result, tmp_path / "page.html")
            page.goto((tmp_path / "page.html").as_uri())
            grams = {row.portion - 1: row.grams for row in rows_of(result.portions, PortionRow)}
            for number, case in enumerate(CASES):
                if person_of(case) != person:
                    continue
                change = change_of(case, result)
                typed = [(f"portion-{n}", grams[n] * times) for n, times in case.portions.items()]
                typed += [(f"longest-{n}", count) for n, count in change.longest.items()]
                typed += [(f"shortest-{n}", count) for n, count in change.shortest.items()]
                page.evaluate(PUT, typed)
                hold_cautions(tally, case.id, result, fresh(number), page.evaluate(READ))
                page.click("#changed [data-do=reset]")
                page.evaluate(PUT, [])
                hold_cautions(tally, case.id, result, result, page.evaluate(READ))
    for kind in ("cautions", "dangers"):
        apart += tally.apart.get(kind, [])
    assert not apart
    assert tally.compared["cautions that appear"] > 40
    assert tally.compared["cautions that vanish"] > 20


# ---------------------------------------------------------------- the workbook

#: The people of the workbooks, each with all that a case of theirs asks for, and the reference set.
_PEOPLE: dict[str, tuple[Entry, str]] = {
    "healthy": ({}, "DRI"),
    "pregnant": ({"life_stage": "pregnancy"}, "DRI"),
    "ill": (
        {
            "life_stage": "lactation",
            "smoker": True,
            "conditions": ["kidney stones", "blood thinner", "iron overload", "liver", "thyroid"],
        },
        "DRI",
    ),
    "young": ({"age": 12, "mass": "38 kg", "height": "148 cm", "conditions": ["kidney"]}, "DRI"),
    "thin": ({"mass": "45 kg", "eats": "vegan"}, "EFSA"),
}


def of_person(case: Case, name: str) -> Case:
    """The case of a person of the workbooks."""
    who, reference = _PEOPLE[name]
    return case._replace(who=who, reference=reference)


def person_for(case: Case) -> str:
    """The first of the people of whom a case may be."""
    return next(
        name
        for name, (who, reference) in _PEOPLE.items()
        if case.reference in ("DRI", reference)
        and all(
            {*asked} <= {*who.get(key, ())} if isinstance(asked, list) else who.get(key) == asked
            for key, asked in case.who.items()
        )
    )


#: Items that are changed at once.
_AT_ONCE = 2


def changes_of(name: str, result: Result) -> list[tuple[Change, list[Case]]]:
    """What is tried of a person, with the cases that it is: at first nothing; heat of the healthy.

    Cases that change portions of different items, or the same portion alike, are tried at once.
    """
    tried: list[tuple[Case, list[Case]]] = []
    for case in (of_person(case, name) for case in CASES if person_for(case) == name):
        for place, (whole, cases) in enumerate(tried):
            times = {**whole.times, **case.times}
            if (
                len(times) <= _AT_ONCE
                and {**times, **whole.times} == times
                and whole.longest == case.longest
            ):
                tried[place] = (whole._replace(times=times), [*cases, case])
                break
        else:
            tried.append((case, [case]))
    changes = [(Change(), []), *((change_of(whole, result), cases) for whole, cases in tried)]
    if name == "healthy":
        changes.append((Change(air={0: 31.0}, hours={0: 7.5}), []))
    return changes


@pytest.mark.sheet
def test_the_workbook_says_which_hold(tmp_path):
    """By id, level and place, in each person's workbook with one change after the other."""
    books, people = [], []
    for name in _PEOPLE:
        plan = plan_of(of_person(CASES[0], name))
        result = nc.check(plan, draws=0)
        sheets = workbook_sheets(result)
        path = tmp_path / f"{name}.xlsx"
        path.write_bytes(workbook_bytes(sheets))
        tried = changes_of(name, result)
        books.append((path, [inputs_of(result, change, sheets) for change, _ in tried]))
        people.append((name, plan, result, tried))
    states: Counter[str] = Counter()
    found = recalculated_books(books, tmp_path, (NAME, SUMMARY))
    for (name, plan, result, tried), versions in zip(people, found, strict=True):
        limits = limits_shown(result)
        for (change, cases), values in zip(tried, versions, strict=True):
            fresh = result
            if change != Change():
                fresh = nc.check(changed_plan(plan, result, change), draws=0)
            for case in cases:
                moved = placed(result, case) ^ placed(fresh, case)
                assert case.level in {level for level, _ in moved}, (name, case.id)
            states += hold_states((name, change), limits, fresh, values)
    assert states[AS_PLANNED] == 0
    assert min(states[NEW], states[NO_LONGER], states[CHECK_AGAIN]) > 5


Placed = tuple[str, str, str]


def hold_states(
    where: object, limits: Sequence[Limit], fresh: Result, values: Values
) -> Counter[str]:
    """The sheet's states, and the summary's line on dangers, against a fresh check; the states."""
    shown: Counter[Placed] = Counter()
    states = Counter(str(values[NAME, f"A{row}"]) for row, _ in enumerate(limits, start=FIRST))
    aside = set()
    for row, limit in enumerate(limits, start=FIRST):
        state = values[NAME, f"A{row}"]
        if state in (HOLDS, NEW):
            shown[limit.id, str(values[NAME, f"B{row}"]), limit.where] += 1
        elif state == CHECK_AGAIN:
            aside.add(limit.id)
    if aside:  # heat brings others too, as the sheet says
        aside |= {one.id for need in fresh.needs.values() for one in need.limits(1)}
    before, expected = (placed_limits(each, aside) for each in (limits, fresh.limits))
    assert shown == expected, (where, shown - expected, expected - shown)
    assert (CHECK_AGAIN in str(values.get((NAME, "A3"), ""))) == bool(aside), where
    said = " ".join(str(one) for (sheet, _), one in values.items() if sheet == SUMMARY)
    came, went = (
        any(level == "danger" for _, level, _ in one)
        for one in (expected - before, before - expected)
    )
    assert ("ew dangers hold now" in said) == came, where
    assert ("of the plan no longer" in said) == went, where
    return states


def placed_limits(found: Sequence[Found], aside: Collection[str]) -> Counter[Placed]:
    """Id, level and place of the limits that hold, but for some."""
    return Counter(
        (one.id, str(one.caution(one.rank).level), one.where)
        for one in found
        if isinstance(one, Limit) and one.rank and one.id not in aside
    )
