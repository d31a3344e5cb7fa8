"""The drink plan: the worked cases, what the mix holds, and no plan above the day's cap."""

import itertools
import json
import math
import re
from dataclasses import replace

import pytest

from nutricheck.advice.drink_plan import (
    carbohydrate_on_the_way,
    drink_of_an_hour,
    drink_plan,
    drink_plans,
    hourly_cap,
)
from nutricheck.check_plan import check
from nutricheck.needs.day import day_needs
from nutricheck.needs.sweat import is_sweat_measured
from nutricheck.needs.water import base_by_mass, is_weather_assumed
from nutricheck.plan.models import DayType, Person
from nutricheck.report.data import result_json
from nutricheck.report.drink import (
    ceiling_words,
    drink_sentences,
    most_of_an_hour_words,
    short_drink,
)
from nutricheck.report.page import page_html
from nutricheck.report.verdict import facts, short_facts, water_base_words
from nutricheck.report.workbook import workbook_sheets
from nutricheck.report.workbook.cells import Formula
from tests.plans import WOMAN

CAP_L = 11.36


def planned(
    mass_kg, rate, hours, heat_day, eaten_mg, mix_mg=0.0, other_l=2.7, sex="female", **changes
):
    person = Person(sex=sex, age=34, mass=f"{mass_kg} kg", height="170 cm", **changes)
    day = DayType(name="walk", count=1, moving=f"{hours} h", sweat_rate=f"{rate!r} L/h")
    need = day_needs(person, day, heat_days=(heat_day,))
    sodium = replace(need.sodium, stages=(need.sodium.first,) if need.sodium.first else ())
    return drink_plan(mass_kg, need.sweat, sodium, eaten_mg, mix_mg, other_l, CAP_L, 1.2)


@pytest.mark.parametrize(
    ("mass_kg", "rate", "hours", "heat_day", "eaten", "hour", "litres", "per_litre", "salt_g"),
    [
        (61, 5.562 / 8, 8, 1, 4211, (0.54, 0.60, 0.70), 4.8, 346, 0.9),
        (61, 5.562 / 8, 8, 12, 4211, (0.54, 0.60, 0.70), 4.8, 0, 0),  # 79 mg/L: none
        (78, 0.9, 7, 1, 3500, (0.68, 0.80, 0.90), 5.6, 551, 1.4),
        (78, 0.9, 7, 12, 3500, (0.68, 0.80, 0.90), 5.6, 292, 0.7),
    ],
)
def test_worked_cases(mass_kg, rate, hours, heat_day, eaten, hour, litres, per_litre, salt_g):
    sex = "female" if mass_kg == 61 else "male"
    found = planned(mass_kg, rate, hours, heat_day, eaten, sex=sex)
    assert (found.low_l_h, found.carry_l_h, found.high_l_h) == pytest.approx(hour, abs=0.006)
    assert found.carry_l == pytest.approx(litres)
    assert found.salt[0].per_litre_mg == pytest.approx(per_litre, abs=1)
    assert found.salt[0].salt_g_l == pytest.approx(salt_g, abs=0.06)


def test_a_litre_holds_no_more_than_the_most_with_what_the_mix_brings():
    """1100 mg in a litre (DGE 2020); 4.8 L with 4,000 mg of the mix leave room for 267 mg."""
    found = planned(61, 5.562 / 8, 8, 1, eaten_mg=1000, mix_mg=4000)
    assert found.salt[0].per_litre_mg == pytest.approx(1100 - 4000 / 4.8)
    assert found.salt[0].food_salt_g > 0


def test_a_rest_day_is_by_thirst_without_salt():
    found = planned(61, 0.478, 1, 12, eaten_mg=2290)
    assert found.kind == "thirst" and found.salt[0].salt_g_l == found.salt[0].food_salt_g == 0


@pytest.mark.parametrize("condition", ["heart", "kidney", "blood pressure"])
def test_without_a_salt_figure_no_salt_is_named(condition):
    assert planned(78, 0.9, 7, 1, 3500, sex="male", conditions=[condition]).salt == ()


def test_no_plan_passes_the_days_cap_or_the_hours_gut_uptake():
    cases = 0
    for mass_kg, rate, hours in itertools.product(
        (30, 61, 95, 130), (0.2, 0.7, 1.2, 2.0), (1, 4, 8, 14)
    ):
        found = planned(mass_kg, rate, hours, 1, 3000)
        cases += 1
        if found.kind == "carry":
            assert found.carry_l + 2.7 <= CAP_L + 1e-9 and found.high_l_h <= 1.2
        else:
            assert found.kind == "thirst" or math.isnan(found.carry_l)
    assert cases == 64


