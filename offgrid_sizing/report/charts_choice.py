"""Pictures of choices: bank against array, priorities, money, and what would change them."""

from collections.abc import Sequence
from functools import partial

import numpy as np

from offgrid_sizing.palette import UNSERVED_STEPS
from offgrid_sizing.report import svg
from offgrid_sizing.report.charts_svg import WIDTH, Figure, top_of
from offgrid_sizing.report.spoken import MONTHS, figure, listed, number
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks
from offgrid_sizing.words import sentence, to_words, together


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
    points = (
        sentence("paper_sizing.alt_point", units=int(u), modules=int(m))
        for u, m in zip(units, modules, strict=True)
    )
    alt = sentence("paper_sizing.alt_frontier", points=together(*points, by=", "))
    return Figure("frontier", title, alt, partial(_frontier, units, modules, chosen, width))


def _frontier(units, modules, chosen, width: float, language: str) -> str:
    drawing = Drawing(width, 198, language)
    tall = np.r_[modules, (chosen or (0, 0))[1]]
    wide = max(float(np.max(units, initial=1)), (chosen or (1, 0))[0])
    frame = Frame(40, 34, width - 56, 138, 0, wide + 1, 0, top_of(tall, 1))
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), sentence("paper_sizing.pv_modules"))
    drawing.line(frame.x(units), frame.y(modules), svg.SUN, width=2)
    for x, y in zip(units, modules, strict=True):
        drawing.dot(float(frame.x(x)), float(frame.y(y)), 2.2, svg.SUN)
    if chosen is not None:
        x, y = float(frame.x(chosen[0])), float(frame.y(chosen[1]))
        drawing.dot(x, y, 6, "none", stroke=svg.INK)
        drawing.dot(x, y, 3, svg.INK)
        right = chosen[0] < 0.6 * wide
        words = sentence("paper_sizing.chosen", units=int(chosen[0]), modules=int(chosen[1]))
        drawing.text(x + (10 if right else -10), y - 8, words, anchor="start" if right else "end")
    ticks = [tick for tick in round_ticks(0, wide, 8) if tick <= wide + 1 and tick == int(tick)]
    svg.x_labels(drawing, frame, ticks, [drawing.tick(tick) for tick in ticks])
    middle = (frame.left + frame.right) / 2
    units_axis = sentence("paper_sizing.units_axis")
    drawing.text(middle, 195, units_axis, anchor="middle", colour=svg.GREY)
    svg.legend(drawing, [(sentence("paper_sizing.frontier_line"), svg.SUN, "line")])
    return drawing.svg()


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
    alt = sentence("paper_sizing.alt_map", designs=met.size, met=int(met.sum()))
    draw = partial(_map, units, modules, unserved_frac, target_frac, met, chosen, width)
    return Figure("map", title, alt, draw)


def _map(
    units, modules, unserved_frac, target_frac: float, met, chosen, width: float, language: str
) -> str:
    drawing = Drawing(width, 225, language)
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
    _map_legend(drawing, target_frac)
    return drawing.svg()


def _map_legend(drawing: Drawing, target_frac: float) -> None:
    x = 40.0
    for step, shade in zip((*MAP_STEPS, None), UNSERVED_STEPS, strict=True):
        which = "step_first" if step == MAP_STEPS[0] else "step_to" if step else "step_last"
        percent = None if step is None else number(100 * step, "g")
        words = drawing.says(sentence(f"paper_sizing.{which}", percent=percent))
        drawing.rect(x, 4.5, 12, 8, shade, stroke=svg.GREY)
        drawing.text(x + 15, 12, words)
        x += 24 + 4.6 * len(words)
    drawing.dot(44, 24, 1.6, svg.GOOD)
    meets = sentence("paper_sizing.meets", percent=number(100 * target_frac, ".3g"))
    drawing.text(55, 27, meets)


