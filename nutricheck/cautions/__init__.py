"""Cautions: which apply to a batch, a person, a day; their words stand in facts/evidence."""
