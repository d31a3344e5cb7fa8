"""Reference intakes of one person: the published rows that fit, each on its own basis.

Two sets: "DRI" (US and Canada, NASEM and IOM) and "EFSA". A row's ``basis`` says which intake it
is compared with:

``all sources``
    food, drink and supplements together;
``supplements and fortified food``, ``supplements only``
    added amounts alone, not what food holds by nature;
``preformed retinol``
    retinol from any source, carotenoids not counted;
``% of energy``
    percent of the energy eaten.

Values published per kg, per MJ, per 1000 kcal or as percent of energy to reach become amounts per
day here, from the person's mass and the day's energy; the note says how. A component without an
upper row is not safe at any dose: none was set (:func:`none_set`), or none stands here
(:func:`not_held`).
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, replace

from nutricheck.errors import NutricheckError
from nutricheck.facts import evidence
from nutricheck.facts.components import ATWATER_KCAL_PER_G, BY_TAG, KJ_PER_KCAL
from nutricheck.facts.constants import constant, value
from nutricheck.plan.models import Person
from nutricheck.units import as_written

__all__ = [
    "BASIS_WORDS",
    "BODIES",
    "NO_FIGURE",
    "OF_ENERGY",
    "SAFE_LEVEL",
    "SMOKER_VITC_MG",
    "Reference",
    "iron_factor",
    "levels_by_food",
    "nicotinic_acid_level",
    "none_set",
    "not_held",
    "reference_intakes",
    "requirement_sd",
    "total_water",
    "youngest_age",
]

# Fatty acids count as the fat that they are part of. [kcal/g]
_ENERGY_FACTOR = ATWATER_KCAL_PER_G | dict.fromkeys(
    ("F18D2CN6", "F18D3CN3"), ATWATER_KCAL_PER_G["FAT"]
)

#: Role and kind of a component of which there is no figure with the person's conditions.
NO_FIGURE = "no figure"
#: In the note of each value that is published per energy.
OF_ENERGY = "of the day's energy"

_TABLES = {"DRI": "dri_us_canada", "EFSA": "efsa_drv"}
#: Reference set → the body that sets its values, in words.
BODIES = {"DRI": "the US and Canada", "EFSA": "EFSA"}
#: Kind of level that EFSA sets where the data are too few for an upper level.
SAFE_LEVEL = "safe level"
_NO_UPPER = "no UL"  # kind of a row that says that the body set no upper level
_NICOTINIC_ACID = "per_day_supplemental_nicotinic_acid"
_ROLE_OF_KIND = {
    "RDA": "target",
    "PRI": "target",
    "AI": "target",
    "safe and adequate": "target",
    "EAR": "requirement",
    "AR": "requirement",
    "UL": "upper",
    _NO_UPPER: "no upper",
    "CDRR": "upper",
    SAFE_LEVEL: "upper",
    "part of the AI": "guide",
    "AMDR low": "range low",
    "RI low": "range low",
    "AMDR high": "range high",
    "RI high": "range high",
}
# The table's basis → the intake that is compared; other bases become amounts from all sources.
_COMPARED = {
    "per_day": "all sources",
    "per_day_supplemental_only": "supplements only",
    "per_day_supplemental_nicotinamide": "supplements only",
    "per_day_supplements_and_fortified": "supplements and fortified food",
    "per_day_preformed_retinol": "preformed retinol",
}
#: Basis → what of the intake is counted, in words.
BASIS_WORDS = {
    "all sources": "from all sources",
    "supplements only": "from supplements",
    "supplements and fortified food": "from supplements and fortified food",
    "preformed retinol": "as retinol",
}
_NOT_FOR_MOTHERS = "not set for pregnancy or lactation"
_NOT_AT_FIRST = "not in the first trimester"
_SUMS = ("per_day_at_phytate", "per_day_increment")
SMOKER_VITC_MG = 35.0  # IOM 2000, vitamins C and E, selenium and carotenoids


@dataclass(frozen=True)
class Reference:
    """One reference value for one person and day; low, likely and high are equal where one
    number was published."""

    component: str
    role: str
    kind: str
    basis: str
    low: float
    likely: float
    high: float
    unit: str
    is_published: bool
    source: str
    note: str
    sd: float = math.nan


@functools.cache
def _bands(reference: str) -> dict[str, tuple[float, float]]:
    """Youngest and oldest ages the set holds: general, pregnancy, lactation."""
    found: dict[str, tuple[float, float]] = {}
    for row in evidence.rows(_TABLES[reference]):
        low, high = found.get(row["life_stage"], (200.0, 0.0))
        found[row["life_stage"]] = (
            min(low, float(row["age_from"])),
            max(high, float(row["age_below"])),
        )
    return found


def youngest_age(reference: str) -> float:
    """Age from which the set has values for everybody. [year]

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.

    Raises
    ------
    NutricheckError
        If the set is unknown.
    """
    if reference not in _TABLES:
        raise NutricheckError(
            f"there is no reference set {reference!r}; expected one of {', '.join(_TABLES)}"
        )
    return _bands(reference)["general"][0]


def _life_stages(person: Person, reference: str) -> tuple[str, ...]:
    """Life stages whose rows may serve the person, the most particular first."""
    stages: list[str] = [] if person.life_stage == "general" else [person.life_stage]
    grown = person.age_years >= value("adult_age")
    if person.sex == "female" and reference == "EFSA" and person.life_stage == "general" and grown:
        past = person.postmenopausal or person.age_years > 55
        stages.append("postmenopausal" if past else "premenopausal")
    return (*stages, "general")


@functools.lru_cache(maxsize=64)
def _fitting(person: Person, reference: str) -> tuple[dict[str, str], ...]:
    """The rows of the set for this person.

    Targets and requirements of a component come from the most particular life stage that has a
    target; every other kind from the most particular that has it. A mother younger than the set's
    mothers has the higher target and the lower upper level of her age and of the youngest mothers.
    """
    youngest = youngest_age(reference)
    if person.age_years < youngest:
        raise NutricheckError(
            f"person.age: the {reference} values here start at {youngest:.0f} years; found "
            f'{person.age_years}. Take reference = "DRI" for younger people'
        )
    stages = _life_stages(person, reference)
    bands = _bands(reference)
    if person.age_years < bands[stages[0]][0]:
        return _of_young_mother(person, reference, round(bands[stages[0]][0]))
    found: dict[tuple[str, str, str], tuple[int, dict[str, str]]] = {}
    target_stage: dict[str, int] = {}
    for row in evidence.rows(_TABLES[reference]):
        if row["life_stage"] not in stages or row["sex"] not in ("any", person.sex):
            continue
        if person.life_stage != "general" and _NOT_FOR_MOTHERS in row["note"]:
            continue
        if person.trimester == 1 and _NOT_AT_FIRST in row["note"]:
            continue
        youngest, oldest = bands[row["life_stage"]]
        age = min(max(person.age_years, youngest), oldest - 1)
        if not float(row["age_from"]) <= age < float(row["age_below"]):
            continue
        stage = stages.index(row["life_stage"])
        component = row["component"]
        rank = stage * 2 + (row["sex"] == "any")
        key = (component, row["kind"], row["basis"])
        if key not in found or rank < found[key][0]:
            found[key] = (rank, row)
        is_sum = "increment" in row["basis"]
        if _ROLE_OF_KIND[row["kind"]] == "target" and not is_sum:
            target_stage[component] = min(stage, target_stage.get(component, stage))
    return tuple(
        row
        for rank, row in found.values()
        if _ROLE_OF_KIND[row["kind"]] not in ("target", "requirement")
        or "increment" in row["basis"]
        or rank // 2 == target_stage.get(row["component"])
    )


def _of_young_mother(
    person: Person, reference: str, youngest_mother: int
) -> tuple[dict[str, str], ...]:
    """Rows of the youngest mothers, and of her own age where those are stricter."""
    of_age = _fitting(person.model_copy(update={"life_stage": "general"}), reference)
    of_mothers = _fitting(person.model_copy(update={"age_years": youngest_mother}), reference)

    def levels(rows: tuple[dict[str, str], ...], role: str) -> dict[tuple[str, str], float]:
        chosen = [row for row in rows if row["value"] and _ROLE_OF_KIND[row["kind"]] == role]
        return {(row["component"], row["basis"]): float(row["value"]) for row in chosen}

    higher, lower = (
        (levels(of_age, role), levels(of_mothers, role)) for role in ("target", "upper")
    )
    own_age = {
        tag for (tag, basis), value in higher[0].items() if value > higher[1].get((tag, basis), 0)
    } & {row["component"] for row in of_mothers if _is_target(row)}

    def is_stricter(row: dict[str, str], is_of_age: bool) -> bool:
        tag, role = row["component"], _ROLE_OF_KIND[row["kind"]]
        key = (tag, row["basis"])
        if "increment" in row["basis"]:
            return not is_of_age
        if role in ("target", "requirement"):
            return (tag in own_age) is is_of_age
        if role == "upper" and key in lower[0] and key in lower[1]:
            return (lower[0][key] < lower[1][key]) is is_of_age
        return not is_of_age

    return tuple(
        row
        for rows, is_of_age in ((of_mothers, False), (of_age, True))
        for row in rows
        if is_stricter(row, is_of_age)
    )


def reference_intakes(
    person: Person, reference: str, energy_kcal: tuple[float, float, float]
) -> list[Reference]:
    """All published values for the person, as amounts per day.

    Parameters
    ----------
    person : Person
    reference : {"DRI", "EFSA"}
    energy_kcal : (float, float, float)
        The day's energy, low, likely, high; for values published per energy. [kcal/day]

    Returns
    -------
    list of Reference
        At most one ``target`` per component.

    Raises
    ------
    NutricheckError
        If the set is unknown or holds no values for the age.

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.
    """
    rows = _fitting(person, reference)
    found = [item for row in rows if (item := _as_reference(row, person, energy_kcal)) is not None]
    if reference == "EFSA":
        found.extend(_zinc_by_phytate(rows, person))
    found = _scaled_to_mass(found)
    found = _with_spread(_with_protein_increments(found, rows, person.trimester))
    return _with_person_notes(found, person, reference)


def levels_by_food(person: Person) -> dict[str, float]:
    """Upper levels that food alone may pass without harm that is known: how many times. [-]

    Such levels rest on what people were seen to eat, or were carried over from infants by body
    mass. What is added counts against them as against others.

    References
    ----------
    The rows of the evidence table ``levels_by_food``, each with its source.

    Examples
    --------
    >>> adult = Person(sex="female", age=34, mass="61 kg", height="168 cm")
    >>> sorted(levels_by_food(adult)), sorted(levels_by_food(adult.model_copy(
    ...     update={"age_years": 12}
    ... )))
    (['MN'], ['MN', 'ZN'])
    """
    return {
        row["component"]: float(row["most_times"])
        for row in evidence.rows("levels_by_food")
        if float(row["age_from"]) <= person.age_years < float(row["age_below"])
    }


def total_water(person: Person, reference: str) -> tuple[float, str]:
    """Adequate intake of water from food and drink, for ordinary life, and its report. [L/day]

    Raises
    ------
    NutricheckError
        If the set is unknown, or the person younger than its values for everybody.

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.
    """
    row = next(row for row in _fitting(person, reference) if row["component"] == "WATER")
    return float(row["value"]), _citation(row)


def nicotinic_acid_level(person: Person, reference: str) -> float:
    """Upper level of nicotinic acid from supplements, which flushes; NaN: none set. [mg/day]

    Raises
    ------
    NutricheckError
        If the set is unknown, or the person younger than its values for everybody.

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.
    """
    rows = _fitting(person, reference)
    return next((float(row["value"]) for row in rows if row["basis"] == _NICOTINIC_ACID), math.nan)


def none_set(person: Person, reference: str) -> frozenset[str]:
    """Tagnames of which the body says that it set no upper level for this person.

    Raises
    ------
    NutricheckError
        If the set is unknown, or the person younger than its values for everybody.

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.
    """
    found = {row["component"] for row in _fitting(person, reference) if row["kind"] == _NO_UPPER}
    if person.life_stage != "general":
        rows = evidence.rows(_TABLES[reference])
        found |= {row["component"] for row in rows if _NOT_FOR_MOTHERS in row["note"]}
    return frozenset(found)


def not_held(person: Person, reference: str) -> tuple[str, ...]:
    """Tagnames that have a target for adults in the set, and none here for one under 18.

    Raises
    ------
    NutricheckError
        If the set is unknown, or the person younger than its values for everybody.

    References
    ----------
    The rows of the evidence tables ``dri_us_canada`` and ``efsa_drv``, each with its source.
    """
    if person.age_years >= value("adult_age"):
        return ()
    grown = person.model_copy(update={"age_years": int(value("adult_age"))})
    held, adult = (
        {row["component"] for row in _fitting(who, reference) if _is_target(row)}
        for who in (person, grown)
    )
    return tuple(tag for tag in BY_TAG if tag in adult - held)


def _is_target(row: dict[str, str]) -> bool:
    return _ROLE_OF_KIND[row["kind"]] == "target"


#: What a report says of a figure that was not read in the publication or a copy of it.
_UNCHECKED = {"secondary": " (as quoted elsewhere)", "memory": " (from memory, unchecked)"}


def iron_factor(person: Person, reference: str) -> float:
    """What the person's way to eat makes of the published iron requirement. [-]

    1.8 for vegetarians under DRI (IOM 2001); EFSA sets none, and in pregnancy it would ask for more
    than the upper level, so that there it is told and not counted.

    References
    ----------
    IOM 2001 (iron of vegetarians).

    Examples
    --------
    >>> woman = Person(sex="female", age=30, mass="60 kg", height="168 cm", eats="vegan")
    >>> iron_factor(woman, "DRI"), iron_factor(woman, "EFSA")
    (1.8, 1.0)
    """
    is_counted = reference == "DRI" and person.life_stage != "pregnancy"
    return value("vegetarian_iron_factor") if person.vegetarian and is_counted else 1.0


def _citation(row: dict[str, str]) -> str:
    return row["report"] + _UNCHECKED.get(row["status"], "")


def _as_reference(
    row: dict[str, str], person: Person, energy_kcal: tuple[float, float, float]
) -> Reference | None:
    """A row as an amount per day; None for rows that make one value only together."""
    component, kind, basis = row["component"], row["kind"], row["basis"]
    # Total water is not water in food: needs.water has its place.
    if component not in BY_TAG or component == "WATER" or basis.startswith(_SUMS):
        return None
    if kind == _NO_UPPER:
        return None
    role, value = _ROLE_OF_KIND[kind], float(row["value"])
    unit, note = row["unit"], row["note"]
    low = likely = high = value
    compared = _COMPARED.get(basis, "all sources")
    if basis == "per_kg_day":
        low = likely = high = value * person.mass_kg
        note = f"{value:g} {unit}/kg × {as_written(person.mass_kg, 'kilogram')}"
    elif basis == "per_MJ":
        low, likely, high = (value * energy * KJ_PER_KCAL / 1000 for energy in energy_kcal)
        note = f"{value:g} {unit} per MJ {OF_ENERGY}"
    elif basis == "per_1000kcal":
        role = kind = "guide"
        low, likely, high = (value * energy / 1000 for energy in energy_kcal)
        note = f"{value:g} {unit} per 1000 kcal {OF_ENERGY}"
    elif basis == "pct_of_energy" and role == "target":
        factor = _ENERGY_FACTOR[component]
        low, likely, high = (value / 100 * energy / factor for energy in energy_kcal)
        unit = "g"
        note = f"{value:g} % {OF_ENERGY} at {factor:g} kcal/g"
    elif basis == "pct_of_energy":
        compared = "% of energy"
    elif basis == "per_day_supplemental_nicotinamide":
        flushing = nicotinic_acid_level(person, "EFSA")
        note = f"as nicotinamide; as nicotinic acid the limit is {flushing:g} mg"
    elif basis not in _COMPARED:  # nicotinic acid: said in the note above
        return None
    if (component, kind) == ("CLD", "UL"):
        # Set by moles with sodium's upper level (IOM 2005), which is the CDRR since NASEM 2019.
        kind = "UL of ordinary life"
    if kind == "safe and adequate":
        kind, note = "AI", "EFSA calls it a safe and adequate intake"
    return Reference(
        component, role, kind, compared, low, likely, high, unit, True, _citation(row), note
    )


def _scaled_to_mass(found: list[Reference]) -> list[Reference]:
    """Of a value published per kg and for a reference body as well, the one per kg.

    Where the body mass is unknown (NaN, in cohorts) the reference body's is left.
    """
    found = [item for item in found if "/kg ×" not in item.note or not math.isnan(item.likely)]
    scaled = {(item.component, item.kind) for item in found if "/kg ×" in item.note}
    return [
        item for item in found if (item.component, item.kind) not in scaled or "/kg ×" in item.note
    ]


def _with_spread(found: list[Reference]) -> list[Reference]:
    """Add the standard deviation of requirements to RDA and PRI: half their distance to the EAR.

    Not for iron: requirements of menstruating people are skewed (IOM 2001).
    """
    medians = {item.component: item.likely for item in found if item.role == "requirement"}
    return [
        replace(item, sd=requirement_sd(medians[item.component], item.likely))
        if item.role == "target"
        and item.kind in ("RDA", "PRI")
        and item.component in medians
        and item.component != "FE"
        else item
        for item in found
    ]


#: Phytate eaten [mg/day] → basis of EFSA's zinc.
_AT_PHYTATE = {
    300: "per_day_at_phytate_300mg",
    600: "per_day_at_phytate_600mg",
    900: "per_day_at_phytate_900mg",
    1200: "per_day_at_phytate_1200mg",
}


def _zinc_by_phytate(rows: tuple[dict[str, str], ...], person: Person) -> list[Reference]:
    """EFSA's zinc: set for four phytate intakes; low, likely and high from the range of them."""
    by_key = {(row["kind"], row["basis"]): row for row in rows if row["component"] == "ZN"}
    if ("PRI", "per_day_at_phytate_300mg") not in by_key:  # children's go without phytate
        return []
    likely_phytate = 900 if person.vegetarian else 600
    extra = by_key.get(("PRI", "per_day_increment"))
    plus = float(extra["value"]) if extra else 0.0
    note = f"by phytate eaten: 300, {likely_phytate} and 1200 mg/day"
    if extra:
        note += f"; with {plus:g} mg for {person.life_stage}"
    references = []
    for kind in ("AR", "PRI"):
        low, likely, high = (by_key[(kind, _AT_PHYTATE[mg])] for mg in (300, likely_phytate, 1200))
        added = plus if kind == "PRI" else 0.0
        references.append(
            Reference(
                "ZN",
                _ROLE_OF_KIND[kind],
                kind,
                "all sources",
                float(low["value"]) + added,
                float(likely["value"]) + added,
                float(high["value"]) + added,
                "mg",
                True,
                _citation(likely),
                note,
            )
        )
    # An increment for a life stage has no median of its own to go with.
    return [item for item in references if not (extra and item.kind == "AR")]


