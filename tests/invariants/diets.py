"""Made-up people with diets and allergies, and what of a proposal they do not eat.

``python -m tests.invariants.diets 200`` tries so many; test_diets.py tries a few. The words here
are typed by hand, apart from those that the tool goes by, and name what is certain alone.
"""

from __future__ import annotations

import random
import re
import sys
from collections import Counter
from typing import Any

from nutricheck.advice.additions import Proposal
from nutricheck.check_plan import Result
from tests.invariants.illness import FRESH, LABELS, TABLE, proposed

#: Kind → words of foods that hold it, and of names that only look so.
CERTAIN: dict[str, tuple[str, str]] = {
    "milk": (
        "milk|cheese|butter|cream|whey|yogurt|casein|ghee|buttermilk",
        "coconut milk|almond milk|rice milk|soy ?milk|(peanut|almond|cashew|sesame|cocoa|apple|nut"
        "|sunflower seed) butter|butter ?nut|butter ?bur|butterbeans|milkfish|cream of tartar"
        "|without milk|coconut cream|creamed|non-butterfat|(nutmeg|ucuhuba) butter"
        "|cream of (rice|wheat)|cream style|bread and butter pickles|(soy|tofu) yogurt"
        "|ice cream cones, (sugar|cake)",
    ),
    "egg": ("eggs?", "egg substitute|herring eggs|whitefish, eggs"),
    "fish": ("salmon|tuna|herring|sardine|cod|anchov(y|ies)|mackerel|trout|fish", "fish-shaped"),
    "crustaceans": ("shrimp|crab|lobster|crayfish", ""),
    "molluscs": (
        "clams?|oysters?|mussels?|squid|octopus|snail",
        "mushrooms?, oyster|(emu|ostrich), oyster|vegetable oyster|includes oyster|oyster blade"
        "|oyster crackers",
    ),
    "gluten": (
        "wheat|barley|rye|oats?|oatmeal|breads?|pasta|spaghetti|macaroni|couscous|bulgur|semolina",
        "buckwheat|gluten-free[^,]*|corn bread|pasta, corn|corn pasta",
    ),
    "peanut": ("peanuts?", ""),
    "soy": ("soy|soybeans?|tofu|tempeh|miso|natto|soymilk", "non-soy"),
    "tree nuts": (
        "almonds?|walnuts?|pecans?|cashew|pistachio|hazelnuts?|filberts|brazilnuts?|macadamia",
        "",
    ),
    "celery": ("celery", ""),
    "mustard": ("mustard", "mustard greens|mustard spinach"),
    "sesame": ("sesame|tahini", ""),
    "lupin": ("lupins?", ""),
    "meat": (
        "beef|pork|lamb|chicken|turkey|veal|bacon|ham|sausage|jerky|salami|gelatins?|lard|tallow",
        "meatless|vegetarian|imitation|egg, turkey|coating for pork",
    ),
    "pork": ("pork|bacon|ham|lard", "meatless|imitation|turkey (ham|bacon)|bacon, turkey"),
    "other animal foods": ("honey|gelatins?", "honeydew|honey-combed|bit-o'-honey"),
}
EATEN_BY = {
    "everything": (),
    "vegetarian": ("meat", "fish", "crustaceans", "molluscs"),
    "vegan": ("meat", "fish", "crustaceans", "molluscs", "egg", "milk", "other animal foods"),
}
#: What people say they do not eat → the kinds that it names.
SAID = {
    **{kind: (kind,) for kind in CERTAIN if kind != "other animal foods"},
    "dairy": ("milk",),
    "shellfish": ("crustaceans", "molluscs"),
    "wheat": ("gluten",),
    "nuts": ("tree nuts",),
}
#: Foods of every kind, and some of none.
FOODS = (
    *("20028", "01009", "16124", "11446", "15167", "01091", "20044", "04053", "19296", "08120"),
    *("16087", "12220", "12036", "15127", "12023", "16426", "12061", "12155", "07963", "01001"),
    *("16069", "09298", "20444", "12179", "19166", "11969"),
)
STAGES = ("general", "general", "pregnancy", "lactation")
CONDITIONS = ("coeliac", "thyroid", "diabetes", "iron overload", "no alcohol", "histamine")


