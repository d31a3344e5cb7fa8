"""Food search in a hiker's words: full text first, spelling second, the plain food on top.

A food's *cost* says how far it is from the plain food that the words name. Each word of its
description that was not asked for costs one, more in the first part ("Carrot juice") and less if
it says only that the food is the ordinary one ("raw", "mature seeds"; ``word_costs.csv``). A first
part that has none of the words ("Pie, apple") costs, unless it is only a category ("Nuts,
almonds"); so do brands, baby foods, restaurant and fast foods. The lowest cost comes first.

Everyday names that no rule of words finds (``common_names.csv``: rajma, tinned tomatoes) come
first, as the food itself ("same"), as the record that is meant most likely ("near": beef mince), or
as another food that is the nearest ("other": brown sugar for jaggery); of foods that the table
lacks ("none": ceps), nothing is close. Words are written together or apart as the table has them
(oliveoil, water cress). A word that says only a state, a colour or a form finds nothing by itself,
and where no food has it, the food without it is the nearest. A word that nothing in the table comes
close to means that nothing is close; before the name of a food it leaves that food as another one
(marrowfat peas).

``is_clear`` is the rule by which words alone may stand for a food in a plan.
"""

from __future__ import annotations

import csv
import functools
import re
import sqlite3
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

__all__ = ["Hit", "is_clear", "matches_of", "search"]

_FOLDER = Path(__file__).parent
_MOST_HITS = 1500  # of the full text's ranking; the largest group of foods has about 950
_MOST_WORDS = 12
_MOST_CHARACTERS = 200

_EXTRA_IN_FIRST_PART = 2.0
_OTHER_THING = 4.0
_IN_BRACKETS = 0.05
_NUMBER = 0.1
_BRAND = 3.0
_BY_OTHER_NAME = 0.5
_WORD_NOT_FOUND = 5.0
_HEAD_NOT_FOUND = 0.5  # beside the above, for the last word: a banana shallot is a shallot
_STATE_NOT_FOUND = 3.5  # a state, colour or form that the record does not have
_MADE_UP = 2.0  # a powder made up with water or milk, where it was not asked for
_LIKELY = 2.4  # most cost of a food that lacks only the states asked for
_FAR_OFF = 2.5  # a hit of this cost may be another thing
_NOT_QUITE = 1.6  # a hit of this cost says more than was asked: "Barley malt flour"

_CLEAR_COST = 0.8
_CLEAR_LEAD = 0.9

_START, _END = "\x02", "\x03"  # marks around matched words; no description holds them
_TOKEN = re.compile(f"{_START}[^{_END}]*{_END}|[^\\W_]+|[()]")
_MADE_UP_WITH = re.compile(r"\bprepared (?:with|from) \w", re.IGNORECASE)
_MARKED = re.compile(f"{_START}([^{_END}]*){_END}")
_ALIKE = 3  # first letters that a matched word has in common with the one asked for
_BRAND_WORD = re.compile(r"[A-Z][A-Z&']{2,}")
_TWO_SLIPS = 8  # letters of a word in which two slips are corrected
_NOT_AS_WRITTEN = 5.0  # a hit by the stem of a word alone: "whiting" is no white bean
_NEAR = 1.0  # cost of the nearest food for an everyday name that the table has no food for
_CORRECTIONS = 3
_LEAST_TO_CORRECT = 5  # letters of a word whose spelling is corrected; shorter ones are too alike
_LEAST_PART = 3  # letters of either part of a word written together
_SAME_WORDS = {
    "tinned": "canned",
    "tin": "canned",
    "tins": "canned",
    "can": "canned",
    "powdered": "powder",
    "dehydrated": "dried",
}
#: Where no record is in that state, it is nearest to a cooked one.
_NEAREST_STATE = dict.fromkeys(
    ("baked", "canned", "crispy", "fried", "roast", "roasted", "steamed"), ("cooked",)
)
#: What people do to a food, or say of it, and no record of it may have.
_DONE_AT_HOME = frozenset(
    [
        "dehydrated",
        "dried",
        "dry",
        "fermented",
        "powder",
        "powdered",
        "raw",
        "fresh",
        "flour",
        "leaves",
        "plain",
        "whole",
        "sliced",
        "frozen",
    ]
)


