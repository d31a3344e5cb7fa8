"""Calibration pictures: well-formed, small, and true to the values."""

import xml.etree.ElementTree as ET

import pandas as pd
import pytest

from data_builder.calibration import calibration_svg, write_pictures


def values(count, group="minerals"):
    return pd.DataFrame(
        {
            "group": group,
            "published": [1.0] * (count - 1) + [9.0],
            "low": [0.5] * count,
            "likely": [1.0] * count,
            "high": [2.0] * count,
            "is_inside": [True] * (count - 1) + [False],
        }
    )


def paths(svg):
    return [one.get("d") for one in ET.fromstring(svg).iter("{http://www.w3.org/2000/svg}path")]


def test_a_bar_for_each_value_and_a_red_dot_for_each_miss():
    svg = calibration_svg(values(10), "minerals")
    _, bars, dots, misses = paths(svg)
    assert (bars.count("M"), dots.count("M"), misses.count("M")) == (10, 9, 1)
    assert "10 values, 90% in the range" in svg


def test_twice_the_likely_value_lies_a_step_above_it():
    svg = calibration_svg(values(10), "minerals")
    lines, bars = paths(svg)[:2]
    ticks = [float(part.split()[1].split("H")[0]) for part in lines.split("M")[1:]]
    low, high = (float(part) for part in bars.split("M")[1].split()[1].split("V"))
    assert (low, high) == (ticks[3], ticks[5])  # 1/2 and 2


def test_many_values_stay_a_small_picture():
    svg = calibration_svg(values(5000), "minerals")
    assert len(svg) < 8000 and "5000 values" in svg


@pytest.mark.parametrize("names", [("minerals", "vitamin C")])
def test_one_picture_for_each_group(tmp_path, names):
    every = pd.concat([values(5, name) for name in names])
    written = write_pictures(every, tmp_path / "new")
    assert sorted(path.name for path in written) == ["minerals.svg", "vitamin_C.svg"]
    for path in written:
        ET.fromstring(path.read_text(encoding="utf-8"))
