"""The whole job on the samples: one plan in, one result out, told in words, JSON and CSV."""

from __future__ import annotations

import csv
import io
import json
import re
import tomllib
from dataclasses import replace
from pathlib import Path

import pandas as pd
import pytest
from typer.testing import CliRunner

from nutricheck.adequacy import chance, coverage
from nutricheck.advice.answer import answer
from nutricheck.check_plan import Result, check
from nutricheck.cli import app
from nutricheck.errors import NutricheckError, PlanError
from nutricheck.facts import components
from nutricheck.facts.caution import Caution
from nutricheck.plan.models import Packed, Plan
from nutricheck.report.answer_words import headline, nutrient_name
from nutricheck.report.data import result_json
from nutricheck.report.terminal import print_report
from nutricheck.report.verdict import facts, verdict
from nutricheck.report.words import person_words
from nutricheck.terminal_size import WIDEST
from tests.plans import MAN, WOMAN, checked

SAMPLES = Path(__file__).parent.parent / "samples"
BOTH = sorted(SAMPLES.glob("*.toml"))


@pytest.fixture(scope="module", params=BOTH, ids=lambda path: path.stem)
def result(request) -> Result:
    return check(request.param, draws=200)


@pytest.fixture(scope="module")
def light() -> Result:
    return checked("light_pack", 200)


def test_every_component_with_a_reference_is_compared_on_every_day(result):
    rows = result.coverage[result.coverage["reference"].notna()]
    days = [*result.days["day"], coverage.TRIP_MEAN]
    for tag in components.HOT_DAY_FOUR:
        # with high blood pressure there is no figure for salt
        has_figure = tag != "NA" or not result.plan.person.conditions
        assert list(rows.loc[rows["component"] == tag, "day"]) == (days if has_figure else [])
    assert (rows["status"] != "").all()
    assert list(dict.fromkeys(result.coverage["component"]))[:4] == list(components.HOT_DAY_FOUR)


def test_intake_is_the_sum_over_items(result):
    by_item = result.intake.by_item.groupby(["day", "component"])["likely"].sum(min_count=1)
    table = result.intake.table.set_index(["day", "component"])["likely"]
    pd.testing.assert_series_equal(by_item.reindex(table.index), table, check_names=False)


def test_the_same_plan_gives_the_same_digits(result):
    again = check(result.source, draws=200)
    pd.testing.assert_frame_equal(result.coverage, again.coverage)


def test_efsa_by_choice():
    efsa = checked("july_survey", reference="EFSA")
    rows = efsa.coverage.set_index(["day", "component"])
    # EFSA Journal 2013;11(11):3418: vitamin C PRI for women, 95 mg/day.
    assert rows.at[("rest in camp", "VITC"), "reference"] == 95


def test_the_first_line_answers(light):
    first = verdict(light)[0]
    assert first.kind == "bad"
    assert first.text.startswith(
        "No. As packed you cannot eat: beef, raw at low heat. Food for no full day: the pack holds"
    )
    assert first.text.endswith("Too much magnesium and zinc.")


def test_a_plan_with_doubts_says_not_quite_and_of_what():
    sentences = verdict(checked("july_survey", 200))
    assert sentences[0].kind == "attention"
    assert sentences[0].text == (
        "Almost. Energy for the whole trip, less than you use on hard climb. "
        "Low in vitamin D and alpha-linolenic acid."
    )
    texts = [sentence.text for sentence in sentences]
    assert "Short over the trip: vitamin D (10\u00a0%)." in texts
    assert any(text.startswith("Likely enough over the trip: calcium") for text in texts)


def small_plan(**changes) -> dict:
    """Two kinds of day, oats on both; ``changes`` replace whole sections."""
    plan = {
        "person": dict(MAN),
        "days": [{"name": "walk", "count": 10, "moving": "6 h", "air_temperature": "30 °C"},
                 {"name": "rest", "count": 4}],
        "packed": [{"item": "oats", "food": "08120", "mass": "20 kg"}],
        "portions": [{"item": "oats", "amount": "600 g"}],
    }  # fmt: skip
    return plan | changes


def test_a_day_of_which_nothing_is_known_is_not_hidden_by_one_that_is_covered():
    plan = small_plan(
        label=[{"name": "bar", "serving": "100 g", "amounts": {"ENERC_KCAL": "500 kcal"}}],
        packed=[{"item": "bar", "mass": "20 kg"},
                {"item": "oats", "food": "08120", "mass": "20 kg"}],
        portions=[{"item": "bar", "amount": "600 g", "days": ["walk"]},
                  {"item": "oats", "amount": "900 g", "days": ["rest"]}],
    )  # fmt: skip
    result = check(plan, draws=0)
    assert "Magnesium: not known on walk." in [sentence.text for sentence in verdict(result)]


