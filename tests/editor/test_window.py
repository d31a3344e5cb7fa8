"""The window in Chromium: a whole plan by clicks and keys, a novice's course, errors, undo, a lost
server, two windows, hostile names, a phone, the keyboard alone, axe-core.

Needs Chromium; skipped where there is none.
"""

from __future__ import annotations

import json
import os
from contextlib import contextmanager
from pathlib import Path

import pytest

from nutricheck.editor.server import Running, in_background
from nutricheck.editor.session import Session
from nutricheck.plan.read import plan_from_data, read_plan
from tests.plans import HOSTILE, SAMPLES, sample
from tests.report.browser import browser

pytestmark = pytest.mark.browser

WIDE, PHONE = 1280, 390
SETTLED = "body:not([aria-busy])"


#: How many folded parts an element lies in; null where it is not there.
FOLDED = """selector => {
    let own = document.querySelector(selector), count = 0;
    if (!own) return null;
    for (; own; own = own.parentElement) count += own.matches("details:not([open])");
    return count;
}"""


@pytest.fixture(scope="module")
def chromium():
    with browser() as started:
        yield started


@pytest.fixture(autouse=True)
def state(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path / "state"))


class Window:
    """A page of the editor and what is done in it, by clicks and keys alone."""

    def __init__(self, page, running):
        self.page, self.running = page, running
        self.fields = self.presses = self.keys = 0

    @property
    def session(self):
        return self.running.session

    def go(self, step):
        self.page.goto(f"{self.running.address}/{step}")

    def settle(self):
        self.page.locator(SETTLED).wait_for(state="attached")

    def unfold(self, selector):
        """Open what is folded around an element, by pressing its heading, or its row's "more"."""
        folded = self.page.evaluate(FOLDED, selector)
        if folded is None:
            section, number = selector.removeprefix("#f-").split("-")[:2]
            self.press(f"[data-more='{section}.{number}']")
            self.unfold(selector)
        for _ in range(folded or 0):
            around = self.page.locator(selector).first.locator(
                "xpath=ancestor::details[not(@open)]"
            )
            around.first.locator("> summary").click()

    def type(self, selector, text):
        self.unfold(selector)
        self.page.focus(f"{selector} >> nth=0")
        self.page.keyboard.press("Control+A")
        self.page.keyboard.insert_text(text)
        self.page.keyboard.press("Tab")
        self.fields += 1
        self.keys += len(text) + 1
        self.settle()

    def choose(self, selector, text):
        self.unfold(selector)
        self.page.locator(selector).first.select_option(text)
        self.fields += 1
        self.settle()

    def tick(self, selector):
        self.unfold(selector)
        self.page.locator(selector).first.click()
        self.fields += 1
        self.settle()

    def press(self, selector):
        self.page.locator(selector).first.click()
        self.presses += 1
        self.settle()

    def find_food(self, selector, words, nth=0):
        """Type a food and press the hit."""
        field = self.page.locator(selector).first
        field.click()
        self.page.keyboard.insert_text(words)
        field.dispatch_event("input")
        hits = field.locator("xpath=ancestor::*[@class='food']").locator("[data-take]")
        hits.nth(nth).wait_for()
        self.fields += 1
        self.keys += len(words)
        hits.nth(nth).click()
        self.presses += 1
        self.settle()

    # ------------------------------------------------------------ any plan

    def fill(self, location, value):
        """Fill in what a plan has at a place, whatever it is."""
        selector = "#f-" + "-".join(str(step).replace(" ", "_") for step in location)
        if isinstance(value, dict) and location[-1] == "amounts":
            for tag, text in value.items():
                self.choose(f"{selector}-key", tag)
                self.type(f"{selector}-new", text)
        elif isinstance(value, dict) and location[-1] == "storage":
            self.fill((*location, 0), value)
        elif isinstance(value, dict):
            for key, inner in value.items():
                self.fill((*location, key), inner)
        elif isinstance(value, list):
            self.fill_list(location, value, selector)
        elif isinstance(value, bool) and self.page.locator(f"select{selector}").count():
            self.choose(selector, "yes" if value else "no")
        elif isinstance(value, bool):
            self.tick(selector)
            if self.page.locator(selector).is_checked() != value:
                self.tick(selector)
        else:
            self.unfold(selector)
            fill = self.choose if self.page.locator(f"select{selector}").count() else self.type
            fill(selector, str(value))

    def fill_list(self, location, value, selector):
        path = json.dumps(location)
        for number, inner in enumerate(value):
            if isinstance(inner, dict):
                self.fill((*location, number), inner)
            elif location[-1] in ("days", "fortified", "conditions"):
                self.unfold(f"{selector}-1" if location[-1] != "fortified" else "#form")
                self.tick(f"[data-path='{path}'][data-among='{inner}']")
            else:
                self.type(f"{selector}-{number}", inner)

    def fill_section(self, section, value):
        if not isinstance(value, list):
            self.fill((section,), value)
            return
        for number, entry in enumerate(value):
            self.press(f"[data-add='{section}.{number}']")
            order = sorted(entry.items(), key=lambda pair: pair[0] == "fortified")
            for key, inner in order:
                self.fill((section, number, key), inner)


