"""Plans for the tests of the reports: the samples as dictionaries, changed, and one hostile."""

from __future__ import annotations

import copy
import functools
import tomllib
from pathlib import Path
from typing import Any

import nutricheck as nc
from nutricheck.check_plan import Result

SAMPLES = Path(__file__).parents[2] / "samples"


def sample(name: str) -> dict[str, Any]:
    """A sample plan as the dictionary that its text is."""
    return tomllib.loads((SAMPLES / f"{name}.toml").read_text("utf-8"))


@functools.cache
def checked(name: str, draws: int = 0, reference: str = "DRI") -> Result:
    """A sample's result; made once for all tests."""
    return nc.check(SAMPLES / f"{name}.toml", draws=draws, reference=reference)


def changed(
    plan: dict[str, Any],
    portions: dict[int, float],
    longest: dict[int, int],
    shortest: dict[int, int],
) -> dict[str, Any]:
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


def cold_plan() -> dict[str, Any]:
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


#: Names that would do harm where text is taken for markup, script, template or direction.
HOSTILE = (
    "</script><script>document.title='harm'</script>",
    "<img src=x onerror=\"document.title='harm'\">",
    "\"'><svg onload=document.title='harm'>",
    "{{ 7 * 7 }}{% raw %}${document.title='harm'}",
    "<!--\u2028\u2029\u202etxet\u202c &amp; ]]>",
)


def hostile_plan() -> dict[str, Any]:
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
