"""The page in a browser: it opens, follows changes as Python does, and is within everyone's reach.

Needs Chromium; skipped where there is none.
"""

from __future__ import annotations

import itertools
import math
import os
import re
from contextlib import contextmanager
from pathlib import Path
from random import Random

import pandas as pd
import pytest

import nutricheck as nc
from nutricheck import check_plan
from nutricheck.adequacy import coverage
from nutricheck.advice.answer import answer, standings
from nutricheck.advice.drink_plan import drink_plans
from nutricheck.drying import stages
from nutricheck.plan.models import Plan
from nutricheck.report.answer_words import chance_words, headline
from nutricheck.report.page import page_html, write_page
from nutricheck.stock import supply
from tests.plans import (
    HOSTILE,
    changed,
    checked,
    coeliac_plan,
    cold_plan,
    hostile_plan,
    legs_plan,
    people_plan,
    sample,
    spread_plan,
)
from tests.report.browser import browser
from tests.screens.measure import WORDS_AND_HEIGHT

WIDE, PHONE = 1280, 390

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def chromium():
    with browser() as started:
        yield started


@pytest.fixture(scope="module")
def folder(tmp_path_factory):
    return tmp_path_factory.mktemp("pages")


@pytest.fixture(scope="module")
def written(folder):
    """Write a result as a page, once each."""
    pages = {}

    def write(result):
        if id(result) not in pages:
            path = folder / f"{len(pages)}.html"
            write_page(result, path)
            pages[id(result)] = path, result  # held: no later result gets its number
        return pages[id(result)][0]

    return write


@pytest.fixture(scope="module")
def tab(chromium):
    """A tab of the browser with or without scripts, one each for all tests."""
    tabs = {}

    def tab_for(has_scripts):
        if has_scripts not in tabs:
            context = chromium.new_context(java_script_enabled=has_scripts)
            context.set_default_timeout(120_000)
            tabs[has_scripts] = context.new_page()
        return tabs[has_scripts]

    return tab_for


@pytest.fixture
def opened(tab, written):
    """Open a result as a page; any message, failed script or request but the file's own fails."""

    @contextmanager
    def open_result(result, width=WIDE, *, scheme="light", has_scripts=True):
        path, page = written(result), tab(has_scripts)
        page.set_viewport_size({"width": width, "height": 900})
        page.emulate_media(color_scheme=scheme, media="null")
        complaints, requests = [], []
        listeners = {
            "console": lambda message: complaints.append(message.text),
            "pageerror": lambda error: complaints.append(str(error)),
            "dialog": lambda dialog: complaints.append(dialog.message),
            "request": lambda request: requests.append(request.url),
        }
        for event, listener in listeners.items():
            page.on(event, listener)
        page.goto(path.as_uri())
        yield page
        for event, listener in listeners.items():
            page.remove_listener(event, listener)
        page.goto("about:blank")  # nothing of it is left for the next
        page.mouse.move(0, 0)
        assert complaints == []
        assert requests == [path.as_uri()]

    return open_result


# ---------------------------------------------------------------- it opens


@pytest.mark.parametrize("width", [PHONE, WIDE])
@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_opens_without_a_complaint_and_fits_the_width(opened, name, scheme, width):
    with opened(checked(name, 200), width, scheme=scheme) as page:
        page.evaluate(
            """() => { for (const own of document.querySelectorAll("main summary"))
                if (!own.parentElement.open) own.click(); }"""
        )
        drawn(page)
        assert page.locator("main details:not([open])").count() == 0
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        outside = page.evaluate(
            """width => [...document.querySelectorAll("main *")]
                .filter((e) => !e.closest(".scroll, svg, .unseen")
                    && e.getBoundingClientRect().right > width + 1)
                .map((e) => e.outerHTML.slice(0, 80))""",
            width,
        )
        assert outside == []


def test_without_scripts_all_is_there_but_the_controls(opened):
    with opened(checked("light_pack"), has_scripts=False) as page:
        assert page.locator("#verdict li").count() > 5
        assert page.locator("#all tbody tr").count() > 30
        assert page.locator("#change").is_hidden()
        assert page.locator("#choose").is_hidden()


# ---------------------------------------------------------------- it follows changes as Python does

SHOWN = ("#four", "#all", "#rest", ".more table.plain", "#days", "#energy", "#supply")

