"""Single slips by rule over the samples and the honest plans: what is told of them, counted.

    python -m tests.consistency.by_rule [SEED]

Each written quantity may be ten times or a tenth, in a unit that is taken for its own, or with two
digits changed over; of each field and each such slip one plan's is tried. Prints what is silent.
"""

from __future__ import annotations

import copy
import random
import re
import sys
from collections import Counter
from collections.abc import Iterator
from typing import Any, NamedTuple

from tests.consistency.honest import HONEST
from tests.consistency.slips import JULY, LIGHT
from tests.consistency.test_slips import as_told

__all__ = ["RuleSlip", "chosen"]

PLANS: dict[str, dict[str, Any]] = {**HONEST, "july": JULY, "light": LIGHT}
_QUANTITY = re.compile(r"(-?[\d.]+) (\D.*)")
_NAMES = ("food", "name", "item", "title")
#: Unit → the one that is written for it by mistake.
_MISTAKEN = {
    "kg": "g", "g": "kg", "h": "min", "min": "h", "km/h": "m/s", "°C": "°F", "°F": "°C",
    "lb": "oz", "oz": "lb", "L": "mL", "m": "km", "ft": "m", "cm": "m", "mg": "g", "ug": "mg",
    "kcal": "kJ", "tsp": "tbsp", "days": "weeks", "mph": "km/h", "months": "weeks",
}  # fmt: skip


class RuleSlip(NamedTuple):
    """One plan's quantity, and what is written in its place."""

    plan: str
    path: tuple[str | int, ...]
    meant: str
    rule: str
    written: str

    def plan_with_it(self) -> dict[str, Any]:
        """The plan with the slip in it."""
        data = copy.deepcopy(PLANS[self.plan])
        here: Any = data
        for key in self.path[:-1]:
            here = here[key]
        here[self.path[-1]] = self.written
        return data


def chosen(seed: int) -> list[RuleSlip]:
    """One slip of each field and rule, of a plan by chance."""
    chance = random.Random(seed)
    groups: dict[tuple[str, ...], list[RuleSlip]] = {}
    for name, plan in PLANS.items():
        for path, text in _quantities(plan):
            field = [key for key in path if isinstance(key, str)]
            for rule, written in _wrong(text):
                kind = ("amounts", rule) if "amounts" in field else (*field, rule)
                groups.setdefault(kind, []).append(RuleSlip(name, path, text, rule, written))
    one_each = [chance.choice(groups[kind]) for kind in sorted(groups)]
    chance.shuffle(one_each)
    return one_each


def _quantities(
    part: Any, path: tuple[str | int, ...] = ()
) -> Iterator[tuple[tuple[str | int, ...], str]]:
    if isinstance(part, dict):
        for key, value in part.items():
            if key not in ("additions", *_NAMES):
                yield from _quantities(value, (*path, key))
    elif isinstance(part, list):
        for number, value in enumerate(part):
            yield from _quantities(value, (*path, number))
    elif isinstance(part, str) and _QUANTITY.fullmatch(part):
        yield path, part


def _wrong(text: str) -> Iterator[tuple[str, str]]:
    """Rule and text of each slip."""
    found = _QUANTITY.fullmatch(text)
    assert found is not None
    digits, unit = found.groups()
    number = float(digits)
    if not number:
        return
    for rule, factor in (("ten times", 10), ("a tenth", 0.1), ("a hundred times", 100)):
        yield rule, f"{number * factor:.6g} {unit}"
    if unit in _MISTAKEN:
        yield f"{unit} as {_MISTAKEN[unit]}", f"{digits} {_MISTAKEN[unit]}"
    if re.fullmatch(r"([1-9])(?!\1)[1-9]", digits):
        yield "digits changed over", f"{digits[::-1]} {unit}"
    if unit == "%":
        yield "a share", f"{number / 100:g} %"


def main() -> None:
    """Try them and print the counts."""
    counts: Counter[str] = Counter()
    for slip in chosen(int(sys.argv[1]) if len(sys.argv) > 1 else 1):
        how = as_told(slip.plan_with_it(), PLANS[slip.plan])
        counts[how] += 1
        if how == "silent":
            print(f"{slip.plan}: {slip.path}: {slip.meant} as {slip.written}", flush=True)
    print(dict(counts))


if __name__ == "__main__":
    main()
