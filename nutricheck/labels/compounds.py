"""Molar masses of compounds, and how much of an element or of vitamin C a compound holds.

Formulas are read as written: ``Mg(C2H4NO2)2·2H2O``. Weights: IUPAC (CIAAW) abridged standard
atomic weights 2021.
"""

from __future__ import annotations

import functools
import re
from collections import Counter
from dataclasses import dataclass

from nutricheck.errors import UnitError, shorten
from nutricheck.facts import evidence

__all__ = ["ASCORBIC_ACID", "Compound", "atomic_weight", "find", "known", "molar_mass", "share"]

ASCORBIC_ACID = "C6H8O6"
_TOKEN = re.compile(r"([A-Z][a-z]?)(\d*)|(\()|\)(\d*)")
_VITAMIN_C = "VITC"
# What people write → what the names of the table say.
_SPOKEN = {
    "salt": "sodium chloride",
    "table salt": "sodium chloride",
    "epsom salt": "magnesium sulfate",
    "baking soda": "sodium bicarbonate",
    "vitamin c": "ascorbic acid",
}
_UNSAID = {"elemental", "as", "from", "chelate", "chelated", "powder", "the", "of"}


@dataclass(frozen=True)
class Compound:
    """A compound as sold: name, formula, molar mass [g/mol] and what is said of it."""

    name: str
    formula: str
    molar_mass: float
    note: str
    ascorbate_units: int


@functools.cache
def _weights() -> dict[str, tuple[float, str]]:
    """Symbol → weight and tagname."""
    return {
        row["symbol"]: (float(row["weight"]), row["component"])
        for row in evidence.rows("atomic_weights")
    }


def atomic_weight(component: str) -> float:
    """Standard atomic weight of the element with this tagname. [g/mol]

    References
    ----------
    IUPAC (CIAAW), abridged standard atomic weights, 2021.
    """
    for weight, tag in _weights().values():
        if tag == component:
            return weight
    raise KeyError(component)


def _atoms(formula: str) -> Counter[str]:
    """Atoms of a formula; a number before a part after ``·`` multiplies that part."""
    total: Counter[str] = Counter()
    for part in re.split(r"[·.*]", formula.replace(" ", "")):
        leading = re.match(r"\d+", part)
        factor = int(leading.group()) if leading else 1
        stack: list[Counter[str]] = [Counter()]
        position = leading.end() if leading else 0
        while position < len(part):
            match = _TOKEN.match(part, position)
            if match is None or (match.group(1) and match.group(1) not in _weights()):
                raise UnitError(f"{shorten(formula)} is not a formula of known elements")
            symbol, count, opening, closing = match.groups()
            if symbol:
                stack[-1][symbol] += int(count or 1)
            elif opening:
                stack.append(Counter())
            elif len(stack) < 2:
                raise UnitError(f"{shorten(formula)} closes a bracket that it never opened")
            else:
                group = stack.pop()
                for inner, number in group.items():
                    stack[-1][inner] += number * int(closing or 1)
            position = match.end()
        if len(stack) != 1 or not stack[0]:
            raise UnitError(f"{shorten(formula)} is not a whole formula")
        for symbol, number in stack[0].items():
            total[symbol] += factor * number
    return total


@functools.cache
def molar_mass(formula: str) -> float:
    """Molar mass of a formula. [g/mol]

    Raises
    ------
    UnitError
        If the text is not a formula of elements that supplements hold.

    References
    ----------
    IUPAC (CIAAW), abridged standard atomic weights, 2021.

    Examples
    --------
    >>> round(molar_mass("MgO"), 3)
    40.304
    >>> round(molar_mass("Mg(C2H4NO2)2·2H2O"), 2)
    208.45
    """
    return sum(_weights()[symbol][0] * number for symbol, number in _atoms(formula).items())


def share(compound: Compound, component: str) -> float:
    """Mass of an element, or of ascorbic acid for vitamin C, in the mass of a compound. [g/g]

    References
    ----------
    The rows of the evidence table ``atomic_weights``, each with its source.

    Examples
    --------
    >>> round(share(find("magnesium oxide")[0], "MG"), 3)
    0.603
    """
    if component == _VITAMIN_C:
        return compound.ascorbate_units * molar_mass(ASCORBIC_ACID) / compound.molar_mass
    held = sum(
        _weights()[symbol][0] * number
        for symbol, number in _atoms(compound.formula).items()
        if _weights()[symbol][1] == component
    )
    return held / compound.molar_mass


@functools.cache
def known() -> tuple[Compound, ...]:
    """All compounds of the table."""
    return tuple(
        Compound(
            row["compound"],
            row["formula"],
            molar_mass(row["formula"]),
            row["note"],
            int(row["ascorbate_units"] or 0),
        )
        for row in evidence.rows("supplement_forms")
    )


def find(name: str) -> tuple[Compound, ...]:
    """The compounds that a name may mean: one when it is exact, several where hydration is open.

    Examples
    --------
    >>> [compound.name for compound in find("magnesium bisglycinate")]
    ['magnesium bisglycinate (anhydrous)', 'magnesium bisglycinate dihydrate']
    """
    wanted = " ".join(name.casefold().split())
    wanted = _SPOKEN.get(wanted, wanted).replace("iron", "ferrous")
    exact = tuple(compound for compound in known() if compound.name.casefold() == wanted)
    if exact:
        return exact
    words = [word for word in re.findall(r"[a-z0-9:]+", wanted) if word not in _UNSAID]
    return tuple(
        compound
        for compound in known()
        if words and all(word in compound.name.casefold() for word in words)
    )
