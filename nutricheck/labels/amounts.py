"""What a label says, as composition per 100 g: food, drink mix or supplement.

Amounts may be masses, IU, mmol or mEq, percent of a daily value, kJ, or "<" something; minerals
may be stated as element or as compound. Where a label can be read in two ways, both readings make
the range (likely in the middle) and a question says what to look up: nothing is guessed.
"""

from __future__ import annotations

import functools
import math
import re
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Literal, NamedTuple

import numpy as np
import pandas as pd

from nutricheck.errors import Fault, NutricheckError, PlanError, UnitError, shorten
from nutricheck.facts import evidence
from nutricheck.facts.components import BY_TAG, KJ_PER_KCAL, NAMES, tags
from nutricheck.facts.constants import value
from nutricheck.labels import compounds
from nutricheck.labels.plausible import (
    FILLING,
    dose_questions,
    energy_questions,
    mass_questions,
    most_energy_kcal,
)
from nutricheck.plan.models import Label
from nutricheck.units import split_quantity

__all__ = ["LABEL_TAGS", "LabelFood", "label_composition", "stated_amount"]

#: Names that labels use beside the components' tagnames → the tag they are read as.
LABEL_TAGS = {"VITA": "VITA_RAE", "VITE": "TOCPHA", "VITK": "VITK1", "F": "FD"}
_OWN_READING = {"NACL", "ENERC_KJ"}
_NOT_REPORTED = {"SUGAD"}

# Casefolded: the micro sign becomes the Greek letter.
_GRAMS = {"kg": 1000.0, "g": 1.0, "mg": 1e-3, "ug": 1e-6, "mcg": 1e-6, "μg": 1e-6}
# Words after the unit that name the equivalents a vitamin is counted in.
_EQUIVALENTS = {"rae", "re", "dfe", "ne", "te", "alpha-te", "at", "vde"}
_VALENCE = {"NA": 1, "K": 1, "CLD": 1, "CA": 2, "MG": 2}
_LESS_THAN = re.compile(r"\s*(?:<|less than)", re.IGNORECASE)
_PERCENT = {"%", "%dv", "% dv", "%nrv", "% nrv", "%rda", "% rda", "percent"}
_SCHEMES = {
    "US 2016": "21 CFR 101.9 as of 2016 (FDA daily values)",
    "US before 2016": "21 CFR 101.9 before 2016 (FDA daily values)",
    "EU NRV": "Regulation (EU) 1169/2011, Annex XIII",
}
# Forms and units that share another's daily value.
_DAILY_VALUE_OF = {
    "FOLDFE": "FOL",
    "FOLAC": "FOL",
    "NIAEQ": "NIA",
    "VITA_IU": "VITA_RAE",
    "RETOL": "VITA_RAE",
    "VITD_IU": "VITD",
}
# With a fortified tag, what else of the label counts as added.
_FAMILIES = (
    {"VITA_RAE", "RETOL", "VITA_IU", "CARTB"},
    {"VITD", "VITD_IU"},
    {"FOL", "FOLAC", "FOLDFE"},
    {"NIA", "NIAEQ"},
)

_IOM = "IOM 2011, Dietary Reference Intakes summary p. 1106"
_CIAAW = "IUPAC (CIAAW) abridged standard atomic weights 2021"


class _Span(NamedTuple):
    """Range of an amount per serving, in the component's unit."""

    low: float
    likely: float
    high: float

    def times(self, factor: float) -> _Span:
        return _Span(*(value * factor for value in self))


def _fixed(value: float) -> _Span:
    return _Span(value, value, value)


def _between(low: float, high: float) -> _Span:
    """Likely is the middle: a label gives no reason to take one end for likelier."""
    return _Span(low, (low + high) / 2, high)


def _either(*spans: _Span) -> _Span:
    """One or the other: from the lowest to the highest; those that are alike as they are."""
    if len(set(spans)) == 1:
        return spans[0]
    return _between(min(span.low for span in spans), max(span.high for span in spans))


