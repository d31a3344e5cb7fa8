"""Drying evidence worked into tables: spread between related records, retention ranges.

Both tables that nutricheck uses, ``composition_spread`` and ``drying_ranges``, come from here and
from nothing else, so that anybody can make them again: ``nutricheck-data fit-drying``. The rules
are stated in nutricheck/drying/METHOD.md. The ranges of one pair can be left out, which is how
``verify-drying`` tests them.
"""

from __future__ import annotations

import csv
import io
import itertools
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

import numpy as np
import numpy.typing as npt

from nutricheck.drying.balance import apparent_retention
from nutricheck.drying.classes import food_class
from nutricheck.drying.retention import CLASS_GROUPS, FAMILIES, ROUTE_GROUPS, Range
from nutricheck.drying.spread import DRY_MATTER, FATTY_ACIDS, KINGDOMS, MINERALS, PROXIMATES
from nutricheck.errors import SourceError, shorten
from nutricheck.facts import evidence
from nutricheck.facts.components import tags
from nutricheck.foods import Food
from nutricheck.ranges import SDS_OF_RANGE, Z95

from .dataset import Dataset
from .evidence_files import write_rows

if TYPE_CHECKING:
    import pandas as pd

__all__ = [
    "Evidence",
    "Pair",
    "Records",
    "composition_spread",
    "fit_range",
    "fitted_ranges",
    "pair_evidence",
    "read_pairs",
    "records",
    "related_differences",
    "study_evidence",
    "with_records",
    "write_tables",
]

Array = npt.NDArray[np.float64]

# ---------------------------------------------------------------- the rules' numbers (METHOD.md)

