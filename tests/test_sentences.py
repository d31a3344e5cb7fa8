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
#: House words that no screen explains, and what nobody says.
_HOUSE = re.compile(r"\b(tagnames?|drawn from foods|borrowed from|filled up)\b")


def test_every_sentence_is_found_once_with_its_place():
    found = sentences()
    assert len(found) > 1900
    assert any(sentence.text.startswith("Do not walk in the hot hours") for sentence in found)
    assert any(sentence.place == "cautions.csv, tyramine, text" for sentence in found)


#: Where the tool speaks: commands, each part of the package, templates and tables.
_SPEAKING = (
    *("cli/", "consistency/", "drying/", "editor/templates/", "foods/", "intake/", "labels/"),
    *("needs/", "plan/", "report/templates/", "stock/", "cold_soaking.csv", "ready_to_eat.csv"),
)


def test_every_place_that_speaks_is_among_them():
    places = {sentence.place for sentence in sentences()}
    silent = [part for part in _SPEAKING if not any(place.startswith(part) for place in places)]
    assert not silent


def test_text_is_found_in_each_of_the_ways_it_is_written():
    texts = {sentence.text for sentence in sentences()}
    assert "Check a plan: is it enough" in "".join(texts), "the help of a command"
    assert "Is what you dried enough for the trip?" in texts, "a template's heading"
    assert "Say how many, and what they weigh together." in texts, "a script"
    assert any("{…} days" in text for text in texts), "a text that is filled in"


def test_no_sentence_is_long_and_no_word_stiff():
    places = []
    for sentence in sentences():
        parts = re.split(r"(?<=[.!?:;])\s", sentence.text)
        longest = max(len(part.split()) for part in parts)
        if longest > _MOST_WORDS or _STIFF.search(sentence.text) or _HOUSE.search(sentence.text):
            places.append((sentence.place, longest, sentence.text))
    assert not places
