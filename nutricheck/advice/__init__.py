"""Advice: what to add, leave or change."""
