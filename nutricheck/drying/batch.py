"""A batch: fresh ingredients, prepared and dried, as composition per 100 g of the dried food.

Water balance, cooking retention (USDA Release 6), drying and storage retention with ranges, added
salt, solids poured off or used up by fermenting. METHOD.md beside this file states the rules.
"""

from __future__ import annotations

import functools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any
from zlib import crc32

import numpy as np
import numpy.typing as npt
import pandas as pd

from nutricheck.drying.batch_cautions import batch_cautions
from nutricheck.drying.classes import FoodClass, food_class
from nutricheck.drying.contents import BELOW_RECORD, Contents, contents_of
from nutricheck.drying.cooking import choose_code, cooking_kept, salt_left_g
from nutricheck.drying.end_point import (
    CLASS_DEFAULT,
    EndPoint,
    end_point,
    rehydration_water,
)
from nutricheck.drying.flags import loss_flags, makes_vitamin_d
from nutricheck.drying.retention import (
    FAMILY_COUNT,
    FAMILY_PLACES,
    LEAST_KEPT,
    Kept,
    RangeLookup,
    drying_kept,
    published_range,
    with_retinol,
)
from nutricheck.drying.route_words import batch_notes, citations, route_words
from nutricheck.drying.spread import Deviates, normal_deviates
from nutricheck.drying.stages import kept_before, together
from nutricheck.drying.straining import rested_kept, strained_kept
from nutricheck.errors import DryingError
from nutricheck.facts.caution import Caution, ordered
from nutricheck.facts.components import ATWATER_KCAL_PER_G, tags
from nutricheck.foods.food_table import salt_iodine_log_sd
from nutricheck.plan.models import READY_WHEN_BOUGHT, Batch, Ingredient, Preparation
from nutricheck.ranges import Z95, ends
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import PER_100_G_DRIED, REMOVED

if TYPE_CHECKING:
    from nutricheck.foods import Food, FoodTable

__all__ = ["DriedBatch", "dry_batch", "with_cautions"]

Array = npt.NDArray[np.float64]

TAGS: tuple[str, ...] = tuple(tags())
_AT = {tag: place for place, tag in enumerate(TAGS)}
_SIDES = ("low", "likely", "high")
#: Side → columns of the steps: kept by drying, by storage, and by all.
_STEP_COLUMNS = {
    "low": ("drying_low", "storage_low", "kept_low"),
    "likely": ("drying_likely", "storage_likely", "kept_likely"),
    "high": ("drying_high", "storage_high", "kept_high"),
}
#: The cause that all loss in storage has in common; names its draws.
STORAGE_CAUSE = "storage"
_INDEX = pd.Index(TAGS, name="component")

# Sodium and chloride of table salt by molar mass (IUPAC 2021: Na 22.990, Cl 35.45). [mg/g]
_SALT_MG = {"NA": 393.4, "CLD": 606.6}
_SOLIDS = ("PROCNT", "FAT", "CHOCDF", "ASH")
_NOT_COOKED = Preparation()
_LEAST_MASS_G = 1e-6  # of a batch; below a microgram a plan's figures lose their digits
# Share of the sugar's mass that leaves as gas and alcohol: none in homolactic fermenting, half in
# heterolactic (glucose to lactate, ethanol and CO2: 90 of 180 g stay); the middle is taken. [g/g]
_FERMENTED_SUGAR_GONE = 0.25


