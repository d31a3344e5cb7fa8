"""Stock: packed against used: how long it lasts, what it weighs, energy in and out."""
