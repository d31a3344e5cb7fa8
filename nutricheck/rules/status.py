"""The words of a status, and the rules that give them."""

from __future__ import annotations

from nutricheck.rules.expression import (
    Expression,
    choose,
    figure,
    finite,
    greatest,
    hypotenuse,
    known,
    least,
    log,
    whole,
)

__all__ = [
    "ABOVE_RANGE",
    "ASK_DOCTOR",
    "BELOW_ADVISED",
    "BELOW_RANGE",
    "CHANCE_WORD",
    "ENOUGH",
    "EVEN",
    "FAR_TOO_MUCH",
    "INSIDE_RANGE",
    "IS_FINE",
    "IS_UNSURE",
    "LIKELY_ENOUGH",
    "LIKELY_SHORT",
    "MAYBE_TOO_MUCH",
    "MORE_THAN_USEFUL",
    "MOST_Z",
    "NEAR_ADVISED",
    "NOT_KNOWN",
    "PLACE_WORD",
    "RIGHT",
    "SALT_WORD",
    "SHARE_WORD",
    "SHORT",
    "SHOWN_WORD",
    "TENTHS",
    "TOO_LITTLE",
    "TOO_MUCH",
    "WITHIN_LIMIT",
    "WORD_EDGES",
    "Z_OF_ADVISED",
    "Z_OF_REQUIREMENT",
]

NOT_KNOWN = "not known"
ASK_DOCTOR = "ask your doctor"

# ---------------------------------------------------------------- the chance that it is enough

ENOUGH = "enough"
LIKELY_ENOUGH = "likely enough"
EVEN = "even odds"
LIKELY_SHORT = "likely short"
SHORT = "short"
NEAR_ADVISED = "near the advised amount"
BELOW_ADVISED = "below the advised amount"
TOO_MUCH = "too much"
MAYBE_TOO_MUCH = "maybe too much"

#: Chances from which on the words change, from "short" to "enough": halves of a tenth. [-]
WORD_EDGES = (0.05, 0.35, 0.65, 0.95)
#: A chance so close to an edge is on it. [-]
_EXACT = 1e-6

_chance, _known_share = figure("chance"), figure("known_share")
_is_short, _is_even, _is_likely, _is_enough = (_chance >= edge - _EXACT for edge in WORD_EDGES)

#: Whether a chance is likely enough or better.
IS_FINE = _is_likely
#: A chance in tenths, halves up; it changes where the words do. [-]
TENTHS = whole(_chance * 10 + (0.5 + 10 * _EXACT))
#: An intake of which too little is known may be enough, but is not called low.
IS_UNSURE = (_known_share < figure("known_enough")) & ~_is_likely
_LOW_WORD = choose(
    figure("is_advised"),
    choose(_is_even, NEAR_ADVISED, BELOW_ADVISED),
    choose(_is_even, EVEN, choose(_is_short, LIKELY_SHORT, SHORT)),
)
#: The word of a chance; of an advised amount the low words do not say short.
CHANCE_WORD = choose(
    known(_chance),
    choose(_is_enough, ENOUGH, choose(_is_likely, LIKELY_ENOUGH, _LOW_WORD)),
    NOT_KNOWN,
)
#: The one word that is shown: an excess before an adequacy that it stands beside.
SHOWN_WORD = choose(
    figure("is_too_much"),
    TOO_MUCH,
    choose(figure("may_be_too_much") & figure("is_fine"), MAYBE_TOO_MUCH, figure("word")),
)

# ---------------------------------------------------------------- a chance by the range alone

#: The farthest that an intake is taken to be from its aim, in standard deviations. [-]
MOST_Z = 4.0

_low, _likely, _high, _aim = (figure(name) for name in ("low", "likely", "high", "aim"))
_z95 = figure("z95")


def _within(z: Expression) -> Expression:
    """At most so far away, and so far where there is no width at all."""
    side = choose(_likely >= _aim, MOST_Z, -MOST_Z)
    return greatest(least(finite(z, side), MOST_Z), -MOST_Z)


#: How far an intake is above its aim, in standard deviations: intake and requirement as normal, or
#: the intake as log-normal where only an amount is advised. [-]
Z_OF_REQUIREMENT = _within(
    (_likely - _aim)
    / hypotenuse(figure("sd"), choose(_likely >= _aim, _likely - _low, _high - _likely) / _z95)
)
Z_OF_ADVISED = _within(
    log(_likely / _aim)
    / (choose(_likely >= _aim, log(_likely / _low), log(_high / _likely)) / _z95)
)

# ---------------------------------------------------------------- salt, and shares of energy

TOO_LITTLE = "too little sodium"
RIGHT = "sodium is right"
#: Where a clinic set a limit alone, so that nothing is too little.
WITHIN_LIMIT = "within the limit"
MORE_THAN_USEFUL = "more than useful"
FAR_TOO_MUCH = "far too much"

#: The likely intake of sodium against its lines and nothing else.
SALT_WORD = choose(
    known(figure("salt_low")),
    choose(
        known(_likely),
        choose(
            _likely < figure("salt_low"),
            choose(_known_share < figure("known_enough"), NOT_KNOWN, TOO_LITTLE),
            choose(
                _likely > figure("salt_danger"),
                FAR_TOO_MUCH,
                choose(
                    _likely > figure("salt_high"),
                    MORE_THAN_USEFUL,
                    choose(figure("salt_low") > 0, RIGHT, WITHIN_LIMIT),
                ),
            ),
        ),
        NOT_KNOWN,
    ),
    ASK_DOCTOR,
)

BELOW_RANGE, INSIDE_RANGE, ABOVE_RANGE = "below the range", "inside the range", "above the range"
_share = figure("share")
#: A macronutrient's share of the energy against its published range.
SHARE_WORD = choose(
    known(_share),
    choose(_share < _low, BELOW_RANGE, choose(_share > _high, ABOVE_RANGE, INSIDE_RANGE)),
    NOT_KNOWN,
)
#: A figure against a published range, in one word.
PLACE_WORD = choose(
    known(_likely),
    choose(_likely < _low, "below", choose(_likely > _high, "above", "inside")),
    NOT_KNOWN,
)