def test_a_danger_of_the_person_alone_does_not_call_the_pack_wrong():
    plan = tomllib.loads((SAMPLES / "july_survey.toml").read_text(encoding="utf-8"))
    plan["person"]["conditions"] = ["liver"]
    first = verdict(check(plan, draws=200))[0]
    assert first.kind == "bad"
    assert first.text.startswith("Not before you have asked your clinic about liver disease.")
    plan["person"]["conditions"] = ["kidney"]  # and the plan holds a magnesium capsule
    first = verdict(check(plan, draws=200))[0]
    assert first.text.startswith("No. Danger: ") and "kidney disease" in first.text


def test_little_food_with_much_salt_is_not_told_to_bring_little_salt():
    plan = small_plan(
        packed=[{"item": "oats", "food": "08120", "mass": "20 kg"},
                {"item": "salt", "food": "02047", "mass": "2 kg"}],
        portions=[{"item": "oats", "amount": "200 g"}, {"item": "salt", "amount": "60 g"}],
    )  # fmt: skip
    topics = {caution.topic for caution in check(plan, draws=0).cautions}
    assert {"energy deficit", "far too much salt"} <= topics
    assert "low blood sodium" not in topics


def test_in_pregnancy_a_danger_is_what_the_plan_holds():
    def dangers_of(**changes):
        plan = small_plan(**changes)
        plan["person"] = {"sex": "female", "age": 30, "mass": "65 kg", "height": "170 cm",
                          "life_stage": "pregnancy"}  # fmt: skip
        levels = {caution.topic: caution.level for caution in check(plan, draws=0).cautions}
        return {topic: level for topic, level in levels.items() if "energy" not in topic}

    def with_batch(food, **drying):
        batch = {"name": "dried", "ingredients": [{"food": food, "mass": "1 kg"}]} | drying
        return dangers_of(
            batch=[batch],
            packed=[{"item": "dried", "mass": "200 g"}],
            portions=[{"item": "dried", "amount": "1 g"}],
        )

    plain = dangers_of()
    assert plain["pregnancy: vitamin A"] == plain["pregnancy: raw animal foods"] == "warning"
    assert "danger" not in plain.values()
    cooked = {"preparation": {"kind": "cooked", "method": "braised"}}
    liver = with_batch("13325", drying={"temperature": "60 °C", "time": "8 h"}, **cooked)
    assert [t for t, level in liver.items() if level == "danger"] == ["vitamin A in liver"]
    raw = with_batch("Beef, ground, 95% lean meat / 5% fat, raw",
                     drying={"temperature": "60 °C", "time": "8 h"})  # fmt: skip
    assert raw["who should not eat it"] == "danger"


def told_of_levels(**changes) -> list[str]:
    result = check(small_plan(**changes), draws=0)
    return [
        sentence.text
        for sentence in verdict(result)
        if sentence.text.startswith(("Upper level", "Maybe"))
    ]


def test_that_no_upper_level_is_passed_is_told():
    # Oats hold 3.6 mg of manganese in 100 g (SR28), the upper level is 11 mg (IOM 2001).
    some = [{"item": "oats", "amount": "100 g"}]
    assert told_of_levels(portions=some) == [
        "Upper levels: you pass none that the US and Canada set, as far as the content is known."
    ]
    # 600 g of oats pass manganese's by food alone: said for what it is
    by_food, others = told_of_levels()
    assert by_food.startswith("Upper level of manganese: you pass it with ordinary food alone")
    assert others.startswith("Upper levels: you pass no other that the US and Canada set")


def test_what_may_pass_an_upper_level_is_told():
    label = {"name": "pill", "kind": "supplement", "serving": "1 g", "amounts": {"MG": "600 mg"}}
    levels = told_of_levels(
        label=[label | {"compounds": {"MG": "magnesium oxide"}, "states": {"MG": "unclear"}}],
        packed=[{"item": "pill", "mass": "20 g", "piece": "1 g"}],
        portions=[{"item": "pill", "amount": "0.7 pieces"}],
    )
    # By hand: 0.7 × 600 mg × 0.603 = 253 mg to 420 mg; level 350 mg, the middle 337 mg.
    assert levels == [
        "Maybe too much: magnesium. The likely amount is below the upper level; the top of the "
        "range is not."
    ]