def test_in_order_only_the_heat_days_of_the_kind_are_told():
    person = Person(sex="female", age=34, mass="61 kg", height="170 cm")
    day = DayType(name="walk", count=4, moving="8 h", sweat_rate="0.7 L/h")
    for heat_days, told_days in ((range(16, 20), [10]), (range(3, 7), [1, 5]), ((1,), [1])):
        need = day_needs(person, day, heat_days=tuple(heat_days))
        found = drink_plan(61, need.sweat, need.sodium, 4211, 0.0, 2.7, CAP_L, 1.2)
        assert [stage.heat_day for stage in found.salt] == told_days


FLUID = {"component": "fluid", "set_by": "kidney clinic", "set_on": "May 2026"}


def checked(conditions=(), clinic=(), age=40, drink="2 L"):
    """A woman of 60 kg who walks 6 h in 30 °C, 2.2 L a day, and rests."""
    return check(
        {
            "person": {
                "sex": "female",
                "age": age,
                "mass": "60 kg",
                "height": "165 cm",
                "conditions": list(conditions),
            },
            "clinic": list(clinic),
            "days": [
                {
                    "name": "walk",
                    "count": 3,
                    "moving": "6 h",
                    "sweat_rate": "0.7 L/h",
                    "air_temperature": "24 °C",
                    "humidity": "40 %",
                    "drink": drink,
                },
                {"name": "rest", "count": 1},
            ],
            "batch": [
                {
                    "name": "carrots",
                    "ingredients": [{"food": "11124", "mass": "4 kg"}],
                    "preparation": {"kind": "cooked", "method": "boiled"},
                    "drying": {"temperature": "57 °C", "time": "8 h"},
                }
            ],
            "packed": [{"item": "carrots", "mass": "400 g"}],
            "portions": [{"item": "carrots", "amount": "80 g"}],
        },
        draws=0,
    )


def test_a_clinics_fluid_takes_the_place_of_the_water_need_and_of_the_drink_plan():
    result = checked(["kidney"], [FLUID | {"limit": "2.5 L"}])
    water = result.needs["walk"].water
    soaking = result.supply.rehydration.set_index("day").at["walk", "litres"]
    assert soaking > 0.1
    assert water.clinic is not None and not water.is_asked
    # what is drunk beside the food, and what soaks it, are the limit together
    assert water.drink_l[1] + _food_water(result) == pytest.approx(water.likely_l)
    assert water.likely_l == pytest.approx(2.5 + _food_water(result) - soaking)
    assert water.ceilings.daily_l == 2.5 and "kidney clinic" in water.ceilings.source
    drink = drink_plans(result)["walk"]
    assert (drink.kind, drink.carry_l) == ("clinic", 2.5)
    assert math.isnan(drink.carry_l_h)
    (words, _) = drink_sentences(result)
    assert "at most 2.5 L a day with what soaks the food, set by kidney clinic" in words


def _food_water(result):
    rows = result.intake.table.set_index(["day", "component"])
    soaking = result.supply.rehydration.set_index("day").at["walk", "litres"]
    return soaking + rows.at[("walk", "WATER"), "likely"] / 1000


def test_an_aim_of_the_clinic_is_drunk_on_every_day():
    result = checked((), [FLUID | {"aim": "3 L"}])
    assert {drink.carry_l for drink in drink_plans(result).values()} == {3.0}
    assert [drink.kind for drink in drink_plans(result).values()] == ["clinic", "clinic"]


@pytest.mark.parametrize(
    ("limit", "drink", "ids"),
    [
        ("2.5 L", "1.5 L", {"clinic's fluid below need"}),  # 6.9 L asked, 7 % of 60 kg missing
        ("2.5 L", "3 L", {"clinic's fluid below need", "planned drink above the clinic's"}),
        ("7 L", "5 L", set()),
    ],
)
def test_a_limit_below_the_need_is_said_and_so_is_a_plan_above_it(limit, drink, ids):
    result = checked(["kidney"], [FLUID | {"limit": limit}], drink=drink)
    cautions = result.cautions
    found = {caution.id: caution.level for caution in cautions if "clinic" in caution.id}
    assert found == dict.fromkeys(ids, "danger")
    said = [drink_sentences(result)[0], short_drink(result)]
    needed = result.needs["walk"].water
    for words in said:
        assert ("do not walk this day as planned" in words) == bool(ids)
        more = f"{needed.needed_l - needed.likely_l:.1f} L more"
        assert (more in words) == bool(ids)
    assert not {"planned drink too little", "planned drink above ceiling"} & {
        caution.id for caution in cautions
    }


