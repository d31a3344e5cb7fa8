"""What the packed items are made of, and what storage and the pack leave of each.

A leaf is a batch, a label or a food of the table, as one owner keeps it: a mix with storage of its
own, or a packed food with storage of its own. Everything eaten is a leaf or a mix of leaves.
"""

from __future__ import annotations

import functools
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from nutricheck.drying.retention import DRIED, POWDER, Kept, StorageRates, with_retinol
from nutricheck.drying.stages import (
    PackStage,
    kept_before,
    kept_on_mean_day,
    stated_pack,
    together,
)
from nutricheck.facts.constants import value

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from nutricheck.foods import FoodTable
    from nutricheck.plan.models import Batch, Label, Mix, MixPart, Packed, Plan, Storage

__all__ = ["Kind", "Leaf", "Leaves"]

Kind = Literal["batch", "label", "mix", "food", "ferment"]


class Leaf(NamedTuple):
    """A batch, label or mix by its case-folded name, or a food by its id, as ``owner`` keeps it.

    A ferment is a drink made on the way, a mix that fermenting has changed.

    ``owner``: case-folded name of the mix or packed item with storage of its own; else empty. A mix
    stands for its leaves.
    """

    kind: Kind
    key: str
    owner: str = ""


@dataclass(frozen=True)
class Leaves:
    """The leaves of a plan.

    ``pack``: the days in the pack; None: nothing is lost there. ``day``: eaten after so many days
    in the pack; None: on the mean day.
    """

    plan: Plan
    table: FoodTable
    pack: PackStage | None
    day: float | None = None

    def of_packed(self, entry: Packed) -> Leaf:
        """The leaf or mix that a packed item is."""
        if entry.food:
            owner = entry.item.casefold() if entry.storage else ""
            return Leaf("food", self.table.resolve(entry.food).id, owner)
        if any(ferment.name.casefold() == entry.item.casefold() for ferment in self.plan.ferment):
            return Leaf("ferment", entry.item.casefold())
        return self._named(entry.item)

    def of_part(self, mix: Mix, part: MixPart) -> Leaf:
        """The leaf or mix that a part of a mix is."""
        owner = mix.name.casefold() if mix.storage else ""
        if part.food:
            return Leaf("food", self.table.resolve(part.food).id, owner)
        return self._named(str(part.item), owner)

    def _named(self, name: str, owner: str = "") -> Leaf:
        key = name.casefold()
        if key in self._batches:
            return Leaf("batch", key, owner)
        return Leaf("label", key, owner) if key in self._labels else Leaf("mix", key)

    def rates(self, leaf: Leaf) -> StorageRates:
        """Whose rates a leaf keeps by."""
        is_powder = leaf.kind == "label" and self._labels[leaf.key].kind != "food"
        return POWDER if is_powder else DRIED

    def stages(self, leaf: Leaf) -> tuple[tuple[Storage, ...], tuple[Storage, ...]]:
        """The storage of a leaf's own and that of its owner."""
        return self._own_stages(leaf), self._owner_stages(leaf)

    def pack_of(self, leaf: Leaf) -> PackStage | None:
        """The days in the pack of a leaf: as the plan states them, or the trip's."""
        if self.pack is None:
            return None
        return stated_pack((*self._own_stages(leaf), *self._owner_stages(leaf))) or self.pack

    def kept(self, leaf: Leaf, contents: NDArray[np.float64]) -> Kept:
        """Share kept of a leaf on the mean day, in the order of the tags. [-]

        Of a batch, what is left of it after its own storage, which its composition holds already;
        of a ferment all, since its parts are kept.

        Parameters
        ----------
        leaf : Leaf
        contents : ndarray
            Its likely composition, which says how much of its vitamin A is retinol; shape
            (components,). [component unit per 100 g]

        References
        ----------
        As of :func:`nutricheck.drying.stages.kept_on_mean_day`.
        """
        if leaf.kind == "ferment" or (leaf.kind == "food" and self._is_fresh(leaf)):
            return together(())
        rates = self.rates(leaf)
        leaf_stages = () if leaf.kind == "batch" else self._own_stages(leaf)
        before = kept_before((*leaf_stages, *self._owner_stages(leaf)), rates)
        return with_retinol(
            together([before, kept_on_mean_day(self.pack_of(leaf), rates, self.day)]), contents
        )

    def _is_fresh(self, leaf: Leaf) -> bool:
        """Whether a food is too moist for the rates of dried food; it is eaten early."""
        return self.table.food(leaf.key).water_g >= value("fresh_food_water")

    def _own_stages(self, leaf: Leaf) -> tuple[Storage, ...]:
        if leaf.kind == "batch":
            return self._batches[leaf.key].storage
        return self._labels[leaf.key].storage if leaf.kind == "label" else ()

    def _owner_stages(self, leaf: Leaf) -> tuple[Storage, ...]:
        if not leaf.owner:
            return ()
        mixes = {mix.name.casefold(): mix.storage for mix in self.plan.mix}
        foods = {one.item.casefold(): one.storage for one in self.plan.packed if one.food}
        return mixes.get(leaf.owner) or foods[leaf.owner]

    @functools.cached_property
    def _batches(self) -> dict[str, Batch]:
        return {batch.name.casefold(): batch for batch in self.plan.batch}

    @functools.cached_property
    def _labels(self) -> dict[str, Label]:
        return {label.name.casefold(): label for label in self.plan.label}