def test_nothing_is_said_of_upper_levels_where_nothing_is_known():
    label = {"name": "bar", "serving": "100 g", "amounts": {"ENERC_KCAL": "500 kcal"}}
    bar = {"packed": [{"item": "bar", "mass": "20 kg"}]}
    assert told_of_levels(label=[label], **bar, portions=[{"item": "bar", "amount": "1 g"}]) == []


def test_a_pack_of_pills_is_weighed_in_grams_and_its_energy_is_not_a_dash():
    label = {"name": "pill", "kind": "supplement", "serving": "1 g", "amounts": {"MG": "100 mg"}}
    sentences = dict(
        facts(
            check(
                small_plan(
                    days=[{"name": "walk", "count": 1}],
                    label=[label],
                    packed=[{"item": "pill", "mass": "36 g", "piece": "1 g"}],
                    portions=[{"item": "pill", "amount": "1 piece"}],
                ),
                draws=0,
            )
        )
    )
    assert sentences["Weight"] == (
        "36 g of food in containers whose mass is not given; 36 g for the day."
    )


def test_a_component_without_values_is_not_told_as_short_from_the_first_day():
    label = {"name": "bar", "serving": "100 g", "amounts": {"ENERC_KCAL": "500 kcal"}}
    result = check(
        small_plan(
            label=[label],
            packed=[{"item": "bar", "mass": "20 kg"}],
            portions=[{"item": "bar", "amount": "100 g"}],
        ),
        draws=0,
    )
    text = printed(result, everything=True)
    lines = text[text.index("For how many days the whole pack is enough") :].splitlines()
    place = lines.index("magnesium, mg")
    for row in lines[place + 1 : place + 3]:  # of the longest and the shortest trip
        assert row.count("–") == 3 and "day" not in row
    place = lines.index("energy, kcal")
    assert all(row.endswith("day 1") for row in lines[place + 1 : place + 3])


def test_what_is_packed_and_in_no_portion_is_told():
    oats = {"item": "oats", "food": "08120", "mass": "20 kg"}
    nuts = {"item": "pecans", "food": "12142", "mass": "3 kg"}
    texts = [sentence.text for sentence in verdict(check(small_plan(packed=[oats, nuts]), draws=0))]
    assert (
        "Packed, but you do not eat it on any day, so it does not count: pecans (3,000 g)." in texts
    )
    assert any(text.startswith("Every item that is eaten lasts") for text in texts)
    texts = [sentence.text for sentence in verdict(check(small_plan(), draws=0))]
    assert not any("you do not eat it on any day" in text for text in texts)


def test_a_trip_of_one_length_is_told_once():
    result = check(small_plan(days=[{"name": "walk", "count": 1}]), draws=0)
    report = printed(result, everything=True)
    assert re.search(r"^walk +1 +1 ", report, re.MULTILINE) and "at the shortest" not in report
    assert "· 1 day ·" in printed(result)


@pytest.mark.parametrize("hours", ["8 h", "30 h"])
def test_what_drying_left_of_vitamin_c_is_told_once(hours):
    drying = {"temperature": "45 °C", "time": hours}
    batch = [{"name": "red pepper", "ingredients": [{"food": "11821", "mass": "1 kg"}]}]
    batch[0]["drying"] = drying
    packed = [{"item": "red pepper", "mass": "100 g"}]
    result = check(
        small_plan(batch=batch, packed=packed, portions=[{"item": "red pepper", "amount": "5 g"}]),
        draws=0,
    )
    fact = dict(facts(result)).get("Drying left", "")
    finding = [sentence.text for sentence in verdict(result) if "low heat" in sentence.text]
    kept = result.batches["red pepper"].flags.set_index("component").at["VITC", "kept_likely"]
    assert bool(fact) == (hours == "8 h") != bool(finding)
    assert f"{100 * kept:.0f}\u00a0% in red pepper" in (fact or finding[0])


def test_what_an_upper_level_guards_against_is_told(light):
    (text,) = (
        sentence.text
        for sentence in verdict(light)
        if sentence.text.startswith("Too much magnesium")
    )
    assert text.endswith("against an upper level of 350 (diarrhoea).")


def test_a_reference_that_does_not_hold_is_told_so():
    person = MAN
    sentences = verdict(check(small_plan(person=person | {"conditions": ["kidney"]}), draws=0))
    four = [
        sentence.text
        for sentence in sentences
        if sentence.text.startswith(("Magnesium:", "Potassium:"))
    ]
    assert all("ask your doctor" in text and "walk" in text for text in four)
    assert len(four) == 2


