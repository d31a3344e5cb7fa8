"""Food search in a hiker's words: full text first, spelling second, the plain food on top.

A food's *cost* says how far it is from the plain food that the words name. Each word of its
description that was not asked for costs one, more in the first part ("Carrot juice") and less if
it says only that the food is the ordinary one ("raw", "mature seeds"; ``word_costs.csv``). A first
part that has none of the words ("Pie, apple") costs, unless it is only a category ("Nuts,
almonds"); so do brands, baby foods, restaurant and fast foods. The lowest cost comes first.

Everyday names that no rule of words finds (``common_names.csv``: rajma, tinned tomatoes) come
first, as the food itself ("same") or as the nearest that the table has ("near"). A word that says
only a state or a colour finds nothing by itself, and a word that nothing in the table comes close
to means that nothing is close: no food is offered for the words beside it.

``is_clear`` is the rule by which words alone may stand for a food in a plan.
"""

from __future__ import annotations

import csv
import functools
import re
import sqlite3
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

__all__ = ["Hit", "is_clear", "match_of", "search"]

_FOLDER = Path(__file__).parent
_MOST_HITS = 1500  # of the full text's ranking; the largest group of foods has about 950
_MOST_WORDS = 12
_MOST_CHARACTERS = 200

_EXTRA_IN_FIRST_PART = 2.0
_OTHER_THING = 4.0
_CATEGORY = 0.2
_IN_BRACKETS = 0.05
_NUMBER = 0.1
_BRAND = 3.0
_BY_OTHER_NAME = 0.5
_WORD_NOT_FOUND = 5.0
_FAR_OFF = 2.5  # a hit of this cost, or dearer than another by it, may be another thing

_CLEAR_COST = 0.8
_CLEAR_LEAD = 0.9

_START, _END = "\x02", "\x03"  # marks around matched words; no description holds them
_TOKEN = re.compile(f"{_START}[^{_END}]*{_END}|[^\\W_]+|[()]")
_BRAND_WORD = re.compile(r"[A-Z][A-Z&']{2,}")
_CLOSE = 0.75  # least OSA similarity of a corrected word: one slip in four letters, two in eight
_NOT_AS_WRITTEN = 5.0  # a hit by the stem of a word alone: "whiting" is no white bean
_NEAR = 1.0  # cost of the nearest food for an everyday name that the table has no food for
_CORRECTIONS = 3
_LEAST_TO_CORRECT = 5  # letters of a name whose spelling is corrected
#: Words that name no food by themselves: states, colours, and what carries nothing.
_STATES = frozenset(
    {"raw", "ground", "dried", "dry", "powder", "powdered", "fresh", "cooked", "boiled", "fried"}
    | {"baked", "roasted", "canned", "frozen", "sliced", "chopped", "whole", "plain", "minced"}
    | {"grated", "shredded", "red", "white", "green", "black", "yellow", "brown"}
)
_CARRY_NOTHING = frozenset(
    {"organic", "homemade", "home", "made", "local", "natural", "pure", "quality", "best", "good"}
    | {"bio", "the", "a", "of", "on", "my", "some", "halves", "pieces", "chunks", "rings"}
)
_SAME_WORDS = {"tinned": "canned", "powdered": "powder", "dehydrated": "dried"}
#: What people do to a food, and no record of it may have.
_DONE_AT_HOME = frozenset({"dehydrated", "dried", "dry", "fermented", "powder", "powdered"})


@dataclass(frozen=True)
class Hit:
    """A food that fits; ``is_exact``: by all words as written, or by their synonyms."""

    food_id: str
    description: str
    cost: float
    is_exact: bool


@dataclass(frozen=True)
class _Words:
    """The reviewed word lists.

    common_names.csv as name → (food id, whether it is that food itself); ``same`` and ``else`` of
    synonyms.csv; word_costs.csv by kind.
    """

    names: dict[str, tuple[str, bool]]
    same: dict[str, tuple[str, ...]]
    otherwise: dict[str, tuple[str, ...]]
    costs: dict[str, float]
    groups: dict[str, float]
    categories: frozenset[str]
    ordinary: re.Pattern[str]


