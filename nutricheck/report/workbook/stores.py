"""Sheets of supply: how long each item lasts, what the pack weighs, for how many days it is
enough, what the energy balance does to body mass; and the same day by day. The rules are those of
:mod:`nutricheck.stock.supply`.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import numpy.typing as npt

from nutricheck.facts.components import BY_TAG
from nutricheck.intake.leaves import Leaf
from nutricheck.needs.sodium import SALT_LOW_EVERY_DAY
from nutricheck.plan.trip_days import trip_days
from nutricheck.report.words import by_day_words
from nutricheck.report.workbook.cells import (
    PERCENT,
    Chart,
    Formula,
    Head,
    Series,
    Sheet,
    amount_format,
    height_of,
    letter,
    link,
)
from nutricheck.report.workbook.per_100g import leaf_of, leaves_of
from nutricheck.report.workbook.sheets import Sheets
from nutricheck.report.workbook.trail_drinks import (
    Drink,
    drinks_of,
    packed_formulas,
    put_drinks,
)
from nutricheck.rows import EnergyDay, Enough, StoredItem, rows_of
from nutricheck.rules.expression import formula
from nutricheck.rules.formulas import (
    BALANCE_ABOVE,
    BALANCE_BELOW,
    EATEN_SHARE,
    LASTS,
    LASTS_MEAN,
    LEFT,
    MASS_CHANGE,
    MASS_CHANGE_HIGH,
    MASS_CHANGE_LOW,
    MISSING,
)
from nutricheck.stock.balance import FAT_LOSS_KCAL_KG, LEAN_PERSON_KCAL_KG, USUAL_KCAL_KG
from nutricheck.stock.supply import COLUMNS, TRIPS, eaten_share

if TYPE_CHECKING:
    from nutricheck.check_plan import Result
    from nutricheck.report.workbook.portions import Mixes

__all__ = ["NAME", "Stores", "packed_addresses", "stores_sheet"]

Array = npt.NDArray[np.float64]

NAME = "Supply"
_HEAD, _FIRST = 5, 6
_PACKED, _CONTAINER, _KCAL, _ENERGY = 3, 4, 5, 6
_TRIP_COLUMN = {"longest": 7, "shortest": 11}  # used, lasts, left, missing
_CONTENT = 15  # first of the columns of what 100 g hold
#: Days that the table goes on after the longest trip, for longer ones and for the chart.
_MORE_DAYS = 7
_NOTHING, _NEVER = "nothing", "never"


@dataclass
class Stores:
    """Both sheets, the places in the table of trips, and the first row of the kinds of day."""

    sheet: Sheet
    by_day: Sheet
    trip_rows: dict[str, int]
    trip_columns: dict[str, int]
    kinds_row: int
    item_rows: dict[str, int]
    """Case-folded item → its row"""

    def lasts_at(self, item: str) -> str:
        """Address of the days that an item lasts on the longest trip."""
        return self.sheet.at(self.item_rows[item.casefold()], _TRIP_COLUMN["longest"] + 1)

    def soaking_at(self, day: int) -> str:
        """Address of the water to soak a day's food. [L]"""
        return self.sheet.at(self.kinds_row + day, 2)

    def trip_at(self, what: str, trip: str) -> str:
        """Address of a figure of a trip."""
        return self.sheet.at(self.trip_rows[what], self.trip_columns[trip])


def packed_addresses(result: Result) -> dict[str, str]:
    """Item → address of the mass packed; settled first, as portions may spread it over days."""
    column = letter(_PACKED)
    return {
        str(item).casefold(): f"{NAME}!${column}${row}"
        for row, item in enumerate(result.supply.items["item"], start=_FIRST)
    }


@dataclass(frozen=True)
class _Supply(Sheets):
    """What all parts of the sheet need."""

    sheet: Sheet
    by_day: Sheet
    items: list[str]
    tags: list[str]
    mass: Array
    used: dict[str, Array]
    content: Array
    """items × followed components, per 100 g, NaN unknown"""
    balance: dict[tuple[str, str], EnergyDay]
    """(trip, day) → row of the energy balance"""
    enough: dict[tuple[str, str], Enough]
    """(trip, component) → row of what is enough"""
    boxes_g: float
    drinks: list[Drink]
    """Those whose parts follow what is drunk"""
    packed: dict[str, str]
    """item → formula of what is packed of a drink, or left of its part"""

    def far_column(self, place: int) -> str:
        """Address of a column of the table of items, for other sheets."""
        return self.sheet.area(_FIRST, place, self.last, place)

    @property
    def last(self) -> int:
        return _FIRST + len(self.items) - 1

    def column(self, place: int) -> str:
        """Address of a column of the table of items, on this sheet."""
        return f"${letter(place)}${_FIRST}:${letter(place)}${self.last}"

    @property
    def in_order(self) -> tuple[str, ...]:
        """The trips that follow the plan's order of days."""
        return self.result.supply.in_order

    def kind_column(self, trip: str) -> int:
        """On the sheet day by day: the kind of each day of a trip in order; behind it, how many
        days of each kind there were so far."""
        before = (1 + len(self.days.names)) * self.in_order.index(trip)
        return 2 + len(TRIPS) * (2 + len(self.tags)) + before

    def grams_on(self, kind: int) -> str:
        """Address of the grams of all items on a kind of day, one below the other."""
        first, last = (self.portions.grams[item, kind] for item in (self.items[0], self.items[-1]))
        return f"{first}:{last.partition('!')[2]}"

    def times_on(self, trip: str) -> str:
        """Address of how many times the longest trip's grams a trip takes of each item, one below
        the other; empty: as many."""
        if trip == "longest" or not self.portions.times:
            return ""
        first, last = (self.portions.times[item][0] for item in (self.items[0], self.items[-1]))
        return f"{first}:{last.partition('!')[2]}"


