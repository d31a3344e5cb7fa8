"""The drying model's arithmetic and factors against published tables, examples and measurements."""

import numpy as np
import pytest

from nutricheck.drying import dry_batch
from nutricheck.drying.balance import (
    apparent_retention,
    concentration_factor,
    drying_yield,
)
from nutricheck.drying.cooking import retention_row
from nutricheck.drying.retention import (
    arrhenius_factor,
    drying_kept,
    first_order_kept,
)
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.foods import open_table
from nutricheck.plan.models import Batch, Drying, Preparation

AT = {tag: place for place, tag in enumerate(tags())}

# ---------------------------------------------------------------- USDA retention factors

R6 = "USDA Table of Nutrient Retention Factors, Release 6 (2007)"
CELLS = [
    ("0001", "CA", 100),
    ("0105", "VITC", 80),
    ("0105", "THIA", 85),
    ("0105", "RIBF", 95),
    ("2151", "VITC", 85),
    ("2151", "THIA", 90),
    ("0154", "CA", 95),
    ("0154", "K", 90),
    ("0154", "VITC", 50),
    ("0154", "THIA", 80),
    ("0154", "NIA", 90),
    ("0154", "VITB6A", 90),
    ("0154", "FOL", 50),
    ("0154", "VITA_IU", 75),
    ("0158", "VITC", 20),
    ("0158", "THIA", 70),
    ("0158", "FOL", 50),
    ("3004", "VITC", 60),
    ("3004", "THIA", 85),
    ("3005", "VITC", 55),
    ("3005", "THIA", 80),
    ("3005", "RIBF", 90),
    ("3006", "VITC", 70),
    ("3371", "VITC", 85),
    ("3371", "FOL", 95),
    ("3375", "NIA", 100),
    ("5001", "ALC", 70),
    ("5003", "ALC", 75),
    ("5006", "ALC", 25),
    # page 12 of the release, as quoted at https://cheftalk.com/threads/76149/
    *(("5002", "ALC", 85), ("5004", "ALC", 40), ("5005", "ALC", 35), ("5007", "ALC", 20)),
    *(("5008", "ALC", 10), ("5009", "ALC", 5)),
    ("0501", "MG", 80),
    ("0501", "K", 75),
    ("0501", "FOL", 60),
    ("0501", "CU", 70),
    ("0521", "FE", 80),
]


@pytest.mark.parametrize(("code", "tag", "percent"), CELLS)
def test_retention_factor(code, tag, percent):
    assert 100 * retention_row(code)[AT[tag]] == pytest.approx(percent), R6


def test_thirty_cells_at_least():
    assert len(CELLS) >= 30


def test_recipe_formula():
    """Introduction to Human Nutrition, 2nd ed., p. 286: cooked = raw × retention / yield.

    USDA factor 3005 and SR28 raw spinach (28.1 mg/100 g): 15.455 mg remain of each 100 g raw.
    """
    kept = 28.1 * retention_row("3005")[AT["VITC"]]
    assert kept == pytest.approx(15.455, abs=0.001)
    assert kept / 0.90 == pytest.approx(17.17, abs=0.01)  # a yield of 0.90 is assumed


# ---------------------------------------------------------------- water and units


def test_change_of_water_content():
    """FAO food composition table for use in Africa, appendix 2, first method: yam, 81 to 70 %."""
    factor = float(concentration_factor(0.81, 0.70))
    assert factor == pytest.approx(30 / 19)
    assert 71 * factor == pytest.approx(112.1, rel=0.01)
    assert 36 * factor == pytest.approx(56.8, rel=0.01)


def test_dry_weight_to_fresh_weight():
    """FAO/INFOODS 2012, p. 12: ug/g dry × (100 − water g/100 g) = ug/100 g fresh."""
    dry_per_fresh = drying_yield(0.12, 0.0)
    assert 0.20 * 100 * dry_per_fresh == pytest.approx(17.6)


