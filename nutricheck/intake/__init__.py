"""Intake: packed items, portions, and what they bring a day."""
