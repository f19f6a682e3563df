"""Pictures of the year: one question each, titled with its answer. Plain arrays in, SVG out.

Each picture has a function that gives the figure, its title and what it shows as sayings, and one
that draws it, called with the language when the figure is set.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from offgrid_sizing import palette
from offgrid_sizing.dispatch import Trace
from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.report import svg
from offgrid_sizing.report.spoken import MONTHS, number
from offgrid_sizing.report.svg import Drawing, Frame, round_ticks
from offgrid_sizing.words import DEFAULT, sentence, to_words, together

WIDTH = 480.0
APPLIANCE_SHADES = (*palette.APPLIANCES[:5], palette.OTHERS)


@dataclass(frozen=True)
class Figure:
    """One picture: its answer as title, what it shows in words, and the drawing.

    `picture` is SVG, or what draws it in a language.
    """

    key: str
    title: str
    alt: str
    picture: str | Callable[[str], str]

    @property
    def svg(self) -> str:
        """The drawing, in English unless it was drawn already."""
        return self.picture if isinstance(self.picture, str) else self.picture(DEFAULT)

    def to(self, language: str) -> Figure:
        """The same picture with its words in a language."""
        drawn = self.picture if isinstance(self.picture, str) else self.picture(language)
        title, alt = to_words(self.title, language), to_words(self.alt, language)
        return replace(self, title=title, alt=alt, picture=drawn)


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
    total = sum(sources.values()) + unserved
    months = [
        sentence("paper_energy.alt_month", month=MONTHS[m], kwh=number(total[m], ".1f"))
        for m in range(12)
    ]
    alt = sentence("paper_energy.alt_months", months=together(*months, by="; "))
    draw = partial(_months, dict(sources), unserved, width, height)
    return Figure("months", title, alt, draw)


FEEDS = {"sun": svg.SUN, "bank": svg.BANK, "grid": svg.GRID, "generator": svg.GENERATOR}


def _months(sources, unserved, width: float, height: float, language: str) -> str:
    parts = [
        (sentence(f"paper_energy.feed_{key}"), FEEDS[key], "fill", values)
        for key, values in sources.items()
        if values.max() > 0
    ]
    if unserved.max() > 0:
        parts.append((sentence("paper_energy.unserved"), svg.UNSERVED, "hatch", unserved))
    items = svg.in_language([part[:3] for part in parts], language)
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, height, language)
    tall = top_of(sum(sources.values()) + unserved)
    frame = Frame(40, top, width - 48, height - top - 18, 0, 12, 0, tall)
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), sentence("paper_energy.kwh_a_day"))
    base = np.zeros(12)
    for _, colour, kind, values in parts:
        _columns(drawing, frame, base, values, colour, hatched=kind == "hatch")
        base = base + values
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, MONTHS)
    svg.legend(drawing, items)
    return drawing.svg()


def _columns(drawing, frame, base, values, colour, *, hatched=False) -> None:
    for column, (low, size) in enumerate(zip(base, values, strict=True)):
        x, right = float(frame.x(column + 0.12)), float(frame.x(column + 0.88))
        top, bottom = float(frame.y(low + size)), float(frame.y(low))
        drawing.rect(x, top, right - x, bottom - top, colour)
        if hatched:
            drawing.hatch(x, top, right - x, bottom - top, svg.INK)


@dataclass(frozen=True, eq=False)
class Hours:
    """What went on in a run of days.

    Parameters
    ----------
    load_w, pv_w, unserved_w, soc_frac : float64 arrays, shape (steps,)
        Load asked, sun available [W], load unserved [W], charge at the end of the step.
    step_h : float
    larger_soc_frac : float64 array, shape (steps,), optional
        Charge of a larger bank over the same days.
    """

    load_w: np.ndarray
    pv_w: np.ndarray
    unserved_w: np.ndarray
    soc_frac: np.ndarray
    step_h: float
    larger_soc_frac: np.ndarray | None = None

    @classmethod
    def of(cls, trace: Trace, steps, larger_soc_frac: np.ndarray | None = None) -> Hours:
        """Some steps of a year's trace."""
        return cls(
            load_w=trace["load_w"][steps],
            pv_w=trace["pv_available_w"][steps],
            unserved_w=trace["unserved_w"][steps],
            soc_frac=trace["soc_frac"][steps],
            step_h=trace.step_h,
            larger_soc_frac=larger_soc_frac,
        )


def stretch(
    title: str,
    start: str,
    hours: Hours,
    *,
    day_words: tuple[str, ...] = (),
    width: float = WIDTH,
) -> Figure:
    """A run of days: sun and load above, state of charge below, unserved load marked.

    The charge of a larger bank is drawn dashed.
    """
    days = round(len(hours.load_w) * hours.step_h / 24)
    words = day_words or tuple(sentence("paper.day_number", day=day + 1) for day in range(days))
    alt = sentence(
        "paper_energy.alt_stretch",
        days=len(words),
        start=start,
        lowest=number(100 * hours.soc_frac.min(), ".0f"),
        kwh=number(float(hours.unserved_w.sum()) * hours.step_h / 1000, ".1f"),
    )
    return Figure("stretch", title, alt, partial(_stretch, hours, words, width))


