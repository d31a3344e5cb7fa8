"""What home drying does to food: water balance, retention with ranges, batches, routes."""

from nutricheck.drying.batch import DriedBatch, composition_draws, dry_batch

__all__ = ["DriedBatch", "composition_draws", "dry_batch"]
