"""Worked examples of the trail: figures by hand from the publications named at each."""

from __future__ import annotations

from collections import Counter

import numpy as np
import pytest

import nutricheck as nc
from nutricheck.advice.additions.foods import trail_foods
from nutricheck.cautions.oxalate import oxalate_of_items
from nutricheck.drying import dry_batch
from nutricheck.drying.ferments import vitamin_c_left
from nutricheck.drying.retention import POWDER, storage_kept
from nutricheck.drying.stages import PackStage, eaten_evenly, kept_before, pack_kept
from nutricheck.drying.straining import rested_kept, water_kept
from nutricheck.errors import DryingError
from nutricheck.facts.components import tags
from nutricheck.foods import open_table
from nutricheck.foods.ready import readiness
from nutricheck.needs.dry import drink_rate, stretch_water
from nutricheck.plan.models import Batch, DayType, Preparation, Rest, Storage
from tests.plans import RAW, WOMAN, air, bag, batch, day, eat, food, plan

AT = {tag: place for place, tag in enumerate(tags())}


def stage(**fields):
    return Storage.model_validate(fields)


COLD = stage(time="3 months", temperature="6 °C", oxygen_absorber=True)
WARM = stage(time=f"{24 / (365.25 / 12)} months", temperature="31 °C")


def test_stages_multiply_end_by_end():
    """Barrett 1980 and Baez 2012 (vitamin C), rates of six sources (carotene): three months in the
    cold with an absorber, then 24 days at 31 °C, by hand. Vitamin C at best: 0.019 a month · (3 ·
    0.343 · 0.1 + 0.788 · 2.163) = 0.034. Carotene: 0.062 a month · (3 · 0.268 · 0.15 + 0.788 ·
    2.585) = 0.134."""
    kept = kept_before((COLD, WARM))
    vitamin_c = [side[AT["VITC"]] for side in (kept.low, kept.likely, kept.high)]
    assert vitamin_c == pytest.approx([0.112, 0.574, 0.966], abs=0.001)
    carotene = [side[AT["CARTB"]] for side in (kept.low, kept.likely, kept.high)]
    assert carotene == pytest.approx([0.517, 0.875, 0.972], abs=0.001)


def test_stages_commute_and_halves_make_a_whole():
    one, other = kept_before((COLD, WARM)), kept_before((WARM, COLD))
    half = stage(time="1.5 months", temperature="6 °C", oxygen_absorber=True)
    halves = kept_before((half, half, WARM))
    for side in ("low", "likely", "high"):
        assert getattr(one, side) == pytest.approx(getattr(other, side))
        assert getattr(one, side) == pytest.approx(getattr(halves, side))


def test_the_mean_day_of_21_days_at_33_degrees():
    """k 0.6185 per month: 0.653 at the end, (1 − e^−kT)/(kT) = 0.814 on the mean day."""
    at_end = np.exp(-0.6185 * 21 / (365.25 / 12))
    assert at_end == pytest.approx(0.653, abs=0.001)
    assert eaten_evenly(np.array(at_end)) == pytest.approx(0.814, abs=0.001)
    pack = pack_kept(PackStage(21, (33.0, 33.0, 33.0))).likely[AT["VITC"]]
    assert eaten_evenly(pack) == pytest.approx(0.814, abs=0.003)


@pytest.mark.parametrize(("celsius", "lost"), [(33, 19), (24, 11)])
def test_what_21_days_in_the_pack_cost(celsius, lost):
    """Per cent of vitamin C that the mean day lacks, by the rates above."""
    kept = eaten_evenly(pack_kept(PackStage(21, (celsius,) * 3)).likely[AT["VITC"]])
    assert 100 * (1 - kept) == pytest.approx(lost, abs=0.6)


def test_ration_powders_keep_thirty_times_longer_than_dried_leaves():
    """IOM, ration storage studies: 50 % of vitamin C left after 24 months at 38 °C, no loss in 60
    months at 4 °C, 88 % of thiamin after 24 months at 38 °C."""
    hot = storage_kept(stage(time="24 months", temperature="38 °C"), POWDER)
    assert hot.likely[AT["VITC"]] == pytest.approx(0.50, abs=0.02)
    assert hot.likely[AT["THIA"]] == pytest.approx(0.88, abs=0.02)
    cool = storage_kept(stage(time="60 months", temperature="4 °C"), POWDER)
    assert cool.high[AT["VITC"]] > 0.9
    leaves = storage_kept(stage(time="1 month", temperature="38 °C"))
    powder = storage_kept(stage(time="1 month", temperature="38 °C"), POWDER)
    ratio = np.log(leaves.likely[AT["VITC"]]) / np.log(powder.likely[AT["VITC"]])
    assert ratio == pytest.approx(30, rel=0.1)