def is_clear(hits: list[Hit]) -> bool:
    """Whether the first hit alone can be meant.

    All words must be found as written or as synonyms (no corrected spelling), the first hit must
    add hardly anything to them (cost up to 0.8), and the second must be plainly further off (by
    0.9 or more). So "carrot" is the raw carrot, but "beef mince" asks which.
    """
    if not hits or not hits[0].is_exact or hits[0].cost > _CLEAR_COST:
        return False
    return len(hits) == 1 or hits[1].cost - hits[0].cost >= _CLEAR_LEAD


def search(db: sqlite3.Connection, text: str, limit: int = 10) -> list[Hit]:
    """Foods that fit the words, plainest first.

    Tried in this order until something fits: all words or their synonyms; looser synonyms, also
    where the former find what is far off; words begun as written; corrected spelling; the food
    without what was done to it at home, where that is far nearer, so that "kale powder" is kale and
    no other powder; any of the words, most words first.
    """
    asked = _asked_words(text)
    found = _found(db, " ".join(asked), limit)
    named = _named(db, asked, found)
    content = [word for word in asked if word not in _STATES]
    if not content or (not named and any(_is_strange(db, word) for word in content)):
        return named
    lead = named[0].cost + _CLEAR_LEAD if named else 0.0
    rest = [
        replace(hit, cost=max(hit.cost, lead))
        for hit in found
        if hit.food_id not in {own.food_id for own in named}
    ]
    return [*named, *rest][:limit]


def _asked_words(text: str) -> list[str]:
    """The words asked for, without those that carry nothing, tinned as canned."""
    words = re.findall(r"[^\W_]+", text[:_MOST_CHARACTERS].lower())
    kept = [_SAME_WORDS.get(word, word) for word in words if word not in _CARRY_NOTHING]
    return kept[:_MOST_WORDS]


def _singular(word: str) -> str:
    """A word without its plural ending.

    Examples
    --------
    >>> [_singular(word) for word in ("leaves", "berries", "tomatoes", "peaches", "peas")]
    ['leaf', 'berry', 'tomato', 'peach', 'pea']
    >>> [_singular(word) for word in ("couscous", "radish", "molasses", "gas")]
    ['couscous', 'radish', 'molasses', 'gas']
    """
    for ending, instead in _PLURALS:
        if word.endswith(ending) and (len(word) > len(ending) or ending == "leaves"):
            return word.removesuffix(ending) + instead
    is_plural = word.endswith("s") and not word.endswith(("ss", "us", "is", "sses"))
    return word[:-1] if is_plural and len(word) > 3 else word


_PLURALS = (("leaves", "leaf"), ("ies", "y"), ("oes", "o"), ("shes", "sh"), ("ches", "ch"))


def _named(db: sqlite3.Connection, asked: list[str], found: list[Hit]) -> list[Hit]:
    """The food of an everyday name: as asked, without what was done at home, or nearly so spelt.

    ``found``: what the words find by themselves.
    """
    names = _words().names
    whole = " ".join(map(_singular, asked))
    if whole in names:
        return _named_hit(db, *names[whole], True)
    if found and found[0].is_exact:
        return []
    plain = [word for word in asked if word not in _DONE_AT_HOME | {"raw", "fresh"}]
    key = " ".join(map(_singular, plain))
    if key in names:
        return _named_hit(db, *names[key], False)
    if found or len(whole) < _LEAST_TO_CORRECT:
        return []
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    close = process.extractOne(
        whole, names.keys(), scorer=OSA.normalized_similarity, score_cutoff=_CLOSE
    )
    return [] if close is None else _named_hit(db, *names[close[0]], False)


def _named_hit(db: sqlite3.Connection, food_id: str, is_same: bool, is_whole: bool) -> list[Hit]:
    row = db.execute("SELECT description FROM food WHERE food_id = ?", (food_id,)).fetchone()
    if row is None:
        return []
    is_exact = is_same and is_whole
    return [Hit(food_id, row[0], 0.0 if is_exact else _NEAR, is_exact)]


def _is_strange(db: sqlite3.Connection, word: str) -> bool:
    """Whether a word is neither in the table, nor a synonym, nor near either."""
    words = _words()
    one = _singular(word)
    is_other = {word, one} & (words.same.keys() | words.otherwise.keys())
    if is_other or any(_begins(db, own) for own in (word, one)):
        return False
    return not _corrections(db, word)


def _begins(db: sqlite3.Connection, word: str) -> bool:
    """Whether a word of the table is so or begins so."""
    end = word[:-1] + chr(ord(word[-1]) + 1)
    found = db.execute("SELECT 1 FROM word WHERE word >= ? AND word < ? LIMIT 1", (word, end))
    return found.fetchone() is not None


