"""Foods of the plan that pregnancy and breast-feeding leave out, by name."""

from __future__ import annotations

import functools
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutricheck.facts import evidence
from nutricheck.facts.caution import Caution, caution
from nutricheck.foods.kinds import word_pattern
from nutricheck.foods.ready import readiness

if TYPE_CHECKING:
    from nutricheck.intake.named import NamedFood
    from nutricheck.plan.models import Person

__all__ = ["is_left_out_in", "pregnancy_cautions"]

#: Groups of meat, poultry, sausage, fish and game: SR28.
_FLESH = ("0500", "0700", "1000", "1300", "1500", "1700", "3500")


@dataclass(frozen=True)
class _Rule:
    """A row of pregnancy_foods."""

    caution: str
    words: re.Pattern[str]
    group_codes: frozenset[str]
    not_words: re.Pattern[str] | None
    stages: frozenset[str]
    heat_clears: bool
    authority: str

    def fits(self, name: str, group_code: str) -> bool:
        small = name.lower()
        if self.group_codes and group_code not in self.group_codes:
            return False
        if self.not_words is not None and self.not_words.search(small):
            return False
        return bool(self.words.search(small))


@functools.cache
def _rules() -> tuple[_Rule, ...]:
    return tuple(
        _Rule(
            row["caution"],
            word_pattern(row["words"].split("|")),
            frozenset(row["group_codes"].split()),
            word_pattern(row["not_words"].split("|")) if row["not_words"] else None,
            frozenset(row["stages"].split()),
            row["heat_clears"] == "yes",
            row["authority"],
        )
        for row in evidence.rows("pregnancy_foods")
    )


def _fitting(stage: str, name: str, group_code: str, *, is_heated: bool) -> Iterator[_Rule]:
    for rule in _rules():
        is_cleared = is_heated and rule.heat_clears
        if stage in rule.stages and not is_cleared and rule.fits(name, group_code):
            yield rule


def is_left_out_in(stage: str, name: str, group_code: str) -> bool:
    """Whether a food of this name is not proposed in this stage of life.

    Examples
    --------
    >>> is_left_out_in("pregnancy", "Fish oil, cod liver", "0400")
    True
    >>> is_left_out_in("general", "Fish oil, cod liver", "0400")
    False
    """
    return any(_fitting(stage, name, group_code, is_heated=False))


def pregnancy_cautions(person: Person, foods: Sequence[NamedFood]) -> tuple[Caution, ...]:
    """Cautions on foods by name; none for anybody else.

    Parameters
    ----------
    person : Person
    foods : sequence of NamedFood
        All foods of the plan.
    """
    stage = person.life_stage
    if stage == "general":
        return ()
    is_pregnant = stage == "pregnancy"
    found = []
    for named_food in foods:
        for rule in _fitting(
            stage, named_food.name, named_food.group_code, is_heated=named_food.is_heated
        ):
            can_be_raised = rule.caution in ("alcohol in pregnancy", "fish with much mercury")
            food_caution = (
                caution(rule.caution, named_food.where, raised=is_pregnant, food=named_food.name)
                if can_be_raised
                else caution(rule.caution, named_food.where, food=named_food.name)
            )
            found.append(replace(food_caution, authority=rule.authority or food_caution.authority))
        if is_pregnant and _is_raw_flesh(named_food):
            found.append(caution("raw meat in pregnancy", named_food.where, food=named_food.name))
    return tuple(found)


def _is_raw_flesh(named_food: NamedFood) -> bool:
    """Raw meat, fish or the like that is packed undried; a batch's own cautions tell of drying."""
    if (
        named_food.food is None
        or named_food.is_dried
        or named_food.is_heated
        or named_food.group_code not in _FLESH
    ):
        return False
    return readiness(named_food.food).name == "heat"
