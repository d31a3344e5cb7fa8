"""The two forms of a plan: what they hold, and that nothing is lost from one to the other."""

from __future__ import annotations

import json
import re
import tomllib
import zipfile
from io import BytesIO
from pathlib import Path
from typing import Any

import jsonschema
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from openpyxl import load_workbook

from nutricheck.errors import NutricheckError, PlanError
from nutricheck.plan import form
from nutricheck.plan.fill_in import plan_workbook
from nutricheck.plan.from_workbook import read_workbook
from nutricheck.plan.models import Plan
from nutricheck.plan.read import plan_from_data, read_data, read_plan
from nutricheck.plan.schema import json_schema_text
from nutricheck.plan.write import example, plan_text, write_plan
from tests.plans import plan_of_text

from .generated import ODD_NAMES, plans

SAMPLES = sorted((Path(__file__).parents[2] / "samples").glob("*.toml"))
SCHEMA = json.loads(json_schema_text())
#: Made once: whether a schema is one takes longer to see than whether a plan follows it.
Validator = jsonschema.validators.validator_for(SCHEMA)
VALIDATOR = Validator(SCHEMA)


def through_workbook(data: dict[str, Any], folder: Path) -> dict[str, Any]:
    path = folder / "plan.xlsx"
    path.write_bytes(plan_workbook(data))
    read = read_workbook(path)
    assert read.faults == []
    return read.data


def all_data() -> list[Any]:
    samples = [pytest.param(tomllib.loads(p.read_text("utf-8")), id=p.stem) for p in SAMPLES]
    return [pytest.param(example(), id="example"), *samples]


# ---------------------------------------------------------------- nothing is lost


@pytest.mark.parametrize("data", all_data())
def test_text_and_workbook_say_the_same(data, tmp_path):
    plan = plan_from_data(data)
    assert plan_of_text(plan_text(data)) == plan
    once = through_workbook(data, tmp_path)
    assert plan_from_data(once) == plan
    assert plan_of_text(plan_text(once)) == plan
    assert plan_from_data(through_workbook(once, tmp_path)) == plan


@given(plans())
@settings(max_examples=15, suppress_health_check=list(HealthCheck))
def test_generated_plans_pass_through_schema_and_both_forms(tmp_path_factory, data):
    VALIDATOR.validate(data)
    plan = plan_from_data(data)
    assert plan_of_text(plan_text(data)) == plan
    once = through_workbook(data, tmp_path_factory.mktemp("plan"))
    assert plan_from_data(once) == plan
    assert plan_of_text(plan_text(once)) == plan


@pytest.mark.parametrize("first", range(0, len(ODD_NAMES), 5))
def test_text_stays_text(first, tmp_path):
    """What a spreadsheet would compute or turn into a number stays what the plan says; five at a
    time, each in a field of its own."""
    title, item, container, food, left_out = (*ODD_NAMES, *ODD_NAMES)[first : first + 5]
    data = example()
    data["trip"]["title"] = data["trip"]["notes"] = title
    data["packed"][1]["item"] = data["portions"][1]["item"] = item
    data["packed"][1]["container"] = container
    data["packed"][1]["food"] = food
    data["additions"]["leave_out"] = [left_out]
    assert plan_of_text(plan_text(data)) == plan_from_data(data)
    once = through_workbook(data, tmp_path)
    assert plan_from_data(once) == plan_from_data(data)
    book = load_workbook(tmp_path / "plan.xlsx")
    for sheet in form.SHEETS:
        for row in book[sheet.name].iter_rows():
            assert {cell.data_type for cell in row} <= {"s", "n"}


def test_only_the_lists_compute(tmp_path):
    book = load_workbook(BytesIO(plan_workbook(example())))
    computing = {
        page.title for page in book for row in page.iter_rows() for c in row if c.data_type == "f"
    }
    assert computing == {"lists"}


def test_notes_keep_their_lines(tmp_path):
    data = example()
    data["trip"]["notes"] = 'first line\n\tsecond, "quoted"\n\n= fourth'
    assert through_workbook(data, tmp_path)["trip"]["notes"] == data["trip"]["notes"]
    assert tomllib.loads(plan_text(data))["trip"]["notes"] == data["trip"]["notes"]


def test_a_plan_of_the_greatest_size(tmp_path):
    """200 batches of 10 ingredients, 400 packed items, 1000 portions."""
    data = example()
    data["batch"] = [
        {
            "name": f"batch {i}",
            "ingredients": [{"food": f"food {j}", "mass": f"{j + 1} g"} for j in range(10)],
        }
        for i in range(200)
    ]
    data.pop("mix")
    data["packed"] = [{"item": f"batch {i % 200}", "mass": "1 kg"} for i in range(400)]
    data["portions"] = [{"item": f"batch {i % 200}", "amount": "1 g"} for i in range(1000)]
    assert plan_from_data(through_workbook(data, tmp_path)) == plan_from_data(data)


# ---------------------------------------------------------------- what the forms hold


