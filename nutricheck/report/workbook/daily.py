"""Sheet of daily coverage: intake against reference, by :mod:`nutricheck.adequacy.coverage`.

Low and high are the likely value times two factors that the draws gave, which get narrower or wider
as the spread of the day's items does. An unknown stays an empty text, and what is known is counted
beside it.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from itertools import pairwise
from statistics import NormalDist
from typing import TYPE_CHECKING, Any, NamedTuple

import numpy as np

from nutricheck.adequacy import coverage, salt
from nutricheck.adequacy.chance import (
    ADVISED,
    KNOWN_ENOUGH,
    MOST_BORROWED,
    NOT_KNOWN,
    REQUIREMENT,
)
from nutricheck.facts.components import BY_TAG
from nutricheck.intake.menu import TAGS, portion_factors
from nutricheck.needs.clinic import CLINIC
from nutricheck.needs.reference import levels_by_food
from nutricheck.needs.sodium import (
    SALT_DANGER,
    SALT_HIGH,
    SALT_LOW,
    SALT_LOW_EVERY_DAY,
    SALT_LOW_FIRST,
)
from nutricheck.ranges import Z95
from nutricheck.report.food_sources import FoodSources, food_sources
from nutricheck.report.words import drawn_words, percent
from nutricheck.report.workbook.cells import (
    PERCENT,
    Formula,
    Head,
    Sheet,
    amount_format,
    height_of,
    letter,
    lines_of,
    link,
)
from nutricheck.report.workbook.days import Days
from nutricheck.report.workbook.per_100g import Composition
from nutricheck.report.workbook.portions import Portions
from nutricheck.report.workbook.references import References
from nutricheck.rows import CoverageRow, DayCounts, rows_of
from nutricheck.rules.expression import Expression, formula
from nutricheck.rules.formulas import (
    COUNTED,
    INTAKE,
    IS_BY_FOOD,
    IS_TOO_MUCH,
    KNOWN_SHARE,
    MAY_BE_TOO_MUCH,
    MEAN_AT_LEAST,
    RATIO,
    RATIO_HIGH,
    RATIO_LOW,
)
from nutricheck.rules.status import (
    CHANCE_WORD,
    IS_FINE,
    IS_UNSURE,
    SALT_WORD,
    SHOWN_WORD,
)

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from nutricheck.adequacy.chance import Aim
    from nutricheck.check_plan import Result
    from nutricheck.labels.amounts import LabelFood

__all__ = ["Daily", "counted_share", "daily_sheet"]

_HEAD, _FIRST = 4, 5
#: Chances closer to none or all than this are not told apart. [-]
_LEAST_SHARE = 2e-4
#: Shares of the planned intake at which the draws are asked for the chance. [-]
_NODES = (0.02, 0.1, 0.25, 0.4, 0.55, 0.7, 0.85, 1.0, 1.2, 1.5, 2.0, 3.0, 5.0)


def _node_name(node: float) -> str:
    """Name of the column that holds the chance at a share of the planned intake."""
    return f"at {node:g}"


#: Items whose spread is followed one by one, those that spread most.
_MOST_SPREAD = 24
_COLUMNS = [
    Head("component", "Nutrient", 18),
    Head("day", "Kind of day", 13),
    Head("unit", "Unit", 5),
    Head(
        "known",
        "Known or drawn",
        6,
        "Share of the day's food mass with a value, or with one estimated from foods of its kind.",
    ),
    Head(
        "low",
        "Low",
        8,
        "5 % point: likely × its factor at the far right, by the spread of the items now.",
    ),
    Head("likely", "Likely", 8, "Sum of grams × composition (sheet Per 100 g)."),
    Head(
        "high",
        "High",
        8,
        "95 % point: likely × its factor at the far right, by the spread of the items now.",
    ),
    Head("reference", "Aim", 9, "From the sheet Reference intakes, with its source."),
    Head("kind", "Its kind", 9),
    Head(
        "ratio low",
        "Ratio, low",
        6,
        "Intake over aim; the ranges of both together as independent on the log scale.",
    ),
    Head("ratio", "Ratio", 6, "Likely intake over likely aim."),
    Head("ratio high", "Ratio, high", 6, "See Ratio, low."),
    Head(
        "status",
        "Status",
        24,
        "The word of the chance: enough, likely enough, even odds, likely short, short; where only "
        "an amount is advised, near or below it. Too much: the likely amount passes the upper "
        "level; maybe too much: the top of the range does. Sodium's words follow from its likely "
        "amount and the lines on Reference intakes. Not known: nothing, or less than the share "
        "named on Sources, is known or drawn and that is not likely enough by itself.",
    ),
    Head("upper", "Upper level", 8, "From the sheet Reference intakes."),
    Head("counted", "Counted against it", 8, "Only what the upper level is set for."),
    Head(
        "chance",
        "Chance it is enough ≈",
        7,
        "An approximation: the check's own draws, scaled to the intake of now (at so many shares "
        "of the planned intake, far right), and narrower or wider as the spread of the items is. "
        "As planned it equals the check's. After a change a word may differ from a fresh check's "
        "by one step. "
        "IOM 2000, Dietary Reference Intakes: Applications in Dietary Assessment, chapter 3.",
    ),
    Head("note", "Note", 38, "At least: some of the day's food has no value for the nutrient."),
    Head("from", "Brought most by, as planned", 80, "Items and their share of the amount."),
    Head("low share", "low / likely", 8, "From the draws, as planned.", True),
    Head("high share", "high / likely", 8, "From the draws, as planned.", True),
    Head(
        "counted share",
        "Counted, high / likely",
        9,
        "Where a label can be read in two ways: its high reading over the likely one.",
        True,
    ),
    Head(
        "spread",
        "Spread of the items",
        9,
        "Standard deviation of the intake, item by item, as if they erred apart.",
    ),
    *(
        Head(
            _node_name(node),
            f"Chance at × {node:g}",
            8,
            "From the draws, in standard deviations: the chance if the intake were so many times "
            "the planned one.",
            True,
        )
        for node in _NODES
    ),
]
_AT = {column.key: place for place, column in enumerate(_COLUMNS, start=1)}
_L = {key: letter(place) for key, place in _AT.items()}


@dataclass
class Daily:
    """The sheet and where each component's rows stand: one per kind of day, then the mean."""

    sheet: Sheet
    first: dict[str, int]
    days: int
    rows: dict[tuple[str, str], CoverageRow]
    """(day, tag) → row of the coverage table"""

    def row(self, tag: str, day: int) -> int:
        """Row of a component on a day; the day after the last is the trip's mean."""
        return self.first[tag] + day

    def at(self, tag: str, day: int, column: str) -> str:
        """Address of one figure."""
        return self.sheet.at(self.row(tag, day), _AT[column])

    def column_area(self, tag: str, column: str) -> str:
        """Address of a column over all rows of a component, the mean last."""
        first, place = self.first[tag], _AT[column]
        return self.sheet.area(first, place, first + self.days, place)

    def whole_column(self, column: str) -> str:
        """Address of a column over all rows."""
        last = max(self.first.values()) + self.days
        return self.sheet.area(_FIRST, _AT[column], last, _AT[column])


