"""Cautions: plain words about a hazard, with the authority that gives the advice.

They change no number. Advice of local authorities and of a licensed practitioner comes first.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

__all__ = ["Caution"]


@dataclass(frozen=True)
class Caution:
    """One caution. ``where`` names the batch, item or day it belongs to."""

    topic: str
    text: str
    authority: str
    where: str = ""
    level: Literal["note", "warning", "danger"] = "note"
