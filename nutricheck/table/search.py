"""Food search in a hiker's words: full text first, spelling second, plain foods on top."""

from __future__ import annotations

import csv
import functools
import re
import sqlite3
from dataclasses import dataclass
from pathlib import Path

__all__ = ["Hit", "is_clear", "search"]

_MOST_HITS = 1000
_CLEAR_BY = 1.0


@dataclass(frozen=True)
class Hit:
    """A food that fits, and how far it is from the plain food asked for: 0 is the word itself."""

    key: int
    food_id: str
    description: str
    cost: float


def is_clear(hits: list[Hit]) -> bool:
    """Whether the first hit is so much plainer than the second that it must be meant."""
    return bool(hits) and (len(hits) == 1 or hits[1].cost - hits[0].cost >= _CLEAR_BY)


def search(db: sqlite3.Connection, text: str, limit: int = 10) -> list[Hit]:
    """Foods that fit all the words, plainest first."""
    words = re.findall(r"[^\W_]+", text.lower())[:12]
    if not words:
        return []
    groups = [[word, *synonyms().get(word, ())] for word in words]
    for mark in ("", "*"):
        if hits := _hits(db, _query(groups, mark)):
            return hits[:limit]
    return _hits(db, _query([[*group, *_close(db, group[0])] for group in groups], ""))[:limit]


@functools.cache
def synonyms() -> dict[str, tuple[str, ...]]:
    """Everyday words → the words that food descriptions use."""
    with (Path(__file__).parent / "synonyms.csv").open(encoding="utf-8", newline="") as file:
        return {row["word"]: tuple(row["means"].split("|")) for row in csv.DictReader(file)}


def _query(groups: list[list[str]], mark: str) -> str:
    return " AND ".join(
        "(" + " OR ".join(f'"{word}"{mark}' for word in group) + ")" for group in groups
    )


def _close(db: sqlite3.Connection, word: str) -> list[str]:
    if db.execute("SELECT 1 FROM word WHERE word = ?", (word,)).fetchone():
        return []
    from rapidfuzz import process
    from rapidfuzz.distance import OSA

    known = [row[0] for row in db.execute("SELECT word FROM word")]
    close = process.extract(
        word, known, scorer=OSA.normalized_similarity, limit=3, score_cutoff=0.7
    )
    return [found for found, _, _ in close]


def _hits(db: sqlite3.Connection, query: str) -> list[Hit]:
    rows = db.execute(
        "SELECT food.food, food_id, food.description, group_code, food.manufacturer, "
        "highlight(food_text, 0, '\x01', '\x02') "
        "FROM food_text JOIN food ON food.food = food_text.rowid "
        f"WHERE food_text MATCH ? ORDER BY bm25(food_text, 4, 1, 1) LIMIT {_MOST_HITS}",
        (query,),
    ).fetchall()
    hits = [
        Hit(key, food_id, description, _cost(marked, group, maker))
        for key, food_id, description, group, maker, marked in rows
    ]
    return sorted(hits, key=lambda hit: (hit.cost, hit.food_id))


def _cost(marked: str, group: str, maker: str) -> float:
    cost = 0.0
    for position, segment in enumerate(marked.split(",")):
        for word in segment.split():
            if "\x01" not in word:
                cost += (0.1 if word == "raw" else 1.0) * (1.5 if position == 0 else 1.0)
    rare = {"0300", "2100", "3600", "2200", "3500"}
    return cost + (3 if maker else 0) + (3 if group in rare else 0)