def daily_sheet(
    result: Result,
    days: Days,
    composition: Composition,
    references: References,
    portions: Portions,
) -> Daily:
    """Intake, reference and status of each component on each kind of day and in the mean."""
    sheet = Sheet("Daily coverage", heading_row=_HEAD, frozen_columns=2, is_ruled=True)
    block = len(days.names) + 1
    rows = {(row.day, row.component): row for row in rows_of(result.coverage, CoverageRow)}
    daily = Daily(
        sheet,
        {tag: _FIRST + place * block for place, tag in enumerate(composition.tags)},
        len(days.names),
        rows,
    )
    sheet.put_heads(_HEAD, _COLUMNS)
    sheet.put_title(
        "Daily coverage",
        "What each kind of day gives of each nutrient against its aim. All of it "
        "follows from the other sheets; only the yellow columns hold figures of their own.",
        13,
    )
    names = [*days.names, coverage.TRIP_MEAN]
    blank = _without_figures(next(iter(rows.values())))
    drawn = _drawn(result, days, portions, daily.first)
    sources = food_sources(result)
    supplements = {key for key, label in result.labels.items() if label.kind == "supplement"}
    by_food = levels_by_food(result.plan.person)
    for tag in daily.first:
        tag_rows = [rows.get((name, tag), blank) for name in names]
        added = {
            key: counted_share(label, tag)
            for key, label in result.labels.items()
            if tag in label.added
        }
        for day, name in enumerate(names):
            row = _Row(
                daily, days, composition, references, tag, day, tag_rows[day], drawn, sources
            )
            row.put_intake(name)
            row.put_reference()
            labels = added
            if tag_rows[day].upper_basis == "supplements only":
                labels = {key: share for key, share in added.items() if key in supplements}
            row.put_upper(labels)
            row.put_status(by_food.get(tag, 0.0), added)
    last = max(daily.first.values(), default=_FIRST) + len(days.names)
    sheet.filtered = f"A{_HEAD}:{_L['from']}{last}"
    sheet.print_columns = _AT["from"]
    sheet.status_areas.append(f"{_L['status']}{_FIRST}:{_L['status']}{last}")
    for end, column in (("low", "low share"), ("high", "high share")):
        place = _AT[column]
        sheet.name_area(f"range_{end}", (_FIRST, place), (last, place))
        sheet.number_inputs.append(f"{letter(place)}{_FIRST}:{letter(place)}{last}")
    return daily


