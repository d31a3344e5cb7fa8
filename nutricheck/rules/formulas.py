"""The rules that the check, the page's script and the workbook's cells share.

Each name is a figure that the caller supplies; :data:`FORMULAS` names each rule for the script.
"""

from __future__ import annotations

from nutricheck.rules.expression import (
    Expression,
    absolute,
    choose,
    exp,
    figure,
    greatest,
    hypotenuse,
    least,
    log,
    script,
)

__all__ = [
    "BALANCE_ABOVE",
    "BALANCE_BELOW",
    "FORMULAS",
    "LEFT",
    "LINE_AIM",
    "LINE_DANGER",
    "LINE_HIGH",
    "LINE_LOW",
    "MASS_CHANGE",
    "MASS_CHANGE_HIGH",
    "MASS_CHANGE_LOW",
    "MISSING",
    "RATIO",
    "RATIO_HIGH",
    "RATIO_LOW",
    "formulas_script",
]

# ---------------------------------------------------------------- intake against its reference

_low, _likely, _high = (figure(name) for name in ("low", "likely", "high"))
_need_low, _need, _need_high = (figure(name) for name in ("need_low", "need", "need_high"))
_ratio = figure("ratio")

#: Intake over reference. [-]
RATIO = _likely / _need
#: Its ends: both ranges err independently, on the log scale. [-]
RATIO_LOW = choose(
    _low > 0,
    _ratio * exp(0 - hypotenuse(log(_likely / _low), log(_need_high / _need))),
    0 * _ratio,
)
RATIO_HIGH = choose(
    least(_likely, _high) > 0,
    _ratio * exp(hypotenuse(log(_high / _likely), log(_need / _need_low))),
    _high / _need_low,
)

# ---------------------------------------------------------------- sodium by heat day

_ai, _minimum, _taken, _size = (figure(name) for name in ("ai", "minimum", "taken", "size"))

#: The lines of sodium, ``needs.sodium.sodium_band``; ``taken`` is what the sweat takes. [mg/day]
LINE_AIM = greatest(_ai, least(_minimum + _taken, figure("sodium_aim_cap") * _size))
LINE_LOW = greatest(
    _ai,
    least(
        _minimum + figure("low_share") * _taken, figure("sodium_low_share_of_aim") * figure("aim")
    ),
)
LINE_HIGH = greatest(
    _ai,
    figure("cdrr"),
    least(_minimum + figure("sodium_high_share") * _taken, figure("sodium_high_cap") * _size),
)
LINE_DANGER = greatest(
    figure("sodium_danger") * _size, figure("line_high") + figure("sodium_danger_gap")
)

# ---------------------------------------------------------------- supply

_packed, _used, _days = (figure(name) for name in ("packed", "used", "days"))

#: Left of an item and missing of it at the end of a trip. [g]
LEFT = greatest(_packed - _used * _days, 0)
MISSING = greatest(_used * _days - _packed, 0)

# ---------------------------------------------------------------- energy balance

_eaten = figure("eaten_share")

#: From the likely balance of a day to its ends: intake and need err independently. [kcal/day]
BALANCE_BELOW = hypotenuse((_likely - _low) * _eaten, _need_high - _need)
BALANCE_ABOVE = hypotenuse((_high - _likely) * _eaten, _need - _need_low)

_usual = figure("kcal_per_kg")
_wide = _usual / figure("kcal_per_kg_lean") - 1
_narrow = 1 - _usual / figure("kcal_per_kg_fat")

#: Body mass change of a trip's balance in kcal, ``low``, ``likely`` and ``high``: its own range
#: and that of the energy in a kilogram. [kg]
MASS_CHANGE = _likely / _usual
MASS_CHANGE_LOW = MASS_CHANGE - hypotenuse(
    (_likely - _low) / _usual, absolute(MASS_CHANGE) * choose(_likely > 0, _narrow, _wide)
)
MASS_CHANGE_HIGH = MASS_CHANGE + hypotenuse(
    (_high - _likely) / _usual, absolute(MASS_CHANGE) * choose(_likely > 0, _wide, _narrow)
)

#: Name in the page's script → rule.
FORMULAS: dict[str, Expression] = {
    "ratio": RATIO,
    "ratio_low": RATIO_LOW,
    "ratio_high": RATIO_HIGH,
    "line_aim": LINE_AIM,
    "line_low": LINE_LOW,
    "line_high": LINE_HIGH,
    "line_danger": LINE_DANGER,
    "left": LEFT,
    "missing": MISSING,
    "balance_below": BALANCE_BELOW,
    "balance_above": BALANCE_ABOVE,
    "mass_change": MASS_CHANGE,
    "mass_change_low": MASS_CHANGE_LOW,
    "mass_change_high": MASS_CHANGE_HIGH,
}


def formulas_script() -> str:
    """A JavaScript constant ``formulas``: a function of figures by name for each rule."""
    lines = "".join(f"{name}:(v)=>{script(rule)},\n" for name, rule in FORMULAS.items())
    return f"const formulas = {{\n{lines}}};\n"
