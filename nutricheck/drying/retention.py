"""What drying and storage keep of each component, as low / likely / high.

METHOD.md beside this file states the rules; the figures stand in the evidence tables
``drying_ranges``, ``activation_energies``, ``storage_rates`` and ``storage_conditions``. Loss is
handled as the exponent L of exp(−L), the k·t of first-order kinetics, so that nothing is ever kept
above 1.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
import numpy.typing as npt

from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.facts.constants import constant, value
from nutricheck.plan.models import Drying, DryingStep, Preparation, Storage
from nutricheck.ranges import Z95

__all__ = [
    "CLASS_GROUPS",
    "DRIED",
    "FAMILIES",
    "FAMILY_COUNT",
    "FAMILY_PLACES",
    "LEAST_KEPT",
    "POWDER",
    "ROUTE_GROUPS",
    "STORAGE_MONTHS",
    "Kept",
    "Range",
    "RangeLookup",
    "StorageRates",
    "arrhenius_factor",
    "combined",
    "drying_kept",
    "first_order_kept",
    "loss_exponent",
    "months_as_lost",
    "published_range",
    "share_left",
    "storage_energies",
    "storage_kept",
    "with_retinol",
]

Array = npt.NDArray[np.float64]
Range = tuple[float, float, float, str]
#: (family, class group, route group, was heated before drying) → low, likely, high, evidence keys.
RangeLookup = Callable[[str, str, str, bool], Range]

#: Molar gas constant, CODATA 2018. [kJ/(mol K)]
GAS_CONSTANT = 8.314462618e-3
_KELVIN = 273.15
#: Least share that counts as kept: keeps logarithms finite. [-]
LEAST_KEPT = 1e-12
_SMALLEST_LOSS = 1e-4  # exponent; what counts as nothing lost

#: Component → the one whose evidence it shares, where drying destroys it at all. Minerals, protein,
#: fat, fibre and sugars are not here: they stay.
FAMILIES: dict[str, str] = {
    "VITC": "VITC",
    "THIA": "THIA",
    "RIBF": "RIBF",
    "NIA": "NIA",
    "PANTAC": "PANTAC",
    "VITB6A": "VITB6A",
    "BIOT": "NIA",  # no drying study found; a stable B vitamin like niacin (Ball 2006)
    "FOL": "FOL",
    "FOLFD": "FOL",
    "FOLDFE": "FOL",
    "FOLAC": "FOL",
    "VITB12": "VITB12",
    "CHOLN": "CHOLN",
    "RETOL": "RETOL",
    "VITD": "VITD",
    "VITD_IU": "VITD",
    "TOCPHA": "TOCPHA",
    "VITK1": "VITK1",
    "VITA_RAE": "CARTB",  # the retinol part of a food goes by RETOL, see batch
    "VITA_IU": "CARTB",
    "CARTA": "CARTB",
    "CARTB": "CARTB",
    "CRYPX": "CARTB",
    "LUT_ZEA": "CARTB",
    "LYCPN": "LYCPN",
    "FAPU": "FAPU",
    "F18D2CN6": "FAPU",
    "F18D3CN3": "F22D6",
    "F20D5": "F22D6",
    "F22D6": "F22D6",
    "EPA_DHA": "F22D6",
}

#: Food class → the group whose evidence counts in full.
CLASS_GROUPS: dict[str, str] = {
    "leafy vegetable": "leaf",
    "herb": "leaf",
    "seaweed": "leaf",
    "vegetable": "vegetable",
    "mushroom": "vegetable",
    "green pulse": "vegetable",
    "fruit": "fruit",
    "root": "root",
    "legume": "seed",
    "grain": "seed",
    "nut": "seed",
    "meat": "meat",
    "poultry": "meat",
    "offal": "meat",
    "liver": "meat",
    "fish": "fish",
    "shellfish": "fish",
    "egg": "egg",
    "dairy": "dairy",
}
_MIXED = "mixed"
_FAMILY_NAMES = list(dict.fromkeys(FAMILIES.values()))
#: Number of families, and the family of each component in the order of the tags; -1: none.
FAMILY_COUNT = len(_FAMILY_NAMES)
FAMILY_PLACES = np.array(
    [_FAMILY_NAMES.index(FAMILIES[tag]) if tag in FAMILIES else -1 for tag in tags()]
)

#: Drying method → the group whose evidence counts in full.
ROUTE_GROUPS: dict[str, str] = {
    "hot air": "hot",
    "oven": "hot",
    "drum": "hot",
    "sun": "sun",
    "shade": "shade",
    "spray": "spray",
    "freeze": "cold",
    "vacuum": "cold",
}

# Usual practice that the evidence of a route stands for: air temperature [°C] and time [h].
# Hot air: home dryers near 60 °C (Michigan State University Extension), 10 to 11 h for tomato;
# sun: 26 to 28 h for tomato (Horticulturae 7:40, 2021), summer air near 35 °C; shade: room air,
# four days. Freeze, vacuum, spray and drum dryers say little by their air temperature: no shift.
_USUAL: dict[str, tuple[float, float]] = {
    "hot air": (60.0, 10.0),
    "oven": (60.0, 10.0),
    "sun": (35.0, 27.0),
    "shade": (22.0, 96.0),
}

# Carotenoids: leaves dried for days in the shade kept 59 to 72 %, in the sun 30 %; cassava 59 and
# 38 %. Hours do not explain that, light does.
_BY_LIGHT, _LIGHT_NOT_HOURS = ("sun", "shade"), ("CARTB", "LYCPN")

# Sulphite cuts thiamin: 0 to 33 % kept in the sulphured dried fruits of USDA SR28 (2015), records
# 9009, 9011, 9030, 9032, 9244, 9246, 9259 and 9297 against their fresh ones; median 12 %. [-]
_SULPHITED_THIAMIN: Range = (0.01, 0.12, 0.33, "sulphured-fruit-thiamin")


@dataclass(frozen=True)
class Kept:
    """Share kept, in the order of ``components.tags()``: 5th, 50th, 95th percentile. [-]"""

    low: Array
    likely: Array
    high: Array

    def draws(self, z: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
        """Share kept for standard normal deviates ``z`` of shape (components, draws). [-]

        The loss exponent is log-normal on either side of its median, so that the 5th, 50th and
        95th percentile are those of the range and no draw lies outside 0 to 1.
        """
        least, median, most = (
            loss_exponent(side).astype(np.float32)[:, None]
            for side in (self.high, self.likely, self.low)
        )
        deviate = z / np.float32(Z95)
        slope = np.where(deviate > 0, most - median, median - least)
        out: npt.NDArray[np.float32] = np.exp(-np.exp(median + slope * deviate))
        return out

    def only(self, places: npt.NDArray[np.intp]) -> Kept:
        """The range of some of the components, by their places; shape (places,). [-]"""
        return Kept(self.low[places], self.likely[places], self.high[places])


def loss_exponent(kept: Array) -> Array:
    """ln L of a share kept, exp(−L), held away from nothing lost and all lost. [-]

    ``kept``: shares, of any shape. [-]
    """
    exponent = -np.log(np.maximum(kept, LEAST_KEPT))
    return np.asarray(np.log(np.maximum(exponent, _SMALLEST_LOSS)))


def share_left(log_exponent: Array) -> Array:
    """The share kept of ln L, of any shape; the other way of :func:`loss_exponent`. [-]"""
    return np.asarray(np.exp(-np.exp(log_exponent)))


# ---------------------------------------------------------------- first-order kinetics


def first_order_kept(rate: float, time: float) -> float:
    """Share left of a first-order loss, exp(−rate·time); rate and time in matching units. [-]

    References
    ----------
    IUPAC Gold Book, order of reaction (from memory).

    Examples
    --------
    >>> round(first_order_kept(0.00972, 71.30), 2)  # one half-life, baobab drink at 60 °C
    0.5
    """
    return float(np.exp(-rate * time))


def arrhenius_factor(ea_kj_mol: float, temperature_c: float, reference_c: float) -> float:
    """Rate at a temperature over the rate at the reference temperature. [-]

    ``exp(−Ea/R (1/T − 1/Tref))``; a straight Arrhenius line, so trust it near the temperatures
    that it was fitted on.

    Parameters
    ----------
    ea_kj_mol : float
        Activation energy. [kJ/mol]
    temperature_c, reference_c : float
        Of the food, and that at which the rate is known. [°C]

    References
    ----------
    IUPAC Gold Book, Arrhenius equation, doi 10.1351/goldbook.A00446; gas constant: CODATA 2018.

    Examples
    --------
    >>> round(0.020 * arrhenius_factor(73, 70, 80), 5)  # cupuacu nectar, per minute
    0.00969
    """
    return float(
        np.exp(
            -ea_kj_mol
            / GAS_CONSTANT
            * (1 / (temperature_c + _KELVIN) - 1 / (reference_c + _KELVIN))
        )
    )


def _equivalent_hours(
    profile: tuple[DryingStep, ...], ea_kj_mol: float, reference_c: float
) -> float:
    """Hours at the reference temperature that lose as much as the profile's steps. [h]"""
    return sum(
        step.hours * arrhenius_factor(ea_kj_mol, step.temperature_c, reference_c)
        for step in profile
    )