#: Weight of evidence from the same group, a related one, and any other. [-]
SAME, RELATED, OTHER = 1.0, 0.45, 0.17
#: The same of food groups for vitamin C, whose loss hangs on a food's own acid and enzymes, and of
#: routes: what freezing keeps of it tells next to nothing of warm air. [-]
RELATED_VITC, OTHER_VITC, OTHER_ROUTE_VITC = 0.3, 0.1, 0.03
#: Weight where only one of the two foods was heated before drying. [-]
OTHER_PREPARATION = 0.6
#: The same for vitamin C, whose enzyme blanching stops and whose cells it opens. [-]
OTHER_PREPARATION_VITC = 0.1
#: Weight of a trial of vitamin C with grams of food in a laboratory dryer, or of contents that may
#: count water, which makes them too high. [-]
UNLIKE_HOME = 0.1
_RELATED_ROUTES = {
    frozenset(pair)
    for pair in (("hot", "sun"), ("sun", "shade"), ("hot", "shade"), ("hot", "spray"))
}
# Carotenoids die of light more than of air and time: to them the sun is no kin of the shade.
_SUN_AND_SHADE, _LIGHT_SENSITIVE = frozenset({"sun", "shade"}), ("CARTB", "LYCPN")
#: A share at or below this counts as "all lost", as do records that print zero. [-]
ALL_LOST = 0.02
#: Standard deviation of ln(share kept) in a study: analysis and sampling of one batch. [-]
STUDY_LOG_SD = 0.10
#: Least and most standard deviation of ln(share kept) taken for a pair of records. [-]
PAIR_LOG_SD = (0.2, 0.6)
_PAIR_DEGREES_OF_FREEDOM = 4  # Student's t: pairs hold outliers
#: The spread between records of a kind is not taken wider than this before the factors below (3.7
#: times either way at 90 %): beyond, the records are different foods, such as white and orange
#: carrots. [-]
MOST_LOG_SD = 0.8
#: The same for minerals, which differ as much between soils, waters and salts. [-]
MOST_MINERAL_LOG_SD = 1.0
#: By how much the spread between related records is widened or narrowed, so that ranges of SR28's
#: own 79 fresh and dried pairs score best (interval score, in steps of about a tenth). [-]
PAIRS_FACTOR = {
    **{"PROCNT": 0.95, "FAT": 1.1, "ASH": 1.4, "THIA": 1.25, "RIBF": 1.1, "VITB6A": 1.2},
    **{"CHOLN": 1.2, "CA": 1.1, "FE": 1.1, "MG": 0.85, "CU": 0.85, "MN": 0.85},
}
#: The same where the kingdoms ask for different ones, and either half of SR28's pairs is foretold
#: better by the factor of the other half than by the common one. Selenium of plants is that of
#: their soil, of animals that of their feed, which is mixed. [-]
PAIRS_FACTOR_OF_KINGDOM = {
    ("SE", "plant"): 1.8,
    ("SE", "seed"): 1.8,
    ("ASH", "plant"): 0.85,
    ("ASH", "dairy"): 1.0,
    ("FAT", "plant"): 1.0,
    ("K", "dairy"): 0.75,
    ("PROCNT", "dairy"): 0.7,
}
#: Protein of seeds by what bags of peas vary by: 149 growers' samples held 19 to 30 % (Montana
#: State University, land resources, 2013-2016), 132 means of cultivar and field 14.5 to 27.8 % of
#: the dry matter (Can J Plant Sci 98:1188, 2018): standard deviations of 9 to 13 % of it. A little
#: more is taken, for the record's own samples; here of the odds. [-]
PROTEIN_OF_SEEDS_LOG_SD = 0.20
#: Share of the differences between related records that the spread is to hold. [-]
_SPREAD_SHARE = 0.9
_FEWEST_KINDS = 3
_DAIRY_AND_EGG = "0100"
_DAIRY_NAMES = ("Milk, ", "Egg, ", "Cheese, ", "Yogurt, ", "Cream, ", "Butter, ")
_DAIRY_ANALYSES, _FEWEST_DAIRY = 6, 5
# Where a kingdom has too few kinds, whose spread it takes.
_NEXT_OF_KIN = {
    "plant": ("seed", "animal", "dairy"),
    "seed": ("plant", "animal", "dairy"),
    "animal": ("dairy", "plant", "seed"),
    "dairy": ("animal", "plant", "seed"),
}
_ANALYSED = frozenset({"1", "6", "12", "13"})  # SRC_CD: analytical or derived from analytical data
# Sums and differences that carry no number of analyses of their own.
_OWN_DERIVATION = frozenset({"A", "AR", "AS", "NC"})  # DERIV_CD: analysed or calculated from it
_CALCULATED = frozenset({"CHOCDF", "ENERC_KCAL", "VITA_RAE", "FASAT", "FAMS", "FAPU", "TRP"})

# Spread is taken over from another component, see nutricheck.drying.spread.
_NOT_SPREAD = {"ALC", "CAFFN", "FD", "VITA_IU", "VITD_IU", "FOLFD", "FOLDFE", "FOLAC"}

# Records of dried goods have lain in shops for months, which vitamin C does not stand: what drying
# at home keeps of it goes by trials alone, and records are predicted with a shelf stage. The others
# are other expressions of a value that is there.
_NOT_BY_RECORDS = {"VITC", "FOLDFE", "FOLFD", "VITA_RAE", "VITA_IU", "VITD_IU"}

# Grid of the log-normal loss exponent: median and spread over foods and practices.
_MEDIAN = np.linspace(np.log(0.004), np.log(9.0), 46)
_SPREAD = np.array([0.15, 0.25, 0.35, 0.5, 0.65, 0.8, 1.0, 1.25, 1.5])
# Evenly spaced and close: a trial's error of 0.1 is far narrower than the spread over foods, and a
# few Gauss-Hermite nodes step over its likelihood.
_NODES = np.linspace(-4.5, 4.5, 401)
_NODE_WEIGHTS = np.exp(-0.5 * _NODES**2) / np.exp(-0.5 * _NODES**2).sum()
_EXPONENT = np.exp(_MEDIAN[:, None, None] + _SPREAD[None, :, None] * _NODES)
# Weak prior: a loss exponent near 0.25 (78 % kept), within a factor 19 either way at 95 %. Four
# families start lower: dried records of many tables keep a tenth of the vitamin C after months in
# shops, a fifth before them by the rates of storage; and a review against 113 pairs of ten tables
# that we have not seen found folate, pantothenic acid and riboflavin put too high (published over
# likely 0.76, 0.58, 0.80).
_PRIOR_EXPONENT = {"VITC": 1.6, "FOL": 0.7, "PANTAC": 0.5, "RIBF": 0.35}


