"""Single slips of a human hand in the sample plans: where, and what is written by mistake."""

from __future__ import annotations

import copy
import re
import tomllib
from pathlib import Path
from typing import Any

__all__ = ["JULY", "LIGHT", "SLIPS", "slipped"]

_SAMPLES = Path(__file__).parents[2] / "samples"
JULY: dict[str, Any] = tomllib.loads((_SAMPLES / "july_survey.toml").read_text("utf-8"))
LIGHT: dict[str, Any] = tomllib.loads((_SAMPLES / "light_pack.toml").read_text("utf-8"))

#: Marks a field that is left out.
LEFT_OUT = object()
_STEP = re.compile(r"(?P<key>\w+)(?:\[(?P<name>[^\]]+)\])?(?:\.|$)")

#: (plan, place, what stands there by mistake). A place names the entry by its name, item or food,
#: or by its number from 1. What was meant stands in the sample.
SLIPS: list[tuple[str, str, Any]] = [
    # ------------------------------------------------ who walks
    ("july", "person.mass", "61 lb"),
    ("july", "person.mass", "134 kg"),  # pounds
    ("july", "person.mass", "610 kg"),
    ("july", "person.mass", "6.1 kg"),
    ("july", "person.mass", "61 g"),
    ("july", "person.mass", "61"),
    ("july", "person.mass", 61),
    ("july", "person.mass", "16 kg"),
    ("july", "person.height", "1.68 cm"),
    ("july", "person.height", "168 m"),
    ("july", "person.height", "66 cm"),  # inches
    ("july", "person.height", "118 cm"),
    ("july", "person.height", "168 mm"),
    ("july", "person.height", "5.6"),
    ("july", "person.age", 3),
    ("july", "person.age", 340),
    ("july", "person.age", "34 years old"),
    ("july", "person.sex", "woman"),
    ("july", "person.life_stage", "pregnant"),
    ("light", "person.life_stage", "lactation"),
    ("july", "person.postmenopausal", True),
    ("light", "person.postmenopausal", True),
    ("july", "person.vegetarian", True),
    ("light", "person.mass", "78 lb"),
    ("light", "person.mass", "172 kg"),  # pounds
    ("light", "person.height", "181 in"),
    ("light", "person.height", "71 cm"),  # inches
    ("light", "person.age", 4),
    # ------------------------------------------------ the days
    ("july", "days[survey walk].count", 150),
    ("july", "days[survey walk].count", 51),
    ("july", "days[survey walk].count", 1.5),
    ("july", "days[survey walk].count", -15),
    ("july", "days[survey walk].count_shortest", 100),
    ("july", "days[survey walk].moving", "6 min"),
    ("july", "days[survey walk].moving", "60 h"),
    ("july", "days[survey walk].moving", "6 m"),
    ("july", "days[survey walk].moving", "6 days"),
    ("july", "days[survey walk].pace", "36 km/h"),
    ("july", "days[survey walk].pace", "0.36 km/h"),
    ("july", "days[survey walk].pace", "3.6 m/s"),
    ("july", "days[survey walk].pace", "17 min/km"),
    ("july", "days[survey walk].pace", "3.6 km"),
    ("july", "days[survey walk].pack", "90 kg"),
    ("july", "days[survey walk].pack", "9 g"),
    ("july", "days[hard climb].pack", "71 kg"),
    ("july", "days[hard climb].pack", "0.17 kg"),
    ("july", "days[hard climb].climb", "11000 m"),
    ("july", "days[hard climb].climb", "1100 km"),
    ("july", "days[hard climb].climb", "5100 m"),
    ("july", "days[survey walk].climb", "3000 m"),
    ("july", "days[survey walk].descent", "30000 m"),
    ("july", "days[survey walk].surface", "gravel"),
    ("july", "days[survey walk].air_temperature", "88 °C"),
    ("july", "days[survey walk].air_temperature", "31 °F"),
    ("july", "days[survey walk].air_temperature", "3.1 °C"),
    ("july", "days[survey walk].air_temperature", "310 °C"),
    ("july", "days[survey walk].air_temperature", "31"),
    ("july", "days[survey walk].humidity", "0.4 %"),
    ("july", "days[survey walk].humidity", "4 %"),
    ("july", "days[survey walk].humidity", "400 %"),
    ("july", "days[survey walk].humidity", "40 °C"),
    ("july", "days[hard climb].humidity", "99 %"),
    ("july", "days[survey walk].drink", "60 L"),
    ("july", "days[survey walk].drink", "6 mL"),
    ("july", "days[survey walk].drink", "6 oz"),
    ("july", "days[survey walk].drink", "6 quarts"),
    ("july", "days[survey walk].drink", "20 L"),
    ("july", "days[survey walk].sweat_test.mass_before", "64.1 kg"),
    ("july", "days[survey walk].sweat_test.mass_before", "614 kg"),
    ("july", "days[survey walk].sweat_test.mass_after", "66.0 kg"),
    ("july", "days[survey walk].sweat_test.mass_after", "60.6 lb"),
    ("july", "days[survey walk].sweat_test.drunk", "6 L"),
    ("july", "days[survey walk].sweat_test.urine", "2 L"),
    ("july", "days[survey walk].sweat_test.hours", "2 min"),
    ("july", "days[survey walk].sweat_test.hours", "0 h"),
    ("july", "days[survey walk].sweat_test.hours", "20 h"),
    ("light", "days[transect].sweat_rate", "8 L/h"),
    ("light", "days[transect].sweat_rate", "0.8 mL/h"),
    ("light", "days[transect].sweat_rate", "0.08 L/h"),
    ("light", "days[transect].energy", "3200 kJ"),
    ("light", "days[transect].energy", "32000 kcal"),
    ("light", "days[transect].energy", "3200 cal"),
    ("light", "days[transect].pack", "12 g"),
    ("light", "days[transect].air_temperature", "91 °C"),
    ("light", "days[transect].count", 120),
    # ------------------------------------------------ what was dried
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2.6 g"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "26 kg"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2,600 g"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2.600 g"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2.6 L"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2.6 t"),
    ("july", "batch[lentils, cooked].ingredients[1].mass", "2 bags"),
    ("july", "batch[lentils, cooked].dried_mass", "2.47 g"),
    ("july", "batch[lentils, cooked].dried_mass", "24.7 kg"),
    ("july", "batch[lentils, cooked].dried_mass", "247 g"),
    ("july", "batch[beef mince, fried].ingredients[1].mass", "3.6 g"),
    ("july", "batch[beef mince, fried].ingredients[1].mass", "36 kg"),
    ("july", "batch[beef mince, fried].preparation.salt", "24 kg"),
    ("july", "batch[beef mince, fried].preparation.salt", "240 g"),
    ("july", "batch[beef mince, fried].moisture", "60 %"),
    ("july", "batch[beef mince, fried].moisture", "0.06 %"),
    ("july", "batch[beef mince, fried].storage.temperature", "68 °C"),
    ("july", "batch[beef mince, fried].storage.time", "1 h"),
    ("july", "batch[beef mince, fried].drying.temperature", "680 °C"),
    ("july", "batch[beef mince, fried].drying.temperature", "6.8 °C"),
    ("july", "batch[beef mince, fried].drying.temperature", "86 °C"),
    ("july", "batch[beef mince, fried].drying.temperature", "68 °F"),
    ("july", "batch[beef mince, fried].drying.time", "8 min"),
    ("july", "batch[beef mince, fried].drying.time", "80 h"),
    ("july", "batch[beef mince, fried].drying.time", "8 days"),
    ("july", "batch[tomato, raw].ingredients[1].mass", "6 g"),
    ("july", "batch[tomato, raw].ingredients[1].mass", "600 g"),
    ("july", "batch[tomato, raw].dried_mass", "3.72 kg"),
    ("july", "batch[tomato, raw].dried_mass", "37.2 g"),
    ("july", "batch[tomato, raw].drying.time", "36 min"),
    ("july", "batch[tomato, raw].drying.time", "3.6 min"),
    ("july", "batch[tomato, raw].drying.temperature", "420 °C"),
    ("july", "batch[tomato, raw].ingredients[1].food", "Tomatoes, sun-dried"),
    ("july", "batch[spinach, raw].drying.time", "0.5 h"),
    ("july", "batch[spinach, raw].ingredients[1].mass", "30 kg"),
    ("july", "batch[spinach, raw].ingredients[1].mass", "0.3 kg"),
    ("july", "batch[spinach, blanched].preparation.method", "boiled"),
    (
        "july",
        "batch[spinach, blanched].ingredients[1].food",
        "Spinach, cooked, boiled, drained, without salt",
    ),
    ("july", "batch[sweet potato, boiled].ingredients[1].mass", "600 kg"),
    (
        "july",
        "batch[sweet potato, boiled].ingredients[1].food",
        "Sweet potato, cooked, boiled, without skin",
    ),
    ("july", "batch[sweet potato, boiled].dried_mass", "14.6 kg"),
    ("july", "batch[apple rings].moisture", "1.6 %"),
    ("july", "batch[apple rings].moisture", "160 %"),
    ("july", "batch[apple rings].ingredients[1].mass", "50 kg"),
    ("july", "batch[apple rings].ingredients[1].food", "Apples, dried, sulfured, uncooked"),
    ("july", "batch[yoghurt leather].drying.temperature", "45 °F"),
    ("july", "batch[yoghurt leather].ingredients[1].mass", "400 g"),
    ("july", "batch[cabbage, fermented].preparation.sugars_used", "0.8 %"),
    ("july", "batch[cabbage, fermented].preparation.salt", "500 g"),
    ("july", "batch[cabbage, fermented].preparation.kind", "pickled"),
    ("july", "batch[carrot, steamed].drying.time", "9 min"),
    ("july", "batch[carrot, steamed].ingredients[1].mass", "3 g"),
    ("july", "batch[egg, scrambled].ingredients[1].mass", "1.8 g"),
    ("july", "batch[egg, scrambled].ingredients[1].food", "Egg, whole, dried"),
    ("july", "batch[rice, boiled].ingredients[1].mass", "24 kg"),
    ("july", "batch[rice, boiled].preparation", {"kind": "raw"}),
    (
        "july",
        "batch[rice, boiled].ingredients[1].food",
        "Rice, white, long-grain, regular, enriched, cooked",
    ),
    ("light", "batch[apple, raw at low heat].drying.time", "4 min"),
    ("light", "batch[apple, raw at low heat].moisture", "0.14 %"),
    ("light", "batch[yoghurt powder].drying.time", "30 days"),
    ("light", "batch[beef, raw at low heat].drying.temperature", "38 °F"),
    # ------------------------------------------------ labels
    ("july", "label[lemon drink powder].serving", "10 mg"),
    ("july", "label[lemon drink powder].serving", "100 g"),
    ("july", "label[lemon drink powder].serving", "1 g"),
    ("july", "label[lemon drink powder].amounts.ENERC_KCAL", "9,999 kcal"),
    ("july", "label[lemon drink powder].amounts.ENERC_KCAL", "9999 kcal"),
    ("july", "label[lemon drink powder].amounts.ENERC_KCAL", "300 kcal"),
    ("july", "label[lemon drink powder].amounts.ENERC_KCAL", "30 kJ"),
    ("july", "label[lemon drink powder].amounts.ENERC_KCAL", "30 g"),
    ("july", "label[lemon drink powder].amounts.CHOCDF", "70 g"),
    ("july", "label[lemon drink powder].amounts.CHOCDF", "7.0 mg"),
    ("july", "label[lemon drink powder].amounts.NA", "480 g"),
    ("july", "label[lemon drink powder].amounts.NA", "4800 mg"),
    ("july", "label[lemon drink powder].amounts.K", "3000 mg"),
    ("july", "label[lemon drink powder].amounts.MG", "5600 mg"),
    ("july", "label[lemon drink powder].amounts.VITC", "50 g"),
    ("july", "label[lemon drink powder].amounts.VITC", "50"),
    ("july", "label[lemon drink powder].amounts.VITC", "5000 %DV"),
    ("july", "label[magnesium capsule].serving", "0.8 mg"),
    ("july", "label[magnesium capsule].serving", "8 g"),
    ("july", "label[magnesium capsule].amounts.MG", "7000 mg"),
    ("july", "label[magnesium capsule].amounts.MG", "700 ug"),
    ("july", "label[magnesium capsule].amounts.MG", "700 g"),
    ("july", "label[magnesium capsule].states.MG", "element"),
    ("july", "label[magnesium capsule].compounds.MG", "zinc citrate"),
    ("july", "label[magnesium capsule].compounds.MG", "magnesum biglycinat"),
    ("light", "label[magnesium tablet].amounts.MG", "250 ug"),
    ("light", "label[magnesium tablet].amounts.MG", "1250 mg"),
    ("light", "label[magnesium tablet].amounts.VITB6A", "10 g"),
    ("light", "label[magnesium tablet].amounts.VITB6A", "10 ug"),
    ("light", "label[magnesium tablet].serving", "1.4 kg"),
    ("light", "label[mineral capsule].amounts.ZN", "15 g"),
    ("light", "label[mineral capsule].amounts.ZN", "15 ug"),
    # ------------------------------------------------ mixes
    ("july", "mix[plateau stew powder].parts[lentils, cooked].mass", "21 kg"),
    ("july", "mix[plateau stew powder].parts[lentils, cooked].mass", "2.1 g"),
    ("july", "mix[plateau stew powder].parts[Salt, table].mass", "600 g"),
    ("july", "mix[plateau stew powder].parts[Oil, olive, salad or cooking].mass", "6 kg"),
    ("july", "mix[green powder].parts[spinach, raw].mass", "23 g"),
    ("july", "mix[green powder].parts[red pepper, raw].mass", "2 kg"),
    ("july", "mix[morning oats].parts[apple rings].mass", "4000 g"),
    ("july", "mix[morning oats].parts[apple rings].item", "apple ring"),
    # ------------------------------------------------ what is packed
    ("july", "packed[plateau stew powder].mass", "37 kg"),
    ("july", "packed[plateau stew powder].mass", "3.7 g"),
    ("july", "packed[plateau stew powder].mass", "370 g"),
    ("july", "packed[plateau stew powder].mass", "7.3 kg"),
    ("july", "packed[plateau stew powder].tsp", "29 g"),
    ("july", "packed[plateau stew powder].container_mass", "48 kg"),
    ("july", "packed[morning oats].tsp", "0.19 g"),
    ("july", "packed[almonds].mass", "17 kg"),
    ("july", "packed[almonds].mass", "170 g"),
    ("july", "packed[almonds].piece", "12 g"),
    ("july", "packed[almonds].piece", "1.2 mg"),
    ("july", "packed[green powder].tsp", "0.16 g"),
    ("july", "packed[green powder].tsp", "16 g"),
    ("july", "packed[apple rings].piece", "25 g"),
    ("july", "packed[egg, scrambled].mass", "4.2 kg"),
    ("july", "packed[raisins].mass", "80 g"),
    ("july", "packed[raisins].mass", "800 kg"),
    ("july", "packed[olive oil].tsp", "45 g"),
    ("july", "packed[olive oil].tsp", "13.5 g"),  # a tablespoon
    ("july", "packed[olive oil].mass", "70 g"),
    ("july", "packed[lemon drink powder].tsp", "40 g"),
    ("july", "packed[lemon drink powder].mass", "6.5 kg"),
    ("july", "packed[magnesium capsule].piece", "8 g"),
    ("july", "packed[magnesium capsule].piece", "0.08 g"),
    ("july", "packed[magnesium capsule].mass", "3.4 kg"),
    ("light", "packed[rolled oats].mass", "140 g"),
    ("light", "packed[rolled oats].tsp", "17 g"),
    ("light", "packed[magnesium tablet].piece", "14 g"),
    ("light", "packed[yoghurt powder].mass", "19 g"),
    # ------------------------------------------------ what a day takes
    ("july", "portions[plateau stew powder].amount", "170 mg"),
    ("july", "portions[plateau stew powder].amount", "170 kg"),
    ("july", "portions[plateau stew powder].amount", "1700 g"),
    ("july", "portions[plateau stew powder].amount", "17 g"),
    ("july", "portions[plateau stew powder].amount", "170 oz"),
    ("july", "portions[plateau stew powder].amount", "1.700 g"),
    ("july", "portions[morning oats].amount", "1 mug"),
    ("july", "portions[morning oats].amount", "160"),
    ("july", "portions[rice, boiled].over", "2.1 days"),
    ("july", "portions[rice, boiled].over", "210 days"),
    ("july", "portions[rice, boiled].over", "21 h"),
    ("july", "portions[rice, boiled].over", "21 weeks"),
    ("july", "portions[almonds].amount", "600 pieces"),
    ("july", "portions[almonds].amount", "6 pieces"),
    ("july", "portions[green powder].amount", "4 cups"),
    ("july", "portions[green powder].amount", "40 tbsp"),
    ("july", "portions[apple rings].amount", "7 packs"),
    ("july", "portions[yoghurt leather].over", "2 days"),
    ("july", "portions[egg, scrambled].amount", "3 T"),
    ("july", "portions[raisins].amount", "25 cup, packed"),
    ("july", "portions[olive oil].amount", "20 tbsp"),
    ("july", "portions[lemon drink powder].amount", "300 g"),
    ("july", "portions[magnesium capsule].amount", "20 pieces"),
    ("july", "portions[magnesium capsule].amount", "2 kg"),
    ("light", "portions[rolled oats].amount", "12.5 cup"),
    ("light", "portions[spinach, raw at low heat].amount", "80 tsp"),
    ("light", "portions[magnesium tablet].amount", "30 pieces"),
]


def slipped(plan: str, place: str, wrong: Any) -> dict[str, Any]:
    """The sample plan with the slip in it."""
    data = copy.deepcopy({"july": JULY, "light": LIGHT}[plan])
    here: Any = data
    steps = list(_STEP.finditer(place))
    for number, step in enumerate(steps):
        is_last = number == len(steps) - 1
        if is_last and step["name"] is None:
            here[step["key"]] = wrong
        elif step["name"] is None:
            here = here.setdefault(step["key"], {})
        else:
            here = _entry(here[step["key"]], step["name"])
    return data


def _entry(entries: list[Any], name: str) -> Any:
    if name.isdigit():
        return entries[int(name) - 1]
    keys = ("name", "item", "food")
    return next(entry for entry in entries if name in [entry.get(key) for key in keys])
