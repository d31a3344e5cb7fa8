"""Rules of the cautions that rest on amounts: 0 where none holds, 1 where it does, 2 where raised.

The check takes them as numbers, the page's script and the workbook's cells as text. Unknown amounts
call for no caution: a comparison with them is false.
"""

from __future__ import annotations

import json

from nutricheck.rules.expression import Expression, choose, figure, script
from nutricheck.rules.formulas import IS_PAST_SAFE_LEVEL

__all__ = ["CAUTION_RULES", "caution_rules_script"]

_amount, _limit, _raised = figure("amount"), figure("limit"), figure("raised")


def _holds(condition: Expression) -> Expression:
    return choose(condition, 1, 0)


_level_passed = figure("upper_likely") > figure("upper")
_other_passed = figure("other") > figure("other_level")

_eaten = figure("eaten")
_is_too_little = (
    (figure("known_share") >= figure("known_enough"))
    & (_eaten < figure("first_low"))
    & (figure("first_low") > figure("ai"))
)
_is_far_too_much = ~_is_too_little & (_eaten > figure("last_danger"))

#: How grave a lack of energy is: 0 to 4. ``lacking``, ``lost``, ``weekly``: percent of what the
#: days use, and of body mass, over the trip and a week.
_deficit = choose(
    figure("lacking") > figure("deficit_small"),
    choose(
        figure("lost") > figure("mass_loss_to_stop"),
        4,
        choose(
            figure("lost") > figure("mass_loss_of_concern"),
            3,
            choose(
                (figure("lacking") > figure("deficit_large"))
                | (figure("weekly") > figure("mass_loss_a_week")),
                2,
                1,
            ),
        ),
    ),
    0,
)

#: Drinking beyond what the day takes, and what is missing. [L]
_beyond = figure("planned") + figure("food") - figure("most")
_missing = figure("needed") - figure("food") - figure("planned")
_is_beyond = _beyond > figure("margin")
_is_missing = ~_is_beyond & (_missing > figure("loss"))
_is_much_missing = _is_missing & (_missing - figure("unsure") > figure("danger_loss"))

#: Name → rule.
CAUTION_RULES: dict[str, Expression] = {
    "always": figure("rank"),
    "passes": choose(_amount > _raised, 2, _holds(_amount > _limit)),
    "reaches": choose(_amount >= _raised, 2, _holds(_amount >= _limit)),
    "passes, raised where reached": choose(_amount >= _raised, 2, _holds(_amount > _limit)),
    "falls below": _holds(_amount < _limit),
    "does reach": choose(_amount >= _limit, 2, 1),
    "does not reach": choose(_amount >= _limit, 1, 2),
    "beside": _holds((figure("together") >= _limit) & (_amount > 0)),
    "safe level": choose(IS_PAST_SAFE_LEVEL, choose(_other_passed, 2, 1), 0),
    "another level": choose(_other_passed & ~_level_passed, figure("rank"), 0),
    "shortest trip": _holds(IS_PAST_SAFE_LEVEL & ~(figure("on_longest") > figure("upper"))),
    "too little salt": _holds(_is_too_little),
    "far too much salt": _holds(_is_far_too_much),
    "more salt than useful": _holds(
        ~_is_too_little & ~_is_far_too_much & (_eaten > figure("last_high"))
    ),
    "little salt": choose(
        (figure("known_share") >= figure("known_enough")) & (_eaten < figure("least")),
        figure("rank"),
        0,
    ),
    "deficit small": _holds((_deficit > 0) & (_deficit < 2)),
    "deficit large": _holds((_deficit > 1) & (_deficit < 3)),
    "deficit above a twentieth": _holds((_deficit > 2) & (_deficit < 4)),
    "deficit above a tenth": _holds(_deficit > 3),
    "drink beyond losses": choose(_is_beyond, choose(_beyond > figure("much_beyond"), 2, 1), 0),
    "drink too little": _holds(_is_missing & ~_is_much_missing),
    "drink much too little": choose(_is_much_missing, 2, 0),
    "keeps": _holds(24 * figure("days") > figure("hours")),
}


def caution_rules_script() -> str:
    """A JavaScript constant ``cautionRules``: a function of figures by name for each rule."""
    rules = CAUTION_RULES.items()
    lines = "".join(f"{json.dumps(name)}:(v)=>{script(rule)},\n" for name, rule in rules)
    return f"const cautionRules = {{\n{lines}}};\n"