def test_far_too_much_sodium_is_never_called_good():
    plan = small_plan(
        label=[{"name": "salt tablet", "serving": "1 g", "amounts": {"NA": "390 mg"}}],
        packed=[{"item": "salt tablet", "mass": "2 kg"}],
        portions=[{"item": "salt tablet", "amount": "60 g"}],
    )
    sentences = {
        sentence.text.partition(":")[0]: sentence for sentence in verdict(check(plan, draws=0))
    }
    assert (
        sentences["Sodium"].kind == "bad" and "a danger, as said above" in sentences["Sodium"].text
    )
    assert any(key.startswith("Danger, far too much salt") for key in sentences)


def test_dangers_are_named_once_each_in_the_answer():
    raw = {"drying": {"temperature": "40 °C", "time": "20 h"}, "moisture": "6 %"}
    batches = [
        {"name": "salmon (wild)", "ingredients": [{"food": "15076", "mass": "1 kg"}], **raw},
        {"name": "herring", "ingredients": [{"food": "15039", "mass": "1 kg"}], **raw},
    ]
    plan = small_plan(
        batch=batches,
        days=[{"name": "walk", "count": 2, "moving": "6 h", "drink": "15 L"}],
        packed=[{"item": batch["name"], "mass": "200 g"} for batch in batches],
        portions=[{"item": batch["name"], "amount": "20 g"} for batch in batches],
    )
    sentences = verdict(check(plan, draws=0))
    dangers = "Danger: planned drinking and fish dried raw."
    assert sentences[0].text.startswith(f"No. {dangers}")
    assert any(
        sentence.text.startswith("Danger, planned drinking, walk (15.0 L): ")
        for sentence in sentences
    )


def test_a_day_of_even_odds_is_told_beside_one_that_is_short(light):
    rows = light.coverage.copy()
    potassium = rows["component"] == "K"
    hot, rest = sorted(set(rows.loc[potassium, "day"]) - {coverage.TRIP_MEAN})
    for day, status, ratio in ((hot, chance.EVEN, 0.4), (rest, chance.SHORT, 0.5)):
        rows.loc[potassium & (rows["day"] == day), ["status", "ratio"]] = [status, ratio]
    sentences = verdict(replace(light, coverage=rows))
    of_potassium = next(
        sentence.text for sentence in sentences if sentence.text.startswith("Potassium")
    )
    assert of_potassium.startswith(f"Potassium: short on {rest}: ")
    assert of_potassium.endswith(f"; even odds on {hot} (40\u00a0%).")


def test_the_energy_gap_is_told_with_what_it_costs(light):
    energy = next(sentence for sentence in verdict(light) if sentence.text.startswith("Energy"))
    assert energy.kind == "bad"
    assert "kcal a day are missing" in energy.text
    days = light.supply.enough.set_index(["component", "trip"])["enough_days"]
    assert f"{days['ENERC_KCAL', 'longest']:.1f} such days" in energy.text
    assert f"{-light.balance['longest'].mass_change_kg[1]:.1f} kg of body mass" in energy.text
    assert "Danger: This takes 5 to 10 %" in energy.text
    # The beef runs out on the longest trip and lasts the shortest.
    parts = energy.text.split("Trip of 9 days")
    assert [part.count("as far as the food lasts") for part in parts] == [1, 0]


def test_what_low_heat_leaves_of_vitamin_c_is_told_with_numbers(result):
    sentences = [
        sentence for sentence in verdict(result) if "low heat does not reliably" in sentence.text
    ]
    name = {"light_pack": "spinach, raw at low heat", "july_survey": "tomato, raw"}
    if Path(result.source).stem not in name:
        assert sentences == [], "nothing of the ridge walk is dried at low heat"
        return
    batch = result.batches[name[Path(result.source).stem]]
    kept = batch.flags.set_index("component").loc["VITC"]
    likely, low = (f"{100 * kept[end]:.0f}" for end in ("kept_likely", "kept_low"))
    words = f"{likely}\u00a0% in {batch.name} (between {low}"
    assert len(sentences) == 1
    assert words in sentences[0].text
    assert sentences[0].text.endswith(
        "before the trip, which does not count here, would leave 22\u00a0% of that."
    )
    assert "yoghurt" not in sentences[0].text, "it held next to none"