# ---------------------------------------------------------------- drying


@functools.cache
def _published() -> dict[tuple[str, str, str, bool], Range]:
    return {
        (row["component"], row["class_group"], row["route_group"], row["heated"] == "yes"): (
            float(row["low"]) / 100,
            float(row["likely"]) / 100,
            float(row["high"]) / 100,
            row["evidence"],
        )
        for row in evidence.rows("drying_ranges")
    }


def published_range(family: str, class_group: str, route_group: str, heated: bool) -> Range:
    """Low, likely and high share kept in usual drying, and its evidence keys. [-]

    References
    ----------
    The rows of the evidence tables ``drying_studies`` and ``drying_pairs``, each with its source.
    """
    return _published()[family, class_group, route_group, heated]


@functools.cache
def _activation_energies() -> dict[str, tuple[float, float]]:
    return {
        row["component"]: (float(row["low"]), float(row["high"]))
        for row in evidence.rows("activation_energies")
    }


def combined(kept: Range, family: str, method: str, profile: tuple[DryingStep, ...]) -> Range:
    """Evidence and kinetics together: the range moved to the plan's temperature and time.

    Half of what kinetics asks for moves the likely value; the range is widened so that it holds
    both no effect at all, as some trials found, and the full effect of either published activation
    energy. Left as it is where the route has no usual conditions or the component no published
    activation energy, and for carotenoids in sun and shade, where light decides and not hours.

    References
    ----------
    The rows of the evidence table ``activation_energies``, each with its source.
    """
    if method in _BY_LIGHT and family in _LIGHT_NOT_HOURS:
        return kept
    usual = _USUAL.get(method)
    energies = _activation_energies().get("FAPU" if family == "F22D6" else family)
    if usual is None or energies is None or not any(step.hours for step in profile):
        return kept
    reference_c, reference_h = usual
    shifts = [
        float(np.log(_equivalent_hours(profile, energy, reference_c) / reference_h))
        for energy in (energies[0], sum(energies) / 2, energies[1])
    ]
    middle = shifts[1] / 2
    least, most = min(0.0, *shifts), max(0.0, *shifts)
    high, likely, low = loss_exponent(np.array([kept[2], kept[1], kept[0]]))
    moved = likely + middle
    down = np.hypot(likely - high, middle - least)
    up = np.hypot(low - likely, most - middle)
    shares = [float(np.exp(-np.exp(value))) for value in (moved + up, moved, moved - down)]
    return shares[0], shares[1], shares[2], kept[3]


