"""A batch: fresh ingredients, prepared and dried, as composition per 100 g of the dried food.

Water balance, cooking retention (USDA Release 6), drying and storage retention with ranges, added
salt, solids poured off or used up by fermenting. METHOD.md beside this file states the rules.
"""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from nutricheck import evidence
from nutricheck.cautions import Caution
from nutricheck.components import BY_TAG, tags
from nutricheck.drying.classes import FoodClass, food_class
from nutricheck.drying.cooking import choose_code, cooking_retention, liquid_left
from nutricheck.drying.retention import Z95, Kept, drying_kept, storage_kept
from nutricheck.errors import DryingError
from nutricheck.plan.models import Batch, Drying, Preparation

if TYPE_CHECKING:
    from nutricheck.table import Food, FoodTable

__all__ = ["DriedBatch", "composition_draws", "dry_batch"]

Array = npt.NDArray[np.float64]

TAGS: tuple[str, ...] = tuple(tags())
_AT = {tag: place for place, tag in enumerate(TAGS)}

# Sodium and chloride of table salt by molar mass (IUPAC 2021: Na 22.990, Cl 35.45). [mg/g]
_NA_OF_SALT_MG, _CL_OF_SALT_MG = 393.4, 606.6
# Energy factors (Atwater general): protein, carbohydrate, fat, alcohol. [kcal/g]
_ENERGY_KCAL_G = {"PROCNT": 4.0, "CHOCDF": 4.0, "FAT": 9.0, "ALC": 7.0}
# Dry matter of a food varies about the table's: one standard deviation. [-]
_DRY_MATTER_CV = 0.08
_SCALE_CV = 0.01


@dataclass(frozen=True)
class DriedBatch:
    """A dried batch. ``composition`` and ``draws`` are per 100 g dried; shares are 0 to 1.

    ``steps`` has one row per ingredient and component; ``flags`` one row per component that the
    route destroys. ``evidence`` holds short citations. Niacin equivalents are left unknown: they
    are derived where the whole diet is.
    """

    name: str
    food_class: str
    route: str
    fresh_mass_g: float
    dry_matter_g: float
    dried_mass_g: float
    water_frac: float
    water_removed_g: float
    yield_frac: float
    moisture_source: str
    steps: pd.DataFrame
    composition: pd.DataFrame
    draws: Array | None
    flags: pd.DataFrame
    cautions: tuple[Caution, ...]
    evidence: tuple[str, ...]
    rehydration_water_g_per_100g: float
    notes: tuple[str, ...]


# ---------------------------------------------------------------- the draws of the table's values


def _normal(key: str, seed: int, shape: tuple[int, ...]) -> Array:
    """Standard normal deviates of a stream that the key names: same cause, same draws."""
    stream = np.random.default_rng((seed, crc32(key.encode())))
    return np.asarray(stream.standard_normal(shape))


def composition_draws(
    food_ids: Sequence[str],
    table: FoodTable,
    wanted: Sequence[str] = TAGS,
    *,
    draws: int,
    seed: int = 0,
) -> Array:
    """Draws of the composition of foods of the table, per 100 g edible portion.

    Returns
    -------
    ndarray
        Shape (draws, foods, components), NaN where the table has no value.
    """
    values = table.composition(list(food_ids), list(wanted)).to_numpy(dtype=float)
    spread = _composition_log_sd(food_ids, table, wanted)
    out = np.empty((draws, *values.shape))
    for place, food_id in enumerate(food_ids):
        z = _normal(f"composition {food_id}", seed, (draws, len(wanted)))
        out[:, place] = values[place] * np.exp(spread[place] * z)
    return out


