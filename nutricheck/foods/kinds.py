"""Kinds of food that people do not eat, found by the words of a food's name.

A name does not say all that is in a food: what is found is a hint, and what is not found proves
nothing. The words stand in the evidence table ``food_kinds``.
"""

from __future__ import annotations

import functools
import re
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

from nutricheck.facts import evidence

__all__ = [
    "DIETS",
    "Holding",
    "held",
    "hidden",
    "kinds",
    "kinds_called",
    "of_kind",
    "word_pattern",
]

#: Whether a food holds a kind, by its name.
Holding = Literal["holds", "may hold", ""]

#: A way to eat → the kinds that it leaves out.
DIETS: dict[str, tuple[str, ...]] = {
    "everything": (),
    "vegetarian": ("meat", "fish", "crustaceans", "molluscs"),
    "vegan": ("meat", "fish", "crustaceans", "molluscs", "egg", "milk", "other animal foods"),
}


@dataclass(frozen=True)
class _Rule:
    """Words of one rule, and groups all of whose foods fall under it."""

    listed: tuple[str, ...]
    group_codes: frozenset[str]
    note: str

    @functools.cached_property
    def words(self) -> re.Pattern[str]:
        """The pattern of the words, made on first use: a check asks for few of the kinds."""
        return word_pattern(self.listed)

    def fits(self, name: str, group_code: str) -> bool:
        return group_code in self.group_codes or bool(self.words.search(name))


def word_pattern(words: Iterable[str]) -> re.Pattern[str]:
    """A pattern that finds the words as whole words, in the singular or plural.

    Examples
    --------
    >>> bool(word_pattern(["nut"]).search("nuts, almonds"))
    True
    >>> bool(word_pattern(["nuts"]).search("spices, nutmeg, ground"))
    False
    """
    stems = sorted((_stem(word) for word in words), key=len, reverse=True)
    return re.compile(rf"(?<![\w-])(?:{'|'.join(map(re.escape, stems))})(?:s|es)?(?![\w-])")


def _stem(word: str) -> str:
    small = " ".join(word.lower().split())
    return small if small.endswith("ss") else small.removesuffix("s")


@functools.cache
def _kinds() -> dict[str, dict[str, _Rule]]:
    """By kind, its rules by name."""
    found: dict[str, dict[str, _Rule]] = {}
    for row in evidence.rows("food_kinds"):
        found.setdefault(row["kind"], {})[row["rule"]] = _Rule(
            tuple(row["words"].split("|")), frozenset(row["group_codes"].split()), row["note"]
        )
    return found


def kinds() -> tuple[str, ...]:
    """The names of all kinds."""
    return tuple(_kinds())


@functools.cache
def kinds_called(word: str) -> tuple[str, ...]:
    """The kinds that a person's word names; empty where it names none.

    Examples
    --------
    >>> kinds_called("dairy")
    ('milk',)
    >>> kinds_called("Shellfish")
    ('crustaceans', 'molluscs')
    """
    said = word.lower().strip()
    return tuple(
        kind
        for kind, rules in _kinds().items()
        if word_pattern([kind]).fullmatch(said)
        or ("called" in rules and rules["called"].words.fullmatch(said))
    )


def of_kind(kind: str, name: str, group_code: str = "") -> Holding:
    """Whether a food of this name holds the kind.

    Examples
    --------
    >>> of_kind("milk", "Whey, sweet, dried")
    'holds'
    >>> of_kind("milk", "Peanut butter, smooth style, without salt")
    ''
    >>> of_kind("milk", "Cream substitute, powdered")
    'holds'
    >>> of_kind("gluten", "Soy sauce made from soy (tamari)")
    'may hold'
    """
    rules, small = _kinds()[kind], name.lower()
    if "holds all the same" in rules and rules["holds all the same"].fits(small, group_code):
        return "holds"
    left = rules["not"].words.sub(" ", small) if "not" in rules else small
    if rules["holds"].fits(left, group_code):
        claims_none = "claims none" in rules and rules["claims none"].fits(small, group_code)
        return "may hold" if claims_none else "holds"
    return "may hold" if "may hold" in rules and rules["may hold"].fits(left, group_code) else ""


def hidden(word: str, name: str, group_code: str = "") -> str:
    """What a food holds of a kind that its name denies; "" for nothing.

    Examples
    --------
    >>> hidden("dairy", "Cream substitute, powdered")
    'called nondairy, it holds casein, a protein of milk'
    >>> hidden("dairy", "Butter, salted")
    ''
    """
    for kind in kinds_called(word):
        rule = _kinds()[kind].get("holds all the same")
        if rule is not None and rule.fits(name.lower(), group_code):
            return rule.note
    return ""


def held(word: str, name: str, group_code: str = "") -> Holding:
    """Whether a food of this name holds what a person calls ``word``: a kind, or a word in names.

    Examples
    --------
    >>> held("dairy", "Butter, salted")
    'holds'
    >>> held("coriander", "Spices, coriander seed")
    'holds'
    """
    named = kinds_called(word)
    if not named:
        return "holds" if word.strip() and word_pattern([word]).search(name.lower()) else ""
    found = {of_kind(kind, name, group_code) for kind in named}
    return "holds" if "holds" in found else "may hold" if "may hold" in found else ""