CHANGES = [
    ({0: 95.0, 6: 40.0, 17: 0.0}, {}, {}),
    ({}, {0: 4, 1: 9, 2: 0}, {0: 2, 2: 3}),
    ({1: 320.0, 4: 60.5, 12: 0.0, 14: 120.0}, {0: 30}, {0: 0, 1: 1, 2: 0}),
]


def put(page, portions, longest, shortest):
    """Type the changes into the page's controls."""
    page.evaluate("document.querySelector('#controls').open = true")
    for prefix, values in (("portion", portions), ("longest", longest), ("shortest", shortest)):
        for number, value in values.items():
            page.fill(f"#{prefix}-{number}", str(value))
    drawn(page)


def drawn(page):
    """Wait for the frame that shows the last change."""
    page.evaluate("new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))")


def unfold(page):
    """Open everything that is folded."""
    page.evaluate("for (const part of document.querySelectorAll('main details')) part.open = true")


def texts(page):
    """Every line of the parts that follow changes, without regard to white space.

    The scale of the line of days is left out: it stays while the trip fits on it.
    """
    found = []
    for part in SHOWN:
        text = page.locator(part).first.evaluate(
            """part => { const copy = part.cloneNode(true);
                copy.querySelectorAll(".axis-line").forEach((line) => line.remove());
                return copy.textContent; }"""
        )
        found += [" ".join(line.split()) for line in text.split("\n") if line.strip()]
    return found


@pytest.mark.parametrize("reference", ["DRI", "EFSA"])
@pytest.mark.parametrize("change", CHANGES)
def test_every_figure_shown_is_that_of_a_fresh_check(opened, change, reference):
    """Without draws the ranges need no estimate, so every word and figure must be the same."""
    fresh = fresh_check(sample("july_survey"), change, draws=0, reference=reference)
    with opened(fresh) as page:
        expected = texts(page)
    with opened(checked("july_survey", 0, reference)) as page:
        before = texts(page)
        assert before != expected
        put(page, *change)
        assert texts(page) == expected
        page.click("#change [data-do=reset]")
        drawn(page)
        assert texts(page) == before


def fresh_check(plan, change, **options):
    """A check of the changed plan. What the days in the pack take stays that of the planned days:
    the page says that it does not follow."""
    planned = stages.pack_stage(Plan.model_validate(plan).days)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(check_plan, "pack_stage", lambda days: planned)
        return nc.check(changed(plan, *change), **options)


def close(found, expected):
    if found is None or math.isnan(expected):
        return found is None and math.isnan(expected)
    return found == pytest.approx(expected, rel=1e-6, abs=1e-9)


def recalculated(page):
    """The page's own figures; what is not a number comes as None."""
    return page.evaluate("JSON.parse(JSON.stringify(nutricheck.result()))")


@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_amounts_ratios_statuses_and_supply_equal_python(opened, name):
    plan, change = sample(name), ({0: 95.0, 2: 7.5}, {0: 9, 1: 3}, {0: 5})
    fresh = fresh_check(plan, change, draws=400)
    with opened(checked(name, 400)) as page:
        put(page, *change)
        found = recalculated(page)
        tags = page.evaluate("nutricheck.data.tags")
    days = {day: i for i, day in enumerate([*fresh.days["day"], coverage.TRIP_MEAN])}
    compared = 0
    for row in fresh.coverage.to_dict("records"):
        shown = found["days"][days[row["day"]]][tags.index(row["component"])]
        for column in ("likely", "accounted_share", "reference", "ratio", "upper_likely"):
            assert close(shown[column], row[column]), (row["day"], row["component"], column)
        if not math.isnan(row["ratio"]):
            # the ranges are estimates: nearly the same, and so are the words they decide
            assert shown["ratio_low"] == pytest.approx(row["ratio_low"], rel=0.25)
            assert shown["ratio_high"] == pytest.approx(row["ratio_high"], rel=0.25)
        ends = (row["ratio_low"], row["ratio_high"])
        if not any(0.9 < end < 1.1 for end in ends):
            assert shown["status"] == row["status"], (row["day"], row["component"])
            compared += bool(row["status"])
    assert compared > 60
    for trip in supply.TRIPS:
        for shown, row in zip(
            found["supply"][trip]["items"], fresh.supply.items.to_dict("records"), strict=True
        ):
            assert close(shown["lasts"], row[f"lasts_{trip}_days"])
            assert shown["left"] == pytest.approx(row[f"left_{trip}_g"], abs=1e-4)
            assert shown["missing"] == pytest.approx(row[f"missing_{trip}_g"], abs=1e-4)
        enough = fresh.supply.enough[fresh.supply.enough["trip"] == trip].to_dict("records")
        for shown, row in zip(found["supply"][trip]["enough"], enough, strict=True):
            assert close(shown["days"], row["enough_days"])
            assert close(shown["falls_below"], row["falls_below_day"])
        balance = fresh.balance[trip]
        assert close(found["balance"][trip]["per_day"][1], balance.per_day_kcal[1])
        assert close(found["balance"][trip]["mass_change"][1], balance.mass_change_kg[1])


