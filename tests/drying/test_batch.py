"""A batch by water balance: what is kept, what is poured off, what is impossible."""

import numpy as np
import pandas as pd
import pytest
from hypothesis import given
from hypothesis import strategies as st

from nutricheck.drying import composition_draws, dry_batch
from nutricheck.drying.classes import food_class
from nutricheck.drying.cooking import choose_code, cooking_kept, rendered_fat_kept
from nutricheck.drying.end_point import rehydration_water
from nutricheck.drying.flags import is_long_and_low
from nutricheck.errors import DryingError
from nutricheck.facts.components import tags
from nutricheck.foods import open_table
from nutricheck.plan.models import Batch, Drying, Preparation
from tests.drying.small_table import SmallTable

TABLE = SmallTable()
AT = {tag: place for place, tag in enumerate(tags())}


def batch(food="Carrots, raw", mass="1 kg", **rest):
    return Batch(name="test", ingredients=[{"food": food, "mass": mass}], **rest)


def likely(dried, tag):
    return dried.composition.loc[tag, "likely"]


def whole(dried, tag):
    """Amount in the whole dried batch."""
    return likely(dried, tag) * dried.dried_mass_g / 100


# ---------------------------------------------------------------- water balance


def test_weighed_mass_gives_the_water():
    dried = dry_batch(batch(dried_mass="130 g"), TABLE)
    assert dried.dry_matter_g == pytest.approx(117.1)
    assert dried.water_frac == pytest.approx(1 - 117.1 / 130)
    assert dried.water_removed_g == pytest.approx(870)
    assert dried.moisture_source == "weighed"
    assert likely(dried, "K") == pytest.approx(3200 / 130 * 100)


def test_given_moisture_gives_the_mass():
    dried = dry_batch(batch(moisture="4 %"), TABLE)
    assert dried.dried_mass_g == pytest.approx(117.1 / 0.96)
    assert dried.moisture_source == "given"
    assert likely(dried, "WATER") == pytest.approx(4)


def test_class_default_moisture():
    dried = dry_batch(batch(), TABLE)
    assert dried.moisture_source == "class default"
    assert 0.03 < dried.water_frac < 0.16


def test_below_dry_matter_is_impossible():
    with pytest.raises(DryingError, match=r"70 g is too light.*117 g of dry matter .*88 %.*edible"):
        dry_batch(batch(dried_mass="70 g"), TABLE)


def test_a_moister_food_than_the_tables_is_scaled_and_asked_about():
    dried = dry_batch(batch(dried_mass="90 g"), TABLE)
    (question,) = dried.questions
    assert "90 g is too light" in question
    assert "multiplied by 0.74" in dried.notes[-1]  # by hand: 90 g × 0.96 / 117.1 g
    assert likely(dried, "K") / 0.96 == pytest.approx(3200 / 117.1 * 100)


def test_a_little_below_dry_matter_is_the_scale_or_the_food():
    dried = dry_batch(batch(dried_mass="112 g"), TABLE)
    assert dried.water_frac == pytest.approx(0.04)
    # By hand: 112 g at 4 % water hold 107.5 g of dry matter, 0.92 of the table's 117.1 g.
    assert "less dry matter" in dried.notes[-1] and "multiplied by 0.92" in dried.notes[-1]
    assert dried.questions == ()
    # Per 100 g of dry matter nothing changes.
    assert likely(dried, "K") / 0.96 == pytest.approx(3200 / 117.1 * 100)


def test_heavier_dried_than_fresh():
    with pytest.raises(DryingError, match="swapped"):
        dry_batch(batch(dried_mass="1.2 kg"), TABLE)


def test_wetter_dried_than_fresh():
    with pytest.raises(DryingError, match="moisture is the water left"):
        dry_batch(batch(moisture="95 %"), TABLE)


def test_boiled_pulses_may_be_left_moister_than_they_were_bought():
    """Boiled lentils hold 70 % water (USDA SR28 16070), the dry ones 8 %."""
    boiled = {"kind": "cooked", "method": "boiled", "liquid": "kept"}

    def lentils(**rest):
        return dry_batch(batch("Lentils, raw", **rest), open_table())

    assert lentils(preparation=boiled, moisture="12 %").dried_mass_g > 1000
    assert lentils(preparation=boiled, dried_mass="1.05 kg").water_frac > 0.10
    with pytest.raises(DryingError, match="moisture is the water left"):
        lentils(moisture="12 %")
    with pytest.raises(DryingError, match="swapped"):
        lentils(preparation=boiled, dried_mass="4 kg")