def test_too_much_of_a_supplement_is_said_on_its_own_basis(light):
    texts = [f.text for f in verdict(light) if f.text.startswith("Too much magnesium")]
    assert len(texts) == 1
    assert "from supplements against an upper level of 350" in texts[0]  # IOM 1997
    rows = light.coverage.set_index(["day", "component"])
    row = rows.loc[("transect", "MG")]
    assert row["upper_likely"] < row["likely"], "food's magnesium does not count"


def test_an_unclear_label_is_asked_about(light):
    assert any("mineral capsule" in question for question in light.questions)
    asked = next(
        sentence
        for sentence in verdict(light)
        if sentence.text.startswith("Label of mineral capsule")
    )
    assert "Is 500 mg the magnesium itself or the magnesium oxide, which holds 302 mg" in asked.text


def test_more_packed_or_mixed_than_made_is_asked_about():
    data = tomllib.loads((SAMPLES / "july_survey.toml").read_text(encoding="utf-8"))
    names = {entry["name"] for entry in data["mix"]}
    mix = next(entry for entry in data["packed"] if entry["item"] in names)
    assert check(data, draws=0).questions == ()
    mix["mass"] = "90 kg"
    container, question, outlasts = sorted(
        check(data, draws=0).questions, key=lambda asked: ("empty" not in asked, asked)
    )
    assert "the empty container weighs" in container
    assert question.startswith(f"Mix {mix['item']}: you pack or mix 90,000 g of it, but")
    assert outlasts.startswith(f"Packed {mix['item']}: you packed 90,000 g and ")
    data["mix"][0]["parts"][0]["mass"] = "80 kg"
    assert any(
        asked.startswith(f"Batch {data['mix'][0]['parts'][0]['item']}: you pack or mix 80,000 g")
        for asked in check(data, draws=0).questions
    )


def test_a_body_mass_in_pounds_is_shown_in_whole_words():
    data = tomllib.loads((SAMPLES / "july_survey.toml").read_text(encoding="utf-8"))
    data["person"]["mass"] = "163 lb"
    assert "163 lb" in person_words(check(data, draws=0).plan.person).split(", ")


def test_a_caution_is_told_once_with_all_its_places():
    found = checked("july_survey").cautions
    assert len({(caution.text, caution.authority) for caution in found}) == len(found)
    hours = next(caution for caution in found if caution.topic == "long hours in warm air")
    assert hours.where == "yoghurt leather (18 h)"  # plants steamed and dried at 57 °C are not told
    moved = next(caution for caution in found if caution.id == "rancid")
    assert moved.where.count(" g of fat in 100 g") == moved.where.count("; ") + 1 > 1


def test_more_packed_than_dried_is_asked_about(result):
    def places(plan: Plan) -> list[str]:
        cautions = check(plan, draws=0).cautions
        return [caution.where for caution in cautions if caution.topic == "more packed than dried"]

    assert places(result.plan) == []
    batch = result.plan.batch[0]
    double = 2 * result.batches[batch.name.casefold()].dried_mass_g
    more = Packed(item=batch.name, mass=f"{double} g")
    [where] = places(result.plan.model_copy(update={"packed": (*result.plan.packed, more)}))
    assert where.startswith(f"{batch.name} (") and where.endswith(f" g of {double / 2:,.0f} g)")


def test_containers_without_a_mass_do_not_weigh_nothing(light):
    weight = dict(facts(light))["Weight"]
    assert "in at least 830 g of containers" in weight
    bare = [packed.model_copy(update={"container_mass_g": 0.0}) for packed in light.plan.packed]
    result = check(light.plan.model_copy(update={"packed": tuple(bare)}), draws=0)
    assert "in containers whose mass is not given, " in dict(facts(result))["Weight"]


def test_a_loss_that_may_be_none_is_no_negative_number(light):
    balance = light.balance["longest"]
    small = replace(balance, mass_change_kg=(-0.7, -0.3, 0.02), deficit_share=0.12)
    sentences = verdict(replace(light, balance={"longest": small, "shortest": small}))
    assert any("about 0.3 kg of body mass (0.0 to 0.7)" in sentence.text for sentence in sentences)


def test_words_for_one_day_one_note_a_young_person_and_a_rest_without_sweat():
    plan = {
        "person": {"sex": "male", "age": 15, "mass": "50 kg", "height": "165 cm"},
        "days": [{"name": "rest", "count": 2, "count_shortest": 1}],
        "packed": [{"item": "oats", "food": "08120", "mass": "200 g"}],
        "portions": [{"item": "oats", "amount": "100 g"}],
    }
    result = check(plan, draws=0)
    text = " ".join(printed(result).split())
    assert "boy, 15 y" in text and "1 to 2 days" in text
    assert "rest 3.3 L. " in text  # IOM 2005: boys of 14 to 18
    note = Caution("id", "topic", "text", "authority", "rest")
    assert "with 1 more caution: --all" in " ".join(
        printed(replace(result, limits=(note,))).split()
    )


