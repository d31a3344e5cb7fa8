"""What the page's script needs to decide again which cautions hold, as JSON."""

from __future__ import annotations

from collections.abc import Collection, Iterable
from typing import TYPE_CHECKING, Any

from nutricheck.advice.answer import counts_against, inedible
from nutricheck.caution_limits import AsPlanned, Limit, Moving, Shown, Words, pieces_of
from nutricheck.cautions.left_at_home import items_holding, stays_at_home
from nutricheck.facts.caution import Caution, caution_row, grouped, without_place
from nutricheck.intake.menu import TAGS

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = ["NOT_FOLLOWED", "can_hold", "cautions_data", "tags_held"]

#: Ids of cautions that rest on what can be changed in the page and stay as planned.
NOT_FOLLOWED = ("leg too heavy", "salt asks a doctor")
#: Quantities that are nothing where no item holds any of the component.
_OF_COMPONENT = ("added", "likely", "counted")
_LEVELS = ["danger", "warning", "note"]


def cautions_data(result: Result) -> dict[str, Any]:
    """The cautions in the order in which the check finds them, and their words.

    ``says``: what limits say, each once; ``texts``, ``figures``: the pieces of their words and what
    they compare. ``entries``: limits, and in their place those cautions that stand whatever is
    changed, grouped.
    """
    standing = _Standing(result)
    held = tags_held(result)
    says: dict[tuple[Any, ...], int] = {}
    entries = []
    for found in result.limits:
        if isinstance(found, Caution):
            if (group := standing.group_of(found)) is not None:
                entries.append(_fixed(group))
        elif found.rank or can_hold(held, found):
            entries.append(standing.entry(found, says.setdefault(_said(found), len(says))))
    return {
        "says": [_whole(zip(_SAID, said, strict=True)) for said in says],
        "entries": entries,
        "texts": list(standing.texts),
        "figures": standing.figures,
        "words": standing.words,
        "inedible": sorted(item.casefold() for item in inedible(result)),
    }


#: What is told of a limit, each once for all that share it.
_SAID = (
    *("id", "rule", "topic", "text", "detail", "authority"),
    *("level", "raised", "weight", "harm", "counts"),
)
#: Words that are longer stand once for all limits that say them.
_SHORT = 3


def _whole(pairs: Iterable[tuple[str, Any]]) -> dict[str, Any]:
    """What is something; the script takes what is left out for nothing."""
    return {key: one for key, one in pairs if one not in ("", None, [], {}) and one is not False}


def _fixed(found: Caution) -> dict[str, Any]:
    """A caution that stands."""
    standing = {
        "id": found.id,
        "topic": found.topic,
        "level": _LEVELS.index(found.level),
        "weight": found.harm * found.likelihood,
        "harm": found.harm,
        "places": list(found.places),
        "is_person": found.where == "person",
        "counts": counts_against(found),
        "stays": found.id in NOT_FOLLOWED,
    }
    return _whole(standing.items())


def _said(found: Limit) -> tuple[Any, ...]:
    """What :data:`_SAID` names."""
    whole = found.caution(1)
    text, detail = whole.text, ""
    levels = [str(whole.level), ""]
    if found.ready is None:
        row = caution_row(found.id)
        text, detail = row["text"], row["detail"]
        levels = [row["level"], row["raised"]]
    weight = whole.harm * whole.likelihood
    places = (_LEVELS.index(level) if level else None for level in levels)
    said = (whole.id, found.rule, whole.topic, text, detail, whole.authority)
    return (*said, *places, weight, whole.harm, counts_against(whole))


def tags_held(result: Result) -> set[str]:
    """The components of which any packed item holds some."""
    held: set[str] = set()
    for item in result.items.values():
        likely, added = (item.per_100g[name].to_numpy() > 0 for name in ("likely", "added"))
        held |= {*item.per_100g.index[likely | added]}
    return held


