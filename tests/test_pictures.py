"""The program that makes the README's pictures finds what it needs, and every picture is there."""

from __future__ import annotations

import re
import runpy
from pathlib import Path

ROOT = Path(__file__).parents[1]


def test_the_program_of_the_pictures_names_each_picture_of_the_readme():
    names = runpy.run_path(str(ROOT / "samples" / "pictures.py"), run_name="pictures")
    drawn = {*names["PAGE_VIEWS"], *names["EDITOR_VIEWS"]}
    drawn |= {f"{Path(name).stem}.png" for name in names["WORKBOOK_PAGES"]}
    shown = set(re.findall(r"samples/pictures/(\w+\.png)", (ROOT / "README.md").read_text("utf-8")))
    there = {path.name for path in (ROOT / "samples" / "pictures").glob("*.png")}
    assert shown <= drawn == there
