"""Pictures of choices: bank against array, priorities, money, and what would change them."""

import numpy as np

from offgrid_sizing.palette import UNSERVED_STEPS
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure, top_of
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks
from offgrid_sizing.units import counted


def frontier(
    title: str,
    units: np.ndarray,
    modules: np.ndarray,
    *,
    chosen: tuple[int, int] | None = None,
    width: float = WIDTH,
) -> Figure:
    """Modules of the cheapest system that meets the target with each bank, the choice ringed.

    Parameters
    ----------
    units, modules : int arrays, shape (n,)
        Points of the frontier.
    """
    drawing = Drawing(width, 198)
    tall = np.r_[modules, (chosen or (0, 0))[1]]
    wide = max(float(np.max(units, initial=1)), (chosen or (1, 0))[0])
    frame = Frame(40, 34, width - 56, 138, 0, wide + 1, 0, top_of(tall, 1))
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), "PV modules")
    items = [("Modules of the cheapest system with each bank", svg.SUN, "line")]
    drawing.line(frame.x(units), frame.y(modules), svg.SUN, width=2)
    for x, y in zip(units, modules, strict=True):
        drawing.dot(float(frame.x(x)), float(frame.y(y)), 2.2, svg.SUN)
    if chosen is not None:
        x, y = float(frame.x(chosen[0])), float(frame.y(chosen[1]))
        drawing.dot(x, y, 6, "none", stroke=svg.INK)
        drawing.dot(x, y, 3, svg.INK)
        right = chosen[0] < 0.6 * wide
        words = f"chosen: {counted(chosen[0], 'unit')}, {counted(chosen[1], 'module')}"
        drawing.text(x + (10 if right else -10), y - 8, words, anchor="start" if right else "end")
    ticks = [tick for tick in round_ticks(0, wide, 8) if tick <= wide + 1 and tick == int(tick)]
    svg.x_labels(drawing, frame, ticks, [svg.tick_text(tick) for tick in ticks])
    middle = (frame.left + frame.right) / 2
    drawing.text(middle, 195, "battery units in parallel", anchor="middle", colour=svg.GREY)
    svg.legend(drawing, items)
    alt = "Modules of the cheapest system with each bank: " + ", ".join(
        f"{u:.0f} units {m:.0f} modules" for u, m in zip(units, modules, strict=True)
    )
    return Figure("frontier", title, alt, drawing.svg())


MAP_STEPS = (0.001, 0.003, 0.01, 0.03, 0.1, 0.3)


def unserved_map(
    title: str,
    units: np.ndarray,
    modules: np.ndarray,
    unserved_frac: np.ndarray,
    target_frac: float,
    *,
    met: np.ndarray | None = None,
    chosen: tuple[int, int] | None = None,
    width: float = WIDTH,
) -> Figure:
    """Unserved share over bank and array; cells that meet the target carry a dot.

    Parameters
    ----------
    unserved_frac : float64 array, shape (units, modules)
    met : bool array, shape (units, modules), optional
        Cells that meet all targets; by the share alone where it is left out.
    """
    met = unserved_frac <= target_frac if met is None else met
    drawing = Drawing(width, 225)
    frame = Frame(40, 44, width - 56, 154, -0.5, len(units) - 0.5, -0.5, len(modules) - 0.5)
    cell_w, cell_h = frame.width / len(units), frame.height / len(modules)
    for i in range(len(units)):
        for j in range(len(modules)):
            x, y = float(frame.x(i - 0.5)), float(frame.y(j + 0.5))
            shade = UNSERVED_STEPS[int(np.searchsorted(MAP_STEPS, unserved_frac[i, j], "right"))]
            drawing.rect(x, y, cell_w + 0.2, cell_h + 0.2, shade)
            if met[i, j]:
                drawing.dot(x + cell_w / 2, y + cell_h / 2, min(cell_w, cell_h, 6) / 6, svg.GOOD)
    _map_axes(drawing, frame, units, modules)
    if chosen is not None:
        x = float(frame.x(np.interp(chosen[0], units, np.arange(len(units)))))
        y = float(frame.y(np.interp(chosen[1], modules, np.arange(len(modules)))))
        drawing.dot(x, y, 5.5, "none", stroke=svg.INK)
    x, low = 40.0, "under 0.1 %"
    for step, shade in zip((*MAP_STEPS, None), UNSERVED_STEPS, strict=True):
        words = low if step == MAP_STEPS[0] else "more" if step is None else f"to {100 * step:g} %"
        drawing.rect(x, 4.5, 12, 8, shade, stroke=svg.GREY)
        drawing.text(x + 15, 12, words)
        x += 24 + 4.6 * len(words)
    drawing.dot(44, 24, 1.6, svg.GOOD)
    drawing.text(55, 27, f"meets the targets, {100 * target_frac:.3g} % unserved among them")
    alt = f"Unserved share for {met.size} designs; {int(met.sum())} of them meet the target"
    return Figure("map", title, alt, drawing.svg())