@pytest.mark.parametrize("condition", ["kidney", "heart", "salt medicine"])
def test_where_the_doctor_says_how_much_litres_are_for_the_doctor(condition):
    result = checked([condition])
    assert result.needs["walk"].water.is_asked
    assert "planned drink too little" not in {caution.id for caution in result.cautions}
    (water,) = (text for name, text in facts(result) if name == "Water a day")
    likely = f"{result.needs['walk'].water.likely_l:.1f} L"
    assert water.startswith(f"walk ask your doctor, a healthy body would take {likely}")
    sweat = f"you sweat {result.needs['walk'].sweat.total_l[1]:.1f} L"
    assert sweat in drink_sentences(result)[0] and sweat in short_drink(result)


def test_a_limit_of_salt_alone_asks_for_no_more_of_it():
    """A clinic that sets no aim has not said that too little is eaten."""
    limit = {"component": "NA", "limit": "2 g", "set_by": "clinic", "set_on": "May 2026"}
    result = checked(["blood pressure"], [limit])
    need = result.needs["walk"].sodium
    assert need.is_limit and need.band.low == 0
    rows = result.coverage.set_index(["day", "component"])
    assert rows.at[("walk", "NA"), "status"] == "within the limit"
    plan = drink_plans(result)["walk"]
    assert plan.is_salt_asked and plan.salt == ()
    aimed = checked(["blood pressure"], [limit | {"aim": "1.8 g"}])
    assert not aimed.needs["walk"].sodium.is_limit
    assert aimed.coverage.set_index(["day", "component"]).at[("walk", "NA"), "status"] == (
        "too little sodium"
    )


def test_who_drinks_by_what():
    """Past 65 thirst comes late; children forget to drink."""
    words = {age: drink_sentences(checked(age=age))[0] for age in (12, 40, 70)}
    assert "offer it every 20 minutes" in words[12] and "thirst" not in words[12]
    assert "drink it by thirst" in words[40]
    assert "by the clock" in words[70] and "thirst" not in words[70]


@pytest.mark.parametrize(
    ("climb", "hours", "conditions", "is_asked"),
    [
        ("200 m", 6, (), None),  # a walk
        ("1800 m", 3.5, (), False),
        ("600 m", 1.5, (), None),  # hard, but not for long
        ("1800 m", 3.5, ("diabetes",), True),
    ],
)
def test_carbohydrate_by_the_hour_only_in_long_hard_effort(climb, hours, conditions, is_asked):
    """AND/DC/ACSM 2016, table 2: 30 to 60 g an hour; with diabetes the doctor says it."""
    person = Person(sex="male", age=30, mass="75 kg", height="180 cm", conditions=conditions)
    day = DayType(name="up", count=1, moving=f"{hours} h", pace="4 km/h", climb=climb, pack="15 kg")
    found = carbohydrate_on_the_way(person, day, 300.0)
    assert (found is None) is (is_asked is None)
    if found is not None:
        assert found.hourly_g == (30.0, 60.0) and found.eaten_g == 300.0
        assert found.is_asked is is_asked


def test_a_day_of_rest_in_great_heat_says_how_much_to_drink():
    """Some 4 L of sweat at 44 °C are not left to 'as you like'."""
    asked = {
        "person": dict(WOMAN),
        "days": [
            {"name": "camp", "count": 1, "air_temperature": "44 °C", "humidity": "15 %"},
            {"name": "cool", "count": 1, "air_temperature": "20 °C", "humidity": "50 %"},
        ],
        "packed": [{"item": "oats", "food": "08120", "mass": "1 kg"}],
        "portions": [{"item": "oats", "amount": "400 g"}],
    }
    result = check(asked, draws=0)
    litres = f"about {result.needs['camp'].water.drink_l[1]:.1f} L over the day"
    camp, cool = drink_sentences(result)
    assert litres in camp and litres in short_drink(result)
    assert "over the day" not in cool


def test_json_and_workbook_tell_no_litres_where_the_doctor_says_them():
    result = checked(["heart"])
    needs = {need["day"]: need for need in json.loads(result_json(result))["needs"]}
    assert needs["walk"]["is_drink_asked"]
    assert {needs["walk"][key] for key in ("water_l", "drink_l", "drink_at_most_l")} == {None}
    overview = next(sheet for sheet in workbook_sheets(result) if sheet.name == "Overview")
    said = [value for cells in overview.cells.values() for value, _ in cells.values()]
    assert said.count("ask your doctor") >= 2


def test_json_holds_the_carbohydrate_of_hard_hours_and_what_is_left_out():
    result = check("samples/july_survey.toml", draws=0)
    plans = {drink["day"]: drink for drink in json.loads(result_json(result))["drink_plan"]}
    assert plans["hard climb"]["carbohydrate"]["hourly_g"] == [30, 60]
    assert plans["survey walk"]["carbohydrate"] is None


