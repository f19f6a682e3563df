"""Charts: well-formed, inside their frame, colours by thing, and words that stay words."""

import re
import xml.etree.ElementTree as ET

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.report import charts_choice, charts_priorities, charts_svg, charts_year, svg
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks, tick_text

YEAR = np.linspace(0, 1, 8760)
DAY = np.linspace(0.1, 1, 24)
WEEK = {
    name: np.full(168, 500.0)
    for name in ("load_w", "pv_available_w", "grid_import_w", "generator_w")
} | {"grid_up": np.r_[np.ones(100), np.zeros(8), np.ones(60)], "soc_frac": np.full(168, 0.5)}
HOSTILE = "</text><script>&\"'\x00 " + "W" * 60


def pictures(words: str = "a name", scale: float = 1.0, width: float = 480.0):
    """One of each picture, with the words and sizes wanted."""
    twelve = np.arange(1, 13) * scale
    units, modules = np.arange(1, 9), np.arange(9, 1, -1)
    hours = np.full(168, 300.0 * scale)
    return [
        charts_svg.months_by_source(
            words, {"sun": twelve, "bank": twelve, "grid": twelve, "generator": twelve}, twelve,
            width=width,
        ),
        charts_svg.stretch(
            words, words,
            charts_svg.Hours(hours, hours, hours, np.full(168, 0.4), 1.0, np.full(168, 0.6)),
            width=width,
        ),
        charts_svg.day_of_use(
            words, {f"{words} {i}": DAY * scale for i in range(8)}, DAY, width=width
        ),
        charts_svg.sun_by_month(words, twelve, twelve * 0.9, twelve * 1.1, twelve - 6, width=width),
        charts_year.year_of_charge(words, YEAR, 1.0, width=width),
        charts_year.energy_flow(words, {"sun": scale, "grid": scale}, {"load": scale}, width=width),
        charts_choice.frontier(words, units, modules, chosen=(3, 7), width=width),
        charts_choice.unserved_map(
            words, units, modules, np.outer(1 / units, 1 / modules), 0.05, chosen=(3, 7),
            width=width,
        ),
        charts_choice.money_over_years(
            words, np.linspace(5000, 9000, 21) * scale, np.linspace(0, 20000, 21) * scale,
            words[:8], words, payback_y=6.2, width=width,
        ),
        charts_choice.bars_both_ways(
            words, [(words, "low", "high", 900.0 * scale, 1200.0 * scale)] * 3, 1000.0 * scale,
            words, width=width,
        ),
        charts_choice.health(words, np.linspace(1, 0.8, 21), 0.8, width=width),
        charts_choice.months_line(words, [(words, twelve, svg.BANK, "line")], words, width=width),
        charts_priorities.priorities(
            words, [(words, {"grid": scale, "fuel": 2 * scale})] * 3, words,
            width=width,
        ),
        charts_priorities.priorities_week(
            words, [(words, WEEK)] * 3, ("1 Jan",) * 7, 1.0, width=width
        ),
    ]  # fmt: skip


def boxes(picture):
    """Size of a picture and the rectangles and words in it."""
    root = ET.fromstring(picture.svg)
    width, height = (float(x) for x in root.attrib["viewBox"].split()[2:])
    return width, height, list(root)


@pytest.mark.parametrize(
    ("index", "width"),
    [*((index, 480.0) for index in range(14)), *((index, 240.0) for index in (0, 1, 2, 8))],
)
def test_everything_lies_inside_the_picture(index, width):
    picture = pictures(width=width)[index]
    wide, high, parts = boxes(picture)
    assert len(parts) > 5
    for part in parts:
        tag = part.tag.split("}")[1]
        if tag == "rect":
            x, y, w, h = (float(part.attrib[k]) for k in ("x", "y", "width", "height"))
            assert -0.01 <= x <= x + w <= wide + 0.5
            assert -0.01 <= y <= y + h <= high + 0.5
        if tag == "polyline":
            points = np.array([p.split(",") for p in part.attrib["points"].split()], dtype=float)
            assert points[:, 0].min() >= -0.01
            assert points[:, 0].max() <= wide + 0.01
            assert points[:, 1].min() >= -0.01
            assert points[:, 1].max() <= high + 0.01
        if tag == "text":
            assert 0 <= float(part.attrib["y"]) <= high


@pytest.mark.parametrize("index", range(14))
def test_words_stay_words(index):
    root = ET.fromstring(pictures(HOSTILE)[index].svg)
    assert {part.tag.split("}")[1] for part in root} <= {
        "rect", "polyline", "polygon", "path", "circle", "text"
    }  # fmt: skip
    assert "\x00" not in pictures(HOSTILE)[index].svg


@pytest.mark.parametrize("scale", [0.0, 1e-6, 1.0, 1e6])
def test_no_size_of_number_breaks_a_picture(scale):
    for picture in pictures(scale=scale):
        assert not re.search(r"\b(nan|inf)\b", picture.svg, re.IGNORECASE), picture.key
        ET.fromstring(picture.svg)


def test_a_column_is_as_tall_as_its_value():
    zero = np.zeros(12)
    sun = np.array([4.0, 2.0] + [0.0] * 10)
    picture = charts_svg.months_by_source("t", {"sun": sun}, zero)
    columns = [
        float(part.attrib["height"])
        for part in ET.fromstring(picture.svg)
        if part.tag.endswith("rect") and part.attrib["fill"] == svg.SUN
    ]
    tallest = sorted(columns)[-2:]
    assert tallest[1] == pytest.approx(2 * tallest[0], abs=0.02)


def test_the_flow_picture_keeps_widths_true():
    picture = charts_year.energy_flow("t", {"sun": 300.0}, {"load": 200.0, "curtailed": 100.0})
    edges = {
        part.attrib["fill"]: float(part.attrib["height"])
        for part in ET.fromstring(picture.svg)
        if part.tag.endswith("rect") and part.attrib["width"] == "6.00"
    }
    assert edges[svg.SUN] == pytest.approx(edges[svg.INK] + edges[svg.CURTAILED], abs=0.02)
    assert edges[svg.INK] == pytest.approx(2 * edges[svg.CURTAILED], abs=0.02)


@settings(max_examples=200, deadline=None)
@given(st.floats(-1e9, 1e9), st.floats(1e-3, 1e9))
def test_ticks_are_round_and_cover(low, span):
    ticks = round_ticks(low, low + span)
    slack = 1e-6 * max(abs(low), span)
    assert ticks[0] <= low + slack
    assert ticks[-1] >= low + span - slack
    assert 2 <= len(ticks) <= 14
    step = ticks[1] - ticks[0]
    if span < 1e-5 * abs(low):
        return  # too narrow for its place: widened, and the last digits of the step are lost
    lead = step / 10.0 ** np.floor(np.log10(step) + 1e-9)
    assert round(float(lead), 3) in (1, 2, 5, 10)


def test_tick_labels():
    assert [tick_text(v) for v in (0, 0.25, 1500, 25_000, -3_000_000)] == [
        "0", "0.25", "1500", "25k", "−3M"
    ]  # fmt: skip


def test_frame_maps_ends_to_edges():
    frame = Frame(10, 20, 100, 50, 0, 4, -1, 1)
    assert (frame.x(0), frame.x(4), frame.y(1), frame.y(-1)) == (10, 110, 20, 70)


def test_a_drawing_escapes():
    drawing = Drawing(10, 10)
    drawing.text(1, 1, "<b>&")
    assert "&lt;b&gt;&amp;" in drawing.svg()
