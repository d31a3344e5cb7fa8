"""What a change did to the answer, in a few words: "+12 % magnesium, 30 g heavier"."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutricheck.defaults import TRIP_MEAN
from nutricheck.facts.components import HOT_DAY_FOUR
from nutricheck.report.answer_words import nutrient_name
from nutricheck.report.words import amount

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer, Standing
    from nutricheck.check_plan import Result

__all__ = ["effect_words"]

_ENERGY = "ENERC_KCAL"
_FOLLOWED = (_ENERGY, *HOT_DAY_FOUR)
#: A change of less than this share of an amount is not told; ours. [-]
_TOLD = 0.005
_MOST_OF_OTHERS = 2
_MOST_WORDS = 3
_NOTHING = "That changes nothing that you see here."


def effect_words(before: tuple[Result, Answer] | None, after: tuple[Result, Answer] | None) -> str:
    """What is different between two answers; "" where there is nothing to compare."""
    if before is None and after is not None:
        return "Now there is an answer."
    if before is not None and after is None:
        return "Now there is no answer any more."
    if before is None or after is None:
        return ""
    said = [
        *_amounts(before[0], after[0]),
        *_mass(before[0], after[0]),
        *_days(before[1], after[1]),
        *_words(before[1], after[1]),
        *_cautions(before[0], after[0]),
    ]
    if not said:
        return _NOTHING
    text = "; ".join(said)
    return f"{text[0].upper()}{text[1:]}."


def _likely(result: Result) -> dict[str, float]:
    rows = result.coverage[result.coverage["day"] == TRIP_MEAN]
    return dict(zip(rows["component"], rows["likely"].astype(float), strict=True))


def _amounts(before: Result, after: Result) -> list[str]:
    """Energy and the hot-day four; of others those that change most."""
    old, new = _likely(before), _likely(after)
    shares = {
        tag: new[tag] / old[tag] - 1
        for tag in new
        if old.get(tag, math.nan) > 0 and not math.isnan(new[tag])
    }
    tags = [tag for tag in _FOLLOWED if abs(shares.get(tag, 0.0)) >= _TOLD]
    if not tags:
        others = sorted(shares, key=lambda tag: -abs(shares[tag]))
        tags = [tag for tag in others if abs(shares[tag]) >= _TOLD][:_MOST_OF_OTHERS]
    text = ", ".join(f"{100 * shares[tag]:+.0f} % {nutrient_name(tag)}" for tag in tags)
    return (
        [text.replace("-", "−").replace("+0 %", "hardly more").replace("−0 %", "hardly less")]
        if text
        else []
    )


def _start_g(result: Result) -> float:
    trip = result.supply.trips.loc["longest"]
    return float(trip["food_g"] + trip["containers_g"])


def _mass(before: Result, after: Result) -> list[str]:
    more = _start_g(after) - _start_g(before)
    if abs(more) < 0.5:
        return []
    text = f"{amount(abs(more) / 1000, 1)} kg" if abs(more) >= 1000 else f"{abs(more):.0f} g"
    return [f"{text} {'heavier' if more > 0 else 'lighter'}"]


def _days(before: Answer, after: Answer) -> list[str]:
    old, new = before.days["longest"], after.days["longest"]
    if (old.covered_days, old.length) == (new.covered_days, new.length):
        return []
    return [f"enough for {new.covered_days} of {new.length} days, not {old.covered_days}"]


def _words(before: Answer, after: Answer) -> list[str]:
    def by_tag(found: Answer) -> dict[str, Standing]:
        return {standing.tag: standing for standing in (*found.five, *found.others)}

    old, new = by_tag(before), by_tag(after)
    words = [
        f"{nutrient_name(tag)}: {old[tag].shown_word} → {standing.shown_word}"
        for tag, standing in new.items()
        if tag in old and old[tag].shown_word != standing.shown_word
    ]
    left = len(words) - _MOST_WORDS
    return [*words[:_MOST_WORDS], *([f"{left} more words changed"] if left > 0 else [])]


def _cautions(before: Result, after: Result) -> list[str]:
    old, new = (
        {caution.topic for caution in result.cautions if caution.level == "danger"}
        for result in (before, after)
    )
    return [f"new danger, read it: {topic}" for topic in sorted(new - old)]
