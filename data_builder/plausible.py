"""Own analyses that cannot be: against dry matter, sums, and what foods hold at most."""

from __future__ import annotations

import functools
from collections.abc import Iterator, Mapping

from nutricheck.errors import UnitError
from nutricheck.facts import evidence
from nutricheck.facts.components import ATWATER_KCAL_PER_G, MACRONUTRIENTS
from nutricheck.facts.constants import value
from nutricheck.units import convert

__all__ = ["implausible"]

_FILLING = ("WATER", "PROCNT", "FAT", "CHOCDF", "ASH", "ALC")
_MINERALS = ("NA", "K", "CA", "MG", "P", "CLD")
_FATTY_ACIDS = ("FASAT", "FAMS", "FAPU")
#: The table's ranges are not scaled down below this dry matter, since tea and drinks with added
#: vitamins hold more in theirs than foods do. [g]
_LEAST_DRY_G = 15.0
#: What a food of a known id holds within some thirtyfold of its record, however it was grown.
_STEADY = ("K", "MG", "P", "PROCNT", "CHOCDF", "ENERC_KCAL")


@functools.cache
def _most_in_dry_matter() -> dict[str, tuple[float, str]]:
    rows = evidence.rows("component_ranges")
    return {row["component"]: (float(row["most"]), row["source"]) for row in rows}


def implausible(
    amounts: Mapping[str, float], units: Mapping[str, str], record: Mapping[str, float]
) -> Iterator[tuple[str, str]]:
    """What cannot be in one food's amounts: (component, what is wrong).

    Parameters
    ----------
    amounts : mapping
        Tagname → amount per 100 g; zeros that stand for traces and limits among them.
    units : mapping
        Tagname → unit of the amount.
    record : mapping
        Tagname → amount that the default table has for the food; empty where it has none.
    """
    grams = {tag: _grams(amount, units[tag]) for tag, amount in amounts.items()}
    dry_g = 100 - grams.get("WATER", 0.0)
    for tag, amount in amounts.items():
        shown = f"{amount:,.6g} {units[tag]} in 100 g"
        most, source = _most_in_dry_matter().get(tag, (float("inf"), ""))
        limit = value("analysis_over_range") * most * max(dry_g, _LEAST_DRY_G) / 100
        if grams[tag] > 100.5:
            yield tag, f"{shown} is more than the food itself"
        elif tag != "WATER" and grams[tag] > dry_g + value("analysis_sum_slack"):
            yield tag, f"{shown} is more than the {dry_g:.3g} g that are not water"
        elif amount > limit:
            yield (
                tag,
                f"{shown}; no food of the table has more than {most:,.4g} {units[tag]} in 100 g "
                f"of dry matter ({source})",
            )
        elif tag in _STEADY and 0 < amount < record.get(tag, 0.0) / value("analysis_below_record"):
            yield tag, f"{shown}, where the table has {record[tag]:,.4g} {units[tag]} of this food"
    yield from _sums(amounts, grams)


def _sums(amounts: Mapping[str, float], grams: Mapping[str, float]) -> Iterator[tuple[str, str]]:
    """Parts that do not make their whole; told at the last of them."""
    slack = value("analysis_sum_slack")

    def held(tags: tuple[str, ...]) -> tuple[str, float]:
        present = [tag for tag in grams if tag in tags]
        return (present[-1] if present else ""), sum(grams[tag] for tag in present)

    last, filling_g = held(_FILLING)
    is_all = set(_FILLING) - {"ALC"} <= grams.keys()
    if filling_g > 100 + slack or (is_all and filling_g < 100 - 2 * slack):
        yield last, f"water, protein, fat, carbohydrate and ash make {filling_g:.3g} g of 100 g"
    for tags, whole, words in (
        (_FATTY_ACIDS, "FAT", "its fatty acids"),
        (("SUGAR",), "CHOCDF", "its sugars"),
        (_MINERALS, "ASH", "its minerals"),
    ):
        last, part_g = held(tags)
        if whole in grams and part_g > 1.1 * grams[whole] + slack / 2:
            yield (
                last,
                f"{words} make {part_g:.3g} g, more than the {grams[whole]:.3g} g of {whole}",
            )
    if "ENERC_KCAL" in amounts and set(MACRONUTRIENTS) <= grams.keys():
        sum_kcal = sum(
            grams[tag] * kcal for tag, kcal in ATWATER_KCAL_PER_G.items() if tag in grams
        )
        fibre, stated = grams.get("FIBTG", 0.0), amounts["ENERC_KCAL"]
        off = value("analysis_energy_tolerance") * sum_kcal + 20
        if not sum_kcal - 4 * fibre - off <= stated <= sum_kcal + 2 * fibre + off:
            yield (
                "ENERC_KCAL",
                f"{stated:,.4g} kcal, where protein, fat and carbohydrate make "
                f"{sum_kcal:,.4g} kcal",
            )


def _grams(amount: float, unit: str) -> float:
    """An amount in grams; 0 where its unit is no mass."""
    try:
        return convert(amount, unit, "gram")
    except UnitError:
        return 0.0