def test_a_danger_stands_among_the_first_lines(light):
    assert "beef, raw at low heat" in " ".join(f.text for f in verdict(light)[:3])


def test_what_runs_out_is_not_eaten(light):
    """The balance of a trip counts what is in the pack, not what the portions wish for."""
    energy = light.balance["longest"]
    packed = light.supply.trips.at["longest", "energy_kcal"]
    eaten = (energy.days["intake"] * energy.days["count"]).sum()
    assert eaten <= packed * (1 + 1e-9)


def test_report_fits_100_columns_and_tells_the_four_first(result):
    text = printed(result, everything=True)
    assert max(len(line.rstrip()) for line in text.splitlines()) <= WIDEST
    assert text.index("magnesium, mg") < text.index("protein, g") < text.index("calcium, mg")
    flat = " ".join(text.split())
    sources = text[text.index("\nSources\n") :].split("\n\n")[0]
    body = {"DRI": "IOM 2011 (calcium and vitamin D)", "EFSA": "EFSA"}[result.reference]
    assert body in sources and "(sweat: " in " ".join(sources.split())
    assert all(caution.text[:40] in flat for caution in result.cautions)


def printed(result: Result, **how) -> str:
    out = io.StringIO()
    print_report(result, file=out, **how)
    return out.getvalue()


def test_the_report_opens_with_its_answer_and_the_long_one_ends_with_it(result):
    words = " ".join(headline(answer(result)).split())
    short, whole = printed(result), printed(result, everything=True)
    assert words in " ".join(" ".join(short.splitlines()[2:7]).split())
    assert words in " ".join(whole.split("\n\n")[1].split())
    assert " ".join(whole.rstrip().split("\n\n")[-1].split()) == words


def test_the_short_report_fits_a_screen_and_the_long_one_names_every_component(result):
    text, whole = printed(result), printed(result, everything=True)
    # Legs and stretches without water have lines of their own.
    most = 44 if result.plan.legs else 40
    assert len(text.splitlines()) <= most < len(whole.splitlines())
    assert max(len(line.rstrip()) for line in text.splitlines()) <= 80
    flat = " ".join(text.split())
    found = answer(result)
    assert all(nutrient_name(standing.tag) in flat for standing in found.five)
    names = [nutrient_name(standing.tag) for standing in (*found.five, *found.others)]
    assert all(name in whole for name in names)
    dangers = [caution for caution in result.cautions if caution.level == "danger"]
    assert all(" ".join(danger.text.split()) in flat for danger in dangers)
    warnings = [caution for caution in result.cautions if caution.level == "warning"]
    assert all(
        warning.topic in flat
        or (warning.short and " ".join(warning.short.split()) in flat)
        or (warning.do and warning.do in flat)
        for warning in warnings[:3]
    )
    assert "Dried batches" not in text
    assert "--all" in text


def test_a_day_named_is_shown_with_all_tables(light):
    assert "The other nutrients: travel" in printed(light, day="Travel")


def test_json_has_no_nan_and_csv_reads_back():
    runner = CliRunner()
    plan = str(SAMPLES / "july_survey.toml")
    output = runner.invoke(app, ["check", plan, "--json", "--draws", "100"])
    assert output.exit_code == 0
    document = json.loads(output.stdout, parse_constant=pytest.fail)
    rows = {(row["day"], row["component"]): row for row in document["coverage"]}
    assert rows["survey walk", "CR"]["likely"] is None  # unknown is null, not 0
    listed = runner.invoke(app, ["check", plan, "--csv", "--draws", "100"])
    read = list(csv.DictReader(io.StringIO(listed.stdout)))
    assert len(read) == len(document["coverage"])
    unknown = next(row for row in read if row["component"] == "CR")
    assert unknown["likely"] == ""


def test_the_report_says_which_days_there_are(light):
    with pytest.raises(NutricheckError, match="transect"):
        print_report(light, day="somewhen", file=io.StringIO())


def test_a_day_type_may_not_be_called_trip_mean():
    data = {
        "person": {"sex": "male", "age": 40, "mass": "80 kg", "height": "180 cm"},
        "days": [{"name": "Trip mean", "count": 1}],
        "packed": [{"item": "salt", "food": "02047", "mass": "10 g"}],
        "portions": [{"item": "salt", "amount": "1 g"}],
    }
    with pytest.raises(PlanError, match=r"days\[1\].*choose another"):
        check(data, draws=0)


