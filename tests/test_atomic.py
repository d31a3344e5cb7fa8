"""Files are replaced whole, through symbolic links too; what killed writers left is swept away;
errors say what to do."""

import os
import subprocess
import sys

import pytest
from typer import Typer

from nutricheck.atomic import replacing, write_whole
from nutricheck.cli import run
from nutricheck.errors import NutricheckError


def test_replaced_only_when_the_block_ends_well(tmp_path):
    path = tmp_path / "report.txt"
    write_whole(path, "old")
    with pytest.raises(RuntimeError), replacing(path) as part:
        part.write_text("half")
        raise RuntimeError
    assert path.read_text() == "old"
    write_whole(path, "new\r\n")
    assert path.read_bytes() == b"new\r\n"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.name != "posix", reason="files have no such modes here")
def test_who_may_read_a_file_stays_as_it_was(tmp_path):
    path = tmp_path / "report.txt"
    for mode in (0o600, 0o640, 0o664):
        write_whole(path, "old")
        path.chmod(mode)
        with replacing(path) as part:
            part.write_text("new")
            assert part.stat().st_mode & 0o777 == 0o600
        assert path.stat().st_mode & 0o777 == mode


@pytest.mark.skipif(os.name != "posix", reason="links need rights here")
def test_symbolic_link_stays_one(tmp_path):
    (tmp_path / "there").mkdir()
    target = tmp_path / "there" / "report.txt"
    target.write_text("old")
    link = tmp_path / "link.txt"
    link.symlink_to(target)
    write_whole(link, "new")
    assert link.is_symlink()
    assert target.read_text() == "new"


@pytest.mark.skipif(os.name != "posix", reason="no way to tell whether a writer still runs")
def test_leftovers_of_dead_writers_are_swept(tmp_path):
    path = tmp_path / "report.txt"
    gone = subprocess.Popen([sys.executable, "-c", ""])
    gone.wait()
    dead = tmp_path / f".report.txt.{gone.pid}.0123.part"
    alive = tmp_path / f".report.txt.{os.getpid()}.0123.part"
    other = tmp_path / ".report.txt.backup.part"
    for leftover in (dead, alive, other):
        leftover.write_text("half")
    write_whole(path, "new")
    assert sorted(tmp_path.iterdir()) == sorted([alive, other, path])


def test_folder_that_is_not_there(tmp_path):
    with pytest.raises(FileNotFoundError), replacing(tmp_path / "none" / "report.txt"):
        pass


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


def test_the_command_line_names_the_file_not_its_part(capsys, monkeypatch):
    refusing = Typer(name="refusing")
    refusing.command()(lambda: refuse_to_replace(".plan.toml.1.part", "plan.toml"))
    monkeypatch.setattr(sys, "argv", ["refusing"])
    with pytest.raises(SystemExit):
        run(refusing)
    assert capsys.readouterr().err == "plan.toml: Access is denied\n"


def test_a_missing_folder_is_named(tmp_path):
    with pytest.raises(NutricheckError, match=r"the folder .*gone.* does not exist"):
        write_whole(tmp_path / "gone" / "page.html", "")


def test_a_folder_is_no_file(tmp_path):
    with pytest.raises(NutricheckError, match="is a folder"):
        write_whole(tmp_path, "")