def test_unknown_water_is_one_clear_error():
    with pytest.raises(DryingError, match=r"no water content for Puree of unknown water \(09999\)"):
        dry_batch(batch("Puree of unknown water"), TABLE)


def test_nothing_weighs_nothing():
    with pytest.raises(DryingError, match="weigh nothing"):
        dry_batch(batch(mass="0 g"), TABLE)


def test_water_to_bring_it_back():
    dried = dry_batch(batch(moisture="4 %"), TABLE)
    back_g = 100 + dried.rehydration_water_g_per_100g
    assert back_g * (1 - 0.8829) == pytest.approx(96)


def test_a_dry_staple_is_eaten_as_wet_as_when_cooked():
    """By hand: rice of 12 % water dried to 5 %: 95 g of dry matter at 69 % water hold
    95 · 0.69 / 0.31 = 211.5 g, 5 of them there already."""
    assert rehydration_water(0.12, 0.05) == pytest.approx(206.5, abs=0.05)
    assert rehydration_water(0.80, 0.05) == pytest.approx(95 * 4 - 5)


@given(
    water=st.floats(1, 40),
    masses=st.lists(st.floats(1, 5000), min_size=1, max_size=4),
)
def test_drying_raw_keeps_every_mineral(water, masses):
    names = ("Carrots, raw", "Spinach, raw", "Cabbage, raw", "11529")
    dried = dry_batch(
        Batch(
            name="mix",
            ingredients=[
                {"food": food, "mass": f"{mass:.9f} g"}
                for food, mass in zip(names, masses, strict=False)
            ],
            moisture=f"{water:.9f} %",
        ),
        TABLE,
    )
    fresh = sum(
        mass / 100 * TABLE.composition([TABLE.resolve(food).id], ["K"]).iloc[0, 0]
        for food, mass in zip(names, masses, strict=False)
    )
    assert whole(dried, "K") == pytest.approx(fresh)
    assert dried.dried_mass_g + dried.water_removed_g == pytest.approx(dried.fresh_mass_g)


# ---------------------------------------------------------------- unknown and partly known


def test_what_no_kind_tells_stays_unknown():
    dried = dry_batch(batch("Spinach, raw"), TABLE, draws=10)
    assert np.isnan(likely(dried, "CR"))
    assert dried.composition.loc["CR", ["known_share", "accounted_share"]].tolist() == [0, 0]
    assert np.isnan(dried.draws[:, AT["CR"]]).all()


def test_unknown_is_drawn_from_foods_of_the_kind():
    """SR28's 108 leaves hold 0.3 to 3 mg copper in 100 g of dry matter, 9 times in 10."""
    dried = dry_batch(batch("Spinach, raw", moisture="1 %"), TABLE, draws=2000)
    copper = dried.composition.loc["CU"]
    assert copper["known_share"] == 0 and copper["accounted_share"] == 1
    assert copper["drawn"] == pytest.approx(copper["likely"])
    assert 0.2 < copper["low"] < 0.9 < copper["likely"] < 1.7 < copper["high"] < 4
    assert np.median(dried.draws[:, AT["CU"]]) == pytest.approx(copper["likely"], rel=0.1)


def test_partly_known_is_at_least_what_is_known():
    both = Batch(
        name="both",
        ingredients=[{"food": "11124", "mass": "1 kg"}, {"food": "11457", "mass": "3 kg"}],
    )
    dried = dry_batch(both, TABLE)
    assert dried.composition.loc["CU", "known_share"] == pytest.approx(0.25)
    drawn = dried.composition.loc["CU", "drawn"] * dried.dried_mass_g / 100
    assert whole(dried, "CU") - drawn == pytest.approx(0.45)
    assert dried.composition.loc["CU", "low"] * dried.dried_mass_g / 100 > 0.3


