"""The sheet of what goes into each food box, and what is bought where."""

from __future__ import annotations

from typing import TYPE_CHECKING

from nutricheck.report.legs import leg_words
from nutricheck.report.workbook.cells import Head, Sheet
from nutricheck.rows import LegBox, rows_of

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["boxes_sheet"]

_HEAD = 4


def boxes_sheet(result: Result) -> Sheet:
    """A row for each item that is packed for a leg; it does not follow what is changed."""
    sheet = Sheet("Boxes", heading_row=_HEAD)
    columns = [
        Head("leg", "Leg", 26),
        Head("filled", "From", 12),
        Head("item", "Item", 30),
        Head("container", "Container", 20),
        Head("mass", "Grams", 10),
    ]
    at = sheet.put_heads(_HEAD, columns)
    sheet.put_title("Boxes", f"As planned. {leg_words(result)}", len(columns))
    boxes = rows_of(result.legs["longest"].boxes, LegBox) if result.legs else ()
    for row, box in enumerate(boxes, start=_HEAD + 1):
        sheet.put_row(row, 1, (box.leg, box.filled, box.item, box.container), "text")
        sheet.put(row, at["mass"], box.mass_g, "calculated|#,##0")
    return sheet
