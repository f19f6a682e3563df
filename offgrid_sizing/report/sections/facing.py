"""Tilt and direction of the array, as a section of a summary."""

import numpy as np

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.palette import SUN_STEPS
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure
from offgrid_sizing.report.model import Cell, Section, Table
from offgrid_sizing.report.svg import Drawing, Frame
from offgrid_sizing.sizing.orientation import MEASURES, OrientationMap
from offgrid_sizing.units import digits, percent

BEST_FOR = {
    "year": "the year's energy",
    "month": "the leanest month",
    "served": "the least load unserved, then the least bought",
}


def facing_section(outcome: Outcome) -> Section | None:
    """What turning and tilting the whole array would bring; None without an array."""
    found = outcome.facing
    if found is None:
        return None
    tilt, azimuth = found.best("month")
    lean = found.values("month")
    title = (
        f"Tilted {tilt:g}° towards {azimuth:g}° the array gives most in its leanest month: "
        f"{digits(float(lean.max()))} kWh a day"
    )
    sentence = (
        f"All modules on one plane, run through {outcome.year_words} with bank, load and priority "
        "as they are; array energy is before the controllers' limits. Directions run clockwise "
        "from north."
    )
    table = Table(
        "Best tilt and direction",
        ("For", "Tilt, °", "Direction, °", "kWh a year", "kWh a day, leanest month", "Unserved"),
        tuple(_row(found, measure) for measure in MEASURES),
    )
    drawing = _map(found, lean)
    alt = (
        f"Array energy of the leanest month over tilt and direction: {digits(float(lean.min()))} "
        f"to {digits(float(lean.max()))} kWh a day"
    )
    figure = Figure("facing", title, alt, drawing.svg())
    return Section("facing", "Tilt and direction", sentence, (figure, table))


def _row(found: OrientationMap, measure: str) -> tuple[Cell, ...]:
    tilt, azimuth = found.best(measure)
    at = (found.tilt_deg == tilt)[:, None] & (found.azimuth_deg == azimuth)
    year, month, unserved = (float(found.values(name)[at][0]) for name in MEASURES)
    return (
        BEST_FOR[measure], round(tilt, 1), round(azimuth, 1), round(year, 1), round(month, 2),
        percent(unserved),
    )  # fmt: skip


def _map(found: OrientationMap, values: np.ndarray) -> Drawing:
    """Directions across, tilt upwards, each plane a field in eight shades."""
    drawing = Drawing(WIDTH, 190)
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
        drawing.text(frame.left - 4, y, f"{found.tilt_deg[at]:g}°", anchor="end")
    marks = np.arange(0, columns, 3)
    svg.x_labels(drawing, frame, marks + 0.5, [f"{found.azimuth_deg[at]:g}°" for at in marks])
    drawing.text(frame.left, 12, f"Tilt over direction; {digits(low)}")
    x = frame.left + 110
    for colour in SUN_STEPS:
        drawing.rect(x, 4.5, 14, 8, colour)
        x += 14
    drawing.text(x + 5, 12, f"{digits(high)} kWh a day; dot: best")
    return drawing
