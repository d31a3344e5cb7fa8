"""How long the answer is: phone screens and words of the page, lines of the terminal, for plans.

Run by hand: ``python tests/benchmarks/bench_length.py samples/july_survey.toml …``. Needs Chromium.
Danger text is counted apart: it is never cut.
"""

from __future__ import annotations

import io
import shutil
import sys
import tempfile
from contextlib import redirect_stdout
from pathlib import Path

from playwright.sync_api import sync_playwright

import nutricheck as nc
from nutricheck.report.page import write_page
from nutricheck.report.terminal import print_report

PHONE, HIGH, WIDTHS = 390, 844, (320, 390, 768, 1280)
MEASURE = """() => {
    const isWord = (part) => /[\\p{L}\\p{N}]/u.test(part);
    const count = (text) => text.split(/\\s+/).filter(isWord).length;
    const danger = [...document.querySelectorAll(".danger-text")];
    const total = (of) => danger.reduce((sum, e) => sum + of(e), 0);
    return {
        words: count(document.body.innerText), danger: total((e) => count(e.innerText)),
        height: document.documentElement.scrollHeight,
        danger_height: total((e) => e.getBoundingClientRect().height),
        wide: document.documentElement.scrollWidth };
}"""


def main(plans: list[str]) -> None:
    """Print a line for each plan."""
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(
            executable_path=shutil.which("chromium"), args=["--headless", "--no-sandbox"]
        )
        for plan in plans:
            result = nc.check(plan)
            path = Path(folder) / "page.html"
            write_page(result, path)
            lengths = []
            for width in WIDTHS:
                page = browser.new_page(viewport={"width": width, "height": HIGH})
                page.goto(path.as_uri())
                measured = page.evaluate(MEASURE)
                screens = (measured["height"] - measured["danger_height"]) / HIGH
                lengths.append(f"{width} px {screens:.1f}")
                if width == PHONE:
                    words = measured["words"] - measured["danger"]
                page.close()
            screen = io.StringIO()
            with redirect_stdout(screen):
                print_report(result)
            print(
                f"{plan}: screens without danger text {', '.join(lengths)}; {words} words at "
                f"{PHONE} px; {len(screen.getvalue().splitlines())} terminal lines; "
                f"{path.stat().st_size:,} bytes"
            )
        browser.close()


if __name__ == "__main__":
    main(sys.argv[1:])