@contextmanager
def window(chromium, session, width=WIDE, complaints=None, **options):
    """A window opened by the one-time address; what the console says fails the test."""
    said = [] if complaints is None else complaints
    with in_background(Running(session)) as running:
        context = chromium.new_context(viewport={"width": width, "height": 900}, **options)
        context.set_default_timeout(120_000)
        page = context.new_page()
        page.on("console", lambda message: said.append(message.text))
        page.on("pageerror", lambda error: said.append(str(error)))
        page.on("dialog", lambda dialog: said.append(dialog.message))
        page.goto(running.start_address)
        page.wait_for_url(lambda url: "token" not in url and "start" not in url)
        yield Window(page, running)
        if complaints is None:
            assert said == []
        context.close()


# ---------------------------------------------------------------- whole plans


def plan_of_many_fields():
    """The light pack with what July's plan has of other fields: steps, storage, a sweat test …"""
    plan, july = sample("light_pack"), sample("july_survey")
    batches = {batch["name"]: batch for batch in july["batch"]}
    names = ("beef mince, fried", "tomato, raw", "cabbage, fermented", "red pepper, raw")
    plan["batch"] += [batches[name] for name in names]
    plan["label"].append(july["label"][0])
    plan["trip"] |= {key: july["trip"][key] for key in ("reference", "iodised_salt")}
    plan["days"][1]["sweat_test"] = july["days"][0]["sweat_test"]
    plan["portions"][0]["days"] = [plan["days"][0]["name"]]
    plan["additions"] = july["additions"]
    return plan


def test_a_whole_plan_is_made_from_nothing_by_clicks_and_keys(chromium, tmp_path):
    """What is dried, bought and packed first, who walks last: the plan waits for its answer."""
    path = tmp_path / "plan.toml"
    plan = plan_of_many_fields()
    order = {
        "want": ["trip"],
        "dried": ["batch"],
        "bought": ["label"],
        "bags": ["mix", "packed"],
        "days": ["days"],
        "eat": ["portions"],
        "add": ["additions"],
        "who": ["person"],
    }
    with window(chromium, Session.opened(path, draws=0)) as opened:
        for step, sections in order.items():
            opened.go(step)
            for section in sections:
                opened.fill_section(section, plan[section])
        opened.press("[data-save]")
        side = opened.page.inner_text("#answer-side")
    saved, wanted = read_plan(path), plan_from_data(plan)
    assert json.loads(saved.model_dump_json()) == json.loads(wanted.model_dump_json())
    assert "of 14 covered" in side


#: (food as typed, fresh mass, dried mass)
DRIED = [
    ("tomato", "3 kg", "190 g"),
    ("carrot", "2 kg", "250 g"),
    ("spinach", "2 kg", "190 g"),
    ("lentils", "2 kg", "1.9 kg"),
]
SOLD = [("raisins", "800 g"), ("almonds", "1.5 kg"), ("olive oil", "600 g"), ("oats", "2 kg")]
LABELS = [
    ("magnesium tablet", "supplement", "1 g", {"MG": "200 mg"}),
    ("lemon drink", "drink mix", "10 g", {"NA": "480 mg", "K": "300 mg"}),
]


def walker_with_dried_food(opened):
    """Who walks, how long, and the foods dried at home."""
    opened.go("who")
    opened.choose("#f-person-sex", "female")
    opened.type("#f-person-age", "34")
    opened.type("#f-person-mass", "61")
    opened.type("#f-person-height", "168")
    opened.go("days")
    opened.press("[data-add='days.0']")
    opened.type("#f-days-0-name", "walk")
    opened.type("#f-days-0-count", "12")
    opened.type("#f-days-0-moving", "6")
    opened.go("dried")
    for number, (food, fresh, dried) in enumerate(DRIED):
        opened.find_food("#quick", food)
        opened.type(f"#f-batch-{number}-ingredients-0-mass", fresh)
        opened.type(f"#f-batch-{number}-dried_mass", dried)


