"""What to say of a name that is none of the known ones: those most like it."""

from __future__ import annotations

import re
from collections.abc import Sequence
from typing import Any

from nutricheck.errors import shorten
from nutricheck.facts import components

__all__ = ["close_names", "unknown_component", "unknown_name"]


def unknown_name(name: str, known: Any, what: str = "batches, labels and mixes") -> str:
    """What to say of a name that is not among the known ones, with those most like it."""
    known = list(known)
    return _unknown(name, known, what, close_names(name, known))


def _unknown(name: str, known: Sequence[str], what: str, near: Sequence[str]) -> str:
    text = f"{shorten(name)} is not among the {what}"
    if near:
        return text + "; did you mean " + " or ".join(shorten(match) for match in near) + "?"
    shown = ", ".join(shorten(match) for match in known[:5])
    return text + (f" ({shown}{', …' if len(known) > 5 else ''})" if shown else " (there are none)")


def unknown_component(name: str) -> str:
    """What to say of a component that is no tagname: "magnesium" is MG.

    Whole names are compared: as a part, P is like "potasium" and F like "fiber".
    """
    from rapidfuzz import fuzz, process

    spelled = [(tag, text) for tag, word in components.NAMES.items() for text in (tag, word)]
    spelled += [(tag, text) for text, tag in components.OTHER_NAMES.items()]
    close = process.extract(
        name,
        [text for _, text in spelled],
        scorer=fuzz.ratio,
        processor=_plain_name,
        score_cutoff=80,
        limit=None,
    )
    best = dict.fromkeys(spelled[at][0] for _, score, at in close if score == close[0][1])
    near = list(best) if len(best) <= 3 else []  # "vitamin B8" is as like to all the others
    return _unknown(name, list(components.NAMES), "short names", near)


def _plain_name(text: str) -> str:
    """Without what stands in brackets; "Vit. C" and "VITC" are vitamin C."""
    plain = re.sub(r"\(.*", "", text).strip().casefold()
    return re.sub(r"^vit(amin)?\.?\s*(?=\w)", "vitamin ", plain)


def close_names(name: str, known: list[str]) -> list[str]:
    """Up to three of the known names that are most like this one, letter case aside."""
    from rapidfuzz import process, utils

    # under 70 short names are "found" inside long ones: "rice" in "strawberries"
    close = process.extract(name, known, processor=utils.default_process, limit=3, score_cutoff=70)
    return [match[0] for match in close]
