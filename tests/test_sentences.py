"""What the tool says is said as people speak: short sentences, plain words."""

from __future__ import annotations

import re

from tests.sentences import sentences

_STIFF = re.compile(
    r"\b(utili[sz]e|prior to|in order to|please note|whilst|thereof|insufficient|ensure|"
    r"approximately|wherein|commence)\b",
    re.IGNORECASE,
)
_MOST_WORDS = 35


def test_every_sentence_is_found_once_with_its_place():
    found = sentences()
    assert len(found) > 1000
    assert any(own.text.startswith("Do not walk in the hot hours") for own in found)
    assert any(own.place == "cautions.csv, tyramine, text" for own in found)


def test_no_sentence_is_long_and_no_word_stiff():
    told = []
    for own in sentences():
        parts = re.split(r"(?<=[.!?:;])\s", own.text)
        longest = max(len(part.split()) for part in parts)
        if longest > _MOST_WORDS or _STIFF.search(own.text):
            told.append((own.place, longest, own.text))
    assert not told
