"""Which packed items can be eaten on this trip, decided before anything is added up.

A batch inherits the class of its ingredients, as far as what was done before drying does not lift
it: blanching lifts what blanching is enough for, cooking more, boiling all; fermenting, drying at
low heat and grinding lift nothing. A mix is as the worst of its parts. A label is asked about, but
for drink mixes and supplements. What the plan says of an item wins, except over *never*.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

from nutricheck.foods.keeping import KEEPS, Keeping, closed_can, keeping
from nutricheck.foods.ready import NOT_KNOWN, Readiness, readiness, worst
from nutricheck.plan.models import READY_WHEN_BOUGHT

if TYPE_CHECKING:
    from nutricheck.foods import Food, FoodTable
    from nutricheck.plan.models import Batch, Bought, Cooking, Eaten, Label, Plan, Preparation

__all__ = [
    "COLD",
    "Edibility",
    "batch_readiness",
    "can_be_eaten",
    "counts_as_eaten",
    "edibility",
    "packed_keeping",
]

#: Ways to cook that heat nothing.
COLD: tuple[Cooking, ...] = ("none", "cold soak")

_READY = Readiness("ready")
#: What lifts a class, the weakest first; a preparation lifts all up to its own.
_LIFTS = ("", "blanching", "cooking", "boiling")
#: Cooking in water that boils. Steaming, roasting and microwaving do not destroy lectins for sure:
#: EFSA CONTAM Panel 2026 (lectins in food), as reported.
_BOILED = {"boiled", "simmered", "braised"}


@dataclass(frozen=True)
class Edibility:
    """Whether a packed item can be eaten: its class.

    ``is_said``: the plan itself says how the item is eaten. ``keeping``: how long the packed food,
    or the most perishable part of a mix, keeps undried.
    """

    item: str
    readiness: Readiness
    is_said: bool = False
    keeping: Keeping = KEEPS


def can_be_eaten(ready: Readiness, cooking: Cooking | None) -> bool:
    """Whether what has this class counts as eaten; where nobody knows, it does.

    ``cooking`` None: the plan does not say, and all that is packed counts.

    Examples
    --------
    >>> can_be_eaten(Readiness("heat"), "cold soak")
    False
    >>> can_be_eaten(Readiness("never"), "hot water")
    False
    """
    if ready.name == "never":
        return cooking in (None, "cooks")
    return ready.name != "heat" or cooking not in COLD


def counts_as_eaten(edibility: Edibility, cooking: Cooking | None) -> bool:
    """Whether a packed item counts towards enough: it can be eaten, and it keeps its first day.

    What goes bad within hours is gone before the trip is a day old.
    """
    return can_be_eaten(edibility.readiness, cooking) and not edibility.keeping.is_perishable


def packed_keeping(food: Food, bought: Bought | None) -> Keeping:
    """How long a food keeps as it is packed; what spoils and was bought canned is a closed can."""
    kept = keeping(food)
    return closed_can() if bought == "canned" and kept.keeps_h is not None else kept


def edibility(plan: Plan, table: FoodTable) -> dict[str, Edibility]:
    """Of each packed item by its case-folded name, in the plan's order.

    References
    ----------
    The rows of the evidence table ``ready_to_eat``, each with its authority.
    """
    items = _Items(plan, table)
    return {entry.item.casefold(): items.packed(entry.item, entry.food) for entry in plan.packed}


def batch_readiness(batch: Batch, table: FoodTable) -> Readiness:
    """The class of a dried batch.

    References
    ----------
    The rows of the evidence table ``ready_to_eat``, each with its authority.
    """
    return worst(_batch_parts(batch, table))


# ---------------------------------------------------------------- what items are made of


class _Items:
    """The parts of a plan's batches, labels and mixes, each looked up once."""

    def __init__(self, plan: Plan, table: FoodTable) -> None:
        self._table = table
        self._batches = {batch.name.casefold(): batch for batch in plan.batch}
        self._labels = {label.name.casefold(): label for label in plan.label}
        self._mixes = {mix.name.casefold(): mix for mix in plan.mix}
        self._packed = {entry.item.casefold(): entry for entry in reversed(plan.packed)}
        self._known: dict[str, list[Readiness]] = {}

    def packed(self, item: str, food: str | None) -> Edibility:
        entry = self._packed[item.casefold()]
        parts = self._food(food, entry.bought) if food else self._classes_of(item)
        ready = worst(parts)
        if entry.eaten is not None:
            ready = _as_said(ready, entry.eaten)
        said = self._is_said(item, entry.eaten)
        spoils = (
            [packed_keeping(self._table.resolve(food), entry.bought)]
            if food
            else list(self._parts_keeping(item))
        )
        return Edibility(
            item, ready, said, next((keeping for keeping in spoils if keeping.is_perishable), KEEPS)
        )

    def _parts_keeping(self, name: str) -> Iterator[Keeping]:
        """How long the undried foods of a mix keep; what is dried or has a label keeps."""
        mix = self._mixes.get(name.casefold())
        for part in mix.parts if mix else ():
            if part.food:
                yield keeping(self._table.resolve(part.food))
            else:
                yield from self._parts_keeping(str(part.item))

    def _is_said(self, item: str, eaten: Eaten | None) -> bool:
        key = item.casefold()
        entry = self._batches.get(key) or self._labels.get(key)
        return eaten is not None or (entry is not None and entry.eaten is not None)

    def _food(self, text: str, bought: Bought | None = None) -> list[Readiness]:
        food = self._table.resolve(text)
        return [_READY if bought in READY_WHEN_BOUGHT else readiness(food)]

    def _classes_of(self, name: str) -> list[Readiness]:
        key = name.casefold()
        if key not in self._known:
            if key in self._batches:
                self._known[key] = _batch_parts(self._batches[key], self._table)
            elif key in self._labels:
                self._known[key] = [_label_part(self._labels[key])]
            else:
                self._known[key] = [
                    state
                    for part in self._mixes[key].parts
                    for state in (
                        self._food(part.food) if part.food else self._classes_of(str(part.item))
                    )
                ]
        return self._known[key]