def _stretch(run: Hours, words, width: float, language: str) -> str:
    load_w, pv_w, unserved_w, step_h = run.load_w, run.pv_w, run.unserved_w, run.step_h
    dark = dark_steps(load_w, unserved_w)
    items = _stretch_legend(bool(dark.any()), run.larger_soc_frac is not None, language)
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 204, language)
    hours = np.arange(len(load_w)) * step_h
    end = float(hours[-1] + step_h)
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
    svg.y_axis(drawing, lower, (0, 0.5, 1), sentence("paper_energy.charge_axis"))
    if run.larger_soc_frac is not None:
        drawing.line(xs, lower.y(run.larger_soc_frac), svg.BANK, width=1, dash="4 2")
    drawing.line(xs, lower.y(run.soc_frac), svg.BANK, width=1.6)
    shown = [drawing.says(word) for word in words]
    if width < 300:
        shown[1:] = (word.split(" ")[0] for word in shown[1:])
    svg.x_labels(drawing, lower, np.arange(len(shown)) * 24 + 12, shown)
    svg.legend(drawing, items)
    return drawing.svg()


def _stretch_legend(dark: bool, larger: bool, language: str) -> list[tuple[str, str, str]]:
    items = [
        ("sun_available", svg.SUN, "fill"),
        ("load", svg.INK, "line"),
        *([("unserved", svg.UNSERVED, "fill")] if dark else []),
        ("bank", svg.BANK, "line"),
        *([("larger_bank", svg.BANK, "dash")] if larger else []),
    ]
    named = [(sentence(f"paper_energy.{key}"), *look) for key, *look in items]
    return svg.in_language(named, language)


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
        rest = sum((values for _, values in ranked[5:]), np.zeros(24))
        shown.append((sentence("paper_energy.everything_else"), rest))
    total = sum((values for _, values in shown), np.zeros(24))
    users = (
        sentence("paper_energy.alt_user", name=name, kwh=number(values.sum(), ".1f"))
        for name, values in shown
    )
    alt = sentence(
        "paper_energy.alt_day",
        load=number(total.sum(), ".1f"),
        sun=number(pv_kw.sum(), ".1f"),
        users=together(*users, by=", "),
    )
    return Figure("day", title, alt, partial(_day_of_use, shown, total, pv_kw, width))


def _day_of_use(shown, total, pv_kw, width: float, language: str) -> str:
    named: list[tuple[str, str, str]] = [(sentence("paper_energy.array_output"), svg.SUN, "line")]
    named += [
        (svg.shorten(to_words(name, language), 22), colour, "fill")
        for (name, _), colour in zip(shown, APPLIANCE_SHADES, strict=False)
    ]
    items = svg.in_language(named, language)
    top = 24 + 13 * svg.legend_rows(items, width)
    drawing = Drawing(width, top + 144, language)
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
    return drawing.svg()


def sun_by_month(
    title: str,
    mean: np.ndarray,
    low: np.ndarray,
    high: np.ndarray,
    temp_c: np.ndarray,
    *,
    width: float = WIDTH,
) -> Figure:
    """Irradiation by month with its spread over the weather years, and mean air temperature."""
    months = [
        sentence(
            "paper_energy.alt_sun_month",
            month=MONTHS[m],
            mean=number(mean[m], ".1f"),
            low=number(low[m], ".1f"),
            high=number(high[m], ".1f"),
        )
        for m in range(12)
    ]
    alt = sentence("paper_energy.alt_sun", months=together(*months, by="; "))
    return Figure("sun", title, alt, partial(_sun_by_month, (mean, low, high), temp_c, width))


def _sun_by_month(sun, temp_c, width: float, language: str) -> str:
    mean, low, high = sun
    drawing = Drawing(width, 186, language)
    frame = Frame(40, 37, width - 74, 132, 0, 12, 0, top_of(high, 0.1))
    axis = sentence("paper_energy.sun_axis")
    svg.y_axis(drawing, frame, round_ticks(0, frame.y_high), axis)
    _columns(drawing, frame, np.zeros(12), mean, svg.SUN)
    for month in range(12):
        x = float(frame.x(month + 0.5))
        drawing.line((x, x), (float(frame.y(low[month])), float(frame.y(high[month]))), svg.INK)
    ticks = round_ticks(float(temp_c.min()), float(temp_c.max()), 4)
    warm = Frame(frame.left, frame.top, frame.width, frame.height, 0, 12, ticks[0], ticks[-1])
    for tick in ticks:
        y = float(warm.y(tick)) + 3
        drawing.text(frame.right + 5, y, drawing.tick(tick), colour=svg.GREY)
    drawing.text(frame.right + 5, frame.top - 7, "°C", colour=svg.GREY)
    places = warm.x(np.arange(12) + 0.5)
    drawing.line(places, warm.y(temp_c), svg.INK, width=1.2, dash="4 2")
    svg.x_labels(drawing, frame, np.arange(12) + 0.5, MONTHS)
    items = [("sun", svg.SUN, "fill"), ("air_temperature", svg.INK, "dash")]
    if (high > low).any():
        items.insert(1, ("sun_span", svg.INK, "line"))
    svg.legend(drawing, [(sentence(f"paper_energy.{key}"), *look) for key, *look in items])
    return drawing.svg()
