"""Words about a batch: its route, what was assumed, and the citations of its evidence."""

from __future__ import annotations

import functools
from collections.abc import Collection

from nutricheck.drying.cooking import code_doubt, liquid_left
from nutricheck.drying.flags import makes_vitamin_d
from nutricheck.drying.retention import storage_kept
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.plan.models import Batch, Storage
from nutricheck.units import Written, as_written

__all__ = [
    "batch_notes",
    "citations",
    "hours_words",
    "route_words",
    "storage_note",
    "stored_vitamin_c",
]

#: Classes of foods that are eaten for their vitamin C.
_VITAMIN_C_CLASSES = frozenset({"fruit", "vegetable", "green pulse", "leafy vegetable", "root"})


def route_words(batch: Batch) -> str:
    """The route in words, such as ``boiled, liquid drained; hot air 68 °C 8 h``."""
    preparation, drying = batch.preparation, batch.drying
    if preparation.kind == "cooked":
        words = [str(preparation.method)]
    elif preparation.kind == "blanched":
        words = [f"{preparation.method}-blanched"]
    else:
        words = [preparation.kind]
    if preparation.liquid or preparation.method in {"boiled", "water"}:
        words.append(f"liquid {liquid_left(preparation)}")
    if preparation.salt_g:
        words.append(f"salt {as_written(preparation.salt_g, 'gram')}")
    if preparation.strained_to_g is not None:
        words.append(f"strained to {as_written(preparation.strained_to_g, 'gram')}")
    if preparation.whey_g is not None:
        words.append(f"{as_written(preparation.whey_g, 'gram')} of whey let off")
    if preparation.rested is not None:
        rest = preparation.rested
        words.append(
            f"rested {hours_words(rest.hours)} at {as_written(rest.temperature_c, 'degC')}"
        )
    if preparation.sulphited:
        words.append("sulphited")
    profile = ", ".join(
        f"{as_written(step.temperature_c, 'degC')} {hours_words(step.hours)}"
        for step in drying.profile
    )
    return f"{', '.join(words)}; {drying.method}{' ' if profile else ''}{profile}"


def hours_words(hours: float) -> str:
    """Hours in the words they were written in; else as people say them: ``10 h``, ``6 days``."""
    if isinstance(hours, Written):
        return hours.text
    return f"{hours / 24:.3g} days" if hours >= 72 else f"{hours:g} h"


def batch_notes(
    batch: Batch, class_names: Collection[str], codes: Collection[str | None] = ()
) -> list[str]:
    """What was assumed, is doubtful (``codes``: USDA's), or could not be taken into account."""
    doubts = (code_doubt(code) for code in dict.fromkeys(codes) if code)
    notes = [doubt for doubt in doubts if doubt]
    preparation = batch.preparation
    if preparation.kind in {"cooked", "blanched"} and preparation.liquid is None:
        if preparation.method in {"boiled", "water"}:
            notes.append(
                "The plan does not say what became of the cooking water: it counts as poured off."
            )
        elif not {"meat", "poultry", "offal"}.isdisjoint(class_names):
            notes.append("The plan does not say what became of the drippings: they count as kept.")
    if preparation.salt_g and liquid_left(preparation) == "drained":
        notes.append(
            "The liquid that you pour off takes salt with it. Half of the added salt counts, and "
            "the range goes from none to all of it. If you know how much stays, leave salt out "
            "and put "
            '"Salt, table" into a mix with this batch.'
        )
    if batch.drying.method in {"hot air", "oven"} and not batch.drying.profile:
        notes.append(
            "The plan gives no temperature and time, so the tool assumes usual home drying."
        )
    if batch.ground:
        notes.append(
            "Ground food: air and light reach more of it. No published factor was found, "
            "so the "
            "figures do not change; keep it airtight, dark and cool, and eat it first."
        )
    if makes_vitamin_d(batch, class_names):
        notes.append(
            "Sunlight makes vitamin D in mushrooms, often many times what they held: the figure "
            "counts only what the fresh ones held."
        )
    if not batch.storage:
        notes.append(storage_note(class_names))
    return notes


def storage_note(class_names: Collection[str]) -> str:
    """That storage is not counted, and what it would leave of vitamin C in foods eaten for it.

    References
    ----------
    As of :func:`stored_vitamin_c`.
    """
    words = "Storage before the trip is not counted; give storage in a plan to have it counted."
    if _VITAMIN_C_CLASSES.isdisjoint(class_names):
        return words
    low, likely, high = (f"{100 * share:.0f}" for share in stored_vitamin_c())
    return (
        f"{words} Six months in the dark at 20 °C leave about {likely}\u00a0% ({low} to "
        f"{high}\u00a0%) of the vitamin C that came out of the dryer."
    )


@functools.cache
def stored_vitamin_c() -> tuple[float, float, float]:
    """Low, likely and high share left by six months at 20 °C in the dark. [-]

    References
    ----------
    The rows of the evidence table ``storage_rates``, each with its source.
    """
    kept = storage_kept(Storage.model_validate({"time": "6 months", "temperature": "20 °C"}))
    place = tags().index("VITC")
    return float(kept.low[place]), float(kept.likely[place]), float(kept.high[place])


@functools.cache
def _citation_by_key() -> dict[str, str]:
    return {row["key"]: row["citation"] for row in evidence.rows("drying_studies")}


def citations(keys: str) -> list[str]:
    """The citations of evidence keys parted by spaces.

    References
    ----------
    The rows of the evidence table ``drying_studies``; pairs of records: USDA SR28 (2015).
    """
    known = _citation_by_key()
    out = []
    for key in keys.split():
        if key.endswith("-record-pairs"):
            out.append("fresh and dried records of one food, USDA SR28 (2015)")
        else:
            out.append(known[key])
    return out
