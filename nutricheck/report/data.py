"""The result for other programs: JSON text and CSV text. Unknown is null, or an empty cell."""

from __future__ import annotations

import json
import math
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import pandas as pd

from nutricheck.advice.answer import answer
from nutricheck.report.answer_words import action_words, headline
from nutricheck.report.verdict import verdict
from nutricheck.report.words import figure_unit

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result

__all__ = ["coverage_csv", "records", "result_json"]

_DIGITS = 6


def coverage_csv(result: Result) -> str:
    """The coverage table as CSV with a heading line; one row per day type and component."""
    return result.coverage.to_csv(index=False, lineterminator="\n")


def records(frame: pd.DataFrame) -> list[dict[str, Any]]:
    """A frame as JSON-ready records: numbers to 6 significant digits, unknown as None."""
    return [{key: _plain(value) for key, value in row.items()} for row in frame.to_dict("records")]


def _plain(value: Any) -> Any:
    """The value as JSON can hold it."""
    if hasattr(value, "item"):  # numpy's scalars
        value = value.item()
    if isinstance(value, float):
        return float(f"{value:.{_DIGITS}g}") if math.isfinite(value) else None
    if value is None or isinstance(value, str | int):
        return value
    return None if pd.isna(value) else str(value)


def _answer(found: Answer) -> dict[str, Any]:
    """The answer: its sentence, the days, how each component stands, and what to do."""
    return {
        "headline": headline(found),
        "days": [
            {
                "trip": trip,
                "days": own.length,
                "covered": own.covered_days,
                "ends": {str(item): int(day) for item, day in own.ends.items()},
            }
            for trip, own in found.days.items()
        ],
        "standings": [
            _plain_values(asdict(own)) | {"word": own.shown_word}
            for own in (*found.five, *found.others)
        ],
        "actions": [
            _plain_values(asdict(own)) | {"words": ". ".join(action_words(own))}
            for own in found.actions
        ],
    }


def _plain_values(values: dict[str, Any]) -> dict[str, Any]:
    return {key: _plain(value) for key, value in values.items()}


def result_json(result: Result) -> str:
    """The result as JSON text: answer, verdict, coverage, batches, supply, cautions, questions."""
    source = result.table.source
    document = {
        "title": result.plan.trip.title,
        "reference": result.reference,
        "table": {"title": source.title, "release": source.release, "sha256": source.sha256},
        "draws": result.draws,
        "clinic": [
            {
                "component": figure.component,
                "aim": _plain(figure.aim),
                "limit": _plain(figure.limit),
                "unit": figure_unit(figure.component),
                "source": figure.source,
            }
            for figure in result.figures.values()
        ],
        "days": records(result.days),
        "answer": _answer(answer(result)),
        "verdict": [asdict(finding) for finding in verdict(result)],
        "coverage": records(result.coverage),
        "energy_shares": records(result.energy_shares),
        "portions": records(result.portions),
        "batches": [
            {
                "name": batch.name,
                "food_class": batch.food_class,
                "route": batch.route,
                "fresh_mass_g": _plain(batch.fresh_mass_g),
                "dried_mass_g": _plain(batch.dried_mass_g),
                "water_frac": _plain(batch.water_frac),
                "moisture_source": batch.moisture_source,
                "rehydration_water_g_per_100g": _plain(batch.rehydration_water_g_per_100g),
                "per_100g": records(batch.composition.rename_axis("component").reset_index()),
                "flags": records(batch.flags),
                "evidence": list(batch.evidence),
            }
            for batch in result.batches.values()
        ],
        "cautions": [asdict(caution) for caution in result.cautions],
        "questions": list(result.questions),
        "label_notes": {label.name: list(label.notes) for label in result.labels.values()},
    }
    return json.dumps(document, indent=1, ensure_ascii=False, allow_nan=False) + "\n"