def test_what_is_spread_over_the_trip_and_what_is_found_follow_the_days(opened):
    change = ({}, {0: 16}, {0: 10, 1: 4})
    plan = spread_plan()
    plan["found"] = [{"name": "berries", "food": "Blueberries, raw", "at_most": "300 g"}]
    fresh = fresh_check(plan, change, draws=0)
    with opened(nc.check(plan, draws=0)) as page:
        put(page, *change)
        found = recalculated(page)
        said = page.inner_text("#h-answer")
    for trip in supply.TRIPS:
        items = fresh.supply.items.to_dict("records")
        for shown, row in zip(found["supply"][trip]["items"], items, strict=True):
            assert close(shown["used"], row[f"used_{trip}_g"]), (trip, row["item"])
            assert shown["left"] == pytest.approx(row[f"left_{trip}_g"], abs=1e-6)
        balance = fresh.balance[trip]
        assert close(found["balance"][trip]["per_day"][1], balance.per_day_kcal[1])
    assert found["supply"]["longest"]["pack"][3] == pytest.approx(
        fresh.supply.pack.iloc[3]["food_g"]
    )
    assert said.split(".")[0] == headline(answer(fresh)).split(".")[0]


@pytest.mark.parametrize("has_legs", [False, True])
@pytest.mark.parametrize("batches", [0.5, 2])
def test_drinks_on_the_way_take_from_the_pack_what_they_come_to_need(opened, batches, has_legs):
    """At twice the portion the milk powder of a leg ends, and of sugar little is left over."""
    plan = sample("ridge_walk")
    if not has_legs:
        del plan["legs"], plan["found"]
        for entry in plan["packed"]:
            entry.pop("leg", None)
    numbers = [
        n for n, portion in enumerate(plan["portions"]) if portion.get("amount") == "1 batch"
    ]
    parts = {ferment["name"]: ferment["parts"] for ferment in plan["ferment"]}
    grams = {
        n: batches
        * sum(int(portion["mass"].split()[0]) for portion in parts[plan["portions"][n]["item"]])
        for n in numbers
    }
    fresh = fresh_check(plan, (grams, {}, {}), draws=0)
    with opened(nc.check(plan, draws=0)) as page:
        put(page, grams, {}, {})
        found = recalculated(page)
        said = page.inner_text("#h-answer")
    for trip in supply.TRIPS:
        items = fresh.supply.items.to_dict("records")
        for shown, row in zip(found["supply"][trip]["items"], items, strict=True):
            assert shown["left"] == pytest.approx(row[f"left_{trip}_g"], abs=1e-6), row["item"]
            assert shown["missing"] == pytest.approx(row[f"missing_{trip}_g"], abs=1e-6), row[
                "item"
            ]
    masses = fresh.supply.items["mass_g"].tolist()
    assert found["masses"] == pytest.approx(masses, abs=1e-6)
    assert said.split(" Gone")[0] == headline(answer(fresh)).split(" Gone")[0]


def test_the_answer_follows_the_legs(opened):
    """The first leg's kilogram of almonds is 600 g and 400 g; all legs' would be four days."""
    plan = legs_plan()
    change = ({0: 600.0}, {}, {})
    fresh = fresh_check(plan, change, draws=0)
    with opened(nc.check(plan, draws=0)) as page:
        put(page, *change)
        said = page.inner_text("#h-answer")
        hint = page.inner_text("#change")
    assert said.split(" Gone")[0] == headline(answer(fresh)).split(" Gone")[0]
    assert "The pack covers" in said
    assert "what goes into its box and what runs out on it stay as planned" in hint


WEIGHED = [
    number
    for number, portion in enumerate(sample("july_survey")["portions"])
    if portion.get("amount", "").endswith(" g")
]


