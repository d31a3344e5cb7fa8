"""The plan as text with places for what the page can change, so that a change can be copied out."""

from __future__ import annotations

import copy
from typing import TYPE_CHECKING

from nutricheck.plan.write import plan_text

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["plan_with_places"]


def plan_with_places(result: Result) -> dict[str, object] | None:
    """The plan's text and what stands in it now; None where a ready plan was checked, or
    a part of a pack that several eat from.

    In ``text`` each count of days is ``"@days longest N@"`` or ``"@days shortest N@"`` and each
    portion ``amount = "@portion N@"``, numbered as the page's controls; ``portions`` holds the
    line of each portion as it was written.
    """
    if result.data is None or result.is_part:
        return None
    data = copy.deepcopy(dict(result.data))
    carried = result.portions[result.portions["measured"] != "found"]
    numbers = sorted(set(carried["portion"].tolist()))
    days, portions = data.get("days"), data.get("portions")
    if not isinstance(days, list) or not isinstance(portions, list):
        return None
    if len(days) != len(result.plan.days) or len(portions) < max(numbers, default=0):
        return None
    for place, day in enumerate(days):
        day["count"] = f"@days longest {place}@"
        day["count_shortest"] = f"@days shortest {place}@"
    lines = []
    for place, number in enumerate(numbers):
        portion = portions[number - 1]
        key = "over" if "over" in portion else "amount"
        lines.append(f'{key} = "{portion.pop(key)}"')
        portion["amount"] = f"@portion {place}@"
    # without the form's help, which the page has no room for
    kept = [line for line in plan_text(data).splitlines() if not line.startswith("#")]
    return {"text": "\n".join(line for line in kept if line) + "\n", "portions": lines}
