"""Names of components across datasets: USDA nutrient number → our tag.

Our tag is the INFOODS tagname as SR28's NUTR_DEF prints it, save for the few in ``RENAMED``.
A component without a tagname gets the local tag ``USDA_<number>``, which stays the same in every
USDA release.
"""

from __future__ import annotations

import csv
import functools
from pathlib import Path

__all__ = ["ABBREVIATED", "RENAMED", "known_components", "local_tag", "tag_for"]

# SR28 NUTR_DEF tag → ours. FAO/INFOODS prints FD for fluoride and amino acids without suffix.
RENAMED = {
    "FLD": "FD",
    "LUT+ZEA": "LUT_ZEA",
    "HISTN_G": "HIS",
}
_VITAMIN_D_IU = "324"  # NUTR_DEF prints VITD for 324 (IU) and for 328 (ug)

# Columns 3 to 48 of ABBREV.txt in file order: USDA number, tag, unit, decimals, name.
# Order and units: SR28 documentation, table of the abbreviated file; numbers, names and decimals:
# NUTR_DEF.
ABBREVIATED: tuple[tuple[str, str, str, int, str], ...] = (
    ("255", "WATER", "g", 2, "Water"),
    ("208", "ENERC_KCAL", "kcal", 0, "Energy"),
    ("203", "PROCNT", "g", 2, "Protein"),
    ("204", "FAT", "g", 2, "Total lipid (fat)"),
    ("207", "ASH", "g", 2, "Ash"),
    ("205", "CHOCDF", "g", 2, "Carbohydrate, by difference"),
    ("291", "FIBTG", "g", 1, "Fiber, total dietary"),
    ("269", "SUGAR", "g", 2, "Sugars, total"),
    ("301", "CA", "mg", 0, "Calcium, Ca"),
    ("303", "FE", "mg", 2, "Iron, Fe"),
    ("304", "MG", "mg", 0, "Magnesium, Mg"),
    ("305", "P", "mg", 0, "Phosphorus, P"),
    ("306", "K", "mg", 0, "Potassium, K"),
    ("307", "NA", "mg", 0, "Sodium, Na"),
    ("309", "ZN", "mg", 2, "Zinc, Zn"),
    ("312", "CU", "mg", 3, "Copper, Cu"),
    ("315", "MN", "mg", 3, "Manganese, Mn"),
    ("317", "SE", "ug", 1, "Selenium, Se"),
    ("401", "VITC", "mg", 1, "Vitamin C, total ascorbic acid"),
    ("404", "THIA", "mg", 3, "Thiamin"),
    ("405", "RIBF", "mg", 3, "Riboflavin"),
    ("406", "NIA", "mg", 3, "Niacin"),
    ("410", "PANTAC", "mg", 3, "Pantothenic acid"),
    ("415", "VITB6A", "mg", 3, "Vitamin B-6"),
    ("417", "FOL", "ug", 0, "Folate, total"),
    ("431", "FOLAC", "ug", 0, "Folic acid"),
    ("432", "FOLFD", "ug", 0, "Folate, food"),
    ("435", "FOLDFE", "ug", 0, "Folate, DFE"),
    ("421", "CHOLN", "mg", 1, "Choline, total"),
    ("418", "VITB12", "ug", 2, "Vitamin B-12"),
    ("318", "VITA_IU", "IU", 0, "Vitamin A, IU"),
    ("320", "VITA_RAE", "ug", 0, "Vitamin A, RAE"),
    ("319", "RETOL", "ug", 0, "Retinol"),
    ("322", "CARTA", "ug", 0, "Carotene, alpha"),
    ("321", "CARTB", "ug", 0, "Carotene, beta"),
    ("334", "CRYPX", "ug", 0, "Cryptoxanthin, beta"),
    ("337", "LYCPN", "ug", 0, "Lycopene"),
    ("338", "LUT_ZEA", "ug", 0, "Lutein + zeaxanthin"),
    ("323", "TOCPHA", "mg", 2, "Vitamin E (alpha-tocopherol)"),
    ("328", "VITD", "ug", 1, "Vitamin D (D2 + D3)"),
    ("324", "VITD_IU", "IU", 0, "Vitamin D"),
    ("430", "VITK1", "ug", 1, "Vitamin K (phylloquinone)"),
    ("606", "FASAT", "g", 3, "Fatty acids, total saturated"),
    ("645", "FAMS", "g", 3, "Fatty acids, total monounsaturated"),
    ("646", "FAPU", "g", 3, "Fatty acids, total polyunsaturated"),
    ("601", "CHOLE", "mg", 0, "Cholesterol"),
)


def tag_for(number: str, printed: str) -> str:
    """Our tag of the USDA nutrient with this number and printed tagname (which may be empty)."""
    if number == _VITAMIN_D_IU:
        return "VITD_IU"
    if not printed:
        return local_tag(number)
    return RENAMED.get(printed, printed.removesuffix("_G"))


def local_tag(number: str) -> str:
    """The tag of a component without an INFOODS tagname."""
    return f"USDA_{number.replace('.', '_')}"


@functools.cache
def known_components() -> dict[str, dict[str, str]]:
    """The rows of components.csv by USDA nutrient number."""
    with (Path(__file__).parent / "components.csv").open(encoding="utf-8", newline="") as file:
        return {row["number"]: row for row in csv.DictReader(file)}