def stores_sheet(sheets: Sheets, mixes: Mixes) -> Stores:
    """Items, trips, sufficiency and day by day."""
    result = sheets.result
    frame = result.supply.items
    items = [str(item).casefold() for item in frame["item"]]
    enough = {(row.trip, row.component): row for row in rows_of(result.supply.enough, Enough)}
    tags = list(dict.fromkeys(tag for _, tag in enough))
    leaves = leaves_of(result)
    item_leaves = {item: leaf_of(leaves, item) for item in items}
    places = [list(BY_TAG).index(tag) for tag in tags]
    is_eaten = frame["is_eaten"].to_numpy(dtype=bool)
    content = np.array([sheets.composition.content(item_leaves[item])[places] for item in items])
    content[~is_eaten] = 0.0
    mass = frame["mass_g"].to_numpy(dtype=float)
    used = {trip: frame[COLUMNS[trip].used_g].to_numpy(dtype=float) for trip in TRIPS}
    on_longest = used["longest"] * sheets.days.length("longest")
    drinks = drinks_of(
        result,
        mixes,
        dict(zip(items, mass.tolist(), strict=True)),
        dict(zip(items, on_longest.tolist(), strict=True)),
    )
    trips_first = _FIRST + len(items) + 3
    enough_first = trips_first + len(_TRIP_LINES) + 4
    kinds_first = enough_first + len(tags) + 5
    drinks_first = kinds_first + 3 + len(sheets.days.names) + 3
    supply = _Supply(
        **vars(sheets),
        sheet=Sheet(NAME, heading_row=_HEAD, frozen_columns=1, heading_rows=0),
        by_day=Sheet("Day by day", heading_row=_HEAD, frozen_columns=1, heading_rows=2),
        items=items,
        tags=tags,
        mass=mass,
        used=used,
        content=content,
        balance={
            (trip, row.day): row
            for trip, balance in result.balance.items()
            for row in rows_of(balance.days, EnergyDay)
        },
        enough=enough,
        boxes_g=float(frame["container_mass_g"].sum()) + result.supply.carried_g,
        drinks=drinks,
        packed=packed_formulas(drinks, drinks_first),
    )
    stores = Stores(
        supply.sheet,
        supply.by_day,
        {key: trips_first + 2 + place for place, (key, *_) in enumerate(_TRIP_LINES)},
        {"longest": 3, "shortest": 4},
        kinds_first + 3,
        {item: row for row, item in enumerate(items, start=_FIRST)},
    )
    supply.sheet.breaks.append(enough_first - 1)
    _put_items(supply, item_leaves)
    _put_by_day(supply, enough_first)
    _put_kinds(supply, kinds_first, stores)
    _put_enough(supply, enough_first)
    _put_trips(supply, trips_first, kinds_first, stores)
    if drinks:
        days = f"SUM({supply.days.counts_area('longest')})"
        drunk = {key: f"{supply.portions.used[key, 'longest']}*{days}" for key in items}
        put_drinks(supply.sheet, drinks, drinks_first, drunk, _CONTENT - 1)
    supply.sheet.print_columns = _CONTENT - 1
    return stores


# ---------------------------------------------------------------- items


def _put_items(supply: _Supply, item_leaves: Mapping[str, Leaf]) -> None:
    sheet, result = supply.sheet, supply.result
    sheet.put_groups(_HEAD - 1, _groups(supply.tags))
    heads = [
        Head("item", "Item", 22),
        Head("container", "Container", 12),
        Head("packed", "Packed, g", 9, "Change this: net mass in the pack.", True),
        Head("box", "Container, g", 9, "Change this: it stays when the food is eaten.", True),
        Head("kcal", "kcal per g", 7, "From the sheet Per 100 g."),
        Head("energy", "Energy, kcal", 9),
    ]
    for trip in TRIPS:
        heads += [
            Head("used", "Used a day, g", 10.2, f"A mean day of the {trip} trip: Portions."),
            Head("lasts", "Lasts, days", 10.2, "Packed / used a day."),
            Head("left", "Left at the end, g", 10.2),
            Head("missing", "Missing at the end, g", 10.2),
        ]
    heads += [Head(tag, f"{BY_TAG[tag].name}, {BY_TAG[tag].unit}", 12) for tag in supply.tags]
    heads += [
        Head(f"whole {trip}", f"Whole days, {trip} trip", 11, "In the order of the days.")
        for trip in supply.in_order
    ]
    sheet.put_heads(_HEAD, heads)
    sheet.put_title(
        "Supply",
        f"What is packed against what is used. {by_day_words(result.supply)} Change the yellow "
        f"cells.{_LEGS_WORDS if result.legs else ''}{_drinks_words(supply)}",
        12,
    )
    items = zip(supply.items, rows_of(result.supply.items, StoredItem), strict=True)
    for place, (item, item_row) in enumerate(items):
        row = _FIRST + place
        words = item_row.container if item_row.is_eaten else _why_not_eaten(item_row.item, result)
        sheet.put(row, 1, item_row.item, "text")
        sheet.put(row, 2, words, "faint")
        if item in supply.packed:
            left = Formula(supply.packed[item], item_row.mass_g)
            sheet.put(row, _PACKED, left, "calculated|#,##0.#")
        else:
            sheet.put(row, _PACKED, item_row.mass_g, "input|#,##0.#")
        sheet.put(row, _CONTAINER, item_row.container_mass_g or None, "input|#,##0.#")
        for offset, tag in enumerate(supply.tags):
            at = supply.composition.at(item_leaves[item], tag)
            # what cannot be eaten as packed covers nothing
            value = link(at, float(supply.content[place, offset])) if item_row.is_eaten else 0.0
            shown = amount_format(BY_TAG[tag].decimals)
            sheet.put(row, _CONTENT + offset, value, f"calculated|{shown}")
        energy = f"{letter(_CONTENT + supply.tags.index('ENERC_KCAL'))}{row}"
        kcal, packed = f"{letter(_KCAL)}{row}", f"{letter(_PACKED)}{row}"
        per_g = Formula(f'IF({energy}="","",{energy}/100)', item_row.kcal_per_g)
        whole = Formula(f'IF({kcal}="","",{packed}*{kcal})', item_row.energy_kcal)
        sheet.put(row, _KCAL, per_g, "calculated|0.00")
        sheet.put(row, _ENERGY, whole, "calculated|#,##0")
        for trip in TRIPS:
            _put_lasting(supply, row, item, item_row, trip)
    sheet.name_area("packed_grams", (_FIRST, _PACKED), (supply.last, _PACKED))
    sheet.name_area("container_grams", (_FIRST, _CONTAINER), (supply.last, _CONTAINER))
    sheet.number_inputs.append(f"{letter(_PACKED)}{_FIRST}:{letter(_CONTAINER)}{supply.last}")
    _put_totals(supply)