def random_change(seed):
    """Three weighed portions and a count of days."""
    random = Random(seed)
    portions = {
        number: float(random.choice([0, 10, 35, 90, 220])) for number in random.sample(WEIGHED, 3)
    }
    return portions, {random.choice([1, 2]): random.randrange(2, 12)}, {}


WITHOUT_DRINK = {
    number: 0.0
    for number, portion in enumerate(sample("july_survey")["portions"])
    if portion["item"] == "lemon drink powder"
}


@pytest.mark.parametrize(
    "change",
    [*map(random_change, range(6)), (WITHOUT_DRINK, {}, {})],
    ids=[*map(str, range(6)), "without drink"],
)
def test_chances_words_and_the_answer_are_those_of_a_fresh_check(opened, change):
    """Weighed portions and days at random: the page's packed draws are the check's own."""
    plan = sample("july_survey")
    fresh = fresh_check(plan, change, draws=500)
    expected = standings(fresh)
    with opened(checked("july_survey", 500)) as page:
        put(page, *change)
        shown = page.evaluate(
            """() => Object.fromEntries([...document.querySelectorAll("[data-standing]")].map(
                (e) => [e.dataset.standing, [e.querySelector("[data-f=word]").textContent,
                    e.querySelector("[data-f=where]")?.textContent ?? "",
                    e.querySelector("[data-f=chance]").textContent]]))"""
        )
        title = page.inner_text("#h-answer")
    found = answer(fresh)
    for standing in found.others:
        if standing.tenths >= 0:
            assert shown[standing.tag][0] == standing.shown_word, standing.tag
            assert shown[standing.tag][2] in (chance_words(standing.tenths), ""), standing.tag
    for standing in found.five:
        assert shown[standing.tag][0] == standing.shown_word, standing.tag
        if standing.tag == "NA":
            assert shown["NA"][1:] == [standing.day, chance_words(standing.tenths)]
    assert expected and title.split(".")[0] == headline(found).split(".")[0]


def test_a_day_that_comes_to_be_walked_is_not_passed_over(opened):
    """One that no body gets through is the answer; of another the dangers are told."""
    plan = sample("july_survey")
    hot = {"count": 0, "air_temperature": "47 °C", "humidity": "40 %"}
    furnace = {**hot, "name": "furnace", "moving": "10 h", "pace": "5 km/h", "pack": "25 kg"}
    rest = {**hot, "name": "hot rest", "sweat_time": "10 h"}
    plan["days"] += [furnace, rest]
    place = len(plan["days"]) - 2
    with opened(nc.check(plan, draws=500)) as page:
        planned = page.inner_text("#h-answer")
        assert "furnace" not in planned and "hot rest" not in planned
        put(page, {}, {place + 1: 1}, {})
        assert "heat illness (hot rest)" in page.inner_text("#cautions-moved")
        assert "hot rest" in page.inner_text("#warned") and "Danger: " in page.inner_text(
            "#h-answer"
        )
        put(page, {}, {place: 1}, {})
        assert page.inner_text("#h-answer").startswith(
            "No. furnace is not possible: you would sweat"
        )
        page.click("#changed [data-do=reset]")
        drawn(page)
        assert page.inner_text("#h-answer") == planned
        unfold(page)
        card = page.inner_text("#days")
        assert "not possible" in card and "L, but a body gives" in card


@pytest.mark.parametrize("reference", ["DRI", "EFSA"])
@pytest.mark.parametrize(
    "plan",
    [
        sample("july_survey"),
        sample("ridge_walk"),
        hostile_plan(),
        cold_plan(),
        people_plan(),
        coeliac_plan(),
    ],
    ids=["july", "ridge", "hostile", "cold", "people", "coeliac"],
)
def test_before_any_change_the_twin_gives_what_the_check_gave(opened, plan, reference):
    result = nc.check(plan, reference=reference, draws=200)
    days = {day: i for i, day in enumerate([*result.days["day"], coverage.TRIP_MEAN])}
    with opened(result) as page:
        found = recalculated(page)
        tags = page.evaluate("nutricheck.data.tags")
    for row in result.coverage.to_dict("records"):
        shown = found["days"][days[row["day"]]][tags.index(row["component"])]
        assert shown["status"] == row["status"]
        for column in ("low", "likely", "high", "ratio_low", "ratio", "ratio_high"):
            assert close(shown[column], row[column]), (row["day"], row["component"], column)
        for column in ("upper_likely", "upper_high"):
            assert close(shown[column], row[column]), (row["day"], row["component"], column)


