"""What of a label's own figures does not go together: energy, masses, doses.

Each function gives what to ask, with the figure and the way out; it takes the amounts of one
serving as the label is read: tagname → low, likely, high in the component's unit.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping
from typing import TYPE_CHECKING

from nutricheck.facts import evidence
from nutricheck.facts.components import ATWATER_KCAL_PER_G, BY_TAG, MACRONUTRIENTS, NAMES
from nutricheck.facts.constants import value
from nutricheck.labels import compounds
from nutricheck.units import as_written, convert

if TYPE_CHECKING:
    from nutricheck.plan.models import Label

__all__ = ["FILLING", "dose_questions", "energy_questions", "mass_questions", "most_energy_kcal"]

Amounts = Mapping[str, tuple[float, float, float]]
#: What fills a serving, in grams.
FILLING = ("PROCNT", "FAT", "CHOCDF", "ALC", "WATER", "ASH")
_KCAL_PER_G_FAT = ATWATER_KCAL_PER_G["FAT"]


def most_energy_kcal(serving_g: float) -> float:
    """More than a serving can hold, were it all fat. [kcal]

    Examples
    --------
    >>> round(most_energy_kcal(10))
    97
    """
    return serving_g * _KCAL_PER_G_FAT * (1 + value("energy_rounding")) + 5


def energy_questions(label: Label, amounts: Amounts) -> Iterator[str]:
    """Whether the stated energy and the energy of the stated parts go together."""
    for tag in MACRONUTRIENTS:
        likely = amounts[tag][1] if tag in amounts else 0.0
        if 0 < likely < value("macronutrient_least"):
            yield f"{label.amounts[tag]} of {NAMES[tag]} is next to nothing: is its unit g?"
    parts = {tag: amounts[tag][1] for tag in ATWATER_KCAL_PER_G if tag in amounts}
    if "ENERC_KCAL" not in amounts or not parts:
        return
    stated = amounts["ENERC_KCAL"][1]
    worked_out = sum(grams * ATWATER_KCAL_PER_G[tag] for tag, grams in parts.items())
    # Fibre may be counted inside carbohydrate (US) or beside it at 2 kcal/g (EU).
    fibre = amounts["FIBTG"][1] if "FIBTG" in amounts else 0.0
    most = worked_out + 2 * fibre
    if not parts.keys() >= set(MACRONUTRIENTS):
        rest_g = max(label.serving_g - sum(amounts[t][1] for t in FILLING if t in amounts), 0.0)
        most += rest_g * (ATWATER_KCAL_PER_G["CHOCDF"] if "FAT" in parts else _KCAL_PER_G_FAT)
    slack = max(value("label_energy_tolerance") * stated, 10.0)
    if stated > most + slack or stated < worked_out - 4 * fibre - slack:
        named = ", ".join(NAMES[tag] for tag in parts)
        yield (
            f"The label states {stated:.0f} kcal in {as_written(label.serving_g, 'gram')}; its "
            f"{named} make {worked_out:.0f} kcal, and {most:.0f} kcal is the most that fits. Is "
            "one of them mistyped, or in the wrong unit (kJ, mg)?"
        )


def mass_questions(label: Label, amounts: Amounts) -> Iterator[str]:
    """Whether minerals, in the lightest compounds, fit beside the rest; whether the rest does."""
    serving = as_written(label.serving_g, "gram")
    if label.serving_g > value("label_serving_high"):
        yield f"a serving of {serving} is more than a meal. Are the number and the unit right?"
    filling_g = sum(amounts[tag][0] for tag in FILLING if tag in amounts)
    minerals_g = {
        tag: convert(amounts[tag][0], BY_TAG[tag].unit, "gram") / share
        for tag, share in _lightest().items()
        if tag in amounts
    }
    # chloride comes with the salts of the others
    needed_g = filling_g + sum(grams for tag, grams in minerals_g.items() if tag != "CLD")
    if needed_g > 1.05 * label.serving_g + 0.05:
        heaviest = max(minerals_g, key=lambda tag: minerals_g[tag], default="")
        if heaviest:
            yield (
                f"its minerals, even in the lightest compounds known here, and what else it states "
                f"weigh {needed_g:.2g} g, more than the serving of {serving}: "
                f"{NAMES[heaviest]} ({label.amounts.get(heaviest, 'as read')}) alone takes "
                f"{minerals_g[heaviest]:.2g} g. Is the amount that of the compound "
                f'(states = {{ {heaviest} = "compound" }}), or a unit or the serving mistyped?'
            )
    is_powder = label.kind == "drink mix" and "WATER" not in amounts
    stated_g = filling_g + sum(minerals_g.values())
    is_food = label.serving_g >= value("drink_mix_serving_large")
    least = value("drink_mix_stated_share_large" if is_food else "drink_mix_stated_share")
    if is_powder and stated_g < least * label.serving_g:
        yield (
            f"what it states weighs {stated_g:.2g} g of a serving of {serving}. Is the serving "
            "that of the powder, and the decimal point right?"
        )


def dose_questions(label: Label, amounts: Amounts) -> Iterator[str]:
    """Whether amounts are a thousandfold from any dose that is sold.

    References
    ----------
    The rows of the evidence table ``serving_bounds``, each with its source.
    """
    for row in evidence.rows("serving_bounds"):
        tag = row["component"]
        if tag not in amounts:
            continue
        low, _, high = amounts[tag]
        least, most, unit = float(row["low"]), float(row["high"]), row["unit"]
        is_added = label.kind == "supplement" or tag in label.fortified
        is_weak = is_added and 0 < high < least
        if is_weak or low > most:
            yield (
                f"{high if is_weak else low:,.4g} {unit} of {NAMES[tag]} in a serving; products "
                f"on sale hold {least:g} to {most:,.0f} {unit}. Are the number and the unit right?"
            )


@functools.cache
def _lightest() -> dict[str, float]:
    """Largest share of each element in any compound known here, by tagname. [g/g]"""
    found: dict[str, float] = {}
    for compound in compounds.known():
        for tag in ("NA", "K", "CA", "MG", "CLD", "P", "FE", "ZN"):
            found[tag] = max(found.get(tag, 0.0), compounds.share(compound, tag))
    return {tag: share for tag, share in found.items() if share > 0}