def _without_figures(row: CoverageRow) -> CoverageRow:
    """A row for a component that a day has none of."""
    return row._replace(
        low=math.nan,
        likely=math.nan,
        high=math.nan,
        known_share=math.nan,
        reference=math.nan,
        ratio_low=math.nan,
        ratio=math.nan,
        ratio_high=math.nan,
        upper=math.nan,
        upper_likely=math.nan,
        upper_high=math.nan,
        chance=math.nan,
        status="",
        chance_of="",
        upper_basis="",
    )


class _Drawn(NamedTuple):
    """What the draws say of an intake. ``z``: the chance at each of the nodes, as a quantile of
    the standard normal distribution. ``sd``: standard deviation of the intake; ``need_variance``:
    the variance of what it is held against. ``items``: standard deviation of a gram of an item, and
    the cell of its grams; ``spread``: of all items, as if they erred apart. [component unit/day]"""

    z: tuple[float, ...]
    sd: float
    need_variance: float
    items: tuple[tuple[float, str], ...]
    spread: float


def _drawn(
    result: Result, days: Days, portions: Portions, tags: Iterable[str]
) -> dict[tuple[int, str], _Drawn]:
    """What the draws say of each component on each kind of day and in the mean of the trip."""
    counts = result.days.set_index("day")["longest"]
    by_day = result.intake.drawn_by_day(counts)
    share = counts.to_numpy(dtype=float) / counts.sum()
    grams = result.intake.grams.to_numpy(dtype=float)
    sd_per_g = _item_sd(result)
    names = [str(name).casefold() for name in result.intake.grams.columns]
    of_salt = [_salt_chances(result, by_day, node) for node in _NODES]
    found: dict[tuple[int, str], _Drawn] = {}
    for tag in tags:
        place = TAGS.index(tag)
        spreads: list[float] = []
        for day, name in enumerate([*days.names, coverage.TRIP_MEAN]):
            eaten = by_day[name][:, place]
            aim = result.aims.by_day[name].get(tag)
            is_mean = day == len(days.names)
            if is_mean:
                spread = float(share @ np.array(spreads))
                items: tuple[tuple[float, str], ...] = ()
            else:
                item_sd = sd_per_g[:, place]
                brought = item_sd * grams.max(axis=0)
                most = np.argsort(-brought, kind="stable")[:_MOST_SPREAD]
                spread = float(np.sqrt(np.sum((item_sd[most] * grams[day][most]) ** 2)))
                spreads.append(spread)
                items = tuple(
                    (item_sd[i], portions.grams[names[i], day]) for i in most if brought[i] > 0
                )
            if np.isnan(eaten).all() or (aim is None and tag != "NA"):
                continue
            if tag == "NA":
                chances = [day_chances[name] for day_chances in of_salt]
            else:
                chances = [result.aims.chance(name, tag, node * eaten) for node in _NODES]
            if np.isnan(chances).any():
                continue
            least = _LEAST_SHARE
            z = tuple(
                NormalDist().inv_cdf(min(max(node_chance, least), 1 - least))
                for node_chance in chances
            )
            # the low line of salt errs too, but its draws are in the chances alone
            held = 0.0 if aim is None else _variance(aim)
            found[day, tag] = _Drawn(z, float(np.std(eaten)), held, items, spread)
    return found