@dataclass(frozen=True)
class LabelFood:
    """A label read: composition per 100 g, what counts as added, and what is open.

    ``composition`` has tagname as index and columns low, likely, high per 100 g, NaN where the
    label says nothing. ``added`` holds the tags that count against upper levels for supplements
    and fortified food, ``inactive`` what these count beyond the composition, low, likely and high
    per 100 g: the inactive half of synthetic vitamin E. ``questions`` are for the user; ``notes``
    say how the label was read.
    """

    name: str
    kind: Literal["food", "drink mix", "supplement"]
    composition: pd.DataFrame
    added: frozenset[str]
    inactive: Mapping[str, tuple[float, float, float]]
    questions: tuple[str, ...]
    notes: tuple[str, ...]
    sources: tuple[str, ...]


@dataclass
class _Reading:
    """What has been read so far of one label; amounts are per serving."""

    label: Label
    reference: str = "DRI"
    takes_retinol: bool = False
    """Whether vitamin A of an unknown form is taken as retinol"""
    amounts: dict[str, _Span] = field(default_factory=dict)
    counted: dict[str, _Span] = field(default_factory=dict)
    """What upper levels count, where that is more than the amount"""
    questions: list[str] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    sources: list[str] = field(default_factory=list)
    faults: list[Fault] = field(default_factory=list)

    @property
    def is_supplement(self) -> bool:
        return self.label.kind == "supplement"

    def is_added(self, *names: str) -> bool:
        return self.is_supplement or bool(set(names) & set(self.label.fortified))

    def form(self, *names: str) -> str:
        """The form given under the first of the names that has one, in small letters."""
        return next((self.label.forms[n].casefold() for n in names if n in self.label.forms), "")

    def put(self, tag: str, span: _Span) -> None:
        """Keep an amount; what the label states itself wins over what follows from other rows."""
        self.amounts.setdefault(tag, span)

    def cite(self, source: str) -> None:
        if source not in self.sources:
            self.sources.append(source)


def label_composition(
    label: Label, reference: str = "DRI", *, takes_retinol: bool = False
) -> LabelFood:
    """The label's composition per 100 g.

    Parameters
    ----------
    label : Label
        Amounts per serving; a label per 100 g has a serving of 100 g.
    reference : {"DRI", "EFSA"}
        Whose upper level of folic acid it is for: EFSA's counts methylfolate too.
    takes_retinol : bool
        Take vitamin A of an unknown form as retinol, as is safe in pregnancy; else as either.

    Returns
    -------
    LabelFood

    Raises
    ------
    PlanError
        With every amount that cannot be read or cannot be true, at once.

    References
    ----------
    21 CFR 101.9 (FDA daily values); Regulation (EU) 1169/2011, Annexes I and XIII.

    Examples
    --------
    >>> tablet = Label(
    ...     name="tablet", kind="supplement", serving="1 g", amounts={"MG": "100 mg"},
    ...     compounds={"MG": "magnesium oxide"}, states={"MG": "compound"},
    ... )
    >>> round(float(label_composition(tablet).composition.at["MG", "likely"]), 1)
    6030.4
    """
    reading = _Reading(label, reference, takes_retinol)
    # First what stands under its own tag, then what other rows imply.
    for name in sorted(label.amounts, key=lambda name: name in _OWN_READING):
        try:
            _read(reading, name, label.amounts[name])
        except NutricheckError as error:
            reading.faults.append(Fault(f"amounts.{name}", str(error), ("amounts", name)))
    if not label.amounts:
        reading.notes.append("gives no amounts: its mass counts, but what it brings is not known")
    if label.water_percent is not None:
        reading.put("WATER", _fixed(label.water_percent / 100 * label.serving_g))
    _check_mass(reading)
    if reading.faults:
        raise PlanError(f"label {label.name!r}", reading.faults)
    _ask_what_is_improbable(reading)
    spans = {tag: reading.amounts.get(tag, _fixed(math.nan)) for tag in tags()}
    composition = pd.DataFrame.from_dict(
        spans,
        orient="index",
        columns=["low", "likely", "high"],
    )
    per_100g = 100 / label.serving_g
    inactive = {
        tag: _Span(*np.subtract(span, spans[tag]).tolist()).times(per_100g)
        for tag, span in reading.counted.items()
    }
    return LabelFood(
        label.name,
        label.kind,
        composition * per_100g,
        _added(reading),
        inactive,
        tuple(reading.questions),
        tuple(reading.notes),
        tuple(reading.sources),
    )


