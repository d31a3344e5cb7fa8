"""What to do, as presses: the change of the plan that takes each of the answer's proposals."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import TYPE_CHECKING, Any

from nutricheck.advice.actions import CarryMore, EatMore, TakeLess, TakeTablet
from nutricheck.advice.answer import answer
from nutricheck.errors import Change, NutricheckError
from nutricheck.facts.components import BY_TAG
from nutricheck.plan.changes import entry_number
from nutricheck.plan.models import trip_length
from nutricheck.report.answer_words import action_words
from nutricheck.units import grams_text, number_text, parse

if TYPE_CHECKING:
    from nutricheck.advice.answer import Action
    from nutricheck.editor.session import Session

__all__ = ["changes_of", "offered"]

#: Mass of a tablet that is proposed: a usual small one; common practice, no source. [g]
_ROUNDING = 1e-9
_TABLET_G = 0.5
_DAY = "1 pieces"


def offered(session: Session) -> list[dict[str, Any]]:
    """Each proposal in words; ``can_take`` where a press can put it into the plan."""
    result = session.result
    if result is None:
        return []
    offers = []
    for number, action in enumerate(_actions(session)):
        what, why = action_words(action)
        offers.append(
            {
                "number": number,
                "what": what,
                "why": f"{why[0].upper()}{why[1:]}" if why else "",
                "can_take": bool(_changes(session, action)),
            }
        )
    return offers


def changes_of(session: Session, number: int) -> list[Change]:
    """The changes that take the proposal with that number.

    Raises
    ------
    NutricheckError
        If there is none, or it cannot be taken by a change of the plan.
    """
    actions = _actions(session)
    changes = _changes(session, actions[number]) if number < len(actions) else []
    if not changes:
        raise NutricheckError("You cannot take this proposal with a button.")
    return changes


def _actions(session: Session) -> tuple[Action, ...]:
    result = session.result
    if result is None:
        return ()
    key = ("actions", session.revision)
    return session.memory.value(key, lambda: answer(result).actions)


def _changes(session: Session, action: Action) -> list[Change]:
    """The changes of the plan; empty where no press can take it."""
    data = session.data
    if isinstance(action, CarryMore):
        return _carry(data, action.item, action.grams_trip)
    if isinstance(action, TakeLess):
        return _less(data, action)
    if isinstance(action, EatMore):
        return _food(session, action)
    if isinstance(action, TakeTablet):
        return _tablet(session, action)
    return []


def _grams_text(grams: float) -> str:
    """Whole grams, never too few."""
    return grams_text(math.ceil(grams - 1e-6))


def _carry(data: Mapping[str, Any], item: str, more_g: float) -> list[Change]:
    """So much more of an item in its first container."""
    at = entry_number(data, "packed", item, "item")
    if at is None:
        return []
    try:
        now_g = float(parse(str(data["packed"][at].get("mass")), "gram"))
    except NutricheckError:
        return []
    return [(("packed", at, "mass"), _grams_text(now_g + more_g))]


def _less(data: Mapping[str, Any], action: TakeLess) -> list[Change]:
    """A smaller share of each portion in grams or counts; none at all below a tenth."""
    item, share = action.item, action.taken_share
    # a quarter of a tablet is told to the hundredth
    steps = 10 if math.isnan(action.tablets_a_day) else 100
    changes: list[Change] = []
    for at, entry in enumerate(data.get("portions") or ()):
        if str(entry.get("item", "")).casefold() != item.casefold():
            continue
        number, _, unit = str(entry.get("amount", "")).partition(" ")
        try:
            amount = float(number.replace(",", "."))
        except ValueError:
            return []
        fewer = math.floor(amount * share * steps + _ROUNDING) / steps
        if share < 0.1 or fewer <= 0:
            changes.append((("portions", at), None))
        else:
            changes.append((("portions", at, "amount"), f"{number_text(fewer)} {unit}"))
    # from the last on, so that positions stay
    return changes[::-1]


def _food(session: Session, action: EatMore) -> list[Change]:
    data = session.data
    portions = len(data.get("portions") or ())
    grams = _grams_text(action.grams_a_day)
    if not action.is_new:
        carried = _carry(data, action.item, action.grams_trip)
        return (
            [*carried, (("portions", portions), {"item": action.item, "amount": grams})]
            if carried
            else []
        )
    try:
        food = session.table.resolve(action.item)
    except NutricheckError:
        return []
    name = food.description[:80]
    packed = {"item": name, "food": food.id, "mass": _grams_text(action.grams_trip)}
    return [
        (("packed", len(data.get("packed") or ())), packed),
        (("portions", portions), {"item": name, "amount": grams}),
    ]


def _tablet(session: Session, action: TakeTablet) -> list[Change]:
    """A tablet a day with the amount, to be weighed and its label looked up."""
    data, result = session.data, session.result
    if result is None:
        return []
    part = BY_TAG[action.tag]
    name = f"{part.name.partition(' (')[0]} tablet"
    if entry_number(data, "label", name) is not None:
        return []
    days = trip_length(result.plan.days, "longest")
    label = {
        "name": name,
        "kind": "supplement",
        "serving": f"{number_text(_TABLET_G)} g",
        "amounts": {action.tag: f"{number_text(float(f'{action.amount_a_day:.4g}'))} {part.unit}"},
    }
    if action.tag in ("MG", "CA", "ZN", "ID"):
        label["states"] = {action.tag: "element"}
    packed = {
        "item": name,
        "mass": _grams_text(_TABLET_G * days),
        "piece": f"{number_text(_TABLET_G)} g",
    }
    return [
        (("label", len(data.get("label") or ())), label),
        (("packed", len(data.get("packed") or ())), packed),
        (("portions", len(data.get("portions") or ())), {"item": name, "amount": _DAY}),
    ]
