"""The result for other programs: JSON text and CSV text. Unknown is null, or an empty cell."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import asdict
from typing import TYPE_CHECKING, Any

import pandas as pd

from nutricheck.advice.actions import ACTION_FIELDS
from nutricheck.advice.answer import answer
from nutricheck.advice.drink_plan import DrinkPlan, drink_plans
from nutricheck.facts.components import described
from nutricheck.intake.named import records_taken
from nutricheck.needs.sodium import SodiumNeed
from nutricheck.outside_text import csv_text, json_text
from nutricheck.report.answer_words import action_words, headline
from nutricheck.report.food_sources import food_sources
from nutricheck.report.people import group_words
from nutricheck.report.verdict import verdict
from nutricheck.report.walking import walking
from nutricheck.report.words import person_words
from nutricheck.trail.in_pack import FOLLOWED_IN_PACK, intake_by_day, pack_losses
from nutricheck.trail.meals import meals
from nutricheck.versions import stamped

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer
    from nutricheck.check_plan import Result
    from nutricheck.needs import DayNeeds
    from nutricheck.stock.balance import EnergyBalance
    from nutricheck.stock.legs import LegStock
    from nutricheck.stock.supply import Supply

__all__ = ["coverage_csv", "records", "result_json"]

_DIGITS = 6
_NO_ACTION: dict[str, Any] = dict.fromkeys(ACTION_FIELDS)


def coverage_csv(result: Result) -> str:
    """The coverage table as CSV with a heading line; one row per kind of day and component.

    Where several eat from one pack the first column is the person.
    """
    if result.group is None:
        return csv_text(result.coverage)
    tables = {name: part.coverage for name, part in result.group.people.items()}
    whole = pd.concat(tables, names=["person"]).reset_index(level="person")
    return csv_text(whole.reset_index(drop=True))


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
    if isinstance(value, list | tuple):
        return [_plain(one) for one in value]
    if isinstance(value, dict):
        return _plain_values(value)
    return None if pd.isna(value) else str(value)


def _answer(found: Answer) -> dict[str, Any]:
    """The answer: its sentence, the days, how each component stands, and what to do."""
    return {
        "headline": headline(found),
        "days": [
            {
                "trip": trip,
                "days": covered.length,
                "covered": covered.covered_days,
                "ends": {str(item): int(day) for item, day in covered.ends.items()},
            }
            for trip, covered in found.days.items()
        ],
        "standings": [
            _plain_values(asdict(standing)) | {"word": standing.shown_word}
            for standing in (*found.five, *found.others)
        ],
        "actions": [
            # every kind of action has every key: null where it says nothing of that kind
            _NO_ACTION | _plain_values(asdict(action)) | {"words": ". ".join(action_words(action))}
            for action in found.actions
        ],
    }


def _span(ends: Sequence[float]) -> dict[str, Any]:
    """A figure with its range."""
    return {name: _plain(end) for name, end in zip(("low", "likely", "high"), ends, strict=True)}


def _needs(day_needs: DayNeeds) -> dict[str, Any]:
    """What a kind of day asks for: energy, sweat and water, each in the unit of its name."""
    energy, sweat, water = day_needs.energy, day_needs.sweat, day_needs.water
    asked = water.is_asked  # the doctor says how much to drink: no litres here
    return {
        "day": day_needs.day,
        "is_possible": not day_needs.over_limits,
        "over_limits": [_plain_values(asdict(limit)) for limit in day_needs.over_limits],
        "dry_stretches": [
            _plain_values(asdict(one)) | {"carry_l": _plain(one.carry_l)} for one in day_needs.dry
        ],
        "energy_kcal": _span((energy.low, energy.likely, energy.high)),
        "energy_parts_kcal": {
            "asleep": _plain(energy.resting_kcal),
            "walking": _plain(energy.walking_kcal),
            "camp": _plain(energy.camp_kcal),
        },
        "energy_method": energy.method,
        "physical_activity_level": _plain(energy.pal),
        "sweat_l": _span(sweat.total_l),
        "sweat_of_effort_l": _span((sweat.low_l, sweat.likely_l, sweat.high_l)),
        "sweat_at_rest_l": _span(sweat.rest_l),
        "sweat_rate_l_h": _span(sweat.rate_l_h),
        "sweat_source": sweat.source,
        "sweat_sodium_mmol_l": _plain(sweat.sodium_mmol_l),
        "electrolytes_mg": {
            str(tag): _span([float(end) for end in ends])
            for tag, ends in zip(
                sweat.electrolytes.index, sweat.electrolytes.to_numpy(), strict=True
            )
        },
        "is_drink_asked": water.is_asked,
        "water_l": None if asked else _span((water.low_l, water.likely_l, water.high_l)),
        "water_of_ordinary_life_l": _plain(water.base_l),
        "drink_l": None if asked else _span(water.drink_l),
        "drink_most_l_h": None if asked else _span(water.most_l_h),
        "drink_at_most_l_h": None if asked else _plain(water.most_l_h[1]),
        "drink_at_most_l": None if asked else _plain(water.ceilings.daily_l),
    }


def _supply(stores: Supply) -> dict[str, Any]:
    """What the pack weighs and holds, how long it lasts, and the water that readies the food."""
    return {
        "trips": records(stores.trips.rename_axis("trip").reset_index()),
        "items": records(stores.items),
        "enough": records(stores.enough),
        "pack_weight": records(stores.pack),
        "rehydration": records(stores.rehydration),
    }


def _balance(energy_balance: EnergyBalance) -> dict[str, Any]:
    """Energy eaten less energy spent over a trip, and what it does to body mass."""
    return {
        "trip_days": energy_balance.trip_days,
        "days": records(energy_balance.days),
        "per_day_kcal": _span(energy_balance.per_day_kcal),
        "mass_change_kg": _span(energy_balance.mass_change_kg),
        "mass_change_percent": _span(energy_balance.mass_change_percent),
        "per_week_percent": _plain(energy_balance.per_week_percent),
        "deficit_share": _plain(energy_balance.deficit_share),
    }


def _in_pack(result: Result) -> dict[str, Any]:
    """The days in the pack: how warm, what they leave of vitamin C, and each day's vitamins."""
    return {
        "days": _plain(result.pack.days),
        "temperature_c": _span(result.pack.temperature_c),
        "is_assumed": result.pack.is_assumed,
        "kept": [
            {
                "component": pack_loss.component,
                "rates": pack_loss.rates,
                "mean_day": _span(pack_loss.mean_day),
                "last_day": _span(pack_loss.last_day),
            }
            for pack_loss in pack_losses(result, FOLLOWED_IN_PACK)
        ],
        "by_day": records(intake_by_day(result)),
    }


