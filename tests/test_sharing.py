"""Copies to share: name and health are gone from every file, and so is what follows from them."""

from __future__ import annotations

import re
import zipfile
from pathlib import Path
from typing import Any

import pytest

import nutricheck as nc
from nutricheck.check_plan import Result
from nutricheck.editor.session import Session
from nutricheck.errors import NutricheckError
from nutricheck.plan.models import Person
from nutricheck.plan.read import plan_from_data, read_data
from nutricheck.plan.to_share import SHARED_NOTE, shareable
from nutricheck.plan.write import plan_text
from nutricheck.report.data import result_json
from nutricheck.report.page import page_html
from nutricheck.report.workbook import write_workbook
from nutricheck.sharing import result_to_share
from tests import warm
from tests.editor.opened import ask, opened, own_headers
from tests.plans import sample

NAME = "Ottoline Vandersloot"
#: What is of a person's body and needs, and nothing of their health.
KEPT = {"sex", "age", "mass", "height", "acclimatised", "eats", "share"}

HEALTH: list[dict[str, Any]] = [
    {"conditions": ["kidney", "blood thinner", "diabetes", "coeliac", "histamine", "no alcohol"]},
    {
        "conditions": ["cystic fibrosis", "iron overload", "thyroid"],
        "does_not_eat": ["peanut"],
        "sweat_sodium": {"concentration": "90 mmol/L", "site": "whole body"},
    },
    {"life_stage": "pregnancy", "trimester": 2, "smoker": True},
]
CLINIC = [{"component": "NA", "aim": "1800 mg", "set_by": NAME, "set_on": "12 May 2026"}]


#: Not what a caution for everybody says: "With kidney disease, or with medicines …".
HIS_ILLNESS = re.compile("(?<!With )kidney disease")


def plan_of(person: dict[str, Any]) -> dict[str, Any]:
    data = sample("light_pack")
    return {
        **data,
        "trip": {**data["trip"], "title": f"{NAME}, July", "notes": f"{NAME} is on a diet"},
        "person": {**data["person"], "sex": "female", **person},
        "clinic": CLINIC,
    }


def unpacked(path: Path) -> str:
    with zipfile.ZipFile(path) as book:
        names = sorted(set(book.namelist()) - {"docProps/core.xml"})  # it holds the second
        return "\n".join(book.read(name).decode("utf-8") for name in names)


def all_files(result: Result, folder: Path) -> str:
    """All that page, workbook and JSON hold."""
    write_workbook(result, folder / "shared.xlsx")
    return "\n".join((page_html(result), result_json(result), unpacked(folder / "shared.xlsx")))


@pytest.mark.parametrize("person", HEALTH, ids=["conditions", "measured", "pregnant"])
def test_a_shared_copy_is_that_of_a_healthy_person_all_through(person, tmp_path, monkeypatch):
    monkeypatch.setenv("SOURCE_DATE_EPOCH", "1700000000")
    full = nc.check(plan_of(person), draws=20)
    assert NAME in all_files(full, tmp_path)
    shared = all_files(result_to_share(full), tmp_path)
    assert shared.count(SHARED_NOTE) >= 3
    assert NAME not in shared
    # whatever follows from health, the cautions too, would differ here
    assert shared == all_files(nc.check(shareable(plan_of({})), draws=20), tmp_path)


def test_what_a_plan_comes_to_hold_of_a_person_is_left_out_until_it_is_judged():
    fields = {field.alias or name for name, field in Person.model_fields.items()}
    assert set(shareable({"person": dict.fromkeys(fields)})["person"]) == KEPT


def test_a_ready_plan_has_no_text_to_share():
    with pytest.raises(NutricheckError, match="of a plan's file or of its data"):
        result_to_share(nc.check(plan_from_data(sample("light_pack")), draws=0))


def test_the_commands_write_copies_to_share(tmp_path):
    plan = tmp_path / f"{NAME} kidney.toml"
    plan.write_text(plan_text(plan_of(HEALTH[0])), encoding="utf-8")
    page, book = tmp_path / "a.html", tmp_path / "a.xlsx"
    options = ("--to-share", "--draws", 0)
    for command in (("page", plan, "-o", page), ("export", plan, "-o", book)):
        assert warm.run("nutricheck", *command, *options).returncode == 0
    printed = warm.run("nutricheck", "check", plan, *options).stdout
    as_json = warm.run("nutricheck", "check", plan, "--json", *options).stdout
    for text in (page.read_text("utf-8"), unpacked(book), printed.decode(), as_json.decode()):
        assert "A plan to share" in text
        assert NAME not in text
        assert HIS_ILLNESS.search(text) is None


def test_the_editor_hands_out_copies_to_share(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path))
    with opened(Session(plan_of(HEALTH[0]), draws=0)) as running:
        headers = own_headers(running, is_change=False)
        for name in ("plan.toml", "plan.xlsx", "page.html", "report.xlsx"):
            status, _, content = ask(running, "GET", f"/download/to-share/{name}", None, headers)
            path = tmp_path / name
            path.write_bytes(content)
            text = unpacked(path) if name.endswith("xlsx") else path.read_text("utf-8")
            assert status == 200
            assert SHARED_NOTE[:30] in text
            assert NAME not in text
            if name.startswith("plan"):  # whose help names all conditions
                plan, expected = read_data(path), shareable(plan_of(HEALTH[0]))
                assert set(plan) == set(expected)
                assert [plan[key] for key in ("trip", "person")] == [
                    expected[key] for key in ("trip", "person")
                ]
            else:
                assert HIS_ILLNESS.search(text) is None


def test_the_name_of_one_who_eats_alone_is_left_out_of_portions_too():
    data = sample("july_survey")
    data["person"]["name"] = "Ada"
    data["portions"][0]["who"] = ["Ada"]
    shared = shareable(data)
    assert "Ada" not in repr(shared)
    assert nc.check(shared, draws=0).plan.portions[0].who == ("person 1",)