def test_the_slider_and_its_number_move_together_and_say_what_changed(opened):
    with opened(checked("july_survey")) as page:
        unfold(page)
        slider = page.locator('input[type=range][data-portion="0"]')
        assert page.locator("#changed").is_hidden()
        slider.focus()
        page.keyboard.press("ArrowRight")
        drawn(page)
        assert page.input_value("#portion-0") == slider.input_value() == "175"
        assert page.locator("#changed").is_visible()
        assert "plateau stew powder: 170 → 175 g a day" in page.inner_text("#changes")
        for place in ("#verdict", "#unknown"):  # what does not follow says so
            assert page.locator(f"{place} .as-planned").is_visible()
            assert page.inner_text(f"{place} .planned").startswith("As planned")
        questions = page.locator("#cautions .planned")  # nor do they
        assert page.locator("#cautions .as-planned:visible").count() == questions.count()
        page.click("#changed [data-do=reset]")
        drawn(page)
        assert page.locator(".as-planned:visible").count() == 0
        assert page.input_value("#portion-0") == slider.input_value() == "170"
        assert page.locator("#changed").is_hidden()


def test_a_change_is_copied_out_as_a_plan_that_checks_the_same(opened, tmp_path):
    change = ({0: 95.0, 2: 80.0}, {1: 6}, {})
    result = nc.check("samples/july_survey.toml", draws=0)
    with opened(result) as page:
        put(page, *change)
        page.click("[data-do=copy-plan]")
        text = page.input_value("#plan-text")
    (tmp_path / "copied.toml").write_text(text, encoding="utf-8")
    copied = nc.check(tmp_path / "copied.toml", draws=0)
    fresh = nc.check(changed(sample("july_survey"), *change), draws=0)
    pd.testing.assert_frame_equal(copied.coverage, fresh.coverage)


def test_a_spoon_is_told_in_spoons(opened):
    with opened(checked("july_survey")) as page:
        put(page, {4: 9.6}, {}, {})
        assert page.inner_text('[data-hint="4"]') == "about 2.0 tbsp"


@pytest.mark.parametrize("text", ["", "-5", "6000"])
def test_an_impossible_number_is_marked_and_changes_nothing(opened, text):
    with opened(checked("july_survey")) as page:
        before = texts(page)
        page.evaluate("document.querySelector('#controls').open = true")
        page.fill("#portion-0", text)
        drawn(page)
        assert page.get_attribute("#portion-0", "aria-invalid") == "true"
        assert texts(page) == before


def test_no_days_at_all_is_not_known_rather_than_wrong(opened):
    with opened(checked("july_survey")) as page:
        put(page, {}, {0: 0, 1: 0, 2: 0}, {})
        row = page.locator('#glance tr[data-tag="MG"]').inner_text()
        assert "not known" in row or "–" in row
        assert not {"NaN", "Infinity", "∞", "undefined"} & set(page.inner_text("main").split())


def test_the_chosen_kind_of_day_fills_the_table(opened):
    result = checked("july_survey")
    with opened(result) as page:
        unfold(page)
        page.select_option("#day", label="hard climb")
        row = page.locator('#all tr[data-tag="NA"]').inner_text()
        four = page.locator('#four tr[data-day="1"][data-tag="NA"]').inner_text()
        assert row.split("\n")[1:] == four.split("\n")[1:]
        assert page.inner_text("#all-day") == "hard climb"


# ---------------------------------------------------------------- hostile names


def test_hostile_names_are_inert(opened):
    with opened(nc.check(hostile_plan(), draws=0)) as page:
        title = page.title()
        unfold(page)
        put(page, {0: 55.0}, {0: 3}, {})
        page.select_option("#day", index=0)
        page.wait_for_timeout(800)
        assert page.title() == title == f"{HOSTILE[0]}: needs and supply"
        assert page.inner_text(".page-head bdi") == HOSTILE[0]
        assert page.locator("img, main script, svg[onload]").count() == 0
        assert page.locator("script").count() == 2
        assert HOSTILE[2] in page.text_content("#changes")
        isolated = page.locator("h3 bdi, label bdi, th bdi").first
        assert isolated.evaluate("e => getComputedStyle(e).unicodeBidi") == "isolate"


# ---------------------------------------------------------------- within everyone's reach

