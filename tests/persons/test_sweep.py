"""A part of the sweep over persons; the whole: ``python -m tests.persons.sweep``."""

from collections import Counter

from tests.persons.sweep import STATEMENTS, days, failures, persons


def test_the_sweep_is_wide_enough():
    who = persons()
    assert len(who) >= 200 and len(set(who)) == len(who)
    assert {person.life_stage for person in who} == {"general", "pregnancy", "lactation"}


def test_every_statement_holds_for_a_part_of_the_persons():
    """Every ninth person: each age, sex and state comes up."""
    counts: Counter[str] = Counter()
    assert list(failures(persons()[::9], days(), counts)) == []
    assert set(counts) == set(STATEMENTS) and min(counts.values()) > 300
