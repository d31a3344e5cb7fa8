"""The answer in a terminal: on one screen of 80 columns what to do, and how sure.

A bar runs from nothing to twice the aim, the aim in its middle: full blocks are as good as sure,
half ones may be there.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from nutricheck.adequacy import chance, salt
from nutricheck.report.answer_words import (
    action_words,
    chance_words,
    days_covered_words,
    headline,
    nutrient_name,
    settling_words,
    unknown_words,
    where_words,
)
from nutricheck.report.screen import Screen, Style, Styled
from nutricheck.report.words import percent

if TYPE_CHECKING:
    from nutricheck.advice.answer import Answer, Standing

__all__ = ["bar", "print_answer"]

_MOST_ACTIONS = 3
_MOST_ROWS = 6
_BAR = 20
_WHERE = 13
_MARKS: dict[str, Styled] = {
    chance.ENOUGH: Styled("+", "good"),
    chance.LIKELY_ENOUGH: Styled("+", "good"),
    chance.EVEN: Styled("~", "warn"),
    chance.NEAR_ADVISED: Styled("~", "warn"),
    chance.BELOW_ADVISED: Styled("~", "warn"),
    chance.LIKELY_SHORT: Styled("-", "bad"),
    chance.SHORT: Styled("-", "bad"),
    salt.RIGHT: Styled("+", "good"),
    salt.MORE_THAN_USEFUL: Styled("~", "warn"),
    salt.TOO_LITTLE: Styled("-", "bad"),
    salt.FAR_TOO_MUCH: Styled("^", "bad"),
    salt.ASK_DOCTOR: Styled("!", "bad"),
    "maybe too much": Styled("^", "warn"),
    "too much": Styled("^", "bad"),
}
#: A narrower screen shows no bars. [character]
_LEAST_FOR_BARS = 60
_UNKNOWN = Styled("?", "dim")
_BORROWED = "* borrowed from another country's foods; yours may hold several times more or less"
_ENOUGH = (chance.ENOUGH, chance.LIKELY_ENOUGH)


def bar(low: float, likely: float, high: float, aim: float, width: int = _BAR) -> str:
    """An amount from nothing to twice the aim.

    ``█`` is as good as sure (below the low end), ``▒`` may be there (to the high end), ``│`` the
    aim; ``»`` at the end: it runs on.

    Examples
    --------
    >>> bar(50, 100, 150, 100, width=8)
    '██▒▒│▒▒··'
    >>> bar(400, 500, 600, 100, width=8)
    '████│███»'
    """
    if not aim > 0 or math.isnan(low + likely + high):
        return "·" * (width // 2) + "│" + "·" * (width // 2)
    sure, may = (
        min(width, round((0.0 if math.isnan(end) else end) / aim / 2 * width))
        for end in (low, high)
    )
    cells = "█" * sure + "▒" * max(may - sure, 0)
    cells = cells.ljust(width, "·")
    if high > 2 * aim:
        cells = f"{cells[:-1]}»"
    return f"{cells[: width // 2]}│{cells[width // 2 :]}"


def print_answer(out: Screen, answer: Answer, *, everything: bool = False) -> None:
    """Print the sentence that answers, what to do, the five, and what else is not enough."""
    out.line(headline(answer), "bold")
    covered = days_covered_words(answer)
    if answer.days["longest"].is_whole_trip:
        out.line(covered)
    out.line()
    for number, action in enumerate(
        answer.actions[: None if everything else _MOST_ACTIONS], start=1
    ):
        what, why = action_words(action)
        out.line(
            f"{what}. {why}" if not why.startswith("or ") else f"{what}, {why}",
            mark=Styled(f"{number}.", "bold"),
        )
    left = len(answer.actions) - _MOST_ACTIONS
    if left > 0 and not everything:
        out.line(f"{left} more to do: --all", "dim", mark="  ")
    if answer.actions:
        out.line()
    width = max((len(nutrient_name(own.tag)) for own in answer.five), default=8)
    if out.width >= _LEAST_FOR_BARS:
        out.line(f"{'':{width + 17}}none{'aim':^{_BAR - 5}}twice", "dim")
    for own in answer.five:
        _row(out, own, where_words(own), width)
    worse = [own for own in answer.others if own.tenths >= 0 and own.shown_word not in _ENOUGH]
    listed = worse if everything else worse[:_MOST_ROWS]
    for own in listed:
        _row(out, own, "", width)
    out.line()
    _names(out, "Low too:", worse[len(listed) :])
    asked = [own for own in answer.others if own.shown_word == salt.ASK_DOCTOR]
    _names(out, "Ask your doctor:", asked)
    _names(out, "Enough:", [own for own in answer.others if own.shown_word == chance.ENOUGH])
    _names(
        out,
        "Likely enough:",
        [own for own in answer.others if own.shown_word == chance.LIKELY_ENOUGH],
    )
    unknown = [own for own in answer.others if own.word == chance.NOT_KNOWN]
    _names(out, "Not known:", unknown, unknown_words([own.tag for own in unknown]))
    if words := settling_words(answer.settling):
        out.line(words)
    if any(own.is_borrowed for own in answer.others):
        out.line(_BORROWED, "dim")
    out.line()


def _row(out: Screen, own: Standing, where: str, width: int) -> None:
    share = percent(own.likely / own.aim) if own.aim > 0 else "–"
    said = chance_words(own.tenths) if own.shown_word == own.word else ""
    mark = _MARKS.get(own.shown_word, _UNKNOWN)
    style: Style = mark.style
    if out.width < _LEAST_FOR_BARS:
        out.line(f"{_name(own)}: {share}, {own.shown_word}", mark=mark)
        return
    name = f"{_name(own):<{width}} {where[:_WHERE]}"
    text = (
        f"{name[: width + 1 + _WHERE]:<{width + 1 + _WHERE}} "
        f"{bar(own.low, own.likely, own.high, own.aim)} {share:>5}  "
    )
    fits = len(text) + len(own.shown_word) + len(said) + 3 <= out.width
    out.row(
        [mark, Styled(text), Styled(own.shown_word, style), Styled(f"  {said}" if fits else "")]
    )


def _names(out: Screen, head: str, rows: list[Standing], more: str = "") -> None:
    if rows:
        names = ", ".join(map(_name, rows))
        out.line(f"{names}. {more}".rstrip(), mark=Styled(head, "bold"))


def _name(own: Standing) -> str:
    """A nutrient, marked where it rests on another country's foods."""
    return nutrient_name(own.tag) + ("*" if own.is_borrowed else "")