def _drinks_words(supply: _Supply) -> str:
    """What drinks made on the way do to what is packed; empty where none is made."""
    if supply.drinks:
        return (
            " What drinks made on the way take of their parts stands in the last table; what is "
            "packed of those parts is changed there."
        )
    if supply.result.ferments:
        return (
            " Drinks made on the way take from the pack what the plan sets aside for them. If you "
            "change their portions, change it here too."
        )
    return ""


def _why_not_eaten(item: str, result: Result) -> str:
    return "left at home" if item in result.left else "cannot be eaten as packed"


def _groups(tags: list[str]) -> list[tuple[str, int, int]]:
    """Headings above the headings of the table of items."""
    return [
        ("What is packed", 1, _ENERGY),
        *((f"{trip} trip", first, first + 3) for trip, first in _TRIP_COLUMN.items()),
        ("In 100 g", _CONTENT, _CONTENT + len(tags) - 1),
    ]


def _put_lasting(supply: _Supply, row: int, item: str, stored_item: StoredItem, trip: str) -> None:
    """Use, days it lasts, left and missing of one item on one trip."""
    sheet, first = supply.sheet, _TRIP_COLUMN[trip]
    if item in supply.result.plan.found_names:  # it is not carried
        sheet.put(row, first, 0.0, "calculated|#,##0.0")
        sheet.put_row(row, first + 1, (None, 0.0, 0.0), "calculated|#,##0")
        return
    used, packed = f"{letter(first)}{row}", f"{letter(_PACKED)}{row}"
    days = f"SUM({supply.days.counts_area(trip)})"
    cells = {"packed": packed, "used": used, "days": days}
    lasts = f'IF({used}>0,{formula(LASTS_MEAN, cells)},"")'
    if trip in supply.in_order:
        whole = _put_whole_days(supply, row, item, stored_item, trip)
        before, after = (_eaten_by(supply, row, trip, f"{whole}+{more}") for more in (1, 2))
        in_order = formula(LASTS, cells | {"whole_days": whole, "before": before, "after": after})
        lasts = f"IF({days}>{_table_days(supply)},{lasts},{in_order})"
    use = stored_item.on(trip)
    values = [
        (supply.portions.used[item, trip], use.used_g, "#,##0.0"),
        (lasts, use.lasts_days, "#,##0.0"),
        (formula(LEFT, cells), use.left_g, "#,##0"),
        (formula(MISSING, cells), use.missing_g, "#,##0"),
    ]
    for column, (text, value, shown) in enumerate(values, start=first):
        sheet.put(row, column, Formula(text, float(value)), f"calculated|{shown}")


def _item_on(supply: _Supply, item: str, kind: int, trip: str) -> str:
    """The grams of an item on a kind of day of a trip."""
    grams = supply.portions.grams[item, kind]
    if trip == "longest" or item not in supply.portions.times:
        return grams
    return f"{grams}*{supply.portions.times[item][0]}"


def _eaten_by(supply: _Supply, row: int, trip: str, place: str) -> str:
    """Grams of the item in this row that a trip in order eats up to a row of its days."""
    item = supply.items[row - _FIRST]
    first, last = _HEAD + 1, _HEAD + 1 + _table_days(supply)
    terms = []
    for kind in range(len(supply.days.names)):
        column = supply.kind_column(trip) + 1 + kind
        so_far = supply.by_day.area(first, column, last, column)
        terms.append(f"INDEX({so_far},{place})*{_item_on(supply, item, kind, trip)}")
    return f"({'+'.join(terms)})"


