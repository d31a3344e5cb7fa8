"""The answer in a terminal: on one screen of 80 columns what to do, and how sure.

A bar runs from nothing to twice the aim, the aim in its middle: full blocks are as good as sure,
half ones may be there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import TYPE_CHECKING

from nutricheck.adequacy import chance, salt
from nutricheck.facts.components import BY_TAG
from nutricheck.report.answer_words import (
    MOST_ACTIONS,
    action_words,
    chance_words,
    gone_words,
    headline,
    nutrient_name,
    settling_words,
    unknown_words,
    where_words,
    without_words,
)
from nutricheck.report.parts import Line, Part, Pieces, Report, Styled
from nutricheck.report.status import FINE, STATUSES, STYLES
from nutricheck.report.words import amount, percent

if TYPE_CHECKING:
    from nutricheck.advice.answer import Action, Answer, Standing

__all__ = ["answer_report", "bar", "shown_actions"]

_MOST_ROWS = 3
_MOST_NAMES = 4
_MOST_LOW_DAYS = 1
_HALF = 10
_BAR = 2 * _HALF
_WHERE = 13
#: A narrower screen shows no bars. [character]
_LEAST_FOR_BARS = 60
_BORROWED = "* from another country's foods: yours may hold several times more or less"


def bar(low: float, likely: float, high: float, aim: float) -> str:
    """An amount from nothing to twice the aim.

    ``█`` is as good as sure (below the low end), ``▒`` may be there (to the high end), ``│`` the
    aim; ``»`` at the end: it runs on.

    Examples
    --------
    >>> bar(50, 100, 150, 100)
    '█████▒▒▒▒▒│▒▒▒▒▒·····'
    >>> bar(400, 500, 600, 100)
    '██████████│█████████»'
    """
    if not aim > 0 or math.isnan(low + likely + high):
        return "·" * _HALF + "│" + "·" * _HALF
    sure, may = (
        min(_BAR, round((0.0 if math.isnan(end) else end) / aim * _HALF)) for end in (low, high)
    )
    cells = "█" * sure + "▒" * max(may - sure, 0)
    cells = cells.ljust(_BAR, "·")
    if high > 2 * aim:
        cells = f"{cells[:-1]}»"
    return f"{cells[:_HALF]}│{cells[_HALF:]}"


def answer_report(
    answer: Answer,
    width: int,
    *,
    everything: bool = False,
    is_brief: bool = False,
    is_tight: bool = False,
) -> Report:
    """The sentence that answers, what to do, the five, and what else is not enough.

    ``width``: of the screen, in characters; ``is_brief``: without reasons, and of the others only
    names, where dangers need the room; ``is_tight``: with fewer blank lines, where legs need some.
    """
    gone = gone_words(answer) if answer.days["longest"].is_whole_trip else ""
    yield Line(f"{headline(answer)}{gone}", "bold")
    if not (is_brief or is_tight):
        yield Line()
    yield from _actions(answer.actions, everything=everything, is_brief=is_brief)
    if answer.actions and not is_brief:
        yield Line()
    if without := without_words(answer):
        yield Line(without)
    longest = max((len(nutrient_name(standing.tag)) for standing in answer.five), default=8)
    if width >= _LEAST_FOR_BARS:
        head = f"{'':{longest + 17}}none{'aim':^{_BAR - 5}}twice"
        yield Line(f"{head}  {'of aim':>6} · chance of enough", "dim")
    for standing in answer.five:
        yield _row(standing, where_words(standing), longest, width)
        if standing.tag == "ENERC_KCAL":
            for low_day in answer.low_energy[:_MOST_LOW_DAYS]:
                yield _row(low_day, where_words(low_day), longest, width)
    low = [
        other
        for other in answer.others
        if other.shown_word not in FINE and other.word != chance.NOT_KNOWN
    ]
    low = [standing for standing in low if standing.shown_word != salt.ASK_DOCTOR]
    listed = low if everything else low[: 0 if is_brief else _MOST_ROWS]
    for standing in listed:
        yield _row(standing, "", longest, width)
    yield from _rest(answer, low[len(listed) :], everything=everything, is_brief=is_brief)
    if not (is_brief or is_tight):
        yield Line()


def shown_actions(actions: Sequence[Action], *, is_brief: bool) -> Sequence[Action]:
    """The actions that a short screen has room for: one more where they are without reasons."""
    return actions[: MOST_ACTIONS + is_brief]


def _actions(actions: Sequence[Action], *, everything: bool, is_brief: bool) -> Report:
    """What to do, numbered; without reasons where the room is short."""
    shown = actions if everything else shown_actions(actions, is_brief=is_brief)
    left = len(actions) - len(shown)
    said = ""
    for number, action in enumerate(shown, start=1):
        what, why = action_words(action)
        if why == said and not everything:
            why = ""  # the same reason stands above
        said = why or said
        text = f"{what}." if is_brief else f"{what}. {why}".rstrip()
        if why.startswith("or "):
            text = f"{what}, {why.partition('. ')[0] + '.' if is_brief else why}"
        if left and number == len(shown):
            text = f"{text} ({left} more to do: --all)"
        yield Line(text, mark=Styled(f"{number}.", "bold"))


def _rest(answer: Answer, more: list[Standing], *, everything: bool, is_brief: bool) -> Report:
    """The nutrients without a bar, by name or by their number."""
    if more:
        yield Line(_amiss(more, is_brief=is_brief))
    asked = [other for other in answer.others if other.shown_word == salt.ASK_DOCTOR]
    yield from _names("Ask your doctor:", asked)
    unknown = [other for other in answer.others if other.word == chance.NOT_KNOWN]
    fine = [other for other in answer.others if other.shown_word in FINE]
    if is_brief and fine:
        names = ", ".join(nutrient_name(standing.tag) for standing in unknown)
        rest = f" Not known: {names}." if unknown else ""
        near = [row for row in more if row.shown_word == chance.NEAR_ADVISED]
        head = "Enough, likely or nearly so" if near else "Enough or likely enough"
        yield Line(f"{head}: {len(fine) + len(near)} more.{rest}")
        return
    for word in (chance.LIKELY_ENOUGH, chance.ENOUGH):
        rows = [standing for standing in fine if standing.shown_word == word]
        if everything or word != chance.ENOUGH:
            yield from _names(f"{word.capitalize()}:", rows)
        elif rows:
            names = ", ".join(nutrient_name(standing.tag) for standing in unknown)
            rest = f" Not known: {names}." if unknown else ""
            yield Line(f"Enough: {len(rows)} more.{rest}")
            unknown = []
    yield from _names(
        "Not known:",
        unknown,
        unknown_words([standing.tag for standing in unknown]) if everything else "",
    )
    if words := settling_words(answer.settling[: None if everything else 1]):
        yield Line(words)
    if any(other.is_borrowed for other in answer.others):
        yield Line(_BORROWED, "dim")


def _row(standing: Standing, where: str, longest: int, width: int) -> Part:
    """A nutrient with its bar; ``longest``: characters of the longest name."""
    share = percent(standing.likely / standing.aim) if standing.aim > 0 else "–"
    said = chance_words(standing.shown_tenths)
    status = STATUSES[standing.shown_word]
    style = STYLES[status.kind]
    mark = Styled(status.mark, style)
    if width < _LEAST_FOR_BARS:
        return Line(f"{_name(standing)}: {share}, {standing.shown_word}", mark=mark)
    place = where if len(where) <= _WHERE else f"{where[: _WHERE - 1].rstrip()}…"
    name = f"{_name(standing):<{longest}} {place}"
    drawn = f"{bar(standing.low, standing.likely, standing.high, standing.aim)} {share:>5}"
    if standing.limit >= 0 and not math.isnan(standing.likely):
        limit = f"{amount(standing.limit, 0)} {BY_TAG[standing.tag].unit}"
        drawn = f"eaten {amount(standing.likely, 0)} of at most {limit}"
    elif standing.shown_word == salt.ASK_DOCTOR and not math.isnan(standing.likely):
        # what the doctor asks for, in the bar's place
        sweat = f", in sweat {amount(standing.in_sweat, 0)}" if standing.in_sweat > 0 else ""
        drawn = f"eaten {amount(standing.likely, 0)} {BY_TAG[standing.tag].unit}{sweat}"
    text = f"{name[: longest + 1 + _WHERE]:<{longest + 1 + _WHERE}} {drawn:<{_BAR + 7}} "
    word = standing.shown_word
    if len(text) + len(word) + len(said) + 3 > width:
        word = _SHORTER.get(word, word)
    fits = len(text) + len(word) + len(said) + 3 <= width
    return Pieces([mark, Styled(text), Styled(word, style), Styled(f" {said}" if fits else "")])


#: Where a narrow screen has no room.
_SHORTER = {chance.BELOW_ADVISED: "below advised", chance.NEAR_ADVISED: "near advised"}


_SHORT = (chance.SHORT, chance.LIKELY_SHORT)
_LOW = (chance.BELOW_ADVISED, chance.EVEN)
#: What stands before names, and the words of those; the headline counts what is short.
_LOW_HEADS = (
    ("Also short", _SHORT),
    ("Also low", _LOW),
    ("Near the advised amount", (chance.NEAR_ADVISED,)),
)
_LOW_HEADS_BRIEF = (("Also low", (*_SHORT, *_LOW)),)


def _amiss(more: list[Standing], *, is_brief: bool) -> str:
    """What else is low, and what is too much; of that a brief answer's headline speaks."""
    parts = []
    for head, words in _LOW_HEADS_BRIEF if is_brief else _LOW_HEADS:
        low = [_name(row) for row in more if not row.excess and row.shown_word in words]
        if low:
            named = low[:_MOST_NAMES] if is_brief else low
            rest = f" and {len(low) - len(named)} more" if len(low) > len(named) else ""
            parts.append(f"{head}: {', '.join(named)}{rest}.")
    for excess in (
        (chance.MAYBE_TOO_MUCH,) if is_brief else (chance.TOO_MUCH, chance.MAYBE_TOO_MUCH)
    ):
        names = [_name(standing) for standing in more if standing.excess == excess]
        if names:
            parts.append(f"{excess.capitalize()}: {', '.join(names)}.")
    return " ".join(parts)


def _names(head: str, rows: list[Standing], more: str = "") -> Report:
    if rows:
        yield Line(f"{head} {', '.join(map(_name, rows))}. {more}".rstrip())


def _name(standing: Standing) -> str:
    """A nutrient, marked where it rests on another country's foods."""
    return nutrient_name(standing.tag) + ("*" if standing.is_borrowed else "")
