"""The rules that the check, the page's script and the workbook's cells share.

Each name is a figure that the caller supplies; :data:`FORMULAS` names each rule for the script.
"""

from __future__ import annotations

import json

from nutricheck.rules import status
from nutricheck.rules.expression import (
    SCRIPT_SUMS,
    UNKNOWN,
    Expression,
    absolute,
    choose,
    exp,
    figure,
    greatest,
    hypotenuse,
    known,
    least,
    log,
    script,
    weighed,
    weight_known,
    whole,
)

__all__ = [
    "BALANCE_ABOVE",
    "BALANCE_BELOW",
    "CARRY",
    "COUNTED",
    "DRAWN_AMOUNT",
    "DRIED",
    "DRINK_LEAST",
    "DRINK_MOST",
    "EATEN_SHARE",
    "EPA_AND_DHA",
    "FORMULAS",
    "INTAKE",
    "IS_BY_FOOD",
    "IS_PAST_SAFE_LEVEL",
    "IS_TOO_MUCH",
    "KNOWN_SHARE",
    "KNOWN_SUM",
    "LACK_SHOWS_LATER",
    "LASTS",
    "LASTS_MEAN",
    "LEFT",
    "LINE_AIM",
    "LINE_DANGER",
    "LINE_HIGH",
    "LINE_LOW",
    "MASS_CHANGE",
    "MASS_CHANGE_HIGH",
    "MASS_CHANGE_LOW",
    "MAY_BE_TOO_MUCH",
    "MEAN_AT_LEAST",
    "MEAN_OF_KNOWN",
    "MEAN_SWEAT_SODIUM",
    "MISSING",
    "NIACIN_EQUIVALENTS",
    "PER_100_G_DRIED",
    "PER_KILOGRAM",
    "RATIO",
    "RATIO_HIGH",
    "RATIO_LOW",
    "REMOVED",
    "ROUNDING_DAYS",
    "SALT_OF_FOOD",
    "SOAK",
    "SODIUM_PER_LITRE",
    "SWEAT_SODIUM",
    "WATER_BEFORE",
    "WATER_EATEN",
    "WATER_WEIGHED",
    "WEEKS_LEFT",
    "formulas_script",
]

# ---------------------------------------------------------------- sums over foods and over days

_weights, _values, _all = (figure(name) for name in ("weights", "values", "all"))
_some = weight_known(_weights, _values) > 0

#: A weighed sum of what is known: grams and contents, shares and contents. ``weights`` and
#: ``values`` are of many things.
KNOWN_SUM = choose(_some, weighed(_weights, _values), UNKNOWN)
#: Intake of a day: grams and content per 100 g; a day without food is a known intake of nothing.
INTAKE = choose(_all > 0, choose(_some, weighed(_weights, _values) / 100, UNKNOWN), 0)
#: Share of a day's food mass whose content is known: ``known`` is the mass. [-]
KNOWN_SHARE = choose(_all > 0, figure("known") / _all, 1)
#: Mean over the days of a trip of what has a figure on some: a day without adds nothing.
MEAN_AT_LEAST = choose(_some, weighed(_weights, _values) / _all, UNKNOWN)
#: Mean over those days that have a figure.
MEAN_OF_KNOWN = choose(_some, weighed(_weights, _values) / weight_known(_weights, _values), UNKNOWN)

# ---------------------------------------------------------------- what is made of others

_tryptophan = figure("tryptophan")
#: Niacin equivalents, tryptophan from protein where it is not known. [mg]
NIACIN_EQUIVALENTS = figure("niacin") + choose(
    known(_tryptophan), _tryptophan, figure("protein") * figure("tryptophan_of_protein")
) * 1000 / figure("tryptophan_per_niacin")
#: EPA and DHA, in g, together. [mg]
EPA_AND_DHA = (figure("epa") + figure("dha")) * 1000

# ---------------------------------------------------------------- upper levels

