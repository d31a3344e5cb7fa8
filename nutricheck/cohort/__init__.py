"""Many plans, or many people's days, at once."""