@dataclass(frozen=True)
class DriedBatch:
    """A dried batch. ``composition`` and ``draws`` are per 100 g dried; shares are 0 to 1.

    ``composition``: index tagname; low, likely, high, and of likely what is ``drawn`` from foods of
    the ingredients' kinds and what is ``borrowed`` from another country's table [component unit];
    ``known_share`` of the fresh mass with a value, ``accounted_share`` with a value or a draw [-].
    ``flags`` has one row per component that the route cuts; ``evidence`` holds short citations.
    Niacin equivalents are left unknown: they are derived where the whole diet is.
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
    composition: pd.DataFrame
    draws: Array | None
    flags: pd.DataFrame
    cautions: tuple[Caution, ...]
    evidence: tuple[str, ...]
    rehydration_water_g_per_100g: float
    notes: tuple[str, ...]
    questions: tuple[str, ...]
    _trace: _Trace = field(repr=False)

    @functools.cached_property
    def steps(self) -> pd.DataFrame:
        """One row per ingredient and component: what was there and what each step kept.

        ``ingredient``, ``food_id``, ``component``, ``mass_g`` [g], ``per_100g`` fresh, the best
        estimate where it ``is_drawn`` from foods of its kind, USDA
        ``retention_code``, ``cooking_retention``, ``drying_…`` and ``storage_…`` low, likely and
        high, ``kept_…`` by all steps [-], ``amount`` kept [component unit], ``evidence`` (keys of
        the drying evidence).
        """
        return _steps(self._trace)


@dataclass(frozen=True)
class _Ingredients:
    """The ingredients as arrays, one row each; amounts in component units of the whole mass."""

    foods: tuple[Food, ...]
    classes: tuple[FoodClass, ...]
    mass_g: Array
    contents: Contents
    scale: Array
    codes: tuple[str | None, ...]

    @property
    def per_100g(self) -> Array:
        """What the table knows; NaN where it does not."""
        return self.contents.value

    @property
    def filled(self) -> Array:
        """What the table knows, or the best estimate of what can be drawn; NaN else."""
        return self.contents.filled(self.scale)

    @property
    def fresh(self) -> Array:
        return np.asarray(self.per_100g * self.mass_g[:, None] / 100)

    @property
    def solids_g(self) -> Array:
        return np.asarray(self.mass_g * (1 - self.per_100g[:, _AT["WATER"]] / 100))


@dataclass(frozen=True)
class _Losses:
    """What each step keeps, by ingredient; storage holds all stages before the trip."""

    cooking: Sequence[Kept]
    drying: Sequence[Kept]
    storage: Sequence[Kept]

    def by_step(self, side: str) -> list[Array]:
        """Share kept by preparation, drying and storage; each (ingredients, components). [-]"""
        steps = (self.cooking, self.drying, self.storage)
        return [np.array([getattr(one, side) for one in kept]) for kept in steps]

    def together(self, side: str) -> Array:
        """Share kept by all steps, (ingredients, components): the steps err apart. [-]"""
        likely = [np.maximum(kept, LEAST_KEPT) for kept in self.by_step("likely")]
        product = np.prod(likely, axis=0)
        if side == "likely":
            return np.asarray(product)
        distances = [
            np.log(np.maximum(kept, LEAST_KEPT) / usual)
            for kept, usual in zip(self.by_step(side), likely, strict=True)
        ]
        distance = np.sqrt(np.sum(np.square(distances), axis=0))
        return np.asarray(product * np.exp(-distance if side == "low" else distance))


@dataclass(frozen=True)
class _Content:
    """What goes into the dryer: the ingredients' amounts, added salt, and all dry matter.

    ``cooked`` are the known amounts, NaN where the table has none; ``drawn_g`` how many grams of
    the fresh food are left, by component, of what is drawn from foods of its kind, 0 where nothing
    is.
    """

    cooked: Array
    drawn_g: Array
    salt: Array
    dry_matter_g: float


@dataclass(frozen=True)
class _Trace:
    """What ``DriedBatch.steps`` is made of, when somebody asks."""

    parts: _Ingredients
    losses: _Losses
    cooked: Array
    keys: Sequence[tuple[str, ...]]


def dry_batch(
    batch: Batch,
    table: FoodTable,
    *,
    draws: int = 0,
    seed: int = 0,
    unknown_scale: Array | None = None,
    lookup: RangeLookup = published_range,
) -> DriedBatch:
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
        Seed of the draws; the same plan and seed give the same digits. [-]
    unknown_scale : ndarray, optional
        Best estimate over mean of what is unknown, of the whole plan, shape (components,); left
        out: of the batch alone (``Contents.scale``). [-]
    lookup : callable
        Where drying ranges come from; other than ``published_range`` only to test the method.

    Returns
    -------
    DriedBatch
        Composition per 100 g dried with low, likely and high, and how it came about.

    Raises
    ------
    DryingError
        If masses and waters contradict each other, or a food's water is unknown.
    UnknownFoodError
        If a food is unknown or its name fits several.

    References
    ----------
    ``METHOD.md`` beside this file names the source of each step; the rows that a batch uses stand
    in its ``evidence``.
    """
    parts = _ingredients(batch, table, unknown_scale)
    losses, keys = _losses(batch, parts, lookup)
    content = _content(batch.preparation, parts, losses, table.salt_iodine or 0.0)
    end = end_point(batch, parts.classes, parts.solids_g, content.dry_matter_g)
    composition, drawn = _composition(batch, parts, losses, content, end, draws, seed)
    fresh_mass_g = float(parts.mass_g.sum())
    return DriedBatch(
        name=batch.name,
        food_class=parts.classes[int(np.argmax(parts.solids_g))].name,
        route=route_words(batch),
        fresh_mass_g=fresh_mass_g,
        dry_matter_g=content.dry_matter_g,
        dried_mass_g=end.dried_mass_g,
        water_frac=end.water_frac,
        water_removed_g=float(
            numbers(
                REMOVED,
                {"before": fresh_mass_g + batch.preparation.salt_g, "dried": end.dried_mass_g},
            )
        ),
        yield_frac=end.dried_mass_g / fresh_mass_g,
        moisture_source=end.source,
        composition=composition,
        draws=drawn,
        flags=_flags(batch, parts, losses),
        cautions=batch_cautions(
            batch,
            parts.foods,
            parts.classes,
            composition,
            end.water_frac,
            is_water_known=end.source != CLASS_DEFAULT,
        ),
        evidence=_evidence(parts, keys, is_stored=bool(batch.storage)),
        rehydration_water_g_per_100g=rehydration_water(
            1 - float(parts.solids_g.sum()) / fresh_mass_g, end.water_frac
        ),
        notes=(
            *batch_notes(batch, {kind.name for kind in parts.classes}, parts.codes),
            *end.notes,
        ),
        questions=end.questions,
        _trace=_Trace(parts, losses, _filled(parts, content), keys),
    )