def _put_whole_days(
    supply: _Supply, row: int, item: str, stored_item: StoredItem, trip: str
) -> str:
    """Beside the table: whole days that an item lasts on a trip in order; its address."""
    column = _CONTENT + len(supply.tags) + supply.in_order.index(trip)
    first, last = _HEAD + 2, _HEAD + 1 + _table_days(supply)
    eaten = "+".join(
        f"{supply.by_day.area(first, place, last, place)}*{_item_on(supply, item, kind, trip)}"
        for kind in range(len(supply.days.names))
        for place in [supply.kind_column(trip) + 1 + kind]
    )
    days = supply.by_day.area(first, 1, last, 1)
    length = f"SUM({supply.days.counts_area(trip)})"
    packed = f"${letter(_PACKED)}{row}"
    text = f"SUMPRODUCT(({days}<={length})*({eaten}<={packed}+0.000000001))"
    lasts = stored_item.on(trip).lasts_days
    days_count = supply.days.length(trip)
    whole = days_count if math.isnan(lasts) else min(days_count, int(lasts + 1e-9))
    supply.sheet.put(row, column, Formula(text, float(whole)), "calculated|0")
    return f"${letter(column)}{row}"


def _put_totals(supply: _Supply) -> None:
    row, sheet, frame = supply.last + 1, supply.sheet, supply.result.supply.items
    sheet.put_row(row, 1, ("all items", None), "mean text")
    totals = {
        _PACKED: "mass_g",
        _CONTAINER: "container_mass_g",
        _ENERGY: "energy_kcal",
        **{_TRIP_COLUMN[trip]: f"used_{trip}_g" for trip in TRIPS},
        **{_TRIP_COLUMN[trip] + 2: f"left_{trip}_g" for trip in TRIPS},
        **{_TRIP_COLUMN[trip] + 3: f"missing_{trip}_g" for trip in TRIPS},
    }
    for column in range(_PACKED, _CONTENT):
        if column in totals:
            text = f"SUM({supply.column(column)})"
            sheet.put(row, column, Formula(text, float(frame[totals[column]].sum())), "mean|#,##0")
        else:
            sheet.put(row, column, None, "mean")


# ---------------------------------------------------------------- the trips

#: Lines of the table of trips: key, words, unit, number format.
_TRIP_LINES = [
    ("days", "Length", "day", "#,##0"),
    ("food", "Food carried at the start", "g", "#,##0"),
    ("boxes", "Containers", "g", "#,##0"),
    ("kcal per g", "Energy density of the food", "kcal/g", "0.00"),
    ("energy a day", "Energy packed for each day", "kcal", "#,##0"),
    ("out", "Runs out first", "", ""),
    ("out day", "on day", "", "0"),
    ("eaten", "Planned energy the pack gives", "", PERCENT),
    ("gap low", "Energy balance, low", "kcal/day", "#,##0"),
    ("gap", "Energy balance, likely", "kcal/day", "#,##0"),
    ("gap high", "Energy balance, high", "kcal/day", "#,##0"),
    ("mass low", "Change of body mass, low", "kg", "0.0"),
    ("mass", "Change of body mass, likely", "kg", "0.0"),
    ("mass high", "Change of body mass, high", "kg", "0.0"),
]


def _put_trips(supply: _Supply, row: int, kinds: int, stores: Stores) -> None:
    """One column per trip: masses, what runs out first, the energy balance."""
    sheet, result = supply.sheet, supply.result
    sheet.put_section(row, "The trips", _CONTENT - 1)
    sheet.put_row(row + 1, 1, (None, "Unit"), "head")
    sheet.heights[row + 1] = height_of(2) + 4
    for trip, column in stores.trip_columns.items():
        sheet.put(row + 1, column, f"{trip} trip", "head")
    rows = row + 2
    first, last = kinds + 3, kinds + 2 + len(supply.days.names)
    for place, (_, label, unit, _) in enumerate(_TRIP_LINES):
        sheet.put(rows + place, 1, label, "text")
        sheet.put(rows + place, 2, unit, "faint")
    for trip, column in stores.trip_columns.items():
        c = {key: f"{letter(column)}{at}" for key, at in stores.trip_rows.items()}
        trip_row, balance = result.supply.trips.loc[trip], result.balance[trip]
        lasts = supply.column(_TRIP_COLUMN[trip] + 1)
        soonest = f"IF(COUNT({lasts})=0,1E9,MIN({lasts}))"
        ends = f"{soonest}<{c['days']}-0.000000001"
        kcal, used, missing = (
            supply.column(place) for place in (_KCAL, _TRIP_COLUMN[trip], _TRIP_COLUMN[trip] + 3)
        )
        planned = f"SUMPRODUCT({used},{kcal})"
        counts = supply.days.counts_area(trip)
        own_kinds = _kind_columns(trip)
        sums = {
            end: f"${letter(own_kinds[end])}${first}:${letter(own_kinds[end])}${last}"
            for end in ("low", "likely", "high")
        }
        a_day = {
            end: f'IF(OR({c["days"]}=0,SUMPRODUCT({counts},--NOT(ISNUMBER({area_})))>0),"",'
            f"SUMPRODUCT({counts},{area_})/{c['days']})"
            for end, area_ in sums.items()
        }
        out = str(trip_row["first_out"])
        values: list[tuple[str, str, float | str]] = [
            ("days", f"SUM({counts})", float(trip_row["days"])),
            ("food", f"SUM({supply.column(_PACKED)})", float(trip_row["food_g"])),
            ("boxes", f"SUM({supply.column(_CONTAINER)})", float(trip_row["containers_g"])),
            (
                "kcal per g",
                f'IF({c["food"]}=0,"",SUM({supply.column(_ENERGY)})/{c["food"]})',
                trip_row["kcal_per_g"],
            ),
            (
                "energy a day",
                f'IF({c["days"]}=0,"",SUM({supply.column(_ENERGY)})/{c["days"]})',
                float(trip_row["energy_kcal_per_day"]),
            ),
            (
                "out",
                f'IF({ends},INDEX({supply.column(1)},MATCH(MIN({lasts}),{lasts},0)),"{_NOTHING}")',
                out or _NOTHING,
            ),
            (
                "out day",
                f'IF({ends},INT(MIN({lasts})+0.000000001)+1,"")',
                float(trip_row["first_out_day"]),
            ),
            (
                "eaten",
                formula(
                    EATEN_SHARE,
                    {
                        "planned": planned,
                        "lacking": f"SUMPRODUCT({missing},{kcal})",
                        "days": c["days"],
                    },
                ),
                eaten_share(result.supply, trip),
            ),
            *(
                (key, a_day[end], balance.per_day_kcal[place])
                for place, (key, end) in enumerate(
                    (("gap low", "low"), ("gap", "likely"), ("gap high", "high"))
                )
            ),
            *_mass_change(c, balance.mass_change_kg),
        ]
        shown = {key: number_format for key, _, _, number_format in _TRIP_LINES}
        for key, text, value in values:
            style = f"calculated|{shown[key]}" if shown[key] else "word"
            sheet.put(stores.trip_rows[key], column, Formula(text, value), style)