def drying_kept(
    food_class: str,
    preparation: Preparation,
    drying: Drying,
    *,
    already_cooked: bool = False,
    lookup: RangeLookup = published_range,
) -> tuple[Kept, tuple[str, ...]]:
    """Share kept in drying and the evidence keys behind it, one entry per component.

    Parameters
    ----------
    food_class : str
        Class of the food, from ``food_class``.
    preparation : Preparation
        Blanching and cooking stop the food's own enzymes; sulphite destroys thiamin.
    drying : Drying
        Method and, where known, temperature and time.
    already_cooked : bool
        Whether the table's food was cooked before it was prepared.
    lookup : callable
        Where the ranges come from; other than ``published_range`` only to test the method.

    Returns
    -------
    tuple
        ``Kept`` and a tuple of evidence keys, "" for what drying does not touch. [-]

    References
    ----------
    The rows of the evidence tables ``drying_studies`` and ``drying_pairs``, each with its source.
    The rows of the evidence table ``activation_energies``, each with its source.
    """
    names = tags()
    low, likely, high = (np.ones(len(names)) for _ in range(3))
    keys = [""] * len(names)
    class_group = CLASS_GROUPS.get(food_class, _MIXED)
    route_group = ROUTE_GROUPS[drying.method]
    heated = already_cooked or preparation.kind in {"blanched", "cooked"}
    found: dict[str, Range] = {}
    profile = drying.profile
    for place, tag in enumerate(names):
        family = FAMILIES.get(tag)
        if family is None:
            continue
        if family not in found:
            if family == "THIA" and preparation.sulphited:
                found[family] = _SULPHITED_THIAMIN
            else:
                published = lookup(family, class_group, route_group, heated)
                found[family] = combined(published, family, drying.method, profile)
        low[place], likely[place], high[place], keys[place] = found[family]
    return Kept(low, likely, high), tuple(keys)


