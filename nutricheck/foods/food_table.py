"""Reading a local food table: foods by id or words, composition, spread, household measures."""

from __future__ import annotations

import math
import re
import sqlite3
import weakref
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path
from typing import TYPE_CHECKING, Any

from nutricheck.errors import TableError, UnitError, UnknownFoodError, shorten
from nutricheck.facts.constants import constant
from nutricheck.foods.search import Hit, is_clear, matches_of, search
from nutricheck.foods.store import BORROWED, DERIVED, TableSource, open_store
from nutricheck.ranges import SDS_OF_RANGE

if TYPE_CHECKING:
    import numpy as np
    import numpy.typing as npt
    import pandas as pd

    _Blocks = npt.NDArray[np.float64]

__all__ = [
    "Food",
    "FoodTable",
    "is_estimate",
    "salt_iodine_log_sd",
]


_FOOD = """
SELECT food_id, description, group_code, coalesce(food_group.name, ''),
       (SELECT value FROM amount
        WHERE amount.food = food.food
          AND component = (SELECT component FROM component WHERE tag = 'WATER'))
FROM food LEFT JOIN food_group USING (group_code)
"""
# The food's own id before another id of it: an id may be an alias of another food.
_WITH_ID = """
WHERE food_id = :id OR food = (SELECT food FROM alias WHERE alias = :id)
ORDER BY food_id = :id DESC
"""
# Columns of what an amount rests on, in SQL.
_OF_BASIS = {
    "analyses": "analyses",
    "log_sd": "log_sd",
    "is_borrowed": f"CASE WHEN flag = '{BORROWED}' THEN 1.0 END",
}
#: Flags of estimates and their words.
ESTIMATES: dict[str | None, str] = {
    DERIVED: "worked out",
    BORROWED: "taken from another country's food",
}
_MOST_BY_KEY = 1000  # foods above which one scan of the amounts beats looking them up
#: What ``_blocks`` may be asked for.
FIGURES = ("value", "standard_error", "analyses", "log_sd", "is_borrowed")
#: Answers of the file are kept, for a check asks the same several times: so many, of so many rows.
_MOST_ANSWERS_KEPT, _MOST_ROWS_KEPT = 2000, 500
_MEASURE = re.compile(r"(\d+\s+\d+/\d+|\d+/\d+|\d*[.,]?\d+)\s*(.+)")
_SALT = "salt, table"
_CANDIDATES = 3
_LOOKED_AT = 10  # hits by which it is judged whether the first is surely meant
#: Measures that tables write now in full, now in short.
_SHORT_FORMS = {"tablespoon": "tbsp", "teaspoon": "tsp", "ounce": "oz"}


def salt_iodine_log_sd() -> float:
    """Standard deviation of the logarithm of iodised salt's iodine over its usual amount. [-]"""
    usual = constant("iodised_salt")
    assert usual.low is not None and usual.high is not None
    return math.log(usual.high / usual.low) / SDS_OF_RANGE


@dataclass(frozen=True)
class Food:
    """A food of the table; ``water_g`` per 100 g edible portion, NaN where unknown."""

    id: str
    description: str
    group_code: str
    group: str
    water_g: float

    def __str__(self) -> str:
        return f"{self.id} {self.description}"