def _composition_log_sd(food_ids: Sequence[str], table: FoodTable, wanted: Sequence[str]) -> Array:
    """Standard deviation of the natural logarithm of a food's content between samples. [-]"""
    value = table.composition(list(food_ids), list(wanted)).to_numpy(dtype=float)
    error, count = (
        part.reindex(index=list(food_ids), columns=list(wanted)).to_numpy(dtype=float)
        for part in table.spread(list(food_ids), list(wanted))
    )
    with np.errstate(divide="ignore", invalid="ignore"):
        relative = error * np.sqrt(count) / value
    default = np.array([_default_cv(tag) for tag in wanted])
    relative = np.where(np.isfinite(relative) & (relative > 0), relative, default)
    return np.sqrt(np.log1p(np.minimum(relative, 1.0) ** 2))


@functools.cache
def _default_cv(tag: str) -> float:
    if tag in {"ENERC_KCAL", "WATER"}:
        return 0.03
    return {"energy": 0.08, "hot-day": 0.15, "mineral": 0.2}.get(BY_TAG[tag].group, 0.25)


# ---------------------------------------------------------------- the batch


def dry_batch(batch: Batch, table: FoodTable, *, draws: int = 0, seed: int = 0) -> DriedBatch:
    """The dried food that a batch becomes.

    Parameters
    ----------
    batch : Batch
        Ingredients, preparation, drying, end point and storage.
    table : FoodTable
        Where the fresh composition comes from.
    draws : int
        Number of Monte Carlo draws; 0 for ranges by error propagation alone. [-]
    seed : int
        Seed of the draws. [-]

    Returns
    -------
    DriedBatch
        Composition per 100 g dried with low, likely and high, and how it came about.

    Raises
    ------
    DryingError
        If the masses and waters contradict each other, or a food's water is unknown.
    UnknownFoodError
        If a food is unknown or its name fits several.
    """
    foods = [table.resolve(part.food) for part in batch.ingredients]
    mass = np.array([part.mass_g for part in batch.ingredients])
    classes = [food_class(food) for food in foods]
    ids = [food.id for food in foods]
    per_100g = table.composition(list(dict.fromkeys(ids)), list(TAGS)).loc[ids].to_numpy(float)
    fresh = per_100g * mass[:, None] / 100
    _check_fresh(batch, foods, fresh)

    codes = [
        part.retention_code
        or choose_code(kind.cooking_family, batch.preparation, values[_AT["FAT"]])
        for part, kind, values in zip(batch.ingredients, classes, per_100g, strict=True)
    ]
    cooking = np.array([cooking_retention(code, batch.preparation) for code in codes])
    kept_by_class = {
        kind.name: drying_kept(kind.name, batch.preparation, batch.drying) for kind in classes
    }
    dried = [kept_by_class[kind.name][0] for kind in classes]
    stored = storage_kept(batch.storage)

    cooked = _cooked(fresh, cooking, batch.preparation)
    solids = fresh.copy()
    solids_g = mass - fresh[:, _AT["WATER"]]
    lost_g = _solids_lost(solids, cooked)
    dry_matter_g = float((solids_g - lost_g).sum()) + batch.preparation.salt_g
    water_frac, source, dried_mass_g, scale, notes = _end_point(batch, classes, mass, dry_matter_g)
    kept = [
        cooked * np.array([getattr(one, side) for one in dried]) * getattr(stored, side)
        for side in ("low", "likely", "high")
    ]
    composition, drawn = _composition(
        batch,
        ids,
        table,
        kept,
        cooked,
        dried,
        classes,
        stored,
        scale,
        water_frac,
        mass,
        draws,
        seed,
    )
    dominant = classes[int(np.argmax(solids_g))].name
    steps = _steps(
        foods, mass, per_100g, codes, cooking, dried, stored, kept[1], kept_by_class, classes
    )
    fresh_mass_g = float(mass.sum())
    return DriedBatch(
        name=batch.name,
        food_class=dominant,
        route=route_words(batch),
        fresh_mass_g=fresh_mass_g,
        dry_matter_g=dry_matter_g,
        dried_mass_g=dried_mass_g,
        water_frac=water_frac,
        water_removed_g=max(0.0, fresh_mass_g + batch.preparation.salt_g - dried_mass_g),
        yield_frac=dried_mass_g / fresh_mass_g,
        moisture_source=source,
        steps=steps,
        composition=composition,
        draws=drawn,
        flags=_flags(batch, fresh, cooked, kept),
        cautions=(),
        evidence=tuple(
            dict.fromkeys(one for _, all_ in kept_by_class.values() for one in all_ if one)
        ),
        rehydration_water_g_per_100g=_rehydration_water(fresh, mass, dry_matter_g, water_frac),
        notes=tuple(notes),
    )


