"""Losses that are fitted to a handful of trials: storage over months, minerals into drained water.

Both tables, ``storage_rates`` and ``leaching``, come from here and from nothing else: rerun with
``nutricheck-data fit-losses``. ln of a loss is normal over foods and practices; sources count once
each, however many rows they print. The rules are stated in nutricheck/drying/METHOD.md.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from pathlib import Path

import numpy as np

from nutricheck.drying.retention import (
    arrhenius_factor,
    months_as_lost,
    storage_energies,
)
from nutricheck.facts import evidence
from nutricheck.ranges import Z95

from .evidence_files import write_rows

__all__ = ["leaching", "log_range", "storage_rates", "write_loss_tables"]

#: What the spread of ln(loss) over sources is taken for before any is read, and its weight, as so
#: many sources: that of drying losses over foods, and less for minerals, of which more is known (no
#: air, light or enzyme takes part). Ours. [-]
_STORAGE_SPREAD, _LEACHING_SPREAD, _PRIOR_SOURCES = 0.8, 0.5, 3
#: Vitamin C's likely rate is that of the one study of home-dried vegetables (Barrett 1980), between
#: broccoli and pepper after the longest times, its high end that of pepper after its shortest. The
#: low end is that of all sources, of which powder and whole pods lost three to eight times less:
#: shop goods and powders tell how slow it may be, not what a home-dried bag likely loses. [1/month]
_HOME_DRIED = {"VITC": ("0.25", "0.8")}
#: A share kept above this says no more than "little lost". [-]
_MOST_KEPT = 0.98
#: Minutes in hot water: taken where a trial states none, of water-blanching, of boiling; common
#: practice, no source. [min]
_UNSTATED, _MINUTES = 5.0, {"blanched": 3.0, "boiled": 10.0}
#: A loss into hot water grows with this power of the time: five root vegetables lost 40, 50 and
#: 60 % of their potassium in 2, 5 and 10 minutes (J Cookery Sci Jpn 23:86, 1990). [-]
LEACHING_POWER = 0.37

Row = Mapping[str, str]


def log_range(
    losses: Mapping[str, tuple[float, float]], prior_spread: float
) -> tuple[float, float, float]:
    """5th, 50th and 95th percentile of the loss of a next food.

    Parameters
    ----------
    losses : mapping
        By source: mean of ln(loss), and weight. [-]
    prior_spread : float
        Spread of ln(loss) over sources taken for granted before any is read. [-]

    Returns
    -------
    tuple
        Losses: low, likely, high. [-]
    """
    logs, weights = np.array(list(losses.values())).T
    mean = float(np.average(logs, weights=weights))
    squares = float((weights * (logs - mean) ** 2).sum())
    variance = (_PRIOR_SOURCES * prior_spread**2 + squares) / (_PRIOR_SOURCES + weights.sum() - 1)
    spread = float(np.sqrt(max(variance, 0.0) * (1 + 1 / weights.sum())))
    return tuple(float(np.exp(mean + z * spread)) for z in (-Z95, 0.0, Z95))  # type: ignore[return-value]


def _by_source(rows: Iterable[Row], loss: Callable[[Row], float]) -> dict[str, tuple[float, float]]:
    """Mean of ln(loss) and weight, by source."""
    logs: dict[str, list[float]] = {}
    weights: dict[str, float] = {}
    for row in rows:
        logs.setdefault(row["source_key"], []).append(float(np.log(loss(row))))
        weights[row["source_key"]] = float(row.get("weight") or 1)
    return {key: (float(np.mean(values)), weights[key]) for key, values in logs.items()}


def _exponent(row: Row) -> float:
    return float(-np.log(min(float(row["kept"]) / 100, _MOST_KEPT)))


def _citations(rows: Iterable[Row]) -> str:
    return "; ".join(dict.fromkeys(row["source"] for row in rows))


def storage_rates() -> list[dict[str, str]]:
    """Mean loss a month over the first six, dark and in air at 20 °C, by component."""

    def rate(row: Row) -> float:
        months, warmth = float(row["months"]), float(row["temperature_c"])
        energy = float(np.median(storage_energies(row["component"])))
        return _exponent(row) / months_as_lost(months) / arrhenius_factor(energy, warmth, 20.0)

    out = []
    used = [row for row in evidence.rows("storage_trials") if row["use"] == "fit"]
    for component in dict.fromkeys(row["component"] for row in used):
        rows = [row for row in used if row["component"] == component]
        losses = _by_source(rows, rate)
        rates = [f"{one:.2g}" for one in log_range(losses, _STORAGE_SPREAD)]
        rates[1:] = _HOME_DRIED.get(component, rates[1:])
        out.append(
            {
                "component": component,
                **dict(zip(("low", "likely", "high"), rates, strict=True)),
                "sources": str(len(losses)),
                "source": _citations(rows),
            }
        )
    return out


def leaching() -> list[dict[str, str]]:
    """Minerals kept by vegetables whose hot water is poured off, by component and method."""
    out = []
    used = evidence.rows("leaching_trials")
    for component in dict.fromkeys(row["component"] for row in used):
        rows = [row for row in used if row["component"] == component]
        for method, minutes in _MINUTES.items():

            def loss(row: Row, minutes: float = minutes) -> float:
                stated = float(row["minutes"] or _UNSTATED)
                return _exponent(row) * float((minutes / stated) ** LEACHING_POWER)

            losses = _by_source(rows, loss)
            kept = [100 * np.exp(-one) for one in log_range(losses, _LEACHING_SPREAD)]
            out.append(
                {
                    "component": component,
                    "method": method,
                    **{"low": f"{kept[2]:.0f}", "likely": f"{kept[1]:.0f}"},
                    "high": f"{kept[0]:.0f}",
                    "sources": str(len(losses)),
                    "source": _citations(rows),
                }
            )
    return out


def write_loss_tables(folder: Path) -> list[Path]:
    """Write ``storage_rates.csv`` and ``leaching.csv`` into ``folder``, each whole."""
    return [
        write_rows(folder / f"{name}.csv", rows)
        for name, rows in (("storage_rates", storage_rates()), ("leaching", leaching()))
    ]
