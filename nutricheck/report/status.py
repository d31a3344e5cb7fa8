"""The status words, each once: how bad it is, which mark and which sign stand beside it."""

from __future__ import annotations

from typing import NamedTuple

from nutricheck.adequacy import chance, salt
from nutricheck.report.parts import Style, Styled
from nutricheck.report.words import Kind

__all__ = ["FINE", "MARKS", "STATUSES", "STYLES", "Status", "kind_of", "rank", "sign_of", "styled"]


class Status(NamedTuple):
    """``kind``: what it is for the reader; ``mark``: in a terminal; ``sign``: drawn on a page."""

    kind: Kind
    mark: str
    sign: str


#: Every word that may stand as a status, the worst first.
STATUSES: dict[str, Status] = {
    chance.TOO_MUCH: Status("bad", "^", "too-much"),
    salt.FAR_TOO_MUCH: Status("bad", "^", "too-much"),
    chance.SHORT: Status("bad", "-", "short"),
    salt.TOO_LITTLE: Status("bad", "-", "short"),
    chance.LIKELY_SHORT: Status("bad", "-", "likely-short"),
    salt.ASK_DOCTOR: Status("bad", "!", "too-much"),
    chance.BELOW_ADVISED: Status("attention", "~", "below"),
    chance.EVEN: Status("attention", "~", "even"),
    chance.NEAR_ADVISED: Status("attention", "~", "even"),
    chance.NOT_KNOWN: Status("unknown", "?", "not-known"),
    chance.MAYBE_TOO_MUCH: Status("attention", "^", "maybe-too-much"),
    salt.MORE_THAN_USEFUL: Status("attention", "~", "maybe-too-much"),
    chance.LIKELY_ENOUGH: Status("good", "+", "likely-enough"),
    chance.ENOUGH: Status("good", "+", "enough"),
    salt.RIGHT: Status("good", "+", "right"),
    salt.WITHIN_LIMIT: Status("good", "+", "right"),
}
#: How a kind of sentence or word is shown, and the mark before a sentence.
STYLES: dict[Kind, Style] = {"good": "good", "attention": "warn", "bad": "bad", "unknown": "dim"}
MARKS: dict[Kind, Styled] = {
    kind: Styled(mark, style) for (kind, style), mark in zip(STYLES.items(), "+~!?", strict=True)
}
#: Words that ask for nothing.
FINE = frozenset(word for word, statuse in STATUSES.items() if statuse.kind == "good")
_ORDER = {word: place for place, word in enumerate(STATUSES)}


def rank(word: str) -> int:
    """Place of a word, the worst first; what is no status comes last."""
    return _ORDER.get(word, len(_ORDER))


def kind_of(word: str) -> Kind:
    """What a word is for the reader."""
    return STATUSES[word].kind if word in STATUSES else "unknown"


def sign_of(word: str) -> str:
    """The sign drawn beside a word."""
    return STATUSES[word].sign if word in STATUSES else "not-known"


def styled(word: str, text: str = "") -> Styled:
    """A word in its style, or another text in the style of the word."""
    return Styled(text or word, STYLES[STATUSES[word].kind] if word in STATUSES else "")