def route_words(batch: Batch) -> str:
    """The route in words, such as ``boiled, drained; hot air 68 °C 8 h``."""
    preparation, drying = batch.preparation, batch.drying
    if preparation.kind == "cooked":
        words = [str(preparation.method)]
    elif preparation.kind == "blanched":
        words = [f"{preparation.method}-blanched"]
    else:
        words = [preparation.kind]
    if preparation.kind == "fermented" or preparation.method in {"boiled", "water", "braised"}:
        words.append(f"liquid {liquid_left(preparation)}")
    if preparation.sulphited:
        words.append("sulphited")
    profile = ", ".join(
        f"{step.temperature_c:g} °C {_hours_in_words(step.hours)}" for step in drying.profile
    )
    return f"{', '.join(words)}; {drying.method}{' ' if profile else ''}{profile}"


def _hours_in_words(hours: float) -> str:
    return f"{hours / 24:.3g} d" if hours >= 72 else f"{hours:g} h"


def _check_fresh(batch: Batch, foods: Sequence[Food], fresh: Array) -> None:
    for food, values in zip(foods, fresh, strict=True):
        if np.isnan(values[_AT["WATER"]]):
            raise DryingError(
                f'batch "{batch.name}": the table has no water content for '
                f"{food.description} ({food.id}); name a food that has one"
            )
    if fresh[:, _AT["WATER"]].sum() <= 0 and not np.nansum(fresh):
        raise DryingError(f'batch "{batch.name}": the ingredients have no mass')


def _cooked(fresh: Array, cooking: Array, preparation: Preparation) -> Array:
    """Amounts after the preparation, before drying; salt is added to the first ingredient."""
    cooked = fresh * cooking
    sugar, carbohydrate = _AT["SUGAR"], _AT["CHOCDF"]
    lost_sugar = np.nan_to_num(fresh[:, sugar] - cooked[:, sugar])
    cooked[:, carbohydrate] = fresh[:, carbohydrate] - lost_sugar
    if preparation.sugars_used_percent:
        cooked[:, sugar] *= 1 - preparation.sugars_used_percent / 100
    energy = np.zeros(len(fresh))
    before = np.zeros(len(fresh))
    for tag, factor in _ENERGY_KCAL_G.items():
        energy += factor * np.nan_to_num(cooked[:, _AT[tag]])
        before += factor * np.nan_to_num(fresh[:, _AT[tag]])
    share = np.divide(energy, before, out=np.ones_like(energy), where=before > 0)
    cooked[:, _AT["ENERC_KCAL"]] = fresh[:, _AT["ENERC_KCAL"]] * share
    if preparation.salt_g:
        for tag, per_gram in (("NA", _NA_OF_SALT_MG), ("CLD", _CL_OF_SALT_MG), ("ASH", 1.0)):
            if not np.isnan(cooked[0, _AT[tag]]):
                cooked[0, _AT[tag]] += preparation.salt_g * per_gram
    return cooked


def _solids_lost(fresh: Array, cooked: Array) -> Array:
    """Dry matter poured off by ingredient: carbohydrate, fat, protein and ash. [g]"""
    lost = np.zeros(len(fresh))
    for tag in ("CHOCDF", "FAT", "PROCNT", "ASH"):
        lost += np.maximum(np.nan_to_num(fresh[:, _AT[tag]] - cooked[:, _AT[tag]]), 0)
    return lost