def test_a_novice_gets_an_answer_for_eight_foods_and_two_labels_in_under_sixty_fields(chromium):
    with window(chromium, Session.opened(None, draws=0)) as opened:
        opened.page.click("[data-plan=nothing]")
        opened.page.wait_for_url("**/want")
        walker_with_dried_food(opened)
        opened.go("bought")
        for number, (name, kind, serving, amounts) in enumerate(LABELS):
            opened.press(f"[data-add='label.{number}']")
            opened.type(f"#f-label-{number}-name", name)
            opened.choose(f"#f-label-{number}-kind", kind)
            opened.type(f"#f-label-{number}-serving", serving)
            for tag, text in amounts.items():
                opened.choose(f"#f-label-{number}-amounts-key", tag)
                opened.type(f"#f-label-{number}-amounts-new", text)
        opened.go("bags")
        for _ in range(4):  # all that was dried, by a press each
            opened.press(".offers button")
        for number in (4, 5):
            opened.press(".offers button")
            opened.type(f"#f-packed-{number}-mass", "100 g")
        for number, (food, mass) in enumerate(SOLD, start=6):
            opened.find_food("#quick", food)
            opened.type(f"#f-packed-{number}-mass", mass)
        opened.go("eat")
        for _ in SOLD + LABELS + DRIED:
            opened.press(".offers button")
        assert opened.session.result is not None, opened.session.partial.needed
        assert not opened.session.partial.left_out
        headline = opened.page.inner_text("#answer-fold > summary")
        assert headline.startswith(("Yes.", "No.", "Not quite.", "Almost."))
        assert opened.fields < 60, opened.fields


# ---------------------------------------------------------------- errors, undo


def test_a_fault_stands_beside_its_field_with_ways_out_that_are_pressed(chromium):
    with window(chromium, Session(sample("light_pack"), draws=0)) as opened:
        opened.go("dried?open=batch.0")
        before = opened.session.data
        opened.type("#f-batch-0-drying-temperature", "57")
        assert opened.session.data["batch"][0]["drying"]["temperature"] == "57 °C"
        opened.type("#f-batch-0-dried_mass", "1 g")
        both = opened.page.locator("#f-batch-0-faults")
        assert "not both" in both.inner_text()
        both.get_by_text("Keep dried_mass").click()
        opened.settle()
        assert "not both" not in opened.page.inner_text("#form")
        beside = opened.page.locator("#f-batch-0-dried_mass-faults")
        assert "is too light" in beside.inner_text()
        assert opened.page.get_attribute("#f-batch-0-dried_mass", "aria-invalid") == "true"
        assert "Not counted" in opened.page.inner_text("#answer-side")
        assert "to put right" in opened.page.inner_text("#rail")
        beside.get_by_text("leave it out").click()
        opened.settle()
        assert beside.inner_text().strip() == ""
        assert "dried_mass" not in opened.session.data["batch"][0]
        opened.page.keyboard.press("Escape")
        for _ in range(6):
            if opened.session.can_undo:
                opened.press("[data-back=undo]")
        assert opened.session.data == before
        opened.page.locator("h1").click()
        opened.page.keyboard.press("Control+y")
        opened.settle()
        assert opened.session.data != before


def test_the_effect_is_said_and_a_proposal_is_taken_by_a_press(chromium):
    with window(chromium, Session(sample("july_survey"), draws=100)) as opened:
        opened.go("eat")
        opened.type("#f-portions-0-amount", "150 g")
        assert "energy" in opened.page.inner_text("#effect")
        assert opened.page.inner_text("#live") == opened.page.inner_text("#effect")
        opened.page.click("#proposals > summary")
        opened.page.locator("[data-number]").first.wait_for()
        before = opened.session.data
        opened.press("[data-number]")
        assert opened.session.data != before
        assert not opened.session.partial.faults