@dataclass(frozen=True)
class Hit:
    """A food that fits; ``is_exact``: by all words as written, or by their synonyms.

    ``group`` is the food group's code; ``is_named`` where the part of the description that names
    the food says nothing else than the words: "Escarole, cooked" for escarole.
    """

    food_id: str
    description: str
    cost: float
    is_exact: bool
    group: str = ""
    is_named: bool = False


@dataclass(frozen=True)
class _Words:
    """The reviewed word lists.

    common_names.csv as name → (food id, "" where the table has none; fit); ``same`` and ``else``
    of synonyms.csv; word_costs.csv by kind.
    """

    names: dict[str, tuple[str, str]]
    same: dict[str, tuple[str, ...]]
    otherwise: dict[str, tuple[str, ...]]
    costs: dict[str, float]
    groups: dict[str, float]
    far_groups: dict[str, float]
    categories: dict[str, float]
    mixtures: frozenset[str]
    ordinary: re.Pattern[str]


def is_clear(hits: list[Hit]) -> bool:
    """Whether the first hit alone can be meant.

    All words must be found as written or as synonyms (no corrected spelling), the first hit must
    add hardly anything to them (cost up to 0.8), the second must be plainly further off (by 0.9 or
    more), and foods of another group must be far off. So "carrot" is the raw carrot, but "beef
    mince" asks which, and so does "scallops", which are a squash too.
    """
    if not hits or not hits[0].is_exact or hits[0].cost > _CLEAR_COST:
        return False
    if len(hits) > 1 and hits[1].cost - hits[0].cost < _CLEAR_LEAD:
        return False
    return not _in_two_groups(hits)


def _in_two_groups(hits: list[Hit]) -> bool:
    """Whether foods of two groups have all the words and hardly more; a reviewed name has none."""
    return bool(hits[0].group) and any(
        hit.is_exact and hit.cost < _NOT_QUITE and hit.group != hits[0].group for hit in hits
    )


def search(db: sqlite3.Connection, text: str, limit: int = 10) -> list[Hit]:
    """Foods that fit the words, plainest first.

    Tried in this order until something fits: all words or their synonyms; looser synonyms, also
    where the former find what is far off; words begun as written; corrected spelling; the food
    without the states, colours and forms that no record of it has, where that is nearer, so that
    "kale powder" is kale and no other powder; any of the words, most words first. Where that finds
    only another food: unknown words parted into known ones (tinnedpears), or spelt as known ones.
    """
    words = _words_of(text)
    hits = _searched(db, words, limit)
    if hits is None:
        return []
    if not hits or (hits[0].cost >= _FAR_OFF and not hits[0].is_named):
        for guessed, is_sure in ((_parted, True), (_respelt, False)):
            guess = guessed(db, words)
            others = [] if guess == words else _searched(db, guess, limit)
            if others is None:
                return []
            if others and others[0].cost < _FAR_OFF:
                return others if is_sure else [_less_sure(hit) for hit in others]
    return hits


def _less_sure(hit: Hit) -> Hit:
    return replace(hit, cost=max(hit.cost, _NEAR), is_exact=False)


def _searched(db: sqlite3.Connection, words: list[str], limit: int) -> list[Hit] | None:
    """Foods that fit the words; None where the table is known to lack what they name."""
    asked = _that_matter(words)
    words = _as_the_table_writes(db, asked)
    found = _found(db, words, limit)
    named = _named(db, [asked, words], found)
    if named is None:
        return None
    content = [group for group in _groups(words) if not _is_state(group[0])]
    if not content:
        return named
    if not named and any(_is_strange(db, group) for group in content):
        return _found_by_head(db, content, limit)
    lead = named[0].cost + _CLEAR_LEAD if named else 0.0
    rest = [
        replace(hit, cost=max(hit.cost, lead))
        for hit in found
        if hit.food_id not in {named_hit.food_id for named_hit in named}
    ]
    return [*named, *rest][:limit]


def _words_of(text: str) -> list[str]:
    return re.findall(r"[^\W_]+", text[:_MOST_CHARACTERS].lower().replace("'s", "s"))