def can_hold(held: Collection[str], found: Limit) -> bool:
    """Whether some change of amounts could bring a limit's caution: something ``held`` is of it."""
    tags = {
        "RETOL" if figure.basis == "preformed retinol" else figure.what
        for figure in found.figures.values()
        if isinstance(figure, Moving) and figure.kind in _OF_COMPONENT
    }
    return tags <= {*held}


class _Standing:
    """What entries are read with: where days, items and components stand in the page's lists."""

    def __init__(self, result: Result) -> None:
        self.texts: dict[str, int] = {}
        self.figures: list[dict[str, Any]] = []
        self.words: list[dict[str, Any]] = []
        self.days = {str(day): place for place, day in enumerate(result.days["day"])}
        names = result.supply.items["item"]
        self.items = {str(name).casefold(): place for place, name in enumerate(names)}
        self.holding = items_holding(result.plan)
        self.groups = {
            without_place(found): found
            for found in grouped(one for one in result.limits if isinstance(one, Caution))
        }

    def group_of(self, found: Caution) -> Caution | None:
        """The group of a caution, at the first of its places."""
        return self.groups.pop(without_place(found), None)

    def entry(self, found: Limit, say: int) -> dict[str, Any]:
        """A limit for the script; what is left out is nothing."""
        words: dict[str, Words] = {**found.words}
        figures = {name: self._figure(figure, found.day) for name, figure in found.figures.items()}
        if found.detail is not None:
            words["detail"] = found.detail
        if found.short is not None:
            words["short"] = found.short
        if found.ready is not None:
            words = {"detail": found.ready.detail} if found.ready.detail else {}
        said = {name: self._words(one) for name, one in words.items()}
        whole = found.caution(1)
        leaves = self.holding.get(found.where.casefold(), ()) if stays_at_home(whole) else ()
        entry = {
            "say": say,
            "where": "" if found.where == found.day else found.where,
            "figures": self._place(self.figures, figures),
            "words": self._place(self.words, said) if said else None,
            "assumed": found.assumed,
            "day": self.days[found.day] if found.day else None,
            "trip": found.trip,
            "leaves": [self.items[item.casefold()] for item in leaves],
        }
        return _whole(entry.items())

    @staticmethod
    def _place(known: list[dict[str, Any]], one: dict[str, Any]) -> int:
        """Where something stands among what is known; it is put there if it is new."""
        if one not in known:
            known.append(one)
        return known.index(one)

    def _figure(self, figure: float | Moving, day: str) -> Any:
        """A figure for the script; without a day it is of that of its limit."""
        if not isinstance(figure, Moving):
            return figure
        read = {
            "kind": figure.kind,
            "what": "" if figure.what in TAGS else figure.what,
            "tag": TAGS.index(figure.what) if figure.what in TAGS else None,
            "item": self.items.get(figure.what.casefold()) if figure.kind == "carried" else None,
            "day": self.days[figure.day] if figure.day not in ("", day) else None,
            "trip": figure.trip,
            "basis": figure.basis,
            "weights": [
                [self.items[item.casefold()], per_g] for item, per_g in figure.weights.items()
            ],
            "times": figure.times,
            "plus": figure.plus,
        }
        usual = {"trip": "longest", "times": 1.0, "plus": 0.0}
        return {
            key: one
            for key, one in read.items()
            if one not in ("", None, []) and one != usual.get(key)
        }

    def _words(self, words: Words) -> Any:
        """The pieces of words; a number is the place of a text in ``texts``."""
        pieces = [self._piece(piece) for piece in pieces_of(words)]
        return pieces[0] if isinstance(words, str) else pieces

    def _piece(self, piece: str | Shown | AsPlanned) -> Any:
        if isinstance(piece, str):
            is_short = len(piece) <= _SHORT
            return piece if is_short else self.texts.setdefault(piece, len(self.texts))
        if isinstance(piece, AsPlanned):
            return {"planned": piece.text}
        usual, shown = Shown(""), list(piece)
        while shown[-1] == usual[len(shown) - 1]:
            shown.pop()
        return shown