def _log_prior(family: str) -> Array:
    middle = np.log(_PRIOR_EXPONENT.get(family, 0.25))
    return np.asarray(
        -0.5 * ((_MEDIAN - middle) / 1.5)[:, None] ** 2 - 0.5 * (_SPREAD / 0.8)[None, :] ** 2
    )


_FINE = np.linspace(-3.2, 3.2, 129)
_FINE_WEIGHTS = np.exp(-0.5 * _FINE**2) / np.exp(-0.5 * _FINE**2).sum()
_LOG_EXPONENT = (_MEDIAN[:, None, None] + _SPREAD[None, :, None] * _FINE).ravel()
_ORDER = np.argsort(_LOG_EXPONENT)


# ---------------------------------------------------------------- records of a dataset


@dataclass(frozen=True)
class Records:
    """A dataset as tables: food id × tag; ``is_analysed`` tells found from imputed."""

    foods: Mapping[str, Food]
    value: pd.DataFrame
    standard_error: pd.DataFrame
    analyses: pd.DataFrame
    is_analysed: pd.DataFrame


def records(data: Dataset) -> Records:
    """The dataset's amounts of the components that nutricheck reports, as tables."""
    import pandas as pd

    amounts = data.amounts
    error, basis = amounts.standard_error, amounts.basis
    if error is None or basis is None:
        raise SourceError(
            f"{data.source.title} {data.source.release} has no source codes and standard errors; "
            "give SR28's full text files, not the abbreviated ones"
        )
    analyses = np.array([row.analyses or 0 for row in data.bases])[basis]
    is_found = np.array([row.source_code in _ANALYSED for row in data.bases])[basis]
    is_own = np.array([row.derivation_code in {*_OWN_DERIVATION, None} for row in data.bases])[
        basis
    ]
    ids = [food.food_id for food in data.foods]
    component_tags = [component.tag for component in data.components]
    columns = [tag for tag in tags() if tag in component_tags]
    places = [component_tags.index(tag) for tag in columns]
    is_calculated = np.array([tag in _CALCULATED for tag in component_tags])
    analysed = (is_found & (analyses >= 1)) | (is_calculated[amounts.component] & is_own)
    shape = (len(ids), len(component_tags))

    def table(
        column: npt.NDArray[np.floating] | npt.NDArray[np.bool_], blank: float | bool
    ) -> pd.DataFrame:
        cells = np.full(shape, blank)
        cells[amounts.food, amounts.component] = column
        return pd.DataFrame(cells[:, places], index=pd.Index(ids, name="food_id"), columns=columns)

    value = table(amounts.value, np.nan)
    foods = {
        food.food_id: Food(
            food.food_id,
            food.description,
            food.group_code,
            data.groups.get(food.group_code, ""),
            float(value.at[food.food_id, "WATER"]),
        )
        for food in data.foods
    }
    return Records(
        foods,
        value,
        table(error, np.nan),
        table(analyses.astype(float), np.nan),
        table(analysed, False),
    )