def _found(db: sqlite3.Connection, text: str, limit: int) -> list[Hit]:
    groups = _groups(text)
    hits: list[Hit] = []
    for query, is_exact in _queries(db, groups):
        if hits and not is_exact:
            break
        hits = _as_written(_hits(db, query, len(groups), is_exact), groups)
        if hits and hits[0].cost < _FAR_OFF:
            break
    plain = [group[0] for group in groups if group[0] not in _DONE_AT_HOME]
    if plain and len(plain) < len(groups) and (not hits or hits[0].cost >= _FAR_OFF):
        found = _found(db, " ".join(plain), limit)
        if found and (not hits or found[0].cost + _FAR_OFF <= hits[0].cost):
            return [replace(hit, is_exact=False) for hit in found]
    if groups and not hits:
        content = [group for group in groups if group[0] not in _STATES]
        any_word = " OR ".join(_or(group) for group in _corrected(db, content))
        if any_word:
            hits = _hits(db, any_word, len(groups), is_exact=False)
    return hits[:limit]


def _is_same(asked: str, word: str) -> bool:
    """Whether two words are one, but for an ending of a letter or two: potatoe, walnuts."""
    if asked == word:
        return True
    short, long = sorted((asked, word), key=len)
    return len(short) > 4 and len(long) - len(short) < 3 and long.startswith(short)


def match_of(hit: Hit) -> str:
    """How well a hit fits the words: "exact", "likely" or "another food"."""
    if hit.is_exact and hit.cost < _FAR_OFF:
        return "exact"
    return "likely" if hit.cost < _FAR_OFF else "another food"


def _as_written(hits: list[Hit], groups: list[list[str]]) -> list[Hit]:
    """Hits by whole words first: one by the stem of a word alone may be another thing."""
    asked = [[_singular(word) for word in " ".join(group).split()] for group in _looser(groups)]

    def is_written(hit: Hit) -> bool:
        words = [_singular(word) for word in re.findall(r"[^\W_]+", hit.description.lower())]
        return all(any(_is_same(a, b) for a in group for b in words) for group in asked)

    marked = [
        hit
        if not hit.is_exact or is_written(hit)
        else replace(hit, cost=hit.cost + _NOT_AS_WRITTEN, is_exact=False)
        for hit in hits
    ]
    return sorted(marked, key=lambda hit: (hit.cost, len(hit.description), hit.food_id))


def _queries(db: sqlite3.Connection, groups: list[list[str]]) -> Iterator[tuple[str, bool]]:
    """Full-text queries in the order to try them, and whether their hits have the very words."""
    if not groups:
        return
    yield _all(groups), True
    yield _all(_looser(groups)), True
    yield _begun(db, _looser(groups)), False
    yield _all(_corrected(db, groups)), False


def _looser(groups: list[list[str]]) -> list[list[str]]:
    return [[*group, *_words().otherwise.get(group[0], ())] for group in groups]


def _corrected(db: sqlite3.Connection, groups: list[list[str]]) -> list[list[str]]:
    return [[*group, *_corrections(db, group[0])] for group in _looser(groups)]


