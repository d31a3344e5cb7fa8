"""Days that no body gets through, days that no trip holds, one-day trips, and the JSON of all."""

import copy
import io
import json
import re

import pytest

import nutricheck as nc
from nutricheck.advice.answer import answer
from nutricheck.report.answer_words import headline
from nutricheck.report.data import result_json
from nutricheck.report.terminal import print_report
from nutricheck.report.verdict import facts, verdict
from tests.plans import WOMAN

PLAN = {
    "trip": {"title": "a hot day on the plateau"},
    "person": dict(WOMAN),
    "days": [
        {
            "name": "walk",
            "count": 2,
            "moving": "6 h",
            "pace": "3.6 km/h",
            "pack": "9 kg",
            "air_temperature": "24 °C",
            "humidity": "40 %",
        },
        {"name": "rest", "count": 1},
    ],
    "packed": [{"item": "almonds", "food": "Nuts, almonds", "mass": "1.5 kg"}],
    "portions": [{"item": "almonds", "over": "3 days"}],
}
FURNACE = {
    "name": "furnace",
    "count": 1,
    "moving": "10 h",
    "pace": "5 km/h",
    "pack": "25 kg",
    "air_temperature": "50 °C",
    "humidity": "40 %",
    "drink": "1 L",
}


def plan(*days):
    data = copy.deepcopy(PLAN)
    data["days"] = copy.deepcopy(list(days))
    return nc.check(data, draws=0)


def printed(result, **options):
    out = io.StringIO()
    print_report(result, file=out, **options)
    return out.getvalue()


WALK, REST = PLAN["days"]


def test_a_day_beyond_what_a_body_does_is_the_answer():
    result = plan(WALK, FURNACE)
    first, second, *_ = verdict(result)
    assert first.kind == "bad" and first.text.startswith(
        "No. furnace is not possible: you would sweat"
    )
    assert second.text.startswith("Not possible, furnace: you would sweat")
    assert "IOM 1993" in second.text
    assert headline(answer(result)).startswith("No. furnace is not possible: you would sweat")
    assert any(line.startswith("No. furnace is not") for line in printed(result).splitlines()[:5])
    (water,) = [text for name, text in facts(result) if name == "Water a day"]
    assert "furnace not possible" in water and "walk" in water


def test_no_absurd_figure_is_left_of_it():
    needs = plan(WALK, FURNACE).needs["furnace"]
    assert needs.sweat.total_l[2] <= 12 and needs.water.high_l < 16
    assert needs.sweat.electrolytes.at["NA", "likely"] < 12_000


def test_what_it_asks_for_is_no_aim():
    aims = [
        sentence.text for sentence in verdict(plan(WALK, FURNACE)) if "Sodium:" in sentence.text
    ]
    assert len(aims) == 1 and "on walk" in aims[0] and "furnace" not in aims[0]
    assert {standing.day for standing in answer(plan(WALK, FURNACE)).five} == {"walk", "trip mean"}
    assert not [
        sentence for sentence in verdict(plan(FURNACE)) if sentence.text.startswith("Sodium")
    ]


def test_a_kind_of_day_that_no_trip_holds_raises_nothing():
    unwalked = {**FURNACE, "count": 0}
    result = plan(WALK, REST, unwalked)
    assert result.needs["furnace"].over_limits
    assert not [caution for caution in result.cautions if "furnace" in caution.where]
    assert "furnace" not in printed(result)
    assert "furnace" not in printed(result, everything=True)
    texts = [sentence.text for sentence in verdict(result)]
    assert not [text for text in texts if "furnace" in text or "Not possible" in text]


def test_a_kind_of_day_of_the_shortest_trip_alone_counts():
    result = plan({**WALK, "count_shortest": 0}, {**FURNACE, "count": 0, "count_shortest": 1})
    assert verdict(result)[0].text.startswith("No. furnace is not possible")


def test_a_one_day_trip_lists_only_its_day():
    result = plan({**WALK, "count": 1}, {**REST, "count": 0})
    text = printed(result, everything=True)
    assert "mean of the trip" not in text and "rest" not in text.split("Notes")[0].split()
    assert re.search(r"^walk +1 +1 ", text, re.MULTILINE)


def test_the_json_holds_what_the_text_holds():
    result = plan(WALK, REST, FURNACE)
    data = json.loads(result_json(result))
    walk, rest, furnace = data["needs"]
    assert (walk["day"], walk["is_possible"], furnace["is_possible"]) == ("walk", True, False)
    assert furnace["over_limits"][0]["kind"] == "sweat a day"
    need = result.needs["walk"]
    assert walk["sweat_l"]["likely"] == pytest.approx(need.sweat.total_l[1], rel=1e-5)
    assert walk["water_l"]["high"] == pytest.approx(need.water.high_l, rel=1e-5)
    assert walk["energy_kcal"]["low"] == pytest.approx(need.energy.low, rel=1e-5)
    assert rest["sweat_l"] == {"low": 0, "likely": 0, "high": 0}
    longest = data["energy_balance"]["longest"]
    assert longest["trip_days"] == 4
    assert longest["per_day_kcal"]["likely"] == pytest.approx(
        result.balance["longest"].per_day_kcal[1], rel=1e-5
    )
    trips = {trip["trip"]: trip for trip in data["supply"]["trips"]}
    assert trips["longest"]["food_g"] == 1500
    assert data["supply"]["items"][0]["item"] == "almonds"
    assert {row["day"] for row in data["supply"]["rehydration"]} == {"walk", "rest", "furnace"}