def _batch_parts(batch: Batch, table: FoodTable) -> list[Readiness]:
    """The classes that are left to its ingredients; the batch's own where the plan says it."""
    strength = _strength(batch)
    parts = []
    for part in batch.ingredients:
        food = table.resolve(part.food)
        ready = _READY if part.bought in READY_WHEN_BOUGHT else readiness(food)
        is_lifted = ready.name is not None and _LIFTS.index(ready.lifted_by) <= strength
        parts.append(_READY if is_lifted else ready)
    return parts if batch.eaten is None else [_as_said(worst(parts), batch.eaten)]


def _strength(batch: Batch) -> int:
    """How much of what must be heated the preparation and the drying lift: a place in _LIFTS."""
    found = _prepared(batch.preparation)
    return max(found, _LIFTS.index("cooking")) if batch.drying.heats_through else found


def _prepared(preparation: Preparation) -> int:
    if preparation.kind == "cooked":
        return _LIFTS.index("boiling" if preparation.method in _BOILED else "cooking")
    return _LIFTS.index("blanching" if preparation.kind == "blanched" else "")


def _label_part(label: Label) -> Readiness:
    ready = _READY if label.kind in ("supplement", "drink mix") else NOT_KNOWN
    return ready if label.eaten is None else _as_said(ready, label.eaten)


def _as_said(state: Readiness, eaten: Eaten) -> Readiness:
    """The class as the plan says it; what is never ready stays so."""
    if state.name == "never":
        return state
    if eaten == "heated":
        made_safe = state.made_safe or "heat it"
        return replace(
            state, name="heat", reason="eaten heated, as the plan says", made_safe=made_safe
        )
    return Readiness("ready" if eaten == "as it is" else "soak", "as the plan says")