def test_niacin_equivalents_are_left_to_the_menu():
    assert np.isnan(likely(dry_batch(batch(), TABLE), "NIAEQ"))


# ---------------------------------------------------------------- preparations


def test_salt_adds_sodium_and_dry_matter_and_nothing_uncertain():
    plain, salted = (
        dry_batch(
            batch("Cabbage, raw", preparation={"kind": "fermented", "salt": salt}),
            TABLE,
            draws=2000,
        )
        for salt in ("0 g", "20 g")
    )
    assert salted.dry_matter_g - plain.dry_matter_g == pytest.approx(20)
    assert whole(salted, "NA") - whole(plain, "NA") == pytest.approx(20 * 393.4, rel=1e-3)
    low, high = salted.composition.loc["NA", ["low", "high"]]
    assert high / low < 1.4


@pytest.mark.parametrize("draws", [0, 4000])
def test_salt_in_liquid_that_is_poured_off_is_anything_from_none_to_all(draws):
    """By hand: 20 g salt hold 7868 mg sodium, half of them 3934; 1 kg raw cabbage holds 180 mg."""
    found = dry_batch(
        batch(
            "Cabbage, raw",
            preparation={"kind": "fermented", "liquid": "drained", "salt": "20 g"},
            moisture="8 %",
        ),
        TABLE,
        draws=draws,
    )
    assert whole(found, "NA") == pytest.approx(3934 + 180, rel=0.05)
    low, likely, high = found.composition.loc["NA", ["low", "likely", "high"]]
    assert low < 0.2 * likely and 1.75 * likely < high < 2.1 * likely
    assert any("Half of the added salt" in note for note in found.notes)


def test_sugars_used_up_by_fermenting():
    plain, sour = (
        dry_batch(
            batch("Cabbage, raw", preparation={"kind": "fermented", "sugars_used": used}), TABLE
        )
        for used in ("0 %", "80 %")
    )
    assert whole(sour, "SUGAR") == pytest.approx(0.2 * whole(plain, "SUGAR"))
    # A quarter of the 25.6 g used up leaves; the rest stays as acids.
    assert plain.dry_matter_g - sour.dry_matter_g == pytest.approx(0.25 * 25.6)
    assert whole(sour, "K") == pytest.approx(whole(plain, "K"))
    assert whole(sour, "ENERC_KCAL") < whole(plain, "ENERC_KCAL")


@pytest.mark.parametrize("kind", ["cooked", "fermented"])
def test_poured_off_water_takes_minerals_along(kind):
    method = {"method": "boiled"} if kind == "cooked" else {}
    kept, drained = (
        dry_batch(
            batch("Spinach, raw", preparation={"kind": kind, "liquid": liquid, **method}), TABLE
        )
        for liquid in ("kept", "drained")
    )
    assert whole(drained, "K") < whole(kept, "K")
    assert drained.dry_matter_g < kept.dry_matter_g
    assert "water" in set(drained.flags["cause"])


def test_fat_poured_off_takes_fat_and_energy_along():
    def fried(liquid):
        preparation = {"kind": "cooked", "method": "fried", "liquid": liquid}
        return dry_batch(batch("13325", preparation=preparation), TABLE)

    assert whole(fried("drained"), "FAT") == pytest.approx(whole(fried("kept"), "FAT"))  # liver
    assert rendered_fat_kept(5) == pytest.approx(0.98)
    assert rendered_fat_kept(20) == pytest.approx(0.55)
    assert rendered_fat_kept(float("nan")) == 1.0
    fatty = cooking_kept(
        "ground beef", Preparation(kind="cooked", method="fried", liquid="drained"), fat_g=20
    )
    assert fatty.likely[AT["FAT"]] == pytest.approx(0.55)
    assert fatty.likely[AT["FAPU"]] == pytest.approx(0.55)


def test_a_named_retention_code_wins():
    ingredients = [{"food": "11457", "mass": "1 kg", "retention_code": "3006"}]
    cooked = {"kind": "cooked", "method": "boiled", "liquid": "drained"}
    dried = dry_batch(Batch(name="x", ingredients=ingredients, preparation=cooked), TABLE)
    assert set(dried.steps["retention_code"]) == {"3006"}
    wrong = [{**ingredients[0], "retention_code": "9999"}]
    with pytest.raises(DryingError, match="retention_code 9999 is not in"):
        dry_batch(Batch(name="x", ingredients=wrong, preparation=cooked), TABLE)


