"""The file and its draft: whole, for the same eyes, comments kept, nobody else's work lost."""

from __future__ import annotations

import io
import json
import os
import tomllib

import openpyxl
import pytest

from nutricheck.editor.files import (
    ChangedElsewhere,
    Draft,
    OpenedFile,
    SavedAsCopy,
    has_more_than_a_plan,
    merged_toml,
    plan_file_bytes,
    read_upload,
)
from nutricheck.editor.server import prepared
from nutricheck.editor.session import Session
from nutricheck.errors import NutricheckError, PlanError
from nutricheck.plan.changes import changed
from tests.plans import SAMPLES, sample


@pytest.fixture(autouse=True)
def state(tmp_path, monkeypatch):
    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path / "state"))


TEXT = (SAMPLES / "july_survey.toml").read_text("utf-8")
#: A plan without an answer, so that nothing is worked out for it.
SMALL = '# mine\n[trip]\ntitle = "a walk" # kept\n\n[[batch]]\nname = "kale"\n'
WORKBOOK = {key: part for key, part in sample("light_pack").items() if key != "portions"}
COMMENTS = [line for line in TEXT.splitlines() if line.startswith("#")]


# ---------------------------------------------------------------- comments


def test_what_did_not_change_is_the_same_to_the_byte():
    assert merged_toml(TEXT, tomllib.loads(TEXT)) == TEXT


@pytest.mark.parametrize(
    "changes",
    [
        [(("trip", "title"), 'A "quoted" title\\')],
        [(("batch", 2, "dried_mass"), "400 g")],
        [(("batch", 2, "dried_mass"), None), (("batch", 2, "moisture"), "8 %")],
        [(("batch", 10, "drying", "steps", 1, "time"), "12 h")],
        [(("batch", 1, "ingredients", 1), None)],
        [(("batch", 0, "ingredients", 1), {"food": "Onions, raw", "mass": "1 kg"})],
        [(("batch", 15), {"name": "kale", "ingredients": [{"food": "Kale, raw", "mass": "1 kg"}]})],
        [(("batch", 3), None)],
        [(("mix", 0, "parts", 8), {"food": "Onions, raw", "mass": "10 g"})],
        [(("label", 0, "amounts", "CA"), "100 mg"), (("label", 0, "fortified", 4), "CA")],
        [(("portions", 13, "days"), ["rest in camp"])],
        [(("additions", "at_home", 0), None)],
        [(("person", "smoker"), True), (("person", "age"), 41)],
        [(("clinic", 0), {"component": "NA", "aim": "2 g", "set_by": "x", "set_on": "2026-05-12"})],
        [(("additions",), None)],
        [(("days", 0, "sweat_test", "hours"), "3 h")],
        [(("trip", "notes"), "two\nlines")],
    ],
)
def test_a_change_keeps_every_comment_of_what_stays(changes):
    data = changed(tomllib.loads(TEXT), changes)
    text = merged_toml(TEXT, data)
    assert text is not None
    assert tomllib.loads(text) == data
    lost = [line for line in COMMENTS if line not in text.splitlines()]
    assert len(lost) <= 1, lost  # a comment after an entry goes with it
    if all(value is not None for _, value in changes):
        assert lost == []