def test_a_pasted_plan_a_weighed_spoon_and_two_ways_of_drying(chromium):
    with window(chromium, Session.opened(None, draws=0)) as opened:
        opened.page.fill("#load-text", (SAMPLES / "light_pack.toml").read_text("utf-8"))
        opened.press("[data-paste]")
        opened.page.wait_for_url("**/want")
        assert opened.session.data == sample("light_pack")
        opened.go("bags")
        row = opened.page.locator("#f-packed-0")
        row.locator(".spoon > summary").click()
        row.locator("[data-spoon-mass]").fill("31")
        row.locator("[data-spoon]").click()
        opened.settle()
        assert opened.session.data["packed"][0]["tsp"] == "3.1 g"
        opened.go("dried?open=batch.2")
        opened.press("[data-compare]")
        opened.page.locator("[data-compared] tbody tr").first.wait_for()
        before = opened.session.data["batch"][2]
        opened.page.locator("[data-compared] [data-changes]").nth(1).click()
        opened.settle()
        after = opened.session.data["batch"][2]
        assert after["preparation"]["kind"] == "cooked"
        assert after["ingredients"] == before["ingredients"]
        assert not opened.session.partial.faults


# ---------------------------------------------------------------- a lost server, two windows


def test_a_lost_server_is_said_nothing_is_lost_and_it_picks_up_again(chromium, tmp_path):
    path = tmp_path / "plan.toml"
    complaints = []
    with window(chromium, Session.opened(path, draws=0), complaints=complaints) as opened:
        opened.go("want")
        opened.type("#f-trip-title", "first")
        opened.running.end()
        while not opened.running.has_ended:
            opened.page.wait_for_timeout(20)
        opened.page.click("#f-trip-title")
        opened.page.keyboard.press("Control+A")
        opened.page.keyboard.insert_text("typed while it was away")
        opened.page.keyboard.press("Tab")
        opened.page.locator("#lost").wait_for(state="visible")
        assert opened.session.data["trip"]["title"] == "first"
        opened.page.click("#rail a[href='/who']")
        assert opened.page.url.endswith("/want"), "a page that is left would forget it"
        again = Running(opened.session, port=opened.running.port, keys=opened.running.keys)
        assert again.port == opened.running.port
        with in_background(again):
            opened.page.wait_for_url("**/who")
            assert opened.session.data["trip"]["title"] == "typed while it was away"
            assert not opened.page.locator("#lost").is_visible()
            opened.go("want")
            assert opened.page.input_value("#f-trip-title") == "typed while it was away"
    assert all("Failed to load resource" in text for text in complaints)


def test_two_windows_on_one_plan_warn_and_an_older_one_changes_nothing(chromium):
    complaints = []
    with window(
        chromium, Session({"trip": {"title": "x"}}, draws=0), complaints=complaints
    ) as opened:
        opened.go("want")
        second = opened.page.context.new_page()
        second.goto(f"{opened.running.address}/want")
        for page in (opened.page, second):
            page.locator("#other").wait_for(state="visible")
        opened.type("#f-trip-title", "from the first")
        second.fill("#f-trip-title", "from the second")
        second.keyboard.press("Tab")
        second.locator("#message").wait_for(state="visible")
        assert "another window" in second.inner_text("#message")
        assert opened.session.data["trip"]["title"] == "from the first"
        assert second.input_value("#f-trip-title") == "from the first"
        second.close()
        opened.page.locator("#other").wait_for(state="hidden")