def test_impossible_batches_are_told_at_once():
    data = {
        "person": {"sex": "male", "age": 40, "mass": "80 kg", "height": "180 cm"},
        "days": [{"name": "walk", "count": 1}],
        "batch": [
            {
                "name": name,
                "ingredients": [{"food": "Spinach, raw", "mass": "1 kg"}],
                "dried_mass": "10 g",
            }
            for name in ("one", "two")
        ],
        "packed": [{"item": "one", "mass": "10 g"}],
        "portions": [{"item": "one", "amount": "1 g"}],
    }
    with pytest.raises(PlanError) as caught:
        check(data, draws=0)
    assert [fault.place.split()[0] for fault in caught.value.faults] == ["batch[1]", "batch[2]"]


def test_covered_as_portioned_but_not_to_the_end_is_said():
    """By hand: 8 capsules, one a day, on a trip of 20 days; oats alone give less than the RDA."""
    walk = {"name": "walk", "count": 20, "moving": "7 h", "air_temperature": "32 °C"}
    capsule = {"name": "capsule", "kind": "supplement", "serving": "1 g", "amounts": {}}
    plan = {
        "person": dict(WOMAN),
        "days": [walk],
        "label": [capsule | {"amounts": {"MG": "300 mg"}}],
        "packed": [
            {"item": "capsule", "mass": "8 g", "piece": "1 g"},
            {"item": "oats", "food": "08120", "mass": "4 kg"},
        ],
        "portions": [
            {"item": "capsule", "amount": "1 piece"},
            {"item": "oats", "amount": "200 g"},
        ],
    }
    sentences = {
        sentence.text.split(":")[0]: sentence for sentence in verdict(check(plan, draws=0))
    }
    assert sentences["Magnesium"].kind == "attention"
    assert "enough" in sentences["Magnesium"].text
    assert "on 8 of the longest trip's 20 days" in sentences["Magnesium"].text
    # SR28 08120: 6 mg sodium in 100 g
    assert sentences["Sodium"].text.startswith("Sodium: too little sodium on walk: 12 mg")


def test_what_is_not_known_is_told_without_a_share():
    """Unknown is not zero: no share, and "at least" where some of the food is known."""
    plan = {
        "person": dict(WOMAN),
        "days": [{"name": "rest", "count": 3}],
        "label": [{"name": "bar", "serving": "100 g", "amounts": {"ENERC_KCAL": "400 kcal"}}],
        "packed": [
            {"item": "bar", "mass": "2 kg"},
            {"item": "oats", "food": "08120", "mass": "1 kg"},
        ],
        "portions": [
            {"item": "bar", "amount": "300 g"},
            {"item": "oats", "amount": "100 g", "days": ["rest"]},
        ],
    }
    texts = [sentence.text for sentence in verdict(check(plan, draws=0))]
    # SR28 08120: 138 mg magnesium in 100 g
    assert "Magnesium: not known: at least 138 of 320 mg." in texts


def test_how_a_label_was_read_is_told():
    """Regulation (EU) 1169/2011, Annex I: salt is 2.5 times the sodium."""
    soup = {"name": "soup", "serving": "100 g", "amounts": {"NACL": "2.5 g"}}
    result = check(
        {
            "person": dict(WOMAN),
            "days": [{"name": "rest", "count": 3}],
            "label": [soup],
            "packed": [{"item": "soup", "mass": "1 kg"}],
            "portions": [{"item": "soup", "amount": "100 g"}],
        },
        draws=0,
    )
    remark = "salt on a label is 2.5 times its sodium"
    assert json.loads(result_json(result))["label_notes"] == {"soup": [remark]}
    assert remark in " ".join(printed(result, everything=True).split())


