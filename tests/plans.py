"""Plans for tests, as the text form has them: of parts, the samples, hostile and drawn ones.

What the two forms may hold is drawn in ``tests/plan/generated.py``: such plans need not be edible.
"""

from __future__ import annotations

import copy
import functools
import tomllib
from pathlib import Path
from typing import Any

from hypothesis import strategies as st

import nutricheck as nc
from nutricheck.check_plan import Result
from nutricheck.plan.models import Plan
from nutricheck.plan.read import plan_from_data
from nutricheck.units import number_text

Entry = dict[str, Any]

# ---------------------------------------------------------------- parts of a plan

RAW: Entry = {"kind": "raw"}
BOILED: Entry = {"kind": "cooked", "method": "boiled", "liquid": "kept"}
STEAMED: Entry = {"kind": "cooked", "method": "steamed"}
FRIED: Entry = {"kind": "cooked", "method": "fried", "liquid": "kept"}
SIMMERED: Entry = {"kind": "cooked", "method": "simmered", "liquid": "kept"}
STEAM: Entry = {"kind": "blanched", "method": "steam"}


def air(temperature: str, time: str, method: str = "hot air") -> Entry:
    return {"method": method, "temperature": temperature, "time": time}


def batch(
    name: str, foods: dict[str, str], preparation: Entry, drying: Entry, **more: Any
) -> Entry:
    ingredients = [{"food": food, "mass": mass} for food, mass in foods.items()]
    fields = {"ingredients": ingredients, "preparation": preparation, "drying": drying}
    return {"name": name, **fields, **more}


def food(item: str, name: str, mass: str, **more: Any) -> Entry:
    return {"item": item, "food": name, "mass": mass, **more}


def bag(item: str, mass: str, **more: Any) -> Entry:
    return {"item": item, "mass": mass, "container": "bag", "container_mass": "10 g", **more}


def eat(item: str, amount: str = "", over: str = "", days: tuple[str, ...] = ()) -> Entry:
    how = {"amount": amount} if amount else {"over": over}
    return {"item": item, **how, **({"days": list(days)} if days else {})}


def day(name: str, count: int, moving: str, pace: str, pack: str, **more: Any) -> Entry:
    return {"name": name, "count": count, "moving": moving, "pace": pace, "pack": pack, **more}


def person(sex: str, age: int, mass: str, height: str, **more: Any) -> Entry:
    return {"sex": sex, "age": age, "mass": mass, "height": height, **more}


def plan(who: Entry, days: list[Entry], **sections: list[Entry]) -> Entry:
    return {"trip": {"cooking": "cooks"}, "person": who, "days": days, **sections}


WOMAN = person("female", 34, "61 kg", "168 cm")
MAN = person("male", 35, "75 kg", "178 cm")

# ---------------------------------------------------------------- the samples

SAMPLES = Path(__file__).parents[1] / "samples"


def plan_of_text(text: str) -> Plan:
    """The plan that a text says."""
    return plan_from_data(tomllib.loads(text))


def sample(name: str) -> Entry:
    """A sample plan as the dictionary that its text is."""
    return tomllib.loads((SAMPLES / f"{name}.toml").read_text("utf-8"))


@functools.cache
def checked(name: str, draws: int = 0, reference: str = "DRI") -> Result:
    """A sample's result; made once for all tests."""
    return nc.check(SAMPLES / f"{name}.toml", draws=draws, reference=reference)


def changed(
    plan: Entry,
    portions: dict[int, float],
    longest: dict[int, int],
    shortest: dict[int, int],
) -> Entry:
    """The plan with grams of some portions and counts of some day types changed, by number."""
    plan = copy.deepcopy(plan)
    for number, grams in portions.items():
        plan["portions"][number].pop("over", None)
        plan["portions"][number]["amount"] = f"{grams} g"
    for number, count in longest.items():
        plan["days"][number]["count"] = count
    for number, count in shortest.items():
        plan["days"][number]["count_shortest"] = count
    return plan


def spread_plan() -> Entry:
    """Two foods spread over the trip, one of them on one kind of day alone."""
    return plan(
        WOMAN,
        [
            day("walk", 20, "5 h", "4 km/h", "12 kg", count_shortest=14),
            day("rest", 8, "1 h", "4 km/h", "3 kg", count_shortest=6),
        ],
        packed=[
            food("almonds", "Nuts, almonds", "2.8 kg"),
            food("raisins", "Raisins, seedless", "1.4 kg"),
            food("oats", "Cereals, oats, regular and quick, not fortified, dry", "8 kg"),
        ],
        portions=[
            eat("almonds", over="the trip"),
            eat("raisins", over="The  Trip", days=("walk",)),
            eat("oats", "250 g"),
        ],
    )