def with_cautions(batch: DriedBatch, cautions: Iterable[Caution]) -> DriedBatch:
    """The batch with these cautions too, such as those of who eats it."""
    return replace(batch, cautions=ordered([*batch.cautions, *cautions]))


# ---------------------------------------------------------------- ingredients and preparation


def _ingredients(batch: Batch, table: FoodTable, unknown_scale: Array | None) -> _Ingredients:
    foods = tuple(table.resolve(part.food) for part in batch.ingredients)
    classes = tuple(map(_class_of, batch.ingredients, foods))
    contents = contents_of(foods, table)
    per_100g = contents.value
    for food, water in zip(foods, per_100g[:, _AT["WATER"]], strict=True):
        if np.isnan(water):
            raise DryingError(
                f'batch "{batch.name}": the table has no water content for {food.description} '
                f"({food.id}); name a food that has one"
            )
    mass_g = np.array([part.mass_g for part in batch.ingredients])
    if mass_g.sum() < _LEAST_MASS_G:
        raise DryingError(f'batch "{batch.name}": the ingredients weigh nothing')
    codes = tuple(
        part.retention_code
        or (
            None
            if kind.already_cooked
            else choose_code(kind.cooking_family, batch.preparation, float(values[_AT["FAT"]]))
        )
        for part, kind, values in zip(batch.ingredients, classes, per_100g, strict=True)
    )
    scale = contents.scale(mass_g) if unknown_scale is None else unknown_scale
    return _Ingredients(foods, classes, mass_g, contents, scale, codes)


