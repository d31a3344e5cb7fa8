"""Single slips are refused or asked about; honest plans are not.

All slips take a minute: the suite tries every fifth, and ``NUTRICHECK_ALL_SLIPS=1`` all of them.
"""

from __future__ import annotations

import ast
import copy
import functools
import os
import re
from typing import Any

import pytest

from nutricheck import check
from nutricheck.check_plan import Result
from nutricheck.errors import NutricheckError
from nutricheck.foods import open_table
from tests.consistency.honest import HONEST
from tests.consistency.night import HONEST_AT_NIGHT, SLIPS_AT_NIGHT
from tests.consistency.slips import JULY, LIGHT, SLIPS, slipped

SAMPLES = {"july": JULY, "light": LIGHT}
TABLE = open_table()
ALL = bool(os.environ.get("NUTRICHECK_ALL_SLIPS"))
TRIED = SLIPS if ALL else SLIPS[::5]
TRIED_AT_NIGHT = SLIPS_AT_NIGHT if ALL else SLIPS_AT_NIGHT[::5]
#: What nothing in the plan contradicts: (plan, place, what stands there).
SILENT = {
    ("july", "batch[beef mince, fried].storage.time", "1 h"),
    ("july", "label[lemon drink powder].amounts.VITC", "5000 %DV"),
}
SILENT_AT_NIGHT = [
    ("kept since last autumn", "batch[bean stew].ingredients[1].mass", "2.4 kg"),
    ("a girl of seventeen with braces of medals", "label[energy bar].serving", "100 g"),
    ("a girl of seventeen with braces of medals", "label[energy bar].amounts.NA", "1.40 g"),
    ("weekend with a spoon", "portions[pea soup].amount", "6 tsp"),
    ("july", "portions[rice, boiled].over", "2 weeks"),
]


def as_meant(plan: str) -> Result:
    return _checked(repr(SAMPLES[plan]))


@functools.cache
def _checked(plan: str) -> Result:
    """The result of a plan, given as text that Python reads."""
    return check(ast.literal_eval(plan), table=TABLE, draws=0)


def outcome(plan: dict[str, Any], place: str, wrong: Any) -> str:
    """How a slip in a plan is told."""
    return as_told(slipped(plan, place, wrong), plan)


def as_told(slip: dict[str, Any], plan: dict[str, Any]) -> str:
    """How a plan with a slip in it is told: refused, asked, by a caution, or not at all."""
    try:
        result = check(slip, table=TABLE, draws=0)
    except NutricheckError as error:
        assert "\n  " in str(error), "the fault has a place"
        return "refused"
    meant = _checked(repr(plan))
    if set(result.questions) - set(meant.questions):
        return "asked"
    return "caution" if _topics(result) - _topics(meant) else "silent"


def _topics(result: Result) -> set[tuple[str, str]]:
    """Topic and place of each caution, without the figures that go along with any change."""
    return {
        (one.topic, re.sub(r" \([^)]*\)", "", place))
        for one in result.cautions
        for place in one.where.split("; ")
    }


def test_the_list_is_long_enough_and_names_each_slip_once():
    assert len(SLIPS) >= 150
    assert len({repr(slip) for slip in SLIPS}) == len(SLIPS)
    assert {repr(slip) for slip in SILENT} <= {repr(slip) for slip in SLIPS}


@pytest.mark.parametrize(("plan", "place", "wrong"), TRIED, ids=lambda value: str(value)[:60])
def test_a_slip_is_told(plan, place, wrong):
    is_silent = any(repr(wrong) == repr(slip[2]) and place == slip[1] for slip in SILENT)
    assert (outcome(SAMPLES[plan], place, wrong) == "silent") == is_silent


@pytest.mark.parametrize(
    ("plan", "place", "wrong"), TRIED_AT_NIGHT, ids=lambda value: str(value)[:60]
)
def test_a_slip_of_a_tired_hand_is_told(plan, place, wrong):
    how = outcome({**SAMPLES, **HONEST, **HONEST_AT_NIGHT}[plan], place, wrong)
    assert (how == "silent") == ((plan, place, wrong) in SILENT_AT_NIGHT)


@pytest.mark.parametrize("plan", ["july", "light"])
def test_the_samples_are_asked_nothing_new(plan):
    """The light pack's capsule is unclear on purpose."""
    assert [ask for ask in as_meant(plan).questions if "mineral capsule" not in ask] == []


@pytest.mark.parametrize("name", [*HONEST, *HONEST_AT_NIGHT])
def test_nothing_is_asked_of_an_honest_plan(name):
    assert check((HONEST | HONEST_AT_NIGHT)[name], table=TABLE, draws=0).questions == ()


@pytest.mark.parametrize(
    ("storage", "is_asked"),
    [
        ({"time": "6 weeks"}, True),
        ({"time": "6 weeks", "where": "before the trip"}, False),
        ({"time": "9 months"}, False),
        ({"time": "3 weeks"}, False),
    ],
)
def test_storage_is_asked_about_where_it_may_be_the_forty_days_of_the_trip(storage, is_asked):
    plan = copy.deepcopy(HONEST["forty days of desert"])
    plan["batch"][0]["storage"] = storage
    asked = [one for one in check(plan, table=TABLE, draws=0).questions if "storage" in one]
    assert len(asked) == is_asked


def test_there_are_twenty_honest_plans():
    assert len(HONEST) >= 20
