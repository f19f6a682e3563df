"""Pictures of the charge priorities: what each costs, and one week under each."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from offgrid_sizing import palette
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure, top_of
from offgrid_sizing.report.spoken import number
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks
from offgrid_sizing.words import sentence, to_words, together

PAID_FOR = {"grid": svg.GRID, "fuel": svg.GENERATOR, "wear": svg.BANK}


def priorities(
    title: str,
    rows: Sequence[tuple[str, dict[str, float]]],
    unit: str,
    *,
    width: float = WIDTH,
) -> Figure:
    """Yearly cost of each charge priority by what it is paid for (`PAID_FOR`), stacked."""
    told = (
        sentence("paper_energy.alt_cost", what=words, cost=number(_paid(parts), ",.0f"))
        for words, parts in rows
    )
    draw = partial(_priorities, list(rows), unit, width)
    return Figure("priorities", title, together(*told, by="; "), draw)


def _paid(parts: dict[str, float]) -> float:
    return sum(parts.get(kind, 0) for kind in PAID_FOR)


def _priorities(rows, unit, width: float, language: str) -> str:
    kinds = [k for k in PAID_FOR if any(parts.get(k, 0) > 0 for _, parts in rows)]
    ticks = round_ticks(0, max((1.0, *(_paid(parts) for _, parts in rows))), 5)
    drawing = Drawing(width, 50 + 26 * len(rows), language)
    frame = Frame(110, 26, width - 170, 26 * len(rows), 0, ticks[-1], 0, 1)
    for tick in ticks:
        x, words = float(frame.x(tick)), drawing.tick(tick)
        drawing.line((x, x), (frame.top, frame.bottom), svg.FAINT, width=0.5)
        drawing.text(x, frame.bottom + 12, words, anchor="middle", colour=svg.GREY)
    for index, (name, parts) in enumerate(rows):
        y, x = frame.top + 26 * index + 5, frame.left
        for kind in kinds:
            size = float(frame.x(parts.get(kind, 0))) - frame.left
            drawing.rect(x, y, size, 16, PAID_FOR[kind])
            x += max(size, 0)
        drawing.text(x + 4, y + 11, drawing.tick(float(f"{_paid(parts):.4g}")))
        shown = svg.shorten(to_words(name, language), 22)
        drawing.text(frame.left - 6, y + 11, shown, anchor="end")
    named = [(sentence(f"paper_energy.paid_{kind}"), PAID_FOR[kind], "fill") for kind in kinds]
    wide = [(f"{words} ", *look) for words, *look in svg.in_language(named, language)]
    svg.legend(drawing, wide, left=frame.left)
    drawing.text(frame.right, frame.bottom + 23, unit, anchor="end", colour=svg.GREY)
    return drawing.svg()


def priorities_week(
    title: str,
    rows: Sequence[tuple[str, dict[str, np.ndarray]]],
    day_words: tuple[str, ...],
    step_h: float,
    *,
    width: float = WIDTH,
) -> Figure:
    """The same days under each priority, one above the other on one time axis, cuts shaded."""
    told = (
        sentence(
            "paper_energy.alt_week",
            what=words,
            kwh=number(columns["grid_import_w"].sum() * step_h / 1000, ".1f"),
            lowest=number(100 * columns["soc_frac"].min(), ".0f"),
        )
        for words, columns in rows
    )
    draw = partial(_priorities_week, list(rows), day_words, step_h, width)
    return Figure("priorities_week", title, together(*told, by="; "), draw)


def _priorities_week(rows, day_words, step_h: float, width: float, language: str) -> str:
    flows = [columns for _, columns in rows]
    n = len(flows[0]["load_w"])
    names = ("load_w", "pv_available_w", "grid_import_w", "generator_w")
    top_kw = top_of(np.concatenate([f[name] for f in flows for name in names]) / 1000, 0.1)
    drawing = Drawing(width, 46 + 100 * len(rows), language)
    for index, (words, columns) in enumerate(rows):
        frame = Frame(52, 36 + 100 * index, width - 92, 76, 0, n * step_h, 0, top_kw)
        _cuts(drawing, frame, columns["grid_up"], step_h)
        axis = sentence("paper_energy.week_axis", what=words)
        svg.y_axis(drawing, frame, round_ticks(0, top_kw, 2), axis)
        _one_week(drawing, frame, columns, step_h)
    svg.x_labels(drawing, frame, np.arange(len(day_words)) * 24 + 12, day_words)
    svg.legend(drawing, _week_legend(flows))
    return drawing.svg()


def _one_week(drawing: Drawing, frame: Frame, columns, step_h: float) -> None:
    """One priority's week: sun, grid, generator and load, and the bank's charge over them."""
    xs = frame.x((np.arange(len(columns["load_w"])) + 0.5) * step_h)
    floor = np.full(len(xs), frame.bottom)
    drawing.area(xs, frame.y(columns["pv_available_w"] / 1000), floor, svg.SUN, opacity=0.6)
    for name, colour in (("grid_import_w", svg.GRID), ("generator_w", svg.GENERATOR)):
        if columns[name].max() > 0:
            drawing.line(xs, frame.y(columns[name] / 1000), colour, width=1.4)
    drawing.line(xs, frame.y(columns["load_w"] / 1000), svg.INK, width=1)
    charge = Frame(frame.left, frame.top, frame.width, frame.height, 0, frame.x_high, 0, 1)
    drawing.line(xs, charge.y(columns["soc_frac"]), svg.BANK, width=1.6, dash="5 2")
    for share in (0, 0.5, 1):
        place = float(charge.y(share)) + 3
        drawing.text(frame.right + 5, place, f"{100 * share:.0f} %", colour=svg.BANK)


def _week_legend(flows) -> list[tuple[str, str, str]]:
    items = [
        ("sun_available", svg.SUN, "fill"),
        ("load", svg.INK, "line"),
        ("grid", svg.GRID, "line"),
        ("charge", svg.BANK, "dash"),
    ]
    if any(f["generator_w"].max() > 0 for f in flows):
        items.append(("generator", svg.GENERATOR, "line"))
    if any(f["grid_up"].min() < 1 for f in flows):
        items.append(("cut", palette.CUT, "fill"))
    return [(sentence(f"paper_energy.{key}"), colour, kind) for key, colour, kind in items]


def _cuts(drawing: Drawing, frame: Frame, grid_up: np.ndarray, step_h: float) -> None:
    """Grey bands where the grid is down."""
    down = np.flatnonzero(np.diff(np.r_[1, grid_up > 0, 1].astype(int)))
    for first, last in zip(down[::2], down[1::2], strict=True):
        left = float(frame.x(first * step_h))
        right = float(frame.x(last * step_h))
        drawing.rect(left, frame.top, right - left, frame.height, palette.CUT)