def leaves(schema: dict[str, Any], path: tuple[str, ...] = ()) -> set[tuple[str, ...]]:
    """Paths of all values that the JSON Schema allows; list entries and dictionary keys as *."""
    if "$ref" in schema:
        schema = SCHEMA["$defs"][schema["$ref"].rsplit("/", 1)[1]]
    if "anyOf" in schema:  # one entry, or a list of them
        return leaves(schema["anyOf"][-1], path)
    if "properties" in schema:
        below = [leaves(part, (*path, key)) for key, part in schema["properties"].items()]
        return set().union(*below)
    if schema.get("type") == "array":
        return leaves(schema["items"], (*path, form.EACH))
    if isinstance(schema.get("additionalProperties"), dict):
        return leaves(schema["additionalProperties"], (*path, form.EACH))
    return {path}


def test_each_value_of_the_schema_has_its_place_on_a_sheet():
    offered = set()
    for sheet in form.SHEETS:
        each = () if sheet.is_single else (form.EACH,)
        inside = sheet.under if sheet.under != ("amounts",) else ()
        below = (*inside, form.EACH) if inside else ()
        for field in sheet.fields:
            if field.path != (form.EACH,):
                offered.add((sheet.section, *each, *below, *field.path))
        if sheet.link:
            offered.add((sheet.section, *each, *sheet.link.path))
    assert offered == leaves(SCHEMA)


@pytest.mark.parametrize("sheet", form.SHEETS, ids=lambda sheet: sheet.name)
def test_each_field_says_what_it_means(sheet):
    assert sheet.help.endswith(".")
    fields = [*sheet.fields, *([sheet.link] if sheet.link else [])]
    assert len({field.title for field in fields}) == len(fields)
    for field in fields:
        assert 5 < len(field.help) < 100, field.title
        assert (
            field.kind in {"yes/no", "choice"}
            or field.example
            or field.path[-1]
            in {
                "title",
                "notes",
                form.EACH,
            }
        ), field.title


def test_both_forms_give_the_same_help():
    text = " ".join(plan_text(example()).replace("\n#", " ").split())
    book = load_workbook(BytesIO(plan_workbook(example())))
    for sheet in form.SHEETS:
        page = " ".join(
            str(c.value) for row in book[sheet.name].iter_rows() for c in row if c.value is not None
        )
        for field in sheet.fields:
            if field.path == (form.EACH,):
                continue
            assert field.help in page
            assert field.help in text
            assert field.title in page
            assert field.example in page
            assert field.example in text


def test_the_examples_given_are_read(tmp_path):
    """Each example of the help, put into its field, makes a plan."""
    data = example()
    for key, section in (("person", "person"), ("days", "days"), ("packed", "packed")):
        sheet = next(sheet for sheet in form.SHEETS if sheet.section == section)
        entry = data[key] if sheet.is_single else data[key][0]
        for field in sheet.fields:
            if field.kind == "quantity" and len(field.path) == 1:
                entry[field.path[0]] = field.example
    del data["person"]["share"]  # of a pack that several eat from, and this plan has one person
    for field in next(s for s in form.SHEETS if s.name == "dried batches").fields:
        # one end point, one weighing of what was strained
        others = (("moisture",), ("preparation", "whey"))
        if field.kind == "quantity" and field.path not in others:
            target = data["batch"][0]
            for step in field.path[:-1]:
                if step == form.EACH:
                    continue
                target = target.setdefault(step, {"time": "1 month"} if step == "storage" else {})
            target[field.path[-1]] = field.example
    plan_from_data(data)


def test_help_fits_the_width_of_a_page():
    assert max(map(len, plan_text(example()).splitlines())) <= 100


def test_drop_downs_offer_what_the_models_take(tmp_path):
    book = load_workbook(BytesIO(plan_workbook(example())))
    for sheet in form.SHEETS:
        page = book[sheet.name]
        lists = [v.formula1 for v in page.data_validations.dataValidation]
        for field in sheet.fields:
            if field.choices:
                assert f'"{",".join(field.choices)}"' in lists
            if field.units:
                assert f'"{",".join(field.units)}"' in lists
        # a list in the cell itself holds at most 255 characters and no comma inside an entry
        assert all(len(text) <= 255 for text in lists)
    assert not [
        c for s in form.SHEETS for f in s.fields for c in (*f.choices, *f.units) if "," in c
    ]
    named = {
        "items",
        "packed_items",
        "kinds_of_day",
        "batches",
        "labels",
        "components",
        "compounds",
    }
    assert named <= set(book.defined_names)
    used = {v.formula1 for page in book for v in page.data_validations.dataValidation}
    assert named <= used


def test_the_example_is_a_plan_of_foods_that_the_table_has():
    from nutricheck.foods import open_table

    plan_from_data(example(), "example", open_table())


# ---------------------------------------------------------------- the schema


@pytest.mark.parametrize("data", all_data())
def test_samples_keep_to_the_schema(data):
    jsonschema.Draft202012Validator.check_schema(SCHEMA)
    jsonschema.validate(data, SCHEMA)


