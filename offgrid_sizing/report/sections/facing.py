"""Tilt and direction of the array, as a section of a summary."""

from functools import partial

import numpy as np

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.palette import SUN_STEPS
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure
from offgrid_sizing.report.model import Cell, Section, Table
from offgrid_sizing.report.spoken import figure, number
from offgrid_sizing.report.svg import Drawing, Frame
from offgrid_sizing.sizing.orientation import MEASURES, OrientationMap
from offgrid_sizing.units import percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, sentence


def facing_section(outcome: Outcome) -> Section | None:
    """What turning and tilting the whole array would bring; None without an array."""
    found = outcome.facing
    if found is None:
        return None
    tilt, azimuth = found.best("month")
    lean = found.values("month")
    title = sentence(
        "paper_sizing.facing_title",
        tilt=number(tilt, "g"),
        azimuth=number(azimuth, "g"),
        kwh=figure(lean.max()),
    )
    heads = ("for", "tilt", "direction", "kwh_year", "kwh_lean", "unserved")
    table = Table(
        sentence("paper_sizing.facing_table"),
        tuple(sentence(f"paper_sizing.col_{key}") for key in heads),
        tuple(_row(found, measure) for measure in MEASURES),
    )
    low, high = figure(lean.min()), figure(lean.max())
    alt = sentence("paper_sizing.alt_facing", low=low, high=high)
    picture = Figure("facing", title, alt, partial(_map, found, lean))
    answer = sentence("paper_sizing.facing_sentence", year=outcome.year_words)
    return Section("facing", sentence("paper_sizing.facing"), answer, (picture, table))


def _row(found: OrientationMap, measure: str) -> tuple[Cell, ...]:
    tilt, azimuth = found.best(measure)
    at = (found.tilt_deg == tilt)[:, None] & (found.azimuth_deg == azimuth)
    year, month, unserved = (float(found.values(name)[at][0]) for name in MEASURES)
    return (
        sentence(f"paper_sizing.best_{measure}"),
        round(tilt, 1),
        round(azimuth, 1),
        round(year, 1),
        round(month, 2),
        Sentence(Shown(percent, unserved)),
    )


def _map(found: OrientationMap, values: np.ndarray, language: str) -> str:
    """Directions across, tilt upwards, each plane a field in eight shades."""
    drawing = Drawing(WIDTH, 190, language)
    rows, columns = values.shape
    frame = Frame(44, 22, WIDTH - 60, 136, 0, columns, 0, rows)
    low, high = float(values.min()), float(values.max())
    shade = (values - low) / max(high - low, 1e-12) * len(SUN_STEPS)
    shade = np.clip(shade.astype(int), 0, len(SUN_STEPS) - 1)
    wide, tall = frame.width / columns, frame.height / rows
    for row, column in np.ndindex(rows, columns):
        x, y = float(frame.x(column)), float(frame.y(row + 1))
        drawing.rect(x, y, wide + 0.15, tall + 0.15, SUN_STEPS[shade[row, column]])
    row, column = found.best_month
    drawing.dot(float(frame.x(column + 0.5)), float(frame.y(row + 0.5)), 3.5, svg.INK)
    for at in range(0, rows, 4):
        y = float(frame.y(at + 0.5)) + 3
        drawing.text(frame.left - 4, y, f"{drawing.tick(found.tilt_deg[at])}°", anchor="end")
    marks = np.arange(0, columns, 3)
    svg.x_labels(
        drawing, frame, marks + 0.5, [f"{drawing.tick(found.azimuth_deg[at])}°" for at in marks]
    )
    words = drawing.says(sentence("paper_sizing.facing_low", low=figure(low)))
    drawing.text(frame.left, 12, words)
    x = frame.left + max(110.0, 4.4 * len(words))
    for colour in SUN_STEPS:
        drawing.rect(x, 4.5, 14, 8, colour)
        x += 14
    drawing.text(x + 5, 12, sentence("paper_sizing.facing_high", high=figure(high)))
    return drawing.svg()