def eater(seed: int) -> dict[str, Any]:
    """A plan of a person with a way to eat, up to two things not eaten, an age and a stage."""
    rng = random.Random(seed)
    sex = rng.choice(("female", "male"))
    stage = rng.choice(STAGES) if sex == "female" else "general"
    age = rng.randint(18, 45) if stage != "general" else rng.choice((9, 12, 16, 25, 40, 60, 78, 88))
    said = sorted(SAID)
    words = [said[seed % len(said)], *rng.sample(said, rng.choice((0, 0, 1)))]
    bought = [food for food in rng.sample(FOODS, rng.randint(3, 6)) if TABLE.with_id(food)]
    pantry = [food for food in rng.sample(FOODS, 8) if TABLE.with_id(food)]
    labels = [label for label in LABELS if rng.random() < 0.3]
    packed = [
        {"item": TABLE.food(food).description, "food": food, "mass": "2 kg"} for food in bought
    ]
    packed += [{"item": label["name"], "mass": "300 g"} for label in labels]
    return {
        "person": {
            "sex": sex,
            "age": age,
            "mass": f"{rng.randint(26, 40) if age < 13 else rng.randint(48, 90)} kg",
            "height": f"{rng.randint(130, 150) if age < 13 else rng.randint(155, 188)} cm",
            "life_stage": stage,
            "eats": ("everything", "vegetarian", "vegan")[seed % 3],
            "does_not_eat": list(dict.fromkeys(words)),
            "conditions": rng.sample(CONDITIONS, rng.choice((0, 0, 1))),
        },
        "days": [
            {
                "name": "walk",
                "count": rng.randint(2, 9),
                "moving": "5 h",
                "air_temperature": f"{rng.randint(18, 34)} °C",
                "humidity": "40 %",
            }
        ],
        "trip": {"cooking": rng.choice(("cooks", "hot water", "none"))},
        "label": labels,
        "packed": packed,
        "portions": [
            {"item": entry["item"], "amount": f"{rng.randint(10, 90)} g"}
            for entry in packed
            if entry["mass"] == "2 kg"
        ],
        "additions": {"pantry": [*pantry, *rng.sample(FRESH, 3)]},
    }


def holds(kind: str, name: str) -> bool:
    words, looks_so = CERTAIN[kind]
    left = re.sub(rf"\b({looks_so})\b", " ", name.lower()) if looks_so else name.lower()
    return bool(re.search(rf"\b({words})\b", left))


def foods_of(proposal: Proposal, result: Result) -> dict[str, str]:
    """Proposed item → the name of its food in the table, or its own."""
    packed = {entry.item.casefold(): entry.food for entry in result.plan.packed}
    found = {}
    for name in proposal.items["item"]:
        food = proposal.candidates.items.loc[name].get("food_id") or packed.get(name.casefold())
        found[name] = TABLE.food(str(food)).description if food else str(name)
    return found


def violations(before: Result, proposal: Proposal, after: Result) -> list[str]:
    """Proposed foods that the person does not eat, and words that the plan has only since."""
    person = before.plan.person
    kinds = {*EATEN_BY[person.eats], *(kind for word in person.does_not_eat for kind in SAID[word])}
    if "coeliac" in person.conditions:
        kinds.add("gluten")
    found = [
        f"{item} ({name}) holds {kind}"
        for item, name in foods_of(proposal, before).items()
        for kind in sorted(kinds)
        if holds(kind, name) or holds(kind, item)
    ]
    old = {(caution.id, caution.where) for caution in before.cautions}
    found += [
        f"new caution: {caution.id} at {caution.where}"
        for caution in after.cautions
        if (caution.id, caution.where) not in old
        and (caution.id == "holds what is not eaten" or caution.id.endswith("in pregnancy"))
    ]
    known = set(before.questions)
    found += [
        f"new question: {question}"
        for question in after.questions
        if question not in known and ("does not eat" in question or "the person eats" in question)
    ]
    return found


def main(arguments: list[str]) -> int:
    """Try so many seeds; 1 where a proposal holds what is not eaten."""
    counts: Counter[str] = Counter()
    for seed in range(int(arguments[0]) if arguments else 100):
        before, proposal, after = proposed(eater(seed), seed)
        person = before.plan.person
        counts["plans"] += 1
        if proposal is None:
            continue
        counts["proposals"] += 1
        counts["foods proposed"] += len(proposal.items)
        for word in (person.eats, person.life_stage, *person.does_not_eat, *person.conditions):
            counts[f"  {word}"] += 1
        for violation in violations(before, proposal, after):
            counts["VIOLATIONS"] += 1
            print(f"seed {seed}: {violation}", flush=True)
    for what, count in counts.items():
        print(f"{count:6,} {what}")
    return 1 if counts["VIOLATIONS"] else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