def stated_amount(tag: str, text: str) -> float:
    """One component's amount in words, in the component's unit: ``("NA", "80 mmol")``.

    It is read as a label's amount is; salt (``NACL``) gives its sodium, vitamin A means retinol,
    folate as it is named.

    Parameters
    ----------
    tag : str
        A tagname, or ``NACL``.
    text : str
        Number and unit. [g, mg, ug, IU, mmol, mEq, kcal or kJ]

    Raises
    ------
    UnitError
        If it is no amount of this component, or is negative.

    Examples
    --------
    >>> round(stated_amount("NA", "80 mmol"))
    1839
    >>> stated_amount("NACL", "5 g")
    2000.0
    """
    label = Label.model_construct(
        name=tag,
        kind="food",
        serving_g=_ANY_SERVING_G,
        amounts={tag: text},
        scheme=None,
        compounds={},
        states={},
        forms={"VITA_RAE": "retinol", "TOCPHA": "natural"},
        fortified=(),
        water_percent=None,
    )
    if _LESS_THAN.match(text) or "%" in text:
        raise UnitError(f"{shorten(text)} is not a plain amount; expected a number and a unit")
    reading = _Reading(label)
    _read(reading, tag, text)
    return reading.amounts["NA" if tag == "NACL" else tag].likely


_ANY_SERVING_G = 1000.0  # a serving's mass does not change what an amount says


# ---------------------------------------------------------------- one amount


def _read(reading: _Reading, name: str, text: str) -> None:
    """Read one amount of the label into the components it says something about."""
    if name in _NOT_REPORTED:
        reading.notes.append(f"{NAMES[name]} are not reported; left out")
        return
    tag = LABEL_TAGS.get(name, name)
    if tag not in BY_TAG and tag not in _OWN_READING:
        raise NutricheckError(
            f"{shorten(name)} is not a nutrient that the tool knows; expected a short name such "
            "as MG or VITC"
        )
    span, unit = _quantity(text)
    if span.high < 0:
        raise UnitError(f"{shorten(text)} is negative")
    if unit in _PERCENT:
        _read_percent(reading, name, tag, span)
    else:
        _read_amount(reading, name, tag, span, unit, text)


def _quantity(text: str) -> tuple[_Span, str]:
    """Number with its range and unit of an amount; "<1 g" is anything from 0 to 1 g."""
    amount = _LESS_THAN.sub("", text)
    number, unit = split_quantity(amount)
    return _fixed(number) if amount == text else _between(0.0, number), unit.casefold()


@functools.cache
def _daily_values() -> dict[tuple[str, str], tuple[float, str]]:
    """(scheme, tag) → amount of 100 % and its unit."""
    return {
        (row["scheme"], row["component"]): (float(row["value"]), row["unit"].casefold())
        for row in evidence.rows("label_daily_values")
    }


def _read_percent(reading: _Reading, name: str, tag: str, percent: _Span) -> None:
    """A percent of the daily value: by the label's scheme, or by all of them with a question."""
    label = reading.label
    schemes = (label.scheme,) if label.scheme else tuple(_SCHEMES)
    wanted = _DAILY_VALUE_OF.get(tag, tag)
    found = [
        (scheme, *_daily_values()[scheme, wanted])
        for scheme in schemes
        if (scheme, wanted) in _daily_values()
    ]
    if not found:
        raise UnitError(
            f"there is no daily value of {name} in {label.scheme or 'any scheme'}; give the amount"
        )
    question = (
        "Which daily values do the percents on the label mean: US 2016, US before 2016 or EU "
        'NRV? Until the plan says it (scheme = "US 2016"), the range covers all of them'
    )
    if len(found) > 1 and question not in reading.questions:
        reading.questions.append(question)
    alternatives = []
    for scheme, amount, unit in found:
        trial = _Reading(label.model_copy(update={"scheme": scheme, "compounds": {}, "states": {}}))
        _read_amount(trial, name, tag, percent.times(amount / 100), unit, name)
        alternatives.append(trial)
        reading.questions.extend(q for q in trial.questions if q not in reading.questions)
        reading.notes.extend(note for note in trial.notes if note not in reading.notes)
        for source in (*trial.sources, _SCHEMES[scheme]):
            reading.cite(source)
    for read_tag in dict.fromkeys(t for trial in alternatives for t in trial.amounts):
        spans = [trial.amounts[read_tag] for trial in alternatives if read_tag in trial.amounts]
        reading.put(read_tag, _either(*spans))
    for read_tag in dict.fromkeys(t for trial in alternatives for t in trial.counted):
        spans = [trial.counted[read_tag] for trial in alternatives if read_tag in trial.counted]
        reading.counted.setdefault(read_tag, _either(*spans))