def _that_matter(words: list[str]) -> list[str]:
    """The words without those that carry nothing, tinned as canned."""
    small = f" {' '.join(words)} "
    for phrase in _phrases_of_nothing():
        small = small.replace(f" {phrase} ", " ")
    kept = [word for word in small.split() if not _says("nothing", word)]
    return [_SAME_WORDS.get(word, word) for word in kept[:_MOST_WORDS]]


def _parted(db: sqlite3.Connection, words: list[str]) -> list[str]:
    """The words, unknown ones as two known ones where they can be: tinnedpears as tinned pears."""
    parted: list[str] = []
    for word in words:
        ends = range(_LEAST_PART, len(word) - _LEAST_PART + 1)
        pairs = [(word[:at], word[at:]) for at in ends]
        known = [pair for pair in pairs if all(_is_ours(db, part) for part in pair)]
        is_one = _is_ours(db, word) or not known
        parted += [word] if is_one else max(known, key=lambda pair: min(map(len, pair)))
    return parted


def _respelt(db: sqlite3.Connection, words: list[str]) -> list[str]:
    """The words, unknown ones as the nearest word of the lists, where one is a slip away."""
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    respelt: list[str] = []
    for word in words:
        near = None
        if len(word) >= _LEAST_TO_CORRECT and not _is_ours(db, word):
            near = process.extractOne(
                word,
                _vocabulary(),
                scorer=OSA.distance,
                processor=_undoubled,
                score_cutoff=_most_slips(word),
            )
        is_slip = near and not _is_one_letter_for_another(word, near[0])
        respelt.append(near[0] if near and is_slip else word)
    return respelt


def _is_ours(db: sqlite3.Connection, word: str) -> bool:
    """Whether the table or the lists have the word."""
    return not {word, _singular(word)}.isdisjoint(_vocabulary()) or _is_word(db, word)


@functools.cache
def _vocabulary() -> frozenset[str]:
    """All words of the lists: names, synonyms, states, what carries nothing."""
    lists = _words()
    texts = [*lists.names, *lists.same, *lists.otherwise, *_SAME_WORDS]
    texts += [*_words_that("state"), *_words_that("nothing")]
    return frozenset(word for text in texts for word in text.split())


def _is_state(word: str) -> bool:
    """Whether a word says only a state, a colour, a form or a number."""
    return _says("state", word) or word.isdecimal()


def _says(kind: str, word: str) -> bool:
    """Whether a word, in singular or plural, is one that says a "state" only, or "nothing"."""
    return _singular(word) in _singulars_that(kind)


def _as_the_table_writes(db: sqlite3.Connection, asked: list[str]) -> list[str]:
    """The words, those written apart that the table has together, and the other way round.

    So "water cress" is watercress, and "wheatgerm" wheat germ.
    """
    words: list[str] = []
    rest = list(asked)
    while rest:
        pair = "".join(rest[:2])
        is_pair = len(rest) > 1 and min(map(len, rest[:2])) >= _LEAST_PART and _is_word(db, pair)
        if is_pair and not _stand_together(db, rest[0], rest[1]):
            words.append(pair)
            del rest[:2]
        else:
            words += _parts(db, rest.pop(0))
    return words


def _parts(db: sqlite3.Connection, word: str) -> list[str]:
    """A word the table lacks, as two that one food of it has side by side; else the word."""
    if not _is_word(db, word):
        for at in range(_LEAST_PART, len(word) - _LEAST_PART + 1):
            first, second = word[:at], word[at:]
            are_known = _is_known(db, first) and _is_known(db, _singular(second))
            is_pair = are_known and any(
                _stand_together(db, *pair) for pair in ((first, second), (second, first))
            )
            if is_pair:
                return [first, second]
    return [word]


def _stand_together(db: sqlite3.Connection, first: str, second: str) -> bool:
    """Whether a food of the table has the words side by side."""
    return _stand_in_a_food(db, f"{first} {second}")


def _stand_in_a_food(db: sqlite3.Connection, phrase: str) -> bool:
    query = "SELECT 1 FROM food_text WHERE food_text MATCH ? LIMIT 1"
    return db.execute(query, (f'"{phrase}"',)).fetchone() is not None


def _is_word(db: sqlite3.Connection, word: str) -> bool:
    """Whether the table or the list of synonyms has the word, in singular or plural."""
    one = _singular(word)
    is_synonym = bool(_means(word, _words().same))
    return is_synonym or any(_is_known(db, form) for form in (word, one, one + "s"))


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


