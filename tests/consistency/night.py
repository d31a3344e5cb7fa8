"""What a tired hand writes at night: slips beyond those that the questions were made by.

Written by someone else than the questions, and counted before any was cured for them; with honest
plans of odd but real people, packs and weather, of which nothing is to be asked.
"""

from __future__ import annotations

from typing import Any

from tests.consistency.honest import MILK, OATS, OIL, RICE, bought, label, pack, portioned, walk
from tests.plans import BOILED, FRIED, RAW, SIMMERED, STEAM, STEAMED, Entry, air, batch, person

__all__ = ["HONEST_AT_NIGHT", "SLIPS_AT_NIGHT"]

ALMONDS = "Nuts, almonds"
RAISINS = "Raisins, seedless"
SUNFLOWER = "Seeds, sunflower seed kernels, dried"

HONEST_AT_NIGHT: dict[str, Entry] = {
    "a boy of ten": pack(
        person("male", 10, "33 kg", "141 cm"),
        [walk("stage", 4, "3.5 h, 3 km/h, 4 kg", air="21 °C, 55 %", hills="180 m", drink="2 L")],
        [
            portioned("pasta sauce", "220 g", "50 g"),
            bought("noodles", "Macaroni, dry, unenriched", "450 g", "100 g"),
            bought("oats", OATS, "300 g", "70 g"),
            bought("milk", MILK, "120 g", "3 tbsp", tsp="2.6 g"),
            bought("raisins", RAISINS, "180 g", "40 g"),
            bought("hazelnuts", "Nuts, hazelnuts or filberts", "150 g", "35 g"),
        ],
        batch=[
            batch(
                "pasta sauce",
                {
                    "Tomatoes, red, ripe, canned, packed in tomato juice": "1.6 kg",
                    "Carrots, raw": "300 g",
                    "Onions, raw": "250 g",
                },
                {**SIMMERED, "salt": "8 g"},
                air("60 °C", "11 h"),
            )
        ],
    ),
    "kept since last autumn": pack(
        person("female", 43, "64 kg", "170 cm"),
        [walk("stage", 8, "6 h, 3.6 km/h, 12 kg", air="19 °C, 55 %", hills="500 m", drink="4 L")],
        [
            portioned("plums", "420 g", "45 g"),
            portioned("bean stew", "1.1 kg", "120 g"),
            portioned("leek", "110 g", "10 g"),
            bought("rice", RICE, "1 kg", "110 g"),
            bought("oil", OIL, "350 g", "3 tbsp", tsp="4.5 g"),
            bought("walnuts", "Nuts, walnuts, english", "450 g", "50 g"),
        ],
        batch=[
            batch(
                "plums",
                {"Plums, raw": "3 kg"},
                RAW,
                air("55 °C", "22 h"),
                moisture="18 %",
                storage={"time": "9 months", "temperature": "14 °C"},
            ),
            batch(
                "bean stew",
                {
                    "Beans, black, mature seeds, raw": "900 g",
                    "Tomatoes, red, ripe, raw, year round average": "2 kg",
                    "Onions, raw": "500 g",
                },
                {**SIMMERED, "salt": "18 g"},
                air("62 °C", "10 h"),
                storage={"time": "7 months", "temperature": "15 °C"},
            ),
            batch(
                "leek",
                {"Leeks, (bulb and lower leaf-portion), raw": "1.2 kg"},
                STEAM,
                air("55 °C", "8 h"),
                moisture="5 %",
                storage={"time": "45 days", "temperature": "20 °C"},
            ),
        ],
    ),
    "a woman of eighty-one": pack(
        person("female", 81, "52 kg", "154 cm", postmenopausal=True, conditions=["blood pressure"]),
        [walk("lane", 3, "2 h, 2.5 km/h, 3 kg", air="22 °C, 50 %", drink="2 L")],
        [
            portioned("semolina with pears", "180 g", "50 g"),
            bought("crispbread", "18216", "250 g", "70 g"),
            bought("cheese", "Cheese, gouda", "200 g", "60 g"),
            bought("apples", "Apples, raw, with skin", "600 g", "1 medium"),
            bought("almonds", ALMONDS, "100 g", "25 g"),
        ],
        batch=[
            batch(
                "semolina with pears",
                {"Semolina, unenriched": "120 g", "Pears, raw": "900 g"},
                BOILED,
                air("58 °C", "9 h"),
            )
        ],
    ),
    "tall and thin": pack(
        person("male", 19, "66 kg", "197 cm"),
        [
            walk(
                "ridge", 9, "9 h, 4.2 km/h, 17 kg", air="17 °C, 60 %", hills="1300 m", drink="5 L"
            ),
            walk("hut", 1, "0.5 h, 3 km/h, 1 kg", air="15 °C"),
        ],
        [
            portioned("chickpea curry", "2.1 kg", "200 g", tsp="2.7 g"),
            bought("oats", OATS, "1.6 kg", "150 g"),
            bought("peanut butter", "Peanut butter, smooth style, without salt", "1.1 kg", "100 g"),
            bought("dates", "Dates, deglet noor", "1.2 kg", "110 g"),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "1 kg", "100 g"),
            bought("oil", OIL, "600 g", "4 tbsp", tsp="4.5 g"),
        ],
        batch=[
            batch(
                "chickpea curry",
                {
                    "Chickpeas (garbanzo beans, bengal gram), mature seeds, raw": "1.8 kg",
                    "Sweet potato, raw, unprepared": "2 kg",
                    "Spinach, raw": "1 kg",
                },
                {**BOILED, "salt": "35 g"},
                air("60 °C", "12 h"),
                ground=True,
            )
        ],
    ),
    "short and stout": pack(
        person("female", 57, "84 kg", "150 cm", postmenopausal=True, conditions=["diabetes"]),
        [walk("shore", 6, "4 h, 3 km/h, 8 kg", air="23 °C, 70 %", hills="100 m", drink="3.5 L")],
        [
            portioned("turkey", "420 g", "60 g"),
            portioned("cauliflower", "160 g", "22 g"),
            bought("lentils", "Lentils, raw", "600 g", "85 g"),
            bought("crispbread", "18216", "500 g", "75 g"),
            bought("cheese", "Cheese, cheddar", "400 g", "55 g"),
            bought("almonds", ALMONDS, "250 g", "30 pieces", piece="1.2 g"),
        ],
        batch=[
            batch(
                "turkey",
                {"Turkey, Ground, raw": "1.8 kg"},
                {**FRIED, "salt": "15 g"},
                air("70 °C", "8 h"),
            ),
            batch(
                "cauliflower",
                {"Cauliflower, raw": "2.2 kg"},
                {"kind": "blanched", "method": "water"},
                air("55 °C", "10 h"),
                moisture="5 %",
            ),
        ],
    ),
    "a single long day": pack(
        person("male", 44, "83 kg", "184 cm"),
        [
            walk(
                "round",
                1,
                "11 h, 4.5 km/h, 7 kg",
                air="26 °C, 45 %",
                hills="1900 m",
                surface="dirt road",
                drink="6 L",
            )
        ],
        [
            bought("bread", "Bread, rye", "300 g", "300 g"),
            bought("salami", "Salami, dry or hard, pork", "120 g", "120 g"),
            bought("nuts", ALMONDS, "200 g", "150 g"),
            bought("bananas", "Bananas, raw", "360 g", "3 medium"),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "200 g", "150 g"),
        ],
    ),
    "in cups, ounces and Fahrenheit": pack(
        person("male", 61, "201 lb", "5 ft 10 in"),
        [
            walk(
                "canyon",
                6,
                "6 h, 2 mph, 34 lb",
                air="97 °F, 15 %",
                hills="1500 ft",
                drink="7 US quarts",
            ),
        ],
        [
            portioned("jambalaya", "30 oz", "4.5 oz"),
            portioned("apple chips", "9 oz", "1.3 oz"),
            bought("oats", OATS, "1.6 lb", "1 cup"),
            bought("pecans", "Nuts, pecans", "1 lb", "2.5 oz"),
            bought("cheese", "Cheese, cheddar", "1 lb", "2.5 oz"),
            bought("salt", "Salt, table", "2 oz", "1 tsp", tsp="6 g"),
        ],
        batch=[
            batch(
                "jambalaya",
                {
                    RICE: "1 lb",
                    "Chicken, broilers or fryers, breast, meat only, raw": "2 lb",
                    "Peppers, sweet, red, raw": "1.5 lb",
                    "Onions, raw": "12 oz",
                },
                {**SIMMERED, "salt": "0.7 oz"},
                air("155 °F", "11 h"),
            ),
            batch("apple chips", {"Apples, raw, with skin": "4.5 lb"}, RAW, air("135 °F", "14 h")),
        ],
    ),
    "the desert in June": pack(
        person("female", 33, "58 kg", "167 cm", acclimatised=True),
        [
            walk(
                "wadi",
                10,
                "5 h, 3.6 km/h, 18 kg",
                air="43 °C, 8 %",
                hills="150 m",
                surface="loose sand",
                drink="11 L",
                sweat_rate="1.1 L/h",
                night_temperature="24 °C",
            )
        ],
        [
            portioned("tomato powder", "260 g", "5 tsp", tsp="2.7 g"),
            portioned("lamb", "600 g", "55 g"),
            portioned("drink salts", "650 g", "6 servings"),
            bought("couscous", "Couscous, dry", "1.6 kg", "150 g"),
            bought("dates", "Dates, deglet noor", "1.6 kg", "150 g"),
            bought("oil", OIL, "500 g", "3 tbsp", tsp="4.5 g"),
            bought("pistachios", "Nuts, pistachio nuts, raw", "600 g", "55 g"),
        ],
        batch=[
            batch(
                "tomato powder",
                {"Tomatoes, red, ripe, raw, year round average": "4.5 kg"},
                RAW,
                {"method": "sun", "temperature": "38 °C", "time": "3 days"},
                ground=True,
            ),
            batch(
                "lamb",
                {"Lamb, ground, raw": "1.6 kg"},
                {**FRIED, "liquid": "drained", "salt": "18 g"},
                air("70 °C", "8 h"),
            ),
        ],
        label=[
            label(
                "drink salts",
                "10 g",
                {"ENERC_KCAL": "32 kcal", "CHOCDF": "7.6 g", "NA": "500 mg", "K": "120 mg"},
                kind="drink mix",
                fortified=["NA", "K"],
            )
        ],
    ),
    "a girl of seventeen with braces of medals": pack(
        person("female", 17, "71 kg", "181 cm"),
        [walk("run", 6, "5 h, 8.5 km/h, 3 kg", air="24 °C, 50 %", hills="900 m", drink="5 L")],
        [
            portioned("energy bar", "700 g", "2 bars", piece="55 g"),
            portioned("fish soup", "420 g", "65 g"),
            bought("rice", RICE, "900 g", "140 g"),
            bought("milk", MILK, "350 g", "6 tbsp", tsp="2.6 g"),
            bought("raisins", RAISINS, "600 g", "90 g"),
            bought("butter", "Butter, salted", "250 g", "40 g"),
        ],
        batch=[
            batch(
                "fish soup",
                {
                    "Fish, cod, Atlantic, raw": "1.5 kg",
                    "Potatoes, flesh and skin, raw": "800 g",
                    "Carrots, raw": "400 g",
                },
                {**BOILED, "salt": "14 g"},
                air("68 °C", "11 h"),
            )
        ],
        label=[
            label(
                "energy bar",
                "55 g",
                {
                    "ENERC_KCAL": "218 kcal",
                    "FAT": "7.5 g",
                    "CHOCDF": "32 g",
                    "FIBTG": "4 g",
                    "PROCNT": "6 g",
                    "NA": "140 mg",
                },
            )
        ],
    ),
    "vegan by weight": pack(
        person("male", 28, "67 kg", "176 cm", eats="vegan", does_not_eat=["gluten"]),
        [walk("fen", 13, "6 h, 3.5 km/h, 14 kg", air="25 °C, 60 %", hills="250 m", drink="5 L")],
        [
            portioned("tempeh", "700 g", "50 g"),
            portioned("mushroom powder", "150 g", "2 tbsp", tsp="1.5 g"),
            portioned("B12 drops tablet", "6 g", "1 tablet", piece="0.4 g"),
            portioned("kale chips", "260 g", "18 g"),
            bought("buckwheat", "Buckwheat groats, roasted, dry", "1.8 kg", "125 g"),
            bought("sunflower", SUNFLOWER, "1 kg", "70 g"),
            bought("figs", "Figs, dried, uncooked", "1.2 kg", "85 g"),
            bought("oil", OIL, "700 g", "4 tbsp", tsp="4.5 g"),
        ],
        batch=[
            batch("tempeh", {"Tempeh": "1.9 kg"}, STEAMED, air("60 °C", "9 h")),
            batch(
                "mushroom powder",
                {"Mushrooms, white, raw": "2.2 kg"},
                RAW,
                air("48 °C", "9 h"),
                ground=True,
            ),
            batch("kale chips", {"Kale, raw": "2.2 kg"}, RAW, air("46 °C", "8 h")),
        ],
        label=[
            label("B12 drops tablet", "0.4 g", {"VITB12": "250 ug"}, kind="supplement"),
        ],
    ),
    "a sledge in March": pack(
        person("female", 37, "69 kg", "173 cm"),
        [
            walk(
                "plateau",
                14,
                "7 h, 2.8 km/h, 10 kg",
                air="-14 °C, 75 %",
                hills="150 m",
                energy="4300 kcal",
                drink="4 L",
            ),
            walk("wind", 2, "0 h, 0 km/h, 0 kg", air="-18 °C"),
        ],
        [
            portioned("reindeer", "1.5 kg", "85 g"),
            portioned("potato", "1.6 kg", "95 g"),
            bought("oats", OATS, "2.4 kg", "145 g"),
            bought("butter", "Butter, salted", "2.4 kg", "140 g"),
            bought("sugar", "Sugars, granulated", "900 g", "50 g"),
            bought("milk", MILK, "1.3 kg", "75 g"),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "1.6 kg", "95 g"),
        ],
        batch=[
            batch(
                "reindeer",
                {"Game meat, elk, raw": "5.2 kg"},
                {**FRIED, "salt": "60 g"},
                air("70 °C", "12 h"),
                storage={"time": "3 months", "temperature": "-5 °C"},
            ),
            batch(
                "potato", {"Potatoes, flesh and skin, raw": "8 kg"}, BOILED, air("62 °C", "13 h")
            ),
        ],
    ),
    "weekend with a spoon": pack(
        person("male", 52, "90 kg", "181 cm", smoker=True),
        [walk("hills", 2, "5 h, 3.8 km/h, 9 kg", air="14 °C, 80 %", hills="600 m")],
        [
            portioned("pea soup", "190 g", "6 tbsp", tsp="2.8 g"),
            bought("bread", "Bread, rye", "400 g", "5 slice, regular"),
            bought("butter", "Butter, salted", "100 g", "2 tbsp"),
            bought("ham", "Ham, sliced, regular (approximately 11% fat)", "200 g", "100 g"),
            bought("sugar", "Sugars, granulated", "60 g", "6 tsp", tsp="4.2 g"),
            bought("honey", "Honey", "150 g", "3 tbsp", tsp="7 g"),
        ],
        batch=[
            batch(
                "pea soup",
                {"Peas, green, split, mature seeds, raw": "300 g", "Carrots, raw": "200 g"},
                {**BOILED, "salt": "6 g"},
                air("60 °C", "9 h"),
                ground=True,
            )
        ],
    ),
}
for _plan in HONEST_AT_NIGHT.values():  # who adds salt has looked whether it is iodised
    _plan.setdefault("trip", {}).setdefault("iodised_salt", True)