# ---------------------------------------------------------------- kinetics


@pytest.mark.parametrize(
    ("rate", "d_value", "half"),
    [
        (0.00972, 236.87, 71.30),
        (0.02631, 87.52, 26.35),
        (0.02995, 76.89, 23.15),
        (0.005266, 437.78, 131.78),
    ],
)
def test_first_order_baobab_drink(rate, d_value, half):
    """Kinetic modelling of ascorbic acid loss in baobab drink; minutes, the last two in days."""
    assert first_order_kept(rate, d_value) == pytest.approx(0.1, rel=0.005)
    assert first_order_kept(rate, half) == pytest.approx(0.5, rel=0.002)


@pytest.mark.parametrize(
    ("temperature", "rate", "minutes", "kept_percent"),
    [(70, 0.00969, 480, 0.95), (57, 0.003538, 600, 11.97), (32, 0.000400, 8640, 3.14)],
)
def test_arrhenius_cupuacu_nectar(temperature, rate, minutes, kept_percent):
    """Vieira et al. 2001: Ea 73 kJ/mol, k(80 °C) 0.020 per minute. Arithmetic only."""
    found = 0.020 * arrhenius_factor(73, temperature, 80)
    assert found == pytest.approx(rate, rel=0.01)
    assert 100 * first_order_kept(found, minutes) == pytest.approx(kept_percent, rel=0.02)


def test_activation_energy_units():
    """Koca et al. 2007, dried carrot: 9.3 and 15.8 kcal/mol, 4.184 kJ to the kcal. The lowest is
    that of dried pumpkin in air, 13.8 kJ/mol (Food Res Int 107:130-136, 2018)."""
    row = next(r for r in evidence.rows("activation_energies") if r["component"] == "CARTB")
    assert f"{9.3 * 4.184:.1f}-{15.8 * 4.184:.1f}" in row["source"]
    assert float(row["low"]) == 13.8
    assert float(row["low"]) < 9.3 * 4.184 < 15.8 * 4.184 < float(row["high"])


# ---------------------------------------------------------------- measured retentions


def test_apparent_retention_of_tomatoes_dried_at_42_c():
    """Toor and Savage 2006, mg per 100 g dry matter; water plays no part."""
    for before, after, percent in (
        (284, 223, 78.5),
        (404, 300, 74.3),
        (63, 54, 85.7),
        (206, 179, 86.9),
    ):
        assert 100 * apparent_retention(after, 0.0, before, 0.0) == pytest.approx(percent, abs=0.1)


def test_apparent_retention_is_the_true_one_where_dry_matter_is_kept():
    """USDA 2007: TR = (Nc·Gc)/(Nr·Gr); by hand: 100 g with 10 mg at 90 % water dry to 11.11 g at
    10 % water; holding 5 mg still, 45 mg in 100 g."""
    assert apparent_retention(45.0, 0.10, 10, 0.90) == pytest.approx(0.5)


@pytest.mark.parametrize(
    ("tag", "before", "after", "change", "within"),
    [("F18D2CN6", 4.11, 2.52, -38.7, 0.1), ("F18D3CN3", 0.76, 0.30, -60.8, 0.5)],
)
def test_spray_dried_egg(tag, before, after, change, within):
    """Pirkwieser et al. 2022, g/100 g dry matter; the printed means are rounded."""
    kept = 100 * apparent_retention(after, 0.0, before, 0.0)
    assert kept - 100 == pytest.approx(change, abs=within)
    rows = {row["key"]: row for row in evidence.rows("drying_studies")}
    assert float(rows[f"pirkwieser-egg-{tag.lower()}"]["low"]) == pytest.approx(kept, abs=within)


