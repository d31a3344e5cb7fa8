"""Adequacy: intake against needs."""