def test_vitamin_k_in_orbit():
    """Zwart et al., J Food Sci 2009: 15 to 20 % less after 353 to 880 days."""
    for days, kept in ((353, 0.80), (880, 0.85)):
        share = storage_kept(stage(time=f"{days / (365.25 / 12)} months", temperature="20 °C"))
        assert share.low[AT["VITK1"]] - 0.01 <= kept <= share.high[AT["VITK1"]] + 0.01


@pytest.mark.parametrize(("celsius", "expected"), [("20 °C", 0.5), ("29.5 °C", 0.7)])
def test_an_absorber_does_little_that_is_known_in_warmth(celsius, expected):
    """Food Chem 82:387-395, 2003: 0.68 times the rate at 25 °C; Utah State University 5494: no
    help at 29.5 °C."""
    rates = [
        -np.log(
            storage_kept(stage(time="1 month", temperature=celsius, **absorber)).likely[AT["VITC"]]
        )
        for absorber in ({"oxygen_absorber": True}, {})
    ]
    assert rates[0] / rates[1] == pytest.approx(expected)


# ---------------------------------------------------------------- fermented on the way


def one_batch(parts, **fields):
    """A drink's batch and its item, checked in a plan of one day."""
    data = {
        "person": {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"},
        "days": [{"name": "walk", "count": 1}],
        "packed": [{"item": key, "food": key, "mass": "1 kg"} for key in parts],
        "ferment": [
            {
                "name": "drink",
                "parts": [{"item": key, "mass": mass} for key, mass in parts.items()],
                "water": "1 L",
                "time": "24 h",
                **fields,
            }
        ],
        "portions": [{"item": "drink", "amount": "1 batch"}],
    }
    result = nc.check(data, draws=0)
    return result.ferments["drink"], result


def held(result, tag):
    rows = result.intake.table.set_index("component")
    return rows.at[tag, "likely"]


def test_sugar_water_with_grains():
    """FAO 2003: alcohol 7, organic acids 3 kcal/g; SR28 19335 and 02047; half of the sugar used
    (Destro et al. 2019), alcohol 0.20 and acids 0.12 of it."""
    outcome, result = one_batch({"19335": "60 g", "02047": "1 g"}, kind="sugar", sugars_used="50 %")
    assert outcome.sugar_used_g[1] == pytest.approx(29.94, abs=0.01)
    assert outcome.alcohol_g[1] == pytest.approx(5.99, abs=0.01)
    assert outcome.alcohol_percent[1] == pytest.approx(0.76, abs=0.01)
    assert held(result, "ENERC_KCAL") == pytest.approx(165.1, abs=0.2)
    assert held(result, "NA") == pytest.approx(388.2, abs=0.5)


def test_milk_powder_with_grains():
    """Magalhães et al. 2011: 0.5 g/L of alcohol, the rest acids; SR28 01212; a quarter used."""
    outcome, result = one_batch(
        {"01212": "120 g"}, kind="milk", sugars_used="25 %", temperature="25 °C"
    )
    assert outcome.sugar_used_g[1] == pytest.approx(11.53, abs=0.01)
    assert held(result, "ENERC_KCAL") == pytest.approx(584.2, abs=0.3)
    assert held(result, "CA") == pytest.approx(1094.4, abs=0.5)


@pytest.mark.parametrize(("hours", "expected"), [(24, (74, 397, 481)), (48, (11, 316, 463))])
def test_vitamin_c_of_a_drink_that_stands(hours, expected):
    """Orange juice in films (Food Chem 2003) and on display (Manglar 2023), citrus concentrates (J
    Food Eng 2006): 500 mg at 30 °C."""
    assert [500 * end for end in vitamin_c_left(hours, 30)] == pytest.approx(expected, abs=1)


# ---------------------------------------------------------------- strained and rested


def yoghurt(**preparation):
    """4 kg of yoghurt, SR28 01116, and what is left of it before drying, by component."""
    yoghurt_batch = Batch.model_validate(
        {
            "name": "yoghurt",
            "ingredients": [{"food": "01116", "mass": "4 kg"}],
            "preparation": preparation,
            "moisture": "8 %",
        }
    )
    dried = dry_batch(yoghurt_batch, open_table())
    steps = dried.steps.set_index("component")
    return dried, steps["cooking_retention"] * steps["per_100g"] * 40


def test_strained_yoghurt():
    """By the mass balance, with shares bound to the curd from USDA records of skim milk, Greek
    yoghurt and acid whey: 4 kg strained to 1.6 kg keep 0.3601 of the water."""
    outcome, left = yoghurt(kind="fermented", strained_to="1.6 kg")
    _, whole = yoghurt(kind="fermented")
    preparation = Preparation(kind="fermented", strained_to="1.6 kg")
    assert water_kept(preparation, whole.to_numpy(), 4000) == pytest.approx(0.3601, abs=0.0002)
    for tag, expected, tolerance in (
        ("K", 2233, 2),
        ("CA", 1898, 2),
        ("NA", 663, 1),
        ("PROCNT", 125.5, 0.1),
        ("SUGAR", 67.1, 0.1),
        ("RIBF", 2.92, 0.01),
        ("VITB12", 9.59, 0.02),
    ):
        assert left[tag] == pytest.approx(expected, abs=tolerance), tag
    # dry matter: protein, fat, carbohydrate and ash that stay
    solids = sum(left[tag] for tag in ("PROCNT", "FAT", "CHOCDF", "ASH"))
    assert outcome.dry_matter_g == pytest.approx(solids, rel=0.005)


def test_strained_yoghurt_against_its_record():
    """SR28's whole-milk Greek yoghurt, 01293, per 100 g: 141 mg of potassium, 100 of calcium."""
    _, left = yoghurt(kind="fermented", strained_to="1.6 kg")
    assert left["K"] / 16 == pytest.approx(141, rel=0.03)
    assert left["CA"] / 16 == pytest.approx(100, rel=0.25)


def test_curd_or_whey_say_the_same():
    _, curd = yoghurt(kind="fermented", strained_to="1.6 kg")
    _, whey = yoghurt(kind="fermented", whey="2.4 kg")
    assert curd.fillna(0).to_numpy() == pytest.approx(whey.fillna(0).to_numpy())


@pytest.mark.parametrize("weighed", [{"strained_to": "4.2 kg"}, {"whey": "3.9 kg"}])
def test_what_cannot_be_left_of_yoghurt_is_an_error(weighed):
    with pytest.raises(DryingError, match="did you weigh it before drying"):
        yoghurt(kind="fermented", **weighed)


def test_a_rest_in_the_cold():
    """Ten days at 4 °C: e^−0.8 of vitamin C, by an estimate from leaves; minerals whole."""
    kept = rested_kept(Rest(time="10 days", temperature="4 °C"))
    sides = [side[AT["VITC"]] for side in (kept.low, kept.likely, kept.high)]
    assert sides == pytest.approx([0.14, 0.449, 0.82], abs=0.006)
    assert kept.low[AT["K"]] == 1


# ---------------------------------------------------------------- stretches without water


@pytest.mark.parametrize(
    ("stretch", "litres"),
    [
        ({"moving": "6.5 h", "rate": "0.7 L/h", "soak": "0.6 L"}, 6.44),
        ({"moving": "2 h", "rate": "0.7 L/h"}, 2.4),
    ],
)
def test_water_of_a_dry_stretch(stretch, litres):
    """US National Park Service, Grand Canyon: 0.47 to 0.95 L an hour; a quarter more in reserve
    and a litre at least is ours."""
    walk = DayType.model_validate({"name": "walk", "count": 1, "moving": "8 h", "dry": [stretch]})
    assert stretch_water(walk, 0.0, 2.7)[0].carry_l == pytest.approx(litres, abs=0.01)
    rate = drink_rate(33, 0.7)
    assert 0.47 <= rate <= 0.95


# ---------------------------------------------------------------- edible as packed

#: Foods that the table of classes rates otherwise than the reading it was begun from: starch
#: noodles and dried curd are sold for cooking (heat, not soak), dried tomatoes are eaten as they
#: are (ready, not soak).
RATED_ANEW = {
    "Noodles, chinese, cellophane or long rice (mung beans), dehydrated": "soak",
    "Rice noodles, dry": "soak",
    "Tofu, dried-frozen (koyadofu)": "soak",
    "Tomatoes, sun-dried": "soak",
}


@pytest.mark.parametrize(
    ("use", "expected"),
    [
        ("carry", {"ready": 149, "soak": 24, "heat": 67}),
        ("dry at home", {"ready": 47, "heat": 3, "never": 1}),
    ],
)
def test_classes_of_the_foods_to_carry_and_to_dry(use, expected):
    """FDA Food Code 2013 (ready-to-eat food), FDA Bad Bug Book 2012, BfR, BZfE, FSANZ, EFSA 2026
    (rows of ``ready_to_eat``), over the 240 trail foods to carry and the 51 to dry at home."""
    table = open_table()
    foods = trail_foods(table)
    found = {
        table.food(food_id).description: readiness(table.food(food_id)).name
        for food_id in foods.index[foods["use"] == use]
    }
    before = {name: RATED_ANEW.get(name, rating) for name, rating in found.items()}
    assert Counter(before.values()) == expected
    if use == "carry":
        assert Counter(found.values()) == {"ready": 150, "soak": 20, "heat": 70}
    else:
        assert found["Lima beans, immature seeds, raw"] == "never"


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("16069", "heat"),  # lentils, raw
        ("16085", "heat"),  # peas, split, raw
        ("20481", "heat"),  # wheat flour
        ("20420", "heat"),  # pasta, dry
        ("16032", "never"),  # kidney beans, raw
        ("Beans, kidney, mature seeds, sprouted, raw", "never"),
        ("11134", "never"),  # cassava, raw
        ("11518", "never"),  # taro, raw
        ("20028", "soak"),  # couscous, dry
        ("20012", "soak"),  # bulgur, dry
        ("08120", "soak"),  # oats
        ("11378", "soak"),  # potato flakes
        ("12061", "ready"),  # almonds
        ("09298", "ready"),  # raisins
        ("01212", "ready"),  # milk powder
        ("16070", "ready"),  # lentils, boiled
        ("11457", "ready"),  # spinach, raw
    ],
)
def test_class_of_a_food_as_packed(name, expected):
    """FDA Bad Bug Book 2012 (kidney beans), BfR Q&A on lectins 2024 (pulses), FSANZ 2017 (cassava),
    Centre for Food Safety Hong Kong 2007 (taro), FDA Food Code 2013 (ready-to-eat)."""
    assert readiness(open_table().resolve(name)).name == expected