def _class_of(part: Ingredient, food: Food) -> FoodClass:
    kind = food_class(food)
    is_cooked = kind.already_cooked or part.bought in READY_WHEN_BOUGHT
    return replace(kind, already_cooked=is_cooked)


def _losses(
    batch: Batch, parts: _Ingredients, lookup: RangeLookup
) -> tuple[_Losses, list[tuple[str, ...]]]:
    """What the steps keep, and the evidence keys of drying by ingredient and component."""
    # USDA's factors count from the raw food: what was cooked when bought is not cooked twice
    again = batch.preparation if batch.preparation.kind == "fermented" else _NOT_COOKED
    cooking = [
        cooking_kept(
            kind.cooking_family,
            again if kind.already_cooked and code is None else batch.preparation,
            code,
            float(values[_AT["FAT"]]),
        )
        for kind, code, values in zip(parts.classes, parts.codes, parts.per_100g, strict=True)
    ]
    # what straining and a rest leave is of the whole batch
    held = _sum_known(parts.fresh * np.array([kept.likely for kept in cooking]))
    mass_g = float(parts.mass_g.sum()) + batch.preparation.salt_g
    later = together(
        (
            strained_kept(batch.preparation, held, mass_g),
            rested_kept(batch.preparation.rested),
        )
    )
    cooking = [together((kept, later)) for kept in cooking]
    by_class = {
        kind: drying_kept(
            kind.name,
            batch.preparation,
            batch.drying,
            already_cooked=kind.already_cooked,
            lookup=lookup,
        )
        for kind in dict.fromkeys(parts.classes)
    }
    drying = [
        with_retinol(by_class[kind][0], values)
        for kind, values in zip(parts.classes, parts.per_100g, strict=True)
    ]
    stored = kept_before(batch.storage)
    storage = [with_retinol(stored, values) for values in parts.per_100g]
    losses = _Losses(cooking, drying, storage)
    return losses, [by_class[kind][1] for kind in parts.classes]


def _content(
    preparation: Preparation, parts: _Ingredients, losses: _Losses, salt_iodine: float
) -> _Content:
    fresh = parts.fresh
    kept = np.array([one.likely for one in losses.cooking])
    cooked = _cooked(fresh, kept, preparation)
    solids_g = parts.solids_g - _solids_lost(fresh, cooked)
    drawn_g = np.where(parts.contents.is_drawn, parts.mass_g[:, None] * kept, 0.0)
    drawn_g[:, _AT["SUGAR"]] *= 1 - (preparation.sugars_used_percent or 0.0) / 100
    dry_matter_g = float(solids_g.sum()) + salt_left_g(preparation)
    return _Content(cooked, drawn_g, _salt(preparation, salt_iodine), dry_matter_g)


def _drawn_likely(parts: _Ingredients, content: _Content) -> Array:
    """Best estimate of what is drawn of each ingredient into the dryer; 0 where nothing is."""
    return np.asarray(content.drawn_g * parts.contents.mean * parts.scale / 100)


def _filled(parts: _Ingredients, content: _Content) -> Array:
    """What goes into the dryer of each ingredient, known or drawn; NaN where neither."""
    return np.where(parts.contents.is_drawn, _drawn_likely(parts, content), content.cooked)


def _cooked(fresh: Array, kept: Array, preparation: Preparation) -> Array:
    """Amounts of the ingredients that go into the dryer; without added salt."""
    cooked = fresh * kept
    sugar, carbohydrate, energy = _AT["SUGAR"], _AT["CHOCDF"], _AT["ENERC_KCAL"]
    cooked[:, carbohydrate] = fresh[:, carbohydrate] - np.nan_to_num(
        fresh[:, sugar] - cooked[:, sugar]
    )
    if preparation.sugars_used_percent:
        # Acids made of the sugar count as carbohydrate by difference; what left as gas does not.
        cooked[:, carbohydrate] -= _fermented_away(cooked, preparation)
        cooked[:, sugar] *= 1 - preparation.sugars_used_percent / 100
    # The table's own energy goes with the general factors' where solids are lost.
    before, after = (
        sum(factor * np.nan_to_num(side[:, _AT[tag]]) for tag, factor in ATWATER_KCAL_PER_G.items())
        for side in (fresh, cooked)
    )
    share = np.divide(after, before, out=np.ones(len(fresh)), where=np.asarray(before) > 0)
    cooked[:, energy] = fresh[:, energy] * share
    return np.asarray(cooked)