@functools.cache
def _moistures() -> dict[tuple[str, str], tuple[float, float, float]]:
    return {
        (row["food_class"], row["method"]): (
            float(row["low"]) / 100,
            float(row["likely"]) / 100,
            float(row["high"]) / 100,
        )
        for row in evidence.rows("dried_moisture")
    }


def _class_moisture(classes: Sequence[FoodClass], mass: Array, drying: Drying) -> tuple[float, ...]:
    """Low, likely and high water of the dried food of the class that most of the mass is. [g/g]"""
    by_class: dict[str, float] = {}
    for kind, grams in zip(classes, mass, strict=True):
        by_class[kind.name] = by_class.get(kind.name, 0.0) + float(grams)
    dominant = max(by_class, key=lambda name: by_class[name])
    table = _moistures()
    return table.get(("", drying.method)) or table.get((dominant, "")) or table[("other", "")]


def _end_point(
    batch: Batch, classes: Sequence[FoodClass], mass: Array, dry_matter_g: float
) -> tuple[float, str, float, float, list[str]]:
    """Water fraction, its source, dried mass, amount scale and notes."""
    fresh_mass_g = float(mass.sum()) + batch.preparation.salt_g
    notes: list[str] = []
    if batch.dried_mass_g is not None:
        dried_mass_g = batch.dried_mass_g
        least = dry_matter_g * (1 - 2 * _DRY_MATTER_CV)
        if dried_mass_g < least:
            raise DryingError(
                f'batch "{batch.name}": {dried_mass_g:g} g dried is less than the '
                f"{dry_matter_g:.0f} g of dry matter that {fresh_mass_g:g} g fresh holds by the "
                "table; is the fresh mass of edible parts only, and is nothing left in the dryer?"
            )
        if dried_mass_g > fresh_mass_g:
            raise DryingError(
                f'batch "{batch.name}": {dried_mass_g:g} g dried is more than the '
                f"{fresh_mass_g:g} g fresh; were the two masses swapped?"
            )
        driest = _class_moisture(classes, mass, batch.drying)[0]
        water_frac = max(1 - dry_matter_g / dried_mass_g, driest)
        scale = dried_mass_g * (1 - water_frac) / dry_matter_g
        if scale < 0.999:
            notes.append(
                f"The weighed {dried_mass_g:g} g leaves no room for water beside the "
                f"{dry_matter_g:.0f} g of dry matter by the table: your food held less dry matter "
                f"than the table's, so {driest:.0%} water is taken and the rest scaled down."
            )
        return water_frac, "weighed", dried_mass_g, min(scale, 1.0), notes
    if batch.moisture_percent is not None:
        water_frac, source = batch.moisture_percent / 100, "given"
    else:
        water_frac, source = _class_moisture(classes, mass, batch.drying)[1], "class default"
    if water_frac >= 1:
        raise DryingError(f'batch "{batch.name}": a dried food cannot be all water')
    dried_mass_g = dry_matter_g / (1 - water_frac)
    if dried_mass_g > fresh_mass_g:
        if source == "given":
            raise DryingError(
                f'batch "{batch.name}": {water_frac:.0%} water is more than the '
                f"{1 - dry_matter_g / fresh_mass_g:.0%} of the fresh food; "
                "moisture is the water left in the dried food"
            )
        water_frac, dried_mass_g = 1 - dry_matter_g / fresh_mass_g, fresh_mass_g
        notes.append("The fresh food is as dry as a dried one already; no water is taken off.")
    return water_frac, source, dried_mass_g, 1.0, notes


def _sum_known(amounts: Array) -> Array:
    """Sum over ingredients of what is known; NaN where nothing is."""
    total = np.nansum(amounts, axis=0)
    total[np.isnan(amounts).all(axis=0)] = np.nan
    return np.asarray(total)