def _plain_values(values: dict[str, Any]) -> dict[str, Any]:
    return {key: _plain(value) for key, value in values.items()}


def _salt(day: str, need: SodiumNeed) -> dict[str, Any]:
    """The lines of sodium of a kind of day, the aims by heat day, or why there is no figure."""
    low, high = need.own_loss_mg
    band = need.band
    return {
        "day": day,
        "heat_days": list(need.heat_days),
        "sweat_mmol_l": _plain(need.mmol_l),
        "sweat_mg": [_plain(end) for end in need.sweat_mg],
        "own_loss_mg": [_plain(low), _plain(high)],
        "lines_mg": None
        if band is None
        else {
            name: _plain(line)
            for name, line in (
                ("low", band.low),
                ("aim", band.aim),
                ("high", band.high),
                ("danger", band.danger),
            )
        },
        "aims_mg": {str(stage.heat_day): _plain(stage.band.aim) for stage in need.stages},
        "ask_doctor": list(need.reasons),
    }


def _drink(day: str, plan: DrinkPlan) -> dict[str, Any]:
    """The drink plan of a kind of day."""
    litres = {name: _plain(entry) for name, entry in asdict(plan).items() if name != "salt"}
    salt = [{name: _plain(entry) for name, entry in asdict(one).items()} for one in plan.salt]
    return {"day": day, **litres, "salt": salt}


