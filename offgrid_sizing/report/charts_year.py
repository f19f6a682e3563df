"""Pictures of a whole year: its state of charge hour by hour, and where its energy went."""

from functools import partial

import numpy as np

from offgrid_sizing.palette import CHARGE_STEPS
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure
from offgrid_sizing.report.spoken import MONTHS, number
from offgrid_sizing.report.svg import Drawing, Frame
from offgrid_sizing.words import Sentence, sentence, together
from offgrid_sizing.year_days import MONTH_EDGES, by_day, hourly_means


def year_of_charge(
    title: str, soc_frac: np.ndarray, step_h: float, *, width: float = WIDTH
) -> Figure:
    """365 columns by 24 rows, coloured by state of charge in eight steps."""
    alt = sentence("paper_energy.alt_year", lowest=number(100 * soc_frac.min(), ".0f"))
    return Figure("year", title, alt, partial(_year_of_charge, soc_frac, step_h, width))


def _year_of_charge(soc_frac, step_h: float, width: float, language: str) -> str:
    hourly = hourly_means(by_day(soc_frac, step_h), step_h)
    days = len(hourly)
    level = np.clip((hourly * len(CHARGE_STEPS)).astype(int), 0, len(CHARGE_STEPS) - 1)
    drawing = Drawing(width, 144, language)
    rows = hourly.shape[1]
    frame = Frame(40, 22, width - 48, 104, 0, days, rows, 0)
    for row in range(rows):
        _runs(drawing, frame, level[:, row], row)
    for hour in (0, 6, 12, 18, 24):
        y = float(frame.y(hour))
        drawing.text(frame.left - 4, y + 3, f"{hour}:00", anchor="end", colour=svg.GREY)
    svg.x_labels(drawing, frame, MONTH_EDGES[:-1] + 15, MONTHS)
    x = 40.0
    empty = drawing.says(sentence("paper_energy.charge_empty"))
    drawing.text(x, 12, empty)
    x += max(112.0, 4.4 * len(empty))
    for shade in CHARGE_STEPS:
        drawing.rect(x, 4.5, 14, 8, shade)
        x += 14
    drawing.text(x + 5, 12, sentence("paper_energy.charge_full"))
    return drawing.svg()


def _runs(drawing: Drawing, frame: Frame, level: np.ndarray, row: int) -> None:
    """One row of the year, neighbouring days of one shade drawn as one rectangle."""
    edges = np.flatnonzero(np.diff(level)) + 1
    top, bottom = float(frame.y(row)), float(frame.y(row + 1))
    for first, last in zip(np.r_[0, edges], np.r_[edges, len(level)], strict=True):
        x, right = float(frame.x(first)), float(frame.x(last))
        drawing.rect(x, top, right - x + 0.15, bottom - top + 0.15, CHARGE_STEPS[level[first]])


FLOW_COLOURS = {
    "sun": svg.SUN,
    "grid": svg.GRID,
    "generator": svg.GENERATOR,
    "bank_start": svg.BANK,
    "bank_end": svg.BANK,
    "load": svg.INK,
    "curtailed": svg.CURTAILED,
    "exported": svg.GRID,
}


def energy_flow(
    title: str, sources: dict[str, float], uses: dict[str, float], *, width: float = WIDTH
) -> Figure:
    """Where the year's energy came from and went to, widths true, each by its key. [kWh]"""

    def told(parts: dict[str, float]) -> Sentence:
        sums = (
            sentence("paper_energy.alt_flow_part", what=_flow_name(key), kwh=number(kwh, ".0f"))
            for key, kwh in parts.items()
        )
        return together(*sums, by=", ")

    alt = sentence("paper_energy.alt_flow", sources=told(sources), uses=told(uses))
    return Figure("flow", title, alt, partial(_energy_flow, dict(sources), dict(uses), width))


def _flow_name(key: str) -> str:
    return sentence(f"paper_energy.flow_{key}")


def _energy_flow(sources, uses, width: float, language: str) -> str:
    total = max(sum(sources.values()), sum(uses.values()), 1e-9)
    drawing = Drawing(width, 220, language)
    gap, top = 8.0, 14.0
    scale = (196 - gap * (max(len(sources), len(uses)) - 1)) / total
    middle = (width / 2 - 40, width / 2 + 40)
    hub = total * scale
    hub_top = top + (196 - hub) / 2
    drawing.rect(middle[0], hub_top, middle[1] - middle[0], hub, svg.FAINT)
    the_year = sentence("paper_energy.the_year")
    drawing.text(width / 2, hub_top + hub / 2 + 3, the_year, anchor="middle")
    _fan(drawing, sources, scale, gap, (130.0, middle[0], hub_top, 122.0, "end"))
    _fan(drawing, uses, scale, gap, (width - 130, middle[1], hub_top, width - 122, "start"))
    return drawing.svg()


def _fan(drawing, parts, scale, gap, place) -> None:
    edge, hub_edge, hub_top, words_x, anchor = place
    height = sum(parts.values()) * scale + gap * (len(parts) - 1)
    y, at_hub = 14 + (196 - height) / 2, hub_top
    for key, value in parts.items():
        size = value * scale
        colour = FLOW_COLOURS.get(key, svg.GREY)
        hub = svg.Edge(hub_edge, at_hub, at_hub + size)
        drawing.band(svg.Edge(edge, y, y + size), hub, colour)
        left = edge - 6 if anchor == "end" else edge
        drawing.rect(left, y, 6, max(size, 0.6), colour)
        kwh = drawing.tick(float(f"{value:.3g}"))
        words = sentence("paper_energy.alt_flow_part", what=_flow_name(key), kwh=kwh)
        drawing.text(
            words_x - (2 if anchor == "end" else 0), y + size / 2 + 3, words, anchor=anchor
        )
        y, at_hub = y + size + gap, at_hub + size