def _composition(
    batch: Batch,
    ids: Sequence[str],
    table: FoodTable,
    kept: Sequence[Array],
    cooked: Array,
    dried: Sequence[Kept],
    classes: Sequence[FoodClass],
    stored: Kept,
    scale: float,
    water_frac: float,
    mass: Array,
    draws: int,
    seed: int,
) -> tuple[pd.DataFrame, Array | None]:
    """Low, likely, high and known share per 100 g dried, and the draws."""
    solids_share = 1 - water_frac
    low, likely, high = (_sum_known(side) for side in kept)
    known = (~np.isnan(cooked) * mass[:, None]).sum(axis=0) / mass.sum()
    per_dry = 100 * solids_share
    dry_matter_g = _dry_matter(batch, cooked, mass, table, ids)
    unit = per_dry / dry_matter_g

    spread = _composition_log_sd(ids, table, TAGS)
    amount = kept[1]
    composition_sd = np.sqrt(np.nansum((amount * spread) ** 2, axis=0))
    moisture_sd = _moisture_sd(batch, classes, mass, water_frac)
    relative = np.hypot(moisture_sd / solids_share, 0.0)
    shared = np.abs(likely) * relative
    down = np.sqrt((Z95 * composition_sd) ** 2 + (likely - low) ** 2 + (Z95 * shared) ** 2)
    up = np.sqrt((Z95 * composition_sd) ** 2 + (high - likely) ** 2 + (Z95 * shared) ** 2)
    frame = pd.DataFrame(
        {
            "low": np.maximum(likely - down, 0) * unit,
            "likely": likely * unit,
            "high": (likely + up) * unit,
            "known_share": known,
        },
        index=pd.Index(TAGS, name="component"),
    )
    _set_water(frame, water_frac, moisture_sd)
    frame.loc["NIAEQ"] = [np.nan, np.nan, np.nan, 0.0]
    if not draws:
        return frame, None

    total = np.zeros((draws, len(TAGS)))
    for place, (food_id, kind, one) in enumerate(zip(ids, classes, dried, strict=True)):
        z = _normal(f"composition {food_id}", seed, (draws, len(TAGS)))
        share = one.draws(
            _normal(f"drying {kind.name} {batch.drying.method}", seed, (draws, len(TAGS)))
        )
        total += np.nan_to_num(cooked[place]) * np.exp(spread[place] * z) * share
    water = water_frac + moisture_sd * _normal(f"moisture {batch.name}", seed, (draws,))
    water = np.clip(water, 0.0, 0.95)
    drawn = total * (100 * (1 - water) / dry_matter_g)[:, None]
    drawn[:, np.isnan(likely)] = np.nan
    drawn[:, _AT["WATER"]] = 100 * water
    drawn[:, _AT["NIAEQ"]] = np.nan
    frame["low"], frame["high"] = np.percentile(drawn, (5, 95), axis=0)
    frame["low"] = np.fmin(frame["low"], frame["likely"])
    frame["high"] = np.fmax(frame["high"], frame["likely"])
    return frame, drawn


def _dry_matter(
    batch: Batch, cooked: Array, mass: Array, table: FoodTable, ids: Sequence[str]
) -> float:
    fresh = table.composition(list(dict.fromkeys(ids)), list(TAGS)).loc[list(ids)].to_numpy(float)
    fresh = fresh * mass[:, None] / 100
    lost = _solids_lost(fresh, cooked)
    return float((mass - fresh[:, _AT["WATER"]] - lost).sum()) + batch.preparation.salt_g


def _moisture_sd(
    batch: Batch, classes: Sequence[FoodClass], mass: Array, water_frac: float
) -> float:
    """Standard deviation of the water left in the dried food. [g/g]"""
    if batch.dried_mass_g is not None:
        return float(np.hypot(_DRY_MATTER_CV * 0.5, _SCALE_CV) * (1 - water_frac) * 0.25)
    if batch.moisture_percent is not None:
        return 0.01
    low, _, high = _class_moisture(classes, mass, batch.drying)
    return (high - low) / (2 * Z95)


def _set_water(frame: pd.DataFrame, water_frac: float, moisture_sd: float) -> None:
    span = Z95 * moisture_sd
    frame.loc["WATER"] = [
        100 * max(water_frac - span, 0.0),
        100 * water_frac,
        100 * (water_frac + span),
        1.0,
    ]


