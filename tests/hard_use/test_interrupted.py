"""Ctrl-C at any moment, first runs at once, and streams that are closed or full.

Each so many times as NUTRICHECK_ROUNDS says:

    NUTRICHECK_ROUNDS=60 python -m pytest -s tests/hard_use/test_interrupted.py
"""

from __future__ import annotations

import os
import random
import shlex
import signal
import subprocess
import sys
import time

import pytest

from tests import warm
from tests.hard_use.commands import OLD, ROOT, content

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no SIGINT to send here")
ROUNDS = int(os.environ.get("NUTRICHECK_ROUNDS", "1"))
AT_ONCE = 4
STOPPED = 130
PLAN = str(ROOT / "samples" / "light_pack.toml")


@pytest.mark.parametrize("words", [["check", PLAN], ["export", PLAN, "-o", "made.xlsx"]])
def test_ctrl_c_at_any_moment(words, tmp_path):
    """Exit status 130 without a traceback, the old file or the new one, no part of one."""
    command = [sys.executable, "-m", "nutricheck", *words]
    workbook = tmp_path / "made.xlsx"
    began = time.monotonic()
    subprocess.run(command, cwd=tmp_path, env=surroundings(), capture_output=True, check=True)
    took_s = time.monotonic() - began
    chance = random.Random(words[0])
    for _ in range(ROUNDS * 3):
        workbook.write_bytes(OLD)
        process = subprocess.Popen(
            command,
            cwd=tmp_path,
            env=surroundings(),
            stdout=subprocess.PIPE,
            stderr=subprocess.PIPE,
        )
        time.sleep(chance.uniform(0, took_s))
        process.send_signal(signal.SIGINT)
        _, errors = process.communicate(timeout=60)
        if (
            b"nutricheck/" in errors or b"Traceback" not in errors
        ):  # else Python itself was starting
            assert process.returncode in (0, STOPPED, -signal.SIGINT), errors
            assert b"Traceback" not in errors
        assert content(workbook)
        assert [path.name for path in tmp_path.iterdir()] == ["made.xlsx"]


def test_a_command_in_the_background_is_not_stopped(tmp_path):
    """A shell starts it with the signal ignored."""
    process = subprocess.Popen(
        [sys.executable, "-m", "nutricheck", "check", PLAN],
        cwd=tmp_path,
        env=surroundings(),
        stdout=subprocess.PIPE,
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_IGN),  # noqa: PLW1509
    )
    time.sleep(0.6)
    process.send_signal(signal.SIGINT)
    output, _ = process.communicate(timeout=60)
    assert process.returncode == 0
    assert output


def surroundings():
    return os.environ | {"PYTHONPATH": str(ROOT)}


def test_first_runs_at_once(tmp_path):
    """Each makes the embedded table or finds it made: all answer alike, one file is left."""
    words = ["food", "spinach"]
    expected = warm.run("nutricheck", *words).stdout
    for number in range((ROUNDS + 1) // 2):
        cache = tmp_path / str(number)
        running = [
            warm.started("nutricheck", *words, NUTRICHECK_CACHE=str(cache)) for _ in range(AT_ONCE)
        ]
        for process in running:
            done = process.wait()
            assert done.returncode == 0, done.stderr
            assert done.stdout == expected
        assert len(list(cache.glob("*.sqlite"))) == 1
        assert not list(cache.glob("*.part"))


@pytest.mark.parametrize(
    ("words", "how", "status"),
    [
        (["food", "spinach"], ">&-", 0),
        (["food", "spinach"], "<&-", 0),
        (["food", "spinach"], ">&- 2>&- <&-", 0),
        (["check", PLAN], ">&-", 0),
        (["export", PLAN, "-o", "made.xlsx"], ">&- 2>&-", 0),
        (["food", "xyzzyqq"], "2>&-", 1),
        (["food", "spinach"], ">/dev/full", 1),
        (["check", PLAN], ">/dev/full", 1),
    ],
)
def test_streams_that_are_closed_or_full(words, how, status, tmp_path):
    """No traceback; what goes to a file is written; a full disk is an error."""
    command = shlex.join([sys.executable, "-m", "nutricheck", *words])
    done = subprocess.run(
        ["sh", "-c", f"{command} {how}"],
        cwd=tmp_path,
        env=surroundings(),
        capture_output=True,
        check=False,
    )
    assert done.returncode == status, done.stderr
    assert b"Traceback" not in done.stderr
    assert b"ignored" not in done.stderr
    if "export" in words:
        assert content(tmp_path / "made.xlsx")
    if how == ">/dev/full":
        assert b"No space left" in done.stderr