def _salt_chances(
    result: Result, by_day: Mapping[str, NDArray[np.float64]], times: float
) -> dict[str, float]:
    """The chances of sodium's low line at so many times the planned intake, by day."""
    place = TAGS.index("NA")
    needs = {
        day: (need.sodium, (need.sweat.low_l, need.sweat.likely_l, need.sweat.high_l))
        for day, need in result.needs.items()
    }
    counts = {row.day: float(row.longest) for row in rows_of(result.days, DayCounts)}
    eaten = {day: times * drawn[:, place] for day, drawn in by_day.items()}
    return salt.salt_chances(result.plan.person, needs, eaten, counts, result.aims.z)


def _variance(aim: Aim) -> float:
    """Variance of what an intake is held against: people's requirements, or the aim's range."""
    if aim.chance_of == REQUIREMENT:
        return ((aim.upper - aim.median) / 2) ** 2
    return ((aim.high - aim.low) / (2 * Z95)) ** 2


def _item_sd(result: Result) -> NDArray[np.float64]:
    """Standard deviation of what a gram of each item brings (items × components)."""
    count = len(result.intake.grams.columns)
    if result.intake.draws is None:
        return np.zeros((count, len(TAGS)))
    factors = portion_factors(result.portions, result.items, result.draws, result.seed)
    found = np.zeros((count, len(TAGS)))
    for row, item in enumerate(result.items.values()):
        if item.draws is not None:
            found[row] = np.nan_to_num(np.std(item.draws * factors[row][:, None] / 100, axis=0))
    return found