#: (plan, place, what stands there by mistake), as in ``slips.SLIPS``; the plan is one of the honest
#: ones above or a sample.
SLIPS_AT_NIGHT: list[tuple[str, str, Any]] = [
    # ------------------------------------------------ who walks
    ("july", "person.age", 1992),  # the year of birth
    ("july", "person.age", 92),
    ("july", "person.sex", "f"),
    ("kept since last autumn", "person.mass", "170 kg"),  # the height's figure
    ("kept since last autumn", "person.height", "64 cm"),  # the mass's figure
    ("kept since last autumn", "person.height", "1.70"),
    ("july", "person.height", "186 cm"),  # digits changed over
    ("in cups, ounces and Fahrenheit", "person.mass", "201 kg"),
    ("in cups, ounces and Fahrenheit", "person.height", "5.10 ft"),
    ("in cups, ounces and Fahrenheit", "person.mass", "20.1 lb"),
    ("a woman of eighty-one", "person.age", 18),
    ("a woman of eighty-one", "person.life_stage", "lactation"),
    # ------------------------------------------------ the days
    ("a sledge in March", "days[plateau].air_temperature", "14 °C"),  # the sign forgotten
    ("a sledge in March", "days[wind].air_temperature", "-18 °F"),
    ("the desert in June", "days[wadi].air_temperature", "43 °F"),
    ("the desert in June", "days[wadi].humidity", "0.08 %"),
    ("the desert in June", "days[wadi].humidity", "80 %"),
    ("the desert in June", "days[wadi].night_temperature", "42 °C"),
    ("the desert in June", "days[wadi].night_temperature", "75 °C"),
    ("the desert in June", "days[wadi].drink", "1.1 L"),
    ("the desert in June", "days[wadi].drink", "11 dL"),
    ("the desert in June", "days[wadi].sweat_rate", "11 L/h"),
    ("the desert in June", "days[wadi].sweat_rate", "0.11 L/h"),
    ("the desert in June", "days[wadi].pack", "58 kg"),  # the body's mass
    ("tall and thin", "days[ridge].climb", "130 m"),
    ("tall and thin", "days[ridge].descent", "13000 m"),
    ("tall and thin", "days[ridge].pace", "42 km/h"),
    ("tall and thin", "days[ridge].pace", "4.2"),
    ("tall and thin", "days[ridge].moving", "9"),
    ("tall and thin", "days[ridge].moving", "90 min"),
    ("tall and thin", "days[ridge].count", 90),
    ("tall and thin", "days[hut].moving", "0.5 min"),
    ("a single long day", "days[round].count", 11),
    ("a single long day", "days[round].moving", "11 min"),
    ("july", "days[hard climb].moving", "8 h 30 km"),
    ("july", "days[rest in camp].moving", "10 h"),
    ("july", "days[rest in camp].count", 20),
    ("july", "days[survey walk].sweat_test.mass_after", "66.0 kg"),
    ("july", "days[survey walk].sweat_test.drunk", "6 L"),
    ("july", "days[survey walk].sweat_test.hours", "20 h"),
    ("a sledge in March", "days[plateau].energy", "4300 kJ"),
    ("a sledge in March", "days[plateau].energy", "430 kcal"),
    # ------------------------------------------------ what was dried
    ("kept since last autumn", "batch[plums].ingredients[1].mass", "420 g"),  # the dried mass
    (
        "kept since last autumn",
        "batch[plums].ingredients[1].food",
        "Plums, dried (prunes), uncooked",
    ),
    ("kept since last autumn", "batch[plums].moisture", "81 %"),
    ("kept since last autumn", "batch[plums].moisture", "0.18 %"),
    ("kept since last autumn", "batch[plums].dried_mass", "3 kg"),
    ("kept since last autumn", "batch[plums].storage.temperature", "55 °C"),  # the dryer's
    ("kept since last autumn", "batch[plums].storage.time", "9 years"),
    ("kept since last autumn", "batch[bean stew].ingredients[1].mass", "2.4 kg"),  # once soaked
    ("kept since last autumn", "batch[bean stew].preparation.salt", "180 g"),
    ("kept since last autumn", "batch[bean stew].preparation.salt", "18 mg"),
    ("kept since last autumn", "batch[bean stew].drying.time", "10 min"),
    ("kept since last autumn", "batch[bean stew].drying.temperature", "144 °C"),  # °F
    ("kept since last autumn", "batch[leek].ingredients[1].mass", "110 g"),  # the dried mass
    ("kept since last autumn", "batch[leek].drying.time", "8 days"),
    ("kept since last autumn", "batch[leek].preparation", {"kind": "steamed"}),
    ("in cups, ounces and Fahrenheit", "batch[jambalaya].drying.temperature", "155 °C"),
    ("in cups, ounces and Fahrenheit", "batch[jambalaya].drying.temperature", "55 °F"),
    ("in cups, ounces and Fahrenheit", "batch[jambalaya].ingredients[2].mass", "2 oz"),
    ("in cups, ounces and Fahrenheit", "batch[jambalaya].ingredients[1].mass", "1 oz"),
    ("in cups, ounces and Fahrenheit", "batch[jambalaya].preparation.salt", "7 oz"),
    ("in cups, ounces and Fahrenheit", "batch[apple chips].ingredients[1].mass", "45 lb"),
    (
        "a boy of ten",
        "batch[pasta sauce].ingredients[1].food",
        "Tomatoes, sun-dried",
    ),
    ("a boy of ten", "batch[pasta sauce].ingredients[1].mass", "16 kg"),
    ("a boy of ten", "batch[pasta sauce].ingredients[1].mass", "1,6 g"),
    (
        "weekend with a spoon",
        "batch[pea soup].ingredients[1].food",
        "Peas, green, raw",
    ),
    (
        "a girl of seventeen with braces of medals",
        "batch[fish soup].ingredients[1].food",
        "Fish, cod, Atlantic, dried and salted",
    ),
    # ------------------------------------------------ labels
    ("a girl of seventeen with braces of medals", "label[energy bar].serving", "100 g"),
    (
        "a girl of seventeen with braces of medals",
        "label[energy bar].amounts.ENERC_KCAL",
        "218 kJ",
    ),
    (
        "a girl of seventeen with braces of medals",
        "label[energy bar].amounts.ENERC_KCAL",
        "396 kcal",  # of 100 g
    ),
    ("a girl of seventeen with braces of medals", "label[energy bar].amounts.FAT", "75 g"),
    ("a girl of seventeen with braces of medals", "label[energy bar].amounts.NA", "140 g"),
    ("a girl of seventeen with braces of medals", "label[energy bar].amounts.NA", "1.40 g"),
    ("the desert in June", "label[drink salts].amounts.NA", "500 ug"),
    ("the desert in June", "label[drink salts].amounts.NA", "50 mg"),
    ("the desert in June", "label[drink salts].serving", "1 kg"),
    ("the desert in June", "label[drink salts].amounts.CHOCDF", "76 g"),
    ("vegan by weight", "label[B12 drops tablet].amounts.VITB12", "250 mg"),
    ("vegan by weight", "label[B12 drops tablet].amounts.VITB12", "250 %"),
    ("vegan by weight", "label[B12 drops tablet].serving", "4 g"),
    # ------------------------------------------------ what is packed
    ("a sledge in March", "packed[butter].mass", "2.4 g"),
    ("a sledge in March", "packed[butter].mass", "240 g"),
    ("a sledge in March", "packed[potato].mass", "8 kg"),  # the fresh mass
    ("a sledge in March", "packed[reindeer].mass", "1.5 lb"),
    ("short and stout", "packed[almonds].piece", "12 g"),
    ("short and stout", "packed[almonds].mass", "25 g"),
    ("short and stout", "packed[cauliflower].mass", "2.2 kg"),  # the fresh mass
    ("short and stout", "packed[turkey].container_mass", "420 g"),  # the food's mass
    ("weekend with a spoon", "packed[pea soup].tsp", "8.4 g"),  # a tablespoon
    ("weekend with a spoon", "packed[sugar].tsp", "42 g"),
    ("weekend with a spoon", "packed[honey].mass", "150 kg"),
    ("weekend with a spoon", "packed[ham].mass", "2 kg"),
    # ------------------------------------------------ what a day takes
    ("weekend with a spoon", "portions[bread].amount", "50 slice, regular"),
    ("weekend with a spoon", "portions[sugar].amount", "6 tbsp"),
    ("weekend with a spoon", "portions[sugar].amount", "6 cups"),
    ("weekend with a spoon", "portions[butter].amount", "2 lb"),
    ("weekend with a spoon", "portions[ham].amount", "100"),
    ("weekend with a spoon", "portions[pea soup].amount", "6 tsp"),
    ("a sledge in March", "portions[oats].amount", "2.4 kg"),  # of the whole trip
    ("a sledge in March", "portions[chocolate].amount", "1.6 kg"),  # of the whole trip
    ("a sledge in March", "portions[potato].amount", "95 kg"),
    ("a sledge in March", "portions[butter].amount", "14 g"),
    ("vegan by weight", "portions[B12 drops tablet].amount", "250 g"),
    ("vegan by weight", "portions[B12 drops tablet].amount", "10 tablets"),
    ("vegan by weight", "portions[mushroom powder].amount", "2 cups"),
    ("the desert in June", "portions[drink salts].amount", "60 servings"),
    ("the desert in June", "portions[drink salts].amount", "6 g"),
    ("the desert in June", "portions[lamb].amount", "55"),
    ("short and stout", "portions[almonds].amount", "3 pieces"),
    ("short and stout", "portions[cheese].amount", "400 g"),  # of the whole trip
    ("july", "portions[rice, boiled].over", "2 weeks"),
    ("july", "portions[yoghurt leather].over", "21"),
    # ------------------------------------------------ added later, from those by rule
    ("bars, gels and drinks by their labels", "label[gel].serving", "400 g"),
    ("a heavy man", "days[river path].humidity", "6.5 %"),
    ("dried in the sun and the shade", "batch[mushrooms].drying.temperature", "2.4 °C"),
    ("july", "batch[apple rings].drying.time", "41 h"),
    ("bars, gels and drinks by their labels", "label[drink powder].serving", "83 g"),
    ("cold ridges, expenditure measured", "days[ridge].descent", "120 m"),
]