@functools.cache
def _words() -> _Words:
    same: dict[str, tuple[str, ...]] = {}
    otherwise: dict[str, tuple[str, ...]] = {}
    for row in _rows("synonyms.csv"):
        words = otherwise if row["kind"] == "else" else same
        words[row["word"]] = tuple(row["means"].split("|"))
    costs, groups = {}, {}
    categories, ordinary = [], []
    for row in _rows("word_costs.csv"):
        if row["kind"] == "word":
            costs[row["text"]] = float(row["cost"])
        elif row["kind"] == "group":
            groups[row["text"]] = float(row["cost"])
        elif row["kind"] == "category":
            categories.append(row["text"])
        else:
            ordinary.append(row["text"])
    names = {
        " ".join(map(_singular, _asked_words(row["name"]))): (row["food_id"], row["fit"] == "same")
        for row in _rows("common_names.csv")
    }
    phrases = "|".join(re.escape(phrase) for phrase in sorted(ordinary, key=len, reverse=True))
    pattern = re.compile(rf"\b(?:{phrases})\b", re.IGNORECASE)
    return _Words(names, same, otherwise, costs, groups, frozenset(categories), pattern)


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (_FOLDER / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def _groups(text: str) -> list[list[str]]:
    """Each word asked for with its synonyms; two words with a common synonym are one."""
    found = re.findall(r"[^\W_]+", text[:_MOST_CHARACTERS].lower())
    words = list(dict.fromkeys(found))[:_MOST_WORDS]
    same = _words().same
    groups = []
    while words:
        pair = " ".join(words[:2])
        taken = pair if len(words) > 1 and pair in same else words[0]
        groups.append([taken, *same.get(taken, ())])
        del words[: 2 if taken == pair and len(words) > 1 else 1]
    return groups


def _all(groups: list[list[str]]) -> str:
    return " AND ".join(f"({_or(group)})" for group in groups)


def _begun(db: sqlite3.Connection, groups: list[list[str]]) -> str:
    """All words, those that the table lacks as beginnings: "peas" does not begin "pears"."""
    marked = [_or(group, "" if _is_known(db, group[0]) else "*") for group in groups]
    return " AND ".join(f"({group})" for group in marked)


def _or(group: list[str], mark: str = "") -> str:
    return " OR ".join(f'"{word}"{mark}' for word in group)


def _is_known(db: sqlite3.Connection, word: str) -> bool:
    return db.execute("SELECT 1 FROM word WHERE word = ?", (word,)).fetchone() is not None


def _corrections(db: sqlite3.Connection, word: str) -> list[str]:
    """Up to three words of the table close to one that is not among them."""
    if _is_known(db, word):
        return []
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    same = _words().same
    known = [row[0] for row in db.execute("SELECT word FROM word")] + list(same)
    close = process.extract(
        word, known, scorer=OSA.normalized_similarity, limit=_CORRECTIONS, score_cutoff=_CLOSE
    )
    return [meant for found, _, _ in close for meant in same.get(found, (found,))]


def _hits(db: sqlite3.Connection, query: str, asked: int, is_exact: bool) -> list[Hit]:
    """The foods that a query finds for so many words, plainest first."""
    rows = db.execute(
        "SELECT food_id, food.description, group_code, manufacturer, "
        f"highlight(food_text, 0, '{_START}', '{_END}'), "
        f"highlight(food_text, 1, '{_START}', '{_END}') "
        f"|| highlight(food_text, 2, '{_START}', '{_END}') "
        "FROM food_text JOIN food ON food.food = food_text.rowid "
        f"WHERE food_text MATCH ? ORDER BY bm25(food_text, 4, 1, 1) LIMIT {_MOST_HITS}",
        (query,),
    ).fetchall()
    hits = [
        Hit(
            food_id,
            description,
            _cost(marked, names, group, maker, asked),
            is_exact,
        )
        for food_id, description, group, maker, marked, names in rows
    ]
    return sorted(hits, key=lambda hit: (hit.cost, len(hit.description), hit.food_id))


def _cost(marked: str, names: str, group: str, maker: str, asked: int) -> float:
    """Distance of a food from the words; ``marked``: its description, matched words marked."""
    words = _words()
    cost = words.groups.get(group, 0.0) + (_BRAND if maker else 0.0)
    first, *rest = marked.split(",")
    in_first, extra_in_first = _part_cost(first, group)
    if in_first:
        cost += _EXTRA_IN_FIRST_PART * extra_in_first
    elif first.strip().lower() in words.categories:
        cost += _CATEGORY
    elif _START in names:
        cost += _BY_OTHER_NAME + extra_in_first
    else:
        cost += _OTHER_THING + extra_in_first
    in_rest, extra_in_rest = _part_cost(",".join(rest), group)
    missing = max(0, asked - in_first - in_rest - names.count(_START))
    return cost + extra_in_rest + _WORD_NOT_FOUND * missing


def _part_cost(part: str, group: str) -> tuple[int, float]:
    """Matched words of a part of a description, and the cost of the others in that food group."""
    words = _words()
    part = words.ordinary.sub(" ", part)
    matched, cost, is_bracketed = 0, 0.0, False
    for token in _TOKEN.findall(part):
        if token[0] == _START:
            matched += 1
        elif token in "()":
            is_bracketed = token == "("
        elif is_bracketed:
            cost += _IN_BRACKETS
        elif token.isdecimal():
            cost += _NUMBER
        elif _BRAND_WORD.fullmatch(token):
            cost += _BRAND
        else:
            word = token.lower()
            cost += words.costs.get(f"{group} {word}", words.costs.get(word, 1.0))
    return matched, cost
