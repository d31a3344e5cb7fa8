"""Disks that are full or read-only: one clear error, old files whole, nothing left behind.

The disk is a small tmpfs, which root on Linux can mount; elsewhere these tests are skipped.
"""

from __future__ import annotations

import os
import subprocess
import sys
from contextlib import contextmanager

import pytest

from tests import warm
from tests.hard_use.commands import COMMANDS, EACH, OLD, ROOT, assert_message, inputs, old_files

DISK_BYTES = 32 << 20  # the embedded table takes 17 MB


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    return inputs(tmp_path_factory.mktemp("inputs"))


@pytest.fixture
def disk(tmp_path):
    folder = tmp_path / "disk"
    folder.mkdir()
    options = ["-t", "tmpfs", "-o", f"size={DISK_BYTES}", "tmpfs", str(folder)]
    try:
        subprocess.run(["mount", *options], check=True, capture_output=True)
    except (OSError, subprocess.CalledProcessError) as error:
        pytest.skip(f"no disk can be mounted here ({error})")
    yield folder
    subprocess.run(["umount", "-l", str(folder)], check=True)


def fill(folder, left):
    """Fill the disk but for so many bytes."""
    with (folder / "filling").open("wb") as file:
        free = os.statvfs(folder).f_bavail * os.statvfs(folder).f_frsize
        file.write(bytes(free - left))


@contextmanager
def read_only(folder):
    subprocess.run(["mount", "-o", "remount,ro", str(folder)], check=True)
    yield
    subprocess.run(["mount", "-o", "remount,rw", str(folder)], check=True)


@pytest.mark.parametrize("name", EACH)
def test_full_disk(name, given, disk):
    """Room for about half of what the command writes."""
    command, out = COMMANDS[name], disk / "out"
    out.mkdir()
    assert command.run(given, out).returncode == 0
    needed = max((out / written).stat().st_size for written in command.writes)
    old_files(command, out)
    fill(disk, left=needed // 2 // 4096 * 4096)
    done = command.run(given, out)
    assert (done.returncode, done.stdout) == (1, b"")
    assert_message(done.stderr)
    assert b"No space left" in done.stderr or b"full" in done.stderr
    assert {path.name: path.read_bytes() for path in out.iterdir()} == dict.fromkeys(
        command.writes, OLD
    )


@pytest.mark.parametrize("name", EACH)
def test_read_only_disk(name, given, disk):
    command, out = COMMANDS[name], disk / "out"
    old_files(command, out)
    with read_only(disk):
        done = command.run(given, out)
    assert (done.returncode, done.stdout) == (1, b"")
    assert_message(done.stderr)
    assert b"Read-only file system" in done.stderr
    assert {path.name for path in out.iterdir()} == set(command.writes)


def test_embedded_table_on_a_full_or_read_only_disk(disk):
    """One clear error before the table is made; once made, it is used from there."""
    words = ["nutricheck", "food", "spinach"]
    cache = {"NUTRICHECK_CACHE": str(disk / "cache")}
    fill(disk, left=1 << 20)
    done = warm.run(*words, **cache)
    assert (done.returncode, done.stdout) == (1, b"")
    assert_message(done.stderr)
    assert b"cannot be written" in done.stderr and b"NUTRICHECK_CACHE" in done.stderr
    assert list((disk / "cache").iterdir()) == []
    (disk / "filling").unlink()
    assert warm.run(*words, **cache).returncode == 0
    with read_only(disk):
        assert warm.run(*words, **cache).returncode == 0


def test_output_on_a_full_device():
    """What goes to standard output meets the full disk too."""
    if not os.path.exists("/dev/full"):
        pytest.skip("no /dev/full here")
    line = [sys.executable, "-m", "nutricheck"]  # how Python itself ends counts here
    for words in (["food", "spinach"], ["check", "samples/light_pack.toml", "--csv"], ["--help"]):
        with open("/dev/full", "w") as full:
            done = subprocess.run(
                [*line, *words], cwd=ROOT, stdout=full, stderr=subprocess.PIPE, check=False
            )
        assert done.returncode == 1
        assert_message(done.stderr)
        assert b"No space left" in done.stderr
