"""A plan whose names try to be formulas, and whose parts are at the edge of what is allowed.

Several ingredients with different unknowns, salt, a mix in a mix, an item packed twice, a kind of
day of which the longest trip has none, a day without food, labels that can be read in two ways.
"""

from __future__ import annotations

from typing import Any

HOSTILE: dict[str, Any] = {
    "trip": {"title": '=HYPERLINK("http://example.invalid","x")', "reference": "EFSA"},
    "person": {
        "sex": "female",
        "age": 29,
        "mass": "58 kg",
        "height": "165 cm",
        "eats": "vegetarian",
    },
    "days": [
        {
            "name": "@walk",
            "count": 3,
            "count_shortest": 2,
            "moving": "5 h",
            "pace": "4 km/h",
            "air_temperature": "29 °C",
            "humidity": "40 %",
        },
        {"name": "-rest", "count": 0, "count_shortest": 1},
        {"name": ">*?fast", "count": 2},
    ],
    "batch": [
        {
            "name": "+soup",
            "ingredients": [
                {"food": "Lentils, raw", "mass": "500 g"},
                {"food": "Onions, raw", "mass": "200 g"},
                {"food": "Seaweed, kelp, raw", "mass": "50 g"},
                {"food": "Nuts, almonds", "mass": "60 g"},
            ],
            "preparation": {
                "kind": "cooked",
                "method": "boiled",
                "liquid": "drained",
                "salt": "10 g",
            },
            "drying": {"temperature": "60 °C", "time": "9 h"},
            "storage": {"time": "2 months"},
        }
    ],
    "label": [
        {
            "name": "=1+1",
            "kind": "supplement",
            "serving": "1 g",
            "amounts": {
                "MG": "300 mg",
                "VITA": "800 ug",
                "NIA": "20 mg",
                "FOL": "400 ug",
                "VITE": "400 IU",
            },
            "compounds": {"MG": "magnesium citrate"},
            "forms": {"VITE": "all-rac-alpha-tocopherol"},
        },
        {
            "name": '@drink <&">',
            "kind": "drink mix",
            "serving": "10 g",
            "scheme": "EU NRV",
            "amounts": {"NA": "400 mg", "MG": "60 mg", "VITC": "50 %DV", "VITE": "9 mg"},
            "fortified": ["MG", "VITC", "NA", "VITE"],
        },
    ],
    "mix": [
        {
            "name": "-inner",
            "parts": [
                {"item": "+soup", "mass": "100 g"},
                {"item": '@drink <&">', "mass": "10 g"},
            ],
        },
        {
            "name": "=cmd|' /C calc'!A0",
            "parts": [
                {"item": "-inner", "mass": "200 g"},
                {"food": "Oil, olive, salad or cooking", "mass": "50 g"},
                {"item": "+soup", "mass": "20 g"},
            ],
        },
    ],
    "packed": [
        {
            "item": "=cmd|' /C calc'!A0",
            "mass": "300 g",
            "container": '=IMPORTXML("http://example.invalid","//a")',
            "tsp": "2 g",
        },
        {"item": "+soup", "mass": "100 g"},
        {"item": "=1+1", "mass": "10 g", "piece": "1 g"},
        {"item": "nuts", "food": "Nuts, almonds", "mass": "200 g"},
        {"item": "nuts", "food": "Nuts, almonds", "mass": "100 g"},
    ],
    "portions": [
        {"item": "=cmd|' /C calc'!A0", "amount": "3 tbsp", "days": ["@walk", "-rest"]},
        {"item": "+soup", "over": "5 days", "days": ["@walk"]},
        {"item": "=1+1", "amount": "1 piece", "days": ["@walk"]},
        {"item": "nuts", "amount": "0.5 cup, whole", "days": ["@walk"]},
        {"item": "nuts", "amount": "10 g", "days": ["@walk"]},
    ],
}
