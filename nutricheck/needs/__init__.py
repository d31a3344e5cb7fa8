"""What a person needs on a kind of day: reference intakes, energy, sweat and water."""

from nutricheck.needs.adequacy import adequacy_probability, requirement_sd
from nutricheck.needs.balance import EnergyBalance, energy_balance
from nutricheck.needs.day import DayNeeds, day_needs
from nutricheck.needs.energy import EnergyNeed, energy_need
from nutricheck.needs.sweat import SweatNeed, own_sweat_factor, sweat_need
from nutricheck.needs.water import WaterNeed, sodium_cautions, water_need

__all__ = [
    "DayNeeds",
    "EnergyBalance",
    "EnergyNeed",
    "SweatNeed",
    "WaterNeed",
    "adequacy_probability",
    "day_needs",
    "energy_balance",
    "energy_need",
    "own_sweat_factor",
    "requirement_sd",
    "sodium_cautions",
    "sweat_need",
    "water_need",
]