def _mass_change(
    c: Mapping[str, str], kilograms: tuple[float, float, float]
) -> list[tuple[str, str, float]]:
    """Body mass change: the balance's range and that of the energy in a kilogram together."""
    cells = {name: name for name in BODY_MASS}
    for name, key in (("low", "gap low"), ("likely", "gap"), ("high", "gap high")):
        cells[name] = f"{c[key]}*{c['days']}"
    rules = {"mass low": MASS_CHANGE_LOW, "mass": MASS_CHANGE, "mass high": MASS_CHANGE_HIGH}
    texts = ((key, f'IF({c["gap"]}="","",{formula(rule, cells)})') for key, rule in rules.items())
    return [(key, text, value) for (key, text), value in zip(texts, kilograms, strict=True)]


#: Name → value, unit, source of the figures that body mass follows from.
BODY_MASS = {
    "kcal_per_kg": (USUAL_KCAL_KG, "energy of a kilogram of body mass, likely"),
    "kcal_per_kg_lean": (LEAN_PERSON_KCAL_KG, "the same in a lean person with 10 kg of fat"),
    "kcal_per_kg_fat": (FAT_LOSS_KCAL_KG, "the same where fat alone goes"),
}


# ---------------------------------------------------------------- kinds of day


def _kind_columns(trip: str) -> dict[str, int]:
    first = 3 if trip == "longest" else 8
    keys = ("eaten", "used", "low", "likely", "high")
    return {key: first + place for place, key in enumerate(keys)}


def _put_kinds(supply: _Supply, row: int, stores: Stores) -> None:
    """Energy balance and soaking water of each kind of day."""
    sheet, days = supply.sheet, supply.days
    title = "Energy balance of each kind of day, kcal, and water to soak its food"
    sheet.put_section(row, title, _CONTENT - 1)
    groups = [
        (f"{trip} trip", min(columns), max(columns)) for trip, columns in _both(_kind_columns)
    ]
    sheet.put_groups(row + 1, [("Kind of day", 1, 2), *groups])
    sheet.put_row(row + 2, 1, (None, "Water to soak the food, L"), "head")
    for trip in TRIPS:
        heads = ("eaten", "used", "balance, low", "likely", "high")
        for column, head in zip(_kind_columns(trip).values(), heads, strict=True):
            sheet.put(row + 2, column, head, "head")
    sheet.heights[row + 2] = height_of(2) + 4
    soak = supply.composition.leaf_area(supply.composition.soak_row)
    litres = supply.result.supply.rehydration["litres"].to_numpy(dtype=float)
    for day, name in enumerate(days.names):
        at = row + 3 + day
        sheet.put(at, 1, Formula(days.name_at(day), name), "text")
        grams = supply.composition.leaf_area(supply.composition.gram_rows[day])
        text = f"SUMPRODUCT({grams},{soak})/100/1000"
        sheet.put(at, 2, Formula(text, float(litres[day])), "calculated|0.0")
        for trip in TRIPS:
            _put_kind(supply, at, day, trip, stores)


def _both(columns: Callable[[str], dict[str, int]]) -> list[tuple[str, list[int]]]:
    """Each trip with the columns of its part of a table."""
    return [(trip, list(columns(trip).values())) for trip in TRIPS]


def _put_kind(supply: _Supply, row: int, day: int, trip: str, stores: Stores) -> None:
    """Energy eaten and used on a kind of day; what is no longer in the pack is not eaten."""
    columns = _kind_columns(trip)
    c = {key: f"{letter(place)}{row}" for key, place in columns.items()}
    share = f"${letter(stores.trip_columns[trip])}${stores.trip_rows['eaten']}"
    likely, low, high = (
        supply.daily.at("ENERC_KCAL", day, key) for key in ("likely", "low", "high")
    )
    ends = ("likely", "low", "high")
    need, need_low, need_high = (
        supply.references.end_at("ENERC_KCAL", "target", end, day) for end in ends
    )
    day_balance = supply.balance[trip, supply.days.names[day]]
    blank = f'IF({likely}="","",'
    if times := supply.times_on(trip):
        more = f"SUMPRODUCT({supply.grams_on(day)},{times}-1,{supply.column(_KCAL)})"
        stretched = f"IF({likely}=0,1,1+{more}/{likely})"
        likely, low, high = (f"({end}*{stretched})" for end in (likely, low, high))
    cells = {"low": low, "likely": likely, "high": high, "eaten_share": share}
    cells |= {"need_low": need_low, "need": need, "need_high": need_high}
    down, up = (formula(rule, cells) for rule in (BALANCE_BELOW, BALANCE_ABOVE))
    values = [
        ("eaten", f"{blank}{likely}*{share})", day_balance.intake),
        ("used", need, day_balance.need),
        ("low", f"{blank}{c['eaten']}-{c['used']}-{down})", day_balance.low),
        ("likely", f"{blank}{c['eaten']}-{c['used']})", day_balance.likely),
        ("high", f"{blank}{c['eaten']}-{c['used']}+{up})", day_balance.high),
    ]
    for key, text, value in values:
        supply.sheet.put(row, columns[key], Formula(text, float(value)), "calculated|#,##0")


