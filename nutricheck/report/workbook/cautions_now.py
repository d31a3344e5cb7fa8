"""The sheet that says which cautions hold for the figures that stand in the workbook now.

A row for each limit of the check (:mod:`nutricheck.caution_limits`) and its place: those that hold
as planned, and those that a change may bring. What no cell follows stays as planned, and says so.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, NamedTuple

from nutricheck.caution_limits import Figure, Limit, Moving
from nutricheck.facts.caution import caution_row, urgency
from nutricheck.facts.constants import value
from nutricheck.needs.sodium import SALT_LOW_FIRST
from nutricheck.report.page_cautions import can_hold, tags_held
from nutricheck.report.workbook.cells import Formula, Head, Sheet, letter
from nutricheck.report.workbook.daily import counted_share
from nutricheck.report.workbook.per_100g import leaf_of, leaves_of
from nutricheck.report.workbook.references import line_cells
from nutricheck.report.workbook.sheets import Sheets
from nutricheck.report.workbook.stores import Stores
from nutricheck.rules.cautions import CAUTION_RULES
from nutricheck.rules.expression import Expression, formula
from nutricheck.rules.formulas import COUNTED, INTAKE, LINE_DANGER, LINE_HIGH

if TYPE_CHECKING:
    from nutricheck.check_plan import Result

__all__ = [
    "AS_PLANNED",
    "CHECK_AGAIN",
    "FIRST",
    "HOLDS",
    "NAME",
    "NEW",
    "NO_LONGER",
    "CautionsNow",
    "cautions_now_sheet",
    "limits_shown",
]

NAME = "Cautions now"
_BODY, _HEAD, FIRST = 3, 4, 5
HOLDS, NO_LONGER, NEW, _NOT = "holds", "no longer holds", "new: holds now", "does not hold"
AS_PLANNED = "as planned"
CHECK_AGAIN = "check again"
#: Larger than any amount: in a cell there is no infinity.
_ENDLESS = 1e300
#: Characters that a formula may have in every spreadsheet program; a little less.
_LONGEST = 8000
#: Cautions that rest on heat and hours beside those on effort and water; on the body mass of the
#: young.
_OF_HEAT = ("water with kidney stones", "salt with kidney stones")
_OF_YOUNG = ("caffeine of the young", "laxative fruit", "potassium added")
_COLUMNS = [
    Head("now", "Now", 15, "By the check's own rule, over the cells of now."),
    Head("level", "Level", 9),
    Head("topic", "Topic", 26),
    Head("where", "Where", 22),
    Head("text", "What, in the figures as planned", 68),
    Head("rank", "0 not, 1 it holds, 2 raised", 9),
    Head("came", "1: a new danger", 9),
    Head("went", "1: a danger no longer", 9),
]
_AT = {column.key: place for place, column in enumerate(_COLUMNS, start=1)}
_IS_OF_BODY = f'$A${_BODY}<>""'


class CautionsNow(NamedTuple):
    """The sheet, and in words whether dangers are new or gone with the figures of now."""

    sheet: Sheet
    moved_dangers: Formula


def cautions_now_sheet(sheets: Sheets, stores: Stores) -> CautionsNow:
    """Every limit with a formula that says whether it holds."""
    sheet = Sheet(NAME, heading_row=_HEAD)
    sheet.put_heads(_HEAD, _COLUMNS)
    sheet.put_title(
        NAME,
        "Which cautions hold for the figures that stand in the workbook now. On the sheet Cautions "
        "all stand as planned. What a gram of an item holds stays as planned where a caution is "
        f'about one item. "{AS_PLANNED}": no cell follows it.',
        _AT["text"],
    )
    _put_body(sheet, sheets)
    amounts = _Amounts(**vars(sheets), stores=stores)
    of_body = {one.id for need in sheets.result.needs.values() for one in need.limits(1)}
    of_body |= {*_OF_HEAT}
    if sheets.result.plan.person.age_years < value("adult_age"):
        of_body |= {*_OF_YOUNG}
    found = limits_shown(sheets.result)
    for row, limit in enumerate(found, start=FIRST):
        _put_row(sheet, row, limit, amounts.rank(limit), is_of_body=limit.id in of_body)
    last = FIRST + max(len(found), 1) - 1
    sheet.print_columns = _AT["text"]
    sheet.filtered = f"A{_HEAD}:{letter(_AT['text'])}{last}"
    sheet.quiet_rows = (f"A{FIRST}:{letter(_AT['text'])}{last}", (NO_LONGER, _NOT))
    came, went = (
        f"SUM({sheet.area(FIRST, _AT[key], last, _AT[key])})>0" for key in ("came", "went")
    )
    words = (
        f'IF(AND({came},{went}),"New dangers hold now, and some of the plan no longer do",'
        f'IF({came},"New dangers hold now",IF({went},"Some dangers of the plan no longer hold",'
        f'"Body mass, heat or hours are changed")))&": see the sheet {NAME}."'
    )
    is_none = f'NOT(OR({came},{went},{sheet.at(_BODY, 1)}<>""))'
    return CautionsNow(sheet, Formula(f'IF({is_none},"",{words})', ""))


def limits_shown(result: Result) -> list[Limit]:
    """The limits of the rows: first those that hold as planned, the most urgent first."""
    held = tags_held(result)
    found = [
        one for one in result.limits if isinstance(one, Limit) and (one.rank or can_hold(held, one))
    ]
    return sorted(found, key=lambda one: (not one.rank, urgency(one.caution(max(one.rank, 1)))))


def _put_body(sheet: Sheet, sheets: Sheets) -> None:
    """A line that stands where body mass, heat or hours are not those of the plan."""
    days, plan = sheets.days, sheets.result.plan
    planned = [(days.mass_at, plan.person.mass_kg)]
    for place, day in enumerate(plan.days):
        planned.append((days.hours_at(place), day.moving_h))
        if day.air_temperature_c is not None:
            planned.append((days.air_at(place), day.air_temperature_c))
    differ = ",".join(f"ROUND(N({at})-({figure:.15g}),6)<>0" for at, figure in planned)
    words = "Body mass, heat or hours are changed. Check the plan again for new cautions on heat "
    words += f'and where it says ""{CHECK_AGAIN}"".'
    sheet.put_wide(_BODY, 1, "", _AT["text"], "lead")
    sheet.put(_BODY, 1, Formula(f'IF(OR({differ}),"{words}","")', ""), "lead")


def _put_row(sheet: Sheet, row: int, limit: Limit, rank: str | None, *, is_of_body: bool) -> None:
    caution = limit.caution(max(limit.rank, 1))
    holds, other = (HOLDS, NO_LONGER) if limit.rank else (NEW, _NOT)
    word, level = (HOLDS if limit.rank else _NOT), str(caution.level)
    names = [level, level]
    if limit.ready is None:
        table_row = caution_row(limit.id)
        names = [table_row["level"], table_row["raised"] or table_row["level"]]
    # 3: it never is one
    danger_from = next((place for place, name in enumerate(names, 1) if name == "danger"), 3)
    at = f"{letter(_AT['rank'])}{row}"
    if rank is None:
        sheet.put(row, _AT["now"], AS_PLANNED, "wrap")
        sheet.put(row, _AT["level"], level, "wrap")
        sheet.put(row, _AT["rank"], float(limit.rank), "faint|0")
    else:
        text = f'IF({at}>0,"{holds}","{other}")'
        key, sign = ("came", ">=") if limit.rank < danger_from else ("went", "<")
        moved = f"IF({at}{sign}{danger_from},1,0)"
        if is_of_body:
            text = f'IF({_IS_OF_BODY},"{CHECK_AGAIN}",{text})'
            moved = f"IF({_IS_OF_BODY},0,{moved})"
        sheet.put(row, _AT["now"], Formula(text, word), "word")
        text = f'IF({at}>1,"{names[1]}","{names[0]}")'
        sheet.put(row, _AT["level"], Formula(text, names[limit.rank > 1]), "word")
        sheet.put(row, _AT["rank"], Formula(rank, float(limit.rank)), "faint|0")
        sheet.put(row, _AT[key], Formula(moved, 0.0), "faint|0")
    for key, said in (("topic", caution.topic), ("where", caution.where), ("text", caution.text)):
        sheet.put(row, _AT[key], said, "wrap")
    sheet.fit_height(row, [_AT["topic"], _AT["where"], _AT["text"]])


class _Unfollowed(Exception):
    """A quantity that no cell holds."""


def _names_in(expression: Expression) -> Iterator[str]:
    """The figures of an expression."""
    if expression.kind == "figure":
        yield str(expression.leaf)
    for part in expression.parts:
        yield from _names_in(part)


_RULE_FIGURES = {name: frozenset(_names_in(rule)) for name, rule in CAUTION_RULES.items()}


@dataclass(frozen=True)
class _Amounts(Sheets):
    """What limits compare, as formulas."""

    stores: Stores

    def rank(self, limit: Limit) -> str | None:
        """The rank of a limit as a formula; None where a figure of it is in no cell."""
        try:
            cells = {name: self._figure(limit.figures[name]) for name in _RULE_FIGURES[limit.rule]}
        except _Unfollowed:
            return None
        text = formula(CAUTION_RULES[limit.rule], cells)
        if limit.day:
            text = f"IF({self._walked(self.days.names.index(limit.day), limit.trip)}>0,{text},0)"
        return f"IFERROR({text},0)" if len(text) < _LONGEST else None

    def _walked(self, day: int, trip: str = "") -> str:
        """How many days of a kind are walked, on a trip or on either."""
        trips = (trip,) if trip else ("longest", "shortest")
        return f"({'+'.join(self.days.count_at(day, one) for one in trips)})"

    def _figure(self, figure: Figure) -> str:
        if not isinstance(figure, Moving):
            # an unknown amount passes no limit, and an unknown limit is passed by nothing
            return f"{figure if math.isfinite(figure) else _ENDLESS:.15g}"
        text = self._of_days(figure)
        if figure.times != 1:
            text = f"{figure.times:.15g}*{text}"
        return f"({text}+{figure.plus:.15g})" if figure.plus else text

    def _of_days(self, figure: Moving) -> str:
        """Of its kind of day, or the most of those that are walked."""
        name, of_trip = figure.kind, ""
        if name == "likely on the longest":
            name, of_trip = "likely", "longest"
        if name in _OF_TRIP:
            return _OF_TRIP[name](self, figure)
        if name not in _OF_DAY:
            raise _Unfollowed
        of_day = _OF_DAY[name]
        if figure.day:
            return of_day(self, figure, self.days.names.index(figure.day))
        days = range(len(self.days.names))
        return _most(
            f"IF({self._walked(day, of_trip)}>0,IFERROR({of_day(self, figure, day)},0),0)"
            for day in days
        )

    # ---- of a kind of day

    def _grams(self, figure: Moving, day: int) -> str:
        """Of items, each by what a gram of it holds as planned."""
        terms = [
            f"{self.portions.grams[item.casefold(), day]}*{per_g:.12g}"
            for item, per_g in figure.weights.items()
        ]
        return f"({'+'.join(terms) or '0'})"

    def _likely(self, figure: Moving, day: int) -> str:
        return _known(self._portioned(figure.what, day))

    def _portioned(self, tag: str, day: int) -> str:
        """All that is portioned, what cannot be eaten too; an empty text where it is not known."""
        composition = self.composition
        if tag not in composition.rows:
            return '""'
        row = composition.packed_rows[day]
        if row == composition.gram_rows[day]:
            return self.daily.at(tag, day, "likely")
        grams = composition.leaf_area(row)
        contents = composition.leaf_area(composition.rows[tag])
        return formula(INTAKE, {"weights": grams, "values": contents, "all": f"SUM({grams})"})

    def _eaten(self, figure: Moving, day: int) -> str:
        return _known(self.daily.at(figure.what, day, "likely"))

    def _known_share(self, figure: Moving, day: int) -> str:
        return f"N({self.daily.at(figure.what, day, 'known')})"

    def _added(self, figure: Moving, day: int) -> str:
        labels = dict.fromkeys(self._labels(figure.what), 1.0)
        return self._of_labels(figure.what, day, figure.trip, labels)

    def _labels(self, tag: str, kinds: Iterable[str] = ()) -> dict[str, float]:
        """Labels that add a component, with the share of its amount that levels count."""
        return {
            key: counted_share(label, tag)
            for key, label in self.result.labels.items()
            if tag in label.added and (not kinds or label.kind in kinds)
        }

    def _of_labels(self, tag: str, day: int, trip: str, labels: dict[str, float]) -> str:
        """Shares of what labels add, mixes taken apart."""
        composition = self.composition
        row = composition.packed_rows[day]
        terms = [
            f"{composition.grams_at(row, leaf)}*N({composition.at(leaf, tag)})*{labels[leaf.key]:g}"
            for leaf in composition.leaves
            if leaf.kind == "label" and labels.get(leaf.key)
        ]
        if trip == "shortest":
            terms += self._more_on_shortest(tag, day, labels)
        return f"(({'+'.join(terms)})/100)" if terms else "0"

    def _more_on_shortest(
        self, tag: str, day: int, labels: dict[str, float] | None = None
    ) -> Iterator[str]:
        """What the shortest trip has more of what is spread over the trip, of all or of labels."""
        composition, made_of = self.composition, leaves_of(self.result)
        spread = {
            portion.item.casefold() for portion in self.result.plan.portions if portion.is_over_trip
        }
        for item in sorted(spread):
            leaf = leaf_of(made_of, item)
            more = f"({self.portions.times[item][0]}-1)*{self.portions.grams[item, day]}"
            if labels is None:
                yield f"{more}*N({composition.at(leaf, tag)})"
            elif labels and leaf.kind == "mix":
                raise _Unfollowed
            elif labels.get(leaf.key) and leaf.kind == "label":
                yield f"{more}*N({composition.at(leaf, tag)})*{labels[leaf.key]:g}"

    def _all(self, tag: str, day: int, trip: str) -> str:
        """All that is portioned of a component, on a trip."""
        text = f"N({self._portioned(tag, day)})"
        if trip == "shortest":
            more = "+".join(self._more_on_shortest(tag, day))
            return f"({text}+({more})/100)"
        return text

    def _counted(self, figure: Moving, day: int) -> str:
        tag, trip = figure.what, figure.trip
        row = self.daily.rows.get((self.days.names[day], tag))
        if trip == "longest" and row is not None and row.upper_basis == figure.basis:
            return f"N({self.daily.at(tag, day, 'counted')})"
        labels = self._labels(tag)
        beyond = {key: share - 1 for key, share in labels.items() if share > 1}
        supplements = self._labels(tag, ["supplement"])
        cells = {
            "packed": self._all(tag, day, trip),
            "retinol": self._all("RETOL", day, trip),
            "inactive": self._of_labels(tag, day, trip, beyond),
            "supplemental": self._of_labels(tag, day, trip, supplements),
            "added": self._of_labels(tag, day, trip, labels),
            "is_folic_acid": "TRUE" if tag == "FOLAC" else "FALSE",
        }
        return formula(COUNTED[figure.basis], cells)

    def _sodium(self, figure: Moving, day: int) -> str:
        need = self.result.needs[self.days.names[day]].sodium
        sweat = self.references.water_at("sweat", day)
        if figure.what == "first low":
            return f"N({self.references.at('NA', SALT_LOW_FIRST, 'likely', day)})"
        planned_l = self.result.needs[self.days.names[day]].sweat.likely_l
        if figure.what == "sweat" and planned_l:
            return f"{sweat}*{need.sweat_mg[1] / planned_l:.12g}"
        rules = {"last high": LINE_HIGH, "last danger": LINE_DANGER}
        if need.is_set or need.last is None or figure.what not in rules:
            return f"{figure.value / figure.times:.12g}"
        # of the planned last heat day, by the sweat of now
        a_litre = need.last.mmol_l * value("sodium_molar_mass")
        cells = line_cells(f"{need.ai_mg:.12g}", f"{sweat}*{a_litre:.12g}")
        cells["cdrr"] = f"{need.cdrr_mg:.12g}"
        cells["line_high"] = formula(LINE_HIGH, cells)
        return formula(rules[figure.what], cells)

    def _food_water(self, figure: Moving, day: int) -> str:
        moisture = "0"
        if "WATER" in self.composition.rows:
            moisture = f"N({self.daily.at('WATER', day, 'likely')})/1000"
        return f"({self.stores.soaking_at(day)}+{moisture})"

    def _beside_food(self, figure: Moving, day: int) -> str:
        return f"(0-{self._food_water(figure, day)})"

    def _soaking(self, figure: Moving, day: int) -> str:
        return self.stores.soaking_at(day)

    # ---- of the trip

    def _length(self, figure: Moving) -> str:
        return f"SUM({self.days.counts_area('longest')})"

    def _ratio(self, figure: Moving) -> str:
        return f"N({self.daily.at(figure.what, len(self.days.names), 'ratio')})"

    def _carried(self, figure: Moving) -> str:
        length = self._length(figure)
        lasts = self.stores.lasts_at(figure.what)
        return f'IF({lasts}="",{length},MIN({lasts},{length}))'

    def _deficit(self, figure: Moving) -> str:
        at, length = self.stores.trip_at, self._length(figure)
        spent = self.daily.at("ENERC_KCAL", len(self.days.names), "reference")
        lost = f"(0-100*{at('mass', 'longest')}/{self.days.mass_at})"
        cells = {
            "lacking": f"(0-100*{at('gap', 'longest')}/{spent})",
            "lost": lost,
            "weekly": f"({lost}/{length}*7)",
        }
        if figure.what not in cells:
            raise _Unfollowed
        return cells[figure.what]


def _known(cell: str) -> str:
    """An amount; where it is not known, an error, which is no caution."""
    return f'IF({cell}="",NA(),{cell})'


def _most(texts: Iterable[str]) -> str:
    return f"MAX({','.join(texts)})"


_OF_DAY: dict[str, Callable[[_Amounts, Moving, int], str]] = {
    "grams": _Amounts._grams,
    "likely": _Amounts._likely,
    "eaten": _Amounts._eaten,
    "known": _Amounts._known_share,
    "added": _Amounts._added,
    "counted": _Amounts._counted,
    "sodium": _Amounts._sodium,
    "food water": _Amounts._food_water,
    "beside food": _Amounts._beside_food,
    "soaking": _Amounts._soaking,
}
_OF_TRIP: dict[str, Callable[[_Amounts, Moving], str]] = {
    "length": _Amounts._length,
    "ratio": _Amounts._ratio,
    "carried": _Amounts._carried,
    "deficit": _Amounts._deficit,
}