class FoodTable:
    """A food table in one read-only SQLite file. Use ``open_table``.

    The file is closed by ``close``, or when nothing holds the table any more.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._db = open_store(path)
        self._close = weakref.finalize(self, self._db.close)
        self._resolved: dict[str, Food] = {}
        self._answers: dict[tuple[str, tuple[Any, ...]], list[tuple[Any, ...]]] = {}
        self._amounts_of: dict[int, npt.NDArray[np.float64]] = {}

    #: Iodine of the salt that is added, where a plan tells whether it is iodised. [ug/g]
    salt_iodine: float | None = None
    _opened: FoodTable | None = None

    def with_salt(self, is_iodised: bool | None) -> FoodTable:
        """This table, its salt iodised or not as a plan says; itself where the plan does not say.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> table = open_table().with_salt(True)
        >>> table.salt_iodine, table.values(["02047"], ["ID"])[0].item()
        (30.0, 3000.0)
        """
        if is_iodised is None:
            return self
        table = object.__new__(type(self))  # the same file: ``copy`` would open it once more
        table.__dict__.update(self.__dict__)
        table._opened = self  # closes the file when it is let go
        table.salt_iodine = constant("iodised_salt").value if is_iodised else 0.0
        return table

    @property
    def _key(self) -> tuple[object, ...]:
        return (self.path, self.salt_iodine)

    def __eq__(self, other: object) -> bool:
        return isinstance(other, FoodTable) and self._key == other._key

    def __hash__(self) -> int:
        return hash(self._key)

    def __reduce__(self) -> tuple[Any, ...]:
        return FoodTable, (self.path,)

    def close(self) -> None:
        """Close the file."""
        self._close()

    @cached_property
    def source(self) -> TableSource:
        """Where the table's figures come from."""
        row = self._rows("SELECT title, release, licence, url, sha256, built_from FROM source")[0]
        return TableSource(*row)

    @cached_property
    def units(self) -> dict[str, str]:
        """Tag → unit of the components that the table holds, in its order."""
        return dict(self._rows("SELECT tag, unit FROM component ORDER BY component"))

    def food(self, food_id: str) -> Food:
        """The food with this id; UnknownFoodError where there is none."""
        food = self.with_id(food_id)
        if food is None:
            raise UnknownFoodError(f"no food has the id {shorten(food_id)} in {self.source.title}")
        return food

    def with_id(self, food_id: str) -> Food | None:
        """The food with this id, or with this other id of it; None where there is none."""
        rows = self._rows(_FOOD + _WITH_ID, {"id": food_id})
        return _food(rows[0]) if rows else None

    def foods(self, food_ids: Sequence[str]) -> list[Food]:
        """The foods with these ids, in their order."""
        return [self.food(food_id) for food_id in food_ids]

    def search(self, text: str, limit: int = 10) -> list[Food]:
        """Foods that fit the words, plain foods first; empty where none fits.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> open_table().search("sweet potatoe")[0].description
        'Sweet potato, raw, unprepared'
        """
        exact = self._exact(text)
        hits = [hit.food_id for hit in self._hits(text, limit)]
        if exact is not None:
            hits = [exact.id, *(food_id for food_id in hits if food_id != exact.id)]
        return self.foods(hits[:limit])

    def matches(self, text: str, limit: int = 10) -> dict[str, str]:
        """Food id → how well it fits the words: "exact", "likely" or "another food".

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> open_table().matches("rajma", 1)
        {'16027': 'exact'}
        """
        exact = self._exact(text)
        named = {} if exact is None else {exact.id: "exact"}
        return named | {
            food_id: match
            for food_id, match in matches_of(self._hits(text, limit)).items()
            if food_id not in named
        }

    def has_words(self, text: str) -> bool:
        """Whether a food is named so: by id, description, or all words or their synonyms.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> open_table().has_words("kale powder")  # only fresh kale is there
        False
        """
        return self._exact(text) is not None or any(hit.is_exact for hit in self._hits(text, 1))

    def resolve(self, text: str) -> Food:
        """The one food that an id, a description or plain words name.

        In this order: the food with that id; the food with that description, letter case aside;
        the first hit of the search if it alone can be meant (``nutricheck.foods.search.is_clear``).

        Raises
        ------
        UnknownFoodError
            If nothing fits or several foods do; carries the three best candidates.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> open_table().resolve("carrots raw").id
        '11124'
        """
        name = text.strip()
        if name not in self._resolved:
            self._resolved[name] = self._one_food(name)
        return self._resolved[name]

    def _one_food(self, name: str) -> Food:
        """As ``resolve``."""
        if exact := self._exact(name):
            return exact
        hits = self._hits(name, _LOOKED_AT)
        if not hits:
            raise UnknownFoodError(
                f"no food of the table fits {shorten(name)}, and nothing is close. Try one "
                'plain word, such as "lentils". Or write its label as a [[label]], or give '
                "your own analysis as a table (nutricheck-data template)"
            )
        if is_clear(hits):
            return self.food(hits[0].food_id)
        candidates = tuple((hit.food_id, hit.description) for hit in hits[:_CANDIDATES])
        listed = "; ".join(f"{food_id} {description}" for food_id, description in candidates)
        raise UnknownFoodError(
            f"{shorten(name)} does not name one food of the table; closest: {listed}. "
            "Write the id of the one you mean",
            candidates,
        )

    def composition(
        self, food_ids: Sequence[str], tags: Sequence[str] | None = None
    ) -> pd.DataFrame:
        """Amounts per 100 g edible portion.

        Parameters
        ----------
        food_ids : sequence of str
            Ids of the table's foods.
        tags : sequence of str, optional
            Components; left out: all that reports show (``components.tags()``).

        Returns
        -------
        DataFrame
            Index ``food_id``, one float64 column per tag, NaN where unknown; estimates of the
            table's builder count as known (``estimates``). [as in components]

        Raises
        ------
        UnknownFoodError
            If an id is not in the table.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> float(open_table().composition(["11124"], ["K"]).loc["11124", "K"])
        320.0
        """
        return self._frames(("value",), food_ids, tags)[0]

    def spread(
        self, food_ids: Sequence[str], tags: Sequence[str] | None = None
    ) -> tuple[pd.DataFrame, pd.DataFrame]:
        """Standard errors and numbers of analyses, as ``composition``; NaN where not given.

        They tell how well a record is known. A check reads the standard errors by ``values``.
        """
        standard_error, analyses = self._frames(("standard_error", "analyses"), food_ids, tags)
        return standard_error, analyses

    def values(self, food_ids: Sequence[str], tags: Sequence[str]) -> _Blocks:
        """``composition`` and the standard errors of ``spread`` as arrays: (2, foods, tags)."""
        found = self._blocks(("value", "standard_error"), list(food_ids), list(tags))
        for place in self._of_salt(food_ids, tags):
            found[0][place], found[1][place] = 100 * (self.salt_iodine or 0.0), math.nan
        return found

    def estimates(self, food_ids: Sequence[str], tags: Sequence[str]) -> _Blocks:
        """How far estimated amounts may be off, and which are borrowed; (2, foods, tags).

        First the standard deviation of the logarithm of the true amount over the estimate, NaN
        where the value is no estimate; then 1 where it is another country's food's. [-]
        """
        found = self._blocks(("log_sd", "is_borrowed"), list(food_ids), list(tags))
        for place in self._of_salt(food_ids, tags):
            found[0][place] = salt_iodine_log_sd() if self.salt_iodine else math.nan
            found[1][place] = math.nan
        return found

    def _of_salt(self, food_ids: Sequence[str], tags: Sequence[str]) -> list[tuple[int, int]]:
        """Places of salt's iodine among foods and tags, where a plan tells it."""
        if self.salt_iodine is None or "ID" not in tags:
            return []
        column = list(tags).index("ID")
        return [(row, column) for row, food_id in enumerate(food_ids) if food_id in self.salts]

    @cached_property
    def salts(self) -> frozenset[str]:
        """Ids of the foods that are salt and nothing else."""
        rows = self._rows(f"SELECT food_id FROM food WHERE description LIKE '{_SALT}%'")
        return frozenset(food_id for (food_id,) in rows)

    def amounts(self, food_id: str) -> dict[str, float]:
        """All amounts of one food that the table holds, by tag, without a DataFrame."""
        return {tag: amount for tag, (amount, _) in self.amounts_from(food_id).items()}

    def amounts_from(self, food_id: str) -> dict[str, tuple[float, str]]:
        """``amounts``, each with the table that it is from, or what it is estimated from."""
        rows = self._rows(
            "SELECT tag, value, flag, origin FROM amount JOIN component USING (component) "
            "LEFT JOIN basis USING (basis) "
            "WHERE food = (SELECT food FROM food WHERE food_id = ?) ORDER BY component",
            (self.food(food_id).id,),
        )
        return {tag: (amount, self._origin(flag, origin)) for tag, amount, flag, origin in rows}

    def _origin(self, flag: str | None, origin: str | None) -> str:
        """Where an amount is from: the table, or what it is estimated from."""
        return f"{ESTIMATES[flag]}: {origin}" if flag in ESTIMATES else self.name

    def household_measures(self, food_id: str) -> list[tuple[str, float]]:
        """Household measures of a food and the mass of one, in the source's order. [g]"""
        masses: dict[str, float] = {}
        for quantity, name, grams in self._measures(self.food(food_id).id):
            masses.setdefault(name, grams / quantity)
        return list(masses.items())

    @property
    def name(self) -> str:
        """Title and release in short."""
        return f"{self.source.title}, {self.source.release}"

    def measures(self, food_id: str) -> pd.DataFrame:
        """``household_measures`` as a DataFrame: ``measure`` and ``grams`` of one. [g]"""
        import pandas as pd

        return pd.DataFrame(self.household_measures(food_id), columns=["measure", "grams"])

    def measure_g(self, food_id: str, text: str) -> float:
        """Mass of so many household measures of a food, such as "0.5 cup, grated". [g]

        The measure may be shortened as long as it fits one only.

        Raises
        ------
        UnitError
            If the text is not a number and a measure of this food; lists the food's measures.

        Examples
        --------
        >>> from nutricheck.foods import open_table
        >>> open_table().measure_g("11124", "0.5 cup, grated")
        55.0
        """
        food = self.food(food_id)
        known = self._measures(food.id)
        match = _MEASURE.fullmatch(text.strip())
        if match is None:
            raise UnitError(
                f"{shorten(text)} is not a number and a household measure; {food} has: "
                f"{_listed(known)}"
            )
        quantity, wanted = _quantity(match[1]), _plain_words(match[2])
        fits = [row for row in known if _plain_words(row[1]) == wanted]
        fits = fits or [row for row in known if _plain_words(row[1])[: len(wanted)] == wanted]
        if len({tuple(_plain_words(name)) for _, name, _ in fits}) != 1:
            problem = "fits several of the" if fits else "is none of the"
            offered = fits or known
            example = f", such as {f'{offered[0][0]:g} {offered[0][1]}'!r}" if offered else ""
            raise UnitError(
                f"{shorten(match[2])} {problem} household measures of {food}: {_listed(offered)}; "
                f"write one of them in full{example}, or grams"
            )
        # Some foods have one measure in several quantities, rounded apart: the same quantity wins.
        of, _, grams = next((row for row in fits if row[0] == quantity), fits[0])
        return quantity * grams / of

    def all_foods(self) -> pd.DataFrame:
        """All foods: index ``food_id``; ``description``, ``group_code``, ``group``."""
        import pandas as pd

        rows = self._rows(
            "SELECT food_id, description, group_code, coalesce(name, '') FROM food "
            "LEFT JOIN food_group USING (group_code) ORDER BY food"
        )
        columns = ["food_id", "description", "group_code", "group"]
        return pd.DataFrame(rows, columns=columns).set_index("food_id")

    def _measures(self, food_id: str) -> list[tuple[float, str, float]]:
        """Quantity, measure and mass of that quantity."""
        return self._rows(
            "SELECT quantity, measure, grams FROM measure "
            "WHERE food = (SELECT food FROM food WHERE food_id = ?) ORDER BY position",
            (food_id,),
        )

    def _exact(self, text: str) -> Food | None:
        """The food with this id, else the first with this description, letter case aside."""
        name = text.strip()
        return self.with_id(name) or self.with_description(name)

    def with_description(self, description: str) -> Food | None:
        """The first food with this description, letter case aside; None where there is none."""
        rows = self._rows(
            _FOOD + "WHERE description = ? COLLATE NOCASE ORDER BY food LIMIT 1", (description,)
        )
        return _food(rows[0]) if rows else None

    def _hits(self, text: str, limit: int) -> list[Hit]:
        return search(self._db, text, limit)

    def _frames(
        self, columns: tuple[str, ...], food_ids: Sequence[str], tags: Sequence[str] | None
    ) -> list[pd.DataFrame]:
        import pandas as pd

        from nutricheck.facts.components import tags as reported_tags

        wanted = list(reported_tags() if tags is None else tags)
        blocks = self._blocks(columns, list(food_ids), wanted)
        index = pd.Index(list(food_ids), name="food_id", dtype=object)
        return [pd.DataFrame(block, index=index, columns=wanted) for block in blocks]

    def _blocks(self, columns: tuple[str, ...], food_ids: list[str], tags: list[str]) -> _Blocks:
        """The columns of the amounts, each as foods × tags, NaN where there is none."""
        return self._blocks_of_keys(columns, self._keys(food_ids), tags)

    def _blocks_of_keys(
        self, columns: tuple[str, ...], keys: Sequence[int], tags: list[str]
    ) -> _Blocks:
        """As ``_blocks``; a key of -1 is a food that the table does not have."""
        import numpy as np

        if len(set(keys)) > _MOST_BY_KEY:
            return self._read_blocks(columns, keys, tags)
        own_tags = [tag for _, tag in self._components]
        unread = sorted(set(keys) - self._amounts_of.keys())
        if len(self._amounts_of) + len(unread) > _MOST_BY_KEY:
            self._amounts_of.clear()
            unread = sorted(set(keys))
        if unread:
            found = self._read_blocks(FIGURES, unread, own_tags)
            self._amounts_of |= {key: found[:, row] for row, key in enumerate(unread)}
        blocks = np.full((len(columns), len(keys), len(tags)), np.nan)
        if keys:
            at = {tag: place for place, tag in enumerate(own_tags)}
            held = np.array([place for place, tag in enumerate(tags) if tag in at], dtype=np.intp)
            figures = [FIGURES.index(column) for column in columns]
            of_keys = np.stack([self._amounts_of[key] for key in keys], axis=1)[figures]
            blocks[:, :, held] = of_keys[:, :, [at[tags[place]] for place in held]]
        return blocks

    def _read_blocks(
        self, columns: tuple[str, ...], keys: Sequence[int], tags: Sequence[str]
    ) -> _Blocks:
        """``_blocks_of_keys`` from the file."""
        import numpy as np

        blocks = np.full((len(columns), len(keys), len(tags)), np.nan)
        positions = {tag: position for position, tag in enumerate(tags)}
        column_of = {key: positions[tag] for key, tag in self._components if tag in positions}
        known, row_of_each = np.unique(np.array(keys, dtype=np.int64), return_inverse=True)
        where = f"component IN ({','.join(map(str, column_of))})"
        if len(known) <= _MOST_BY_KEY:
            where += f" AND food IN ({','.join(map(str, known.tolist()))})"
        of_basis = [column for column in columns if column in _OF_BASIS]
        wanted = [_OF_BASIS.get(column, column) for column in columns]
        rows = self._rows(
            f"SELECT food, component, {', '.join(wanted)} FROM amount "
            + ("LEFT JOIN basis USING (basis) " if of_basis else "")
            + f"WHERE {where}"
        )
        if rows:
            self._put(blocks, rows, known, row_of_each, column_of)
        return blocks

    @staticmethod
    def _put(
        blocks: _Blocks,
        rows: Sequence[tuple[Any, ...]],
        known: npt.NDArray[np.int64],
        row_of_each: npt.NDArray[np.intp],
        column_of: Mapping[int, int],
    ) -> None:
        """Put the rows of the store (food, component, figures) where they belong."""
        import numpy as np

        table = np.array(rows, dtype=float)
        food = table[:, 0].astype(np.int64)
        place = np.minimum(np.searchsorted(known, food), len(known) - 1)
        is_asked = known[place] == food
        columns_by_key = np.zeros(max(column_of) + 1, dtype=np.int64)
        columns_by_key[list(column_of)] = list(column_of.values())
        column = columns_by_key[table[is_asked, 1].astype(np.int64)]
        distinct = np.full((len(blocks), len(known), blocks.shape[2]), np.nan)
        distinct[:, place[is_asked], column] = table[is_asked, 2:].T
        blocks[:] = distinct[:, row_of_each]

    @cached_property
    def _components(self) -> list[tuple[int, str]]:
        """Key and tag of each component that the table has."""
        return self._rows("SELECT component, tag FROM component")

    def _keys(self, food_ids: Sequence[str]) -> list[int]:
        known = self._known(food_ids)
        if missing := [food_id for food_id in food_ids if food_id not in known]:
            raise UnknownFoodError(
                f"no food has the id {shorten(missing[0])} in {self.source.title}"
                + (f" (and {len(missing) - 1} more)" if len(missing) > 1 else "")
            )
        return [known[food_id] for food_id in food_ids]

    def _known(self, food_ids: Sequence[str]) -> dict[str, int]:
        """Keys of the foods among these that the table holds."""
        where = ""
        values: tuple[str, ...] = ()
        if len(food_ids) <= _MOST_BY_KEY:
            where = f"WHERE {{}} IN ({','.join('?' * len(food_ids))})"
            values = tuple(food_ids)
        aliases = self._rows("SELECT alias, food FROM alias " + where.format("alias"), values)
        foods = self._rows("SELECT food_id, food FROM food " + where.format("food_id"), values)
        return dict(aliases) | dict(foods)

    def _ids_of(self, keys: Sequence[int]) -> dict[int, list[str]]:
        """The ids of foods by key: their own first, then the other ones."""
        where = f"WHERE food IN ({','.join(map(str, keys))})" if len(keys) <= _MOST_BY_KEY else ""
        ids = {
            key: [food_id] for key, food_id in self._rows(f"SELECT food, food_id FROM food {where}")
        }
        for key, alias in self._rows(f"SELECT food, alias FROM alias {where}"):
            ids[key].append(alias)
        return ids

    def _rows(
        self, sql: str, values: Sequence[Any] | Mapping[str, Any] = ()
    ) -> list[tuple[Any, ...]]:
        key = (sql, tuple(values.items() if isinstance(values, Mapping) else values))
        if key in self._answers:
            return self._answers[key]
        try:
            rows = self._db.execute(sql, values).fetchall()
        except sqlite3.DatabaseError as error:
            raise TableError(
                f"{self.path}: the food table cannot be read ({error}); build it again"
            ) from None
        if len(rows) <= _MOST_ROWS_KEPT:
            if len(self._answers) >= _MOST_ANSWERS_KEPT:
                self._answers.clear()
            self._answers[key] = rows
        return rows


