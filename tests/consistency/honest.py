"""Honest plans of varied people and packs, of which nothing is to be asked.

In short form: what a row packs, a day eats.
"""

from __future__ import annotations

from typing import Any

from tests.plans import (
    BOILED,
    FRIED,
    RAW,
    SIMMERED,
    STEAM,
    STEAMED,
    Entry,
    air,
    bag,
    batch,
    day,
    eat,
    food,
    person,
    plan,
)

__all__ = ["HONEST"]

OATS = "Cereals, oats, regular and quick, not fortified, dry"
TAHINI = "12166"
RICE = "Rice, white, long-grain, regular, raw, unenriched"
OIL = "Oil, olive, salad or cooking"
MILK = "Milk, dry, whole, without added vitamin D"

Row = tuple[Entry, Entry]


def walk(name: str, count: int, march: str, air: str, hills: str = "", **more: Any) -> Entry:
    """A kind of day: hours, pace and pack; air and its humidity; the way up, and down again."""
    moving, pace, pack = march.split(", ")
    temperature, _, humidity = air.partition(", ")
    weather = {"air_temperature": temperature} | ({"humidity": humidity} if humidity else {})
    slopes = {"climb": hills, "descent": hills} if hills else {}
    return day(name, count, moving, pace, pack, **weather, **slopes, **more)


def portioned(item: str, mass: str, eaten: str, **more: Any) -> Row:
    """Something of one's own in a bag, and what a day eats of it, or ``over`` how many days."""
    return bag(item, mass) | more, _portion(item, eaten)


def bought(item: str, name: str, mass: str, eaten: str, **more: Any) -> Row:
    """A food of the table, and what a day eats of it."""
    return food(item, name, mass, **more), _portion(item, eaten)


def _portion(item: str, eaten: str) -> Entry:
    is_over = eaten.startswith("over ")
    return eat(item, over=eaten.removeprefix("over ")) if is_over else eat(item, eaten)


def label(
    name: str, serving: str, amounts: dict[str, str], elements: str = "", **more: Any
) -> Entry:
    """A label; of ``elements`` it gives the mass of the element."""
    states = {"states": dict.fromkeys(elements.split(), "element")} if elements else {}
    return {"name": name, "serving": serving, "amounts": amounts, **states, **more}


def pack(who: Entry, days: list[Entry], rows: list[Row], **sections: list[Entry]) -> Entry:
    """A plan whose ``rows`` are both packed and eaten."""
    packed, portions = ([row[side] for row in rows] for side in (0, 1))
    return plan(who, days, **sections, packed=packed, portions=portions)


