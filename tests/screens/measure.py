"""How long the answer is, of any checkout: ``python -m tests.screens.measure [CHECKOUT ...]``.

For each plan of ``samples/``: lines of ``check`` at 80 columns, phone screens and words of the page
as opened (390 by 844 pixels, text of dangers not counted, as it is never cut), and printed pages of
the workbook. Needs Chromium, LibreOffice (soffice) and pdfinfo (Debian package poppler-utils). Two
checkouts, one after the other, are before and after.
"""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tempfile
from collections.abc import Iterator
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from tests.report.browser import browser

if TYPE_CHECKING:
    from playwright.sync_api import Browser


__all__ = ["WORDS_AND_HEIGHT", "Lengths", "lengths"]

ROOT = Path(__file__).parents[2]
PHONE = {"width": 390, "height": 844}
#: Words and pixels of the page as opened, but those of dangers.
WORDS_AND_HEIGHT = r"""() => {
    const danger = [...document.querySelectorAll(".danger-text")];
    const isWord = (part) => /[\p{L}\p{N}]/u.test(part);
    const count = (text) => text.split(/\s+/).filter(isWord).length;
    const total = (of) => danger.reduce((sum, e) => sum + of(e), 0);
    return [count(document.body.innerText) - total((e) => count(e.innerText)),
        document.documentElement.scrollHeight
            - total((e) => e.getBoundingClientRect().height)];
}"""


class Lengths(NamedTuple):
    """Of one plan: lines of the terminal; words and screens of the page; pages of the workbook."""

    plan: str
    lines: int
    words: int
    screens: float
    pages: int


def lengths(checkout: Path, chromium: Browser) -> Iterator[Lengths]:
    """What each sample plan comes to with the code of a checkout."""
    environment = os.environ | {"PYTHONPATH": str(checkout), "COLUMNS": "80"}

    def nutricheck(*arguments: str | Path) -> str:
        command = [sys.executable, "-m", "nutricheck", *map(str, arguments)]
        return subprocess.run(
            command, env=environment, cwd=checkout, check=True, capture_output=True, text=True
        ).stdout

    for plan in sorted((checkout / "samples").glob("*.toml")):
        with tempfile.TemporaryDirectory() as folder:
            page, workbook = Path(folder, "page.html"), Path(folder, "workbook.xlsx")
            nutricheck("page", plan, "-o", page)
            nutricheck("export", plan, "-o", workbook)
            view = chromium.new_page(viewport=PHONE)
            view.goto(page.as_uri())
            words, height = view.evaluate(WORDS_AND_HEIGHT)
            view.close()
            lines = len(nutricheck("check", plan).splitlines())
            screens = round(height / PHONE["height"], 1)
            yield Lengths(plan.stem, lines, words, screens, _printed_pages(workbook))


def _printed_pages(workbook: Path) -> int:
    """Pages that LibreOffice prints a workbook on."""
    folder = workbook.parent
    convert = ["soffice", f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless"]
    convert += ["--convert-to", "pdf", "--outdir", str(folder), str(workbook)]
    subprocess.run(convert, check=True, capture_output=True)
    information = subprocess.run(
        ["pdfinfo", str(workbook.with_suffix(".pdf"))], check=True, capture_output=True, text=True
    ).stdout
    found = re.search(r"^Pages:\s+(\d+)", information, re.MULTILINE)
    if found is None:
        raise RuntimeError(f"pdfinfo tells no number of pages: {information}")
    return int(found[1])


if __name__ == "__main__":
    with browser() as chromium:
        for checkout in map(Path, sys.argv[1:] or [ROOT]):
            print(f"{checkout.name:<16} lines  words  screens  pages")
            for one in lengths(checkout.resolve(), chromium):
                print(
                    f"{one.plan:<16} {one.lines:5d}  {one.words:5d}  {one.screens:7.1f}  "
                    f"{one.pages:5d}"
                )