MEASURED = [
    ("vegetable", "raw", "hot air", "42 °C", "18 h", "VITC", 78.5, "Toor and Savage 2006, tomato"),
    ("vegetable", "raw", "hot air", "42 °C", "18 h", "LYCPN", 85.7, "Toor and Savage 2006"),
    ("vegetable", "blanched", "hot air", "57 °C", "10 h", "VITC", 31, "Barrett 1980, broccoli"),
    ("vegetable", "blanched", "hot air", "57 °C", "10 h", "VITB6A", 90, "Barrett 1980, broccoli"),
    ("vegetable", "raw", "hot air", "57 °C", "10 h", "VITC", 17, "Barrett 1980, green pepper"),
    ("leafy vegetable", "raw", "hot air", "50 °C", "8 h", "VITC", 56.4, "LRRD 33(11):129, moringa"),
    ("leafy vegetable", "raw", "hot air", "65 °C", "8 h", "VITC", 41.7, "LRRD 33(11):129, moringa"),
    ("root", "raw", "hot air", "58 °C", "4 h", "CARTB", 53, "Kosambo 2004, sweet potato"),
    ("root", "raw", "sun", None, None, "CARTB", 28, "Kosambo 2004, sweet potato"),
    ("fruit", "raw", "hot air", None, None, "VITC", 20, R6 + ", code 0158"),
    ("fruit", "raw", "shade", "20 °C", "96 h", "VITC", 20, "Adamczak et al., rose hips"),
    ("fruit", "raw", "freeze", None, None, "VITC", 74, "Semenov et al. 2015, apple, persimmon"),
    ("egg", "raw", "spray", None, None, "RETOL", 86, "Pirkwieser et al. 2022"),
    ("meat", "raw", "freeze", None, None, "THIA", 67, "Food Technology 16, freeze-dried pork"),
]


@pytest.mark.parametrize(
    ("food_class", "kind", "method", "temperature", "time", "tag", "percent", "source"), MEASURED
)
def test_measured_retention_lies_in_the_range(
    food_class, kind, method, temperature, time, tag, percent, source
):
    preparation = Preparation(kind=kind, method="steam" if kind == "blanched" else None)
    drying = Drying(method=method, temperature=temperature, time=time)
    kept, _ = drying_kept(food_class, preparation, drying)
    place = AT[tag]
    assert 100 * kept.low[place] <= percent <= 100 * kept.high[place], source


# ---------------------------------------------------------------- fresh and dried records


def dried(food_id, water, **rest):
    batch = Batch(
        name="record",
        ingredients=[{"food": food_id, "mass": "1 kg"}],
        moisture=f"{water} %",
        **rest,
    )
    return dry_batch(batch, open_table()).composition["likely"]


RECORDS = [
    # SR28: fresh id, dried water, component, predicted, dried record, agreement aimed at
    ("01211", 2.47, "PROCNT", 25.88, 26.32, 0.10),
    ("01211", 2.47, "FAT", 26.87, 26.71, 0.10),
    ("01211", 2.47, "CA", 928.5, 912, 0.10),
    ("01151", 3.16, "PROCNT", 35.63, 36.16, 0.10),
    ("01123", 2.78, "PROCNT", 51.20, 48.05, 0.10),
    ("11124", 4.00, "K", 2623, 2540, 0.10),
]


@pytest.mark.parametrize(("food_id", "water", "tag", "predicted", "record", "within"), RECORDS)
def test_mass_balance_of_milk_egg_and_carrot(food_id, water, tag, predicted, record, within):
    """USDA SR28 (2015): records 1211 and 1212, 1151 and 1091, 1123 and 1133, 11124 and 11683."""
    found = dried(food_id, water, drying={"method": "spray"})[tag]
    assert found == pytest.approx(predicted, rel=0.001)
    assert found == pytest.approx(record, rel=within)


