"""Fields, keys, presses and seconds to a first answer for a plan of eight foods.

By the editor in Chromium, by the text form and by the fill-in workbook, all three for the same
plan. ``python -m tests.editor.first_answer`` prints the table. A key is a character typed or a Tab;
of a list that is chosen from it is two letters and Enter. Seconds are those that the program takes,
not the hand.
"""

from __future__ import annotations

import io
import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Mapping
from pathlib import Path
from typing import Any

from nutricheck.editor.server import Running, in_background
from nutricheck.editor.session import Session
from nutricheck.plan.fill_in import plan_workbook
from nutricheck.plan.write import plan_text
from tests.editor.test_window import DRIED, SOLD, WIDE, Window, walker_with_dried_food
from tests.report.browser import browser

CHOICE_KEYS = 3


class Timed(Window):
    """A window that counts what it waits for."""

    def __init__(self, page: Any, running: Running) -> None:
        super().__init__(page, running)
        self.waited_s = 0.0

    def settle(self) -> None:
        start = time.perf_counter()
        super().settle()
        self.waited_s += time.perf_counter() - start

    def go(self, step: str) -> None:
        start = time.perf_counter()
        super().go(step)
        self.presses += 1
        self.waited_s += time.perf_counter() - start

    def choose(self, selector: str, text: str) -> None:
        super().choose(selector, text)
        self.keys += CHOICE_KEYS


def eight_foods(window: Timed) -> None:
    """Four foods dried at home and four as they are sold, until there is an answer."""
    window.press("[data-plan=nothing]")
    window.page.wait_for_url("**/want")
    walker_with_dried_food(window)
    window.go("bags")
    for _ in DRIED:
        window.press(".offers button")
    for number, (food, mass) in enumerate(SOLD, start=len(DRIED)):
        window.find_food("#quick", food)
        window.type(f"#f-packed-{number}-mass", mass)
    window.go("eat")
    for _ in DRIED + SOLD:
        window.press(".offers button")


def leaves(value: Any) -> int:
    """The values that a plan's data hold."""
    if isinstance(value, Mapping):
        return sum(map(leaves, value.values()))
    return sum(map(leaves, value)) if isinstance(value, list) else 1


def text_keys(text: str) -> int:
    """Characters of a plan's text that somebody types: no comments, no empty lines."""
    lines = (line.partition(" #")[0].rstrip() for line in text.splitlines())
    return sum(len(line) + 1 for line in lines if line and not line.startswith("#"))


def cells(content: bytes) -> dict[tuple[str, str], str]:
    """What the cells of a workbook hold."""
    import openpyxl

    book = openpyxl.load_workbook(io.BytesIO(content))
    return {
        (sheet.title, cell.coordinate): str(cell.value)
        for sheet in book
        for row in sheet.iter_rows()
        for cell in row
        if cell.value is not None
    }


def check_seconds(content: bytes, ending: str) -> float:
    """A whole check of a plan's file in a process of its own. [s]"""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"plan{ending}"
        path.write_bytes(content)
        command = [sys.executable, "-m", "nutricheck", "check", str(path)]
        start = time.perf_counter()
        subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
        return time.perf_counter() - start


def main() -> None:
    """Print the table."""
    with tempfile.TemporaryDirectory() as folder, browser() as started:
        os.environ["NUTRICHECK_STATE"] = folder
        start = time.perf_counter()
        with in_background(Running(Session.opened(None))) as running:
            page = started.new_context(viewport={"width": WIDE, "height": 900}).new_page()
            page.goto(running.start_address)
            page.locator("[data-plan=nothing]").wait_for()
            first_page_s = time.perf_counter() - start
            window = Timed(page, running)
            eight_foods(window)
            assert window.session.result is not None, window.session.partial.needed
            assert not window.session.partial.left_out
            data = window.session.data
    text = plan_text(data)
    blank, filled = cells(plan_workbook({})), cells(plan_workbook(data))
    typed = [value for place, value in filled.items() if blank.get(place) != value]
    rows = [
        ("editor", window.fields, window.keys, window.presses, first_page_s + window.waited_s),
        ("text", leaves(data), text_keys(text), 0, check_seconds(text.encode(), ".toml")),
        (
            "workbook",
            len(typed),
            sum(len(value) + 1 for value in typed),
            0,
            check_seconds(plan_workbook(data), ".xlsx"),
        ),
    ]
    sys.stdout.write("way       fields   keys  presses  seconds\n")
    for way, fields, keys, presses, seconds in rows:
        sys.stdout.write(f"{way:9} {fields:6} {keys:6} {presses:8} {seconds:8.1f}\n")


if __name__ == "__main__":
    main()