def legs_plan() -> Entry:
    """Two legs: almonds on both, raisins from the second on."""
    almonds = "Nuts, almonds"
    return plan(
        WOMAN,
        [day("walk", 12, "5 h", "4 km/h", "12 kg")],
        legs=[
            {"name": "south", "days": 5, "filled": "home", "limit": "3 kg"},
            {"name": "north", "days": 7},
        ],
        packed=[
            food("almonds", almonds, "1 kg", container="bag", container_mass="20 g"),
            food(
                "almonds", almonds, "1.4 kg", container="box", container_mass="100 g", leg="north"
            ),
            food("raisins", "Raisins, seedless", "500 g", leg="North"),
        ],
        carried=[{"name": "bottles", "mass": "200 g"}],
        portions=[eat("almonds", "200 g"), eat("raisins", "100 g", days=("walk",))],
    )


def people_plan() -> Entry:
    """Two who eat from one pack: shares, portions of their own, one spread over the trip, a drink
    on the way."""
    return plan(
        {**WOMAN, "name": "Ada"},
        [
            day("walk", 10, "5 h", "4 km/h", "12 kg", count_shortest=8, energy="2500 kcal"),
            day("rest", 2, "1 h", "4 km/h", "3 kg", count_shortest=2),
        ],
        companions=[{**MAN, "name": "Ben", "share": "150 %"}],
        packed=[
            food("almonds", "Nuts, almonds", "6 kg", container="bag", container_mass="50 g"),
            food("oats", "08120", "3 kg"),
            food("raisins", "Raisins, seedless", "480 g"),
            food("walnuts", "Nuts, walnuts, english", "1.2 kg"),
            food("sugar", "19335", "720 g"),
        ],
        carried=[
            {"name": "pot", "mass": "300 g"},
            {"name": "bottles", "mass": "100 g", "holds": "6 L"},
        ],
        ferment=[
            {
                "name": "drink",
                "kind": "sugar",
                "parts": [{"item": "sugar", "mass": "60 g"}],
                "water": "1 L",
                "time": "24 h",
            }
        ],
        portions=[
            eat("almonds", "200 g"),
            {**eat("oats", "100 g"), "who": ["Ada"]},
            {**eat("oats", "150 g"), "who": ["ben"]},
            {**eat("raisins", over="the trip"), "who": ["Ada"]},
            eat("walnuts", over="12 days"),
            {**eat("drink", "1 batch"), "who": ["Ben"]},
        ],
    )


def coeliac_plan() -> Entry:
    """July's survey by a coeliac: what holds oats stays at home, and counts towards no enough."""
    plan = sample("july_survey")
    plan["person"]["conditions"] = ["coeliac"]
    return plan


def cold_plan() -> Entry:
    """The light pack on a trip that heats nothing, with raw lentils and liver that cannot be eaten.

    The liver passes the upper level of retinol all the same.
    """
    plan = sample("light_pack")
    plan["trip"]["cooking"] = "cold soak"
    plan["packed"] += [
        {"item": "lentils", "food": "Lentils, raw", "mass": "1 kg"},
        {
            "item": "liver",
            "food": "Beef, variety meats and by-products, liver, raw",
            "mass": "1 kg",
        },
    ]
    plan["portions"] += [
        {"item": "lentils", "amount": "60 g"},
        {"item": "liver", "amount": "80 g", "days": ["transect"]},
    ]
    return plan


# ---------------------------------------------------------------- hostile ones

#: Names that would do harm where text is taken for markup, script, template or direction.
HOSTILE = (
    "</script><script>document.title='harm'</script>",
    "<img src=x onerror=\"document.title='harm'\">",
    "\"'><svg onload=document.title='harm'>",
    "{{ 7 * 7 }}{% raw %}${document.title='harm'}",
    "<!--\u2028\u2029\u202etxet\u202c &amp; ]]>",
)


def hostile_plan() -> Entry:
    """A plan of which every name is hostile."""
    title, day, batch, item, label = HOSTILE
    return {
        "trip": {"title": title, "notes": f"{batch} {item}"},
        "person": {"sex": "male", "age": 40, "mass": "80 kg", "height": "180 cm"},
        "days": [
            {"name": day, "count": 5, "moving": "6 h", "air_temperature": "32 °C"},
            {"name": title, "count": 1},
        ],
        "batch": [{"name": batch, "ingredients": [{"food": "Spinach, raw", "mass": "2 kg"}]}],
        "label": [
            {
                "name": label,
                "kind": "supplement",
                "serving": "1 g",
                "amounts": {"MG": "300 mg", "VITE": "400 IU"},
                "compounds": {"MG": "magnesium oxide"},
                "forms": {"VITE": "all-rac-alpha-tocopherol"},
            }
        ],
        "packed": [
            {"item": batch, "mass": "100 g", "container": title},
            {"item": label, "mass": "6 g"},
            {"item": item, "food": "Nuts, almonds", "mass": "600 g"},
        ],
        "portions": [
            {"item": batch, "amount": "10 g"},
            {"item": label, "amount": "1 g", "days": [day]},
            {"item": item, "amount": "100 g"},
        ],
    }