CONTRAST = """() => {
  const light = ([r, g, b]) => [r, g, b].map((c) => c / 255)
    .map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4))
    .reduce((sum, c, i) => sum + c * [0.2126, 0.7152, 0.0722][i], 0);
  const numbers = (color) => color.match(/[\\d.]+/g).map(Number);
  const behind = (element) => {
    for (let e = element; e; e = e.parentElement) {
      const color = numbers(getComputedStyle(e).backgroundColor);
      if (color.length < 4 || color[3] > 0) return color;
    }
    return [255, 255, 255];
  };
  const poor = [];
  let seen = 0;
  for (const element of document.querySelectorAll("body *")) {
    const graphic = element.matches("svg.mark, use.likely, use.end, use.level, svg text");
    const text = [...element.childNodes].some((n) => n.nodeType === 3 && n.textContent.trim());
    if (!(text || graphic) || element.closest("script, style, [disabled], defs")) continue;
    if (!element.getClientRects().length) continue;
    const style = getComputedStyle(element);
    const front = numbers(element.matches("svg *") ? style.fill : style.color);
    const [a, b] = [light(front), light(behind(element))].sort((x, y) => y - x);
    const ratio = (a + 0.05) / (b + 0.05);
    seen += 1;
    if (ratio < (graphic && !element.matches("text") ? 3 : 4.5)) {
      poor.push([ratio.toFixed(2), element.tagName, element.textContent.trim().slice(0, 40)]);
    }
  }
  return { seen, poor };
}"""


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_contrast_is_enough(opened, name, scheme):
    """WCAG 2.2, 1.4.3 and 1.4.11: 4.5 to 1 for text, 3 to 1 for marks."""
    with opened(checked(name, 200), scheme=scheme) as page:
        page.evaluate("for (const own of document.querySelectorAll('details')) own.open = true")
        put(page, {0: 10}, {}, {})
        measured = page.evaluate(CONTRAST)
        assert measured["seen"] > 500
        assert measured["poor"] == []


def test_the_dark_page_is_dark(opened):
    with opened(checked("light_pack"), scheme="dark") as page:
        color = page.evaluate("getComputedStyle(document.body).backgroundColor")
        assert max(map(int, color.removeprefix("rgb(").removesuffix(")").split(","))) < 60


def test_every_control_has_a_name_and_is_reached_by_the_keyboard_with_its_focus_seen(opened):
    with opened(checked("light_pack")) as page:
        reachable = page.evaluate(
            """() => [...document.querySelectorAll("a, button, input, select, summary, [tabindex]")]
                .filter((e) => e.checkVisibility() && !e.disabled).length"""
        )
        unnamed = page.evaluate(
            """() => [...document.querySelectorAll("input, select, button, [role=region]")]
                .filter((e) => !(e.getAttribute("aria-label") || e.textContent.trim()
                    || [...(e.labels ?? [])].some((label) => label.textContent.trim())))
                .map((e) => e.outerHTML)"""
        )
        assert unnamed == []
        seen, hidden = set(), []
        for number in range(reachable):
            page.keyboard.press("Tab")
            name, outline = page.evaluate(
                """number => {
                  const e = document.activeElement;
                  e.dataset.reached ??= number;
                  const style = getComputedStyle(e);
                  return [e.dataset.reached, `${style.outlineStyle} ${style.outlineWidth}`];
                }""",
                number,
            )
            seen.add(name)
            if outline.startswith("none") or outline.endswith(" 0px"):
                hidden.append(name)
        assert hidden == []
        assert len(seen) == reachable


def test_every_mark_has_its_word(opened):
    with opened(checked("light_pack")) as page:
        bare = page.evaluate(
            """() => [...document.querySelectorAll("svg.mark")]
                .filter((mark) => !(mark.closest(".nutrient") ?? mark.parentElement)
                    .textContent.trim()).length"""
        )
        assert bare == 0
        without = page.evaluate(
            """() => [...document.querySelectorAll(".measures tr[data-tag]:not(.bare)")]
                .filter((row) => !row.querySelector("[data-f=status]").textContent.trim()).length"""
        )
        assert without == 0


def test_headings_step_by_one(opened):
    with opened(checked("july_survey")) as page:
        levels = page.evaluate(
            "[...document.querySelectorAll('h1, h2, h3')].map((h) => Number(h.tagName[1]))"
        )
        assert levels[0] == 1
        assert all(b - a <= 1 for a, b in itertools.pairwise(levels))


