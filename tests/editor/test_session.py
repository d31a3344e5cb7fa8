"""A plan in the making: the answer is the check's to the last digit, half-filled plans too; faults
have ways out that lead out; every step can be taken back."""

from __future__ import annotations

import copy
import gc
from random import Random

import pytest

import nutricheck as nc
from nutricheck.editor.form import STEPS, kind_at, nodes, section_node, sections_of
from nutricheck.editor.session import Session, Stale
from nutricheck.editor.view import step_part
from nutricheck.errors import NutricheckError, PlanError
from nutricheck.foods import open_table
from nutricheck.plan import models
from nutricheck.plan.changes import changed
from nutricheck.plan.read import plan_from_data
from nutricheck.report.data import result_json
from tests.plans import person, sample

DRAWS = 40


@pytest.fixture(scope="module")
def table():
    return open_table()


@pytest.fixture(scope="module")
def one_session():
    return Session(sample("july_survey"), draws=0)


@pytest.fixture
def july(one_session):
    """The July plan, opened once for many tests."""
    yield one_session
    while one_session.can_undo:
        one_session.undo()


def opened(name="july_survey", draws=DRAWS):
    return Session(sample(name), draws=draws)


# ---------------------------------------------------------------- equal to a fresh check

VALUES = {
    ("portions", 0, "amount"): ["170 g", "90 g", "12 tbsp", "nonsense"],
    ("portions", 2, "over"): ["21 days", "14 days"],
    ("packed", 0, "mass"): ["3.7 kg", "8 lb", "3,700 g"],
    ("label", 0, "amounts", "K"): ["300 mg", "0.9 g", None],
    ("batch", 2, "dried_mass"): ["372 g", "200 g", None],
    ("batch", 2, "drying", "temperature"): ["42 °C", "130 °F", "57"],
    ("batch", 5, "ingredients", 0, "mass"): ["6 kg", "5.5 kg"],
    ("batch", 3, "name"): ["spinach, raw", "green leaves"],
    ("days", 0, "count"): [15, 9, 0],
    ("days", 1, "air_temperature"): ["33 °C", "95 °F"],
    ("person", "age"): [34, 71, None],
    ("person", "eats"): [None, "vegetarian", "stones"],
    ("trip", "reference"): ["DRI", "EFSA"],
    ("mix", 1, "parts", 0, "mass"): ["230 g", "100 g"],
    ("packed", 3): [None],
}


@pytest.mark.parametrize("seed", [3, 8])
def test_after_any_changes_the_answer_is_that_of_a_fresh_check(table, seed):
    """Changes, steps back and forth at random; more by hand: tests/benchmarks/bench_editor.py."""
    random = Random(seed)
    session = opened()
    for number in range(5):
        if number and random.random() < 0.3:
            session.undo()
        elif number and random.random() < 0.2:
            session.redo()
        else:
            place = random.choice(list(VALUES))
            session.change([(place, random.choice(VALUES[place]))])
        if session.result is not None:
            fresh = nc.check(session.partial.counted, table=table, draws=DRAWS)
            assert result_json(session.result) == result_json(fresh)


def test_what_did_not_change_is_not_dried_again():
    session = opened()
    before = dict(session.result.batches)
    session.change([(("portions", 0, "amount"), "90 g")])
    after = session.result.batches
    assert all(after[name]._trace is batch._trace for name, batch in before.items())
    session.change([(("batch", 2, "drying", "time"), "30 h")])
    again = session.result.batches
    dried = {name for name in after if again[name]._trace is not after[name]._trace}
    assert dried == {"tomato, raw"}


def test_what_is_remembered_stays_bounded():
    session = Session({"trip": {"title": "x"}}, draws=0)
    for number in range(3000):
        session.change([(("trip", "notes"), f"note {number}"), (("trip", "title"), str(number))])
    assert len(session._back) <= 200
    before = len(gc.get_objects())
    for number in range(2000):
        session.change([(("trip", "notes"), f"more {number}"), (("trip", "title"), str(number))])
    assert len(gc.get_objects()) < before + 2000


# ---------------------------------------------------------------- half-filled plans