def _named(db: sqlite3.Connection, asked: list[list[str]], found: list[Hit]) -> list[Hit] | None:
    """The food of an everyday name: as asked, without what was done at home, or nearly so spelt.

    ``asked``: the words as written and as the table writes them; ``found``: what they find by
    themselves. None: the table lacks what has this name.
    """
    names = _words().names
    is_found = bool(found) and found[0].is_exact and found[0].cost < _NOT_QUITE
    whole = [_singulars(words) for words in [*asked, *map(_states_first, asked)]]
    if not is_found:
        whole += [_singulars(words[::-1]) for words in asked]
    for key in whole:
        if key in names and (names[key][0] or not is_found):
            return _named_hit(db, *names[key], True)
    if found and found[0].is_exact:
        return []
    for words in asked:
        key = _singulars(word for word in words if word not in _DONE_AT_HOME)
        if key in names:
            return _named_hit(db, *names[key], False)
    is_spelt = all(_is_word(db, word) for words in asked for word in words)
    if is_spelt or len(whole[0]) < _LEAST_TO_CORRECT:
        return []
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    alike = [name for name, (food_id, _) in names.items() if food_id and name[0] == whole[0][0]]
    close = process.extractOne(
        whole[0], alike, scorer=OSA.distance, processor=_undoubled, score_cutoff=1
    )
    if close is None or _is_one_letter_for_another(whole[0], close[0]):
        return []
    return _named_hit(db, *names[close[0]], False)


def _states_first(words: list[str]) -> list[str]:
    """Chestnuts roasted as roasted chestnuts."""
    return sorted(words, key=lambda word: not _is_state(word))


def _named_hit(db: sqlite3.Connection, food_id: str, fit: str, is_whole: bool) -> list[Hit] | None:
    if not food_id:
        return None
    row = db.execute("SELECT description FROM food WHERE food_id = ?", (food_id,)).fetchone()
    if row is None:
        return []
    is_exact = fit == "same" and is_whole
    cost = _FAR_OFF if fit == "other" else 0.0 if is_exact else _NEAR
    return [Hit(food_id, row[0], cost, is_exact)]


def _is_strange(db: sqlite3.Connection, group: list[str]) -> bool:
    """Whether a word is neither in the table, nor a synonym, nor near either."""
    word, *synonyms = group
    is_other = bool(_means(word, _words().otherwise))
    is_found = any(_begins(db, form) for form in (word, _singular(word)))
    if synonyms or is_other or is_found or _stand_in_a_food(db, word):
        return False
    return not _corrections(db, word)


def _found_by_head(db: sqlite3.Connection, content: list[list[str]], limit: int) -> list[Hit]:
    """What the last word names, as another food: marrowfat peas are peas; none if it is strange."""
    head = content[-1]
    if len(content) == 1 or _is_strange(db, head):
        return []
    hits = _found(db, [head[0]], limit)
    is_food = bool(hits) and hits[0].is_exact and hits[0].cost < _NOT_QUITE
    return [replace(hit, cost=hit.cost + _FAR_OFF, is_exact=False) for hit in hits if is_food]


def _begins(db: sqlite3.Connection, word: str) -> bool:
    """Whether a word of the table is so or begins so."""
    end = word[:-1] + chr(ord(word[-1]) + 1)
    found = db.execute("SELECT 1 FROM word WHERE word >= ? AND word < ? LIMIT 1", (word, end))
    return found.fetchone() is not None


def _found(db: sqlite3.Connection, words: list[str], limit: int) -> list[Hit]:
    groups = _groups(words)
    hits: list[Hit] = []
    for query, is_exact in _queries(db, groups):
        if hits and not is_exact:
            break
        hits = _as_written(_hits(db, query, is_exact), groups)
        if hits and hits[0].cost < _FAR_OFF:
            break
    content = [group for group in groups if not _is_state(group[0])]
    if content and len(content) < len(groups) and (not hits or hits[0].cost >= _FAR_OFF):
        plain = _without_states(db, content, groups)
        if plain and (not hits or plain[0].cost <= hits[0].cost):
            lacking = (len(groups) - len(content)) * _STATE_NOT_FOUND
            return [
                replace(
                    hit, cost=min(hit.cost, _LIKELY) if hit.cost < lacking + _FAR_OFF else hit.cost
                )
                for hit in plain[:limit]
            ]
    if content and not hits:
        hits = _with_any(db, groups, content)
    return hits[:limit]