def _salt(preparation: Preparation, iodine_ug_per_g: float) -> Array:
    """What the added salt that stays brings. [component units]"""
    out = np.zeros(len(TAGS))
    salt_g = salt_left_g(preparation)
    for tag, mg_per_g in _SALT_MG.items():
        out[_AT[tag]] = salt_g * mg_per_g
    out[_AT["ASH"]] = salt_g
    out[_AT["ID"]] = salt_g * iodine_ug_per_g
    return out


def _fermented_away(amounts: Array, preparation: Preparation) -> Array:
    """Sugar that fermenting turned into gas and alcohol, by ingredient. [g]"""
    used = (preparation.sugars_used_percent or 0.0) / 100
    return np.asarray(np.nan_to_num(amounts[:, _AT["SUGAR"]]) * used * _FERMENTED_SUGAR_GONE)


def _solids_lost(fresh: Array, cooked: Array) -> Array:
    """Dry matter poured off, by ingredient. [g]"""
    lost = np.zeros(len(fresh))
    for tag in _SOLIDS:
        lost += np.maximum(np.nan_to_num(fresh[:, _AT[tag]] - cooked[:, _AT[tag]]), 0.0)
    return lost


# ---------------------------------------------------------------- composition and its range


def _sum_known(amounts: Array) -> Array:
    """Sum over ingredients of what is known; NaN where nothing is."""
    total = np.nansum(amounts, axis=0)
    total[np.isnan(amounts).all(axis=0)] = np.nan
    return np.asarray(total)


def _per_100g(content: _Content, water_frac: float | Array) -> Any:
    """What 100 g dried hold over what the whole dry matter holds. [1/g]"""
    return numbers(PER_100_G_DRIED, {"matter": content.dry_matter_g, "water": water_frac})


def _composition(
    batch: Batch,
    parts: _Ingredients,
    losses: _Losses,
    content: _Content,
    end: EndPoint,
    draws: int,
    seed: int,
) -> tuple[pd.DataFrame, Array | None]:
    """Low, likely, high and what they rest on per 100 g dried, and the draws.

    Amounts go by dry matter: the water left and the content of the dry matter vary apart.
    """
    _, dried, stored = losses.by_step("likely")
    later = dried * stored
    amounts = _filled(parts, content) * later
    per_100g = _per_100g(content, end.water_frac)
    of_foods, added = _sum_known(amounts) * per_100g, content.salt * per_100g
    is_salted = content.salt > 0
    likely = np.where(is_salted, np.nan_to_num(of_foods) + added, of_foods)
    drawn: Array | None = None
    if draws:
        samples = _drawn(batch, parts, losses, content, end, draws, seed)
        samples[np.isnan(likely)] = np.nan
        low, high = ends(samples, axis=1)
        low, high = np.fmin(low, likely), np.fmax(high, likely)
        drawn = samples.T.astype(float)
    else:
        # the 5th and 95th percentile of what is anything from none to twice the likely salt
        salt = (1.0, 1.0) if _is_salt_sure(batch) else (0.1, 1.9)
        low, high = (
            np.where(is_salted, np.nan_to_num(share * of_foods) + part * added, share * of_foods)
            for share, part in zip(
                _propagated(amounts, parts.contents.spread, losses, end), salt, strict=True
            )
        )
    known, accounted = (
        (is_told * parts.mass_g[:, None]).sum(axis=0) / parts.mass_g.sum()
        for is_told in (~np.isnan(content.cooked), ~np.isnan(amounts))
    )
    span = Z95 * end.water_sd
    water = (max(end.water_frac - span, 0.0), end.water_frac, end.water_frac + span)
    for side, share in zip((low, likely, high), water, strict=True):
        side[_AT["WATER"]] = 100 * share
        side[_AT["NIAEQ"]] = np.nan
    for shares in (known, accounted):
        shares[_AT["WATER"]], shares[_AT["NIAEQ"]] = 1.0, 0.0
    frame = pd.DataFrame(
        {
            "low": low,
            "likely": likely,
            "high": high,
            "known_share": known,
            "accounted_share": accounted,
            "drawn": (_drawn_likely(parts, content) * later).sum(axis=0) * per_100g,
            "borrowed": np.nansum(amounts * parts.contents.is_borrowed, axis=0) * per_100g,
        },
        index=_INDEX,
    )
    return frame, drawn