class _Stated(NamedTuple):
    """One amount as the label states it: 400 "ug DFE" is mass "ug", equivalent "dfe"."""

    name: str
    tag: str
    span: _Span
    mass: str
    equivalent: str


def _read_amount(reading: _Reading, name: str, tag: str, span: _Span, unit: str, text: str) -> None:
    """An amount that is not a percent: by component, since units mean different things there."""
    mass, _, equivalent = unit.partition(" ")
    if equivalent and equivalent not in _EQUIVALENTS:
        raise UnitError(
            f"{shorten(text)} has a unit that the tool does not know; expected one such as mg, "
            "ug or IU"
        )
    stated = _Stated(name, tag, span, mass, equivalent)
    if tag in _READERS:
        _READERS[tag](reading, stated)
    elif mass in ("mmol", "meq"):
        _read_moles(reading, stated, text)
    else:
        amount = _in_unit(span, mass, BY_TAG[tag].unit, tag)
        if name in reading.label.compounds or name in reading.label.states:
            amount = _element(reading, name, tag, amount)
        reading.put(tag, amount)


def _read_moles(reading: _Reading, stated: _Stated, text: str) -> None:
    """Electrolytes in mmol or mEq."""
    if stated.tag not in _VALENCE:
        raise UnitError(f"{shorten(text)}: {stated.mass} is read for {', '.join(_VALENCE)} only")
    valence = _VALENCE[stated.tag] if stated.mass == "meq" else 1
    reading.put(stated.tag, stated.span.times(compounds.atomic_weight(stated.tag) / valence))
    reading.cite(_CIAAW)


#: Half of 0.1 g of salt, to which labels round it, in sodium: ours. [mg]
_SALT_ROUNDING_MG = 20.0


def _salt(reading: _Reading, stated: _Stated) -> None:
    """Salt on a label: its sodium, and no chloride, since all sodium is told as salt."""
    by_salt = _in_unit(stated.span, stated.mass, "mg", "NACL").times(value("sodium_per_label_salt"))
    sodium = reading.amounts.get("NA", by_salt)
    if abs(sodium.likely - by_salt.likely) > max(0.1 * by_salt.likely, _SALT_ROUNDING_MG):
        reading.questions.append(
            f"Is its sodium {sodium.likely:,.0f} mg, as stated, or {by_salt.likely:,.0f} mg, as "
            "its salt says? The tool takes the stated sodium; leave the wrong one out"
        )
    reading.put("NA", by_salt)
    reading.notes.append("salt on a label is 2.5 times its sodium")
    reading.cite("Regulation (EU) 1169/2011, Annex I")


def _energy(reading: _Reading, stated: _Stated) -> None:
    """Energy in kcal ("Cal" on US labels) or kJ."""
    if stated.mass not in ("kcal", "cal", "kj"):
        raise UnitError(f"{shorten(stated.mass)} is not a unit of energy; expected kcal or kJ")
    is_kj = stated.mass == "kj"
    reading.put("ENERC_KCAL", stated.span.times(1 / KJ_PER_KCAL) if is_kj else stated.span)


def _in_unit(span: _Span, mass: str, unit: str, tag: str) -> _Span:
    """A mass in the component's unit."""
    if mass not in _GRAMS or unit not in _GRAMS:
        raise UnitError(
            f"{mass or 'a number alone'} is not a mass of {NAMES[tag]}; expected g, mg or ug"
        )
    return span.times(_GRAMS[mass] / _GRAMS[unit])


# ---------------------------------------------------------------- vitamins