def _with_any(
    db: sqlite3.Connection, groups: list[list[str]], content: list[list[str]]
) -> list[Hit]:
    """Foods with any of the words, most words first; the last one says what the food is."""
    corrected = _corrected(db, content)
    hits = _hits(db, " OR ".join(map(_or, corrected)), False, groups, _WORD_NOT_FOUND)
    if len(corrected) == 1:
        return hits
    by_head = {hit.food_id for hit in _hits(db, _or(corrected[-1]), False)}
    return _sorted(
        hit if hit.food_id in by_head else replace(hit, cost=hit.cost + _HEAD_NOT_FOUND)
        for hit in hits
    )


def _sorted(hits: Iterable[Hit]) -> list[Hit]:
    return sorted(hits, key=lambda hit: (hit.cost, len(hit.description), hit.food_id))


def _without_states(
    db: sqlite3.Connection, content: list[list[str]], groups: list[list[str]]
) -> list[Hit]:
    """The foods that have all words but the states, those with the most of these first."""
    states = [group for group in groups if group not in content]
    corrected = _corrected(db, content)
    for needed in (content, _looser(content), corrected):
        said = _looser(states)
        hits = _with_some(db, needed, said, needed is not corrected)
        if hits:
            nearest = [[*group, *_NEAREST_STATE.get(group[0], ())] for group in said]
            stored = [group for group in states if group[0] in _NEAREST_STATE]
            if stored and not _has_group(db, [*needed, *stored], hits[0].group):
                return _with_some(db, needed, nearest, False)
            return hits
    return []


def _with_some(
    db: sqlite3.Connection, needed: list[list[str]], some: list[list[str]], is_exact: bool
) -> list[Hit]:
    """The foods with all of the needed words; each of the others that is missing has its cost."""
    wanted = " OR ".join(_or(group) for group in [*needed, *some])
    return _hits(db, f"({_all(needed)}) AND ({wanted})", is_exact, some, _STATE_NOT_FOUND)


def _has_group(db: sqlite3.Connection, groups: list[list[str]], code: str) -> bool:
    """Whether a food of that group has all the words."""
    return any(hit.group == code for hit in _hits(db, _all(groups), False))


def _is_same(asked: str, word: str) -> bool:
    """Whether two words are one, but for an ending of a letter or two: potatoe, walnuts."""
    if asked == word:
        return True
    short, long = sorted((asked, word), key=len)
    return len(short) > 4 and len(long) - len(short) < 3 and long.startswith(short)


def matches_of(hits: list[Hit]) -> dict[str, str]:
    """Food id → how well it fits the words: "exact", "likely" or "another food"."""
    is_open = bool(hits) and _in_two_groups(hits)
    return {
        hit.food_id: "another food"
        if hit.cost >= _FAR_OFF and not (hit.is_exact and hit.is_named)
        else "exact"
        if hit.is_exact and hit.cost < _NOT_QUITE and not is_open
        else "likely"
        for hit in hits
    }


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
    return _sorted(marked)


def _queries(db: sqlite3.Connection, groups: list[list[str]]) -> Iterator[tuple[str, bool]]:
    """Full-text queries in the order to try them, and whether their hits have the very words."""
    if not groups:
        return
    yield _all(groups), True
    yield _all(_looser(groups)), True
    yield _begun(db, _looser(groups)), False
    yield _all(_corrected(db, groups)), False


def _looser(groups: list[list[str]]) -> list[list[str]]:
    return [[*group, *_means(group[0], _words().otherwise)] for group in groups]


def _corrected(db: sqlite3.Connection, groups: list[list[str]]) -> list[list[str]]:
    return [[*group, *_corrections(db, group[0])] for group in _looser(groups)]


