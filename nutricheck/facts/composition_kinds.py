"""The kind of a food: by it an unknown amount is drawn, and isomers of fatty acids are told apart.

The evidence table ``composition_kinds`` names the kinds; fortified foods are kinds of their own,
since what is added to them says nothing of others.
"""

from __future__ import annotations

import functools
import re
from dataclasses import dataclass

from nutricheck.facts import evidence

__all__ = ["FORTIFIED", "CompositionKind", "composition_kind"]

#: What the names of kinds of fortified foods end in.
FORTIFIED = ", fortified"

_ADDED = re.compile(
    r"\b(?:fortified|enriched|"
    r"with added (?:[a-z ,-]* )?(?:vitamins?|calcium|ascorbic acid|iron|nutrients|folic acid))\b"
)
_NOT_ADDED = re.compile(r"\b(?:not |un)(?:fortified|enriched)\b|\bwithout added [a-z ]+")


@dataclass(frozen=True)
class CompositionKind:
    """``name`` of the kind, the wider ``family``, and where its fat comes from."""

    name: str
    family: str
    fat_source: str


@functools.cache
def _rules() -> dict[str, list[tuple[re.Pattern[str], CompositionKind]]]:
    """Group → patterns and kinds, in order; an empty pattern fits all."""
    rules: dict[str, list[tuple[re.Pattern[str], CompositionKind]]] = {}
    for row in evidence.rows("composition_kinds"):
        pattern = re.compile(rf"\b(?:{row['words']})\b" if row["words"] else "")
        kind = CompositionKind(row["kind"], row["family"], row["fat_source"])
        rules.setdefault(row["group_code"], []).append((pattern, kind))
    return rules


def composition_kind(
    description: str, group_code: str, folic_acid: float = 0.0
) -> CompositionKind | None:
    """The kind of a food; None where its group or description fits none.

    Parameters
    ----------
    description : str
        The food's description in its table.
    group_code : str
        Its food group: SR28's code, or CoFID's after "CoFID ".
    folic_acid : float
        Folic acid, which no food holds unless it was put there; NaN where unknown. [ug per 100 g]

    Examples
    --------
    >>> composition_kind("Lentils, raw", "1600").name
    'pulse'
    >>> composition_kind("Pasta, dry, enriched", "2000").name
    'refined grain, fortified'
    """
    text = description.lower()
    for pattern, kind in _rules().get(group_code, []):
        if pattern.search(text):
            if folic_acid > 0 or _ADDED.search(_NOT_ADDED.sub("", text)):
                name, family = kind.name + FORTIFIED, kind.family + FORTIFIED
                return CompositionKind(name, family, kind.fat_source)
            return kind
    return None
