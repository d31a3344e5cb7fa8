"""What home drying does to food: water balance, retention with ranges, batches, routes."""

from nutricheck.drying.batch import DriedBatch, dry_batch, with_cautions
from nutricheck.drying.contents import composition_draws

__all__ = ["DriedBatch", "composition_draws", "dry_batch", "with_cautions"]