# ---------------------------------------------------------------- enough, and day by day


def _enough_columns(trip: str) -> dict[str, int]:
    first = 3 if trip == "longest" else 9
    keys = ("per day", "target", "low", "likely", "high", "below")
    return {key: first + place for place, key in enumerate(keys)}


def _put_enough(supply: _Supply, row: int) -> None:
    """For how many days the packed amount meets the mean target, and when portions miss it."""
    sheet, days, refs = supply.sheet, supply.days, supply.references
    sheet.put_section(row, "For how many days what is packed is enough", _CONTENT - 1)
    groups = [
        (f"{trip} trip", min(columns), max(columns)) for trip, columns in _both(_enough_columns)
    ]
    sheet.put_groups(row + 1, [("Nutrient", 1, 2), *groups])
    sheet.put_row(row + 2, 1, (None, "Unit"), "head")
    heads = ("packed a day", "target", "enough days, low", "likely", "high", "first too little on")
    for trip in TRIPS:
        for column, head in zip(_enough_columns(trip).values(), heads, strict=True):
            sheet.put(row + 2, column, head, "head")
    sheet.heights[row + 2] = height_of(3) + 4
    sheet.notes[row + 2, _enough_columns("longest")["below"]] = (
        "First day on which the portions still in the pack give less than the mean aim."
    )
    for place, tag in enumerate(supply.tags):
        at = row + 3 + place
        component = BY_TAG[tag]
        sheet.put(at, 1, component.name, "text")
        sheet.put(at, 2, component.unit, "said")
        content = supply.column(_CONTENT + place)
        packed = supply.column(_PACKED)
        total = f"SUMPRODUCT({packed},{content})/100"
        some = f"COUNT({content})=0"
        for trip in TRIPS:
            columns = _enough_columns(trip)
            stock = supply.enough[trip, tag]
            length = f"SUM({days.counts_area(trip)})"
            counts = refs.counts_area(trip)
            role = _role(tag)
            target, low, high = (
                f"SUMPRODUCT({counts},{refs.days_area(tag, role, end)})"
                if (tag, role, end) in refs.lines
                else ""
                for end in ("likely", "low", "high")
            )
            low, high = low or target, high or target
            of_each = amount_format(component.decimals)
            blank = f"IF(OR({some},{length}=0"
            ends = [
                f'{blank},{over}=0),"",{total}*{length}/{over})' for over in (high, target, low)
            ]
            values: list[tuple[str, str, float | str, str]] = [
                (
                    "per day",
                    f'{blank}),"",{total}/{length})',
                    stock.per_day,
                    of_each,
                ),
                ("target", f'IF({length}=0,"",{target}/{length})', stock.target, of_each),
                ("low", ends[0], stock.enough_days_low, "0.0"),
                ("likely", ends[1], stock.enough_days, "0.0"),
                ("high", ends[2], stock.enough_days_high, "0.0"),
                _below(supply, trip, place, length, sheet.at(at, columns["per day"]), stock),
            ]
            for key, text, value, shown in values:
                role = "word" if key == "below" else "calculated"
                sheet.put(at, columns[key], Formula(text, value), f"{role}|{shown}")


def _day_columns(trip: str, count: int) -> dict[str, int]:
    """Columns of a trip in the table day by day: food, pack, then the followed components."""
    first = 2 if trip == "longest" else 2 + 2 + count
    return {"food": first, "pack": first + 1, "first": first + 2}


def _below(
    supply: _Supply, trip: str, place: int, length: str, per_day: str, enough: Enough
) -> tuple[str, str, float | str, str]:
    """First day below the target: what is eaten only falls, so days below are the last ones."""
    column, last = _day_columns(trip, len(supply.tags))["first"] + place, _table_days(supply)
    first = _HEAD + 2
    shares = supply.by_day.area(first, column, first + last - 1, column)
    days = supply.by_day.area(first, 1, first + last - 1, 1)
    is_below = f"({days}<={length})*({shares}<1-0.000000001)"
    count = f"SUMPRODUCT({is_below})"
    first_day = f"{length}-{count}+1"
    if trip in supply.in_order:  # a day of much sweat may miss what the next one reaches
        first_day = f"SUMPRODUCT(MIN({days}+1000000*(1-{is_below})))"
    text = f'IF({length}>{last},"see Day by day",IF({count}=0,"{_NEVER}",{first_day}))'
    day = _NEVER if math.isnan(enough.falls_below_day) else enough.falls_below_day
    # of a pack of which nothing is known no day is known to be short
    value = "" if math.isnan(enough.per_day) else day
    return "below", f'IF({per_day}="","",{text})', value, "0"


def _table_days(supply: _Supply) -> int:
    return supply.days.length("longest") + _MORE_DAYS


