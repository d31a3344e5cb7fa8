"""The page's text: safe, whole, small, and true to the result. What a browser makes of it is in
test_page_browser.py."""

from __future__ import annotations

import base64
import hashlib
import html
import json
import math
import re
from html.parser import HTMLParser

import pytest

import nutricheck as nc
from nutricheck.advice.additions import additions, reduction
from nutricheck.advice.answer import answer
from nutricheck.defaults import TRIP_MEAN
from nutricheck.errors import NutricheckError
from nutricheck.report.check_report import check_sections
from nutricheck.report.page import page_html, summary_html, write_page
from nutricheck.report.page_data import page_data, script_json
from nutricheck.report.parts import Line, Styled, Table
from nutricheck.report.source_list import source_numbers
from nutricheck.report.verdict import verdict
from nutricheck.report.words import shown_days
from nutricheck.symbols import with_symbols
from tests import warm
from tests.plans import HOSTILE, SAMPLES, checked, hostile_plan

VOID = {"meta", "link", "input", "br", "hr", "img"}


class Outline(HTMLParser):
    """Elements, ids and inner links of a page; complains where tags do not pair."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.open: list[str] = []
        self.tags: list[str] = []
        self.ids: list[str] = []
        self.targets: set[str] = set()
        self.text: list[str] = []
        self.feed(text)
        assert self.open == []

    def handle_starttag(self, tag, attrs):
        self.tags.append(tag)
        named = dict(attrs)
        assert len(named) == len(attrs), "an attribute twice"
        assert not any(name.startswith("on") or name == "style" for name in named)
        if named.get("id"):
            self.ids.append(named["id"])
        for name in ("href", "for", "aria-labelledby"):
            if named.get(name) and not named[name].startswith("data:"):
                self.targets.add(named[name].removeprefix("#"))
        if tag not in VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        if tag not in VOID:
            self.open.pop()

    def handle_endtag(self, tag):
        assert self.open.pop() == tag

    def handle_data(self, data):
        if self.open and self.open[-1] not in ("script", "style"):
            self.text.append(data)


def data_of(page: str):
    inner = re.search(r'<script type="application/json" id="data">(.*?)</script>', page, re.S)
    assert inner
    return json.loads(inner[1])


@pytest.mark.parametrize("name", ["july_survey", "light_pack"])
def test_well_formed_and_every_inner_link_has_its_place(name):
    outline = Outline(page_html(checked(name)))
    assert len(outline.ids) == len(set(outline.ids))
    assert outline.targets <= set(outline.ids)
    assert outline.tags.count("script") == 2
    assert outline.tags.count("h1") == 1


def test_july_survey_stays_small():
    """With the check's own 500 draws in it, so that its words are a fresh check's."""
    assert len(page_html(checked("july_survey", 500)).encode()) <= 1_060_000


def test_the_packed_draws_are_those_of_the_check():
    """Letters among them that read as a unit stay as they are: no symbol takes their place."""
    result = checked("july_survey", 500)
    chance = page_data(result, source_numbers(result), answer(result))["chance"]
    written = data_of(page_html(result))["chance"]
    assert base64.b64decode(written["draws"], validate=True) == chance["draws"]
    for cause, drawn in chance["z"].items():
        assert base64.b64decode(written["z"][cause], validate=True) == drawn
    text = script_json({"unit": "ug", "packed": b"\xe7\x6b\xa0"})
    assert text == '{"unit":"µg","packed":"52ug"}'


def test_the_same_check_gives_the_same_bytes():
    path = SAMPLES / "light_pack.toml"
    assert page_html(nc.check(path, draws=50)) == page_html(nc.check(path, draws=50))


def test_the_verdict_stands_first_and_whole():
    result = checked("light_pack")
    text = "".join(Outline(page_html(result)).text)
    places = [text.index(finding.text) for finding in verdict(result)]
    assert places == sorted(places)
    assert places[-1] < text.index("Magnesium, potassium, sodium and vitamin C")
    for caution in result.cautions:
        assert caution.text in text
    for question in result.questions:
        assert question in text


#: Sections that the page has as bars, signs, cards and lines of days, or not at all.
NOT_ON_THE_PAGE = {
    *("answer", "four", "energy", "coverage", "foods"),
    *("batches", "in_pack", "meals", "legs", "supply"),
}


@pytest.mark.parametrize("name", ["july_survey", "ridge_walk"])
def test_terminal_and_page_say_the_same_parts_in_the_same_words(name):
    """Each line and each cell of the sections that the page takes over stands on it."""
    result = checked(name)
    days = shown_days(result)
    sections = check_sections(result, answer(result), TRIP_MEAN, 100, days)
    text = "".join(Outline(page_html(result)).text)
    shown = [section for section in sections if section.name not in NOT_ON_THE_PAGE]
    parts = [part for section in shown for part in section.parts]
    assert sum(isinstance(part, Table) for part in parts) >= 9
    for part in parts:
        if isinstance(part, Line):
            words = [part.text, part.hint]
        else:
            heads = [column.head for column in part.columns]
            words = [part.title, *heads, *(cell for row in part.rows for cell in row)]
        for one in words:
            text_of = one.text if isinstance(one, Styled) else one
            assert with_symbols(text_of).strip() in text


def test_every_source_of_a_figure_is_listed():
    result = checked("july_survey")
    text = "".join(Outline(page_html(result)).text)
    named = {*result.coverage["reference_source"], *result.coverage["upper_source"]}
    sources = {source for source in named if isinstance(source, str)}
    assert len(sources) > 5
    assert all(source in text for source in sources)


def test_only_its_own_style_and_script_may_run():
    page = page_html(checked("light_pack"))
    policy = html.unescape(re.search(r'Content-Security-Policy" content="([^"]*)"', page)[1])
    assert policy.startswith("default-src 'none';")
    for tag in ("style", "script"):
        inner = re.search(rf"<{tag}>(.*?)</{tag}>", page, re.S)[1]
        digest = base64.b64encode(hashlib.sha256(inner.encode()).digest()).decode()
        assert f"{tag}-src 'sha256-{digest}'" in policy
    assert not re.search(r"(?:src|href|url|@import|fetch|XMLHttp)[=(\s]+[\"']?(?:https?:)?//", page)


def test_hostile_names_stay_text():
    page = page_html(nc.check(hostile_plan(), draws=0))
    outline = Outline(page)
    assert outline.tags.count("script") == 2
    assert "img" not in outline.tags
    text = "".join(outline.text)
    assert all(name in text for name in HOSTILE)
    data = data_of(page)
    assert [day["name"] for day in data["days"]] == [HOSTILE[1], HOSTILE[0]]
    assert not any(mark in script_json(data) for mark in ("<", ">", "&", "\u2028", "\u2029"))


def test_unknown_is_null_in_the_data_never_zero():
    result = checked("july_survey")
    data = page_data(result, source_numbers(result), answer(result))
    chromium = data["tags"].index("CR")
    assert all(math.isnan(item["per100g"][chromium]) for item in data["items"])
    written = json.loads(script_json(data))
    assert all(item["per100g"][chromium] is None for item in written["items"])
    assert all(item["accounted"][chromium] == 0 for item in written["items"])


def test_a_range_is_kept_as_factors_on_the_likely_amount():
    result = checked("july_survey", 200)
    data = page_data(result, source_numbers(result), answer(result))
    vitamin_c = data["tags"].index("VITC")
    row = result.intake.table.query("day == 'hard climb' and component == 'VITC'").iloc[0]
    assert data["spread"]["low"][1][vitamin_c] == pytest.approx(row["low"] / row["likely"])
    assert data["spread"]["high"][1][vitamin_c] == pytest.approx(row["high"] / row["likely"])


def test_a_component_eaten_on_no_day_yet_takes_the_range_of_the_other_days():
    plan = hostile_plan()
    plan["portions"][0]["days"] = [HOSTILE[1]]
    plan["portions"].append({"item": HOSTILE[2], "amount": "0 g", "days": [HOSTILE[0]]})
    result = nc.check(plan, draws=50)
    data = page_data(result, source_numbers(result), answer(result))
    retinol_equivalents = data["tags"].index("CARTB")
    first, second = (factors[retinol_equivalents] for factors in data["spread"]["high"])
    assert first > 1
    assert second in (first, pytest.approx(second))


# ---------------------------------------------------------------- the notebook


def test_the_notebook_shows_the_pages_summary():
    result = checked("light_pack")
    shown = result._repr_html_()
    assert shown == summary_html(result)
    outline = Outline(shown)
    assert "script" not in outline.tags
    text = "".join(outline.text)
    assert all(finding.text in text for finding in verdict(result))
    assert "Vitamin C" in text


def test_the_notebooks_style_touches_nothing_else():
    style = re.search(r"<style>(.*?)</style>", summary_html(checked("light_pack")), re.S)[1]
    style = re.sub(r"/\*.*?\*/", "", style, flags=re.S)
    selectors = re.findall(r"(?:^|[{}])\s*([^@{}]+)\{", style)
    assert len(selectors) > 20
    assert all(
        ".nutricheck" in part
        for selector in selectors
        for part in re.sub(r":is\([^)]*\)", "", selector).split(",")
    )


# ---------------------------------------------------------------- writing it


def test_another_ending_is_refused(tmp_path):
    with pytest.raises(NutricheckError, match=r"must end in \.html"):
        write_page(checked("light_pack"), tmp_path / "page.toml")
    assert list(tmp_path.iterdir()) == []


def test_the_command_writes_the_page(tmp_path):
    target = tmp_path / "light.html"
    plan = "samples/light_pack.toml"
    done = warm.run("nutricheck", "page", plan, "-o", target, "--draws", 0)
    assert (done.returncode, done.stdout) == (0, b"")
    assert target.read_text("utf-8") == page_html(checked("light_pack"))


def test_the_command_says_what_is_wrong_in_one_line(tmp_path):
    target = tmp_path / "gone" / "light.html"
    done = warm.run("nutricheck", "page", "samples/light_pack.toml", "-o", target)
    assert done.returncode == 1
    assert done.stderr.count(b"\n") == 1
    assert b"does not exist; make it first" in done.stderr


# ---------------------------------------------------------------- what could be added


def test_additions_are_a_section_that_says_what_was_found():
    result = checked("light_pack")
    proposal, reduced = additions(result), reduction(result)
    page = page_html(result, proposal, reduced)
    outline = Outline(page)
    assert "additions" in outline.ids
    assert outline.targets <= set(outline.ids)
    text = "".join(outline.text)
    assert "do not follow days and portions that you change" in text
    texts = [*proposal.words, *reduced.words, *(caution.text for caution in proposal.cautions)]
    texts += [*proposal.items["item"], *proposal.portions["text"], *reduced.items["reason"]]
    assert len(proposal.items) > 0
    assert all(with_symbols(words) in text for words in texts)
    assert len(page.encode()) <= 425_000  # with the cautions that a change may bring


def test_no_section_on_additions_unless_asked_for():
    assert "additions" not in Outline(page_html(checked("light_pack"))).ids
    reduced = reduction(checked("light_pack"))
    text = "".join(Outline(page_html(checked("light_pack"), reduction=reduced)).text)
    assert all(words in text for words in reduced.words)


def test_hostile_names_stay_text_in_the_section_on_additions():
    result = nc.check(hostile_plan(), draws=0)
    proposal = additions(result, sources=("packed",))
    added = set(proposal.items["item"])
    assert added
    assert added <= set(HOSTILE)
    outline = Outline(page_html(result, proposal, reduction(result)))
    assert outline.tags.count("script") == 2
    assert "img" not in outline.tags
    section = "".join(outline.text).partition("The lightest things to add")[2]
    section = section.partition("Cautions and questions")[0]
    assert all(name in section for name in (*added, *proposal.portions["day"]))
