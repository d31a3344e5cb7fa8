"""Honest plans of varied people and packs, of which nothing is to be asked."""

from __future__ import annotations

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

HONEST: dict[str, Entry] = {
    "in pounds and Fahrenheit": plan(
        person("female", 29, "148 lb", "5 ft 6 in"),
        [
            day(
                "trail",
                9,
                "7 h",
                "2.2 mph",
                "31 lb",
                climb="1800 ft",
                descent="1800 ft",
                air_temperature="88 °F",
                humidity="35 %",
                drink="5 US quarts",
            ),
            day("zero day", 1, "1 h", "2 mph", "3 lb", air_temperature="86 °F", humidity="40 %"),
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
        packed=[
            bag("chili", "2.4 lb", tsp="0.1 oz"),
            bag("peaches", "12 oz"),
            food("oats", OATS, "2 lb"),
            food("almonds", "Nuts, almonds", "1.5 lb"),
            food("oil", OIL, "12 oz", tsp="4.5 g"),
        ],
        portions=[
            eat("chili", "3.8 oz"),
            eat("peaches", "1.2 oz"),
            eat("oats", "3 oz"),
            eat("almonds", "2.4 oz"),
            eat("oil", "2 tbsp"),
        ],
    ),
    "a man of sixty-seven on short walks": plan(
        person("male", 67, "81 kg", "176 cm", acclimatised=True),
        [day("walk", 6, "3 h", "3 km/h", "7 kg", air_temperature="26 °C", humidity="60 %")],
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
            )
        ],
        packed=[
            bag("pea soup", "1.1 kg", tsp="2.8 g"),
            food("bread", "18069", "1 kg"),
            food("cheese", "Cheese, cheddar", "500 g"),
            food("bananas", "Bananas, raw", "750 g"),
        ],
        portions=[
            eat("pea soup", "170 g"),
            eat("bread", "5 slices"),
            eat("cheese", "80 g"),
            eat("bananas", "1 medium"),
        ],
    ),
    "a girl of fourteen": plan(
        person("female", 14, "50 kg", "160 cm"),
        [
            day(
                "scouting",
                5,
                "4 h",
                "3.5 km/h",
                "7 kg",
                climb="250 m",
                descent="250 m",
                air_temperature="28 °C",
                humidity="50 %",
                drink="3 L",
            )
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
            )
        ],
        packed=[
            bag("bolognese", "480 g"),
            food("noodles", "Macaroni, dry, unenriched", "600 g"),
            food("raisins", "Raisins, seedless", "250 g"),
            food("oats", OATS, "400 g"),
            food("milk", MILK, "150 g", tsp="2.6 g"),
            food("chocolate", "Chocolate, dark, 70-85% cacao solids", "200 g"),
        ],
        portions=[
            eat("bolognese", "90 g"),
            eat("noodles", "120 g"),
            eat("raisins", "50 g"),
            eat("oats", "80 g"),
            eat("milk", "4 tbsp"),
            eat("chocolate", "40 g"),
        ],
    ),
    "pregnant": plan(
        person("female", 31, "66 kg", "170 cm", life_stage="pregnancy"),
        [day("stroll", 4, "2.5 h", "3 km/h", "4 kg", air_temperature="24 °C", humidity="55 %")],
        batch=[
            batch(
                "lentil dal",
                {"Lentils, raw": "900 g", "Spinach, raw": "600 g", "Carrots, raw": "400 g"},
                {**BOILED, "salt": "14 g"},
                air("62 °C", "9 h"),
            )
        ],
        label=[
            {
                "name": "prenatal tablet",
                "kind": "supplement",
                "serving": "1.5 g",
                "amounts": {"FOL": "400 ug", "FE": "27 mg", "ID": "150 ug", "VITD": "10 ug"},
                "forms": {"FOL": "folic acid"},
                "states": {"FE": "element", "ID": "element"},
            }
        ],
        packed=[
            bag("lentil dal", "800 g", tsp="2.7 g"),
            bag("prenatal tablet", "15 g", piece="1.5 g"),
            food("rice", RICE, "500 g"),
            food("walnuts", "Nuts, walnuts, english", "200 g"),
            food("apricots", "Apricots, dried, sulfured, uncooked", "250 g"),
        ],
        portions=[
            eat("lentil dal", "180 g"),
            eat("prenatal tablet", "1 tablet"),
            eat("rice", "110 g"),
            eat("walnuts", "40 g"),
            eat("apricots", "50 g"),
        ],
    ),
    "breast-feeding": plan(
        person("female", 36, "59 kg", "163 cm", life_stage="lactation"),
        [
            day(
                "hut to hut",
                3,
                "5 h",
                "3.5 km/h",
                "6 kg",
                climb="500 m",
                descent="400 m",
                air_temperature="20 °C",
                humidity="50 %",
                drink="4 L",
            )
        ],
        batch=[
            batch(
                "omelette",
                {"Egg, whole, raw, fresh": "900 g"},
                {"kind": "cooked", "method": "scrambled"},
                air("65 °C", "9 h"),
                moisture="4 %",
            )
        ],
        packed=[
            bag("omelette", "180 g", tsp="2.1 g"),
            food("oats", OATS, "350 g"),
            food("hazelnuts", "Nuts, hazelnuts or filberts", "180 g"),
            food("dates", "Dates, deglet noor", "400 g"),
            food("crispbread", "18216", "400 g"),
            food("cheese", "Cheese, parmesan, hard", "250 g"),
        ],
        portions=[
            eat("omelette", "55 g"),
            eat("oats", "110 g"),
            eat("hazelnuts", "60 g"),
            eat("dates", "120 g"),
            eat("crispbread", "120 g"),
            eat("cheese", "80 g"),
        ],
    ),
    "a heavy man": plan(
        person("male", 41, "128 kg", "188 cm", conditions=["diabetes", "blood pressure"]),
        [
            day(
                "river path",
                10,
                "5 h",
                "3 km/h",
                "16 kg",
                climb="150 m",
                descent="150 m",
                air_temperature="29 °C",
                humidity="65 %",
                drink="6 L",
            ),
            day("rest", 2, "0.5 h", "2.5 km/h", "2 kg", air_temperature="30 °C", humidity="60 %"),
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
        packed=[
            bag("chicken", "1.1 kg"),
            bag("zucchini", "260 g"),
            food("rice", RICE, "2.2 kg"),
            food("peanuts", "Peanuts, all types, dry-roasted, without salt", "1.2 kg"),
            food("oil", OIL, "500 g", container="bottle", container_mass="60 g", tsp="4.5 g"),
        ],
        portions=[
            eat("chicken", "90 g"),
            eat("zucchini", "20 g"),
            eat("rice", "180 g"),
            eat("peanuts", "100 g"),
            eat("oil", "3 tbsp"),
        ],
    ),
    "a small vegetarian who ferments": plan(
        person("female", 52, "44 kg", "151 cm", vegetarian=True, postmenopausal=True),
        [
            day(
                "forest",
                12,
                "5 h",
                "3.2 km/h",
                "9 kg",
                climb="300 m",
                descent="300 m",
                air_temperature="27 °C",
                humidity="70 %",
                drink="4 L",
            )
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
                    {
                        "food": TAHINI,
                        "mass": "200 g",
                    },
                ],
            }
        ],
        packed=[
            bag("soup powder", "720 g", tsp="2.5 g"),
            bag("kimchi", "120 g"),
            food("quinoa", "Quinoa, uncooked", "1.4 kg"),
            food("cashews", "Nuts, cashew nuts, raw", "600 g"),
            food("raisins", "Raisins, seedless", "600 g"),
        ],
        portions=[
            eat("soup powder", "8 tbsp"),
            eat("kimchi", over="12 days"),
            eat("quinoa", "115 g"),
            eat("cashews", "50 g"),
            eat("raisins", "50 g"),
        ],
    ),
    "forty days of desert": plan(
        person("male", 38, "72 kg", "179 cm", acclimatised=True),
        [
            day(
                "march",
                36,
                "6 h",
                "4 km/h",
                "25 kg",
                surface="loose sand",
                air_temperature="44 °C",
                humidity="7 %",
                drink="11 L",
            ),
            day("well", 4, "0", "0 km/h", "0 kg", air_temperature="43 °C", humidity="8 %")
            | {"moving": "0 h"},
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
        packed=[
            bag("elk", "2.6 kg"),
            bag("onion", "600 g"),
            food("couscous", "Couscous, dry", "8 kg"),
            food("dates", "Dates, deglet noor", "9 kg"),
            food("oil", OIL, "3 kg", tsp="4.5 g"),
            food("milk", MILK, "3 kg", tsp="2.6 g"),
            food("salt", "Salt, table", "500 g", tsp="6 g"),
            food("tea", "Beverages, tea, instant, unsweetened, powder", "60 g"),
        ],
        portions=[
            eat("elk", "65 g"),
            eat("onion", over="40 days"),
            eat("couscous", "200 g"),
            eat("dates", "220 g"),
            eat("oil", "5 tbsp"),
            eat("milk", "9 tbsp"),
            eat("salt", "1.5 tsp"),
            eat("tea", "1 g"),
        ],
    ),
    "wet tropics": plan(
        person("female", 26, "55 kg", "165 cm"),
        [
            day(
                "jungle",
                8,
                "5 h",
                "2 km/h",
                "13 kg",
                climb="350 m",
                descent="350 m",
                surface="heavy brush",
                air_temperature="33 °C",
                humidity="78 %",
                drink="7 L",
            )
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
        packed=[
            bag("mango", "900 g"),
            bag("fish", "500 g"),
            food("rice", RICE, "1.6 kg"),
            food("coconut", "Nuts, coconut meat, dried (desiccated), not sweetened", "600 g"),
            food("salt", "Salt, table", "80 g"),
        ],
        portions=[
            eat("mango", "110 g"),
            eat("fish", "60 g"),
            eat("rice", "200 g"),
            eat("coconut", "70 g"),
            eat("salt", "8 g"),
        ],
    ),
    "cold ridges, expenditure measured": plan(
        person("male", 24, "76 kg", "183 cm"),
        [
            day(
                "ridge",
                11,
                "9 h",
                "3 km/h",
                "22 kg",
                climb="1400 m",
                descent="1200 m",
                air_temperature="-4 °C",
                humidity="70 %",
                energy="5200 kcal",
                drink="4 L",
            ),
            day("storm", 2, "0 h", "0 km/h", "0 kg", air_temperature="-8 °C", energy="2600 kcal"),
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
            )
        ],
        packed=[
            bag("stew", "2.6 kg"),
            food("oats", OATS, "2 kg"),
            food("butter", "Butter, salted", "1.5 kg"),
            food("chocolate", "Chocolate, dark, 70-85% cacao solids", "1.8 kg"),
            food("salami", "Salami, dry or hard, pork", "1.3 kg"),
            food("crispbread", "18216", "1.6 kg"),
        ],
        portions=[
            eat("stew", "200 g"),
            eat("oats", "150 g"),
            eat("butter", "110 g"),
            eat("chocolate", "130 g"),
            eat("salami", "100 g"),
            eat("crispbread", "120 g"),
        ],
    ),
    "a weekend with fresh food": plan(
        person("male", 33, "84 kg", "190 cm"),
        [
            day(
                "loop",
                3,
                "5 h",
                "4 km/h",
                "8 kg",
                climb="400 m",
                descent="400 m",
                air_temperature="22 °C",
                humidity="50 %",
                drink="3 L",
            )
        ],
        packed=[
            food("bread", "18069", "500 g"),
            food("eggs", "Egg, whole, cooked, hard-boiled", "4 large"),
            food("cheese", "Cheese, gouda", "300 g"),
            food("apples", "Apples, raw, with skin", "1.2 kg"),
            food("tomatoes", "Tomatoes, red, ripe, raw, year round average", "400 g"),
            food("chocolate", "Chocolate, dark, 70-85% cacao solids", "200 g"),
            food("noodles", "Macaroni, dry, unenriched", "400 g"),
            food("pesto", "Nuts, pine nuts, dried", "100 g"),
            food("oil", OIL, "100 g"),
        ],
        portions=[
            eat("bread", "6 slices"),
            eat("eggs", "1.3 large"),
            eat("cheese", "90 g"),
            eat("apples", "2 medium"),
            eat("tomatoes", "1 medium whole"),
            eat("chocolate", "60 g"),
            eat("noodles", "130 g"),
            eat("pesto", "30 g"),
            eat("oil", "25 g"),
        ],
    ),
    "raw food at low heat, by the spoon": plan(
        person("female", 47, "60 kg", "171 cm"),
        [
            day(
                "walk",
                18,
                "5 h",
                "3.5 km/h",
                "11 kg",
                air_temperature="30 °C",
                humidity="45 %",
                drink="5 L",
            )
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
        packed=[
            bag("kale", "300 g", tsp="1.1 g"),
            bag("parsley", "45 g", tsp="0.5 g"),
            bag("nettle", "100 g", tsp="0.9 g"),
            bag("beet", "380 g", tsp="2.4 g"),
            bag("apple", "900 g"),
            bag("sprouts", "900 g"),
            food("almonds", "Nuts, almonds", "2 kg", piece="1.1 g"),
            food("flax", "Seeds, flaxseed", "900 g", tsp="3.4 g"),
            food("figs", "Figs, dried, uncooked", "2.5 kg"),
        ],
        portions=[
            eat("kale", "5 tbsp"),
            eat("parsley", "4 tsp"),
            eat("nettle", "2 tbsp"),
            eat("beet", "8 tsp"),
            eat("apple", "50 g"),
            eat("sprouts", "48 g"),
            eat("almonds", "95 almonds"),
            eat("flax", "4 tbsp"),
            eat("figs", "135 g"),
        ],
    ),
    "dried in the sun and the shade": plan(
        person("male", 58, "69 kg", "170 cm", smoker=True),
        [
            day(
                "goat path",
                14,
                "6 h",
                "3 km/h",
                "12 kg",
                climb="600 m",
                descent="600 m",
                air_temperature="35 °C",
                humidity="25 %",
                drink="7 L",
            )
        ],
        batch=[
            batch(
                "tomatoes",
                {"Tomatoes, red, ripe, raw, year round average": "12 kg"},
                {**RAW},
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
        packed=[
            bag("tomatoes", "700 g"),
            bag("mushrooms", "160 g"),
            bag("figs", "1.2 kg"),
            food("bulgur", "Bulgur, dry", "2.4 kg"),
            food("oil", OIL, "900 g", tsp="4.5 g"),
            food("feta", "Cheese, feta", "900 g"),
            food("walnuts", "Nuts, walnuts, english", "900 g"),
        ],
        portions=[
            eat("tomatoes", "45 g"),
            eat("mushrooms", "11 g"),
            eat("figs", "80 g"),
            eat("bulgur", "170 g"),
            eat("oil", "4 tbsp"),
            eat("feta", "60 g"),
            eat("walnuts", "60 g"),
        ],
    ),
    "freeze-dried": plan(
        person("female", 39, "68 kg", "174 cm"),
        [
            day(
                "plateau",
                7,
                "7 h",
                "4 km/h",
                "13 kg",
                climb="500 m",
                descent="500 m",
                air_temperature="18 °C",
                humidity="60 %",
                drink="4 L",
            )
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
        packed=[
            bag("curry", "1.2 kg"),
            bag("strawberries", "250 g", tsp="0.6 g"),
            food("oats", OATS, "800 g"),
            food(
                "nuts", "Nuts, mixed nuts, dry roasted, with peanuts, without salt added", "900 g"
            ),
        ],
        portions=[
            eat("curry", "170 g"),
            eat("strawberries", over="7 days"),
            eat("oats", "110 g"),
            eat("nuts", "120 g"),
        ],
    ),
    "many supplements": plan(
        person("male", 49, "79 kg", "182 cm", vegetarian=True),
        [
            day(
                "heath",
                10,
                "6 h",
                "4 km/h",
                "12 kg",
                air_temperature="29 °C",
                humidity="50 %",
                drink="6 L",
            )
        ],
        label=[
            {
                "name": "multivitamin",
                "kind": "supplement",
                "serving": "1.3 g",
                "scheme": "EU NRV",
                "amounts": {
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
                "states": {"ZN": "element", "SE": "element", "CU": "element"},
                "forms": {"NIA": "nicotinamide"},
            },
            {
                "name": "B12",
                "kind": "supplement",
                "serving": "0.25 g",
                "amounts": {"VITB12": "1000 ug"},
            },
            {
                "name": "vitamin D",
                "kind": "supplement",
                "serving": "0.3 g",
                "amounts": {"VITD": "4000 IU"},
            },
            {
                "name": "magnesium citrate",
                "kind": "supplement",
                "serving": "1.6 g",
                "amounts": {"MG": "200 mg"},
                "states": {"MG": "element"},
                "compounds": {"MG": "trimagnesium dicitrate (anhydrous)"},
            },
            {
                "name": "salt capsule",
                "kind": "supplement",
                "serving": "0.9 g",
                "amounts": {"NA": "215 mg", "K": "63 mg", "MG": "11 mg", "CA": "22 mg"},
                "states": {"NA": "element", "K": "element", "MG": "element", "CA": "element"},
            },
            {
                "name": "vitamin C powder",
                "kind": "supplement",
                "serving": "1 g",
                "amounts": {"VITC": "1 g"},
            },
        ],
        packed=[
            bag("multivitamin", "26 g", piece="1.3 g"),
            bag("B12", "5 g", piece="0.25 g"),
            bag("vitamin D", "3 g", piece="0.3 g"),
            bag("magnesium citrate", "32 g", piece="0.8 g"),
            bag("salt capsule", "36 g", piece="0.9 g"),
            bag("vitamin C powder", "20 g"),
            food("oats", OATS, "1.5 kg"),
            food("lentils", "Lentils, raw", "1.5 kg"),
            food("nuts", "Nuts, almonds", "1 kg"),
            food("dates", "Dates, deglet noor", "1.5 kg"),
            food("cheese", "Cheese, parmesan, hard", "800 g"),
        ],
        portions=[
            eat("multivitamin", "1 tablet"),
            eat("B12", "1 tablet"),
            eat("vitamin D", "1 capsule"),
            eat("magnesium citrate", "2 tablets"),
            eat("salt capsule", "4 capsules"),
            eat("vitamin C powder", "1 g"),
            eat("oats", "150 g"),
            eat("lentils", "140 g"),
            eat("nuts", "90 g"),
            eat("dates", "140 g"),
            eat("cheese", "70 g"),
        ],
    ),
    "bars, gels and drinks by their labels": plan(
        person("female", 30, "57 kg", "166 cm", acclimatised=True),
        [
            day(
                "run",
                5,
                "6 h",
                "7.5 km/h",
                "4 kg",
                climb="1100 m",
                descent="1100 m",
                surface="dirt road",
                air_temperature="27 °C",
                humidity="45 %",
                drink="6 L",
                sweat_rate="0.9 L/h",
            )
        ],
        label=[
            {
                "name": "nut bar",
                "serving": "100 g",
                "amounts": {
                    "ENERC_KCAL": "490 kcal",
                    "FAT": "29 g",
                    "CHOCDF": "42 g",
                    "PROCNT": "14 g",
                    "FIBTG": "6 g",
                    "NACL": "0.4 g",
                    "MG": "120 mg",
                },
            },
            {
                "name": "gel",
                "serving": "40 g",
                "amounts": {
                    "ENERC_KCAL": "88 kcal",
                    "CHOCDF": "22 g",
                    "NA": "55 mg",
                    "CAFFN": "50 mg",
                },
            },
            {
                "name": "drink powder",
                "kind": "drink mix",
                "serving": "38 g",
                "amounts": {
                    "ENERC_KCAL": "142 kcal",
                    "CHOCDF": "35 g",
                    "NA": "380 mg",
                    "K": "90 mg",
                },
                "fortified": ["NA", "K"],
            },
            {
                "name": "electrolyte tablet",
                "kind": "drink mix",
                "serving": "4.5 g",
                "amounts": {
                    "ENERC_KCAL": "8 kcal",
                    "CHOCDF": "1.6 g",
                    "NA": "360 mg",
                    "K": "70 mg",
                    "MG": "56 mg",
                    "CA": "120 mg",
                    "VITC": "40 mg",
                },
                "fortified": ["NA", "K", "MG", "CA", "VITC"],
            },
            {
                "name": "tuna",
                "serving": "80 g",
                "amounts": {
                    "ENERC_KCAL": "92 kcal",
                    "PROCNT": "21 g",
                    "FAT": "0.8 g",
                    "CHOCDF": "0 g",
                    "NA": "290 mg",
                },
            },
        ],
        packed=[
            bag("nut bar", "900 g", piece="45 g"),
            bag("gel", "1.2 kg", piece="40 g"),
            bag("drink powder", "1.2 kg"),
            bag("electrolyte tablet", "90 g", piece="4.5 g"),
            bag("tuna", "400 g", piece="80 g"),
            food("rice", RICE, "700 g"),
            food("oil", OIL, "200 g", tsp="4.5 g"),
        ],
        portions=[
            eat("nut bar", "4 bars"),
            eat("gel", "6 pieces"),
            eat("drink powder", "6 servings"),
            eat("electrolyte tablet", "4 tablets"),
            eat("tuna", "1 pouch"),
            eat("rice", "140 g"),
            eat("oil", "3 tbsp"),
        ],
    ),
    "canned and cured": plan(
        person("male", 55, "92 kg", "178 cm"),
        [
            day(
                "canoe",
                9,
                "2 h",
                "3 km/h",
                "20 kg",
                air_temperature="25 °C",
                humidity="60 %",
                drink="4 L",
            )
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
        packed=[
            bag("chili", "1.4 kg"),
            bag("jerky", "600 g"),
            food("polenta", "20022", "1.2 kg"),
            food("peanut butter", "Peanut butter, smooth style, without salt", "900 g"),
            food(
                "tortillas",
                "Tortillas, ready-to-bake or -fry, flour, without added calcium",
                "1.5 kg",
            ),
            food("coffee", "Beverages, coffee, instant, regular, powder", "60 g", tsp="1 g"),
            food("sugar", "Sugars, granulated", "500 g", tsp="4.2 g"),
        ],
        portions=[
            eat("chili", "150 g"),
            eat("jerky", "60 g"),
            eat("polenta", "120 g"),
            eat("peanut butter", "90 g"),
            eat("tortillas", "160 g"),
            eat("coffee", "4 tsp"),
            eat("sugar", "8 tsp"),
        ],
    ),
    "jars of glass": plan(
        person("female", 63, "71 kg", "162 cm", postmenopausal=True, conditions=["heart"]),
        [
            day(
                "meadow",
                5,
                "3 h",
                "3 km/h",
                "8 kg",
                climb="200 m",
                descent="200 m",
                air_temperature="23 °C",
                humidity="55 %",
                drink="3 L",
            )
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
            )
        ],
        packed=[
            {
                "item": "ratatouille",
                "mass": "330 g",
                "container": "glass jar",
                "container_mass": "420 g",
            },
            food(
                "honey", "Honey", "250 g", container="glass jar", container_mass="210 g", tsp="7 g"
            ),
            food("bread", "Bread, rye", "700 g"),
            food("lentils", "Lentils, raw", "350 g"),
            food("cheese", "Cheese, brie", "300 g"),
            food("pears", "Pears, dried, sulfured, uncooked", "400 g"),
        ],
        portions=[
            eat("ratatouille", "65 g"),
            eat("honey", "2 tbsp"),
            eat("bread", "140 g"),
            eat("lentils", "70 g"),
            eat("cheese", "60 g"),
            eat("pears", "80 g"),
        ],
    ),
    "big batches for a season": plan(
        person("male", 36, "88 kg", "186 cm"),
        [
            day(
                "traverse",
                16,
                "8 h",
                "3.5 km/h",
                "24 kg",
                climb="800 m",
                descent="800 m",
                air_temperature="24 °C",
                humidity="45 %",
                drink="6 L",
            )
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
        packed=[
            bag("tomato", "500 g", tsp="2.6 g"),
            bag("potato", "2.2 kg"),
            bag("turkey", "1.7 kg"),
            bag("granola", "1.9 kg"),
            food("oil", OIL, "1.2 kg", tsp="4.5 g"),
            food("milk", MILK, "1 kg", tsp="2.5 g"),
            food("raisins", "Raisins, seedless", "1.5 kg"),
            food("pepper", "Spices, pepper, black", "30 g", tsp="2.3 g"),
        ],
        portions=[
            eat("tomato", "4 tbsp"),
            eat("potato", "135 g"),
            eat("turkey", "105 g"),
            eat("granola", "115 g"),
            eat("oil", "5 tbsp"),
            eat("milk", "8 tbsp"),
            eat("raisins", "90 g"),
            eat("pepper", "0.25 tsp"),
        ],
    ),
    "a reserve that comes home": plan(
        person("female", 22, "63 kg", "169 cm"),
        [
            day(
                "trek",
                12,
                "7 h",
                "3.5 km/h",
                "15 kg",
                climb="600 m",
                descent="600 m",
                air_temperature="21 °C",
                humidity="50 %",
                drink="5 L",
                count_shortest=8,
            )
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
        packed=[
            bag("hummus", "1.3 kg", tsp="2.7 g"),
            bag("pumpkin", "420 g"),
            food("oats", OATS, "1.8 kg"),
            food("sunflower", "Seeds, sunflower seed kernels, dried", "900 g"),
            food("honey", "Honey", "500 g", tsp="7 g"),
            food("noodles", "Macaroni, dry, unenriched", "1.6 kg"),
            food("salt", "Salt, table", "125 g", tsp="6 g"),
        ],
        portions=[
            eat("hummus", "90 g"),
            eat("pumpkin", "30 g"),
            eat("oats", "120 g"),
            eat("sunflower", "60 g"),
            eat("honey", "1 tbsp"),
            eat("noodles", "110 g"),
            eat("salt", "0.5 tsp"),
        ],
    ),
}

for _plan in HONEST.values():  # who adds salt has looked whether it is iodised
    _plan.setdefault("trip", {}).setdefault("iodised_salt", True)
