"""What a person needs on a kind of day: reference intakes, energy, sweat and water."""

from nutricheck.needs.day import DayNeeds, day_needs, with_food_water
from nutricheck.needs.energy import EnergyNeed, energy_need
from nutricheck.needs.sweat import SweatNeed, measured_sweat_factor, sweat_need
from nutricheck.needs.water import WaterNeed, water_need

__all__ = [
    "DayNeeds",
    "EnergyNeed",
    "SweatNeed",
    "WaterNeed",
    "day_needs",
    "energy_need",
    "measured_sweat_factor",
    "sweat_need",
    "water_need",
    "with_food_water",
]