def _map_axes(drawing, frame, units, modules) -> None:
    stride_x = max(1, -(-len(units) // 15))
    places = np.arange(0, len(units), stride_x)
    svg.x_labels(drawing, frame, places, [f"{units[i]:g}" for i in places])
    stride_y = max(1, -(-len(modules) // 8))
    for j in range(0, len(modules), stride_y):
        y = float(frame.y(j)) + 3
        drawing.text(frame.left - 4, y, f"{modules[j]:g}", anchor="end", colour=svg.GREY)
    middle = (frame.left + frame.right) / 2
    drawing.text(middle, 221, "battery units in parallel", anchor="middle", colour=svg.GREY)
    drawing.text(frame.left - 4, frame.top - 5, "PV modules", colour=svg.GREY)


def money_over_years(
    title: str,
    system_total: np.ndarray,
    other_total: np.ndarray | None,
    currency: str,
    other_words: str,
    *,
    payback_y: float | None = None,
    width: float = WIDTH,
) -> Figure:
    """Discounted money spent up to each year, with the system and with what it is compared to.

    Parameters
    ----------
    system_total, other_total : float64 arrays, shape (horizon + 1,)
        Running sums of discounted costs; the other is None where nothing is compared.
    """
    years = np.arange(len(system_total))
    both = system_total if other_total is None else np.r_[system_total, other_total]
    ticks = round_ticks(min(0.0, float(both.min())), max(float(both.max()), 1.0))
    most = 60 if width > 300 else 34
    items = (("This system", svg.BANK, "line"),)
    if other_total is not None:
        items += ((svg.shorten(other_words, most), svg.GREY, "dash"),)
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 166)
    frame = Frame(46, top, width - 62, 134, 0, years[-1], ticks[0], ticks[-1])
    money = svg.printable(currency)
    svg.y_axis(drawing, frame, ticks, f"{money} spent so far, at today's worth")
    if other_total is not None:
        drawing.line(frame.x(years), frame.y(other_total), svg.GREY, width=1.8, dash="5 3")
    drawing.line(frame.x(years), frame.y(system_total), svg.BANK, width=2.2)
    if payback_y is not None:
        x = float(frame.x(payback_y))
        drawing.line((x, x), (frame.top, frame.bottom), svg.GOOD, dash="2 2")
        right = payback_y < 0.7 * years[-1]
        words = f"paid back after {payback_y:.1f} years"
        drawing.text(x + (4 if right else -4), frame.top + 10, words,
                     anchor="start" if right else "end", colour=svg.GOOD)  # fmt: skip
    marks = [tick for tick in round_ticks(0, float(years[-1]), 8) if tick <= years[-1]]
    svg.x_labels(drawing, frame, marks, [svg.tick_text(tick) for tick in marks])
    drawing.text(
        (frame.left + frame.right) / 2, frame.bottom + 23, "year", anchor="middle", colour=svg.GREY
    )
    svg.legend(drawing, items)
    alt = f"After {years[-1]} years: this system {money} {system_total[-1]:,.0f}"
    if other_total is not None:
        alt += f", {svg.printable(other_words)} {money} {other_total[-1]:,.0f}"
    return Figure("money", title, alt, drawing.svg())


def bars_both_ways(
    title: str, rows: list[tuple[str, str, str, float, float]], middle: float, unit: str,
    *, width: float = WIDTH,
) -> Figure:  # fmt: skip
    """What would change the answer: a bar for each assumption from its low to its high.

    Parameters
    ----------
    rows : list of (assumption, low label, high label, value at low, value at high)
    middle : float
        The value with nothing changed.
    """
    values = [value for row in rows for value in row[3:]] + [middle]
    ticks = round_ticks(min(values), max(max(values), min(values) + 1e-9), 5)
    drawing = Drawing(width, 44 + 22 * len(rows))
    frame = Frame(150, 26, width - 205, 22 * len(rows), ticks[0], ticks[-1], 0, 1)
    for tick in ticks:
        x = float(frame.x(tick))
        drawing.line((x, x), (frame.top, frame.bottom), svg.FAINT, width=0.5)
        drawing.text(x, frame.bottom + 12, svg.tick_text(tick), anchor="middle", colour=svg.GREY)
    for index, (words, low_words, high_words, low, high) in enumerate(rows):
        y = frame.top + 22 * index + 4
        for value, colour in ((low, svg.BANK), (high, svg.SUN)):
            left, right = sorted((float(frame.x(middle)), float(frame.x(value))))
            drawing.rect(left, y, right - left, 14, colour)
        drawing.text(frame.left - 34, y + 10, svg.shorten(words, 26), anchor="end")
        ends = sorted(((low, low_words), (high, high_words)))
        place = float(frame.x(min(ends[0][0], middle))) - 3
        drawing.text(place, y + 10, ends[0][1], anchor="end", colour=svg.GREY, size=8)
        place = float(frame.x(max(ends[1][0], middle))) + 3
        drawing.text(place, y + 10, ends[1][1], colour=svg.GREY, size=8)
    x = float(frame.x(middle))
    drawing.line((x, x), (frame.top, frame.bottom), svg.INK, width=1)
    drawing.text(frame.left, 14, svg.printable(unit), colour=svg.GREY)
    alt = "; ".join(f"{svg.printable(r[0])}: {r[3]:,.0f} to {r[4]:,.0f}" for r in rows)
    return Figure("sensitivity", title, alt, drawing.svg())


def health(
    title: str, health_frac: np.ndarray, end_of_life_frac: float, *, width: float = WIDTH
) -> Figure:
    """Capacity of the bank by year, and when it is replaced."""
    years = np.arange(len(health_frac))
    low = min(0.7, end_of_life_frac - 0.05)
    drawing = Drawing(width, 140)
    frame = Frame(40, 20, width - 56, 84, 0, years[-1], 100 * low, 100)
    svg.y_axis(drawing, frame, [t for t in round_ticks(100 * low, 100, 4) if 100 * low <= t <= 100],
               "capacity left, %")  # fmt: skip
    y = float(frame.y(100 * end_of_life_frac))
    drawing.line((frame.left, frame.right), (y, y), svg.UNSERVED, dash="4 2")
    drawing.text(frame.right, y + 10, "replaced here", anchor="end", colour=svg.UNSERVED)
    drawing.line(frame.x(years), frame.y(100 * health_frac), svg.BANK, width=2)
    for year, value in zip(years, health_frac, strict=True):
        drawing.dot(float(frame.x(year)), float(frame.y(100 * value)), 2, svg.BANK)
    marks = [tick for tick in round_ticks(0, float(years[-1]), 8) if tick <= years[-1]]
    svg.x_labels(drawing, frame, marks, [svg.tick_text(tick) for tick in marks])
    drawing.text(
        (frame.left + frame.right) / 2, frame.bottom + 23, "year", anchor="middle", colour=svg.GREY
    )
    alt = "Capacity by year in %: " + ", ".join(f"{100 * value:.0f}" for value in health_frac)
    return Figure("health", title, alt, drawing.svg())


def months_line(
    title: str,
    lines: list[tuple[str, np.ndarray, str, str]],
    unit: str,
    *,
    width: float = WIDTH,
) -> Figure:
    """Some quantities by month as lines; each is (words, values of shape (12,), colour, kind)."""
    drawing = Drawing(width, 176)
    frame = Frame(
        40, 34, width - 48, 112, 0, 12, 0, top_of(np.r_[tuple(v for _, v, _, _ in lines)])
    )
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), svg.printable(unit))
    for _, values, colour, kind in lines:
        dash = "4 2" if kind == "dash" else ""
        places = frame.x(np.arange(12) + 0.5)
        drawing.line(places, frame.y(values), colour, width=2, dash=dash)
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, svg.MONTHS)
    svg.legend(drawing, [(words, colour, kind) for words, _, colour, kind in lines])
    alt = "; ".join(
        f"{words}: " + ", ".join(f"{value:.3g}" for value in values)
        for words, values, _, _ in lines
    )
    return Figure("by_month", title, alt, drawing.svg())
