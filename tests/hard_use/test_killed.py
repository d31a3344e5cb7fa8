"""Commands killed with SIGKILL: old files whole or new files whole, and no litter that grows.

Half are killed at a random moment of their run, half just after they began to write. Each command
twice, or as often as NUTRICHECK_KILLS says:

    NUTRICHECK_KILLS=100 python -m pytest -s tests/hard_use/test_killed.py
"""

from __future__ import annotations

import json
import os
import random
import time
import tomllib
from pathlib import Path

import pytest

from nutricheck.editor.files import plan_file_bytes
from nutricheck.editor.session import Session
from tests import warm
from tests.hard_use.commands import COMMANDS, EACH, OLD, content, inputs, old_files

pytestmark = pytest.mark.skipif(os.name != "posix", reason="no kill -9 here")
KILLS = int(os.environ.get("NUTRICHECK_KILLS", "2"))
LONGEST_S = 60.0


@pytest.fixture(scope="module")
def given(tmp_path_factory):
    return inputs(tmp_path_factory.mktemp("inputs"))


def wait_for_part(process, out):
    """Return when the process has begun a file, or has ended."""
    mark = f".{process.pid}."
    limit = time.monotonic() + LONGEST_S
    while process.is_running() and time.monotonic() < limit:
        for _ in range(20):
            if any(mark in name for name in os.listdir(out)):
                return


@pytest.mark.parametrize("name", EACH)
def test_killed_commands_leave_whole_files(name, given, tmp_path):
    command, out = COMMANDS[name], tmp_path / "out"
    old_files(command, out)
    began = time.monotonic()
    assert command.run(given, out).returncode == 0
    took_s = time.monotonic() - began
    new = {written: content(out / written) for written in command.writes}
    assert OLD not in new.values()
    chance = random.Random(name)
    seen = {"old": 0, "new": 0, "part left": 0}
    for number in range(KILLS):
        old_files(command, out)
        process = command.started(given, out)
        if number % 2:
            time.sleep(chance.uniform(0, took_s))
        else:
            wait_for_part(process, out)
            time.sleep(chance.choice((0, 0, 0.001, 0.005, 0.02)))
        process.kill()
        process.wait()
        for written in command.writes:
            found = content(out / written)
            assert found in (OLD, new[written]), f"{written} is neither old nor new"
            seen["old" if found == OLD else "new"] += 1
        left = {path.name for path in out.iterdir()} - set(command.writes)
        assert len(left) <= len(command.writes), left
        assert all(part.startswith(".") and part.endswith(".part") for part in left)
        seen["part left"] += bool(left)
    print(f"{name}: {KILLS} kills, {seen}")
    assert command.run(given, out).returncode == 0
    assert {path.name: content(path) for path in out.iterdir()} == new


SMALL = '# ours\n[trip]\ntitle = "old" # kept\n\n[[batch]]\nname = "kale"\n'


def save_in_the_editor(plan: str) -> None:
    """As a person's change and press do: change, draft, file, draft gone."""
    session = Session.opened(Path(plan), draws=0)
    session.change([(("trip", "title"), "new")])
    session.keep_draft()
    session.save()


@pytest.mark.parametrize("suffix", [".toml", ".xlsx"])
def test_an_editor_killed_while_it_saves_loses_nothing(suffix, tmp_path, monkeypatch):
    """The plan's file is old or new, whole; while it is old, the draft holds the change or is not
    begun."""
    monkeypatch.setenv("NUTRICHECK_STATE", str(tmp_path / "state"))
    plan = tmp_path / "out" / f"plan{suffix}"
    plan.parent.mkdir()
    old = plan_file_bytes(tomllib.loads(SMALL), suffix, SMALL if suffix == ".toml" else None)
    plan.write_bytes(old)
    before = content(plan)
    began = time.monotonic()
    assert warm.started_work(save_in_the_editor, str(plan)).wait().returncode == 0
    took_s = time.monotonic() - began
    new, drafts = content(plan), tmp_path / "state" / "drafts"
    assert new != before
    assert not any(drafts.iterdir())
    chance = random.Random(suffix)
    seen = {"old": 0, "new": 0, "draft": 0, "part left": 0}
    for number in range(KILLS):
        for left in drafts.iterdir():
            left.unlink()
        plan.write_bytes(old)
        process = warm.started_work(save_in_the_editor, str(plan))
        if number % 2:
            time.sleep(chance.uniform(0, took_s))
        else:
            wait_for_part(process, plan.parent)
            time.sleep(chance.choice((0, 0, 0.001, 0.005)))
        process.kill()
        process.wait()
        found = content(plan)
        assert found in (before, new), "the plan is neither old nor new"
        held = [json.loads(draft.read_text()) for draft in drafts.glob("[!.]*.json")]
        assert [draft["plan"]["trip"]["title"] for draft in held] in ([], ["new"])
        seen["old" if found == before else "new"] += 1
        seen["draft"] += bool(held)
        parts = {path.name for path in plan.parent.iterdir()} - {plan.name}
        assert len(parts) <= 1 and all(part.endswith(".part") for part in parts)
        seen["part left"] += bool(parts)
    print(f"editor's save {suffix}: {KILLS} kills, {seen}")


def test_several_at_once_leave_one_whole_file(given, tmp_path):
    """Each command three times at once; the embedded table is not there yet for any of them."""
    for name in ("export", "check-many, CSV", "build fdc"):
        command, out = COMMANDS[name], tmp_path / name
        old_files(command, out)
        cache = {"NUTRICHECK_CACHE": str(tmp_path / "cache")}
        running = [command.started(given, out, **cache) for _ in range(3)]
        for process in running:
            done = process.wait()
            assert done.returncode == 0, done.stderr
        assert sorted(path.name for path in out.iterdir()) == sorted(command.writes)
        assert all(content(out / written) != OLD for written in command.writes)
    assert len(list((tmp_path / "cache").glob("*.sqlite"))) == 1


def test_killed_while_the_embedded_table_is_made(tmp_path):
    cache = tmp_path / "cache"
    cache.mkdir()
    words = ["nutricheck", "food", "spinach"]
    chance = random.Random(1)
    for _ in range(KILLS):
        process = warm.started(*words, NUTRICHECK_CACHE=str(cache))
        wait_for_part(process, cache)
        time.sleep(chance.uniform(0, 0.5))
        process.kill()
        process.wait()
        assert len(list(cache.iterdir())) <= 1
        for table in cache.glob("*.sqlite"):
            table.unlink()
    done = warm.run(*words, NUTRICHECK_CACHE=str(cache))
    assert b"Spinach" in done.stdout
    assert len(list(cache.glob("*.sqlite"))) == 1