def _vitamin_a(reading: _Reading, stated: _Stated) -> None:
    """Vitamin A: retinol or carotene decides what an IU is worth and what counts as retinol."""
    name, tag, span, mass, equivalent = stated
    form = reading.form(name, "VITA", "VITA_RAE", "VITA_IU", "RETOL")
    is_retinol = tag == "RETOL" or "retin" in form or "palmitate" in form
    is_carotene = "caroten" in form and not is_retinol
    source = "supplement" if reading.is_supplement else "food"
    per_rae = value(f"carotene_per_rae_{source}")
    reading.cite(_IOM)
    is_re = equivalent == "re" or (reading.label.scheme == "EU NRV" and equivalent != "rae")
    if mass == "iu":
        is_re = False
        retinol = span.times(value("retinol_per_iu"))
        carotene = span.times(value("carotene_per_iu"))
        reading.put("VITA_IU", span)
    else:
        retinol = _in_unit(span, mass, "ug", tag)
        carotene = retinol.times(value("carotene_per_re") if is_re else per_rae)
    if is_retinol:
        reading.put("RETOL", retinol)
        reading.put("VITA_RAE", retinol)
    elif is_carotene:
        reading.put("RETOL", _fixed(0.0))
        reading.put("CARTB", carotene)
        reading.put("VITA_RAE", carotene.times(1 / per_rae))
    else:
        either = _either(retinol, carotene.times(1 / per_rae))
        reading.put("RETOL", retinol if reading.takes_retinol else _either(_fixed(0.0), retinol))
        if reading.takes_retinol:
            reading.notes.append(
                "its label names no form of vitamin A, so in pregnancy it counts as retinol"
            )
        if not reading.is_added(name, "VITA_RAE", "VITA"):
            reading.put("VITA_RAE", either)
        else:
            # What is added is likeliest as much as the label counts: the count is retinol's, and
            # carotene's differs only where it is made by another factor than that of RAE.
            reading.put("VITA_RAE", either._replace(likely=retinol.likely))
            if is_re:
                reading.notes.append(
                    "a label in ug RE counts 6 ug beta-carotene as 1 (Directive 2002/46/EC, Annex "
                    f"I), RAE {per_rae:g} ug (IOM 2011): it is as much RAE if it is retinol, "
                    f"{value('carotene_per_re') / per_rae:g} times as much if it is carotene"
                )
            reading.questions.append(
                "Is the vitamin A retinol (retinyl acetate, palmitate) or beta-carotene? Only "
                'retinol counts against the upper level (forms = { VITA = "retinol" })'
            )


def _beta_carotene(reading: _Reading, stated: _Stated) -> None:
    """Beta-carotene, which is vitamin A as well where the label counts none of its own."""
    _, tag, span, mass, _ = stated
    amount = _in_unit(span, mass, "ug", tag)
    reading.put(tag, amount)
    if not _VITAMIN_A_NAMES & {*reading.label.amounts}:
        source = "supplement" if reading.is_supplement else "food"
        per_rae = value(f"carotene_per_rae_{source}")
        reading.put("VITA_RAE", amount.times(1 / per_rae))
        reading.cite(_IOM)


_VITAMIN_A_NAMES = {"VITA", "VITA_RAE", "VITA_IU", "RETOL"}


def _vitamin_e(reading: _Reading, stated: _Stated) -> None:
    """Vitamin E as alpha-tocopherol: natural and synthetic differ by IU and by mass.

    The half of synthetic vitamin E that is not active counts against upper levels all the same:
    1000 mg of any form are 1500 IU of the natural and 1100 IU of the synthetic (IOM 2000).
    """
    name, _, span, mass, _ = stated
    kinds = _kinds_of_vitamin_e(reading.form(name, "VITE", "TOCPHA"))
    is_added = kinds == ["synthetic"] or reading.is_added(name, "VITE", "TOCPHA")
    reading.cite(_IOM)
    if mass == "iu":
        active = {kind: span.times(value(f"vitamin_e_per_iu_{kind}")) for kind in kinds}
    else:
        if not is_added:
            kinds = ["natural"]
        mg = _in_unit(span, mass, "mg", "TOCPHA")
        active = dict.fromkeys(kinds, mg)
        # US labels since 2016 state what is active; others may state the compound.
        if reading.label.scheme != "US 2016" and "synthetic" in kinds:
            active["synthetic"] = _either(mg.times(value("active_of_synthetic_vitamin_e")), mg)
    amount = _either(*active.values())
    reading.put("TOCPHA", amount)
    if is_added and "synthetic" in kinds:
        whole = {
            **active,
            "synthetic": active["synthetic"].times(1 / value("active_of_synthetic_vitamin_e")),
        }
        reading.counted.setdefault("TOCPHA", _either(*whole.values()))
        reading.notes.append(
            "upper levels count all of synthetic vitamin E, twice what is active of it (IOM 2000)"
            + ("; the label does not say whether this is synthetic" if len(kinds) > 1 else "")
        )
    if len(kinds) > 1 and active["natural"] != active["synthetic"]:
        reading.questions.append(
            "Is the vitamin E natural (d-, RRR-) or synthetic (dl-, all-rac-)? "
            'It changes the amount by up to half (forms = { VITE = "natural" })'
        )