def test_ranges_of_milk_egg_and_carrot_hold_what_was_lost():
    """SR28 dried records: thiamin of milk −25 %, folate of egg −38 %, folate of carrot −65 %."""
    table = open_table()
    for food_id, water, method, tag, record in (
        ("01211", 2.47, "spray", "THIA", 0.283),
        ("01123", 2.78, "spray", "FOL", 119),
        ("11124", 4.00, "hot air", "FOL", 55),
    ):
        batch = Batch(
            name="record",
            ingredients=[{"food": food_id, "mass": "1 kg"}],
            moisture=f"{water} %",
            drying={"method": method},
        )
        low, high = dry_batch(batch, table).composition.loc[tag, ["low", "high"]]
        assert low <= record <= high


def test_moisture_to_protein_ratio():
    """USDA label rule for jerky, 0.75 or lower; SR28 records 19002 and 13350."""
    composition = open_table().composition(["19002", "13350"], ["WATER", "PROCNT"])
    ratio = composition["WATER"] / composition["PROCNT"]
    assert ratio["19002"] == pytest.approx(0.704, abs=0.001)
    assert ratio["13350"] == pytest.approx(1.730, abs=0.001)
    assert ratio["19002"] <= 0.75 < ratio["13350"]


def test_liver_powder_reaches_the_upper_level_of_vitamin_a():
    """SR28 13325 at 5 % water, nothing lost: × 3.2545, 16 169 ug; EFSA 2024: 3000 ug a day."""
    factor = float(concentration_factor(0.7081, 0.05))
    assert factor == pytest.approx(3.2545, abs=5e-4)
    assert 4968 * factor == pytest.approx(16_169, rel=0.005)
    assert 100 * 3000 / (4968 * factor) == pytest.approx(18.6, rel=0.005)


def test_drying_and_storage_multiply():
    """Bechoff et al., sweet potato in Mozambique: drying loss 9.2 %, storage loss 83.7 %."""
    left = (1 - 0.092) * (1 - 0.837)
    stored = Batch(
        name="sweet potato",
        ingredients=[{"food": "11507", "mass": "1 kg"}],
        drying={"method": "sun"},
        storage={"time": "4 months", "temperature": "28 °C"},
    )
    steps = dry_batch(stored, open_table()).steps.set_index("component").loc["CARTB"]
    assert steps["kept_low"] <= left <= steps["kept_high"]
    assert steps["kept_likely"] == pytest.approx(
        steps["drying_likely"] * steps["storage_likely"], rel=1e-6
    )


def test_stored_dried_vegetables_lose_vitamin_c_as_measured():
    """Barrett 1980: broccoli kept 11 to 15 % in 11 to 13.5 weeks at 37 °C, pepper 16 to 18 %."""
    from nutricheck.drying.retention import storage_kept
    from nutricheck.plan.models import Storage

    kept = storage_kept(Storage(time="2.8 months", temperature="37 °C"))
    place = AT["VITC"]
    assert kept.low[place] <= 0.13 <= kept.high[place]
    assert np.isclose(kept.likely[place], 0.13, atol=0.06)


def test_thiamin_of_sulphured_fruit():
    """USDA SR28, sulphured dried fruits against their fresh ones per dry matter: 0 to 33 % of the
    thiamin is there, half of them hold less than 12 %."""
    pairs = {
        **{"09009": "09004", "09011": "09004", "09030": "09021", "09032": "09021"},
        **{"09244": "09236", "09246": "09236", "09259": "09252", "09297": "09132"},
    }
    held = open_table().composition([*pairs, *pairs.values()], ["WATER", "THIA"])
    thiamin = (held["THIA"] / (100 - held["WATER"])).groupby(level=0).first()
    found = sorted(thiamin[dried] / thiamin[fresh] for dried, fresh in pairs.items())
    kept, _ = drying_kept("fruit", Preparation(sulphited=True), Drying())
    place = AT["THIA"]
    assert kept.likely[place] == pytest.approx((found[3] + found[4]) / 2, abs=0.005)
    assert kept.high[place] == pytest.approx(found[-1], abs=0.005) and found[0] == 0