@pytest.mark.parametrize(
    ("family", "preparation", "code"),
    [
        ("greens", {"kind": "cooked", "method": "boiled", "liquid": "drained"}, "3005"),
        ("greens", {"kind": "cooked", "method": "boiled", "liquid": "kept"}, "3006"),
        ("ground beef", {"kind": "cooked", "method": "fried", "liquid": "drained"}, "0751"),
        ("ground beef", {"kind": "cooked", "method": "fried"}, "0752"),
        ("egg", {"kind": "cooked", "method": "scrambled"}, "0103"),
        ("quick legume", {"kind": "cooked", "method": "boiled", "liquid": "kept"}, "0502"),
        ("vegetable", {"kind": "blanched", "method": "water"}, "3774"),
        ("vegetable", {"kind": "blanched", "method": "steam"}, "3784"),
        ("vegetable", {"kind": "raw"}, None),
        ("vegetable", {"kind": "fermented"}, None),
    ],
)
def test_code_by_family_and_method(family, preparation, code):
    assert choose_code(family, Preparation(**preparation)) == code


def test_fish_code_goes_by_its_fat():
    baked = Preparation(kind="cooked", method="baked", liquid="kept")
    assert choose_code("fish", baked, 1.0) == "2302"
    assert choose_code("fish", baked, 12.0) == "2452"


def test_steam_blanching_keeps_more_than_water_blanching_more_than_boiling():
    def kept(**preparation):
        return cooking_kept("vegetable", Preparation(**preparation)).likely[AT["VITC"]]

    steam, water = (kept(kind="blanched", method=method) for method in ("steam", "water"))
    assert kept(kind="cooked", method="boiled") < water < steam < 1


def test_each_ingredient_goes_by_its_own_class():
    mixed = Batch(
        name="beef and tomato",
        ingredients=[{"food": "23557", "mass": "1 kg"}, {"food": "11529", "mass": "2 kg"}],
        preparation={"kind": "cooked", "method": "fried"},
    )
    dried = dry_batch(mixed, TABLE)
    codes = dried.steps.groupby("food_id")["retention_code"].first()
    assert codes["23557"] == "0752"
    assert codes["11529"] == "3752"
    assert dried.food_class == "meat"  # most of the solids
    drying = dried.steps.set_index(["food_id", "component"])["drying_likely"]
    assert drying["23557", "THIA"] != drying["11529", "THIA"]


def test_retinol_and_carotene_parts_of_vitamin_a_go_apart():
    liver, carrot = (
        dry_batch(batch(food), TABLE).steps.set_index("component") for food in ("13325", "11124")
    )
    assert carrot.at["VITA_RAE", "drying_likely"] == carrot.at["CARTB", "drying_likely"]
    assert liver.at["VITA_RAE", "drying_likely"] == pytest.approx(
        liver.at["RETOL", "drying_likely"], abs=0.005
    )


def test_vitamin_a_of_butter_is_nearly_all_retinol():
    """SR28 01001: 671 of 684 ug RAE are retinol; of 2499 IU, 671 / 0.3 = 2237."""
    kept = dry_batch(batch("01001"), open_table()).steps.set_index("component")["drying_likely"]
    for tag, share in (("VITA_RAE", 671 / 684), ("VITA_IU", 671 / 0.3 / 2499)):
        by_hand = share * kept["RETOL"] + (1 - share) * kept["CARTB"]
        assert kept[tag] == pytest.approx(by_hand, rel=1e-9)


def test_range_of_a_cooking_factor_by_hand():
    """Code 3005 keeps 55 % of vitamin C: ln gives 0.5978, a 90 % range of exp(1.645 · 0.6) =
    2.683 times either way: exp(−1.604) and exp(−0.2228)."""
    boiled = Preparation(kind="cooked", method="boiled", liquid="drained")
    kept = cooking_kept("greens", boiled)
    place = AT["VITC"]
    ends = (kept.low[place], kept.likely[place], kept.high[place])
    assert ends == pytest.approx((0.2011, 0.55, 0.8003), abs=5e-4)


