"""What a person does not eat, and ways to eat: what the plan holds of it, and what is asked.

Only names are read. What is found is certain enough to warn of; what is not found proves nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import TYPE_CHECKING

from nutricheck.caution_limits import Figure, Found, Limit, Moving
from nutricheck.facts.caution import Caution, caution
from nutricheck.foods.kinds import DIETS, Holding, held, hidden, kinds_called, of_kind, word_pattern

if TYPE_CHECKING:
    from nutricheck.foods import FoodTable
    from nutricheck.intake.named import NamedFood
    from nutricheck.plan.models import Person

__all__ = [
    "diet_cautions",
    "diet_questions",
    "is_avoided",
    "not_eaten_cautions",
    "unknown_words",
]


def is_avoided(person: Person, name: str, group_code: str = "") -> str:
    """Why a food of this name is not for this person; "" where nothing speaks against it.

    A doubt is a reason too: what may hold what is not eaten is not proposed.

    Examples
    --------
    >>> from nutricheck.plan.models import Person
    >>> vegan = Person(sex="male", age=40, mass="70 kg", height="178 cm", eats="vegan")
    >>> is_avoided(vegan, "Whey, sweet, dried", "0100")
    'holds milk'
    """
    for word in person.does_not_eat:
        if verdict := held(word, name, group_code):
            return f"{verdict} {word}"
    for kind in DIETS[person.eats]:
        if verdict := of_kind(kind, name, group_code):
            return f"{verdict} {kind}"
    return ""


def not_eaten_cautions(person: Person, foods: Sequence[NamedFood]) -> tuple[Caution, ...]:
    """What the plan holds, or may hold, of what is not eaten: one for each place and word."""
    return tuple(
        caution(_OF_HOLDING[holding], food.where, word=word, food=_with_hidden(word, food))
        for word in person.does_not_eat
        for food in foods
        if (holding := held(word, food.name, food.group_code))
    )


def _with_hidden(word: str, food: NamedFood) -> str:
    """The food's name, with what it holds though its name denies it."""
    why = hidden(word, food.name, food.group_code)
    return f"{food.name} ({why})" if why else food.name


_OF_HOLDING = {"holds": "holds what is not eaten", "may hold": "may hold what is not eaten"}


def diet_cautions(person: Person, *, b12: float) -> tuple[Found, ...]:
    """That names alone are read, and what a way to eat lacks.

    Parameters
    ----------
    person : Person
    b12 : float
        Vitamin B12 over its reference, as the mean of the trip. [-]
    """
    found: list[Found] = []
    if person.does_not_eat:
        found.append(caution("no allergy guarantee", "person"))
    if person.eats == "vegan":
        figures: dict[str, Figure] = {"amount": Moving(b12, "ratio", "VITB12"), "limit": 1.0}
        found.append(Limit("vegan", "person", "does not reach", figures))
    elif person.eats == "vegetarian":
        found.append(caution("vegetarian", "person"))
    return tuple(found)


def diet_questions(person: Person, foods: Sequence[NamedFood], table: FoodTable) -> list[str]:
    """What must be asked: animal foods of a plan without them, doubts, and words nothing knows."""
    questions = [
        f'does_not_eat: "{word}" names no kind of food, and no food of the table is called so; is '
        "it misspelt?"
        for word in unknown_words(person.does_not_eat, table)
    ]
    for food in foods:
        kinds = _kinds_of(person.eats, food, "holds")
        if kinds:
            named = " and ".join(kind.removeprefix("other ") for kind in kinds)
            questions.append(
                f"{food.where}: {food.name} is of or holds {named}, and the person eats "
                f"{person.eats}; is that meant?"
            )
    doubts = {
        food.name: [
            *(word for word in person.does_not_eat if _holding(word, food) == "may hold"),
            *_kinds_of(person.eats, food, "may hold"),
        ]
        for food in foods
    }
    texts = [f"{name} ({' or '.join(what)})" for name, what in doubts.items() if what]
    if texts:
        questions.append(
            f"May hold what this person does not eat: {'; '.join(texts)}. What do their labels say?"
        )
    return questions


def unknown_words(words: Iterable[str], table: FoodTable) -> list[str]:
    """Words that name no kind and stand in the name of no food of the table."""
    plain = [word for word in words if not kinds_called(word)]
    if not plain:
        return []
    names = table.all_foods()["description"].str.lower()
    return [word for word in plain if not names.str.contains(word_pattern([word])).any()]


def _holding(word: str, food: NamedFood) -> Holding:
    return held(word, food.name, food.group_code)


def _kinds_of(eats: str, food: NamedFood, holding: Holding) -> list[str]:
    return [kind for kind in DIETS[eats] if of_kind(kind, food.name, food.group_code) == holding]
