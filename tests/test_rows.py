"""Rows of frames have types, and no column or attribute is named by an f-string."""

from __future__ import annotations

import ast
import math
from pathlib import Path
from typing import get_type_hints

import pandas as pd
import pytest

import nutricheck
from nutricheck import rows
from nutricheck.advice.additions import additions, reduction
from nutricheck.batches.routes import compare_routes
from nutricheck.rows import rows_of
from tests.plans import checked

PACKAGE = Path(nutricheck.__file__).parent


@pytest.fixture(scope="module")
def frames() -> dict[type, pd.DataFrame]:
    """A frame for each type of row."""
    result = checked("light_pack", 200)
    legs = checked("ridge_walk", 200).legs
    proposal, less = additions(result), reduction(result)
    return {
        rows.DayCounts: result.days,
        rows.TargetRow: result.targets,
        rows.CoverageRow: result.coverage,
        rows.EnergyShare: result.energy_shares,
        rows.PortionRow: result.portions,
        rows.StoredItem: result.supply.items,
        rows.Enough: result.supply.enough,
        rows.EnergyDay: result.balance["longest"].days,
        rows.LegDay: legs["longest"].days,
        rows.LegBox: legs["longest"].boxes,
        rows.Flag: next(iter(result.batches.values())).flags,
        rows.Difference: compare_routes("Carrots, raw", draws=100).differences,
        rows.AddedItem: proposal.items,
        rows.AddedPortion: proposal.portions,
        rows.Gap: proposal.gaps,
        rows.UnknownUpper: proposal.unknown_uppers,
        rows.Droppable: less.items,
    }


def test_each_type_of_row_has_its_frames_columns(frames):
    kinds = {
        kind
        for kind in vars(rows).values()
        if isinstance(kind, type) and hasattr(kind, "_fields") and kind is not rows.TripUse
    }
    assert kinds == set(frames)
    for kind, frame in frames.items():
        for row in rows_of(frame, kind):
            for name, type_ in get_type_hints(kind).items():
                assert isinstance(getattr(row, name), type_), (kind.__name__, name)


def test_what_is_not_there_is_an_empty_text_or_nan():
    frame = pd.DataFrame({"item": ["rice", None], "components": ["", math.nan]})
    assert rows_of(frame, rows.UnknownUpper) == [("rice", ""), ("", "")]


def test_a_column_that_is_not_there_is_an_error(frames):
    with pytest.raises(KeyError, match="kept_likely"):
        rows_of(frames[rows.Flag].drop(columns="kept_likely"), rows.Flag)


def named_by_f_string(text: str) -> list[str]:
    """Subscripts and attributes whose name an f-string makes: no search finds them."""
    found = []
    for node in ast.walk(ast.parse(text)):
        names: list[ast.AST] = []
        if isinstance(node, ast.Subscript):
            names = [node.slice]
        elif isinstance(node, ast.Call) and isinstance(node.func, ast.Name):
            names = list(node.args) if node.func.id in ("getattr", "setattr", "hasattr") else []
        if any(isinstance(node, ast.JoinedStr) for name in names for node in ast.walk(name)):
            found.append(ast.unparse(node))
    return found


def test_no_column_or_attribute_is_named_by_an_f_string():
    found = {
        str(path.relative_to(PACKAGE)): names
        for path in sorted(PACKAGE.rglob("*.py"))
        if (names := named_by_f_string(path.read_text("utf-8")))
    }
    assert found == {}


@pytest.mark.parametrize(
    "line",
    [
        "x = row[f'used_{trip}_g']",
        "x = frame.at[key, f'kept_{side}']",
        "frame[f'lasts_{trip}'] = 1",
        "x = getattr(row, f'left_{trip}')",
    ],
)
def test_a_planted_one_is_found(line):
    assert len(named_by_f_string(line)) == 1
