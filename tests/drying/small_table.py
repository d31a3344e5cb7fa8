"""A food table of a few SR28 foods held in memory, with the interface of the built one.

Values per 100 g edible portion: USDA National Nutrient Database for Standard Reference,
Release 28 (2015).
"""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from nutricheck.errors import UnknownFoodError
from nutricheck.facts.components import tags


@dataclass(frozen=True)
class SmallFood:
    id: str
    description: str
    group_code: str
    group: str = ""
    water_g: float = float("nan")


FOODS = {
    "11124": (
        "Carrots, raw",
        "1100",
        {
            "WATER": 88.29,
            "ENERC_KCAL": 41,
            "PROCNT": 0.93,
            "FAT": 0.24,
            "CHOCDF": 9.58,
            "FIBTG": 2.8,
            "SUGAR": 4.74,
            "ASH": 0.97,
            "CA": 33,
            "FE": 0.3,
            "MG": 12,
            "P": 35,
            "K": 320,
            "NA": 69,
            "ZN": 0.24,
            "CU": 0.045,
            "MN": 0.143,
            "SE": 0.1,
            "VITC": 5.9,
            "THIA": 0.066,
            "RIBF": 0.058,
            "NIA": 0.983,
            "VITB6A": 0.138,
            "FOL": 19,
            "FOLFD": 19,
            "FOLDFE": 19,
            "FOLAC": 0,
            "VITB12": 0,
            "VITA_RAE": 835,
            "RETOL": 0,
            "CARTB": 8285,
            "TOCPHA": 0.66,
            "VITK1": 13.2,
        },
    ),
    "11457": (
        "Spinach, raw",
        "1100",
        {
            "WATER": 91.4,
            "ENERC_KCAL": 23,
            "PROCNT": 2.86,
            "FAT": 0.39,
            "CHOCDF": 3.63,
            "FIBTG": 2.2,
            "SUGAR": 0.42,
            "ASH": 1.72,
            "CA": 99,
            "FE": 2.71,
            "MG": 79,
            "P": 49,
            "K": 558,
            "NA": 79,
            "ZN": 0.53,
            "VITC": 28.1,
            "THIA": 0.078,
            "RIBF": 0.189,
            "NIA": 0.724,
            "VITB6A": 0.195,
            "FOL": 194,
            "VITA_RAE": 469,
            "RETOL": 0,
            "CARTB": 5626,
        },
    ),
    "11529": (
        "Tomatoes, red, ripe, raw, year round average",
        "1100",
        {
            "WATER": 94.52,
            "ENERC_KCAL": 18,
            "PROCNT": 0.88,
            "FAT": 0.2,
            "CHOCDF": 3.89,
            "FIBTG": 1.2,
            "SUGAR": 2.63,
            "ASH": 0.5,
            "CA": 10,
            "FE": 0.27,
            "MG": 11,
            "K": 237,
            "NA": 5,
            "VITC": 13.7,
            "THIA": 0.037,
            "LYCPN": 2573,
            "CARTB": 449,
            "VITA_RAE": 42,
            "RETOL": 0,
        },
    ),
    "11109": (
        "Cabbage, raw",
        "1100",
        {
            "WATER": 92.18,
            "ENERC_KCAL": 25,
            "PROCNT": 1.28,
            "FAT": 0.1,
            "CHOCDF": 5.8,
            "FIBTG": 2.5,
            "SUGAR": 3.2,
            "ASH": 0.64,
            "CA": 40,
            "K": 170,
            "NA": 18,
            "VITC": 36.6,
            "MG": 12,
        },
    ),
    "23557": (
        "Beef, ground, 95% lean meat / 5% fat, raw",
        "1300",
        {
            "WATER": 73.28,
            "ENERC_KCAL": 131,
            "PROCNT": 21.41,
            "FAT": 5.0,
            "CHOCDF": 0,
            "FIBTG": 0,
            "SUGAR": 0,
            "ASH": 1.1,
            "CA": 9,
            "FE": 2.35,
            "MG": 22,
            "K": 346,
            "NA": 66,
            "ZN": 5.06,
            "THIA": 0.043,
            "VITB12": 2.23,
            "VITC": 0,
            "RETOL": 4,
            "VITA_RAE": 4,
        },
    ),
    "13325": (
        "Beef, variety meats and by-products, liver, raw",
        "1300",
        {
            "WATER": 70.81,
            "ENERC_KCAL": 135,
            "PROCNT": 20.36,
            "FAT": 3.63,
            "CHOCDF": 3.89,
            "FIBTG": 0,
            "SUGAR": 0,
            "ASH": 1.31,
            "K": 313,
            "NA": 69,
            "CU": 9.755,
            "VITA_RAE": 4968,
            "RETOL": 4948,
            "VITB12": 59.3,
        },
    ),
    "01211": (
        "Milk, whole, 3.25% milkfat, without added vitamin A and vitamin D",
        "0100",
        {
            "WATER": 88.13,
            "ENERC_KCAL": 61,
            "PROCNT": 3.15,
            "FAT": 3.27,
            "CHOCDF": 4.78,
            "FIBTG": 0,
            "SUGAR": 5.05,
            "ASH": 0.67,
            "CA": 113,
            "K": 132,
            "NA": 43,
            "THIA": 0.046,
        },
    ),
    "01123": (
        "Egg, whole, raw, fresh",
        "0100",
        {
            "WATER": 76.15,
            "ENERC_KCAL": 143,
            "PROCNT": 12.56,
            "FAT": 9.51,
            "CHOCDF": 0.72,
            "FIBTG": 0,
            "SUGAR": 0.37,
            "ASH": 1.06,
            "K": 138,
            "NA": 142,
            "RETOL": 160,
            "VITA_RAE": 160,
            "FOL": 47,
        },
    ),
    "09999": ("Puree of unknown water", "0900", {"K": 100}),
}


class SmallTable:
    """The foods above; ``standard_error`` may be given as a frame."""

    salt_iodine = None

    def __init__(self, standard_error=None):
        self._error = standard_error

    def food(self, food_id):
        if food_id not in FOODS:
            raise UnknownFoodError(f"no food {food_id}")
        description, group, values = FOODS[food_id]
        return SmallFood(food_id, description, group, "", values.get("WATER", float("nan")))

    def resolve(self, text):
        for food_id, (description, _, _) in FOODS.items():
            if text in (food_id, description):
                return self.food(food_id)
        raise UnknownFoodError(f"no food {text}")

    def composition(self, food_ids, wanted=None):
        columns = list(wanted or tags())
        rows = {food_id: FOODS[food_id][2] for food_id in food_ids}
        return (
            pd.DataFrame.from_dict(rows, orient="index", columns=None)
            .reindex(index=list(food_ids), columns=columns)
            .astype("float64")
        )

    def values(self, food_ids, wanted):
        amounts = self.composition(food_ids, wanted)
        error = amounts * float("nan") if self._error is None else self._error.reindex_like(amounts)
        return np.array([amounts, error])

    def estimates(self, food_ids, wanted):
        return np.full((2, len(list(food_ids)), len(list(wanted))), np.nan)

    def foods(self, food_ids):
        return [self.food(food_id) for food_id in food_ids]