def _is_salt_sure(batch: Batch) -> bool:
    """Whether all the added salt stays; poured-off liquid takes an unknown part along."""
    return salt_left_g(batch.preparation) == batch.preparation.salt_g


def _propagated(
    amounts: Array, log_sd: Array, losses: _Losses, end: EndPoint
) -> tuple[Array, Array]:
    """Low and high as shares of likely, without draws. [-]

    Ingredients vary apart; what cooking, drying and storage keep errs together over ingredients.
    """
    known = np.nan_to_num(amounts)
    total = known.sum(axis=0)
    weight = np.divide(known, total, out=np.zeros_like(known), where=total > 0)
    composition = ((weight * log_sd) ** 2).sum(axis=0)
    variances = Z95**2 * (composition + (end.water_sd / (1 - end.water_frac)) ** 2)
    likely = losses.by_step("likely")
    sides = []
    for side, sign in (("low", -1), ("high", 1)):
        squares = variances.copy()
        for kept, usual in zip(losses.by_step(side), likely, strict=True):
            ratio = np.log(np.maximum(kept, LEAST_KEPT) / np.maximum(usual, LEAST_KEPT))
            squares += (weight * ratio).sum(axis=0) ** 2
        # The table's value lies above the median of what a food may hold.
        sides.append(np.exp(sign * np.sqrt(squares) - composition * BELOW_RECORD))
    return sides[0], sides[1]


def _drawn(
    batch: Batch,
    parts: _Ingredients,
    losses: _Losses,
    content: _Content,
    end: EndPoint,
    draws: int,
    seed: int,
) -> Deviates:
    """Draws per 100 g dried, (components, draws).

    Streams are named by cause: equal causes err together, and so do a family's components.
    """
    total = np.repeat(content.salt.astype(np.float32)[:, None], draws, axis=1)
    if not _is_salt_sure(batch):
        stream = np.random.default_rng((seed, crc32(f"salt {batch.name}".encode())))
        total *= stream.random(draws, dtype=np.float32) * 2
    if content.salt[_AT["ID"]] > 0:
        z = normal_deviates("iodine in salt", seed, (1, draws))[0]
        total[_AT["ID"]] *= np.exp(z * np.float32(salt_iodine_log_sd()))
    in_families = np.flatnonzero(FAMILY_PLACES >= 0)
    families: dict[str, Deviates] = {}
    for row, kind in enumerate(parts.classes):
        amount = parts.contents.known_draws(row, content.cooked[row], draws, seed)
        unknown = parts.contents.unknown_draws(row, draws, seed)
        amount += (content.drawn_g[row][:, None] / 100 * unknown).astype(np.float32)
        cooking = losses.cooking[row]
        lost = np.flatnonzero(cooking.likely < 1)
        if lost.size:
            z = normal_deviates(f"cooking {parts.codes[row]}", seed, (lost.size, draws))
            # What cooking likely keeps is in ``cooked`` already.
            likely = np.maximum(cooking.likely[lost], 1e-9).astype(np.float32)[:, None]
            amount[lost] *= cooking.only(lost).draws(z) / likely
        for kept, key in (
            (losses.drying[row], f"drying {kind.name} {batch.drying.method}"),
            (losses.storage[row], STORAGE_CAUSE),
        ):
            lossy = in_families[kept.likely[in_families] < 1]
            if lossy.size:
                if key not in families:
                    families[key] = normal_deviates(key, seed, (FAMILY_COUNT, draws))
                amount[lossy] *= kept.only(lossy).draws(families[key][FAMILY_PLACES[lossy]])
        total += amount
    z = normal_deviates(f"moisture {batch.name}", seed, (1, draws))[0]
    water = np.clip(end.water_frac + end.water_sd * z, 0.0, 0.99)
    total *= _per_100g(content, water).astype(np.float32)
    total[_AT["WATER"]] = 100 * water
    total[_AT["NIAEQ"]] = np.nan
    return total


