"""The local food table: open it, find foods, read composition and household measures.

``open_table()`` opens the default table, ``open_table(path)`` one that nutricheck-data built,
``open_table([path, path, "default"])`` several over each other.
Values are per 100 g edible portion in the units of ``nutricheck.facts.components``; unknown is NaN.
"""

from __future__ import annotations

from nutricheck.foods.food_table import Food, FoodTable
from nutricheck.foods.opening import TABLE_FILE, Table, open_table
from nutricheck.foods.store import TableSource

__all__ = ["TABLE_FILE", "Food", "FoodTable", "Table", "TableSource", "open_table"]