#: Said where the plan has legs.
_LEGS_WORDS = (
    " Here the food of all legs counts as carried from the start. Overview has each leg's weight."
)


def _put_by_day(supply: _Supply, enough: int) -> None:
    """Mass carried and what the portions still in the pack give, day by day."""
    sheet, count = supply.by_day, len(supply.tags)
    sheet.widths[1] = 8
    groups = [
        (f"{trip} trip", columns["food"], columns["first"] + count - 1)
        for trip in TRIPS
        for columns in (_day_columns(trip, count),)
    ]
    sheet.put_groups(_HEAD - 1, groups)
    sheet.put(_HEAD - 1, 1, None, "head")
    heads = [Head("day", "Day", 8)]
    for _ in TRIPS:
        heads += [
            Head("food", "Food left, g", 8.8, "After the day; day 0 is the start."),
            Head("pack", "With containers, g", 8.8, "Containers stay when they are empty."),
            *(
                Head(tag, BY_TAG[tag].name, 8.8, "What the food in the pack gives of the aim.")
                for tag in supply.tags
            ),
        ]
    sheet.put_heads(_HEAD, heads)
    sheet.put_title(
        "Day by day",
        "Mass carried after each day, and what the food still in the pack gives of the "
        f"{'day' if supply.in_order else 'mean'}'s aim, also beyond the end of the trip."
        + (_ORDER_WORDS if supply.in_order else "")
        + (_LEGS_WORDS if supply.result.legs else ""),
        9,
    )
    for trip in supply.in_order:
        _put_order(supply, trip)
    targets = {
        trip: {
            tag: (
                supply.sheet.at(enough + 3 + place, _enough_columns(trip)["target"]),
                supply.far_column(_CONTENT + place),
            )
            for place, tag in enumerate(supply.tags)
        }
        for trip in TRIPS
    }
    for day in range(_table_days(supply) + 1):
        sheet.put(_HEAD + 1 + day, 1, float(day), "text|0")
        for trip in TRIPS:
            _put_day(supply, day, trip, targets[trip])
    _put_charts(supply)


_ORDER_WORDS = (
    " On the right are the kinds of day in the plan's order. To change one, write another "
    "kind over it. Days without a kind count as evenly mixed."
)


def _order_shares(supply: _Supply, trip: str) -> Array:
    """Share of each kind on each day of the table: the plan's order, then the mean of the trip."""
    days_of_trip = trip_days(supply.result.plan.days, supply.result.plan.order, trip)
    mean = days_of_trip.counts / days_of_trip.length
    more = np.tile(mean, (_table_days(supply) - days_of_trip.length, 1))
    return np.concatenate([days_of_trip.shares, more])


def _put_order(supply: _Supply, trip: str) -> None:
    """The kind of each day, and how many days of each kind there were so far."""
    sheet, names, first = supply.by_day, supply.days.names, supply.kind_column(trip)
    sheet.put_groups(_HEAD - 1, [(f"order, {trip} trip", first, first + len(names))])
    heads = [Head("kind", "Kind of day", 16, "Write another kind over it.")]
    heads += [Head(name, f"{name}, days so far", 11, "Counted up to this day.") for name in names]
    sheet.put_heads(_HEAD, heads, first)
    kinds = trip_days(supply.result.plan.days, supply.result.plan.order, trip).kind_of_day()
    so_far = np.cumsum(_order_shares(supply, trip), axis=0)
    length = f"SUM({supply.days.counts_area(trip)})"
    for day in range(_table_days(supply) + 1):
        row = _HEAD + 1 + day
        if 0 < day <= len(kinds):
            at = supply.days.name_at(names.index(kinds[day - 1]))
            sheet.put(row, first, Formula(at, kinds[day - 1]), "input")
        else:
            sheet.put(row, first, None, "input" if day else "text")
        kind = f"${letter(first)}{row}"
        for place in range(len(names)):
            column = first + 1 + place
            if not day:
                sheet.put(row, column, 0.0, "calculated|0.0")
                continue
            mean = f"IF({length}=0,0,{supply.days.count_at(place, trip)}/{length})"
            share = f'IF({kind}="",{mean},IF({kind}={supply.days.name_at(place)},1,0))'
            text = f"{letter(column)}{row - 1}+{share}"
            sheet.put(row, column, Formula(text, float(so_far[day - 1, place])), "calculated|0.0")


def _so_far(supply: _Supply, trip: str, row: int) -> list[str]:
    """Cells of the days of each kind so far."""
    first = supply.kind_column(trip) + 1
    return [f"${letter(first + kind)}{row}" for kind in range(len(supply.days.names))]


def _left_in_order(supply: _Supply, trip: str, row: int) -> str:
    """What is left of each item after the day of a row of a trip in order."""
    times = f"*{trip_times}" if (trip_times := supply.times_on(trip)) else ""
    terms = (
        f"-{so_far}*{supply.grams_on(kind)}{times}"
        for kind, so_far in enumerate(_so_far(supply, trip, row))
    )
    return f"({supply.far_column(_PACKED)}{''.join(terms)})"


def _wanted(supply: _Supply, trip: str) -> Array:
    """What each day of the table uses of each item, days × items. [g]"""
    grams = supply.result.portioned_on(trip).grams
    places = {str(item).casefold(): place for place, item in enumerate(grams)}
    columns = grams.to_numpy(dtype=float)[:, [places[item] for item in supply.items]]
    found: Array = _order_shares(supply, trip) @ columns
    return found