def result_json(result: Result) -> str:
    """The result as JSON text: all that the text report holds, figures as numbers.

    Where several eat from one pack it is the first person's, with ``people`` (name → the same of
    each) and ``whole_pack``.
    """
    return json_text(stamped(_document(result) | _group(result)))


def _group(result: Result) -> dict[str, Any]:
    """Everybody's result and the whole pack's; nothing where nobody shares."""
    if result.group is None:
        return {}
    group = result.group
    return {
        "people": {
            name: {"person": person_words(part.plan.person), **_document(part)}
            for name, part in group.people.items()
        },
        "whole_pack": {
            "words": group_words(result),
            "supply": _supply(group.supply),
            "legs": _legs(group.legs),
            "cautions": [asdict(caution) for caution in group.cautions],
            "questions": list(group.questions),
        },
    }


def _legs(stocks: Mapping[str, LegStock]) -> dict[str, Any]:
    return {
        trip: {
            "legs": records(stock.legs),
            "mornings": records(stock.days),
            "boxes": records(stock.boxes),
            "ends": records(stock.ends),
        }
        for trip, stock in stocks.items()
    }


def _document(result: Result) -> dict[str, Any]:
    source = result.table.source
    found = answer(result)
    return {
        "title": result.plan.trip.title,
        "reference": result.reference,
        "table": {"title": source.title, "release": source.release, "sha256": source.sha256},
        "draws": result.draws,
        "clinic": [
            {
                "component": figure.component,
                "aim": _plain(figure.aim),
                "limit": _plain(figure.limit),
                "unit": described(figure.component).unit,
                "source": figure.source,
            }
            for figure in result.figures.values()
        ],
        "days": records(result.days),
        "answer": _answer(found),
        "verdict": [asdict(finding) for finding in verdict(result, found)],
        "food_sources": [
            {
                "day": day,
                "component": tag,
                "items": [{"item": item, "share": _plain(share)} for item, share in food_source],
            }
            for (day, tag), food_source in food_sources(result).items()
        ],
        "needs": [_needs(need) for need in result.needs.values()],
        "salt": [_salt(day, need.sodium) for day, need in result.needs.items()],
        "drink_plan": [_drink(day, drink_plan) for day, drink_plan in drink_plans(result).items()],
        "supply": _supply(result.supply),
        "legs": _legs(result.legs),
        "meals": records(meals(result)),
        "in_pack": _in_pack(result),
        "ferments": [
            {
                "name": ferment.name,
                "water_l": _plain(ferment.water_l),
                "temperature_c": _plain(ferment.temperature_c),
                "sugar_used_g": _span(ferment.sugar_used_g),
                "alcohol_g": _span(ferment.alcohol_g),
                "acids_g": _span(ferment.acids_g),
                "alcohol_percent_by_volume": _span(ferment.alcohol_percent),
                "energy_before_kcal": _plain(ferment.energy_before_kcal),
                "energy_kcal": _plain(ferment.energy_kcal),
                "vitamin_c_left": _span(ferment.vitamin_c_left),
            }
            for ferment in result.ferments.values()
        ],
        "found": [
            {
                "name": found.name,
                "at_most_g": _plain(float(found.at_most_g)),
                "days": list(found.days),
                "leg": found.leg,
            }
            for found in result.plan.found
        ],
        "carried": [
            {"name": carried.name, "mass_g": carried.mass_g, "holds_l": carried.holds_l}
            for carried in result.plan.carried
        ],
        "energy_balance": {trip: _balance(balance) for trip, balance in result.balance.items()},
        "coverage": records(result.coverage),
        "energy_shares": records(result.energy_shares),
        "walking": [_plain_values(asdict(figure)) for figure in walking(result)],
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
        "records_taken": [
            {"written": taken.written, "id": taken.food.id, "description": taken.food.description}
            for taken in records_taken(result.plan, result.table)
        ],
        "label_notes": {label.name: list(label.notes) for label in result.labels.values()},
    }