@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_prints_one_page_for_the_client_and_all_of_it_on_demand(opened, name):
    with opened(checked(name, 200)) as page:
        one = page.pdf(prefer_css_page_size=True)
        page.emulate_media(media="print")
        assert (
            page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        )
        assert page.locator("#sheet").is_visible() and page.locator("main").is_hidden()
        page.evaluate("window.print = () => {}")
        page.emulate_media(media="screen")
        page.click("[data-do=print-all]")
        page.emulate_media(media="print")
        assert page.locator("#sheet").is_hidden() and page.locator("#sources ol").is_visible()
        assert page.locator("#change").is_hidden()
        whole = page.pdf(prefer_css_page_size=True)
    pages = [len(re.findall(rb"/Type\s*/Page[^s]", printed)) for printed in (one, whole)]
    assert pages[0] == 1 < pages[1]


@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_as_opened_it_is_short_and_the_controls_are_near(opened, name):
    """At most 6.5 phone screens and 1,200 words, danger text not counted; ten stops."""
    with opened(checked(name, 200), PHONE) as page:
        page.set_viewport_size({"width": PHONE, "height": 844})
        words, height = page.evaluate(WORDS_AND_HEIGHT)
        assert words <= 1200 and height <= 6.5 * 844
        five = page.locator(".five").bounding_box()
        assert name == "light_pack" or five["y"] + five["height"] <= 844
        for _ in range(10):
            page.keyboard.press("Tab")
            if page.evaluate("document.activeElement.getAttribute('href')") == "#change":
                break
        else:
            raise AssertionError("no way to the controls within ten stops")
        page.keyboard.press("Enter")
        assert page.locator("#controls").get_attribute("open") is not None


FIGURES = """() => {
  const figures = [...document.querySelectorAll("main [data-f], main td, main .amount-bar")]
    .filter((own) => own.matches("svg") || /\\d/.test(own.textContent));
  const taps = (own) => {
    let count = 0;
    for (let part = own.parentElement; part; part = part.parentElement) {
      const isClosed = part.matches("details:not([open])");
      if (isClosed && !part.querySelector(":scope > summary").contains(own)) count += 1;
    }
    return count;
  };
  const most = Math.max(...figures.map(taps));
  for (const part of document.querySelectorAll("main details")) part.open = true;
  const hidden = figures.filter((own) => !own.checkVisibility()).map((own) => own.outerHTML);
  return { count: figures.length, most, hidden };
}"""


@pytest.mark.parametrize("name", ["july_survey", "ridge_walk"])
def test_every_figure_is_two_taps_away_at_most(opened, name):
    """A tap opens what is folded; nothing that holds a figure stays hidden then."""
    with opened(checked(name, 200), PHONE) as page:
        found = page.evaluate(FIGURES)
    assert found["count"] > 1000
    assert found["most"] <= 2
    assert found["hidden"] == []


@pytest.mark.parametrize("width", [320, 700, 768, 797, 1280, 1920, 2560])
def test_nothing_hangs_over_the_side_at_any_width(opened, width):
    with opened(checked("light_pack", 200), width) as page:
        unfold(page)
        assert page.evaluate("document.documentElement.scrollWidth") <= width


@pytest.mark.axe
@pytest.mark.parametrize(
    ("name", "width", "scheme"),
    [
        ("july_survey", PHONE, "dark"),
        ("july_survey", WIDE, "light"),
        ("light_pack", PHONE, "light"),
        ("light_pack", WIDE, "dark"),
    ],
)
def test_axe_finds_no_violation(chromium, written, name, width, scheme):
    """As it opens, and with all of it unfolded."""
    script = Path(os.environ["NUTRICHECK_AXE"]).read_text("utf-8")
    found = {}
    page = chromium.new_page(
        viewport={"width": width, "height": 900}, color_scheme=scheme, bypass_csp=True
    )
    page.goto(written(checked(name, 200)).as_uri())
    page.evaluate(script)
    for state in ("opened", "unfolded"):
        result = page.evaluate("axe.run({resultTypes: ['violations']})")
        for violation in result["violations"]:
            found[state, violation["id"]] = violation["nodes"][0]["html"][:120]
        unfold(page)
    page.close()
    assert found == {}


def test_the_notebook_summary_stands_alone(chromium, folder):
    path = folder / "notebook.html"
    shown = checked("light_pack", 200)._repr_html_()
    path.write_text(f"<!doctype html><html lang='en'><body>{shown}</body></html>", "utf-8")
    page = chromium.new_page(viewport={"width": PHONE, "height": 900})
    page.goto(path.as_uri())
    assert page.evaluate("document.documentElement.scrollWidth") <= PHONE
    assert page.locator("table.measures").count() == 4
    assert page.locator(".amount-bar").first.is_visible()
    page.close()