def _put_day(supply: _Supply, day: int, trip: str, targets: Mapping[str, tuple[str, str]]) -> None:
    """One day of one trip."""
    sheet, columns = supply.by_day, _day_columns(trip, len(supply.tags))
    row = _HEAD + 1 + day
    packed, use, boxes = (
        supply.far_column(place) for place in (_PACKED, _TRIP_COLUMN[trip], _CONTAINER)
    )
    left = f"({packed}-{day}*{use})" if day else packed
    grams = np.clip(supply.mass - day * supply.used[trip], 0.0, None)
    if trip in supply.in_order:
        left = _left_in_order(supply, trip, row)
        grams = np.clip(supply.mass - _wanted(supply, trip)[:day].sum(axis=0), 0.0, None)
    food = letter(columns["food"])
    text = f"SUMPRODUCT(({left}>0)*{left})"
    sheet.put(row, columns["food"], Formula(text, float(grams.sum())), "calculated|#,##0")
    others_g = supply.result.supply.carried_g
    carried = f"+{others_g:.12g}" if others_g else ""
    whole = Formula(f"{food}{row}+SUM({boxes}){carried}", float(grams.sum()) + supply.boxes_g)
    sheet.put(row, columns["pack"], whole, "calculated|#,##0")
    if day:
        _put_shares(supply, row, day, trip, columns["first"], targets)


def _put_charts(supply: _Supply) -> None:
    """The longest trip's shares and mass as lines."""
    sheet, count = supply.by_day, len(supply.tags)
    columns, last = _day_columns("longest", count), _HEAD + 1 + _table_days(supply)
    sheet.breaks.append(last + 1)

    def line(column: int, first: int) -> Series:
        return Series(sheet.at(_HEAD, column), sheet.area(first, column, last, column))

    sheet.charts += [
        Chart(
            "lines",
            "What the food still in the pack gives of each aim, longest trip",
            f"A{last + 3}",
            sheet.area(_HEAD + 2, 1, last, 1),
            tuple(line(columns["first"] + place, _HEAD + 2) for place in range(count)),
            "share of the mean aim",
            PERCENT,
            "day",
            29.0,
            12.0,
        ),
        Chart(
            "lines",
            "Mass carried after each day, longest trip",
            f"A{last + 28}",
            sheet.area(_HEAD + 1, 1, last, 1),
            (line(columns["food"], _HEAD + 1), line(columns["pack"], _HEAD + 1)),
            "g",
            "#,##0",
            "day",
            29.0,
            9.0,
        ),
    ]


def _put_shares(
    supply: _Supply,
    row: int,
    day: int,
    trip: str,
    first: int,
    targets: Mapping[str, tuple[str, str]],
) -> None:
    """Share of the target that each component still reaches on a day."""
    packed, use = (supply.far_column(place) for place in (_PACKED, _TRIP_COLUMN[trip]))
    left = f"({packed}-{day - 1}*{use})" if day > 1 else packed
    grams = np.clip(supply.mass - (day - 1) * supply.used[trip], 0.0, supply.used[trip])
    asked = {tag: supply.enough[trip, tag].target for tag in supply.tags}
    of_day = {tag: target for tag, (target, _) in targets.items()}
    if trip in supply.in_order:
        left = _left_in_order(supply, trip, row - 1)
        pairs = list(zip(_so_far(supply, trip, row), _so_far(supply, trip, row - 1), strict=True))
        times = f"*{more}" if (more := supply.times_on(trip)) else ""
        terms = (
            f"({balance}-{last})*{supply.grams_on(kind)}{times}"
            for kind, (balance, last) in enumerate(pairs)
        )
        use = f"({'+'.join(terms)})"
        wanted = _wanted(supply, trip)
        before = np.clip(supply.mass - wanted[: day - 1].sum(axis=0), 0.0, None)
        grams = np.minimum(before, wanted[day - 1])
        shares = _order_shares(supply, trip)[day - 1]
        asked = {tag: _target_of(supply.result, tag, shares) for tag in supply.tags}
        of_day = {tag: _target_in_order(supply, trip, row, tag) for tag in supply.tags}
    eaten = f"({left}>0)*(({left}<{use})*{left}+({left}>={use})*{use})"
    for place, tag in enumerate(supply.tags):
        target, content = of_day[tag], targets[tag][1]
        text = f'IF(N({target})=0,"",SUMPRODUCT({eaten},{content})/100/{target})'
        given = float(grams @ np.nan_to_num(supply.content[:, place])) / 100
        value = given / asked[tag] if asked[tag] else math.nan
        supply.by_day.put(row, first + place, Formula(text, value), f"calculated|{PERCENT}")


def _role(tag: str) -> str:
    """What is followed: of salt the least that is right every day."""
    return SALT_LOW_EVERY_DAY if tag == "NA" else "target"


def _target_of(result: Result, tag: str, shares: Sequence[float]) -> float:
    """The target of a day that holds these shares of each kind; NaN where one has none."""
    rows = result.targets
    rows = rows[(rows["component"] == tag) & (rows["role"] == _role(tag))].set_index("day")
    likely = rows["likely"].reindex(result.days["day"]).to_numpy(dtype=float)
    return float(sum(share * line for share, line in zip(shares, likely, strict=True) if share))


def _target_in_order(supply: _Supply, trip: str, row: int, tag: str) -> str:
    """The same as a formula."""
    cells = _so_far(supply, trip, row)
    day_cells = f"{cells[0]}:{cells[-1]}"
    last = day_cells.replace(f"{row}", f"{row - 1}")
    return (
        f"SUMPRODUCT({day_cells}-{last},{supply.references.days_area(tag, _role(tag), 'likely')})"
    )