def test_class_default_moisture_has_the_width_of_its_class():
    """Vegetables: 4, 10 and 15 % (table dried_moisture): 10 ± half of 11 points."""
    water = dry_batch(batch("11529"), open_table()).composition.loc["WATER"]
    assert tuple(water[["low", "likely", "high"]]) == pytest.approx((4.5, 10, 15.5))


# ---------------------------------------------------------------- ranges and draws


def test_draws_repeat_and_agree_with_the_ranges_without_draws():
    first, second = (dry_batch(batch(moisture="6 %"), TABLE, draws=8000, seed=7) for _ in range(2))
    np.testing.assert_array_equal(first.draws, second.draws)
    assert first.draws.shape == (8000, len(tags()))
    plain = dry_batch(batch(moisture="6 %"), TABLE).composition.dropna()
    drawn = first.composition.loc[plain.index]
    for frame in (plain, drawn):
        assert (frame["low"] <= frame["likely"]).all()
        assert (frame["likely"] <= frame["high"]).all()
    some = [tag for tag in ("K", "MG", "PROCNT", "FOL", "THIA", "CARTB") if tag in plain.index]
    assert np.allclose(np.log(plain.loc[some, "high"] / drawn.loc[some, "high"]), 0, atol=0.12)
    assert np.allclose(plain.loc[some, "low"], drawn.loc[some, "low"], rtol=0.2)


def test_another_seed_gives_other_draws():
    first, second = (dry_batch(batch(), TABLE, draws=50, seed=seed).draws for seed in (1, 2))
    assert not np.array_equal(first, second)


def test_the_same_food_errs_together_in_two_batches():
    raw, boiled = (
        dry_batch(batch("Spinach, raw", preparation=preparation), TABLE, draws=500).draws
        for preparation in ({}, {"kind": "cooked", "method": "boiled", "liquid": "kept"})
    )
    assert np.corrcoef(raw[:, AT["MG"]], boiled[:, AT["MG"]])[0, 1] > 0.9
    drawn = composition_draws(["11457"], TABLE, tags(), draws=500)[:, 0, AT["MG"]]
    assert np.corrcoef(raw[:, AT["MG"]], drawn)[0, 1] > 0.9


def test_the_record_lies_half_way_between_median_and_mean_of_its_draws():
    drawn = composition_draws(["11124", "11457"], TABLE, ["K", "CU"], draws=4000, seed=3)
    assert drawn.shape == (4000, 2, 2)
    assert np.isnan(drawn[:, 1, 1]).all()
    # log-normal, spread 0.36: exp(0.36 ** 2 / 4) = 1.033 either way
    assert drawn[:, 0, 0].mean() == pytest.approx(1.033 * 320, rel=0.03)
    assert np.median(drawn[:, 0, 0]) == pytest.approx(320 / 1.033, rel=0.03)


def test_a_larger_standard_error_widens_the_range():
    error = pd.DataFrame({"K": [320.0]}, index=["11124"])
    unsure = SmallTable(error)

    def width(table):
        low, high = dry_batch(batch(), table).composition.loc["K", ["low", "high"]]
        return high / low

    assert width(unsure) > 1.5 * width(TABLE)


def test_an_oil_stays_nearly_all_fat():
    from nutricheck.foods import open_table

    table = open_table()
    drawn = composition_draws(["04053"], table, ["FAT"], draws=500)  # olive oil
    assert np.percentile(drawn, (5, 95)) == pytest.approx([100, 100], abs=1)


# ---------------------------------------------------------------- flags and words


def test_flags_name_the_cause():
    def causes(**rest):
        flags = dry_batch(batch("Spinach, raw", **rest), TABLE).flags
        return dict(zip(flags["component"], flags["cause"], strict=True))

    hot = causes(drying={"temperature": "65 °C", "time": "10 h"})
    assert hot["VITC"] == "heat"
    assert hot["CARTB"] == "oxygen"
    low = causes(drying={"temperature": "35 °C", "time": "6 days"})
    assert low["VITC"] == "oxygen"
    assert causes(drying={"method": "sun"})["VITC"] == "light"
    assert "K" not in hot
    boiled = causes(preparation={"kind": "cooked", "method": "boiled", "liquid": "drained"})
    assert boiled["K"] == "water"


