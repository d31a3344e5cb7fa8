"""A part of the second sweep; the whole: ``python -m tests.persons.by_hand``."""

from collections import Counter

from tests.persons.by_hand import days, differences, persons


def test_it_is_wide_enough():
    who = persons()
    assert len(set(who)) == len(who) >= 200
    assert {person.age_years for person in who} >= set(range(9, 21))


def test_the_needs_of_a_part_of_the_persons_are_those_of_the_tables():
    """Every eleventh person: all ages of the young, and each state, come up."""
    counts: Counter[str] = Counter()
    assert list(differences(persons()[::11], days()[1:3], counts)) == []
    assert min(counts.values()) > 15 and sum(counts.values()) > 4_000
