"""A report's file is written whole or not at all, and errors say what to do."""

from __future__ import annotations

import os

import pytest

from nutricheck.cli import run
from nutricheck.errors import NutricheckError
from nutricheck.report.files import write_whole


def test_text_and_bytes_are_written(tmp_path):
    for content in ("häm\n", "häm\n".encode()):
        write_whole(tmp_path / "page.html", content)
        assert (tmp_path / "page.html").read_bytes() == "häm\n".encode()
    assert [entry.name for entry in tmp_path.iterdir()] == ["page.html"]


def test_a_failed_move_leaves_the_old_file_and_nothing_else(tmp_path, monkeypatch):
    target = tmp_path / "page.html"
    target.write_text("old")

    def refuse(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "replace", refuse)
    with pytest.raises(NutricheckError, match="No space left on device"):
        write_whole(target, "new")
    assert target.read_text() == "old"
    assert [entry.name for entry in tmp_path.iterdir()] == ["page.html"]


def refuse_to_replace(part, path):
    """As Windows does with a file that another program has open."""
    raise PermissionError(13, "Access is denied", str(part), None, str(path))


def test_a_file_that_is_open_elsewhere(tmp_path, monkeypatch):
    monkeypatch.setattr(os, "replace", refuse_to_replace)
    with pytest.raises(NutricheckError, match="is denied; close it where it is open"):
        write_whole(tmp_path / "page.html", "new")


def test_the_command_line_names_the_file_not_its_part(capsys):
    with pytest.raises(SystemExit):
        run(lambda: refuse_to_replace(".plan.toml.1.part", "plan.toml"))
    assert capsys.readouterr().err == "plan.toml: Access is denied\n"


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(NutricheckError, match=r"the folder .*gone.* does not exist"):
        write_whole(tmp_path / "gone" / "page.html", "")


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(NutricheckError, match="is a folder"):
        write_whole(tmp_path, "")


def test_a_link_is_followed(tmp_path):
    (tmp_path / "real.html").write_text("old")
    (tmp_path / "link.html").symlink_to(tmp_path / "real.html")
    write_whole(tmp_path / "link.html", "new")
    assert (tmp_path / "link.html").is_symlink()
    assert (tmp_path / "real.html").read_text() == "new"