def _kinds_of_vitamin_e(form: str) -> list[str]:
    """What the vitamin E may be, by the form that the plan gives."""
    if any(word in form for word in ("dl-", "all-rac", "synthetic")):
        return ["synthetic"]
    if any(word in form for word in ("natural", "rrr", "d-")):
        return ["natural"]
    return ["natural", "synthetic"]


def _vitamin_d(reading: _Reading, stated: _Stated) -> None:
    """Vitamin D, of either kind, in ug and IU."""
    _, tag, span, mass, _ = stated
    amount = (
        span.times(value("vitamin_d_per_iu")) if mass == "iu" else _in_unit(span, mass, "ug", tag)
    )
    reading.put("VITD", amount)
    reading.put("VITD_IU", amount.times(1 / value("vitamin_d_per_iu")))
    reading.cite(_IOM)


def _folate(reading: _Reading, stated: _Stated) -> None:
    """Folate: food folate counts once; folic acid 1.7 times as DFE, and for the upper level.

    EFSA's level holds for folic acid and the authorised methylfolates together: EFSA Journal
    2023;21(11):8353, abstract. IOM's holds for "synthetic forms (i.e., folic acid)".
    """
    _, tag, span, mass, equivalent = stated
    form = reading.form(tag, "FOL", "FOLDFE", "FOLAC")
    amount = _in_unit(span, mass, "ug", tag)
    in_dfe = tag == "FOLDFE" or equivalent == "dfe"
    is_folic = tag == "FOLAC" or "folic" in form
    is_methyl = "methyl" in form or "mthf" in form
    counts_all = reading.reference == "EFSA"
    is_food = tag == "FOLFD" or "food" in form or not reading.is_added("FOL", "FOLDFE", "FOLAC")
    reading.cite(_IOM)
    if is_folic or is_methyl:
        folic = amount.times(1 / value("dfe_per_folic_acid")) if in_dfe else amount
        reading.put("FOL", folic)
        reading.put("FOLDFE", folic.times(value("dfe_per_folic_acid")))
        reading.put("FOLAC", folic if is_folic or counts_all else _fixed(0.0))
        if is_methyl:
            reading.notes.append(
                "methylfolate is counted at 1.7 DFE as US labels may"
                + ("; EFSA's upper level of folic acid counts it too" if counts_all else "")
            )
    elif is_food:
        reading.put("FOLDFE", amount)
        reading.put("FOL", amount)
        reading.put("FOLFD", amount)
    else:
        folic = amount.times(1 / value("dfe_per_folic_acid")) if in_dfe else amount
        reading.put("FOL", _either(folic, amount))
        reading.put(
            "FOLDFE",
            amount if in_dfe else _either(amount, amount.times(value("dfe_per_folic_acid"))),
        )
        reading.put("FOLAC", folic if counts_all else _either(_fixed(0.0), folic))
        reading.questions.append(
            "Is the folate folic acid? It counts 1.7 times as DFE"
            + ("" if counts_all else ", and it alone against the upper level")
            + ' (forms = { FOL = "folic acid" })'
        )