# ---------------------------------------------------------------- storage


#: What a rate of storage is of.
StorageRates = Literal["dried food", "powder or tablet"]
DRIED: StorageRates = "dried food"
POWDER: StorageRates = "powder or tablet"

#: Up to so many months a loss goes by first order, so that halves make a whole; the rates of
#: ``storage_rates`` are means over them. [month]
STORAGE_MONTHS = 6.0
#: Beyond, the loss exponent grows with this power of the time: half-lives of vitamin D powders and
#: dried drumstick leaves give 0.4 to 0.9, canned food of fifty years asks for 0.4. The range holds
#: any from 0.4 to 1. [-]
STORAGE_POWER = 0.7
_SLOWING, _STEADY = 0.4, 1.0


def months_as_lost(months: float, power: float = STORAGE_POWER) -> float:
    """Months of first-order loss at the mean rate that lose as much. [month]

    Up to six months the time itself; beyond, it counts with a power below 1.

    Parameters
    ----------
    months : float
        Of storage. [month]
    power : float
        Chosen by us between those that long trials ask for. [-]

    References
    ----------
    The rows of the evidence table ``storage_trials``, each with its source.

    Examples
    --------
    >>> months_as_lost(3.0), round(months_as_lost(24.0), 1)
    (3.0, 15.8)
    """
    over = months / STORAGE_MONTHS
    return STORAGE_MONTHS * (over**power if over > 1 else over)


@functools.cache
def storage_energies(family: str) -> tuple[float, ...]:
    """Activation energy of a storage loss, or the lowest, middle and highest of the others.

    [kJ/mol]

    References
    ----------
    The rows of the evidence table ``activation_energies``, each with its source.
    """
    conditions = evidence.rows("storage_conditions")
    of_family = next(row["ea"] for row in conditions if row["component"] == family)
    if of_family:
        return (float(of_family),)
    published = sorted(float(row["ea"]) for row in conditions if row["ea"])
    return published[0], float(np.median(published)), published[-1]


@dataclass(frozen=True)
class _StorageRow:
    """How a family is lost in storage: rates [1/month], factors [-], and how time acts.

    ``power`` is that of the time the loss exponent grows with, likely and at either end.
    """

    rates: dict[str, str]
    conditions: dict[str, str]
    energies: tuple[float, ...]
    power: tuple[float, float, float]


#: Families without a storage trial of their own → the one whose rate stands for them; ours.
_SAME_STORAGE = {"LYCPN": "CARTB"}
#: Powders and tablets, whose trials ran for years, go by first order; light as for dried food.
_FIRST_ORDER = (1.0, 1.0, 1.0)


@functools.cache
def _storage_rows(rates: StorageRates) -> dict[str, _StorageRow]:
    """Family → its row; powders and tablets have rows of their own for some."""
    of = {row["component"]: row for row in evidence.rows("storage_rates")}
    found = {}
    for row in evidence.rows("storage_conditions"):
        family = row["component"]
        usual = of[_SAME_STORAGE.get(family, family)]
        power = (_SLOWING, STORAGE_POWER, _STEADY)
        found[family] = _StorageRow(usual, row, storage_energies(family), power)
    if rates == POWDER:
        for row in evidence.rows("ration_rates"):
            old = found[row["component"]]
            found[row["component"]] = _StorageRow(
                row, {**old.conditions, **row}, old.energies, _FIRST_ORDER
            )
    return found