def test_low_heat_for_days_is_told_kindly():
    slow = dry_batch(
        batch("Spinach, raw", drying={"temperature": "35 °C", "time": "6 days"}), TABLE
    )
    text = slow.flags.set_index("component").at["VITC", "text"]
    assert "Low heat for days" in text and "79 %" in text
    texts = [text for text in slow.flags["text"] if "Low heat for days" in text]
    assert texts == [text], "of vitamin C alone"
    hot = dry_batch(batch("Spinach, raw", drying={"temperature": "65 °C", "time": "10 h"}), TABLE)
    assert not any("Low heat for days" in text for text in hot.flags["text"])


def test_sulphite_is_blamed_for_thiamin_alone():
    for sulphited, blamed in ((True, ["THIA"]), (False, [])):
        dried = dry_batch(batch(preparation={"kind": "raw", "sulphited": sulphited}), TABLE)
        is_told = dried.flags["text"].str.contains("sulphite destroys it")
        assert dried.flags["component"][is_told].tolist() == blamed


def test_flags_of_storage_name_light_where_it_comes_in():
    causes = {}
    for dark in (True, False):
        dried = dry_batch(
            batch(drying={"method": "freeze"}, storage={"time": "12 months", "dark": dark}), TABLE
        )
        causes[dark] = dict(zip(dried.flags["component"], dried.flags["cause"], strict=True))
    assert (causes[True]["CARTB"], causes[False]["CARTB"]) == ("oxygen", "light")


def test_nothing_is_lost_to_heat_at_32_degrees():
    slow = {"drying": {"temperature": "32 °C", "time": "6 days"}}
    flags = dry_batch(batch("Spinach, raw", **slow), open_table()).flags
    assert "heat" not in set(flags["cause"])
    text = flags.set_index("component").at["THIA", "text"]
    assert "lost mainly to time" in text


@pytest.mark.parametrize(
    ("food_id", "name"),
    [
        ("11201", "leafy vegetable"),  # cowpeas, leafy tips
        ("11022", "leafy vegetable"),  # balsam-pear, leafy tips
        ("11292", "leafy vegetable"),  # onions, tops only
        ("11350", "leafy vegetable"),  # pokeberry shoots
        ("35063", "leafy vegetable"),  # wild rhubarb, leaves
        ("11520", "leafy vegetable"),  # taro leaves
        ("11525", "leafy vegetable"),  # Tahitian taro: 96 mg of vitamin C, 102 ug RAE
        ("11522", "vegetable"),  # taro shoots
        ("11518", "root"),  # taro
        ("35154", "fruit"),  # salmonberries
        ("35078", "beverage"),  # tea, tundra
        ("02044", "herb"),  # basil
        ("02007", "other"),  # celery seed
        ("02053", "other"),  # vinegar
        ("11304", "green pulse"),  # green peas
        ("11167", "vegetable"),  # sweet corn
    ],
)
def test_leaves_tips_and_herbs_are_what_they_are(food_id, name):
    assert food_class(open_table().food(food_id)).name == name


def test_what_storage_would_leave_of_vitamin_c_is_told():
    """Six months by the rates 0.019, 0.25 and 0.8 per month of storage_rates."""
    notes = {
        name: " ".join(dry_batch(batch(food, **rest), open_table()).notes)
        for name, food, rest in (
            ("root", "Carrots, raw", {}),
            ("stored", "Carrots, raw", {"storage": {"time": "1 month"}}),
            ("meat", "23557", {}),
        )
    }
    words = (
        "Six months in the dark at 20 °C leave about 22\u00a0% (1 to 89\u00a0%) of the vitamin C"
    )
    by_hand = np.exp([-6 * 0.25, -6 * 0.8, -6 * 0.019])
    assert by_hand == pytest.approx([0.22, 0.01, 0.89], abs=0.005)
    assert words in notes["root"]
    assert "give storage" in notes["meat"]
    assert words not in notes["meat"]
    assert "Storage before" not in notes["stored"]
    assert words not in notes["stored"]