@pytest.mark.parametrize(
    ("soak", "celsius", "is_told"),
    [("1.5 h", 28, False), ("1.5 h", 33, True), ("2.5 h", 28, True), ("2.5 h", 33, True)],
)
def test_potato_flakes_that_soak(soak, celsius, is_told):
    """USDA FSIS: two hours between 4 and 60 °C, one where the air is above 32 °C."""
    data = plan(
        WOMAN,
        [day("walk", 5, "5 h", "4 km/h", "12 kg", air_temperature=f"{celsius} °C")],
        packed=[food("flakes", "11378", "500 g")],
        portions=[{**eat("flakes", "50 g"), "soak": soak}],
    )
    data["trip"]["cooking"] = "cold soak"
    ids = [caution.id for caution in nc.check(data, draws=0).cautions]
    assert ("starchy food soaked too long" in ids) == is_told


def test_oxalate_of_spinach_powder_and_almonds():
    """Radek and Savage 2008 (spinach, 88 mg in a gram of powder with 2.2 % of water), Chai and
    Liebman 2005 with Ritter and Savage 2007 (almonds, 4.9 mg/g as eaten): 3 g and 60 g hold 558 mg.
    With 4.7 mg/g of almonds, a second-hand figure, they hold 546 mg."""
    data = plan(
        WOMAN,
        [day("walk", 5, "5 h", "4 km/h", "12 kg")],
        batch=[
            batch("powder", {"Spinach, raw": "1 kg"}, RAW, air("45 °C", "9 h"), moisture="2.2 %")
        ],
        packed=[bag("powder", "15 g"), food("almonds", "Nuts, almonds", "300 g")],
        portions=[eat("powder", "3 g"), eat("almonds", "60 g")],
    )
    result = nc.check(data, draws=0)
    oxalate = oxalate_of_items(result.plan, result.batches, result.table)
    assert oxalate["powder"].likely == pytest.approx(88, abs=0.1)
    assert 3 * oxalate["powder"].likely + 60 * 4.7 == pytest.approx(546, abs=1)
    whole = 3 * oxalate["powder"].likely + 60 * oxalate["almonds"].likely
    assert whole == pytest.approx(558, abs=1)
    assert oxalate["almonds"].low < 4.7 < oxalate["almonds"].high