def test_the_most_of_an_hour_is_the_days_own_sweat_and_no_ceiling_of_all_people():
    """ACSM 2007, NATA 2017: nobody drinks more than is sweated; 1.42 L/h is where all stop."""
    result = checked()
    water = result.needs["walk"].water
    assert water.most_l_h == pytest.approx(result.needs["walk"].sweat.rate_l_h)
    assert water.most_l_h[1] == pytest.approx(0.7) and water.ceilings.hourly_l == 1.42
    need = json.loads(result_json(result))["needs"][0]
    assert need["day"] == "walk"
    assert need["drink_most_l_h"]["likely"] == need["drink_at_most_l_h"] == pytest.approx(0.7)
    assert most_of_an_hour_words(result.needs["walk"]).startswith("0.70 L an hour (0.5")
    assert most_of_an_hour_words(result.needs["rest"]) == ""
    assert "no more than you sweat" in ceiling_words(result)
    words = "an hour on the way, no more than you sweat"
    rows = [
        [value for value, _ in cells.values()]
        for sheet in workbook_sheets(result)
        for cells in sheet.cells.values()
    ]
    (row,) = [cells for cells in rows if words in cells]
    assert next(cell.value for cell in row if isinstance(cell, Formula)) == pytest.approx(0.7)


def test_great_sweat_does_not_lift_the_most_of_an_hour_over_the_published_ceiling():
    person = Person(sex="male", age=30, mass="95 kg", height="185 cm")
    day = DayType(name="walk", count=1, moving="4 h", sweat_rate="1.9 L/h")
    assert day_needs(person, day).water.most_l_h[1] == 1.42


def test_a_child_is_told_how_much_to_offer_and_never_more_than_it_sweats():
    """13 mL/kg an hour in sport (Rowland 2011), and no more than the day sweats."""
    result = checked(age=9)
    plan = drink_plans(result)["walk"]
    assert plan.high_l_h == pytest.approx(min(0.7, 0.013 * 60))
    assert plan.carry_l_h <= plan.high_l_h
    assert f"about {plan.carry_l_h / 3 * 1000:.0f} mL at a time" in short_drink(result)
    light = Person(sex="female", age=9, mass="30 kg", height="135 cm")
    assert hourly_cap(light)[0] == pytest.approx(0.39)


@pytest.mark.parametrize(("rate", "cap"), [(0.9, 0.6942), (2.0, 1.2), (0.39, 0.39), (0.03, 1.2)])
def test_what_is_carried_is_never_more_than_the_most_of_an_hour(rate, cap):
    """Steps of 0.05 L/h: 0.6942 is not carried as 0.70."""
    least, carried, most = drink_of_an_hour(53.4, rate, 8, cap)
    assert most == min(rate, cap)
    assert least <= most and carried <= most


def test_the_water_of_someone_far_from_the_references_mass_says_so():
    """Reference weights 57 and 70 kg (IOM 2003, table 4-2): 2.7 L by 41/57 is 1.9 L."""
    small = Person(sex="female", age=34, mass="41 kg", height="150 cm")
    assert base_by_mass(small, 2.7) == pytest.approx(2.7 * 41 / 57)
    assert math.isnan(base_by_mass(Person(**WOMAN), 2.7))
    child = Person(sex="female", age=9, mass="30 kg", height="135 cm")
    assert math.isnan(base_by_mass(child, 2.1))


def test_water_names_the_weather_that_it_takes():
    result = checked()
    assert "no air temperature" not in water_base_words(result)
    bare = DayType(name="walk", count=1, moving="5 h")
    assert is_weather_assumed(bare)
    plan = result.plan.model_copy(update={"days": (bare,)})
    words = water_base_words(replace(result, plan=plan))
    assert words.startswith(
        " The plan gives no air temperature, so the tool assumes hot weather (walk)."
    )


def test_a_clinics_fluid_is_one_figure_on_a_screen():
    """What the clinic counts: drink and what soaks the food, without the food's moisture."""
    result = checked(["kidney"], [FLUID | {"limit": "2.5 L"}])
    text = " ".join(short_facts(result))
    (asks,) = [one.where for one in result.cautions if one.id == "clinic's fluid below need"]
    needed = re.search(r"asks for (?:about )?([\d.]+ L)", asks).group(1)
    assert "Drink a day, with what soaks the food: walk 2.5 L" in text
    assert f"(the heat asks for {needed})" in text


def test_measured_sweat_is_said_not_to_follow_the_air():
    page = page_html(checked())
    assert "air 24 °C (the sweat is measured and does not follow it)" in page.replace("\u00a0", " ")
    assert is_sweat_measured(checked().plan.days[0])