def test_a_date_and_a_foreign_order_survive(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text('[[clinic]]\nset_on = 2026-05-12 # said by phone\ncomponent = "NA"\n')
    session = Session.opened(path, draws=0)
    session.change([(("clinic", 0, "aim"), "2 g")])
    session.save()
    assert "2026-05-12 # said by phone" in path.read_text()


# ---------------------------------------------------------------- whole, and for the same eyes


@pytest.mark.skipif(os.name != "posix", reason="who may read a file is said otherwise here")
@pytest.mark.parametrize("mode", [0o600, 0o640, 0o644])
def test_who_may_read_the_file_stays_as_it_was(tmp_path, mode):
    path = tmp_path / "plan.toml"
    path.write_text(SMALL)
    path.chmod(mode)
    session = Session.opened(path, draws=0)
    session.change([(("trip", "title"), "new")])
    assert session.save() == "Saved to plan.toml."
    assert path.stat().st_mode & 0o777 == mode
    assert session.is_saved
    assert [path.name for path in tmp_path.iterdir() if path.is_file()] == ["plan.toml"]


def test_a_file_changed_elsewhere_is_not_written_over(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(SMALL)
    session = Session.opened(path, draws=0)
    session.change([(("trip", "title"), "mine")])
    path.write_text('[trip]\ntitle = "theirs"\n')
    with pytest.raises(ChangedElsewhere):
        session.save()
    assert "theirs" in path.read_text()
    assert not session.is_saved
    session.save(is_over=True)
    assert 'title = "mine"' in path.read_text()
    path.unlink()
    session.change([(("trip", "title"), "again")])
    with pytest.raises(ChangedElsewhere):
        session.save()


def test_a_plan_that_is_not_there_is_begun_and_made_by_saving(tmp_path):
    path = tmp_path / "new.toml"
    session = Session.opened(path, draws=0)
    assert session.data == {}
    session.change([(("trip", "title"), "x")])
    assert not path.exists()
    session.save()
    assert tomllib.loads(path.read_text()) == {"trip": {"title": "x"}}


def test_without_a_file_saving_hands_the_plan_out():
    session = Session.opened(None, draws=0)
    session.change([(("trip", "title"), "x")])
    assert session.save() == ""
    assert not session.is_saved


@pytest.mark.parametrize("name", ["plan.txt", "plan", "plan.json"])
def test_another_kind_of_file_is_refused(tmp_path, name):
    with pytest.raises(NutricheckError):
        OpenedFile.read(tmp_path / name)


# ---------------------------------------------------------------- workbooks


def test_a_workbook_plan_is_opened_changed_and_saved(tmp_path, workbook):
    path = tmp_path / "plan.xlsx"
    path.write_bytes(workbook)
    assert not has_more_than_a_plan(path)
    session = Session.opened(path, draws=0)
    assert not session.partial.faults
    session.change([(("trip", "title"), "from the window")])
    session.save()
    again = Session.opened(path, draws=0)
    assert again.data["trip"]["title"] == "from the window"


@pytest.fixture(scope="module")
def workbook():
    return plan_file_bytes(WORKBOOK, ".xlsx")


@pytest.mark.parametrize("what", ["sheet", "note", "chart"])
def test_a_workbook_with_more_than_a_plan_stays_as_it_is(tmp_path, workbook, what):
    path = tmp_path / "plan.xlsx"
    book = openpyxl.load_workbook(io.BytesIO(workbook))
    if what == "sheet":
        book.create_sheet("my own sums")["A1"] = "=1+1"
    elif what == "note":
        from openpyxl.comments import Comment

        book["person"]["B2"].comment = Comment("asked the doctor", "me")
    else:
        from openpyxl.chart import BarChart

        book["person"].add_chart(BarChart(), "F2")
    book.save(path)
    before = path.read_bytes()
    session = Session.opened(path, draws=0)
    session.change([(("trip", "title"), "x")])
    with pytest.raises(SavedAsCopy):
        session.save()
    assert path.read_bytes() == before


# ---------------------------------------------------------------- sent in, pasted


def test_a_plan_that_is_sent_in_or_pasted_is_read(workbook):
    assert read_upload("plan.toml", plan_file_bytes(WORKBOOK, ".toml")) == WORKBOOK
    assert read_upload("plan.xlsx", workbook)["trip"] == WORKBOOK["trip"]


@pytest.mark.parametrize(
    "content", [b"\xff\xfe\x00", b"= what", b"", b"PK\x03\x04rest", b"[" * 5000]
)
def test_what_is_no_plan_is_said(content):
    with pytest.raises((NutricheckError, PlanError)):
        read_upload("plan", content)


# ---------------------------------------------------------------- drafts


def test_what_was_not_saved_is_offered_the_next_time(tmp_path):
    path = tmp_path / "plan.toml"
    path.write_text(SMALL)
    session = Session.opened(path, draws=0)
    assert session.offered_draft() == ""
    session.change([(("trip", "title"), "draft")])
    session.keep_draft()
    del session  # as if it was killed
    again = Session.opened(path, draws=0)
    assert again.offered_draft()
    assert again.data["trip"]["title"] != "draft"
    again.take_draft()
    assert again.data["trip"]["title"] == "draft"
    again.undo()
    assert again.data == tomllib.loads(SMALL)
    again.redo()
    again.save()
    assert Session.opened(path, draws=0).offered_draft() == ""


def test_a_draft_that_cannot_be_read_is_none(tmp_path):
    draft = Draft.of(tmp_path / "plan.toml")
    for text in ("", "{", "[]", json.dumps({"plan": 1, "written": "x"})):
        draft.path.write_text(text)
        assert draft.read() is None


def test_after_a_crash_the_port_and_the_tokens_are_those_of_before(tmp_path):
    """So a window that is still open picks up again; while another runs, none is shared."""
    path = tmp_path / "plan.toml"
    path.write_text('[trip]\ntitle = "x"\n')
    first = prepared(Session.opened(path, draws=0))
    other = prepared(Session.opened(path, draws=0))
    assert other.session.is_open_elsewhere
    assert other.port != first.port
    assert other.keys.cookie != first.keys.cookie
    first._socket.close()  # killed
    again = prepared(Session.opened(path, draws=0))
    assert not again.session.is_open_elsewhere
    assert again.port == first.port
    assert (again.keys.cookie, again.keys.change) == (first.keys.cookie, first.keys.change)
    assert again.keys.start != first.keys.start
    for server in (other, again):
        server._socket.close()
