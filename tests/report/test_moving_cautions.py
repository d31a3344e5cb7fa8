"""Cautions appear and vanish in the page as a fresh check has them."""

from __future__ import annotations

import functools

import pytest

import nutricheck as nc
from nutricheck.check_plan import Result
from nutricheck.report.page import write_page
from nutricheck.rows import PortionRow, rows_of
from tests.plans import Entry
from tests.report.browser import browser
from tests.report.moving_cautions import CASES, Case, change_of, placed, plan_of
from tests.report.random_changes import (
    PUT,
    READ,
    Tally,
    changed_plan,
    hold_cautions,
)


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
