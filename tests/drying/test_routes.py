"""Routes in words, side by side, and the card of a batch."""

import io
import json

import numpy as np
import pytest
from typer.testing import CliRunner

from nutricheck.batches.of_plan import batch_of_plan
from nutricheck.batches.routes import compare_routes, parse_route, usual_routes
from nutricheck.cli import app
from nutricheck.errors import DryingError
from nutricheck.facts.components import tags
from nutricheck.foods import open_table
from nutricheck.report.batch_card import (
    batch_card,
    batch_json,
    comparison_card,
    comparison_json,
)
from nutricheck.report.screen import show

TABLE = open_table()
THREE = ("raw 35C 6d", "raw 57C 10h", "boiled drained, 68C 8h")


@pytest.mark.parametrize(
    ("text", "preparation", "drying"),
    [
        ("raw 35C 6d", {"kind": "raw"}, [("35 degC", "144 h")]),
        (
            "boiled drained, 68C 8h",
            {"kind": "cooked", "method": "boiled", "liquid": "drained"},
            [("68 degC", "8 h")],
        ),
        ("steam blanched 57 °C 7 h", {"kind": "blanched", "method": "steam"}, [("57 degC", "7 h")]),
        ("water-blanched", {"kind": "blanched", "method": "water"}, []),
        (
            "raw 55C 4h 104F 14h",
            {"kind": "raw"},
            [("55 degC", "4 h"), ("104 degF", "14 h")],
        ),
        ("sulphited 60C 90min", {"kind": "raw", "sulphited": True}, [("60 degC", "1.5 h")]),
        (
            "fermented drained, 40C 16h",
            {"kind": "fermented", "liquid": "drained"},
            [("40 degC", "16 h")],
        ),
    ],
)
def test_route_in_words(text, preparation, drying):
    route = parse_route(text)
    assert route["preparation"] == preparation
    steps = route["drying"].get("steps", [])
    assert [(step["temperature"], step["time"]) for step in steps] == drying


@pytest.mark.parametrize(
    ("text", "method"), [("freeze-dried", "freeze"), ("raw sun 3d 30C", "sun"), ("oven", "oven")]
)
def test_route_names_a_dryer(text, method):
    assert parse_route(text)["drying"]["method"] == method


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("toasted 35C 6d", "'toasted' is not understood"),
        ("raw 35C", "temperatures: 1, times: 0"),
        ("raw boiled 35C 6d", "both raw and cooked"),
        ("raw sun oven", "both sun and oven"),
        ("raw 350C 6d", "outside -60 to 300"),
        ("", None),
    ],
)
def test_route_that_makes_no_sense(text, said):
    if said is None:
        assert parse_route(text)["preparation"] == {"kind": "raw"}
        return
    with pytest.raises(DryingError, match=said):
        compare_routes("11124", [text], TABLE, draws=0)


def test_a_route_given_twice_and_too_many():
    with pytest.raises(DryingError, match="given twice"):
        compare_routes("11124", ["raw 57C 10h", "57C 10 h raw"], TABLE, draws=0)
    with pytest.raises(DryingError, match="at most"):
        compare_routes("11124", [f"raw 57C {h}h" for h in range(1, 20)], TABLE, draws=0)
    with pytest.raises(DryingError, match="moisture: "):
        compare_routes("11124", [], TABLE, moisture="8", draws=0)


def test_each_class_has_usual_routes():
    for food_id in ("11457", "23557", "16069", "01123", "09003", "15015", "01116"):
        food = TABLE.food(food_id)
        comparison = compare_routes(food_id, usual_routes(food), TABLE, draws=0)
        assert len(comparison.batches) == 2


def test_per_100_g_fresh_is_what_the_fresh_food_becomes():
    comparison = compare_routes("11457", THREE, TABLE, draws=0)
    rows = comparison.table.set_index(["component", "route"])
    fresh = rows.loc[("K", "fresh"), "fresh_likely"]
    raw, _, boiled = list(comparison.batches)
    assert rows.loc[("K", raw), "fresh_likely"] == pytest.approx(fresh)
    kept = rows.loc[("K", boiled), "kept_likely"]
    assert rows.loc[("K", boiled), "fresh_likely"] == pytest.approx(fresh * kept, rel=1e-6)