def test_a_file_changed_elsewhere_is_asked_about(chromium, tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text('# mine\n[trip]\ntitle = "a" # kept\n')
    complaints = []
    with window(chromium, Session.opened(path, draws=0), complaints=complaints) as opened:
        opened.go("want")
        opened.type("#f-trip-title", "b")
        path.write_text('[trip]\ntitle = "theirs"\n')
        opened.press("[data-save]")
        assert "Another program" in opened.page.inner_text("#message")
        assert "theirs" in path.read_text()
        opened.press("[data-reread]")
        assert opened.page.input_value("#f-trip-title") == "theirs"
        opened.press("[data-back=undo]")
        assert opened.page.input_value("#f-trip-title") == "b"
        opened.press("[data-save]")
        assert 'title = "b"' in path.read_text()


# ---------------------------------------------------------------- names that would be code


def test_hostile_names_are_inert(chromium):
    names = [*HOSTILE][:4]
    data = {
        "trip": {"title": names[0]},
        "days": [{"name": names[1 % len(names)], "count": 3}],
        "batch": [{"name": names[2 % len(names)], "ingredients": [{"food": names[0]}]}],
        "label": [{"name": names[3 % len(names)], "amounts": {names[0][:20]: "1 mg"}}],
        "packed": [{"item": names[2 % len(names)], "mass": names[1 % len(names)]}],
        "portions": [{"item": names[0], "days": [names[1 % len(names)]]}],
    }
    with window(chromium, Session(data, draws=0)) as opened:
        for step in (
            "want",
            "who",
            "days?open=days.0",
            "dried?open=batch.0",
            "bought?open=label.0",
            "bags",
            "eat",
            "add",
        ):
            opened.go(step)
            assert opened.page.evaluate("document.title !== 'harm'")
            assert opened.page.locator("main img, main script, main iframe, aside img").count() == 0
        opened.go("want")
        opened.type("#f-trip-title", HOSTILE[1])
        assert opened.page.evaluate("document.title !== 'harm'")
        assert opened.page.locator("img").count() == 0
        assert "<img" in opened.page.inner_text("#head"), opened.session.data["trip"]


# ---------------------------------------------------------------- everyone's reach

SCREENS = (
    "begin",
    "want",
    "who",
    "days?open=days.0",
    "dried?open=batch.1",
    "bought?open=label.0",
    "bags",
    "eat",
    "add",
)


@pytest.fixture(scope="module")
def july():
    return Session(sample("july_survey"), draws=0)


@pytest.mark.parametrize(("width", "scheme"), [(PHONE, "dark"), (WIDE, "light")])
def test_every_screen_fits_and_what_is_pressed_is_large_enough(chromium, july, width, scheme):
    with window(chromium, july, width, color_scheme=scheme) as opened:
        for screen in SCREENS:
            opened.go(screen)
            assert opened.page.evaluate("document.documentElement.scrollWidth") <= width, screen
            small = opened.page.evaluate(
                """() => [...document.querySelectorAll("button, select, input, summary, main a")]
                    .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 24
                        && e.type !== "checkbox")
                    .map((e) => e.outerHTML.slice(0, 90))"""
            )
            assert small == [], screen
            nameless = opened.page.evaluate(
                """() => [...document.querySelectorAll("input, select, textarea")]
                    .filter((e) => !e.labels?.length && !e.getAttribute("aria-label"))
                    .map((e) => e.outerHTML.slice(0, 90))"""
            )
            assert nameless == [], screen


def test_the_keyboard_alone_finds_a_food_and_takes_it(chromium):
    with window(chromium, Session({"trip": {"title": "x"}}, draws=0)) as opened:
        opened.go("dried")
        page = opened.page
        page.focus("#quick")
        page.keyboard.type("carrot", delay=5)
        page.locator("[data-take]").first.wait_for()
        page.keyboard.press("ArrowDown")
        page.keyboard.press("Enter")
        opened.page.locator("#f-batch-0-ingredients-0-mass").wait_for()
        opened.settle()
        assert opened.session.data["batch"][0]["ingredients"] == [{"food": "Carrots, raw"}]
        assert page.evaluate("document.activeElement.id") == "f-batch-0-ingredients-0-mass"
        page.keyboard.type("2 kg", delay=5)
        page.locator(".card dl").wait_for()
        opened.settle()
        assert page.evaluate("document.activeElement.id") == "f-batch-0-ingredients-0-mass"
        assert "2.00 kg fresh" in page.inner_text(".card")
        assert "carrot" in page.inner_text(".entry.open h3")
        assert "Taken: Carrots, raw (11124), 88 % water" in page.inner_text(".entry.open")


def test_nothing_close_is_said_and_leads_to_a_label(chromium):
    with window(chromium, Session({"trip": {"title": "x"}}, draws=0)) as opened:
        opened.go("bags")
        opened.page.focus("#quick")
        opened.page.keyboard.type("qwertzuiop", delay=5)
        opened.page.locator(".hits .hint").wait_for()
        opened.page.click("[data-own-label]")
        opened.page.wait_for_url("**/bought")
        opened.page.locator("#f-label-0-name").wait_for()
        assert opened.page.input_value("#f-label-0-name") == "qwertzuiop"


@pytest.mark.axe
def test_axe_finds_no_violation(chromium, july):
    script = Path(os.environ["NUTRICHECK_AXE"]).read_text("utf-8")
    found = {}
    for width, scheme, screens in ((PHONE, "dark", SCREENS[4:8:3]), (WIDE, "light", SCREENS[::2])):
        with window(chromium, july, width, color_scheme=scheme, bypass_csp=True) as opened:
            for screen in screens:
                opened.go(screen)
                opened.page.evaluate(
                    "for (const own of document.querySelectorAll('details')) own.open = true"
                )
                opened.page.evaluate(script)
                result = opened.page.evaluate("axe.run({resultTypes: ['violations']})")
                for violation in result["violations"]:
                    where = violation["nodes"][0]["html"][:120]
                    found[screen, width, violation["id"]] = where
    assert found == {}
