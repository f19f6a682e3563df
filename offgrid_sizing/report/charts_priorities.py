"""Pictures of the charge priorities: what each costs, and one week under each."""

import numpy as np

from offgrid_sizing import palette
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure, top_of
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks


def priorities(
    title: str,
    rows: list[tuple[str, dict[str, float]]],
    unit: str,
    *,
    width: float = WIDTH,
) -> Figure:
    """Yearly cost of each charge priority by what it is paid for, stacked."""
    colours = {"grid": svg.GRID, "fuel and generator": svg.GENERATOR, "bank wear": svg.BANK}
    kinds = [k for k in colours if any(parts.get(k, 0) > 0 for _, parts in rows)]
    most = max((sum(parts.get(k, 0) for k in kinds) for _, parts in rows), default=1.0)
    ticks = round_ticks(0, max(most, 1.0), 5)
    drawing = Drawing(width, 50 + 26 * len(rows))
    frame = Frame(110, 26, width - 170, 26 * len(rows), 0, ticks[-1], 0, 1)
    for tick in ticks:
        x = float(frame.x(tick))
        drawing.line((x, x), (frame.top, frame.bottom), svg.FAINT, width=0.5)
        drawing.text(x, frame.bottom + 12, svg.tick_text(tick), anchor="middle", colour=svg.GREY)
    for index, (words, parts) in enumerate(rows):
        y, x = frame.top + 26 * index + 5, frame.left
        for kind in kinds:
            size = float(frame.x(parts.get(kind, 0))) - frame.left
            drawing.rect(x, y, size, 16, colours[kind])
            x += max(size, 0)
        total = sum(parts.get(kind, 0) for kind in kinds)
        drawing.text(x + 4, y + 11, svg.tick_text(float(f"{total:.4g}")))
        drawing.text(frame.left - 6, y + 11, svg.shorten(words, 22), anchor="end")
    legend = [(f"{kind} ", colours[kind], "fill") for kind in kinds]
    svg.legend(drawing, legend, left=frame.left)
    drawing.text(frame.right, frame.bottom + 23, svg.printable(unit), anchor="end", colour=svg.GREY)
    alt = "; ".join(f"{svg.printable(w)}: {sum(p.get(k, 0) for k in kinds):,.0f}" for w, p in rows)
    return Figure("priorities", title, alt, drawing.svg())


def priorities_week(
    title: str,
    rows: list[tuple[str, dict[str, np.ndarray]]],
    day_words: tuple[str, ...],
    step_h: float,
    *,
    width: float = WIDTH,
) -> Figure:
    """The same days under each priority, one above the other on one time axis, cuts shaded."""
    flows = [columns for _, columns in rows]
    n = len(flows[0]["load_w"])
    hours = (np.arange(n) + 0.5) * step_h
    names = ("load_w", "pv_available_w", "grid_import_w", "generator_w")
    top_kw = top_of(np.concatenate([f[name] for f in flows for name in names]) / 1000, 0.1)
    drawing = Drawing(width, 46 + 100 * len(rows))
    end = n * step_h
    for index, (words, columns) in enumerate(rows):
        frame = Frame(52, 36 + 100 * index, width - 92, 76, 0, end, 0, top_kw)
        _cuts(drawing, frame, columns["grid_up"], step_h)
        svg.y_axis(drawing, frame, round_ticks(0, top_kw, 2), f"{words}, kW")
        xs, floor = frame.x(hours), np.full(n, frame.bottom)
        drawing.area(xs, frame.y(columns["pv_available_w"] / 1000), floor, svg.SUN, opacity=0.6)
        for name, colour in (("grid_import_w", svg.GRID), ("generator_w", svg.GENERATOR)):
            if columns[name].max() > 0:
                drawing.line(xs, frame.y(columns[name] / 1000), colour, width=1.4)
        drawing.line(xs, frame.y(columns["load_w"] / 1000), svg.INK, width=1)
        charge = Frame(frame.left, frame.top, frame.width, frame.height, 0, end, 0, 1)
        drawing.line(xs, charge.y(columns["soc_frac"]), svg.BANK, width=1.6, dash="5 2")
        for share in (0, 0.5, 1):
            place = float(charge.y(share)) + 3
            drawing.text(frame.right + 5, place, f"{100 * share:.0f} %", colour=svg.BANK)
    svg.x_labels(drawing, frame, np.arange(len(day_words)) * 24 + 12, day_words)
    items = [
        ("Sun available", svg.SUN, "fill"),
        ("Load", svg.INK, "line"),
        ("Grid", svg.GRID, "line"),
        ("Charge of the bank", svg.BANK, "dash"),
    ]
    if any(f["generator_w"].max() > 0 for f in flows):
        items.append(("Generator", svg.GENERATOR, "line"))
    if any(f["grid_up"].min() < 1 for f in flows):
        items.append(("Cut", palette.CUT, "fill"))
    svg.legend(drawing, items)
    alt = "; ".join(
        f"{words}: {columns['grid_import_w'].sum() * step_h / 1000:.1f} kWh from the grid, lowest "
        f"charge {100 * columns['soc_frac'].min():.0f} %"
        for words, columns in rows
    )
    return Figure("priorities_week", title, alt, drawing.svg())


def _cuts(drawing: Drawing, frame: Frame, grid_up: np.ndarray, step_h: float) -> None:
    """Grey bands where the grid is down."""
    down = np.flatnonzero(np.diff(np.r_[1, grid_up > 0, 1].astype(int)))
    for first, last in zip(down[::2], down[1::2], strict=True):
        left = float(frame.x(first * step_h))
        right = float(frame.x(last * step_h))
        drawing.rect(left, frame.top, right - left, frame.height, palette.CUT)