def is_estimate(origin: str) -> bool:
    """Whether an amount's origin, in the words of ``amounts_from``, is that of an estimate."""
    return origin.startswith(tuple(f"{words}: " for words in ESTIMATES.values()))


def _food(row: tuple[Any, ...]) -> Food:
    food_id, description, group_code, group, water = row
    return Food(food_id, description, group_code, group, float("nan") if water is None else water)


def _listed(measures: Sequence[tuple[float, str, float]]) -> str:
    """Household measures in a row, each with its mass."""
    return "; ".join(f"{q:g} {name} {grams:g} g" for q, name, grams in measures) or "none"


def _plain_words(measure: str) -> list[str]:
    """The words of a measure for comparison: small letters, no plural s, no commas, in short."""
    words = [
        word.removesuffix("s") if len(word) > 2 else word
        for word in re.findall(r"[^\s,]+", measure.lower())
    ]
    return [_SHORT_FORMS.get(word, word) for word in words]


def _quantity(text: str) -> float:
    """The number in "2", "0,5", "1/2" or "1 1/2"."""
    total = 0.0
    for part in text.split():
        numerator, _, denominator = part.partition("/")
        if not float(denominator or 1):
            raise UnitError(f"{shorten(text)} divides by 0; write for example 1/2")
        total += float(numerator.replace(",", ".")) / float(denominator or 1)
    return total