def with_records(data: Records, path: Path) -> Records:
    """The dataset and the foods of another table, from a CSV file with one line per food.

    Columns: ``food_id``, ``description``, ``group_code`` (of SR28, for the food's class),
    ``analysed`` ("yes": all values were found by analysis) and tagnames; an empty cell is unknown.
    Raises SourceError naming the file's line.
    """
    import pandas as pd

    lines = _csv_lines(path)
    head = lines[0] if lines else {}
    named = ("food_id", "description", "group_code", "WATER")
    if missing := [name for name in named if name not in head]:
        raise SourceError(f"{path}: no column {missing[0]}; expected {', '.join(named)}, …")
    cells: dict[str, list[float]] = {}
    for number, line in enumerate(lines, start=2):
        if missing := [name for name in named if not line[name]]:
            raise SourceError(f"{path}:{number}: no {missing[0]}")
        if line["food_id"] in cells or line["food_id"] in data.foods:
            raise SourceError(
                f"{path}:{number}: food_id {shorten(line['food_id'])} is taken; give another"
            )
        try:
            row = [float(line.get(tag) or "nan") for tag in data.value.columns]
        except ValueError as error:
            raise SourceError(f"{path}:{number}: {error}; expected a number or nothing") from None
        if any(amount < 0 or amount == np.inf for amount in row):
            raise SourceError(f"{path}:{number}: an amount below zero or without end")
        cells[line["food_id"]] = row
    value = pd.DataFrame.from_dict(cells, orient="index", columns=data.value.columns)
    foods = {
        line["food_id"]: Food(
            line["food_id"],
            line["description"],
            line["group_code"],
            "",
            value.at[line["food_id"], "WATER"],
        )
        for line in lines
    }
    is_analysed = value.notna() & np.array([[line.get("analysed") == "yes"] for line in lines])
    return Records(
        {**data.foods, **foods},
        pd.concat([data.value, value]),
        data.standard_error.reindex([*data.value.index, *value.index]),
        data.analyses.reindex([*data.value.index, *value.index]),
        pd.concat([data.is_analysed, is_analysed]),
    )


def _csv_lines(path: Path) -> list[dict[str, str]]:
    try:
        return list(csv.DictReader(io.StringIO(path.read_text(encoding="utf-8-sig"))))
    except UnicodeDecodeError:
        raise SourceError(f"{path}: is not UTF-8 text; save it as UTF-8 CSV") from None


# ---------------------------------------------------------------- spread between related records


def _related(data: Records) -> dict[tuple[str, str], tuple[Array, Array, int]]:
    """Differences of ln(content) between records of one kind, their weights and the kinds' number.

    By component and kingdom; on dry matter (fatty acids: on fat; proximates: the odds of their
    share of the dry matter), from found values; from all where found ones compare fewer than half
    of the kinds, since the table's value is then an imputed one more often than not.
    """
    kinds: dict[tuple[str, str], list[str]] = {}
    for row in evidence.rows("related_records"):
        kinds.setdefault((row["kingdom"], row["kind"]), []).append(row["food_id"])
    named = data.value.index.intersection([food_id for ids in kinds.values() for food_id in ids])
    is_analysed = data.is_analysed.loc[named]
    out = {}
    for tag, content in _contents(data.value.loc[named]).items():
        found = content.where(is_analysed["WATER" if tag == DRY_MATTER else tag])
        for kingdom in ("plant", "seed", "animal"):
            of_kingdom = [ids for (of, _), ids in kinds.items() if of == kingdom]
            by_found, by_all = (_differences(one, of_kingdom) for one in (found, content))
            out[tag, kingdom] = by_found if 2 * by_found[2] >= by_all[2] else by_all
    return out


def _contents(value: pd.DataFrame) -> dict[str, pd.Series[float]]:
    """What records are compared by: food id → content, by component."""
    dry = 1 - value["WATER"] / 100
    per_fat = dict.fromkeys(FATTY_ACIDS, value["FAT"])
    contents = {
        str(tag): value[tag] / per_fat.get(str(tag), dry) for tag in value if tag not in _NOT_SPREAD
    }
    for tag in PROXIMATES:
        share = (contents[tag] / 100).clip(upper=0.999)
        contents[tag] = share / (1 - share)
    return contents | {"WATER": value["WATER"], DRY_MATTER: dry}


