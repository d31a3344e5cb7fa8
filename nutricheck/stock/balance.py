"""Energy eaten against energy spent over a trip, and what that does to body mass."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import pandas as pd

from nutricheck.caution_limits import Figure, Limit, Moving, Shown, holding
from nutricheck.facts.caution import Caution
from nutricheck.facts.components import KJ_PER_KCAL
from nutricheck.facts.constants import value
from nutricheck.rules.expression import numbers
from nutricheck.rules.formulas import (
    BALANCE_ABOVE,
    BALANCE_BELOW,
    MASS_CHANGE,
    MASS_CHANGE_HIGH,
    MASS_CHANGE_LOW,
)

__all__ = ["EnergyBalance", "energy_balance"]

# Energy of a kilogram of body mass lost. [kcal/kg]
# Likely: 3500 kcal per pound, 32.2 MJ/kg. Most energy per kg: fat alone, 39.5 MJ/kg. Least: a lean
# person with 10 kg of fat, who loses 10.4 kg lean to 10 kg fat (Forbes), lean at 7.6 MJ/kg.
# K. D. Hall, Int J Obes 2008;32:573-576; G. B. Forbes, Nutr Rev 1987;45:225-231 (the 7.6 and the
# 10.4 from memory).
_KCAL_PER_MJ = 1000 / KJ_PER_KCAL
FAT_LOSS_KCAL_KG = 39.5 * _KCAL_PER_MJ
USUAL_KCAL_KG = 32.2 * _KCAL_PER_MJ
LEAN_PERSON_KCAL_KG = (39.5 * 10.0 + 7.6 * 10.4) / 20.4 * _KCAL_PER_MJ


@dataclass(frozen=True)
class EnergyBalance:
    """Intake minus expenditure; negative is a deficit. Each figure low, likely, high.

    ``days`` has a row per kind of day: day, count, intake, need, low, likely, high [kcal/day],
    share (intake over need). ``mass_change_kg`` does not hold the 1 to 2 kg of water and glycogen
    that leave in the first days of any deficit and come back after it.
    """

    trip_days: int
    days: pd.DataFrame
    per_day_kcal: tuple[float, float, float]
    mass_change_kg: tuple[float, float, float]
    mass_change_percent: tuple[float, float, float]
    per_week_percent: float
    deficit_share: float
    limits: tuple[Limit, ...]
    """What is said of a lack of energy, and from when on"""

    @property
    def cautions(self) -> tuple[Caution, ...]:
        """What is to be said of the lack of energy as planned."""
        return holding(self.limits)


def energy_balance(
    mass_kg: float,
    intake: pd.DataFrame,
    need: pd.DataFrame,
    counts: pd.Series,
    assumed: str = "",
) -> EnergyBalance:
    """Balance per kind of day and over the trip.

    Parameters
    ----------
    mass_kg : float
        Body mass at the start. [kg]
    intake, need : DataFrame
        Index kind of day; columns low, likely, high. [kcal/day]
    counts : Series
        Index kind of day: how many of each. [day]
    assumed : str
        What the need rests on that the plan does not say; told beside a deficit.

    Returns
    -------
    EnergyBalance
        NaN throughout where an intake is unknown. The errors of a kind of day are taken as the same
        on all its days, since the same equations and portions stand behind them.

    References
    ----------
    K. D. Hall, Int J Obes 2008;32:573-576; G. B. Forbes, Nutr Rev 1987;45:225-231: the energy in
    a kilogram of body mass.

    Examples
    --------
    >>> frame = lambda kcal: pd.DataFrame({"low": kcal, "likely": kcal, "high": kcal}, ["walk"])
    >>> balance = energy_balance(
    ...     70, frame([2500.0]), frame([3000.0]), pd.Series({"walk": 21})
    ... )
    >>> round(balance.mass_change_kg[1], 2)
    -1.36
    """
    ends = ["low", "likely", "high"]
    eaten = dict(zip(ends, intake[ends].to_numpy(dtype=float).T, strict=True))
    used = dict(zip(ends, need.reindex(intake.index)[ends].to_numpy(dtype=float).T, strict=True))
    count = counts.reindex(intake.index).fillna(0).to_numpy(dtype=int)
    figures = {
        **eaten,
        **{"need_low": used["low"], "need": used["likely"], "need_high": used["high"]},
        "eaten_share": 1.0,  # the intake is that of what the pack gives
    }
    down, up = (numbers(rule, figures) for rule in (BALANCE_BELOW, BALANCE_ABOVE))
    kept = eaten["likely"] - used["likely"]
    balances = {"low": kept - down, "likely": kept, "high": kept + up}
    days = pd.DataFrame(
        {
            "day": list(intake.index),
            "count": count,
            "intake": eaten["likely"],
            "need": used["likely"],
            **{end: balances[end] for end in ("likely", "low", "high")},
            "share": eaten["likely"] / used["likely"],
        }
    )
    trip_days = int(count.sum())
    is_counted = count > 0
    low, likely, high = (float((balances[end] * count)[is_counted].sum()) for end in ends)
    spent = float((used["likely"] * count)[is_counted].sum())
    change = _mass_change(low, likely, high)
    percent = tuple(100 * kg / mass_kg for kg in change)
    length = trip_days or math.nan
    balance = EnergyBalance(
        trip_days=trip_days,
        days=days,
        per_day_kcal=(low / length, likely / length, high / length),
        mass_change_kg=change,
        mass_change_percent=(percent[0], percent[1], percent[2]),
        per_week_percent=percent[1] / length * 7,
        deficit_share=-likely / spent if spent else math.nan,
        limits=(),
    )
    return replace(balance, limits=_limits(balance, assumed))


def _mass_change(low: float, likely: float, high: float) -> tuple[float, float, float]:
    """Body mass change of a balance in kcal: its own range and that of the energy per kg. [kg]"""
    figures = {
        **{"low": low, "likely": likely, "high": high},
        "kcal_per_kg": USUAL_KCAL_KG,
        "kcal_per_kg_lean": LEAN_PERSON_KCAL_KG,
        "kcal_per_kg_fat": FAT_LOSS_KCAL_KG,
    }
    rules = (MASS_CHANGE_LOW, MASS_CHANGE, MASS_CHANGE_HIGH)
    least, middle, most = (float(numbers(rule, figures)) for rule in rules)
    return least, middle, most


#: Ids of what is said of a lack of energy, by how grave it is, and the rules of each.
_DEFICITS = (
    "deficit small",
    "deficit large",
    "deficit above a twentieth",
    "deficit above a tenth",
)
_DEFICIT_FIGURES = (
    "deficit_small",
    "deficit_large",
    "mass_loss_a_week",
    "mass_loss_of_concern",
    "mass_loss_to_stop",
)


def _limits(balance: EnergyBalance, assumed: str) -> tuple[Limit, ...]:
    """What published bodies say of a deficit of this size; quiet up to a tenth."""
    low, likely, high = balance.mass_change_kg
    moving = {
        "lacking": 100 * balance.deficit_share,
        "lost": -balance.mass_change_percent[1],
        "weekly": -balance.per_week_percent,
        "kg": -likely,
        "kg_least": -high,
        "kg_most": -low,
        "length": float(balance.trip_days),
    }
    figures: dict[str, Figure] = {
        **{name: Moving(amount, "deficit", name) for name, amount in moving.items()},
        **{name: value(name) for name in _DEFICIT_FIGURES},
    }
    deficit = (
        Shown("lacking"),
        " % less energy than the days use, about ",
        Shown("kg", 1),
        " kg of body mass over ",
        Shown("length", unit="days"),
        ", ",
        Shown("kg_least", 1),
        " to ",
        Shown("kg_most", 1),
    )
    return tuple(
        Limit(
            id_,
            "trip",
            id_,
            figures,
            {"deficit": deficit},
            assumed=assumed if id_.startswith("deficit above") else "",
        )
        for id_ in _DEFICITS
    )