_counted = figure("packed")
#: Basis of an upper level → the part of the intake that it counts. All folic acid that stands in a
#: food's record was put there.
COUNTED = {
    "all sources": _counted + figure("inactive"),
    "supplements only": figure("supplemental"),
    "supplements and fortified food": choose(figure("is_folic_acid"), _counted, figure("added")),
    "preformed retinol": figure("retinol"),
}
_level, _level_likely, _level_high, _added = (
    figure(name) for name in ("upper", "upper_likely", "upper_high", "added")
)
#: Whether ordinary food alone passes a level, or may, and by no more than so many times.
IS_BY_FOOD = (
    ~figure("is_added")
    & (_level_high > _level)
    & (_level_likely <= figure("times_by_food") * _level)
)
#: Whether an intake passes a safe level, and not by ordinary food alone.
IS_PAST_SAFE_LEVEL = (_level_likely > _level) & ~(
    (_level_likely - _added > _level) & (_level >= _added)
)
_is_level = figure("is_level")
#: Whether an intake passes its upper level, by likely or by the top of its range, or its safe one.
IS_TOO_MUCH = (_is_level & (_level_likely > _level)) | (
    figure("is_safe_level") & IS_PAST_SAFE_LEVEL
)
MAY_BE_TOO_MUCH = _is_level & (_level_high > _level)

# ---------------------------------------------------------------- intake against its reference

#: From when a lack shows where a ``share`` of the aim is eaten; ``weeks``: on a diet without it.
#: What the body holds makes up for what is missing, so that half of the aim lasts twice as long as
#: none (ours). Infinite where the aim is reached. [week]
WEEKS_LEFT = figure("weeks") / greatest(1 - figure("share"), 0)
#: Whether no lack shows within the trip; unknown, it may show at once.
LACK_SHOWS_LATER = figure("trip_weeks") < WEEKS_LEFT

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

