"""Pictures of the year: one question each, titled with its answer. Plain arrays in, SVG out."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing import palette
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.report import svg
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks

WIDTH = 480.0
APPLIANCE_SHADES = (*palette.APPLIANCES[:5], palette.OTHERS)


@dataclass(frozen=True)
class Figure:
    """One picture: its answer as title, what it shows in words, and the drawing."""

    key: str
    title: str
    alt: str
    svg: str


def top_of(values, floor: float = 1e-9) -> float:
    """Upper end of an axis: the round tick at or above the largest value."""
    ticks = round_ticks(0, max(float(np.max(values, initial=0.0)), floor))
    return float(max(ticks[-1], floor))


def months_by_source(
    title: str,
    sources: dict[str, np.ndarray],
    unserved: np.ndarray,
    *,
    width: float = WIDTH,
    height: float = 190.0,
) -> Figure:
    """What fed the home in each month; stacked, in kWh a day.

    Parameters
    ----------
    sources : dict of float64 arrays, shape (12,)
        By "sun", "bank", "grid", "generator". [kWh/day]
    unserved : float64 array, shape (12,)
        [kWh/day]
    """
    named = {
        "sun": ("Sun directly", svg.SUN, "fill"),
        "bank": ("Bank", svg.BANK, "fill"),
        "grid": ("Grid", svg.GRID, "fill"),
        "generator": ("Generator", svg.GENERATOR, "fill"),
    }
    total = sum(sources.values()) + unserved
    parts = [(*named[key], values) for key, values in sources.items() if values.max() > 0]
    if unserved.max() > 0:
        parts.append(("Unserved", svg.UNSERVED, "hatch", unserved))
    items = [part[:3] for part in parts]
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, height)
    frame = Frame(40, top, width - 48, height - top - 18, 0, 12, 0, top_of(total))
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), "kWh a day")
    base = np.zeros(12)
    for _, colour, kind, values in parts:
        _columns(drawing, frame, base, values, colour, hatched=kind == "hatch")
        base = base + values
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, svg.MONTHS)
    svg.legend(drawing, items)
    alt = "Stacked columns by month: " + "; ".join(
        f"{svg.MONTHS[m]} {total[m]:.1f} kWh a day" for m in range(12)
    )
    return Figure("months", title, alt, drawing.svg())


def _columns(drawing, frame, base, values, colour, *, hatched=False) -> None:
    for column, (low, size) in enumerate(zip(base, values, strict=True)):
        x, right = float(frame.x(column + 0.12)), float(frame.x(column + 0.88))
        top, bottom = float(frame.y(low + size)), float(frame.y(low))
        drawing.rect(x, top, right - x, bottom - top, colour)
        if hatched:
            drawing.hatch(x, top, right - x, bottom - top, svg.INK)


def stretch(
    title: str,
    start: str,
    load_w: np.ndarray,
    pv_w: np.ndarray,
    unserved_w: np.ndarray,
    soc_frac: np.ndarray,
    step_h: float,
    *,
    day_words: tuple[str, ...] = (),
    ghost_soc: np.ndarray | None = None,
    width: float = WIDTH,
) -> Figure:
    """A run of days: sun and load above, state of charge below, unserved load marked.

    `ghost_soc` is the charge of a larger bank over the same days, drawn dashed.
    """
    hours = np.arange(len(load_w)) * step_h
    end = float(hours[-1] + step_h)
    dark = dark_steps(load_w, unserved_w)
    items = (
        ("Sun available", svg.SUN, "fill"),
        ("Load", svg.INK, "line"),
        *([("Unserved", svg.UNSERVED, "fill")] if dark.any() else []),
        ("Bank", svg.BANK, "line"),
        *([("larger bank", svg.BANK, "dash")] if ghost_soc is not None else []),
    )
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 204)
    upper = Frame(40, top, width - 48, 106, 0, end, 0, top_of(np.r_[load_w, pv_w] / 1000, 0.1))
    lower = Frame(40, top + 134, width - 48, 52, 0, end, 0, 1)
    for day in range(round(end / 24)):
        x = float(upper.x(day * 24))
        drawing.line((x, x), (upper.top, lower.bottom), svg.FAINT, width=0.5)
    svg.y_axis(drawing, upper, round_ticks(0, upper.y_high), "kW")
    xs = upper.x(hours + step_h / 2)
    zero = np.full(len(xs), upper.bottom)
    drawing.area(xs, upper.y(pv_w / 1000), zero, svg.SUN, opacity=0.75)
    for at in np.flatnonzero(dark):
        left = float(upper.x(hours[at]))
        size = float(upper.x(hours[at] + step_h)) - left
        high = float(upper.y(unserved_w[at] / 1000))
        drawing.rect(left, high, size, upper.bottom - high, svg.UNSERVED)
    drawing.line(xs, upper.y(load_w / 1000), svg.INK, width=1.3)
    svg.y_axis(drawing, lower, (0, 0.5, 1), "Charge of the bank, 1 = full")
    if ghost_soc is not None:
        drawing.line(xs, lower.y(ghost_soc), svg.BANK, width=1, dash="4 2")
    drawing.line(xs, lower.y(soc_frac), svg.BANK, width=1.6)
    words = day_words or tuple(f"day {day + 1}" for day in range(round(end / 24)))
    if width < 300:
        words = (words[0], *(word.split(" ")[0] for word in words[1:]))
    svg.x_labels(drawing, lower, np.arange(len(words)) * 24 + 12, words)
    svg.legend(drawing, items)
    missing_kwh = float(unserved_w.sum()) * step_h / 1000
    alt = (
        f"{len(words)} days from {start}: sun, load and state of charge; lowest charge "
        f"{100 * soc_frac.min():.0f} %, unserved {missing_kwh:.1f} kWh"
    )
    return Figure("stretch", title, alt, drawing.svg())


def day_of_use(
    title: str,
    appliance_kw: dict[str, np.ndarray],
    pv_kw: np.ndarray,
    *,
    width: float = WIDTH,
) -> Figure:
    """A mean day of one month: what runs when, stacked, with the array's output over it.

    Parameters
    ----------
    appliance_kw : dict of float64 arrays, shape (24,)
        Mean power by clock hour. [kW]
    pv_kw : float64 array, shape (24,)
        [kW]
    """
    ranked = sorted(appliance_kw.items(), key=lambda item: -item[1].sum())
    shown = ranked[:5]
    if len(ranked) > 5:
        shown.append(("everything else", sum((values for _, values in ranked[5:]), np.zeros(24))))
    total = sum((values for _, values in shown), np.zeros(24))
    items = [("Array output", svg.SUN, "line")] + [
        (svg.shorten(name, 22), colour, "fill")
        for (name, _), colour in zip(shown, APPLIANCE_SHADES, strict=False)
    ]
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 144)
    frame = Frame(40, top, width - 54, 126, 0, 24, 0, top_of(np.r_[total, pv_kw], 0.1))
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), "kW")
    base = np.zeros(24)
    for (_, values), colour in zip(shown, APPLIANCE_SHADES, strict=False):
        for hour in range(24):
            x, right = float(frame.x(hour)), float(frame.x(hour + 1))
            high, low = float(frame.y(base[hour] + values[hour])), float(frame.y(base[hour]))
            drawing.rect(x, high, right - x, low - high, colour)
        base = base + values
    hours = np.arange(24) + 0.5
    drawing.line(frame.x(hours), frame.y(pv_kw), svg.SUN, width=2.2)
    svg.x_labels(drawing, frame, (0, 6, 12, 18, 24), ("0:00", "6:00", "12:00", "18:00", "24:00"))
    svg.legend(drawing, items)
    alt = (
        f"Mean day: load {total.sum():.1f} kWh, array output {pv_kw.sum():.1f} kWh; largest users "
        + ", ".join(f"{svg.printable(name)} {values.sum():.1f} kWh" for name, values in shown)
    )
    return Figure("day", title, alt, drawing.svg())


def sun_by_month(
    title: str,
    mean: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    temp_c: np.ndarray,
    *,
    label: str = "kWh/m² a day on the horizontal",
    width: float = WIDTH,
) -> Figure:
    """Irradiation by month with its spread over the weather years, and mean air temperature."""
    drawing = Drawing(width, 186)
    frame = Frame(40, 37, width - 74, 132, 0, 12, 0, top_of(high, 0.1))
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), label)
    _columns(drawing, frame, np.zeros(12), mean, svg.SUN)
    for month in range(12):
        x = float(frame.x(month + 0.5))
        drawing.line((x, x), (float(frame.y(low[month])), float(frame.y(high[month]))), svg.INK)
    ticks = round_ticks(float(temp_c.min()), float(temp_c.max()), 4)
    warm = Frame(frame.left, frame.top, frame.width, frame.height, 0, 12, ticks[0], ticks[-1])
    for tick in ticks:
        drawing.text(frame.right + 5, float(warm.y(tick)) + 3, svg.tick_text(tick), colour=svg.GREY)
    drawing.text(frame.right + 5, frame.top - 7, "°C", colour=svg.GREY)
    places = warm.x(np.arange(12) + 0.5)
    drawing.line(places, warm.y(temp_c), svg.INK, width=1.2, dash="4 2")
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, svg.MONTHS)
    items = [("Sun", svg.SUN, "fill"), ("Air temperature", svg.INK, "dash")]
    if (high > low).any():
        items.insert(1, ("from the poorest to the best year", svg.INK, "line"))
    svg.legend(drawing, items)
    alt = "Irradiation by month: " + "; ".join(
        f"{svg.MONTHS[m]} {mean[m]:.1f} ({low[m]:.1f} to {high[m]:.1f})" for m in range(12)
    )
    return Figure("sun", title, alt, drawing.svg())