@functools.cache
def _words() -> _Words:
    same: dict[str, tuple[str, ...]] = {}
    otherwise: dict[str, tuple[str, ...]] = {}
    for row in _rows("synonyms.csv"):
        words = otherwise if row["kind"] == "else" else same
        words[row["word"]] = tuple(row["means"].split("|"))
        if not row["word"].endswith("s"):  # sweets are no plural of sweet
            words.setdefault(_singulars(row["word"].split()), words[row["word"]])
    costs: dict[str, dict[str, float]] = {"word": {}, "group": {}, "far group": {}, "category": {}}
    for row in _rows("word_costs.csv"):
        if row["kind"] in costs:
            costs[row["kind"]][row["text"]] = float(row["cost"])
    names = {
        _singulars(_that_matter(_words_of(row["name"]))): (row["food_id"], row["fit"])
        for row in _rows("common_names.csv")
    }
    phrases = sorted(_words_that("ordinary"), key=len, reverse=True)
    return _Words(
        names,
        same,
        otherwise,
        costs["word"],
        costs["group"],
        costs["far group"],
        costs["category"],
        mixtures=_words_that("mixture"),
        ordinary=re.compile(rf"\b(?:{'|'.join(map(re.escape, phrases))})\b", re.IGNORECASE),
    )


@functools.cache
def _words_that(kind: str) -> frozenset[str]:
    """The words of word_costs.csv that say a "state" only, or "nothing"."""
    return frozenset(row["text"] for row in _rows("word_costs.csv") if row["kind"] == kind)


@functools.cache
def _singulars_that(kind: str) -> frozenset[str]:
    return frozenset(map(_singular, _words_that(kind)))


@functools.cache
def _phrases_of_nothing() -> tuple[str, ...]:
    return tuple(sorted(phrase for phrase in _words_that("nothing") if " " in phrase))


def _rows(name: str) -> Iterator[dict[str, str]]:
    with (_FOLDER / name).open(encoding="utf-8", newline="") as file:
        yield from csv.DictReader(file)


def _groups(asked: list[str]) -> list[list[str]]:
    """Each word asked for with its synonyms; words with a common synonym are one."""
    words = list(dict.fromkeys(asked))
    groups = []
    while words:
        count = next((count for count in (3, 2) if _together(words[:count], count)), 1)
        taken = _together(words[:count], count) or words[0]
        groups.append([taken, *_means(taken, _words().same)])
        del words[:count]
    return groups


def _together(words: list[str], count: int) -> str:
    """The words as one with a synonym, also back to front; "" where they have none."""
    for order in (words, words[::-1]) if len(words) == count > 1 else ():
        if _means(text := " ".join(order), _words().same):
            return text
    return ""


def _means(text: str, synonyms: dict[str, tuple[str, ...]]) -> tuple[str, ...]:
    """What a word or phrase means, as written or with its words in the singular."""
    return synonyms.get(text) or synonyms.get(_singulars(text.split()), ())


def _singulars(words: Iterable[str]) -> str:
    """Words by which names are told apart: chillies and chilli, cookies and cookie are one.

    Examples
    --------
    >>> _singulars(["green", "chillies"]) == _singulars(["green", "chilli"])
    True
    """
    return " ".join(map(_one_spelling, words))


@functools.cache
def _one_spelling(word: str) -> str:
    one = _singular(word)
    return one.removesuffix("e").removesuffix("i") + "y" if one.endswith(("i", "ie")) else one


def _all(groups: list[list[str]]) -> str:
    return " AND ".join(f"({_or(group)})" for group in groups)


def _begun(db: sqlite3.Connection, groups: list[list[str]]) -> str:
    """All words, those that the table lacks as beginnings: "peas" does not begin "pears"."""
    marked = [_or(group, "" if _is_known(db, group[0]) else "*") for group in groups]
    return " AND ".join(f"({group})" for group in marked)


def _or(group: list[str], mark: str = "") -> str:
    """Any of the words; where several stand for one, all of these."""
    return " OR ".join(
        "(" + " AND ".join(f'"{part}"' for part in word.split()) + ")"
        if " " in word
        else f'"{word}"{mark}'
        for word in group
    )


def _is_known(db: sqlite3.Connection, word: str) -> bool:
    return db.execute("SELECT 1 FROM word WHERE word = ?", (word,)).fetchone() is not None


