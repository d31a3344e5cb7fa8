"""Made-up plans for property tests: real foods, any preparation, drying, end point and portion."""

from __future__ import annotations

import copy
from typing import Any

from hypothesis import strategies as st

#: Foods of SR28 by id, of different classes, and ways they are prepared.
PLANT = ["11457", "11529", "11124", "09003", "11507", "11282", "11304", "16069", "20036"]
MEAT = ["23557", "01123", "15008"]
KEPT = [
    {"kind": "raw"},
    {"kind": "blanched", "method": "steam"},
    {"kind": "cooked", "method": "boiled", "liquid": "kept"},
    {"kind": "cooked", "method": "steamed"},
]
DRAINED = [
    {"kind": "cooked", "method": "boiled", "liquid": "drained"},
    {"kind": "fermented", "liquid": "kept", "salt": "20 g", "sugars_used": "80 %"},
]
OF_MEAT = [
    {"kind": "cooked", "method": "fried", "liquid": "kept"},
    {"kind": "cooked", "method": "baked", "liquid": "drained"},
]
DRYING = [
    {"temperature": "40 °C", "time": "20 h"},
    {"temperature": "57 °C", "time": "9 h"},
    {"temperature": "68 °C", "time": "7 h"},
]
#: Foods that are packed as they are; some of their values are unknown.
BOUGHT = ["12061", "09298", "04053", "20038", "01009", "19165", "16397"]

grams = st.integers(1, 3000).map(lambda tenth: tenth / 10)


@st.composite
def batches(draw: st.DrawFn, name: str = "batch") -> dict[str, Any]:
    """One batch as the text form has it; its moisture given or left to its class."""
    is_meat = draw(st.booleans())
    foods = draw(st.lists(st.sampled_from(MEAT if is_meat else PLANT), min_size=1, max_size=3))
    masses = [draw(st.integers(50, 4000)) for _ in foods]
    batch: dict[str, Any] = {
        "name": name,
        "ingredients": [
            {"food": food, "mass": f"{mass} g"} for food, mass in zip(foods, masses, strict=True)
        ],
        "preparation": draw(st.sampled_from(OF_MEAT if is_meat else KEPT + DRAINED)),
        "drying": draw(st.sampled_from(DRYING)),
    }
    if draw(st.booleans()):
        batch["moisture"] = f"{draw(st.integers(2, 7))} %"
    if draw(st.booleans()):
        batch["storage"] = {"time": "2 months", "temperature": "22 °C"}
    return batch


@st.composite
def plans(draw: st.DrawFn) -> dict[str, Any]:
    """A whole plan: up to two batches, up to three bought foods, each portioned in grams."""
    made = [draw(batches(name=f"batch {i}")) for i in range(draw(st.integers(1, 2)))]
    bought = draw(st.lists(st.sampled_from(BOUGHT), max_size=3, unique=True))
    items = [batch["name"] for batch in made] + [f"food {food}" for food in bought]
    packed = [{"item": batch["name"], "mass": "5 kg"} for batch in made]
    packed += [{"item": f"food {food}", "food": food, "mass": "5 kg"} for food in bought]
    day: dict[str, Any] = {"name": "day", "count": 3, "moving": "5 h", "pace": "4 km/h"}
    return {
        "person": {
            "sex": draw(st.sampled_from(["female", "male"])),
            "age": draw(st.integers(18, 80)),
            "mass": "66 kg",
            "height": "170 cm",
        },
        "days": [day | {"air_temperature": "31 °C", "humidity": "40 %"}],
        "batch": made,
        "packed": packed,
        "portions": [{"item": item, "amount": f"{draw(grams)} g"} for item in items],
    }


def with_portions(plan: dict[str, Any], factor: float, only: int | None = None) -> dict[str, Any]:
    """The plan with its portions times ``factor``, or one of them."""
    changed = copy.deepcopy(plan)
    for number, portion in enumerate(changed["portions"]):
        if only in (None, number):
            mass = float(portion["amount"].removesuffix(" g")) * factor
            portion["amount"] = f"{mass:.12g} g"
    return changed