@dataclass
class _Row:
    """One row in the making: a component on a kind of day, or in the trip's mean."""

    daily: Daily
    days: Days
    composition: Composition
    references: References
    tag: str
    day: int
    found: CoverageRow
    drawn: Mapping[tuple[int, str], _Drawn]
    sources: FoodSources
    upper_high: str = ""
    """Cell or product of the high end of what counts against the upper level"""

    def __post_init__(self) -> None:
        self.row = self.daily.row(self.tag, self.day)
        self.is_mean = self.day == self.daily.days
        self.shown = amount_format(BY_TAG[self.tag].decimals)
        self.c = {key: f"{column}{self.row}" for key, column in _L.items()}

    def put(self, column: str, value: Any, number_format: str = "", role: str = "") -> None:
        """A cell of this row, in the look of a mean where it is one."""
        style = role or "calculated"
        if self.is_mean and role != "input":
            style = f"mean {role}" if role else "mean"
        style = style if number_format == "" else f"{style}|{number_format}"
        self.daily.sheet.put(self.row, _AT[column], value, style)

    def over_days(self, column: str) -> str:
        """The mean of a column over all days; a day without a value adds nothing."""
        first = self.daily.first[self.tag]
        day_cells = f"{_L[column]}{first}:{_L[column]}{first + self.daily.days - 1}"
        counts = self.days.counts_area("longest")
        cells = {"weights": counts, "values": day_cells, "all": f"SUM({counts})"}
        return formula(MEAN_AT_LEAST, cells)

    def put_intake(self, name: str) -> None:
        """Known share, low, likely, high and the range's factors."""
        found = self.found
        component = BY_TAG[self.tag]
        blank = "mean" if self.is_mean else "calculated"
        self.daily.sheet.put_row(self.row, 1, [None] * _AT["from"], blank)
        self.put("component", component.name, role="text")
        self.put(
            "day",
            Formula(self.days.name_at(self.day), name),
            role="text",
        )
        self.put("unit", component.unit, role="text" if self.is_mean else "faint")
        if self.is_mean:
            texts = {key: self.over_days(key) for key in ("known", "low", "likely", "high")}
        else:
            texts = {
                "known": self._known(),
                "likely": self._likely(),
                "low": self._end("low share"),
                "high": self._end("high share"),
            }
            self.put("low share", _factor(found.low, found.likely), "0.00", "input")
            self.put("high share", _factor(found.high, found.likely), "0.00", "input")
        self.put("known", Formula(texts["known"], found.accounted_share), PERCENT)
        for key in ("low", "likely", "high"):
            self.put(key, Formula(texts[key], getattr(found, key)), self.shown)

    def _end(self, share: str) -> str:
        """An end of the range: its factor, narrower or wider as the spread of the items is."""
        c, drawn = self.c, self.drawn.get((self.day, self.tag))
        factor = c[share]
        if drawn is not None and drawn.spread and self.found.likely > 0:
            planned = f"{drawn.spread / self.found.likely:.12g}"
            factor = f"IFERROR({factor}^({c['spread']}/{c['likely']}/{planned}),{factor})"
        return f'IF({c["likely"]}="","",{c["likely"]}*{factor})'

    def _likely(self) -> str:
        return self._sum_over(self.tag, self.composition.gram_rows[self.day])

    def _sum_over(self, tag: str, row: int) -> str:
        """Grams of a row times the content of a component, of what is known."""
        composition = self.composition
        cells = {
            "weights": composition.leaf_area(row),
            "values": composition.leaf_area(composition.rows[tag]),
            "all": composition.sheet.at(row, composition.total_column),
        }
        return formula(INTAKE, cells)

    def _known(self) -> str:
        composition = self.composition
        grams = composition.leaf_area(composition.gram_rows[self.day])
        content = composition.leaf_area(composition.rows[self.tag])
        known = f"SUMPRODUCT({grams},--ISNUMBER({content}))"
        if composition.partly:
            partly = composition.partly_area(composition.gram_rows[self.day])
            unknown = composition.partly_area(composition.rows[self.tag])
            known = f"{known}-SUMPRODUCT({partly},{unknown})"
        return formula(KNOWN_SHARE, {"known": known, "all": composition.total_at(self.day)})

    def put_reference(self) -> None:
        """Reference, ratio with its range, and the chance that it is enough."""
        found, c, tag, day = self.found, self.c, self.tag, self.day
        if (tag, "target", "likely") not in self.references.lines:
            return
        at = self.references.at(tag, "target", "likely", day)
        self.put("reference", link(at, found.reference), self.shown)
        kind = found.reference_kind
        self.put("kind", kind if isinstance(kind, str) else "", role="word")
        some = f'IF(OR({c["likely"]}="",N({c["reference"]})=0),"",'
        low, high = (self.references.end_at(tag, "target", end, day) for end in ("low", "high"))
        ranged = low != at or high != at
        if ranged:
            cells = {key: c[key] for key in ("low", "likely", "high", "ratio")}
            cells |= {"need_low": low, "need": at, "need_high": high}
            low_text, high_text = (
                f"{some}{formula(end, cells)})" for end in (RATIO_LOW, RATIO_HIGH)
            )
        else:
            low_text = f"{some}{c['low']}/{c['reference']})"
            high_text = f"{some}{c['high']}/{c['reference']})"
        self.put("ratio low", Formula(low_text, found.ratio_low), PERCENT)
        ratio = formula(RATIO, {"likely": c["likely"], "need": c["reference"]})
        self.put("ratio", Formula(f"{some}{ratio})", found.ratio), PERCENT)
        self.put("ratio high", Formula(high_text, found.ratio_high), PERCENT)
        self._put_chance()

    def _put_chance(self) -> None:
        """The chance that it is enough, near what the draws give."""
        found, c = self.found, self.c
        drawn = self.drawn.get((self.day, self.tag))
        if drawn is None:
            if self.tag != "NA":  # of nothing eaten the chance is known
                empty = f"AND(ISNUMBER({c['likely']}),N({c['likely']})=0,N({c['reference']})>0)"
                self.put("chance", Formula(f'IF({empty},0,"")', found.chance), PERCENT)
            return
        # sodium's chance is of its low line
        aim, planned = c["reference"], found.reference
        if self.tag == "NA":
            role = SALT_LOW_EVERY_DAY if self.is_mean else SALT_LOW
            aim = self._salt_line_at(role)
            planned = self.references.value("NA", role, "likely", self.day)
        for node, at_node in zip(_NODES, drawn.z, strict=True):
            self.put(_node_name(node), round(at_node, 4), "0.00", "input")
        self._put_spread(drawn)
        is_eaten, far = found.likely > 0, "0"
        if is_eaten and planned > 0:
            far = f"IFERROR(LN({c['likely']}/{aim}/{found.likely / planned:.12g}),-9)"
        ends = [(math.log(node), c[_node_name(node)]) for node in _NODES]
        terms = [
            f"({to}-{of})*MAX(0,MIN(1,({far}-({x:.6g}))/{y - x:.6g}))"
            for (x, of), (y, to) in pairwise(ends)
        ]
        z = f"({ends[0][1]}+{'+'.join(terms)})"
        if drawn.spread and is_eaten:
            need_variance = f"{drawn.need_variance:.12g}"
            scaled = f"{drawn.sd:.12g}*{c['likely']}/{found.likely:.12g}"
            by_item = f"{drawn.sd:.12g}*{c['spread']}/{drawn.spread:.12g}"
            z += f"*IFERROR(SQRT(({need_variance}+({scaled})^2)/({need_variance}+({by_item})^2)),1)"
        most = MOST_BORROWED if found.is_borrowed else 1.0
        some = f'IF(OR({c["likely"]}="",N({aim})=0),"",'
        text = f"{some}MIN({most:g},NORMSDIST({z})))"
        is_known = not math.isnan(found.likely) and planned > 0
        at_plan = NormalDist().cdf(round(drawn.z[_NODES.index(1.0)], 4))
        self.put("chance", Formula(text, min(most, at_plan) if is_known else math.nan), PERCENT)

    def _put_spread(self, drawn: _Drawn) -> None:
        """The spread of the intake of now, item by item; of the mean, the mean of the days'."""
        if self.is_mean:
            text = self.over_days("spread")
        else:
            terms = ",".join(f"{sd:.12g}*{grams}" for sd, grams in drawn.items) or "0"
            text = f"SQRT(SUMSQ({terms}))"
        self.put("spread", Formula(text, drawn.spread), self.shown)

    def put_upper(self, labels: Mapping[str, float]) -> None:
        """Upper level and the amount that counts against it, on the level's own basis.

        ``labels`` are those that hold added amounts, with the share of their amount that counts.
        """
        found, tag, day, c = self.found, self.tag, self.day, self.c
        if (tag, "upper", "likely") not in self.references.lines:
            return
        counts_retinol = found.upper_basis == "preformed retinol"
        at = self.references.at(tag, "upper", "likely", day)
        self.put("upper", link(at, found.upper), self.shown)
        if counts_retinol and "RETOL" not in self.daily.first:  # known of nothing
            return
        beyond = {key: share - 1 for key, share in labels.items() if share > 1}
        counts_all = found.upper_basis == "all sources" or tag == "FOLAC" or counts_retinol
        # some of what is packed cannot be eaten, and counts here
        is_more = counts_all and self.composition.packed_rows != self.composition.gram_rows
        counted = "RETOL" if counts_retinol else tag
        packed = likely = f"{_L['likely']}{self.daily.row(counted, day)}"
        if is_more and not self.is_mean:
            packed = self._sum_over(counted, self.composition.packed_rows[day])
            packed = f"N({packed})" if beyond and not counts_retinol else packed
        cells = {
            "packed": packed,
            "retinol": packed,
            "inactive": self._of_labels(beyond) if beyond else "0",
            "supplemental": self._of_labels(labels),
            "added": self._of_labels(labels),
            "is_folic_acid": "TRUE" if tag == "FOLAC" else "FALSE",
        }
        text = formula(COUNTED[found.upper_basis], cells)
        if text == likely and not is_more:
            self.upper_high = f"{_L['high']}{self.daily.row(counted, day)}"
        else:
            if found.upper_basis == "all sources" and not is_more:
                text = f'IF({likely}="","",{text})'
            if self.is_mean:
                text = self.over_days("counted")
            self.upper_high = f"{c['counted']}*{c['counted share']}"
            factor = found.upper_high / found.upper_likely if found.upper_likely else 1.0
            self.put("counted share", factor, "0.00", "input")
        self.put("counted", Formula(text, found.upper_likely), self.shown)

    def _of_labels(self, labels: Mapping[str, float]) -> str:
        """Shares of the amounts from labels, such as supplements, mixes taken apart."""
        return "" if self.is_mean else self._of_labels_on(self.day, labels)

    def _is_added(self, labels: Mapping[str, float]) -> str:
        """Whether any of it comes from labels, here or on a day of the trip that this is of."""
        if not labels:
            return "FALSE"
        if not self.is_mean:
            return f"{self._of_labels_on(self.day, labels)}>0"
        days = "+".join(
            f"{self.days.count_at(day, 'longest')}*{self._of_labels_on(day, labels)}"
            for day in range(self.daily.days)
        )
        return f"({days})>0"

    def _of_labels_on(self, day: int, labels: Mapping[str, float]) -> str:
        composition = self.composition
        row = composition.packed_rows[day]
        terms = "+".join(
            f"{composition.grams_at(row, leaf)}*{composition.at(leaf, self.tag)}"
            + ("" if share == 1 else f"*{share:.10g}")
            for key, share in labels.items()
            for leaf in composition.leaves
            if leaf[:2] == ("label", key)
        )
        return f"({terms})/100" if terms else "0"

    def put_status(self, times_by_food: float, added: Mapping[str, float]) -> None:
        """The status word and what must be said beside the numbers.

        ``times_by_food``: how often food may pass the level where none is ``added`` by a label;
        coverage._kinds_by_food.
        """
        found, c = self.found, self.c
        has_reference = (self.tag, "target", "likely") in self.references.lines
        kind, by_food = found.upper_kind, ""
        if times_by_food and found.upper_basis == "all sources" and self.upper_high:
            kind = "UL" if kind == coverage.FOOD_LEVEL else kind
            if kind == "UL":
                cells = {
                    "is_added": self._is_added(added),
                    "upper": f"N({c['upper']})",
                    "upper_likely": f"N({c['counted']})",
                    "upper_high": f"N({self.upper_high})",
                    "times_by_food": f"{times_by_food:g}",
                }
                by_food = f'IF({c["counted"]}="",FALSE,{formula(IS_BY_FOOD, cells)})'
        is_level = bool(self.upper_high) and kind not in coverage.UPPER_NOTES
        if self.tag == "NA":
            self._put_salt_word()
        elif has_reference or is_level or self.tag in self.references.left_to_doctor:
            text = self._status(has_reference, is_level, by_food)
            self.put("status", Formula(text, found.status), role="status")
        parts = [
            f'IF(AND({c["likely"]}<>"",N({c["known"]})<{coverage.ALL_KNOWN}),"At least: "&'
            f'ROUND(100*{c["known"]},0)&" % known. ","")'
        ]
        said = []
        if found.accounted_share < coverage.ALL_KNOWN and not math.isnan(found.likely):
            share = _half_up(100 * found.accounted_share)
            said.append(f"At least: {share} % known. ")
        if self.tag == "NA":
            for_first, said_of_first = self._first_day()
            parts.append(for_first)
            said.append(said_of_first)
        if drawn := drawn_words(found):
            parts.append(f'"{drawn}. "')
            said.append(f"{drawn}. ")
        if is_level:
            text, words = self._passed_words(by_food)
            parts.append(text)
            said.append(words)
        elif self.upper_high:
            words = f"Above the {kind}, which is only noted."
            parts.append(f'IF(N({c["counted"]})>N({c["upper"]}),"{words}","")')
            if found.upper_likely > found.upper:
                said.append(words)
        self.put("note", Formula("&".join(parts), "".join(said)), role="wrap")
        brought = self.sources.get(([*self.days.names, coverage.TRIP_MEAN][self.day], self.tag), [])
        words = ", ".join(f"{item} {percent(share)}" for item, share in brought)
        self.put("from", words or None, role="wrap")
        sheet, texts = self.daily.sheet, (("note", "".join(said)), ("from", words))
        lines = [lines_of(text, sheet.widths[_AT[column]] - 2) for column, text in texts]
        sheet.heights[self.row] = height_of(max(lines))

    def _passed_words(self, by_food: str) -> tuple[str, str]:
        """What is said of a range that passes the level: formula and text."""
        found, c = self.found, self.c
        level = "clinic's limit" if found.upper_kind == CLINIC else "upper level"
        words = f"The range passes the {level}."
        noted = f"Above the {coverage.FOOD_LEVEL}, which is only noted."
        text = (
            f'IF({c["status"]}="{coverage.ABOVE}","",IF(AND(N({c["upper"]})>0,'
            f'{c["counted"]}<>""),IF({self.upper_high}>{c["upper"]},"{words}",""),""))'
        )
        if by_food:
            is_above = f"N({c['counted']})>N({c['upper']})"
            text = f'IF({by_food},IF({is_above},"{noted}",""),{text})'
        if found.upper_kind == coverage.FOOD_LEVEL:
            return text, noted if found.upper_likely > found.upper else ""
        is_passed = found.upper_high > found.upper and found.status != coverage.ABOVE
        return text, words if is_passed else ""

    def _put_salt_word(self) -> None:
        """Sodium's word by its lines."""
        found, c = self.found, self.c
        if ("NA", SALT_LOW, "likely") not in self.references.lines:
            self.put("status", Formula(f'"{salt.ASK_DOCTOR}"', found.status), role="status")
            return
        cells = {
            "likely": c["likely"],
            "known_share": c["known"],
            "known_enough": "known_enough",
            "salt_low": self._salt_line_at(SALT_LOW_EVERY_DAY if self.is_mean else SALT_LOW),
            "salt_high": self._salt_line_at(SALT_HIGH),
            "salt_danger": self._salt_line_at(SALT_DANGER),
        }
        self.put("status", Formula(formula(SALT_WORD, cells), found.status), role="status")

    def _salt_line_at(self, role: str) -> str:
        return self.references.at("NA", role, "likely", self.day)

    def _first_day(self) -> tuple[str, str]:
        """What is said of the first heat day: formula and text."""
        if self.is_mean or ("NA", SALT_LOW, "likely") not in self.references.lines:
            return '""', ""
        c, found = self.c, self.found
        low, first = (self._salt_line_at(role) for role in (SALT_LOW, SALT_LOW_FIRST))
        words = "Too little on the first heat day. "
        text = (
            f'IF(OR({low}="",{c["likely"]}=""),"",IF(AND({c["likely"]}>={low},'
            f'{c["likely"]}<{first},{c["known"]}>=known_enough),"{words}",""))'
        )
        lines = (
            self.references.value("NA", r, "likely", self.day) for r in (SALT_LOW, SALT_LOW_FIRST)
        )
        low_mg, first_mg = lines
        is_early = low_mg <= found.likely < first_mg and found.accounted_share >= KNOWN_ENOUGH
        return text, words if is_early else ""

    def _status(self, has_reference: bool, has_level: bool, by_food: str) -> str:
        c = self.c
        text = f'"{salt.ASK_DOCTOR}"' if self.tag in self.references.left_to_doctor else '""'
        cells = {
            "chance": c["chance"],
            "known_share": c["known"],
            "known_enough": "known_enough",
            "is_advised": "TRUE" if self.found.chance_of == ADVISED else "FALSE",
        }
        if has_reference:
            unsure, word = (formula(rule, cells) for rule in (IS_UNSURE, CHANCE_WORD))
            words = f'IF({unsure},"{NOT_KNOWN}",{word})'
            text = f'IF(N({c["reference"]})=0,"",IF({c["likely"]}="","{NOT_KNOWN}",{words}))'
        fine = f'AND({c["likely"]}<>"",{formula(IS_FINE, cells)})' if has_reference else "FALSE"
        cells = {"word": text, "is_fine": fine}
        cells["is_too_much"], cells["may_be_too_much"] = (
            self._passes(rule, by_food) if has_level else "FALSE"
            for rule in (IS_TOO_MUCH, MAY_BE_TOO_MUCH)
        )
        return formula(SHOWN_WORD, cells)

    def _passes(self, rule: Expression, by_food: str) -> str:
        """Whether an amount passes the upper level, where not by food alone."""
        c = self.c
        cells = {
            "is_level": f"NOT({by_food})" if by_food else "TRUE",
            "is_safe_level": "FALSE",
            "upper": f"N({c['upper']})",
            "upper_likely": f"N({c['counted']})",
            "upper_high": f"N({self.upper_high})",
            "added": "0",
        }
        passes = f"N({c['upper']})>0,{formula(rule, cells)}"
        return f'IF({c["counted"]}="",FALSE,AND({passes}))'


def counted_share(label: LabelFood, tag: str) -> float:
    """What upper levels count of a label's added amount, as a share of it."""
    likely = float(label.composition.at[tag, "likely"])
    return 1 + label.inactive[tag][1] / likely if likely and tag in label.inactive else 1.0


def _factor(end: float, likely: float) -> float | None:
    """End of a range as a share of its likely value; empty where nothing is known."""
    if math.isnan(likely):
        return None
    return end / likely if likely else 1.0


def _half_up(value: float) -> int:
    return math.floor(value + 0.5)