def test_routes_are_held_against_each_other_draw_by_draw():
    """The ranges of vitamin C overlap widely; what both routes share errs alike and drops out."""
    routes = ["raw 57C 10h", "boiled drained, 57C 10h"]
    comparison = compare_routes("Spinach, raw", routes, draws=2000)
    rows = comparison.differences.set_index("component")
    table = comparison.table.set_index(["component", "route"])
    raw, boiled = comparison.batches
    assert table.at[("VITC", raw), "kept_low"] < table.at[("VITC", boiled), "kept_high"]
    assert rows.at["VITC", "chance"] > 0.9
    first, second = comparison.batches.values()
    place = tags().index("VITC")
    more = first.draws[:, place] * first.yield_frac - second.draws[:, place] * second.yield_frac
    assert rows.at["VITC", "chance"] == pytest.approx((more > 0).mean())
    assert rows.at["VITC", "low"] == pytest.approx(np.percentile(more, 5))
    likely = table.at[("VITC", raw), "fresh_likely"] - table.at[("VITC", boiled), "fresh_likely"]
    assert rows.at["VITC", "likely"] == pytest.approx(likely)


def test_the_same_route_at_another_name_makes_no_difference():
    same = compare_routes("Spinach, raw", ["raw 57C 10h", "raw 57C 10.0001h"], draws=200)
    assert same.differences.empty


def lines_of(report, *arguments, **rest):
    out = io.StringIO()
    show(report(*arguments, **rest), out)
    return out.getvalue().splitlines()


def test_comparison_fits_100_columns():
    comparison = compare_routes(
        "11457", (*THREE, "freeze-dried", "steamed 60C 9h"), TABLE, draws=200
    )
    brief = lines_of(comparison_card, comparison)
    full = lines_of(comparison_card, comparison, everything=True)
    assert max(map(len, brief + full)) <= 100
    heads = [line.split(",")[0] for line in full if line.startswith(("Per", "From", "Kept"))]
    assert list(dict.fromkeys(heads)) == [
        "Kept of the fresh food",
        "Per 100 g dried",
        "From 100 g fresh",
    ]
    assert not any(line.startswith("From 100 g fresh") for line in brief)
    assert "Storage before the trip is not counted" in "\n".join(brief)
    assert json.loads(comparison_json(comparison))["food_id"] == "11457"


PLAN = """
[person]
sex = "female"
age = 34
mass = "61 kg"
height = "168 cm"

[[days]]
name = "walk"
count = 3

[[days]]
name = "rest"
count = 1

[[batch]]
name = "Tomato, raw"
ingredients = [{ food = "11529", mass = "6 kg" }]
drying = { temperature = "42 °C", time = "36 h" }
dried_mass = "372 g"

[[packed]]
item = "tomato, raw"
mass = "372 g"

[[portions]]
item = "Tomato, raw"
amount = "30 g"

[[portions]]
item = "Tomato, raw"
amount = "10 g"
days = ["walk"]
"""


@pytest.fixture
def plan(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    return path


def test_batch_of_a_plan_with_its_portions(plan):
    batch, portions = batch_of_plan(plan, "TOMATO, RAW", TABLE, draws=100)
    assert batch.name == "Tomato, raw"
    assert sorted(portions) == [("rest", pytest.approx(30)), ("walk", pytest.approx(40))]


def test_the_same_portion_on_every_day_is_told_once(tmp_path):
    path = tmp_path / "same.toml"
    path.write_text(PLAN.replace('days = ["walk"]\n', ""), encoding="utf-8")
    assert batch_of_plan(path, "tomato, raw", TABLE).portions == [("a day", pytest.approx(40))]


def test_unknown_batch_names_the_nearest(plan):
    with pytest.raises(DryingError, match='did you mean "Tomato, raw"'):
        batch_of_plan(plan, "tomatoe, raw", TABLE)
    with pytest.raises(DryingError) as error:
        batch_of_plan("samples/july_survey.toml", "tomatoe, raw")
    assert "tomato, raw" in str(error.value) and "lentils" not in str(error.value)


def test_card_says_what_matters_in_100_columns(plan):
    batch, portions = batch_of_plan(plan, "tomato, raw", TABLE, draws=100)
    for everything in (False, True):
        lines = lines_of(batch_card, batch, portions, everything=everything)
        assert max(map(len, lines)) <= 100
    text = "\n".join(lines)
    for said in (
        "372 g dried",
        "weighed",
        "to be as moist as before drying",
        "walk, 40 g",
        "vitamin C",
        "What the route costs",
        "Low heat for days",
        "Toor RK, Savage GP",
        "local food-safety rules",
    ):
        assert said in " ".join(text.split())
    found = json.loads(batch_json(batch, portions))
    assert found["moisture_source"] == "weighed"


def test_commands(plan):
    run = CliRunner().invoke
    card = run(app, ["batch", str(plan), "tomato, raw", "--draws", "100"])
    assert card.exit_code == 0 and "372 g dried" in card.stdout
    sides = run(app, ["compare", "11124", "--route", "raw 57C 10h", "--draws", "100", "--json"])
    assert sides.exit_code == 0 and json.loads(sides.stdout)["routes"]