@pytest.mark.parametrize(
    ("path", "value"),
    [
        (("person", "age"), "thirty"),
        (("person", "age"), 8),
        (("person", "mass"), 61),
        (("person", "sex"), "woman"),
        (("person", "mass_kg"), "61 kg"),
        (("days", 0, "count"), 2.5),
        (("days", 0, "moving"), None),
        (("packed", 0, "container_mass"), 0.0),
        (("portions",), []),
    ],
)
def test_the_schema_refuses_what_the_models_refuse(path, value):
    data = example()
    target: Any = data
    for step in path[:-1]:
        target = target[step]
    target[path[-1]] = value
    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(data, SCHEMA)
    with pytest.raises(NutricheckError):
        plan_from_data(data)


def test_schema_defaults_are_what_may_be_written():
    for definition in (SCHEMA, *SCHEMA["$defs"].values()):
        for schema in definition["properties"].values():
            validator = Validator({**schema, "$defs": SCHEMA["$defs"]})
            if "default" in schema:
                validator.validate(schema["default"])
            for given_example in schema.get("examples", ()):
                validator.validate(given_example)


# ---------------------------------------------------------------- writing


@pytest.mark.parametrize("ending", ["toml", "xlsx", "XLSX"])
def test_new_writes_a_plan(ending, tmp_path):
    path = tmp_path / f"plan.{ending}"
    write_plan(path)
    assert read_plan(path) == plan_from_data(example())
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("ending", ["toml", "xlsx"])
def test_a_file_that_is_there_stays(ending, tmp_path):
    path = tmp_path / f"plan.{ending}"
    path.write_bytes(b"mine")
    with pytest.raises(NutricheckError, match="there is such a file already"):
        write_plan(path)
    assert path.read_bytes() == b"mine"
    write_plan(path, overwrite=True)
    assert read_plan(path) == plan_from_data(example())


def test_a_write_that_fails_leaves_the_old_file(tmp_path, monkeypatch):
    path = tmp_path / "plan.toml"
    path.write_bytes(b"mine")

    def full(self, content):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "write_bytes", full)
    with pytest.raises(NutricheckError, match="No space"):
        write_plan(path, overwrite=True)
    monkeypatch.undo()
    assert path.read_bytes() == b"mine"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.parametrize("name", ["plan", "plan.xls", "plan.ods", "plan.csv", ".toml"])
def test_other_endings_are_refused(name, tmp_path):
    with pytest.raises(NutricheckError, match=r"must end in \.toml or \.xlsx"):
        write_plan(tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_folder_that_is_not_there(tmp_path):
    with pytest.raises(NutricheckError, match="does not exist; make it first"):
        write_plan(tmp_path / "none" / "plan.toml")


@pytest.mark.parametrize("sample", SAMPLES, ids=lambda path: path.stem)
def test_conversion_there_and_back(sample, tmp_path):
    workbook, text = tmp_path / "plan.xlsx", tmp_path / "plan.toml"
    write_plan(workbook, sample)
    write_plan(text, workbook)
    assert read_plan(text) == read_plan(workbook) == read_plan(sample)
    assert read_data(text).keys() <= set(Plan.model_fields)


@given(st.sampled_from(["a", "b"]))
def test_the_same_plan_gives_the_same_text(word):
    data = example()
    data["trip"]["title"] = word
    assert plan_text(data) == plan_text(data)
    assert re.search(rf'^title = "{word}"$', plan_text(data), re.MULTILINE)


def test_the_workbook_is_small_and_plain():
    """No macros, links to elsewhere or hidden sheets in what a person is to open."""
    content = plan_workbook(example())
    assert len(content) < 100_000
    with zipfile.ZipFile(BytesIO(content)) as archive:
        names = archive.namelist()
        everything = b"".join(archive.read(name) for name in names)
    assert not [name for name in names if "vba" in name or "external" in name.lower()]
    assert b'TargetMode="External"' not in everything
    assert b'state="hidden"' not in everything


@pytest.mark.parametrize(
    ("section", "old", "new"),
    [
        ("additions", {"pantry": ["08120"]}, {"at_home": ["08120"]}),
        ("person", {"vegetarian": True}, {"eats": "vegetarian"}),
    ],
)
def test_what_older_plans_say_in_other_words(section, old, new):
    data = example()
    rest = {key: content for key, content in data[section].items() if key not in new}
    today = plan_from_data({**data, section: {**rest, **new}})
    assert plan_from_data({**data, section: {**rest, **old}}) == today
    with pytest.raises(PlanError, match="there is no such field here"):  # said twice
        plan_from_data({**data, section: {**rest, **old, **new}})


def test_an_older_workbooks_title_is_still_read(tmp_path):
    data = example()
    data["days"][0]["dry"] = [{"moving": "2 h"}]
    book = load_workbook(BytesIO(plan_workbook(data)))
    title = book["dry stretches"]["A4"]
    assert title.value == "kind of day"
    title.value = "day type"
    book.save(tmp_path / "older.xlsx")
    assert read_plan(tmp_path / "older.xlsx") == plan_from_data(data)