HONEST: dict[str, Entry] = {
    "in pounds and Fahrenheit": pack(
        person("female", 29, "148 lb", "5 ft 6 in"),
        [
            walk(
                "trail",
                9,
                "7 h, 2.2 mph, 31 lb",
                air="88 °F, 35 %",
                hills="1800 ft",
                drink="5 US quarts",
            ),
            walk("zero day", 1, "1 h, 2 mph, 3 lb", air="86 °F, 40 %"),
        ],
        [
            portioned("chili", "2.4 lb", "3.8 oz", tsp="0.1 oz"),
            portioned("peaches", "12 oz", "1.2 oz"),
            bought("oats", OATS, "2 lb", "3 oz"),
            bought("almonds", "Nuts, almonds", "1.5 lb", "2.4 oz"),
            bought("oil", OIL, "12 oz", "2 tbsp", tsp="4.5 g"),
        ],
        batch=[
            batch(
                "chili",
                {
                    "Beans, black, mature seeds, raw": "2.5 lb",
                    "Beef, ground, 90% lean meat / 10% fat, raw": "2 lb",
                    "Tomatoes, red, ripe, raw, year round average": "3 lb",
                },
                {**SIMMERED, "salt": "1 oz"},
                air("145 °F", "10 h"),
                ground=True,
            ),
            batch("peaches", {"Peaches, yellow, raw": "6 lb"}, RAW, air("135 °F", "20 h")),
        ],
    ),
    "a man of sixty-seven on short walks": pack(
        person("male", 67, "81 kg", "176 cm", acclimatised=True),
        [
            walk("walk", 6, "3 h, 3 km/h, 7 kg", air="26 °C, 60 %"),
        ],
        [
            portioned("pea soup", "1.1 kg", "170 g", tsp="2.8 g"),
            bought("bread", "18069", "1 kg", "5 slices"),
            bought("cheese", "Cheese, cheddar", "500 g", "80 g"),
            bought("bananas", "Bananas, raw", "750 g", "1 medium"),
        ],
        batch=[
            batch(
                "pea soup",
                {
                    "Peas, green, split, mature seeds, raw": "1.2 kg",
                    "Carrots, raw": "500 g",
                    "Onions, raw": "400 g",
                },
                {**BOILED, "salt": "20 g"},
                air("60 °C", "10 h"),
                ground=True,
            ),
        ],
    ),
    "a girl of fourteen": pack(
        person("female", 14, "50 kg", "160 cm"),
        [
            walk(
                "scouting", 5, "4 h, 3.5 km/h, 7 kg", air="28 °C, 50 %", hills="250 m", drink="3 L"
            ),
        ],
        [
            portioned("bolognese", "480 g", "90 g"),
            bought("noodles", "Macaroni, dry, unenriched", "600 g", "120 g"),
            bought("raisins", "Raisins, seedless", "250 g", "50 g"),
            bought("oats", OATS, "400 g", "80 g"),
            bought("milk", MILK, "150 g", "4 tbsp", tsp="2.6 g"),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "200 g", "40 g"),
        ],
        batch=[
            batch(
                "bolognese",
                {
                    "23572": "800 g",
                    "Carrots, raw": "300 g",
                    "Tomatoes, red, ripe, canned, packed in tomato juice": "1.2 kg",
                },
                {**SIMMERED, "salt": "12 g"},
                air("68 °C", "9 h"),
            ),
        ],
    ),
    "pregnant": pack(
        person("female", 31, "66 kg", "170 cm", life_stage="pregnancy"),
        [
            walk("stroll", 4, "2.5 h, 3 km/h, 4 kg", air="24 °C, 55 %"),
        ],
        [
            portioned("lentil dal", "800 g", "180 g", tsp="2.7 g"),
            portioned("prenatal tablet", "15 g", "1 tablet", piece="1.5 g"),
            bought("rice", RICE, "500 g", "110 g"),
            bought("walnuts", "Nuts, walnuts, english", "200 g", "40 g"),
            bought("apricots", "Apricots, dried, sulfured, uncooked", "250 g", "50 g"),
        ],
        batch=[
            batch(
                "lentil dal",
                {"Lentils, raw": "900 g", "Spinach, raw": "600 g", "Carrots, raw": "400 g"},
                {**BOILED, "salt": "14 g"},
                air("62 °C", "9 h"),
            ),
        ],
        label=[
            label(
                "prenatal tablet",
                "1.5 g",
                {"FOL": "400 ug", "FE": "27 mg", "ID": "150 ug", "VITD": "10 ug"},
                kind="supplement",
                forms={"FOL": "folic acid"},
                elements="FE ID",
            ),
        ],
    ),
    "breast-feeding": pack(
        person("female", 36, "59 kg", "163 cm", life_stage="lactation"),
        [
            walk(
                "hut to hut",
                3,
                "5 h, 3.5 km/h, 6 kg",
                air="20 °C, 50 %",
                climb="500 m",
                descent="400 m",
                drink="4 L",
            ),
        ],
        [
            portioned("omelette", "180 g", "55 g", tsp="2.1 g"),
            bought("oats", OATS, "350 g", "110 g"),
            bought("hazelnuts", "Nuts, hazelnuts or filberts", "180 g", "60 g"),
            bought("dates", "Dates, deglet noor", "400 g", "120 g"),
            bought("crispbread", "18216", "400 g", "120 g"),
            bought("cheese", "Cheese, parmesan, hard", "250 g", "80 g"),
        ],
        batch=[
            batch(
                "omelette",
                {"Egg, whole, raw, fresh": "900 g"},
                {"kind": "cooked", "method": "scrambled"},
                air("65 °C", "9 h"),
                moisture="4 %",
            ),
        ],
    ),
    "a heavy man": pack(
        person("male", 41, "128 kg", "188 cm", conditions=["diabetes", "blood pressure"]),
        [
            walk(
                "river path",
                10,
                "5 h, 3 km/h, 16 kg",
                air="29 °C, 65 %",
                hills="150 m",
                drink="6 L",
            ),
            walk("rest", 2, "0.5 h, 2.5 km/h, 2 kg", air="30 °C, 60 %"),
        ],
        [
            portioned("chicken", "1.1 kg", "90 g"),
            portioned("zucchini", "260 g", "20 g"),
            bought("rice", RICE, "2.2 kg", "180 g"),
            bought("peanuts", "Peanuts, all types, dry-roasted, without salt", "1.2 kg", "100 g"),
            bought(
                "oil",
                OIL,
                "500 g",
                "3 tbsp",
                container="bottle",
                container_mass="60 g",
                tsp="4.5 g",
            ),
        ],
        batch=[
            batch(
                "chicken",
                {"Chicken, broilers or fryers, breast, meat only, raw": "4 kg"},
                {"kind": "cooked", "method": "braised", "liquid": "kept", "salt": "40 g"},
                air("70 °C", "9 h"),
            ),
            batch(
                "zucchini",
                {"Squash, summer, zucchini, includes skin, raw": "5 kg"},
                RAW,
                air("55 °C", "11 h"),
            ),
        ],
    ),
    "a small vegetarian who ferments": pack(
        person("female", 52, "44 kg", "151 cm", vegetarian=True, postmenopausal=True),
        [
            walk(
                "forest", 12, "5 h, 3.2 km/h, 9 kg", air="27 °C, 70 %", hills="300 m", drink="4 L"
            ),
        ],
        [
            portioned("soup powder", "720 g", "8 tbsp", tsp="2.5 g"),
            portioned("kimchi", "120 g", "over 12 days"),
            bought("quinoa", "Quinoa, uncooked", "1.4 kg", "115 g"),
            bought("cashews", "Nuts, cashew nuts, raw", "600 g", "50 g"),
            bought("raisins", "Raisins, seedless", "600 g", "50 g"),
        ],
        batch=[
            batch(
                "sauerkraut",
                {"Cabbage, raw": "3 kg"},
                {"kind": "fermented", "liquid": "kept", "salt": "60 g", "sugars_used": "70 %"},
                air("40 °C", "18 h"),
            ),
            batch(
                "kimchi",
                {"Cabbage, chinese (pak-choi), raw": "2 kg", "Radishes, raw": "500 g"},
                {"kind": "fermented", "liquid": "drained", "salt": "75 g"},
                air("42 °C", "16 h"),
            ),
            batch("tofu crumbs", {"16126": "2 kg"}, RAW, air("60 °C", "9 h")),
        ],
        mix=[
            {
                "name": "soup powder",
                "parts": [
                    {"item": "sauerkraut", "mass": "120 g"},
                    {"item": "tofu crumbs", "mass": "400 g"},
                    {"food": "Seaweed, wakame, raw", "mass": "20 g"},
                    {"food": TAHINI, "mass": "200 g"},
                ],
            },
        ],
    ),
    "forty days of desert": pack(
        person("male", 38, "72 kg", "179 cm", acclimatised=True),
        [
            walk(
                "march",
                36,
                "6 h, 4 km/h, 25 kg",
                air="44 °C, 7 %",
                surface="loose sand",
                drink="11 L",
            ),
            walk("well", 4, "0 h, 0 km/h, 0 kg", air="43 °C, 8 %"),
        ],
        [
            portioned("elk", "2.6 kg", "65 g"),
            portioned("onion", "600 g", "over 40 days"),
            bought("couscous", "Couscous, dry", "8 kg", "200 g"),
            bought("dates", "Dates, deglet noor", "9 kg", "220 g"),
            bought("oil", OIL, "3 kg", "5 tbsp", tsp="4.5 g"),
            bought("milk", MILK, "3 kg", "9 tbsp", tsp="2.6 g"),
            bought("salt", "Salt, table", "500 g", "1.5 tsp", tsp="6 g"),
            bought("tea", "Beverages, tea, instant, unsweetened, powder", "60 g", "1 g"),
        ],
        batch=[
            batch(
                "elk",
                {"Game meat, elk, raw": "9 kg"},
                {**FRIED, "salt": "120 g"},
                air("70 °C", "11 h"),
            ),
            batch("onion", {"Onions, raw": "6 kg"}, RAW, air("57 °C", "12 h")),
        ],
    ),
    "wet tropics": pack(
        person("female", 26, "55 kg", "165 cm"),
        [
            walk(
                "jungle",
                8,
                "5 h, 2 km/h, 13 kg",
                air="33 °C, 78 %",
                hills="350 m",
                surface="heavy brush",
                drink="7 L",
            ),
        ],
        [
            portioned("mango", "900 g", "110 g"),
            portioned("fish", "500 g", "60 g"),
            bought("rice", RICE, "1.6 kg", "200 g"),
            bought(
                "coconut", "Nuts, coconut meat, dried (desiccated), not sweetened", "600 g", "70 g"
            ),
            bought("salt", "Salt, table", "80 g", "8 g"),
        ],
        batch=[
            batch("mango", {"Mangos, raw": "6 kg"}, RAW, air("58 °C", "16 h"), moisture="18 %"),
            batch(
                "fish",
                {"Fish, tilapia, raw": "2.5 kg"},
                {**STEAMED, "salt": "40 g"},
                air("68 °C", "10 h"),
            ),
        ],
    ),
    "cold ridges, expenditure measured": pack(
        person("male", 24, "76 kg", "183 cm"),
        [
            walk(
                "ridge",
                11,
                "9 h, 3 km/h, 22 kg",
                air="-4 °C, 70 %",
                climb="1400 m",
                descent="1200 m",
                energy="5200 kcal",
                drink="4 L",
            ),
            walk("storm", 2, "0 h, 0 km/h, 0 kg", air="-8 °C", energy="2600 kcal"),
        ],
        [
            portioned("stew", "2.6 kg", "200 g"),
            bought("oats", OATS, "2 kg", "150 g"),
            bought("butter", "Butter, salted", "1.5 kg", "110 g"),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "1.8 kg", "130 g"),
            bought("salami", "Salami, dry or hard, pork", "1.3 kg", "100 g"),
            bought("crispbread", "18216", "1.6 kg", "120 g"),
        ],
        batch=[
            batch(
                "stew",
                {
                    "Beef, chuck for stew, separable lean and fat, all grades, raw": "4 kg",
                    "Potatoes, flesh and skin, raw": "6 kg",
                    "Onions, raw": "1 kg",
                },
                {**SIMMERED, "salt": "70 g"},
                air("65 °C", "14 h"),
            ),
        ],
    ),
    "a weekend with fresh food": pack(
        person("male", 33, "84 kg", "190 cm"),
        [
            walk("loop", 3, "5 h, 4 km/h, 8 kg", air="22 °C, 50 %", hills="400 m", drink="3 L"),
        ],
        [
            bought("bread", "18069", "500 g", "6 slices"),
            bought("eggs", "Egg, whole, cooked, hard-boiled", "4 large", "1.3 large"),
            bought("cheese", "Cheese, gouda", "300 g", "90 g"),
            bought("apples", "Apples, raw, with skin", "1.2 kg", "2 medium"),
            bought(
                "tomatoes",
                "Tomatoes, red, ripe, raw, year round average",
                "400 g",
                "1 medium whole",
            ),
            bought("chocolate", "Chocolate, dark, 70-85% cacao solids", "200 g", "60 g"),
            bought("noodles", "Macaroni, dry, unenriched", "400 g", "130 g"),
            bought("pesto", "Nuts, pine nuts, dried", "100 g", "30 g"),
            bought("oil", OIL, "100 g", "25 g"),
        ],
    ),
    "raw food at low heat, by the spoon": pack(
        person("female", 47, "60 kg", "171 cm"),
        [
            walk("walk", 18, "5 h, 3.5 km/h, 11 kg", air="30 °C, 45 %", drink="5 L"),
        ],
        [
            portioned("kale", "300 g", "5 tbsp", tsp="1.1 g"),
            portioned("parsley", "45 g", "4 tsp", tsp="0.5 g"),
            portioned("nettle", "100 g", "2 tbsp", tsp="0.9 g"),
            portioned("beet", "380 g", "8 tsp", tsp="2.4 g"),
            portioned("apple", "900 g", "50 g"),
            portioned("sprouts", "900 g", "48 g"),
            bought("almonds", "Nuts, almonds", "2 kg", "95 almonds", piece="1.1 g"),
            bought("flax", "Seeds, flaxseed", "900 g", "4 tbsp", tsp="3.4 g"),
            bought("figs", "Figs, dried, uncooked", "2.5 kg", "135 g"),
        ],
        batch=[
            batch("kale", {"Kale, raw": "2.5 kg"}, RAW, air("38 °C", "20 h"), ground=True),
            batch(
                "nettle",
                {"Stinging Nettles, blanched (Northern Plains Indians)": "1 kg"},
                RAW,
                air("35 °C", "12 h"),
                ground=True,
            ),
            batch("parsley", {"Parsley, fresh": "400 g"}, RAW, air("35 °C", "4 h")),
            batch("beet", {"Beets, raw": "3 kg"}, RAW, air("42 °C", "30 h"), ground=True),
            batch("apple", {"Apples, raw, with skin": "6 kg"}, RAW, air("40 °C", "4 days")),
            batch("sprouts", {"Lentils, sprouted, raw": "3 kg"}, RAW, air("40 °C", "24 h")),
        ],
    ),
    "dried in the sun and the shade": pack(
        person("male", 58, "69 kg", "170 cm", smoker=True),
        [
            walk(
                "goat path", 14, "6 h, 3 km/h, 12 kg", air="35 °C, 25 %", hills="600 m", drink="7 L"
            ),
        ],
        [
            portioned("tomatoes", "700 g", "45 g"),
            portioned("mushrooms", "160 g", "11 g"),
            portioned("figs", "1.2 kg", "80 g"),
            bought("bulgur", "Bulgur, dry", "2.4 kg", "170 g"),
            bought("oil", OIL, "900 g", "4 tbsp", tsp="4.5 g"),
            bought("feta", "Cheese, feta", "900 g", "60 g"),
            bought("walnuts", "Nuts, walnuts, english", "900 g", "60 g"),
        ],
        batch=[
            batch(
                "tomatoes",
                {"Tomatoes, red, ripe, raw, year round average": "12 kg"},
                RAW,
                {"method": "sun", "temperature": "36 °C", "time": "5 days"},
            ),
            batch(
                "mushrooms",
                {"Mushrooms, white, raw": "2 kg"},
                RAW,
                {"method": "shade", "temperature": "24 °C", "time": "4 days"},
            ),
            batch("figs", {"Figs, raw": "5 kg"}, RAW, {"method": "sun"}),
        ],
    ),
    "freeze-dried": pack(
        person("female", 39, "68 kg", "174 cm"),
        [
            walk("plateau", 7, "7 h, 4 km/h, 13 kg", air="18 °C, 60 %", hills="500 m", drink="4 L"),
        ],
        [
            portioned("curry", "1.2 kg", "170 g"),
            portioned("strawberries", "250 g", "over 7 days", tsp="0.6 g"),
            bought("oats", OATS, "800 g", "110 g"),
            bought(
                "nuts",
                "Nuts, mixed nuts, dry roasted, with peanuts, without salt added",
                "900 g",
                "120 g",
            ),
        ],
        batch=[
            batch(
                "curry",
                {"05096": "1.5 kg", RICE: "800 g", "Onions, raw": "500 g"},
                {**SIMMERED, "salt": "25 g"},
                {"method": "freeze", "time": "36 h"},
                moisture="2 %",
                storage={
                    "time": "8 months",
                    "temperature": "18 °C",
                    "oxygen_absorber": True,
                    "where": "before the trip",
                },
            ),
            batch("strawberries", {"Strawberries, raw": "3 kg"}, RAW, {"method": "freeze"}),
        ],
    ),
    "many supplements": pack(
        person("male", 49, "79 kg", "182 cm", vegetarian=True),
        [
            walk("heath", 10, "6 h, 4 km/h, 12 kg", air="29 °C, 50 %", drink="6 L"),
        ],
        [
            portioned("multivitamin", "26 g", "1 tablet", piece="1.3 g"),
            portioned("B12", "5 g", "1 tablet", piece="0.25 g"),
            portioned("vitamin D", "3 g", "1 capsule", piece="0.3 g"),
            portioned("magnesium citrate", "32 g", "2 tablets", piece="0.8 g"),
            portioned("salt capsule", "36 g", "4 capsules", piece="0.9 g"),
            portioned("vitamin C powder", "20 g", "1 g"),
            bought("oats", OATS, "1.5 kg", "150 g"),
            bought("lentils", "Lentils, raw", "1.5 kg", "140 g"),
            bought("nuts", "Nuts, almonds", "1 kg", "90 g"),
            bought("dates", "Dates, deglet noor", "1.5 kg", "140 g"),
            bought("cheese", "Cheese, parmesan, hard", "800 g", "70 g"),
        ],
        label=[
            label(
                "multivitamin",
                "1.3 g",
                {
                    "VITC": "80 mg",
                    "THIA": "1.1 mg",
                    "RIBF": "1.4 mg",
                    "NIA": "16 mg",
                    "VITB6A": "1.4 mg",
                    "VITB12": "2.5 ug",
                    "ZN": "10 mg",
                    "SE": "55 ug",
                    "CU": "0.5 mg",
                },
                kind="supplement",
                scheme="EU NRV",
                forms={"NIA": "nicotinamide"},
                elements="ZN SE CU",
            ),
            label("B12", "0.25 g", {"VITB12": "1000 ug"}, kind="supplement"),
            label("vitamin D", "0.3 g", {"VITD": "4000 IU"}, kind="supplement"),
            label(
                "magnesium citrate",
                "1.6 g",
                {"MG": "200 mg"},
                kind="supplement",
                compounds={"MG": "trimagnesium dicitrate (anhydrous)"},
                elements="MG",
            ),
            label(
                "salt capsule",
                "0.9 g",
                {"NA": "215 mg", "K": "63 mg", "MG": "11 mg", "CA": "22 mg"},
                kind="supplement",
                elements="NA K MG CA",
            ),
            label("vitamin C powder", "1 g", {"VITC": "1 g"}, kind="supplement"),
        ],
    ),
    "bars, gels and drinks by their labels": pack(
        person("female", 30, "57 kg", "166 cm", acclimatised=True),
        [
            walk(
                "run",
                5,
                "6 h, 7.5 km/h, 4 kg",
                air="27 °C, 45 %",
                hills="1100 m",
                surface="dirt road",
                drink="6 L",
                sweat_rate="0.9 L/h",
            ),
        ],
        [
            portioned("nut bar", "900 g", "4 bars", piece="45 g"),
            portioned("gel", "1.2 kg", "6 pieces", piece="40 g"),
            portioned("drink powder", "1.2 kg", "6 servings"),
            portioned("electrolyte tablet", "90 g", "4 tablets", piece="4.5 g"),
            portioned("tuna", "400 g", "1 pouch", piece="80 g"),
            bought("rice", RICE, "700 g", "140 g"),
            bought("oil", OIL, "200 g", "3 tbsp", tsp="4.5 g"),
        ],
        label=[
            label(
                "nut bar",
                "100 g",
                {
                    "ENERC_KCAL": "490 kcal",
                    "FAT": "29 g",
                    "CHOCDF": "42 g",
                    "PROCNT": "14 g",
                    "FIBTG": "6 g",
                    "NACL": "0.4 g",
                    "MG": "120 mg",
                },
            ),
            label(
                "gel",
                "40 g",
                {"ENERC_KCAL": "88 kcal", "CHOCDF": "22 g", "NA": "55 mg", "CAFFN": "50 mg"},
            ),
            label(
                "drink powder",
                "38 g",
                {"ENERC_KCAL": "142 kcal", "CHOCDF": "35 g", "NA": "380 mg", "K": "90 mg"},
                kind="drink mix",
                fortified=["NA", "K"],
            ),
            label(
                "electrolyte tablet",
                "4.5 g",
                {
                    "ENERC_KCAL": "8 kcal",
                    "CHOCDF": "1.6 g",
                    "NA": "360 mg",
                    "K": "70 mg",
                    "MG": "56 mg",
                    "CA": "120 mg",
                    "VITC": "40 mg",
                },
                kind="drink mix",
                fortified=["NA", "K", "MG", "CA", "VITC"],
            ),
            label(
                "tuna",
                "80 g",
                {
                    "ENERC_KCAL": "92 kcal",
                    "PROCNT": "21 g",
                    "FAT": "0.8 g",
                    "CHOCDF": "0 g",
                    "NA": "290 mg",
                },
            ),
        ],
    ),
    "canned and cured": pack(
        person("male", 55, "92 kg", "178 cm"),
        [
            walk("canoe", 9, "2 h, 3 km/h, 20 kg", air="25 °C, 60 %", drink="4 L"),
        ],
        [
            portioned("chili", "1.4 kg", "150 g"),
            portioned("jerky", "600 g", "60 g"),
            bought("polenta", "20022", "1.2 kg", "120 g"),
            bought("peanut butter", "Peanut butter, smooth style, without salt", "900 g", "90 g"),
            bought(
                "tortillas",
                "Tortillas, ready-to-bake or -fry, flour, without added calcium",
                "1.5 kg",
                "160 g",
            ),
            bought(
                "coffee", "Beverages, coffee, instant, regular, powder", "60 g", "4 tsp", tsp="1 g"
            ),
            bought("sugar", "Sugars, granulated", "500 g", "8 tsp", tsp="4.2 g"),
        ],
        batch=[
            batch(
                "chili",
                {
                    "Beans, kidney, red, mature seeds, canned, drained solids": "3 kg",
                    "Tomatoes, red, ripe, canned, packed in tomato juice": "2 kg",
                    "23557": "1.5 kg",
                },
                {**SIMMERED, "salt": "15 g"},
                air("63 °C", "11 h"),
            ),
            batch(
                "jerky",
                {"Beef, ground, 95% lean meat / 5% fat, raw": "2 kg"},
                {"kind": "cooked", "method": "baked", "liquid": "kept", "salt": "60 g"},
                air("70 °C", "7 h"),
            ),
        ],
    ),
    "jars of glass": pack(
        person("female", 63, "71 kg", "162 cm", postmenopausal=True, conditions=["heart"]),
        [
            walk("meadow", 5, "3 h, 3 km/h, 8 kg", air="23 °C, 55 %", hills="200 m", drink="3 L"),
        ],
        [
            portioned(
                "ratatouille", "330 g", "65 g", container="glass jar", container_mass="420 g"
            ),
            bought(
                "honey",
                "Honey",
                "250 g",
                "2 tbsp",
                container="glass jar",
                container_mass="210 g",
                tsp="7 g",
            ),
            bought("bread", "Bread, rye", "700 g", "140 g"),
            bought("lentils", "Lentils, raw", "350 g", "70 g"),
            bought("cheese", "Cheese, brie", "300 g", "60 g"),
            bought("pears", "Pears, dried, sulfured, uncooked", "400 g", "80 g"),
        ],
        batch=[
            batch(
                "ratatouille",
                {
                    "Eggplant, raw": "2 kg",
                    "Peppers, sweet, red, raw": "1.5 kg",
                    "Squash, summer, zucchini, includes skin, raw": "2 kg",
                },
                {"kind": "cooked", "method": "braised", "liquid": "kept", "salt": "25 g"},
                air("60 °C", "13 h"),
            ),
        ],
    ),
    "big batches for a season": pack(
        person("male", 36, "88 kg", "186 cm"),
        [
            walk(
                "traverse",
                16,
                "8 h, 3.5 km/h, 24 kg",
                air="24 °C, 45 %",
                hills="800 m",
                drink="6 L",
            ),
        ],
        [
            portioned("tomato", "500 g", "4 tbsp", tsp="2.6 g"),
            portioned("potato", "2.2 kg", "135 g"),
            portioned("turkey", "1.7 kg", "105 g"),
            portioned("granola", "1.9 kg", "115 g"),
            bought("oil", OIL, "1.2 kg", "5 tbsp", tsp="4.5 g"),
            bought("milk", MILK, "1 kg", "8 tbsp", tsp="2.5 g"),
            bought("raisins", "Raisins, seedless", "1.5 kg", "90 g"),
            bought("pepper", "Spices, pepper, black", "30 g", "0.25 tsp", tsp="2.3 g"),
        ],
        batch=[
            batch(
                "tomato",
                {"Tomatoes, red, ripe, raw, year round average": "30 kg"},
                RAW,
                air("55 °C", "20 h"),
                ground=True,
            ),
            batch(
                "potato", {"Potatoes, flesh and skin, raw": "12 kg"}, BOILED, air("62 °C", "12 h")
            ),
            batch(
                "turkey",
                {"Turkey, Ground, raw": "7 kg"},
                {**FRIED, "salt": "70 g"},
                air("70 °C", "9 h"),
            ),
            batch(
                "granola",
                {OATS: "1.5 kg", "Honey": "300 g", "Nuts, almonds": "400 g"},
                {"kind": "cooked", "method": "baked"},
                air("60 °C", "4 h"),
            ),
        ],
    ),
    "a reserve that comes home": pack(
        person("female", 22, "63 kg", "169 cm"),
        [
            walk(
                "trek",
                12,
                "7 h, 3.5 km/h, 15 kg",
                air="21 °C, 50 %",
                hills="600 m",
                drink="5 L",
                count_shortest=8,
            ),
        ],
        [
            portioned("hummus", "1.3 kg", "90 g", tsp="2.7 g"),
            portioned("pumpkin", "420 g", "30 g"),
            bought("oats", OATS, "1.8 kg", "120 g"),
            bought("sunflower", "Seeds, sunflower seed kernels, dried", "900 g", "60 g"),
            bought("honey", "Honey", "500 g", "1 tbsp", tsp="7 g"),
            bought("noodles", "Macaroni, dry, unenriched", "1.6 kg", "110 g"),
            bought("salt", "Salt, table", "125 g", "0.5 tsp", tsp="6 g"),
        ],
        batch=[
            batch(
                "hummus",
                {
                    "Chickpeas (garbanzo beans, bengal gram), mature seeds, raw": "1.5 kg",
                    TAHINI: "300 g",
                },
                {**BOILED, "salt": "30 g"},
                air("60 °C", "8 h"),
                ground=True,
            ),
            batch("pumpkin", {"Pumpkin, raw": "6 kg"}, STEAM, air("57 °C", "12 h")),
        ],
    ),
}

for _plan in HONEST.values():  # who adds salt has looked whether it is iodised
    _plan.setdefault("trip", {}).setdefault("iodised_salt", True)
