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
    assert any(sentence.text.startswith("Do not walk in the hot hours") for sentence in found)
    assert any(sentence.place == "cautions.csv, tyramine, text" for sentence in found)


def test_no_sentence_is_long_and_no_word_stiff():
    places = []
    for sentence in sentences():
        parts = re.split(r"(?<=[.!?:;])\s", sentence.text)
        longest = max(len(part.split()) for part in parts)
        if longest > _MOST_WORDS or _STIFF.search(sentence.text):
            places.append((sentence.place, longest, sentence.text))
    assert not places
