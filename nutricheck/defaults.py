"""What is taken where nothing else is said; apart, so that the command line stays light."""

from __future__ import annotations

__all__ = ["BATCH_DRAWS", "DRAWS", "REFERENCES", "SEED", "TRIP_MEAN"]

#: Draws of a check: they put the ends of a range within about a twentieth of its width.
DRAWS = 500
#: Draws of one batch alone, which may take longer for steadier ends.
BATCH_DRAWS = 4000
#: The same seed gives the same digits.
SEED = 20
#: The reference sets a plan can be compared with.
REFERENCES = ("DRI", "EFSA")
#: Name of the day that stands for the mean over the longest trip; no kind of day may carry it.
TRIP_MEAN = "trip mean"