def _map_axes(drawing, frame, units, modules) -> None:
    stride_x = max(1, -(-len(units) // 15))
    places = np.arange(0, len(units), stride_x)
    svg.x_labels(drawing, frame, places, [f"{units[i]:g}" for i in places])
    stride_y = max(1, -(-len(modules) // 8))
    for j in range(0, len(modules), stride_y):
        y = float(frame.y(j)) + 3
        drawing.text(frame.left - 4, y, f"{modules[j]:g}", anchor="end", colour=svg.GREY)
    middle = (frame.left + frame.right) / 2
    units_axis = sentence("paper_sizing.units_axis")
    drawing.text(middle, 221, units_axis, anchor="middle", colour=svg.GREY)
    pv_modules = sentence("paper_sizing.pv_modules")
    drawing.text(frame.left - 4, frame.top - 5, pv_modules, colour=svg.GREY)


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
    alt = sentence(
        "paper_money.alt_paid" if other_total is None else "paper_money.alt_paid_both",
        years=len(system_total) - 1,
        money=currency,
        system=number(system_total[-1], ",.0f"),
        other=other_words,
        instead=None if other_total is None else number(other_total[-1], ",.0f"),
    )
    totals = (system_total, other_total)
    draw = partial(_money, totals, currency, other_words, payback_y, width)
    return Figure("money", title, alt, draw)


def _money(totals, currency: str, other_words, payback_y, width: float, language: str) -> str:
    system_total, other_total = totals
    years = np.arange(len(system_total))
    both = system_total if other_total is None else np.r_[system_total, other_total]
    ticks = round_ticks(min(0.0, float(both.min())), max(float(both.max()), 1.0))
    named: list[tuple[str, str, str]] = [(sentence("paper_money.this_system"), svg.BANK, "line")]
    if other_total is not None:
        other = svg.shorten(to_words(other_words, language), 60 if width > 300 else 34)
        named.append((other, svg.GREY, "dash"))
    items = svg.in_language(named, language)
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 166, language)
    frame = Frame(46, top, width - 62, 134, 0, years[-1], ticks[0], ticks[-1])
    svg.y_axis(drawing, frame, ticks, sentence("paper_money.paid_axis", money=currency))
    if other_total is not None:
        drawing.line(frame.x(years), frame.y(other_total), svg.GREY, width=1.8, dash="5 3")
    drawing.line(frame.x(years), frame.y(system_total), svg.BANK, width=2.2)
    if payback_y is not None:
        x = float(frame.x(payback_y))
        drawing.line((x, x), (frame.top, frame.bottom), svg.GOOD, dash="2 2")
        right = payback_y < 0.7 * years[-1]
        x, anchor = (x + 4, "start") if right else (x - 4, "end")
        words = sentence("paper_money.paid_mark", years=figure(payback_y))
        drawing.text(x, frame.top + 10, words, anchor=anchor, colour=svg.GOOD)
    _years_axis(drawing, frame, years)
    svg.legend(drawing, items)
    return drawing.svg()


def _years_axis(drawing: Drawing, frame: Frame, years: np.ndarray) -> None:
    marks = [tick for tick in round_ticks(0, float(years[-1]), 8) if tick <= years[-1]]
    svg.x_labels(drawing, frame, marks, [drawing.tick(tick) for tick in marks])
    middle, year = (frame.left + frame.right) / 2, sentence("paper_money.year")
    drawing.text(middle, frame.bottom + 23, year, anchor="middle", colour=svg.GREY)


def bars_both_ways(
    title: str,
    rows: list[tuple[str, str, str, float, float]],
    middle: float,
    unit: str,
    *,
    width: float = WIDTH,
) -> Figure:
    """What would change the answer: a bar for each assumption from its low to its high.

    Parameters
    ----------
    rows : list of (assumption, low label, high label, value at low, value at high)
    middle : float
        The value with nothing changed.
    """
    told = (
        sentence(
            "paper_money.alt_bar",
            what=words,
            low=number(low, ",.0f"),
            high=number(high, ",.0f"),
        )
        for words, _, _, low, high in rows
    )
    draw = partial(_bars, list(rows), middle, unit, width)
    return Figure("sensitivity", title, together(*told, by="; "), draw)


def _bars(rows, middle: float, unit, width: float, language: str) -> str:
    values = [value for row in rows for value in row[3:]] + [middle]
    ticks = round_ticks(min(values), max(max(values), min(values) + 1e-9), 5)
    drawing = Drawing(width, 44 + 22 * len(rows), language)
    frame = Frame(150, 26, width - 205, 22 * len(rows), ticks[0], ticks[-1], 0, 1)
    for tick in ticks:
        x = float(frame.x(tick))
        drawing.line((x, x), (frame.top, frame.bottom), svg.FAINT, width=0.5)
        words = drawing.tick(tick)
        drawing.text(x, frame.bottom + 12, words, anchor="middle", colour=svg.GREY)
    for index, (words, low_words, high_words, low, high) in enumerate(rows):
        y = frame.top + 22 * index + 4
        for value, colour in ((low, svg.BANK), (high, svg.SUN)):
            left, right = sorted((float(frame.x(middle)), float(frame.x(value))))
            drawing.rect(left, y, right - left, 14, colour)
        shown = svg.shorten(to_words(words, language), 26)
        drawing.text(frame.left - 34, y + 10, shown, anchor="end")
        ends = sorted(((low, low_words), (high, high_words)))
        place = float(frame.x(min(ends[0][0], middle))) - 3
        drawing.text(place, y + 10, ends[0][1], anchor="end", colour=svg.GREY, size=8)
        place = float(frame.x(max(ends[1][0], middle))) + 3
        drawing.text(place, y + 10, ends[1][1], colour=svg.GREY, size=8)
    x = float(frame.x(middle))
    drawing.line((x, x), (frame.top, frame.bottom), svg.INK, width=1)
    drawing.text(frame.left, 14, unit, colour=svg.GREY)
    return drawing.svg()


def health(
    title: str, health_frac: np.ndarray, end_of_life_frac: float, *, width: float = WIDTH
) -> Figure:
    """Capacity of the bank by year, and when it is replaced."""
    shares = together(*(number(100 * value, ".0f") for value in health_frac), by=", ")
    alt = sentence("paper_money.alt_health", shares=shares)
    draw = partial(_health, health_frac, end_of_life_frac, width)
    return Figure("health", title, alt, draw)


def _health(health_frac, end_of_life_frac: float, width: float, language: str) -> str:
    years = np.arange(len(health_frac))
    low = min(0.7, end_of_life_frac - 0.05)
    drawing = Drawing(width, 140, language)
    frame = Frame(40, 20, width - 56, 84, 0, years[-1], 100 * low, 100)
    ticks = [tick for tick in round_ticks(100 * low, 100, 4) if 100 * low <= tick <= 100]
    svg.y_axis(drawing, frame, ticks, sentence("paper_money.capacity_axis"))
    y = float(frame.y(100 * end_of_life_frac))
    drawing.line((frame.left, frame.right), (y, y), svg.UNSERVED, dash="4 2")
    replaced = sentence("paper_money.replaced_here")
    drawing.text(frame.right, y + 10, replaced, anchor="end", colour=svg.UNSERVED)
    drawing.line(frame.x(years), frame.y(100 * health_frac), svg.BANK, width=2)
    for year, value in zip(years, health_frac, strict=True):
        drawing.dot(float(frame.x(year)), float(frame.y(100 * value)), 2, svg.BANK)
    _years_axis(drawing, frame, years)
    return drawing.svg()


def months_line(
    title: str,
    lines: Sequence[tuple[str, np.ndarray, str, str]],
    unit: str,
    *,
    width: float = WIDTH,
) -> Figure:
    """Some quantities by month as lines; each is (words, values of shape (12,), colour, kind)."""
    told = (
        sentence(
            "paper_sizing.alt_line",
            what=words,
            values=listed(*(number(value, ".3g") for value in values)),
        )
        for words, values, _, _ in lines
    )
    draw = partial(_months_line, list(lines), unit, width)
    return Figure("by_month", title, together(*told, by="; "), draw)


def _months_line(lines, unit, width: float, language: str) -> str:
    drawing = Drawing(width, 176, language)
    most = top_of(np.r_[tuple(values for _, values, _, _ in lines)])
    frame = Frame(40, 34, width - 48, 112, 0, 12, 0, most)
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), unit)
    for _, values, colour, kind in lines:
        dash = "4 2" if kind == "dash" else ""
        places = frame.x(np.arange(12) + 0.5)
        drawing.line(places, frame.y(values), colour, width=2, dash=dash)
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, MONTHS)
    svg.legend(drawing, [(words, colour, kind) for words, _, colour, kind in lines])
    return drawing.svg()