def _differences(
    content: pd.Series[float], kinds: Sequence[Sequence[str]]
) -> tuple[Array, Array, int]:
    """Differences of ln(content) within kinds, their weights, and how many kinds have any.

    Each kind counts by its records, but as five at most; two equal values are one value copied.
    """
    logs_of = np.log(content[content > 0]).to_dict()
    gaps: list[float] = []
    weights: list[float] = []
    count = 0
    for ids in kinds:
        logs = [logs_of[food_id] for food_id in ids if food_id in logs_of]
        pairs = [abs(a - b) for a, b in itertools.combinations(logs, 2) if a != b]
        if pairs:
            count += 1
            gaps += pairs
            weights += [min(len(logs) - 1, 4) / len(pairs)] * len(pairs)
    return np.array(gaps), np.array(weights), count


def related_differences(data: Records) -> dict[str, float]:
    """Median difference between fresh records of one kind, plants, by component. [-]"""
    return {
        tag: float(np.expm1(_weighted_quantile(gaps, weights, 0.5)))
        for (tag, kingdom), (gaps, weights, count) in _related(data).items()
        if kingdom == "plant" and count >= _FEWEST_KINDS
    }


def _dairy_spread(data: Records) -> dict[str, tuple[float, int]]:
    """Spread between the samples of a dairy or egg record, and the number of such records.

    Milk and eggs are pooled from many animals before anyone dries them, so that a batch differs
    from the record as its samples do: nine in ten records scatter no more than this. From standard
    error and number of analyses, six or more.
    """
    ids = [
        food_id
        for food_id, food in data.foods.items()
        if food.group_code == _DAIRY_AND_EGG and food.description.startswith(_DAIRY_NAMES)
    ]
    value, count = data.value.loc[ids], data.analyses.loc[ids]
    relative = (data.standard_error.loc[ids] * np.sqrt(count) / value).where(
        (count >= _DAIRY_ANALYSES) & (value > 0) & (data.standard_error.loc[ids] > 0)
    )
    dry = 100 - value["WATER"]
    for tag in PROXIMATES:
        relative[tag] /= 1 - (value[tag] / dry).clip(upper=0.999)
    relative[DRY_MATTER] = relative["WATER"] * value["WATER"] / dry
    out = {}
    for tag in relative:
        spread = np.sqrt(np.log1p(relative[tag].dropna() ** 2))
        if len(spread) >= _FEWEST_DAIRY and tag not in _NOT_SPREAD:
            out[str(tag)] = (float(spread.quantile(_SPREAD_SHARE)), len(spread))
    return out


def composition_spread(data: Records) -> list[dict[str, str]]:
    """Spread about a record, per component and kingdom.

    Plants, seeds and animals: 90 % of the pairs of records of one kind differ by no more than Z95
    standard deviations. Dairy and eggs: between the samples of one record.
    """
    found: dict[tuple[str, str], tuple[float, int]] = {
        (tag, kingdom): (_weighted_quantile(gaps, weights, _SPREAD_SHARE) / Z95, count)
        for (tag, kingdom), (gaps, weights, count) in _related(data).items()
        if count >= _FEWEST_KINDS
    }
    found |= {(tag, "dairy"): pair for tag, pair in _dairy_spread(data).items()}
    order = [*tags(), DRY_MATTER]
    out = []
    for tag in sorted({tag for tag, _ in found}, key=order.index):
        most = MOST_MINERAL_LOG_SD if tag in MINERALS else MOST_LOG_SD
        for kingdom, others in _NEXT_OF_KIN.items():
            of = next(one for one in (kingdom, *others) if (tag, one) in found)
            spread, count = found[tag, of]
            factor = PAIRS_FACTOR_OF_KINGDOM.get((tag, kingdom), PAIRS_FACTOR.get(tag, 1.0))
            if (tag, kingdom) == ("PROCNT", "seed"):
                factor = PROTEIN_OF_SEEDS_LOG_SD / spread
            out.append(
                {
                    "component": tag,
                    "kingdom": kingdom,
                    "log_sd": f"{min(spread, most) * factor:.2f}",
                    "uncapped": f"{spread:.2f}",
                    "pairs_factor": f"{factor:.2f}",
                    "records": str(count),
                    "taken_from": "" if of == kingdom else of,
                }
            )
    return out


