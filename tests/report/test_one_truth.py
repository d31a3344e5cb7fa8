"""Verdict, panel, picture and table of one plan say the same."""

from __future__ import annotations

import io
import re
from pathlib import Path

import pytest

from nutricheck.adequacy import chance
from nutricheck.advice.actions import CarryMore
from nutricheck.advice.additions import additions
from nutricheck.advice.answer import answer
from nutricheck.check_plan import check
from nutricheck.consistency import salt_question
from nutricheck.facts.components import BY_TAG
from nutricheck.foods import open_table
from nutricheck.needs.heat import heat_cautions
from nutricheck.plan.read import read_plan
from nutricheck.report.answer_screen import answer_report
from nutricheck.report.answer_words import action_words, headline
from nutricheck.report.page_answer import answer_view
from nutricheck.report.parts import Line
from nutricheck.report.pictures import pictures_view
from nutricheck.report.terminal import print_report
from nutricheck.report.verdict import short_facts, verdict
from nutricheck.report.words import amount, missing_words
from nutricheck.rows import StoredItem, rows_of

ROOT = Path(__file__).parents[2]
SCREENS = ROOT / "tests" / "screens"


def _sample(name):
    return ROOT / "samples" / f"{name}.toml"


@pytest.fixture(scope="module")
def july():
    return check(_sample("july_survey"), draws=200)


@pytest.fixture(scope="module")
def light():
    return check(_sample("light_pack"), draws=200)


@pytest.fixture(scope="module")
def ridge():
    return check(_sample("ridge_walk"), draws=200)


def _texts(result):
    return [sentence.text for sentence in verdict(result)]


def _energy(result):
    return next(text for text in _texts(result) if text.startswith("Energy, trip of"))


def test_a_days_energy_is_one_figure_in_picture_and_table(july):
    rows = july.coverage[july.coverage["component"] == "ENERC_KCAL"].set_index("day")
    drawn = {row["day"]: (row["eaten"], row["used"]) for row in pictures_view(july)["energy"]}
    assert len(drawn) == 3
    for day, figures in drawn.items():
        of_table = rows.loc[day, ["likely", "reference"]]
        assert figures == tuple(amount(kcal, 0) for kcal in of_table)


def test_where_food_runs_out_both_figures_of_energy_stand_with_their_basis(july):
    rows = july.coverage.set_index(["day", "component"])
    planned = rows.at[("trip mean", "ENERC_KCAL"), "likely"]
    longest = july.balance["longest"]
    used = float((longest.days["need"] * longest.days["count"]).sum()) / longest.trip_days
    eaten = used + longest.per_day_kcal[1]
    assert eaten < planned
    first = _energy(july).partition("Trip of 14 days")[0]
    assert f"your portions bring {amount(planned, 0)} kcal a day" in first
    assert f"as far as the food lasts you eat {amount(eaten, 0)} and use" in first


def test_what_lacks_is_the_same_mass_in_action_and_table(july):
    """Raisins: 66.2 g, for which 67 g are carried."""
    action = next(one for one in answer(july).actions if isinstance(one, CarryMore))
    text = io.StringIO()
    print_report(july, everything=True, file=text)
    row = next(line for line in text.getvalue().splitlines() if line.startswith("raisins  "))
    assert action.item == "raisins"
    assert f"Carry {missing_words(action.grams_trip)} more raisins" == action_words(action)[0]
    assert f"−{missing_words(action.grams_trip).removesuffix(' g')} " in row


@pytest.mark.parametrize("name", ["july_survey", "light_pack", "ridge_walk"])
def test_every_item_that_ends_before_the_trip_is_named(name, request):
    result = request.getfixturevalue(name.partition("_")[0])
    texts = " ".join(_texts(result))
    short = [
        row.item
        for row in rows_of(result.supply.items, StoredItem)
        if row.is_eaten and row.missing_longest_g >= 0.5
    ]
    assert name == "ridge_walk" or short
    for item in short:
        assert re.search(rf"{re.escape(item)} after \d+\.\d days", texts), item
    if "for rounding" in texts:
        assert "Up to 2\u00a0% of an item's portions" in texts


@pytest.mark.parametrize(
    ("name", "words"),
    [("july", "less than you use on hard climb"), ("ridge", "about break-even on dry plateau")],
)
def test_energy_for_the_trip_names_the_days_that_have_less(name, words, request):
    found = answer(request.getfixturevalue(name), with_actions=False)
    assert found.days["longest"].is_whole_trip and found.low_energy
    assert f"Energy for the whole trip, {words}." in headline(found)
    for row in found.low_energy:
        assert row.day in headline(found)


@pytest.mark.parametrize("name", ["child", "too_little_food", "five_dangers"])
def test_where_no_day_is_covered_headline_tile_and_table_name_the_same_days(name):
    result = check(SCREENS / f"{name}.toml", draws=50)
    found = answer(result, with_actions=False)
    days = result.supply.enough.set_index(["component", "trip"])["enough_days"]
    held = days["ENERC_KCAL", "longest"]
    longest = found.days["longest"]
    assert longest.covered_days == 0 and longest.energy_days == pytest.approx(held)
    words = f"the pack holds the energy of {amount(held, 1)} of {longest.length} days"
    assert f"Food for no full day: {words}." in headline(found)
    assert words in answer_view(result, found)["tiles"][0]["under"]
    assert f"the energy of {amount(held, 1)} such days" in _energy(result)


