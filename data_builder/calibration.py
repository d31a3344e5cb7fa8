"""Pictures of the drying model against published records: predicted range and value, as SVG.

One picture per nutrient group, written by hand as text, so that nobody needs a plotting library.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pandas as pd

from nutricheck.atomic import write_whole

__all__ = ["calibration_svg", "write_pictures"]

#: At most so many values are drawn, evenly taken, to keep a picture small.
_MOST = 160
_WIDTH, _HEIGHT, _LEFT, _TOP, _BOTTOM = 640, 300, 44, 44, 34  # px
_REACH = np.log(16)  # the axis goes from a sixteenth to sixteen times the likely value
_TICKS = (1 / 16, 1 / 8, 1 / 4, 1 / 2, 1, 2, 4, 8, 16)


def _y(ratio: float) -> float:
    log = float(np.clip(np.log(max(ratio, 1e-9)), -_REACH, _REACH))
    middle = _TOP + (_HEIGHT - _TOP - _BOTTOM) / 2
    return float(middle - log / _REACH * (_HEIGHT - _TOP - _BOTTOM) / 2)


def _tick_name(ratio: float) -> str:
    return f"{ratio:g}" if ratio >= 1 else f"1/{1 / ratio:g}"


def calibration_svg(values: pd.DataFrame, title: str) -> str:
    """The picture of one nutrient group.

    Parameters
    ----------
    values : DataFrame
        ``published``, ``low``, ``likely``, ``high`` [component unit] and ``is_inside``.
    title : str
        What the values are of.
    """
    taken = values.iloc[np.linspace(0, len(values) - 1, min(len(values), _MOST)).astype(int)]
    taken = taken.assign(width=np.log(taken["high"] / np.maximum(taken["low"], 1e-9)))
    taken = taken.sort_values(["width", "published"], kind="stable")
    step = (_WIDTH - _LEFT - 10) / max(len(taken), 1)
    bars: list[str] = []
    dots: list[str] = []
    misses: list[str] = []
    for place, row in enumerate(taken.itertuples()):
        x = f"{_LEFT + (place + 0.5) * step:.1f}"
        low, high, published = (
            f"{_y(value / row.likely):.0f}" for value in (row.low, row.high, row.published)
        )
        bars.append(f"M{x} {low}V{high}")
        (dots if row.is_inside else misses).append(f"M{x} {published}h0")
    inside = f"{values['is_inside'].mean():.0%}"
    lines, names = [], []
    for tick in _TICKS:
        y = f"{_y(tick):.0f}"
        lines.append(f"M{_LEFT} {y}H{_WIDTH - 10}")
        names.append(
            f'<text x="{_LEFT - 6}" y="{y}" text-anchor="end" dy="4">{_tick_name(tick)}</text>'
        )
    bar = max(min(step * 0.6, 6.0), 1.0)
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {_WIDTH} {_HEIGHT}" '
        f'width="{_WIDTH}" height="{_HEIGHT}" font-family="sans-serif" font-size="11">',
        f"<title>{title}: predicted range and published value</title>",
        f'<rect width="{_WIDTH}" height="{_HEIGHT}" fill="#fff"/>',
        f'<text x="{_LEFT}" y="18" font-size="14" font-weight="bold">{title}</text>',
        f'<text x="{_LEFT}" y="34">{len(values)} values, {inside} in the range '
        "(aim: 90 %); bars: low to high, dots: published, over the likely value</text>",
        f'<path d="{"".join(lines)}" stroke="#ddd"/>',
        "".join(names),
        f'<path d="{"".join(bars)}" stroke="#9bb8d3" stroke-width="{bar:.1f}"/>',
        f'<path d="{"".join(dots)}" stroke="#123" stroke-width="4" stroke-linecap="round"/>',
        f'<path d="{"".join(misses)}" stroke="#c22" stroke-width="5" stroke-linecap="round"/>',
        f'<text x="{_LEFT}" y="{_HEIGHT - 12}">each bar is one nutrient of a dried food, narrowest '
        "range first; red: outside</text>",
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def write_pictures(values: pd.DataFrame, folder: Path) -> list[Path]:
    """One picture per nutrient group of a verification's values, into ``folder``."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for group, of_group in values.groupby("group", observed=True):
        path = folder / f"{str(group).replace(' ', '_')}.svg"
        write_whole(path, calibration_svg(of_group, str(group)))
        written.append(path)
    return written