def _weighted_quantile(values: Array, weights: Array, share: float) -> float:
    order = np.argsort(values, kind="stable")
    below = np.cumsum(weights[order]) / weights.sum()
    return float(values[order][min(int(np.searchsorted(below, share)), len(values) - 1)])


# ---------------------------------------------------------------- evidence of retention


class Pair(NamedTuple):
    """A fresh and a dried record of one food, and how the dried one was made."""

    fresh_id: str
    dried_id: str
    preparation: str
    method: str
    not_used: str = ""
    note: str = ""


@dataclass(frozen=True)
class Evidence:
    """One published share kept, with the standard deviation of its logarithm."""

    key: str
    family: str
    class_group: str
    realm: str
    route_group: str
    is_heated: bool
    kept: float
    log_sd: float
    weight: float
    food_ids: frozenset[str]
    log_likelihood: Array

    @property
    def is_pair(self) -> bool:
        """Whether it comes from two composition records and not from one batch."""
        return bool(self.food_ids)


def read_pairs(path: Path | None = None, *, name: str = "drying_pairs") -> list[Pair]:
    """The pairs of an evidence table, or of a CSV file with the same columns.

    ``not_used`` and ``note`` may be left out. Raises SourceError naming the file's row.
    """
    wanted = ("fresh_id", "dried_id", "preparation", "method")
    if path is None:
        rows: Iterable[Mapping[str, str | None]] = evidence.rows(name)
    else:
        rows = _csv_lines(path)
    pairs = []
    for number, row in enumerate(rows, start=2):
        place = f"{path or name + '.csv'}:{number}"
        cells = {name: (row.get(name) or "").strip() for name in (*wanted, "not_used", "note")}
        if missing := [name for name in wanted if not cells[name]]:
            raise SourceError(f"{place}: no {missing[0]}; expected the columns {', '.join(wanted)}")
        if cells["method"] not in ROUTE_GROUPS:
            raise SourceError(
                f"{place}: method {shorten(cells['method'])}; expected {', '.join(ROUTE_GROUPS)}"
            )
        if cells["preparation"] not in {"raw", "boiled", "steamed", "sulphited"}:
            raise SourceError(
                f"{place}: preparation {shorten(cells['preparation'])}; "
                "expected raw, boiled, steamed, sulphited"
            )
        ids = [cells[name].zfill(5) for name in ("fresh_id", "dried_id")]
        pairs.append(
            Pair(*ids, *(cells[name] for name in ("preparation", "method", "not_used", "note")))
        )
    if not pairs:
        raise SourceError(f"{path or name + '.csv'}: holds no pairs")
    return pairs


def _likelihood(kept: float, log_sd: float, is_pair: bool) -> Array:
    """Log-likelihood of a share kept over the grid of medians and spreads."""
    if kept <= ALL_LOST:
        # All that is known is that at most this much was kept: a smooth step.
        z = (np.log(ALL_LOST) + _EXPONENT) / log_sd
        density = 1 / (1 + np.exp(np.clip(-1.702 * z, -60, 60)))
    else:
        z = (np.log(kept) + _EXPONENT) / log_sd
        nu = _PAIR_DEGREES_OF_FREEDOM
        density = (1 + z * z / nu) ** (-(nu + 1) / 2) if is_pair else np.exp(-0.5 * z * z)
        density = density / log_sd
    return np.asarray(np.log(np.maximum((density * _NODE_WEIGHTS).sum(axis=-1), 1e-6)))


