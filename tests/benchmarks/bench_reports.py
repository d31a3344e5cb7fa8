"""The reports of a 15-batch sample, whole process each, against importing three libraries."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path

from ratio import measure, python, tell

PLAN = "samples/july_survey.toml"
BASE = python("-c", "import pandas, openpyxl, pint")
AT_MOST = 1.4
LARGEST_PAGE_BYTES = 1_060_000

if __name__ == "__main__":
    with tempfile.TemporaryDirectory() as folder:
        page, workbook = Path(folder) / "july.html", Path(folder) / "july.xlsx"
        reports = {
            "check": python("-m", "nutricheck", "check", PLAN),
            "export": python("-m", "nutricheck", "export", PLAN, "-o", str(workbook)),
            "page": python("-m", "nutricheck", "page", PLAN, "-o", str(page)),
        }
        kept = [
            tell(name, *measure(report, BASE), at_most=AT_MOST) for name, report in reports.items()
        ]
        size = page.stat().st_size
    sys.stdout.write(f"page: {size:,} bytes (at most {LARGEST_PAGE_BYTES:,})\n")
    sys.exit(not (all(kept) and size <= LARGEST_PAGE_BYTES))