def _rehydration_water(fresh: Array, mass: Array, dry_matter_g: float, water_frac: float) -> float:
    """Water that brings 100 g dried back to the water content of the fresh food. [g]"""
    fresh_water = float(fresh[:, _AT["WATER"]].sum() / mass.sum())
    dry_g = 100 * (1 - water_frac)
    return max(0.0, dry_g * fresh_water / (1 - fresh_water) - 100 * water_frac)


def _steps(
    foods: Sequence[Food],
    mass: Array,
    per_100g: Array,
    codes: Sequence[str | None],
    cooking: Array,
    dried: Sequence[Kept],
    stored: Kept,
    amount: Array,
    kept_by_class: dict[str, tuple[Kept, tuple[str, ...]]],
    classes: Sequence[FoodClass],
) -> pd.DataFrame:
    """One row per ingredient and component: what was there and what each step kept."""
    count = len(TAGS)

    def per_food(values: Sequence[object]) -> npt.NDArray[np.object_]:
        return np.repeat(np.array(values, dtype=object), count)

    columns: dict[str, object] = {
        "ingredient": per_food([food.description for food in foods]),
        "food_id": per_food([food.id for food in foods]),
        "component": np.tile(np.array(TAGS, dtype=object), len(foods)),
        "mass_g": np.repeat(mass, count),
        "per_100g": per_100g.ravel(),
        "retention_code": per_food([code or "" for code in codes]),
        "cooking_retention": cooking.ravel(),
    }
    for side in ("low", "likely", "high"):
        columns[f"drying_{side}"] = np.concatenate([getattr(one, side) for one in dried])
        columns[f"storage_{side}"] = np.tile(getattr(stored, side), len(foods))
    columns["amount"] = amount.ravel()
    columns["evidence"] = np.concatenate(
        [np.array(kept_by_class[kind.name][1], dtype=object) for kind in classes]
    )
    return pd.DataFrame(columns)


def _flags(batch: Batch, fresh: Array, cooked: Array, kept: Sequence[Array]) -> pd.DataFrame:
    """Components that the route destroys, with the main cause and how much is kept."""
    before = _sum_known(fresh)
    after_cooking = _sum_known(cooked)
    low, likely, high = (_sum_known(side) for side in kept)
    rows = []
    for place, tag in enumerate(TAGS):
        causes = BY_TAG[tag].lost_by
        if not causes or not before[place] > 0:
            continue
        shares = [float(side[place] / before[place]) for side in (low, likely, high)]
        if shares[1] > 0.95 and shares[0] > 0.85:
            continue
        cause = _cause(batch, causes, float(after_cooking[place] / before[place]), shares[1])
        rows.append(
            {
                "component": tag,
                "cause": cause,
                "kept_low": shares[0],
                "kept_likely": shares[1],
                "kept_high": shares[2],
                "text": f"{BY_TAG[tag].name}: {shares[1]:.0%} kept ({shares[0]:.0%} to "
                f"{shares[2]:.0%}), lost mostly to {cause}",
            }
        )
    columns = ["component", "cause", "kept_low", "kept_likely", "kept_high", "text"]
    return pd.DataFrame(rows, columns=columns)


def _cause(batch: Batch, causes: Sequence[str], cooking: float, total: float) -> str:
    drained = batch.preparation.kind != "raw" and liquid_left(batch.preparation) == "drained"
    if drained and "water" in causes and 1 - cooking > cooking - total:
        return "water"
    hottest = max((step.temperature_c for step in batch.drying.profile), default=60.0)
    if batch.drying.method == "sun" and "light" in causes:
        return "light"
    is_gentle = batch.drying.method in {"freeze", "shade", "vacuum"} or hottest <= 45
    order = (
        ("oxygen", "heat", "light", "water") if is_gentle else ("heat", "oxygen", "light", "water")
    )
    return next(cause for cause in order if cause in causes)