#: Width of a study's range in standard deviations: of two decimals, as the table was made. [-]
_SDS_OF_STUDY = round(SDS_OF_RANGE, 2)


def study_evidence() -> list[Evidence]:
    """Evidence from studies and from USDA's one published drying factor."""
    out = []
    for row in evidence.rows("drying_studies"):
        if row["use"] != "yes":
            continue
        ends = [float(row["low"]) / 100, float(row["high"]) / 100]
        log_sd = max(STUDY_LOG_SD, float(np.log(ends[1] / ends[0])) / _SDS_OF_STUDY)
        kept = min(sum(ends) / 2, 1.0)
        is_unlike = bool(row["setting"]) and row["component"] == "VITC"
        out.append(
            Evidence(
                key=row["key"],
                family=FAMILIES[row["component"]],
                class_group=CLASS_GROUPS.get(row["food_class"], "mixed"),
                realm=_realm(row["food_class"]),
                route_group=ROUTE_GROUPS[row["method"]],
                is_heated=row["preparation"] in {"blanched", "cooked"},
                kept=kept,
                log_sd=log_sd,
                weight=UNLIKE_HOME if is_unlike else 1.0,
                food_ids=frozenset(),
                log_likelihood=_likelihood(kept, log_sd, False),
            )
        )
    return out


def pair_evidence(
    data: Records, pairs: Sequence[Pair], spread: Mapping[tuple[str, str], float]
) -> list[Evidence]:
    """Evidence from pairs of records, where both values were found by analysis.

    ``spread`` gives the standard deviation between related records by component and kingdom.
    """
    out = []
    for pair in pairs:
        name = food_class(data.foods[pair.fresh_id]).name
        kingdom = KINGDOMS.get(name, "plant")
        fresh, dried = data.value.loc[pair.fresh_id], data.value.loc[pair.dried_id]
        waters = [float(record["WATER"]) / 100 for record in (fresh, dried)]
        for tag, family in FAMILIES.items():
            if tag not in data.value.columns or tag in _NOT_BY_RECORDS:
                continue
            if tag == "THIA" and pair.preparation == "sulphited":
                continue
            if tag in pair.not_used.split():
                continue
            is_found = all(data.is_analysed.at[food_id, tag] for food_id in pair[:2])
            if not is_found or not fresh[tag] > 0:
                continue
            kept = float(apparent_retention(dried[tag], waters[1], fresh[tag], waters[0]))
            log_sd = float(np.clip(spread.get((tag, kingdom), PAIR_LOG_SD[1]), *PAIR_LOG_SD))
            out.append(
                Evidence(
                    key=f"{pair.fresh_id}-{pair.dried_id}",
                    family=family,
                    class_group=CLASS_GROUPS.get(name, "mixed"),
                    realm=_realm(name),
                    route_group=ROUTE_GROUPS[pair.method],
                    is_heated=pair.preparation in {"boiled", "steamed"},
                    kept=kept,
                    log_sd=log_sd,
                    weight=1.0,
                    food_ids=frozenset(pair[:2]),
                    log_likelihood=_likelihood(kept, log_sd, True),
                )
            )
    return out


def _realm(food_class_name: str) -> str:
    """Plant or animal food: evidence from the same one counts as related."""
    return {"seed": "plant", "dairy": "animal"}.get(
        kingdom := KINGDOMS.get(food_class_name, "plant"), kingdom
    )


