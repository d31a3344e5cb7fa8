"""Files are replaced whole, through symbolic links too; what killed writers left is swept away."""

import os
import subprocess
import sys

import pytest

from nutricheck.atomic import replacing, write_text


def test_replaced_only_when_the_block_ends_well(tmp_path):
    path = tmp_path / "report.txt"
    write_text(path, "old")
    with pytest.raises(RuntimeError), replacing(path) as part:
        part.write_text("half")
        raise RuntimeError
    assert path.read_text() == "old"
    write_text(path, "new\r\n")
    assert path.read_bytes() == b"new\r\n"
    assert list(tmp_path.iterdir()) == [path]


@pytest.mark.skipif(os.name != "posix", reason="links need rights here")
def test_symbolic_link_stays_one(tmp_path):
    (tmp_path / "there").mkdir()
    target = tmp_path / "there" / "report.txt"
    target.write_text("old")
    link = tmp_path / "link.txt"
    link.symlink_to(target)
    write_text(link, "new")
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
    write_text(path, "new")
    assert sorted(tmp_path.iterdir()) == sorted([alive, other, path])


def test_folder_that_is_not_there(tmp_path):
    with pytest.raises(FileNotFoundError):
        write_text(tmp_path / "none" / "report.txt", "new")
