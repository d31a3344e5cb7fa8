"""The first screen of each plan of this folder, and its file."""

from __future__ import annotations

import io
import re
from pathlib import Path

from nutricheck.check_plan import check
from nutricheck.report.terminal import print_report

__all__ = ["PLANS", "first_screen", "words_of"]

PLANS = sorted(Path(__file__).parent.glob("*.toml"))
_FIGURES = re.compile(r"[\d█▒·│»]+([.,–-][\d]+)*")


def first_screen(path: Path) -> str:
    """What `check` prints."""
    out = io.StringIO()
    print_report(check(path), file=out)
    return "\n".join(line.rstrip() for line in out.getvalue().splitlines()) + "\n"


def words_of(text: str) -> list[str]:
    """The words of a screen, without its figures and bars."""
    return _FIGURES.sub("#", text).split()


if __name__ == "__main__":
    for path in PLANS:
        path.with_suffix(".txt").write_text(first_screen(path), encoding="utf-8")