def test_the_page_is_what_was_looked_at():
    """The checks above read the file that the command writes."""
    assert page_html(checked("light_pack")).startswith("<!doctype html>")


ORDERED = {
    "person": {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"},
    "days": [
        {"name": "walk", "count": 3, "count_shortest": 1, "moving": "4 h"},
        {"name": "rest", "count": 2, "count_shortest": 1},
    ],
    "order": [
        {"day": "rest", "count": 2, "count_shortest": 1},
        {"day": "walk", "count": 3, "count_shortest": 1},
    ],
    "packed": [{"item": "oats", "food": "08120", "mass": "300 g"}],
    "portions": [
        {"item": "oats", "amount": "100 g", "days": ["walk"]},
        {"item": "oats", "amount": "20 g", "days": ["rest"]},
    ],
}


def test_the_page_follows_the_plans_order_of_days_and_mixes_others(opened):
    result = nc.check(ORDERED, draws=0)
    with opened(result) as page:
        stores = page.evaluate("nutricheck.result().supply.longest")
        lasts = float(result.supply.items["lasts_longest_days"].iloc[0])
        assert stores["items"][0]["lasts"] == pytest.approx(lasts) == pytest.approx(4.6)
        pack = result.supply.pack
        assert stores["pack"] == pytest.approx(pack.loc[pack["trip"] == "longest", "food_g"])
        kcal = result.supply.enough.set_index(["component", "trip"]).loc[
            ("ENERC_KCAL", "longest"), "falls_below_day"
        ]
        found = next(row for row in stores["enough"] if row["tag"] == "ENERC_KCAL")
        assert found["falls_below"] == kcal
        assert "follows the plan's order" in page.text_content("#supply .under")
        changed_trip = page.evaluate(
            "() => { const now = structuredClone(nutricheck.now); now.longest[1] = 4;"
            " return nutricheck.recalculate(now.portions, now).supply.longest.items[0].lasts; }"
        )
        # 380 g asked for on 7 days evenly mixed
        assert changed_trip == pytest.approx(300 / (380 / 7))


def hot_walk(bread, mix, walks):
    """Six hours a day with 0.8 L/h of sweat; bread holds salt, and so does the mix."""
    label = {
        "name": "lemon salts",
        "kind": "drink mix",
        "serving": "10 g",
        "amounts": {"ENERC_KCAL": "30 kcal", "NA": "300 mg"},
    }
    return {
        "person": {"sex": "female", "age": 34, "mass": "61 kg", "height": "168 cm"},
        "days": [
            {"name": "walk", "count": walks, "moving": "6 h", "sweat_rate": "0.8 L/h"},
            {"name": "rest", "count": 2},
        ],
        "label": [label],
        "packed": [
            {"item": "bread", "food": "18064", "mass": "9 kg"},
            {"item": "lemon salts", "mass": "500 g"},
        ],
        "portions": [
            {"item": "bread", "amount": f"{bread} g"},
            {"item": "lemon salts", "amount": f"{mix} g", "days": ["walk"]},
        ],
    }


def test_the_salt_of_the_drink_plan_follows_portions_and_days(opened):
    """As a fresh check has it: less food asks for more salt, fewer days for the first heat day."""
    with opened(nc.check(hot_walk(600, 20, 12), draws=0)) as page:
        for bread, mix, walks in ((600, 20, 12), (100, 20, 12), (300, 60, 3), (20, 0, 30)):
            found = page.evaluate(
                "([bread, mix, walks]) => { const now = structuredClone(nutricheck.planned);"
                " now.portions = [bread, mix]; now.longest[0] = walks;"
                " return nutricheck.recalculate(now.portions, now).salt_plan; }",
                [bread, mix, walks],
            )
            plans = drink_plans(nc.check(hot_walk(bread, mix, walks), draws=0))
            for (day, planned), shown in zip(plans.items(), found, strict=True):
                met = [one for one in shown if one["isMet"]]
                for key, grams in (("litre", "salt_g_l"), ("food", "food_salt_g")):
                    assert [one[key] for one in met] == pytest.approx(
                        [getattr(one, grams) for one in planned.salt], abs=1e-6
                    ), (day, key, bread)
        assert page.locator('[data-key^="salt "]').count() == 4  # three heat days, and the rest
