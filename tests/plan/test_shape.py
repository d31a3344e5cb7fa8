"""Data that have not the shape of a plan: told as such, and no more is made of them."""

from __future__ import annotations

import datetime
import tomllib
from pathlib import Path

import pytest

import nutricheck as nc
from nutricheck.editor.files import OpenedFile, read_upload
from nutricheck.errors import PlanError
from nutricheck.plan.models import Plan
from nutricheck.plan.shape import shaped
from nutricheck.plan.write import example

SAMPLES = sorted(Path("samples").glob("*.toml"))
ODD = [5, "x", True, datetime.date(2026, 7, 1), [5], [[1]]]


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: path.stem)
def test_right_plans_have_their_shape(path):
    data = tomllib.loads(path.read_text("utf-8"))
    assert shaped(data, "plan") is data


def test_the_example_has_its_shape():
    assert shaped(example(), "plan")


@pytest.mark.parametrize("odd", ODD, ids=repr)
@pytest.mark.parametrize("section", Plan.model_fields)
def test_a_section_of_another_shape_is_told(section, odd):
    data = example() | {section: odd}
    with pytest.raises(PlanError, match=f"{section}.*expected a "):
        shaped(data, "plan")
    with pytest.raises(PlanError):
        nc.check(data)


@pytest.mark.parametrize("odd", ODD, ids=repr)
def test_ingredients_of_another_shape_are_told(odd):
    data = example()
    data["batch"] = [{"name": "kale", "ingredients": odd}]
    with pytest.raises(PlanError, match=r"batch\[1\] ingredients.*expected a "):
        shaped(data, "plan")


def test_the_window_takes_no_plan_of_another_shape(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text("days = 5\n")
    for read in (lambda: OpenedFile.read(path), lambda: read_upload("plan", path.read_bytes())):
        with pytest.raises(PlanError, match="days: found 5; expected a list of tables"):
            read()