def _with_protein_increments(
    found: list[Reference], rows: tuple[dict[str, str], ...], trimester: int | None
) -> list[Reference]:
    """Add EFSA's protein for pregnancy, by its trimester if that is known, or breast-feeding.

    The increments are of the PRI. The average requirement stays the same share of it as in other
    women (0.66 / 0.83), as both rest on one coefficient of variation: ours.
    """
    increments = sorted(
        (float(row["value"]), _words(row["basis"]))
        for row in rows
        if row["component"] == "PROCNT" and "increment" in row["basis"]
    )
    of_trimester = [one for one in increments if one[1] == f"trimester {trimester}"]
    increments = of_trimester or increments
    protein = {
        item.role: item for item in found if item.component == "PROCNT" and "/kg ×" in item.note
    }
    if not increments or not protein:  # no protein is given where the body mass is not known
        return found
    low, likely, high = (
        increments[place][0] for place in (0, len(increments) // 2, len(increments) - 1)
    )
    words = ", ".join(f"{value:g} g {when}" for value, when in increments)
    target = protein["target"]
    raised = replace(
        target,
        low=target.low + low,
        likely=target.likely + likely,
        high=target.high + high,
        note=f"{target.note}; plus {words}",
    )
    share = protein["requirement"].likely / target.likely
    requirement = replace(
        protein["requirement"],
        low=raised.low * share,
        likely=raised.likely * share,
        high=raised.high * share,
        is_published=False,
        note=f"{share:.3g} of the population reference intake, as for other women",
    )
    changed = {id(target): raised, id(protein["requirement"]): requirement}
    return [changed.get(id(item), item) for item in found]


def _words(basis: str) -> str:
    """An increment's basis in words: ``per_day_increment_trimester_1`` → ``trimester 1``."""
    return basis.removeprefix("per_day_increment_").replace("_", " ").replace("0 6", "0 to 6")


def _with_person_notes(found: list[Reference], person: Person, reference: str) -> list[Reference]:
    """Put in what smoking, diet, age and life stage change or leave open."""
    youngest, oldest = _bands(reference).get(person.life_stage, (0.0, 200.0))
    clamped = not youngest <= person.age_years < oldest
    references = []
    for item in found:
        if item.role not in ("target", "requirement"):
            references.append(replace(item, note=_for_whom_it_concerns(item.note, person)))
            continue
        changed = replace(item, note=_person_note(item, person, reference))
        if item.component == "VITC" and person.smoker and reference == "DRI":
            changed = replace(
                changed,
                low=item.low + SMOKER_VITC_MG,
                likely=item.likely + SMOKER_VITC_MG,
                high=item.high + SMOKER_VITC_MG,
            )
        if item.component == "FE" and (factor := iron_factor(person, reference)) != 1:
            changed = replace(
                changed,
                low=item.low * factor,
                likely=item.likely * factor,
                high=item.high * factor,
                source=f"{item.source}; {constant('vegetarian_iron_factor').source}",
            )
        if clamped:
            band = f"values of {person.life_stage} at {youngest:.0f} to {oldest - 1:.0f} years"
            changed = replace(changed, note="; ".join(filter(None, (changed.note, band))))
        references.append(changed)
        if item.component == "FE" and item.role == "target" and person.vegetarian:
            references += _vegetarian_iron_guide(item, person, reference)
    return references


def _for_whom_it_concerns(note: str, person: Person) -> str:
    """A note without what it says of pregnancy, for those whom that cannot concern."""
    if person.can_be_pregnant or "pregnancy" not in note:
        return note
    return "; ".join(part for part in note.split("; ") if "pregnancy" not in part)


def _vegetarian_iron_guide(item: Reference, person: Person, reference: str) -> list[Reference]:
    """The higher iron of a vegetarian diet beside a target that it is not counted in."""
    if iron_factor(person, reference) != 1:
        return []
    factor = constant("vegetarian_iron_factor")
    ends = [end * factor.value for end in (item.low, item.likely, item.high)]
    why = "EFSA sets no factor" if reference == "EFSA" else "in pregnancy not counted"
    return [
        replace(
            item,
            role="guide",
            kind="guide",
            is_published=False,
            low=ends[0],
            likely=ends[1],
            high=ends[2],
            sd=math.nan,
            source=factor.source,
            note=f"{factor.value:g} times the reference for a vegetarian diet; {why}",
        )
    ]


def _person_note(item: Reference, person: Person, reference: str) -> str:
    """The note of a target as far as it concerns this person."""
    if item.component == "VITC":
        if not person.smoker:
            return ""
        if reference == "DRI":
            return "with 35 mg for a smoker (IOM 2000)"
        return "EFSA sets no extra for smokers; IOM 2000 adds 35 mg"
    if item.component == "FE":
        return _iron_note(item, person, reference)
    if item.component == "ZN" and reference == "DRI" and not person.vegetarian:
        return ""
    if item.component == "FOLDFE" and not person.can_be_pregnant:
        return ""
    return item.note


def _iron_note(item: Reference, person: Person, reference: str) -> str:
    """Iron: what the way to eat, and the choice by age or menopause, mean for this person."""
    if (factor := iron_factor(person, reference)) != 1:
        more = f"{factor:g} times the published value, for a vegetarian diet (IOM 2001)"
        return "; ".join(filter(None, (more, _iron_age_note(item, person, reference))))
    return _iron_age_note(item, person, reference)


def _iron_age_note(item: Reference, person: Person, reference: str) -> str:
    if person.sex == "male" or person.life_stage != "general":
        return ""
    if reference == "DRI" and person.postmenopausal and person.age_years < 51:
        return "set by age; after menopause the requirement is that of women over 50 (8 mg)"
    if reference == "DRI" and person.can_be_pregnant and person.age_years >= 51:
        return "set by age; while menstruation goes on, that of women of 31 to 50 (18 mg) holds"
    return item.note if reference == "EFSA" else ""


def requirement_sd(ear: float, rda: float) -> float:
    """Standard deviation of requirements behind an EAR and its RDA: half their difference.

    The RDA is the EAR plus two standard deviations (IOM 2000). Not for iron of menstruating
    people, whose requirements are skewed, nor for an AI.

    Parameters
    ----------
    ear, rda : float
        [component unit/day]

    Returns
    -------
    float
        [component unit/day]

    References
    ----------
    IOM, Dietary Reference Intakes: Applications in Dietary Assessment, 2000, doi 10.17226/9956.

    Examples
    --------
    >>> requirement_sd(265, 320)
    27.5
    """
    return (rda - ear) / 2
