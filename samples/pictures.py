"""Make the README's pictures anew: ``python samples/pictures.py``.

Needs Chromium, LibreOffice (soffice) and pdftoppm (Debian package poppler-utils).

Each picture shows what a command makes of ``samples/july_survey.toml``.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import Browser, sync_playwright

import nutricheck as nc
from nutricheck.editor.server import Running, in_background
from nutricheck.editor.session import Session
from nutricheck.report.page import write_page
from nutricheck.report.workbook import write_workbook

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
PAGE_VIEWS = {"page.png": (1160, 1150, "light"), "page_phone.png": (390, 860, "dark")}
#: Picture of the workbook → its page in print.
WORKBOOK_PAGES = {"workbook.png": 1, "workbook_coverage.png": 5}


#: Picture of the editor → its screen, width and height of the window [pixel], colour scheme.
EDITOR_VIEWS = {
    "open.png": ("dried?open=batch.2#card", 1280, 900, "light"),
    "open_phone.png": ("eat", 390, 860, "light"),
}


def editor_pictures(browser: Browser, folder: Path) -> None:
    """The plan in the browser: a dried food on a wide screen, the portions on a phone."""
    os.environ["NUTRICHECK_STATE"] = str(folder / "state")
    path = folder / "july_survey.toml"
    shutil.copy(PLAN, path)
    with in_background(Running(Session.opened(path))) as running:
        context = browser.new_context()
        view = context.new_page()
        view.goto(running.start_address)
        view.wait_for_url("**/want")
        for name, (screen, width, height, scheme) in EDITOR_VIEWS.items():
            view.set_viewport_size({"width": width, "height": height})
            view.emulate_media(color_scheme=scheme)
            view.goto(f"{running.address}/{screen}")
            view.screenshot(path=PICTURES / name, caret="initial")
        context.close()


def page_pictures(browser: Browser, folder: Path) -> None:
    """The page on a wide screen, and on a phone in the dark."""
    path = folder / "july.html"
    write_page(nc.check(PLAN), path)
    for name, (width, height, scheme) in PAGE_VIEWS.items():
        view = browser.new_page(viewport={"width": width, "height": height}, color_scheme=scheme)
        view.goto(path.as_uri())
        view.screenshot(path=PICTURES / name, caret="initial")
        view.close()


def workbook_pictures(folder: Path) -> None:
    """Pages of the workbook as LibreOffice prints them."""
    path, profile = folder / "july.xlsx", (folder / "profile").as_uri()
    write_workbook(nc.check(PLAN), path)
    office = ["soffice", f"-env:UserInstallation={profile}", "--headless"]
    convert = [*office, "--convert-to", "pdf", "--outdir", str(folder), str(path)]
    subprocess.run(convert, check=True, capture_output=True)
    for name, number in WORKBOOK_PAGES.items():
        page = ["pdftoppm", "-f", str(number), "-l", str(number), "-r", "110", "-png"]
        target = str((PICTURES / name).with_suffix(""))
        subprocess.run([*page, "-singlefile", str(folder / "july.pdf"), target], check=True)


def main() -> None:
    """Make all pictures."""
    missing = [name for name in ("chromium", "soffice", "pdftoppm") if not shutil.which(name)]
    if missing:
        sys.exit(f"the pictures need {', '.join(missing)} on this machine")
    chromium = shutil.which("chromium")
    PICTURES.mkdir(exist_ok=True)
    with sync_playwright() as playwright, tempfile.TemporaryDirectory() as folder:
        browser = playwright.chromium.launch(executable_path=chromium, args=ARGUMENTS)
        editor_pictures(browser, Path(folder))
        page_pictures(browser, Path(folder))
        browser.close()
        workbook_pictures(Path(folder))


if __name__ == "__main__":
    main()
