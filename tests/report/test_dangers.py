"""Every danger stands open in every report, and beside every list of additions."""

from __future__ import annotations

import io
import json
import re

import pytest

from nutricheck.advice.additions import additions
from nutricheck.check_plan import check
from nutricheck.report.additions_table import proposal_report
from nutricheck.report.data import result_json
from nutricheck.report.page import page_html
from nutricheck.report.screen import show
from nutricheck.report.terminal import print_report
from nutricheck.report.workbook import workbook_sheets

RAW = {"temperature": "40 °C", "time": "20 h"}
PLAN = {
    "person": {
        "sex": "female",
        "age": 30,
        "mass": "60 kg",
        "height": "168 cm",
        "life_stage": "pregnancy",
    },
    "days": [
        {"name": "walk", "count": 3, "moving": "6 h", "drink": "15 L", "air_temperature": "34 °C"}
    ],
    "batch": [
        {"name": "beef", "ingredients": [{"food": "23557", "mass": "1 kg"}], "drying": RAW},
        {
            "name": "liver",
            "ingredients": [{"food": "13325", "mass": "1 kg"}],
            "preparation": {"kind": "cooked", "method": "braised"},
            "drying": RAW,
        },
    ],
    "packed": [{"item": "beef", "mass": "100 g"}, {"item": "liver", "mass": "30 g"}],
    "portions": [{"item": "beef", "amount": "30 g"}, {"item": "liver", "amount": "10 g"}],
}


@pytest.fixture(scope="module")
def result():
    return check(PLAN, draws=0)


@pytest.fixture(scope="module")
def dangers(result):
    found = [caution for caution in result.cautions if caution.level == "danger"]
    ids = {caution.id for caution in found}
    assert {"raw meat", "liver in pregnancy", "planned drink above ceiling"} <= ids
    return found


def flat(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("everything", [False, True])
def test_terminal(result, dangers, everything):
    out = io.StringIO()
    print_report(result, file=out, everything=everything)
    text = flat(out.getvalue())
    assert all(flat(danger.text) in text for danger in dangers)


def test_page(result, dangers):
    html = page_html(result)
    open_part = re.sub(r"<details\b(?![^>]*\bopen\b).*?</details>", "", html, flags=re.S)
    text = flat(re.sub(r"<[^>]+>", "", open_part))
    assert all(flat(danger.text) in text for danger in dangers)


def test_workbook(result, dangers):
    sheet = next(one for one in workbook_sheets(result) if one.name == "Cautions")
    texts = {value for row in sheet.cells.values() for value, _ in row.values()}
    assert all(danger.text in texts for danger in dangers)


def test_json(result, dangers):
    found = json.loads(result_json(result))["cautions"]
    assert {caution.id for caution in dangers} <= {caution["id"] for caution in found}
    assert all(
        caution["harm"] in range(1, 5) and caution["likelihood"] in range(1, 4) for caution in found
    )


def test_additions(result, dangers):
    out = io.StringIO()
    show(proposal_report(result, additions(result, time_limit_s=2.0)), out)
    text = flat(out.getvalue())
    assert all(flat(danger.text) in text for danger in dangers)
