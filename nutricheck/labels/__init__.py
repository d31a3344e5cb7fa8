"""Labels: a label's amounts as composition per 100 g, and what compounds hold."""
