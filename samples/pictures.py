"""Make the README's pictures anew: ``python samples/pictures.py``. Needs Chromium.

Each picture shows what a command makes of ``samples/july_survey.toml``.
"""

from __future__ import annotations

import shutil
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

import nutricheck as nc
from nutricheck.report.page import write_page

SAMPLES = Path(__file__).parent
PLAN = SAMPLES / "july_survey.toml"
PICTURES = SAMPLES / "pictures"
ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
]
#: Picture of the page → width and height of the window [pixel], colour scheme.
PAGE_VIEWS = {"page.png": (1160, 860, "light"), "page_phone.png": (390, 860, "dark")}


def page_pictures(browser: Browser, folder: Path) -> None:
    """The page on a wide screen, and on a phone in the dark."""
    path = folder / "july.html"
    write_page(nc.check(PLAN), path)
    for name, (width, height, scheme) in PAGE_VIEWS.items():
        view = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        view.goto(path.as_uri())
        view.screenshot(path=PICTURES / name, caret="initial")
        view.close()


def main() -> None:
    """Make all pictures."""
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.exit("the pictures need chromium on this machine")
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        page_pictures(browser, Path(folder))
        browser.close()


if __name__ == "__main__":
    main()