def _weight(one: Evidence, class_group: str, realm: str, route_group: str, heated: bool) -> float:
    related, distant = (RELATED_VITC, OTHER_VITC) if one.family == "VITC" else (RELATED, OTHER)
    by_class = related if one.realm == realm else distant
    if one.class_group == class_group:
        by_class = SAME
    routes = frozenset((one.route_group, route_group))
    is_kin = routes in _RELATED_ROUTES and not (
        routes == _SUN_AND_SHADE and one.family in _LIGHT_SENSITIVE
    )
    by_route = RELATED if is_kin else OTHER_ROUTE_VITC if one.family == "VITC" else OTHER
    if one.route_group == route_group:
        by_route = SAME
    is_opened = one.family == "VITC" and route_group != "cold"
    other = OTHER_PREPARATION_VITC if is_opened else OTHER_PREPARATION
    by_heat = SAME if one.is_heated == heated else other
    return by_class * by_route * by_heat * one.weight


_REALM_OF_GROUP = {group: _realm(name) for name, group in CLASS_GROUPS.items()}


def fit_range(
    found: Sequence[Evidence], family: str, class_group: str, route_group: str, heated: bool
) -> Range:
    """5th, 50th and 95th percentile of the share kept, and the keys of the weightiest evidence.

    Random-effects fit by grid: the loss exponent of a food and practice is log-normal; each piece
    of evidence enters with its weight as power of its likelihood; the prediction is averaged over
    what the evidence leaves open.
    """
    realm = _REALM_OF_GROUP.get(class_group, "any")
    log_posterior = _log_prior(family)
    weights: dict[str, float] = {}
    pairs = 0
    for one in found:
        if one.family != family:
            continue
        weight = _weight(one, class_group, realm, route_group, heated)
        log_posterior = log_posterior + weight * one.log_likelihood
        if one.is_pair:
            pairs += weight >= OTHER
        else:
            weights[one.key] = max(weight, weights.get(one.key, 0.0))
    posterior = np.exp(log_posterior - log_posterior.max())
    share = (posterior[:, :, None] * _FINE_WEIGHTS).ravel()[_ORDER]
    below = np.cumsum(share) / share.sum()
    low, likely, high = (
        float(np.exp(-np.exp(_LOG_EXPONENT[_ORDER][np.searchsorted(below, q)])))
        for q in (0.95, 0.50, 0.05)
    )
    keys = sorted(
        (key for key, weight in weights.items() if weight >= OTHER),
        key=lambda key: (-weights[key], key),
    )
    if pairs:
        keys.append(f"{pairs}-record-pairs")
    return low, likely, high, " ".join(keys)


def fitted_ranges(found: Sequence[Evidence]) -> list[dict[str, str]]:
    """The range of every component family, class group, route group and preparation."""
    out = []
    for family in dict.fromkeys(FAMILIES.values()):
        mine = [one for one in found if one.family == family]
        for class_group in dict.fromkeys((*CLASS_GROUPS.values(), "mixed")):
            for route_group in dict.fromkeys(ROUTE_GROUPS.values()):
                for heated in (False, True):
                    low, likely, high, keys = fit_range(
                        mine, family, class_group, route_group, heated
                    )
                    out.append(
                        {
                            "component": family,
                            "class_group": class_group,
                            "route_group": route_group,
                            "heated": "yes" if heated else "no",
                            "low": f"{100 * low:.1f}",
                            "likely": f"{100 * likely:.1f}",
                            "high": f"{100 * high:.1f}",
                            "evidence": keys,
                        }
                    )
    return out


def write_tables(data: Records, folder: Path) -> list[Path]:
    """Write ``composition_spread.csv`` and ``drying_ranges.csv`` into ``folder``, each whole."""
    spread = composition_spread(data)
    by_component = {(row["component"], row["kingdom"]): float(row["log_sd"]) for row in spread}
    from .copied import without_copies  # which needs the classes above

    pairs = without_copies(data, read_pairs())[0]
    found = study_evidence() + pair_evidence(data, pairs, by_component)
    return [
        write_rows(folder / f"{name}.csv", rows)
        for name, rows in (("composition_spread", spread), ("drying_ranges", fitted_ranges(found)))
    ]