_z = figure("z")
_of_range = _z / figure("z95")
#: A draw of a figure known as ``low``, ``likely``, ``high`` (5th, 50th, 95th percentile), at the
#: standard normal draw ``z`` of its cause: log-normal on either side, normal where there is nought.
DRAWN_AMOUNT = choose(
    _low < _high,
    choose(
        (_low <= 0) | (_likely <= 0),
        greatest(_likely + _of_range * choose(_z < 0, _likely - _low, _high - _likely), 0),
        _likely * exp(_of_range * log(choose(_z < 0, _likely / _low, _high / _likely))),
    ),
    _likely,
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

_first_mmol, _last_mmol = figure("sweat_sodium_first_day"), figure("sweat_sodium_tenth_day")
_fall_days, _heat_days = figure("sweat_sodium_days"), figure("heat_days")
_steps = _fall_days - 1
#: Sodium in a litre of sweat by heat day: it falls evenly, then stays. [mmol/L]
SWEAT_SODIUM = _first_mmol - (_first_mmol - _last_mmol) * (
    least(greatest(figure("heat_day") - 1, 0), _steps) / _steps
)
#: Its mean over the heat days from the first to the last of so many. [mmol/L]
MEAN_SWEAT_SODIUM = choose(
    _heat_days <= _fall_days,
    _first_mmol - (_first_mmol - _last_mmol) * (_heat_days - 1) / (2 * _steps),
    (_fall_days * (_first_mmol + _last_mmol) / 2 + _last_mmol * (_heat_days - _fall_days))
    / _heat_days,
)

# ---------------------------------------------------------------- drink and the salt in it

_litres, _hours, _sweat_rate = figure("litres"), figure("hours"), figure("sweat_rate")
#: Drink of an hour at most and at least: what the gut takes up, and what may be missing. [L/h]
DRINK_MOST = least(_sweat_rate, figure("hourly_cap"))
DRINK_LEAST = least(
    greatest(_sweat_rate - figure("water_loss_limit") * figure("mass") / _hours, 0), DRINK_MOST
)
_step = figure("carry_step")
#: What is carried for an hour: the middle of both, in whole steps, and never more than the most.
#: [L/h]
CARRY = least(whole((DRINK_LEAST + DRINK_MOST) / 2 / _step + 0.5) * _step, DRINK_MOST)

_eaten_mg = figure("eaten")
_lacking = greatest(figure("aim") - _eaten_mg, 0)
#: Sodium to add to a litre of drink, as far as it pays and fits. [mg/L]
SODIUM_PER_LITRE = choose(
    _litres > 0,
    choose(
        (_hours >= figure("drink_salt_hours"))
        & (_lacking / _litres >= figure("drink_sodium_least")),
        least(
            _lacking / _litres, greatest(figure("drink_sodium_most") - figure("mix") / _litres, 0)
        ),
        0,
    ),
    0,
)
_in_drink = figure("per_litre") * _litres
#: Salt for the food: the rest, where what is eaten is not right already. [g]
SALT_OF_FOOD = choose(
    _eaten_mg + _in_drink < figure("line_low"), (_lacking - _in_drink) / figure("per_salt"), 0
)

# ---------------------------------------------------------------- supply

_packed, _used, _days = (figure(name) for name in ("packed", "used", "days"))

#: Left of an item and missing of it at the end of a trip. [g]
LEFT = greatest(_packed - _used * _days, 0)
MISSING = greatest(_used * _days - _packed, 0)
#: Days that an item lasts at the use of a mean day. [day]
LASTS_MEAN = _packed / _used
#: Of days, what is no more than rounding.
ROUNDING_DAYS = 1e-9
#: Days that an item lasts: past the trip's end at a mean day's use; before it ``whole_days`` days,
#: by the end of which ``before`` grams are eaten, and a part of the next, by whose end ``after``
#: are. [day]
LASTS = choose(
    _used > 0,
    choose(
        _days - ROUNDING_DAYS <= LASTS_MEAN,
        LASTS_MEAN,
        figure("whole_days") + (_packed - figure("before")) / (figure("after") - figure("before")),
    ),
    UNKNOWN,
)
_planned = figure("planned")
#: Share of the planned energy that the pack gives over a trip: ``planned`` on a mean day,
#: ``lacking`` over the trip; 1 where none is planned. [-]
EATEN_SHARE = choose(_planned * _days > 0, 1 - figure("lacking") / _days / _planned, 1)

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

# ---------------------------------------------------------------- per kilogram

#: What a day leaves beside ``exercise``, which of grams is none, per kilogram. [g/kg, kcal/kg]
PER_KILOGRAM = (figure("eaten") - figure("exercise")) / figure("kilograms")

# ---------------------------------------------------------------- water balance of a batch

_matter, _water = figure("matter"), figure("water")
_before, _fresh_water = figure("before"), figure("fresh_water")

#: Water in food before drying, by its dry matter; and in dried food, by its weighed mass. [g/g]
WATER_BEFORE = 1 - _matter / _before
WATER_WEIGHED = 1 - _matter / figure("weighed")
#: Dried food of so much water. [g]
DRIED = _matter / (1 - _water)
#: Content of 100 g dried over that of the dry matter: its factor. [1/g]
PER_100_G_DRIED = 100 / _matter * (1 - _water)
#: Water that leaves in drying. [g]
REMOVED = greatest(_before - figure("dried"), 0)
#: Water of the food as it is eaten: of dry staples that of cooked ones. [g/g]
WATER_EATEN = choose(_fresh_water < figure("staple_water"), figure("cooked_staple"), _fresh_water)
#: Water that makes 100 g dried so moist. [g]
SOAK = greatest(
    100 * (1 - _water) * (figure("water_eaten") / (1 - figure("water_eaten"))) - 100 * _water, 0
)

#: Name in the page's script → rule.
FORMULAS: dict[str, Expression] = {
    "drawn_amount": DRAWN_AMOUNT,
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
    "intake": INTAKE,
    "known_share": KNOWN_SHARE,
    "mean_at_least": MEAN_AT_LEAST,
    "mean_of_known": MEAN_OF_KNOWN,
    **COUNTED,
    "is_by_food": IS_BY_FOOD,
    "is_too_much": IS_TOO_MUCH,
    "may_be_too_much": MAY_BE_TOO_MUCH,
    "lack_shows_later": LACK_SHOWS_LATER,
    "sweat_sodium": SWEAT_SODIUM,
    "lasts": LASTS,
    "eaten_share": EATEN_SHARE,
    "sodium_per_litre": SODIUM_PER_LITRE,
    "salt_of_food": SALT_OF_FOOD,
    "per_kilogram": PER_KILOGRAM,
    "tenths": status.TENTHS,
    "is_unsure": status.IS_UNSURE,
    "chance_word": status.CHANCE_WORD,
    "shown_word": status.SHOWN_WORD,
    "salt_word": status.SALT_WORD,
    "share_word": status.SHARE_WORD,
    "place_word": status.PLACE_WORD,
}


def formulas_script() -> str:
    """A JavaScript constant ``formulas``: a function of figures by name for each rule."""
    lines = "".join(f"{json.dumps(name)}:(v)=>{script(rule)},\n" for name, rule in FORMULAS.items())
    return f"{SCRIPT_SUMS}const formulas = {{\n{lines}}};\n"