def test_a_starving_pack_leaves_nothing_over_but_what_is_in_no_portion():
    child = short_facts(check(SCREENS / "child.toml", draws=0))[0]
    assert "560 g (128 g in no portion)" in child and "left over" not in child


def test_what_no_portion_takes_is_eaten_before_more_food_is_carried():
    """The boy's father packs 500 g of pasta and gives 200 g on each of two days."""
    actions = answer(check(SCREENS / "child.toml", draws=50)).actions
    kinds = [action.kind for action in actions]
    action = actions[kinds.index("eat what is left")]
    assert (action.item, action.grams_trip, action.grams_a_day) == ("pasta", 100, 50)
    assert action_words(action)[0] == "Eat the pasta that no portion takes: 50 g more a day"
    energy = [action.tag for action in actions].index("ENERC_KCAL")
    assert kinds.index("eat what is left") < energy


def test_the_salt_that_is_asked_about_is_what_is_packed():
    """75 g in the tin, and of 90 g stirred into 2,980 g of powder what 2,820 g hold: 33 days."""
    plan = read_plan(_sample("ridge_walk"))
    bags = [one.mass_g for one in plan.packed if one.item == "ridge powder"]
    (mix,) = (mix for mix in plan.mix if mix.name == "ridge powder")
    stirred = sum(part.mass_g for part in mix.parts)
    assert (sum(bags), stirred) == (2820, 2980)
    salt_g = (75 + 90 * 2820 / 2980) / 33
    (question,) = salt_question(plan, open_table())
    assert f"the {salt_g:.1f} g a day" in question.message


def test_food_is_called_too_heavy_only_for_what_lacks(ridge):
    """Once for copper at 230 %: its upper level was taken for an aim."""
    found = additions(ridge, sources=("packed",))
    assert found.not_carried_for
    shares = ridge.coverage.set_index(["day", "component"])["ratio"]
    for tag in found.not_carried_for:
        assert min(shares[day, tag] for day in ridge.days["day"]) < 1, BY_TAG[tag].name
    text = " ".join(found.words)
    assert not re.search(r"\b0 g a day|\b0\.00\b|25\.6 kg instead of 25\.6", text)


def test_a_drink_made_on_the_way_names_its_bag_once(ridge):
    for row in rows_of(ridge.supply.items, StoredItem):
        names = row.container.split(", ")
        assert len(names) == len(set(names)), row.item


def test_the_limit_of_heat_says_why_it_counts_for_one_used_to_it():
    result = check(SCREENS / "rest_in_heat.toml", draws=0)
    (day,) = result.plan.days
    person = result.plan.person
    assert person.acclimatised
    energy = result.needs[day.name].energy
    where = heat_cautions(person, day, energy)[0].detail
    assert "not used to the heat; it counts for you although you are used to it" in where
    unused = person.model_copy(update={"acclimatised": False})
    assert "although" not in heat_cautions(unused, day, energy)[0].detail


def test_the_headline_counts_what_is_called_short():
    found = answer(check(SCREENS / "six_weeks.toml"))
    short = [
        row
        for row in (*found.five, *found.others)
        if row.shown_word in (chance.SHORT, chance.LIKELY_SHORT)
    ]
    assert len(short) > 3 and f" and {len(short) - 2} more." in headline(found)
    lines = [part.text for part in answer_report(found, 80) if isinstance(part, Line)]
    also = next(line for line in lines if "Also short" in line)
    named = also.partition("Also short: ")[2].partition(".")[0].split(", ")
    assert set(named) <= {BY_TAG[row.tag].name.partition(" (")[0] for row in short}


def test_what_is_near_the_advised_amount_is_not_called_low(ridge):
    found = answer(ridge)
    near = [BY_TAG[row.tag].name for row in found.others if row.shown_word == chance.NEAR_ADVISED]
    assert near
    lines = [part.text for part in answer_report(found, 80) if isinstance(part, Line)]
    text = " ".join(lines)
    also_low = re.search(r"Also low: ([^.]*)\.", text)
    for name in near:
        assert also_low is None or name not in also_low[1]
        assert re.search(rf"Near the advised amount: [^.]*{re.escape(name)}", text)


def test_the_picture_of_the_pack_is_by_leg(ridge):
    drawn = pictures_view(ridge)["pack"]
    legs = ridge.legs["longest"].legs
    assert len(drawn["columns"]) == 33 == drawn["last"]
    heaviest = max(range(33), key=lambda at: drawn["columns"][at]["height"]) + 1
    assert heaviest == legs.loc[legs["start_total_g"].idxmax(), "first_day"]
    for start in legs["start_total_g"]:
        assert f"{amount(start / 1000, 1)} to " in drawn["text"]
    whole = ridge.supply.pack.query("trip == 'longest'")["total_g"].max()
    assert amount(whole / 1000, 1) not in drawn["text"]
