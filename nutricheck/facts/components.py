"""The food components that reports show: INFOODS tagname, unit, name, group, what destroys them.

Tagnames: FAO/INFOODS food component identifiers, as SR28's NUTR_DEF file gives them. Where SR28
gives none or repeats one, ours is noted beside it (VITD_IU, LUT_ZEA, FD, TRP, EPA_DHA).

``lost_by`` names what destroys the component in drying, for the flags of a route: *heat*,
*oxygen* (with time and enzymes), *light*, *water* (poured off with blanching or cooking water).
Source of the classes: G. F. M. Ball, Vitamins in Foods: Analysis, Bioavailability, and
Stability, CRC Press 2006 (stability sections); minerals leave only with poured-off water or fat.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = [
    "ATWATER_KCAL_PER_G",
    "BY_TAG",
    "COMPONENTS",
    "FIGURE_NAMES",
    "FLUID",
    "HOT_DAY_FOUR",
    "KJ_PER_KCAL",
    "LABEL_ONLY",
    "MACRONUTRIENTS",
    "NAMES",
    "OTHER_NAMES",
    "OXALATE",
    "TABLETS",
    "Component",
    "described",
    "figure_tag",
    "tags",
]

Group = Literal["hot-day", "energy", "mineral", "vitamin", "carotenoid", "fat", "other"]
Cause = Literal["heat", "oxygen", "light", "water"]


@dataclass(frozen=True)
class Component:
    """One reported component; amounts in foods are in ``unit`` per 100 g edible portion."""

    tag: str
    name: str
    unit: Literal["g", "mg", "ug", "kcal", "IU", "L"]
    group: Group
    decimals: int
    lost_by: tuple[Cause, ...] = ()


COMPONENTS: tuple[Component, ...] = (
    # magnesium, potassium, sodium and vitamin C first: the ones hot active days run short of
    Component("MG", "magnesium", "mg", "hot-day", 0, ("water",)),
    Component("K", "potassium", "mg", "hot-day", 0, ("water",)),
    Component("NA", "sodium", "mg", "hot-day", 0, ("water",)),
    Component("VITC", "vitamin C", "mg", "hot-day", 1, ("heat", "oxygen", "light", "water")),
    Component("ENERC_KCAL", "energy", "kcal", "energy", 0),
    Component("PROCNT", "protein", "g", "energy", 1),
    Component("FAT", "fat", "g", "energy", 1),
    Component("CHOCDF", "carbohydrate", "g", "energy", 1, ("water",)),
    Component("FIBTG", "fibre", "g", "energy", 1),
    Component("SUGAR", "sugars", "g", "energy", 1, ("water",)),
    Component("WATER", "water in food", "g", "energy", 0),
    Component("CA", "calcium", "mg", "mineral", 0, ("water",)),
    Component("FE", "iron", "mg", "mineral", 1, ("water",)),
    Component("P", "phosphorus", "mg", "mineral", 0, ("water",)),
    Component("ZN", "zinc", "mg", "mineral", 1, ("water",)),
    Component("CU", "copper", "mg", "mineral", 2, ("water",)),
    Component("MN", "manganese", "mg", "mineral", 2, ("water",)),
    Component("SE", "selenium", "ug", "mineral", 1, ("water",)),
    Component("ID", "iodine", "ug", "mineral", 0, ("water",)),  # not in SR28
    Component("CLD", "chloride", "mg", "mineral", 0, ("water",)),  # not in SR28
    Component("CR", "chromium", "ug", "mineral", 0),  # not in SR28
    Component("MO", "molybdenum", "ug", "mineral", 0),  # not in SR28
    Component("FD", "fluoride", "ug", "mineral", 0),  # SR28 prints FLD; INFOODS FD
    Component("THIA", "thiamin", "mg", "vitamin", 2, ("heat", "water")),
    Component("RIBF", "riboflavin", "mg", "vitamin", 2, ("light", "water")),
    Component("NIA", "niacin", "mg", "vitamin", 1, ("water",)),
    Component("NIAEQ", "niacin equivalents", "mg", "vitamin", 1, ("water",)),
    Component("PANTAC", "pantothenic acid", "mg", "vitamin", 2, ("heat", "water")),
    Component("VITB6A", "vitamin B6", "mg", "vitamin", 2, ("heat", "light", "water")),
    Component("BIOT", "biotin", "ug", "vitamin", 1),  # not in SR28
    Component("FOLDFE", "folate (DFE)", "ug", "vitamin", 0, ("heat", "oxygen", "light", "water")),
    Component("FOL", "folate (total)", "ug", "vitamin", 0, ("heat", "oxygen", "light", "water")),
    Component("FOLFD", "food folate", "ug", "vitamin", 0, ("heat", "oxygen", "light", "water")),
    Component("FOLAC", "folic acid", "ug", "vitamin", 0, ("heat", "light", "water")),
    Component("VITB12", "vitamin B12", "ug", "vitamin", 2, ("light", "water")),
    Component("CHOLN", "choline", "mg", "vitamin", 0, ("water",)),
    Component("VITA_RAE", "vitamin A (RAE)", "ug", "vitamin", 0, ("oxygen", "light")),
    Component("RETOL", "retinol", "ug", "vitamin", 0, ("oxygen", "light")),
    Component("VITA_IU", "vitamin A (IU)", "IU", "vitamin", 0, ("oxygen", "light")),
    Component("VITD", "vitamin D", "ug", "vitamin", 1, ("oxygen", "light")),
    Component("VITD_IU", "vitamin D (IU)", "IU", "vitamin", 0, ("oxygen", "light")),
    Component("TOCPHA", "vitamin E", "mg", "vitamin", 1, ("oxygen", "light")),
    Component("VITK1", "vitamin K", "ug", "vitamin", 0, ("light",)),
    Component("CARTA", "alpha-carotene", "ug", "carotenoid", 0, ("oxygen", "light")),
    Component("CARTB", "beta-carotene", "ug", "carotenoid", 0, ("oxygen", "light")),
    Component("CRYPX", "beta-cryptoxanthin", "ug", "carotenoid", 0, ("oxygen", "light")),
    Component("LYCPN", "lycopene", "ug", "carotenoid", 0, ("oxygen", "light")),
    Component("LUT_ZEA", "lutein and zeaxanthin", "ug", "carotenoid", 0, ("oxygen", "light")),
    Component("FASAT", "saturated fat", "g", "fat", 1),
    Component("FAMS", "monounsaturated fat", "g", "fat", 1),
    Component("FAPU", "polyunsaturated fat", "g", "fat", 1, ("oxygen",)),
    Component("F18D2CN6", "linoleic acid", "g", "fat", 1, ("oxygen",)),
    Component("F18D3CN3", "alpha-linolenic acid", "g", "fat", 2, ("oxygen",)),
    Component("F20D5", "EPA", "g", "fat", 2, ("oxygen",)),
    Component("F22D6", "DHA", "g", "fat", 2, ("oxygen",)),
    Component("EPA_DHA", "EPA with DHA", "mg", "fat", 0, ("oxygen",)),  # their sum; tag ours
    Component("CHOLE", "cholesterol", "mg", "fat", 0),
    Component("TRP", "tryptophan", "g", "other", 3),  # SR28 prints TRP_G
    Component("ALC", "alcohol", "g", "other", 1, ("heat",)),
    Component("CAFFN", "caffeine", "mg", "other", 0),
    Component("ASH", "ash", "g", "other", 1, ("water",)),
)

#: Names that only labels use, beside the components: tag → name in words.
LABEL_ONLY: dict[str, str] = {
    "ENERC_KJ": "energy in kJ",
    "NACL": "salt",
    "SUGAD": "added sugars",
    "F": "fluoride",
    "VITA": "vitamin A",
    "VITE": "vitamin E",
    "VITK": "vitamin K",
}

#: What else labels call a component; a plan that writes it is told the tag.
OTHER_NAMES: dict[str, str] = {
    "B1": "THIA",
    "B2": "RIBF",
    "B3": "NIA",
    "B5": "PANTAC",
    "B6": "VITB6A",
    "B7": "BIOT",
    "B9": "FOL",
    "B12": "VITB12",
    "vitamin B1": "THIA",
    "vitamin B2": "RIBF",
    "vitamin B3": "NIA",
    "vitamin B5": "PANTAC",
    "vitamin B7": "BIOT",
    "vitamin B9": "FOL",
    "thiamine": "THIA",
    "niacinamide": "NIA",
    "nicotinamide": "NIA",
    "nicotinic acid": "NIA",
    "pantothenate": "PANTAC",
    "pyridoxine": "VITB6A",
    "cobalamin": "VITB12",
    "cyanocobalamin": "VITB12",
    "methylcobalamin": "VITB12",
    "methylfolate": "FOL",
    "ascorbic acid": "VITC",
    "cholecalciferol": "VITD",
    "tocopherol": "TOCPHA",
    "lutein": "LUT_ZEA",
    "calories": "ENERC_KCAL",
    "kcal": "ENERC_KCAL",
    "kJ": "ENERC_KJ",
    "total fat": "FAT",
    "saturates": "FASAT",
    "carbs": "CHOCDF",
    "total sugars": "SUGAR",
    "of which sugars": "SUGAR",
    "dietary fibre": "FIBTG",
}

BY_TAG: dict[str, Component] = {component.tag: component for component in COMPONENTS}
#: Tag → name, with the tags that only labels use.
NAMES: dict[str, str] = {
    **{component.tag: component.name for component in COMPONENTS},
    **LABEL_ONLY,
}
#: What a clinic's figure may be for beside components: what is drunk, and what soaks the food.
FLUID = "FLUID"
#: Tag → name of all that a clinic may set a figure for. Salt stands for its sodium; the water
#: inside food and what the table counts in IU have no figure of their own.
FIGURE_NAMES: dict[str, str] = {
    FLUID: "fluid",
    "NACL": LABEL_ONLY["NACL"],
    **{tag: one.name for tag, one in BY_TAG.items() if tag != "WATER" and one.unit != "IU"},
}
HOT_DAY_FOUR: tuple[str, ...] = ("MG", "K", "NA", "VITC")
#: What tablets or powders of pharmacies commonly hold alone, and people may take without a blood
#: test, with the step of their doses: common practice, no source. [component unit]
TABLETS: dict[str, float] = {
    **{"VITC": 50, "VITD": 5, "TOCPHA": 5, "THIA": 1, "RIBF": 1, "NIAEQ": 10, "PANTAC": 5},
    **{"VITB6A": 1, "BIOT": 10, "FOLDFE": 100, "VITB12": 1, "CA": 100, "MG": 50, "ZN": 5, "ID": 50},
}
MACRONUTRIENTS: tuple[str, ...] = ("PROCNT", "FAT", "CHOCDF")
#: General Atwater factors: Merrill & Watt 1973, USDA Agriculture Handbook 74. [kcal/g]
ATWATER_KCAL_PER_G = {"PROCNT": 4.0, "FAT": 9.0, "CHOCDF": 4.0, "ALC": 7.0}
KJ_PER_KCAL = 4.184  # thermochemical calorie, exact by definition


def tags() -> list[str]:
    """All reported tagnames, in report order."""
    return [component.tag for component in COMPONENTS]


#: Oxalate, which no table holds: INFOODS has OXALAC for oxalic acid.
OXALATE = "OXALAC"
_BESIDE = {
    FLUID: Component(FLUID, "fluid", "L", "other", 1),
    OXALATE: Component(OXALATE, "oxalate", "mg", "other", 0),
}


def described(tag: str) -> Component:
    """The component of a tagname, or fluid or oxalate, which no food's record holds."""
    return BY_TAG[tag] if tag in BY_TAG else _BESIDE[tag]


def figure_tag(text: str) -> str | None:
    """What a clinic's figure is for, by tagname or name in any case; None where it is neither.

    Examples
    --------
    >>> figure_tag("sodium"), figure_tag("Fluid"), figure_tag("water in food")
    ('NA', 'FLUID', None)
    """
    wanted = " ".join(text.casefold().split())
    return next(
        (t for t, n in FIGURE_NAMES.items() if wanted in (t.casefold(), n.casefold())), None
    )