def test_mushrooms_in_the_sun_do_not_lose_vitamin_d():
    """Cardwell et al., Nutrients 10:1498, 2018: sunlight makes it."""
    vitamin_d = {}
    for method in ("sun", "hot air"):
        dried = dry_batch(batch("11238", drying={"method": method}), open_table())
        flags, notes = set(dried.flags["component"]), " ".join(dried.notes)
        vitamin_d[method] = "VITD" in flags, "makes vitamin D" in notes
    assert vitamin_d == {"sun": (False, True), "hot air": (True, False)}


def test_one_flag_per_nutrient():
    flagged = dry_batch(batch(), TABLE).flags["component"]
    assert "FOLDFE" in set(flagged)
    assert not {"FOL", "FOLFD"} & set(flagged)


def test_evidence_is_cited_and_assumptions_told():
    dried = dry_batch(batch(preparation={"kind": "cooked", "method": "boiled"}, ground=True), TABLE)
    assert any("Release 6 (2007), code 3455" in one for one in dried.evidence)
    assert any("SR28" in one for one in dried.evidence)
    notes = " ".join(dried.notes)
    for word in ("poured off", "Ground", "usual home drying", "Storage"):
        assert word in notes
    plain = dry_batch(batch(drying={"temperature": "57 °C", "time": "10 h"}), TABLE)
    notes = " ".join(plain.notes)
    for word in ("poured off", "Ground", "usual home drying"):
        assert word not in notes


def test_route_in_words():
    dried = dry_batch(
        batch(
            preparation={"kind": "cooked", "method": "boiled", "liquid": "drained"},
            drying={
                "steps": [
                    {"temperature": "55 °C", "time": "4 h"},
                    {"temperature": "40 °C", "time": "4 days"},
                ]
            },
        ),
        TABLE,
    )
    assert dried.route == "boiled, liquid drained; hot air 55 °C 4 h, 40 °C 4 days"
    salted = dry_batch(batch(preparation={"kind": "fermented", "salt": "20 g"}), TABLE)
    assert salted.route == "fermented, salt 20 g; hot air"
    assert salted.water_removed_g == pytest.approx(1020 - salted.dried_mass_g)
    assert dry_batch(batch(), TABLE).route == "raw; hot air"


@pytest.mark.parametrize(
    ("drying", "is_so"),
    [
        ({"temperature": "45 °C", "time": "24 h"}, True),
        ({"temperature": "45 °C", "time": "23 h"}, False),
        ({"temperature": "46 °C", "time": "48 h"}, False),
        ({"method": "shade"}, True),
        ({"method": "freeze", "temperature": "20 °C", "time": "48 h"}, False),
    ],
)
def test_low_heat_for_days_is_a_day_at_45_degrees_at_most(drying, is_so):
    assert is_long_and_low(Drying(**drying)) == is_so


# ---------------------------------------------------------------- doubtful cells of Release 6


def test_a_doubtful_retention_code_is_told():
    kept = Preparation(kind="cooked", method="simmered", liquid="kept")
    assert choose_code("lean fish", kept) == "2402"
    dried = dry_batch(
        Batch(
            name="test",
            ingredients=[{"food": "Carrots, raw", "mass": "1 kg", "retention_code": "2402"}],
            preparation=kept,
        ),
        TABLE,
    )
    assert any("2402" in note and "minerals" in note for note in dried.notes)
    plain = dry_batch(batch(preparation={"kind": "cooked", "method": "simmered"}), TABLE)
    assert not any("retention code" in note for note in plain.notes)


@pytest.mark.parametrize("tag", ["CA", "FE", "MG", "P", "K", "NA", "ZN", "CU"])
def test_liquid_kept_never_keeps_less_minerals_than_liquid_poured_off(tag):
    """Release 6 prints 80 for lean fish simmered with its liquid (2402), 85 to 100 without."""
    for family in ("lean fish", "fatty fish"):
        shares = [
            cooking_kept(
                family, Preparation(kind="cooked", method="simmered", liquid=liquid)
            ).likely[AT[tag]]
            for liquid in ("drained", "kept")
        ]
        assert shares[0] <= shares[1]