def _corrections(db: sqlite3.Connection, word: str) -> list[str]:
    """Up to three words of the table close to one that is not among them, first letters alike."""
    if _is_known(db, word) or len(word) < _LEAST_TO_CORRECT:
        return []
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    same = _words().same
    first, end = word[0], chr(ord(word[0]) + 1)
    rows = db.execute("SELECT word FROM word WHERE word >= ? AND word < ?", (first, end))
    known = {synonym: synonym for synonym in same if synonym[0] == first}
    for (of_table,) in rows:
        known |= {_singular(of_table): of_table, of_table: of_table}
    for asked in dict.fromkeys((word, _singular(word))):
        close = process.extract(
            asked,
            list(known),
            scorer=OSA.distance,
            processor=_undoubled,
            limit=_CORRECTIONS,
            score_cutoff=_most_slips(asked),
        )
        near = [found for found, _, _ in close if not _is_one_letter_for_another(asked, found)]
        if near:
            return [meant for found in near for meant in same.get(found, (known[found],))]
    return []


def _undoubled(word: str) -> str:
    """A word with doubled letters as one: people seldom know which are (brocolli, vannila)."""
    return re.sub(r"(.)\1", r"\1", word)


def _most_slips(word: str) -> int:
    """Slips of a word's spelling that are corrected: one, or two in eight letters."""
    return 1 if len(word) < _TWO_SLIPS else 2


def _is_one_letter_for_another(word: str, other: str) -> bool:
    """Whether two short words differ in one letter: bream is not bread."""
    return len(word) == len(other) == _LEAST_TO_CORRECT and sorted(word) != sorted(other)


def _hits(
    db: sqlite3.Connection,
    query: str,
    is_exact: bool,
    groups: Sequence[list[str]] = (),
    missing_cost: float = 0.0,
) -> list[Hit]:
    """The foods that a query finds, plainest first; each of the groups missing has a cost."""
    rows = db.execute(
        "SELECT food_id, food.description, group_code, manufacturer, "
        f"highlight(food_text, 0, '{_START}', '{_END}'), "
        f"highlight(food_text, 1, '{_START}', '{_END}') "
        f"|| highlight(food_text, 2, '{_START}', '{_END}') "
        "FROM food_text JOIN food ON food.food = food_text.rowid "
        f"WHERE food_text MATCH ? ORDER BY bm25(food_text, 4, 1, 1) LIMIT {_MOST_HITS}",
        (query,),
    ).fetchall()
    hits = []
    for food_id, description, group, maker, marked, names in rows:
        missing = _missing(marked + names, groups)
        cost, is_named = _cost(marked, names, group, maker)
        cost += missing_cost * missing
        hits.append(Hit(food_id, description, cost, is_exact and not missing, group, is_named))
    return _sorted(hits)


def _missing(marked: str, groups: Sequence[list[str]]) -> int:
    """How many of the groups have no word among the marked ones; first letters tell."""
    if not groups:
        return 0
    found = {word[:_ALIKE].lower() for word in _MARKED.findall(marked)}
    return sum(
        not any(all(part[:_ALIKE] in found for part in word.split()) for word in group)
        for group in groups
    )


def _cost(marked: str, names: str, group: str, maker: str) -> tuple[float, bool]:
    """Distance of a food from the words, and whether the part that names it says no more.

    ``marked``: the food's description, matched words marked.
    """
    words = _words()
    cost = words.far_groups.get(group, 0.0) + (_BRAND if maker else 0.0)
    first, *rest = marked.split(",")
    in_name, extra_in_name = _part_cost(first, group)
    if not in_name or extra_in_name:
        cost += words.groups.get(group, 0.0)
    category = first.strip().lower()
    if in_name:
        cost += _EXTRA_IN_FIRST_PART * extra_in_name
    elif category in words.categories:
        is_of_it = category not in words.mixtures or _START in "".join(rest[:2])
        cost += words.categories[category] if is_of_it else _OTHER_THING
        in_name, extra_in_name = _part_cost(rest[0], group) if rest else (0, 0.0)
        if in_name:
            cost += (_EXTRA_IN_FIRST_PART - 1) * extra_in_name
    elif _START in names:
        cost += _BY_OTHER_NAME + extra_in_name
    else:
        cost += _OTHER_THING + extra_in_name
    _, extra_in_rest = _part_cost(",".join(rest), group)
    if _MADE_UP_WITH.search(words.ordinary.sub(" ", marked)):
        cost += _MADE_UP
    return cost + extra_in_rest, in_name > 0 and not extra_in_name


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