def _niacin(reading: _Reading, stated: _Stated) -> None:
    """Niacin: added niacin is stated as such; a food's may include its tryptophan (NE)."""
    _, tag, span, mass, equivalent = stated
    amount = _in_unit(span, mass, "mg", tag)
    form = reading.form("NIA", "NIAEQ")
    if reading.is_added("NIA", "NIAEQ"):
        reading.put("NIA", amount)
        reading.put("NIAEQ", amount)
        if not form and amount.high >= _NICOTINIC_ACID_QUESTION_MG:
            reading.questions.append(
                "Is the niacin nicotinamide or nicotinic acid? Nicotinic acid makes you flush "
                'and has the lower limit (forms = { NIA = "nicotinamide" })'
            )
        if "nicotinic" in form:
            reading.notes.append(
                f"{amount.likely:g} mg nicotinic acid a serving: EFSA's upper level for it is "
                "10 mg/day, NASEM's for all added niacin 35 mg/day"
            )
    elif tag == "NIAEQ" or equivalent == "ne" or reading.label.scheme in ("US 2016", "EU NRV"):
        reading.put("NIAEQ", amount)
    else:
        reading.put("NIA", amount)


_NICOTINIC_ACID_QUESTION_MG = 10.0  # EFSA's upper level for supplemental nicotinic acid

_READERS: dict[str, Callable[[_Reading, _Stated], None]] = {
    "CARTB": _beta_carotene,
    **dict.fromkeys(("VITA_RAE", "VITA_IU", "RETOL"), _vitamin_a),
    **dict.fromkeys(("VITD", "VITD_IU"), _vitamin_d),
    **dict.fromkeys(("FOL", "FOLDFE", "FOLAC", "FOLFD"), _folate),
    **dict.fromkeys(("NIA", "NIAEQ"), _niacin),
    **dict.fromkeys(("ENERC_KCAL", "ENERC_KJ"), _energy),
    "TOCPHA": _vitamin_e,
    "NACL": _salt,
}


# ---------------------------------------------------------------- element or compound


def _element(reading: _Reading, name: str, tag: str, amount: _Span) -> _Span:
    """The element (or vitamin C) in what the label states, and what the compound brings along."""
    label = reading.label
    stated = label.compounds.get(name, "")
    state = label.states.get(name)
    if state is None and not reading.is_supplement:
        state = "element"
    candidates = [c for c in compounds.find(stated) if compounds.share(c, tag) > 0]
    if not candidates:
        if compounds.find(stated):
            raise NutricheckError(f"{stated} holds no {NAMES[tag]}; is the compound right?")
        return _element_of_unknown(reading, name, tag, amount, state)
    reading.cite(_CIAAW)
    shares = [compounds.share(c, tag) for c in candidates]
    as_compound = _either(*(amount.times(part) for part in shares))
    needed_g = amount.high * _GRAMS[BY_TAG[tag].unit] / max(shares)
    does_not_fit = needed_g > label.serving_g
    if state == "compound":
        _check_fits(reading, amount, tag, stated)
        reading.notes.append(
            f"{label.amounts[name]} of {stated} hold {as_compound.likely:.3g} "
            f"{BY_TAG[tag].unit} of {NAMES[tag]}"
        )
        _put_companions(reading, name, tag, candidates, amount)
        if len(candidates) > 1:
            _ask_which(reading, stated, candidates)
        return as_compound
    if does_not_fit:
        reading.questions.append(
            f"{label.amounts[name]} of {NAMES[tag]} would need {needed_g:.2g} g of {stated}, more "
            f"than the serving of {label.serving_g:g} g: does the label mean the compound's mass "
            f'(states = {{ {name} = "compound" }}), or is it blended, such as with the oxide?'
        )
    if state == "element":
        if len(candidates) == 1:  # then the compound's mass follows
            _put_companions(reading, name, tag, candidates, amount.times(1 / shares[0]))
        return amount
    if not does_not_fit:
        reading.questions.append(
            f"Is {label.amounts[name]} the {NAMES[tag]} itself or the {stated}, which holds "
            f"{as_compound.likely:.3g} {BY_TAG[tag].unit} of it? Until the plan says which "
            f'(states = {{ {name} = "element" }} or "compound"), the range holds both'
        )
    return _either(as_compound, amount)