# ---------------------------------------------------------------- what goes beside the figures


def _evidence(
    parts: _Ingredients, keys: Sequence[tuple[str, ...]], *, is_stored: bool
) -> tuple[str, ...]:
    """Short citations of all figures used for components that the batch holds."""
    out = []
    if codes := sorted({code for code in parts.codes if code}):
        out.append(
            f"USDA Table of Nutrient Retention Factors, Release 6 (2007), code {', '.join(codes)}"
        )
    used: dict[str, None] = {}  # in order
    for of_food, amounts in zip(keys, parts.per_100g, strict=True):
        used |= dict.fromkeys(of_food[place] for place in np.flatnonzero(amounts > 0))
    for one in used:
        out += citations(one)
    if is_stored:
        out.append(
            "storage: trials of dried foods kept for weeks to years, listed by nutricheck sources "
            "storage_trials"
        )
    return tuple(dict.fromkeys(out))


def _flags(batch: Batch, parts: _Ingredients, losses: _Losses) -> pd.DataFrame:
    """The flags, by what is kept over all ingredients together."""
    fresh = np.nan_to_num(parts.fresh)
    before = fresh.sum(axis=0)
    before[before <= 0] = np.nan
    steps = [(fresh * kept).sum(axis=0) / before for kept in losses.by_step("likely")]
    total = [(fresh * losses.together(side)).sum(axis=0) / before for side in _SIDES]
    flags = loss_flags(batch, np.array(steps), np.array(total))
    if makes_vitamin_d(batch, {kind.name for kind in parts.classes}):
        flags = flags[~flags["component"].isin(("VITD", "VITD_IU"))].reset_index(drop=True)
    return flags


def _steps(trace: _Trace) -> pd.DataFrame:
    parts = trace.parts
    count = len(TAGS)

    def per_food(values: Sequence[object]) -> npt.NDArray[np.object_]:
        return np.repeat(np.array(values, dtype=object), count)

    columns: dict[str, object] = {
        "ingredient": per_food([food.description for food in parts.foods]),
        "food_id": per_food([food.id for food in parts.foods]),
        "component": np.tile(np.array(TAGS, dtype=object), len(parts.foods)),
        "mass_g": np.repeat(parts.mass_g, count),
        "per_100g": parts.filled.ravel(),
        "is_drawn": parts.contents.is_drawn.ravel(),
        "retention_code": per_food([code or "" for code in parts.codes]),
    }
    for side in _SIDES:
        cooking, drying, storage = trace.losses.by_step(side)
        if side == "likely":
            columns["cooking_retention"] = cooking.ravel()
            columns["amount"] = (trace.cooked * drying * storage).ravel()
        dried, stored, kept = _STEP_COLUMNS[side]
        columns[dried] = drying.ravel()
        columns[stored] = storage.ravel()
        columns[kept] = trace.losses.together(side).ravel()
    columns["evidence"] = np.concatenate([np.array(one, dtype=object) for one in trace.keys])
    return pd.DataFrame(columns)