def _absorber(row: Mapping[str, str], temperature_c: float) -> tuple[float, float, float]:
    """Rate with an oxygen absorber over rate in air; in warmth little is known of it. [-]"""
    low, likely, high = (
        float(row[side]) for side in ("absorber_low", "absorber_likely", "absorber_high")
    )
    if temperature_c <= value("absorber_warm") or low == 1:
        return low, likely, high
    warm = constant("absorber_warm_rate")
    return max(low, warm.low or low), max(likely, warm.value), max(high, warm.high or high)


@functools.lru_cache(maxsize=256)
def _stored(
    months: float, temperature_c: float, dark: bool, oxygen_absorber: bool, rates: StorageRates
) -> Kept:
    low, likely, high = (np.ones(len(tags())) for _ in range(3))
    for place, tag in enumerate(tags()):
        row = _storage_rows(rates).get(FAMILIES.get(tag, ""))
        if row is None:
            continue
        warmth = [arrhenius_factor(energy, temperature_c, 20.0) for energy in row.energies]
        slow = float(row.rates["low"]) * min(warmth)
        usual = float(row.rates["likely"]) * float(np.median(warmth))
        fast = float(row.rates["high"]) * max(warmth)
        if not dark:
            usual *= float(row.conditions["light"])
            fast *= float(row.conditions["light_most"])
        if oxygen_absorber:
            least, middle, most = _absorber(row.conditions, temperature_c)
            slow, usual, fast = slow * least, usual * middle, fast * most
        slowest, power, fastest = row.power
        low[place] = first_order_kept(fast, months_as_lost(months, fastest))
        likely[place] = first_order_kept(usual, months_as_lost(months, power))
        high[place] = first_order_kept(slow, months_as_lost(months, slowest))
    for side in (low, likely, high):
        side.setflags(write=False)
    return Kept(low, likely, high)


def storage_kept(storage: Storage | None, rates: StorageRates = DRIED) -> Kept:
    """Share kept in one stage of storage; all of it where none is given. [-]

    The rates of ``storage_rates`` hold for six dark months in air at 20 °C. They are moved to the
    storage temperature (by the lowest, middle and highest activation energy of the others where
    none is published), multiplied for light and scaled for an oxygen absorber. Beyond six months
    the loss exponent grows with the power 0.7 of the time; the range holds any from 0.4 to 1.
    Components without a published rate stay whole. Drink powders and tablets go by
    ``ration_rates`` where it has a row, first order.

    References
    ----------
    The rows of the evidence tables ``storage_trials`` and ``storage_conditions``, each with its
    source.
    The rows of the evidence table ``ration_rates``, each with its source.
    """
    if storage is None or storage.months == 0:
        whole = np.ones(len(tags()))
        return Kept(whole, whole, whole)
    return _stored(
        float(storage.months),
        float(storage.temperature_c),
        storage.dark,
        storage.oxygen_absorber,
        rates,
    )


@functools.cache
def _at() -> dict[str, int]:
    return {tag: place for place, tag in enumerate(tags())}


def with_retinol(kept: Kept, contents: Array) -> Kept:
    """The range with the retinol part of vitamin A going by retinol's, the rest by carotene's.

    ``contents``: of the food before the loss, in the order of the tags. [component units]

    References
    ----------
    The row ``retinol_per_iu`` of the evidence table ``constants``, with its source.
    """
    at = _at()
    retinol = float(contents[at["RETOL"]])
    retinol = 0.0 if math.isnan(retinol) else retinol
    shares = {}
    for tag, per_retinol in (("VITA_RAE", 1.0), ("VITA_IU", 1 / value("retinol_per_iu"))):
        total = float(contents[at[tag]])
        shares[tag] = min(retinol * per_retinol / total, 1.0) if total > 0 else 0.0
    sides = []
    for side in (kept.low, kept.likely, kept.high):
        out = side.copy()
        for tag, share in shares.items():
            out[at[tag]] = share * side[at["RETOL"]] + (1 - share) * side[at["CARTB"]]
        sides.append(out)
    return Kept(*sides)