def _element_of_unknown(
    reading: _Reading, name: str, tag: str, amount: _Span, state: str | None
) -> _Span:
    """The element in what the label states of a compound that is not known here, or not named."""
    if state == "element":
        return amount
    label, element = reading.label, NAMES[tag]
    stated = label.compounds.get(name)
    problem = f"{stated!r} is not a compound known here" if stated else "its compound is not named"
    fix = f'compounds = {{ {name} = "its name" }}, or states = {{ {name} = "element" }}'
    if state == "compound":
        question = f"how much {element} do {label.amounts[name]} of it hold?"
    else:
        question = f"does {label.amounts[name]} mean the {element} itself?"
    reading.questions.append(
        f"{problem}: {question} The range goes from a tenth of it to all of it ({fix})"
    )
    return _either(amount.times(0.1), amount)


def _ask_which(reading: _Reading, stated: str, candidates: list[compounds.Compound]) -> None:
    names = ", ".join(compound.name for compound in candidates[:5])
    reading.questions.append(f"Which {stated} is it: {names}? The range covers them")


def _put_companions(
    reading: _Reading,
    name: str,
    tag: str,
    candidates: list[compounds.Compound],
    compound_mass: _Span,
) -> None:
    """What else a known mass of compound holds, such as the sodium of sodium ascorbate."""
    unit = _GRAMS[BY_TAG[tag].unit]
    for other in _COMPANIONS:
        shares = [compounds.share(c, other) for c in candidates]
        if other == tag or not any(shares) or other in reading.label.amounts:
            continue
        grams = _either(*(compound_mass.times(part * unit) for part in shares))
        reading.put(other, grams.times(1 / _GRAMS[BY_TAG[other].unit]))
        reading.notes.append(f"{reading.label.compounds[name]} brings {NAMES[other]} along")


_COMPANIONS = ("NA", "K", "CA", "MG", "CLD", "P", "FE", "ZN", "VITC")


# ---------------------------------------------------------------- the label as a whole


def _check_fits(reading: _Reading, amount: _Span, tag: str, what: str) -> None:
    """An amount cannot outweigh the serving it is in."""
    unit, serving_g = BY_TAG[tag].unit, reading.label.serving_g
    if unit in _GRAMS and amount.low * _GRAMS[unit] > serving_g * 1.0001:
        raise NutricheckError(
            f"{amount.low:,.7g} {unit} of {what} is more than the whole serving of "
            f"{serving_g:g} g. Are the unit and the mass of the serving right?"
        )


def _check_mass(reading: _Reading) -> None:
    """Amounts cannot outweigh the serving they are in."""
    grams = sum(reading.amounts[tag].low for tag in FILLING if tag in reading.amounts)
    serving_g = reading.label.serving_g
    if grams > serving_g * 1.05 + 0.5:
        reading.faults.append(
            Fault(
                "amounts",
                f"protein, fat, carbohydrate and water add up to {grams:.3g} g in a serving of "
                f"{serving_g:g} g. Are the amounts for this serving?",
                ("serving",),
            )
        )
    energy, most = reading.amounts.get("ENERC_KCAL"), most_energy_kcal(serving_g)
    if energy is not None and energy.low > most:
        reading.faults.append(
            Fault(
                "amounts.ENERC_KCAL",
                f"{energy.low:,.0f} kcal are more than {serving_g:g} g of pure fat hold "
                f"({most:,.0f} kcal). Is it kJ, or is the serving wrong?",
                ("amounts", "ENERC_KCAL"),
            )
        )
    for tag, span in reading.amounts.items():
        try:
            _check_fits(reading, span, tag, NAMES[tag])
        except NutricheckError as error:
            reading.faults.append(Fault(f"amounts.{tag}", str(error), ("amounts", tag)))


def _ask_what_is_improbable(reading: _Reading) -> None:
    """Ask where energy, masses and doses do not go together."""
    label, amounts = reading.label, reading.amounts
    for ask in (energy_questions, mass_questions, dose_questions):
        reading.questions.extend(ask(label, amounts))


def _added(reading: _Reading) -> frozenset[str]:
    """The tags that count as supplemental or fortified."""
    if reading.is_supplement:
        return frozenset(reading.amounts)
    stated = {LABEL_TAGS.get(name, name) for name in reading.label.fortified}
    for family in _FAMILIES:
        if stated & family:
            stated |= family
    return frozenset((stated & reading.amounts.keys()) | reading.counted.keys())