@pytest.mark.parametrize(("reference", "level", "tablets"), [("DRI", 1000, 3), ("EFSA", 300, 1)])
def test_upper_levels_count_all_of_synthetic_vitamin_e(reference, level, tablets):
    """IOM 2000: 1 IU of the synthetic is 0.9 mg, of which 0.45 mg are active and count as intake;
    its 1000 mg/day are any form of what is added. EFSA 2024: 300 mg/day from all sources."""
    data = {
        "person": {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"},
        "days": [{"name": "walk", "count": 2}],
        "label": [
            {
                "name": "capsule",
                "kind": "supplement",
                "serving": "1 g",
                "amounts": {"VITE": "400 IU"},
                "forms": {"VITE": "dl-alpha-tocopherol"},
            }
        ],
        "packed": [
            {"item": "capsule", "mass": "20 g"},
            {"item": "oil", "food": "Oil, olive, salad or cooking", "mass": "100 g"},
        ],
        "portions": [
            {"item": "capsule", "amount": f"{tablets} g"},
            {"item": "oil", "amount": "10 g"},
        ],
    }
    result = check(data, reference=reference, draws=0)
    rows = result.coverage.set_index(["day", "component"])
    row = rows.loc["walk", "TOCPHA"]
    food = row["likely"] - 180 * tablets
    assert 1 < food < 2, "of 10 g olive oil"
    assert row["upper"] == level
    counted = 360 * tablets + (food if reference == "EFSA" else 0)
    # two days in the pack take a little
    assert row["upper_likely"] == pytest.approx(counted, rel=1e-3)
    assert row["status"] == coverage.ABOVE
    mean = rows.loc[coverage.TRIP_MEAN, "TOCPHA"]["upper_likely"]
    assert mean == pytest.approx(counted, rel=1e-3)


def test_salt_brings_its_chloride_as_an_ingredient_in_a_mix_and_on_a_batch():
    """2 g of salt: 607 mg chloride a gram of NaCl by molar mass (IUPAC 2021); SR28's table salt
    holds 38.8 % sodium, as 98.5 % NaCl does."""
    lentils, salt = {"food": "Lentils, raw", "mass": "98 g"}, {"food": "02047", "mass": "2 g"}
    cooked = {"kind": "cooked", "method": "boiled", "liquid": "kept", "salt": "2 g"}
    batch = {"name": "soup", "dried_mass": "98 g"}
    plans = [
        {"mix": [{"name": "soup", "parts": [lentils, salt]}]},
        {"batch": [{**batch, "ingredients": [lentils, salt]}]},
        {"batch": [{**batch, "ingredients": [lentils], "preparation": cooked}]},
    ]
    given = []
    for plan in plans:
        data = {
            "person": {"sex": "female", "age": 35, "mass": "60 kg", "height": "168 cm"},
            "days": [{"name": "walk", "count": 1}],
            "packed": [{"item": "soup", "mass": "98 g"}],
            "portions": [{"item": "soup", "over": "1 day"}],
            **plan,
        }
        rows = check(data, draws=0).coverage.set_index(["day", "component"])
        given.append(rows.loc["walk", "CLD"])
    mixed, cooked_in, salted = given
    assert mixed["at_least"] == pytest.approx(0.98 * 2 * 607 * 0.985, rel=0.001)
    assert cooked_in["at_least"] == pytest.approx(2 * 607 * 0.985, rel=0.001)
    assert salted["at_least"] == pytest.approx(2 * 607, rel=0.001)
    # what the lentils hold is drawn from pulses, some 40 mg in 100 g
    assert all(20 < row["drawn"] < 80 for row in given)
    assert mixed["known_share"] == cooked_in["known_share"] == pytest.approx(0.02)


@pytest.mark.parametrize(
    ("days", "storage", "is_told"),
    [
        (10, None, False),
        (15, None, True),
        (10, {"time": "1 months"}, True),
        (10, {"time": "1 months", "temperature": "-18 °C"}, False),
    ],
)
def test_how_long_dried_meat_keeps_is_told_where_it_matters(days, storage, is_told):
    """University of Wyoming Extension: 2 weeks at room heat."""
    meat = {
        "name": "beef",
        "ingredients": [{"food": "23557", "mass": "1 kg"}],
        "preparation": {"kind": "cooked", "method": "braised"},
        "drying": {"temperature": "68 °C", "time": "8 h"},
        **({"storage": storage} if storage else {}),
    }
    plan = small_plan(
        batch=[meat],
        days=[{"name": "walk", "count": days}],
        packed=[{"item": "beef", "mass": "200 g"}],
        portions=[{"item": "beef", "amount": "20 g"}],
    )
    ids = {caution.id for caution in check(plan, draws=0).cautions}
    assert ("dried meat keeps" in ids) is is_told


def test_each_action_in_json_has_the_keys_of_all_kinds():
    printed = json.loads(result_json(check(SAMPLES / "light_pack.toml", draws=100)))
    actions = printed["answer"]["actions"]
    assert len({action["kind"] for action in actions}) > 3
    for action in actions:
        assert {"kind", "tag", "item", "grams_a_day", "how", "why", "words"} <= action.keys()
        assert action.keys() == actions[0].keys()