#: A plan whose names try to be formulas, and whose parts are at the edge of what is allowed:
#: several ingredients with different unknowns, salt, a mix in a mix, an item packed twice, a kind
#: of day of which the longest trip has none, a day without food, labels that can be read two ways.
FORMULAS: Entry = {
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


# ---------------------------------------------------------------- drawn ones: any food, any way

#: Foods of SR28 by id, of different classes, and ways they are prepared.
PLANT_FOODS = ["11457", "11529", "11124", "09003", "11507", "11282", "11304", "16069", "20036"]
MEAT_FOODS = ["23557", "01123", "15008"]
WAYS_THAT_KEEP = [
    {"kind": "raw"},
    {"kind": "blanched", "method": "steam"},
    {"kind": "cooked", "method": "boiled", "liquid": "kept"},
    {"kind": "cooked", "method": "steamed"},
]
WAYS_THAT_DRAIN = [
    {"kind": "cooked", "method": "boiled", "liquid": "drained"},
    {"kind": "fermented", "liquid": "kept", "salt": "20 g", "sugars_used": "80 %"},
]
WAYS_OF_MEAT = [
    {"kind": "cooked", "method": "fried", "liquid": "kept"},
    {"kind": "cooked", "method": "baked", "liquid": "drained"},
]
WAYS_OF_DRYING = [
    {"temperature": "40 °C", "time": "20 h"},
    {"temperature": "57 °C", "time": "9 h"},
    {"temperature": "68 °C", "time": "7 h"},
]
#: Foods that are packed as they are; some of their values are unknown.
BOUGHT_FOODS = ["12061", "09298", "04053", "20038", "01009", "19165", "16397"]

portion_g = st.integers(1, 3000).map(lambda tenth: tenth / 10)


@st.composite
def drawn_batches(draw: st.DrawFn, name: str = "batch") -> Entry:
    """One batch as the text form has it; its moisture given or left to its class."""
    is_meat = draw(st.booleans())
    foods = draw(
        st.lists(st.sampled_from(MEAT_FOODS if is_meat else PLANT_FOODS), min_size=1, max_size=3)
    )
    masses = [draw(st.integers(50, 4000)) for _ in foods]
    plan_data: Entry = {
        "name": name,
        "ingredients": [
            {"food": food, "mass": f"{mass} g"} for food, mass in zip(foods, masses, strict=True)
        ],
        "preparation": draw(
            st.sampled_from(WAYS_OF_MEAT if is_meat else WAYS_THAT_KEEP + WAYS_THAT_DRAIN)
        ),
        "drying": draw(st.sampled_from(WAYS_OF_DRYING)),
    }
    if draw(st.booleans()):
        plan_data["moisture"] = f"{draw(st.integers(2, 7))} %"
    if draw(st.booleans()):
        plan_data["storage"] = {"time": "2 months", "temperature": "22 °C"}
    return plan_data


@st.composite
def drawn_plans(draw: st.DrawFn) -> Entry:
    """A whole plan: up to two batches, up to three bought foods, each portioned in grams."""
    batches = [draw(drawn_batches(name=f"batch {i}")) for i in range(draw(st.integers(1, 2)))]
    bought = draw(st.lists(st.sampled_from(BOUGHT_FOODS), max_size=3, unique=True))
    items = [batch["name"] for batch in batches] + [f"food {food}" for food in bought]
    packed = [{"item": batch["name"], "mass": "5 kg"} for batch in batches]
    packed += [{"item": f"food {food}", "food": food, "mass": "5 kg"} for food in bought]
    day: Entry = {"name": "day", "count": 3, "moving": "5 h", "pace": "4 km/h"}
    return {
        "person": {
            "sex": draw(st.sampled_from(["female", "male"])),
            "age": draw(st.integers(18, 80)),
            "mass": "66 kg",
            "height": "170 cm",
        },
        "days": [day | {"air_temperature": "31 °C", "humidity": "40 %"}],
        "batch": batches,
        "packed": packed,
        "portions": [{"item": item, "amount": f"{draw(portion_g)} g"} for item in items],
    }


def with_portions(plan: Entry, factor: float, only: int | None = None) -> Entry:
    """The plan with its portions times ``factor``, or one of them."""
    changed = copy.deepcopy(plan)
    for number, portion in enumerate(changed["portions"]):
        if only in (None, number):
            mass = float(portion["amount"].removesuffix(" g")) * factor
            portion["amount"] = in_grams(mass)
    return changed


def in_grams(mass_g: float) -> str:
    """A mass as a plan has it, its point never taken for a thousands mark."""
    return f"{number_text(float(f'{mass_g:.15g}'))} g"