def test_a_plan_is_answered_as_soon_as_it_can_be_and_says_what_it_leaves_out():
    session = Session({}, draws=DRAWS)
    assert {fault.location[0] for fault in session.partial.needed} == {
        "person",
        "days",
        "packed",
        "portions",
    }
    assert not session.partial.faults
    session.change([(("batch", 0), {"name": "tomato", "ingredients": [{"food": "tomato"}]})])
    session.change(
        [(("person",), {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"})]
    )
    session.change([(("days", 0), {"name": "walk", "count": 10})])
    session.change(
        [(("packed", 0), {"item": "raisins", "food": "Raisins, seedless", "mass": "2 kg"})]
    )
    assert session.result is None
    session.change([(("portions", 0), {"item": "raisins", "over": "10 days"})])
    assert session.result is not None
    assert session.effect == "Now there is an answer."
    assert [entry.name for entry in session.partial.left_out] == ["tomato"]
    session.change([(("packed", 1), {"item": "tomato", "mass": "100 g"})])
    session.change([(("portions", 1), {"item": "tomato", "amount": "10 g"})])
    left = {(entry.location[0], entry.name) for entry in session.partial.left_out}
    assert left == {("batch", "tomato"), ("packed", "tomato"), ("portions", "tomato")}
    assert not session.partial.faults, "what only rests on a gap is no fault of its own"
    session.change([(("batch", 0, "ingredients", 0, "mass"), "3 kg")])
    assert not session.partial.left_out
    assert "tomato" in session.result.items
    assert "vitamin C" in session.effect
    session.change([(("person", "age"), None)])
    assert session.result is None
    assert session.effect == "Now there is no answer any more."


def test_what_the_change_did_is_said_with_its_sign():
    session = opened()
    session.change([(("portions", 13, "amount"), "4 tbsp")])
    more = session.effect
    session.undo()
    assert more.startswith("+")
    assert session.effect.startswith("−")
    session.change([(("packed", 0, "container_mass"), "78 g")])
    assert "30 g heavier" in session.effect
    session.change([(("packed", 0, "container"), "bags")])
    assert session.effect == "That changes nothing that you see here."


# ---------------------------------------------------------------- faults and their ways out

FAULTS = [
    ([(("batch", 2, "dried_mass"), "200 g")], "It was only 3.4 kg"),
    ([(("batch", 2, "dried_mass"), "200 g")], "I weighed only a part: leave it out"),
    ([(("batch", 2, "drying", "temperature"), "42")], "42 °C"),
    ([(("batch", 0, "drying", "temperature"), "140")], "140 °F"),
    ([(("days", 0, "air_temperature"), "95 C")], "95 °F"),
    ([(("packed", 3, "mass"), "1,700 g")], "1700 g"),
    ([(("packed", 3, "mass"), "1.7")], "1.7 kg"),
    ([(("batch", 2, "moisture"), "5 %")], "Keep dried_mass, without moisture"),
    ([(("portions", 0, "item"), "plateau stew")], "It is plateau stew powder"),
    ([(("portions", 0, "item"), "plateau stew")], "Take out this portion"),
    ([(("mix", 1, "parts", 0, "item"), "spinach raw")], "It is spinach, raw"),
    ([(("days", 0, "surface"), "road")], "dirt road"),
    ([(("batch", 3, "ingredients", 0, "food"), "spinach leaves cooked boiled")], None),
    ([(("portions", 3, "amount"), "60")], "60 g"),
]


@pytest.mark.parametrize(("changes", "words"), FAULTS)
def test_a_way_out_leads_out_and_the_fault_names_its_place(july, changes, words):
    session = july
    session.change(changes)
    (fault,) = session.partial.faults
    assert (
        fault.location[: len(changes[0][0]) - 1]
        == changes[0][0][: len(fault.location)][: len(changes[0][0]) - 1]
    )
    assert fault.message
    fix = next(fix for fix in fault.fixes if words in (None, fix.words))
    session.change(list(fix.changes))
    assert not session.partial.faults
    assert not session.partial.left_out


def test_terminal_and_workbook_carry_the_same_ways_out(tmp_path, table):
    from nutricheck.plan.fill_in import plan_workbook

    data = changed(sample("july_survey"), [(("batch", 2, "dried_mass"), "200 g")])
    path = tmp_path / "plan.xlsx"
    path.write_bytes(plan_workbook(data))
    found = []
    for plan in (data, path):
        with pytest.raises(PlanError) as caught:
            nc.check(plan, table=table, draws=0)
        (fault,) = caught.value.faults
        found.append((fault.location, fault.value, fault.fixes))
        assert "to put it right: It was only 3.4 kg" in str(caught.value)
    assert found[0] == found[1]
    assert found[0][:2] == (("batch", 2, "dried_mass"), "200 g")


def test_a_new_name_is_new_wherever_it_stands(july):
    session = july
    session.change([(("batch", 0, "name"), "brown lentils")])
    session.change([(("mix", 0, "name"), "stew")])
    session.change([(("days", 0, "name"), "a walk")])
    assert not session.partial.faults
    assert session.data["mix"][0]["parts"][0]["item"] == "brown lentils"
    assert session.data["portions"][0]["item"] == "stew"
    assert session.data["portions"][13]["days"][0] == "a walk"
    session.undo()
    assert session.data["days"][0]["name"] == "survey walk"


def test_a_new_name_is_new_on_the_way_too():
    data = sample("ridge_walk") | {
        "companions": [person("male", 41, "80 kg", "183 cm", name="Ben")]
    }
    data["person"]["name"] = "Ada"
    data["portions"][0]["who"] = ["Ada", "Ben"]
    session = Session(data, draws=0)
    drink = next(
        n
        for n, portion in enumerate(data["portions"])
        if portion["item"] == "evening sugar ferment"
    )
    session.change([(("legs", 1, "name"), "second leg")])
    session.change([(("person", "name"), "Eda")])
    session.change([(("companions", 0, "name"), "Bo")])
    session.change([(("ferment", 0, "name"), "evening drink")])
    session.change([(("days", 0, "name"), "ridge day")])
    assert not session.partial.faults
    assert {entry.get("leg", "") for entry in session.data["packed"]} == {
        "",
        "second leg",
        "pass to the sea",
    }
    assert session.data["found"][0]["leg"] == "second leg"
    assert session.data["found"][0]["days"] == ["ridge day"]
    assert session.data["portions"][0]["who"] == ["Eda", "Bo"]
    assert session.data["portions"][drink]["item"] == "evening drink"


# ---------------------------------------------------------------- steps back


def test_every_step_can_be_taken_back_and_forth_again():
    session = Session({"trip": {"title": "July"}, "batch": sample("july_survey")["batch"]}, draws=0)
    first = copy.deepcopy(session.data)
    seen = [session.data]
    for place, value in [
        (("trip", "title"), "A"),
        (("trip", "title"), "AB"),
        (("person", "age"), "40"),
        (("batch", 14), None),
    ]:
        session.change([(place, value)])
        seen.append(session.data)
    assert seen[0] == first, "the data before is never touched"
    session.undo()
    session.undo()
    assert session.data == seen[2]
    session.undo()
    assert session.data == seen[0], "typing on in one field is one step"
    for wanted in (seen[2], seen[3], seen[4]):
        session.redo()
        assert session.data == wanted
    session.redo()
    assert session.data == seen[4]


def test_a_change_of_an_older_plan_is_refused():
    session = Session({"trip": {"title": "x"}}, draws=0)
    session.change([(("trip", "title"), "y")], revision=0)
    with pytest.raises(Stale):
        session.change([(("trip", "title"), "z")], revision=0)
    assert session.data["trip"]["title"] == "y"


@pytest.mark.parametrize(
    "place", [("nowhere",), ("trip", "x"), ("trip", 0), ("trip", "title", 1), ()]
)
def test_a_place_that_no_plan_has_is_refused(place):
    session = Session({}, draws=0)
    with pytest.raises(NutricheckError):
        session.change([(place, "x")])
    assert session.data == {}


# ---------------------------------------------------------------- everything has its place


def every_place(model, base=()):
    """A place of each field of the schema, in entry 0 of each list and under one key of a table."""
    for node in nodes(model):
        here = (*base, node.key)
        if node.kind == "group":
            yield from every_place(node.model, here)
        elif node.kind == "entries":
            yield from every_place(node.model, (*here, 0))
        elif node.kind == "table":
            yield (*here, "MG")
        else:
            yield here


def rendered(step, opened_entry, data):
    """The step's form as HTML."""
    from nutricheck.editor import app

    session = Session(data, draws=0)
    return app._rendered(
        "step.html",
        step=step_part(session, step, opened_entry),
        card=None,
        spoon=None,
        packable=[],
        uneaten=[],
    )


@pytest.mark.parametrize("step", STEPS, ids=lambda step: step.name)
def test_every_field_of_the_schema_has_a_control(step):
    import html
    import json

    for section in sections_of(step):
        node = section_node(section)
        is_list = node.kind == "entries"
        entry = {"amounts": {"MG": "1 mg"}} if section == "label" else {}
        data = {"days": [{"name": "walk"}], **({section: [entry]} if is_list else {})}
        text = html.unescape(rendered(step, (section, 0) if is_list else (), data))
        places = list(every_place(models.Plan))
        wanted = [place for place in places if place[0] == section]
        assert wanted
        for place in wanted:
            assert kind_at(place) is not None
            known = [place, (*place, 0)]
            assert any(
                f'data-path="{json.dumps(path)}"' in text
                or f'data-new-key="{json.dumps(path[:-1])}"' in text
                for path in known
            ), place


def test_every_section_stands_in_one_step():
    placed = [section for step in STEPS for section in sections_of(step)]
    assert sorted(placed) == sorted(node.key for node in nodes(models.Plan))


def test_a_plan_of_every_field_survives_its_way_through_the_form():
    data = sample("july_survey")
    session = Session({}, draws=0)
    for section, value in data.items():
        session.change([((section,), copy.deepcopy(value))])
    assert plan_from_data(session.data) == plan_from_data(data)
