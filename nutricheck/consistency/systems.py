"""Quantities of a plan that are written in two systems of units, one of which may be a slip."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.errors import Question
from nutricheck.units import Written, as_written, symbol

if TYPE_CHECKING:
    from nutricheck.plan.models import Plan

__all__ = ["system_questions"]

#: Units of US and imperial measure; all others are metric.
_CUSTOMARY = frozenset({"degF", "mile_per_hour", "foot", "inch", "mile", "yard", "pound", "ounce"})
_MANY = 3  # written figures from which on one that differs stands out; ours


class _Figure(NamedTuple):
    """Something that is written with a unit, and where."""

    place: str
    location: tuple[str | int, ...]
    value: Written

    @property
    def is_customary(self) -> bool:
        return self.value.unit in _CUSTOMARY


def system_questions(plan: Plan) -> Iterator[Question]:
    """Which figures of a plan are in another system of units than all others of their kind.

    Weather and dryers may be read in two units, so that each is compared with its like, and only
    a single temperature that differs is asked about, and a single mass of food; of paces, and of
    climbs and descents, any.
    """
    for figures, kind in (
        (list(_airs(plan)), "temperatures of air and storage"),
        (list(_dryers(plan)), "dryers"),
        (list(_foods(plan)), "masses of food"),
    ):
        fewer = _fewer(figures)
        if len(figures) >= _MANY and len(fewer) == 1:
            yield _question(fewer[0], figures, kind)
    for figures, kind in (
        (list(_paces(plan)), "paces"),
        (list(_heights(plan)), "climbs and descents"),
    ):
        for odd in _fewer(figures):
            yield _question(odd, figures, kind)


def _fewer(figures: Sequence[_Figure]) -> list[_Figure]:
    """Those in the system that fewer are written in; none where all are in one."""
    parts = [[one for one in figures if one.is_customary is flag] for flag in (True, False)]
    return min(parts, key=len)


def _question(odd: _Figure, figures: Sequence[_Figure], kind: str) -> Question:
    others = {symbol(one.value.unit) for one in figures if one.is_customary != odd.is_customary}
    return Question(
        odd.place,
        f"{as_written(odd.value, odd.value.unit)} here, but the other {kind} in the plan are "
        f"in {' or '.join(sorted(others))}. Is the unit right?",
        odd.location,
    )


def _written(
    figures: Iterable[tuple[str, tuple[str | int, ...], float | None]],
) -> Iterator[_Figure]:
    """Those that the plan writes: what it leaves to a default has no words."""
    for place, location, figure in figures:
        if isinstance(figure, Written):
            yield _Figure(place, location, figure)


def _airs(plan: Plan) -> Iterator[_Figure]:
    for number, day in enumerate(plan.days):
        yield from _written(
            (f"Day {day.name}", ("days", number, field), figure)
            for field, figure in (
                ("air_temperature", day.air_temperature_c),
                ("night_temperature", day.night_temperature_c),
            )
        )
    for number, batch in enumerate(plan.batch):
        yield from _written(
            (f"Batch {batch.name}", ("batch", number, "storage", stage, "temperature"), figure)
            for stage, figure in enumerate(storage.temperature_c for storage in batch.storage)
        )


def _dryers(plan: Plan) -> Iterator[_Figure]:
    for number, batch in enumerate(plan.batch):
        here = ("batch", number, "drying")
        figures: list[tuple[tuple[str | int, ...], float | None]] = [
            ((*here, "temperature"), batch.drying.temperature_c)
        ]
        figures += [
            ((*here, "steps", step, "temperature"), drying_step.temperature_c)
            for step, drying_step in enumerate(batch.drying.steps)
        ]
        yield from _written((f"Batch {batch.name}", *one) for one in figures)


def _foods(plan: Plan) -> Iterator[_Figure]:
    for number, batch in enumerate(plan.batch):
        yield from _written(
            (
                f"Batch {batch.name}",
                ("batch", number, "ingredients", part, "mass"),
                ingredient.mass_g,
            )
            for part, ingredient in enumerate(batch.ingredients)
        )
    yield from _written(
        (f"Packed {entry.item}", ("packed", number, "mass"), entry.mass_g)
        for number, entry in enumerate(plan.packed)
    )


def _paces(plan: Plan) -> Iterator[_Figure]:
    yield from _written(
        (f"Day {day.name}", ("days", number, "pace"), day.pace_m_s)
        for number, day in enumerate(plan.days)
        if day.pace_m_s
    )


def _heights(plan: Plan) -> Iterator[_Figure]:
    for number, day in enumerate(plan.days):
        yield from _written(
            (f"Day {day.name}", ("days", number, field), figure)
            for field, figure in (("climb", day.climb_m), ("descent", day.descent_m))
            if figure
        )
