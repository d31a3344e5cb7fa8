"""Chromium without a window and without a network."""

from __future__ import annotations

import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import Any

__all__ = ["CHROMIUM", "browser"]

CHROMIUM = shutil.which("chromium")
_ARGUMENTS = [
    "--headless",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--disable-features=PreloadTopChromeWebUI,Translate,PaintHolding,HttpsUpgrades,MediaRouter",
]


@contextmanager
def browser() -> Iterator[Any]:
    """The browser, closed at the end."""
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        started = playwright.chromium.launch(executable_path=CHROMIUM, args=_ARGUMENTS)
        yield started
        started.close()
