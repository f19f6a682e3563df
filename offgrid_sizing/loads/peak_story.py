"""What starts together, in words and rows, and what a soft starter or another hour would change."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.movable import hour_can_be_chosen
from offgrid_sizing.loads.peaks import (
    Moments,
    leg_va,
    legs_of,
    peak_of,
    running_at,
    seasons,
    start_multiple,
    worst_season,
)
from offgrid_sizing.sketch import Appliance, Sketch, TimeWindow
from offgrid_sizing.words import said, sentence, together

AWAKE_H = (6, 22)


@dataclass(frozen=True)
class PeakRow:
    """One appliance that runs at the worst moment; `start_va` is what its start would add."""

    name: str
    count: int
    running_w: float
    running_va: float
    start_va: float
    leg: str


@dataclass(frozen=True)
class PeakOption:
    """One change and the peak after it."""

    name: str
    change: str
    running_va: float
    starting_va: float
    sentence: str


@dataclass(frozen=True)
class PeakStory:
    """The worst moment: when, what runs, whose start counts, and what would lower it.

    All figures but `most_running_va` and what `options` hold are of that one moment. More may run
    together at another one, where nothing starts that is as heavy: `most_when` and
    `most_running_va` say so; at the same moment they are the same.
    """

    when: str
    rows: tuple[PeakRow, ...]
    running_va: float
    starting_va: float
    starts: str
    leg_va: dict[str, float]
    most_when: str
    most_running_va: float
    sentence: str
    options: tuple[PeakOption, ...]


def _when(moments: Moments, at: int) -> str:
    """Hour, and weekday and month where they make a difference."""
    month, day, hour = moments.when[:, at]
    minutes = round(hour * 60)
    key = "peaks.at"
    key += "_day" if np.unique(moments.when[1]).size > 1 else ""
    key += "_month" if np.unique(moments.when[0]).size > 1 else ""
    return sentence(
        key,
        hour=f"{minutes // 60:02d}:{minutes % 60:02d}",
        day=said(f"calendar.weekday.{int(day)}"),
        month=said(f"calendar.month.{int(month)}"),
    )


def _changed(sketch: Sketch, old: Appliance, **changes) -> Sketch:
    new = old.model_copy(update=changes)
    appliances = tuple(new if a is old else a for a in sketch.loads.appliances)
    return sketch.model_copy(
        update={"loads": sketch.loads.model_copy(update={"appliances": appliances})}
    )


def with_soft_starter(sketch: Sketch, appliance: Appliance) -> PeakOption:
    """The peak with a soft starter before one appliance of the sketch."""
    before, after = peak_of(sketch), peak_of(_changed(sketch, appliance, soft_starter=True))
    told = sentence(
        "peaks.soft_started",
        name=appliance.name,
        before=before.starting_va / 1000,
        after=after.starting_va / 1000,
    )
    change = sentence("peaks.soft_starter")
    return PeakOption(appliance.name, change, after.running_va, after.starting_va, told)


def _calm_window(sketch: Sketch, appliance: Appliance) -> TimeWindow:
    """The stretch of its run time, while people are awake, in which least else runs."""
    others = _changed(sketch, appliance, count=0)
    hours = appliance.run_time_h if appliance.run_time_h is not None else sum(appliance.hours or ())
    length = max(1, int(np.ceil(hours))) if hours else 1
    starts = range(AWAKE_H[0], max(AWAKE_H[1] - length, AWAKE_H[0]) + 1)
    if not others.loads.protected:
        return TimeWindow(from_h=AWAKE_H[0], to_h=min(AWAKE_H[0] + length, 24))
    moments = worst_season(others)
    hourly = np.zeros(24)
    np.maximum.at(hourly, moments.when[2].astype(int), moments.starting_va)
    start = min(starts, key=lambda h: hourly[h : h + length].max())
    return TimeWindow(from_h=start, to_h=min(start + length, 24))


def at_a_calm_hour(sketch: Sketch, appliance: Appliance) -> PeakOption:
    """The peak when one appliance of the sketch is only used while least else runs."""
    window = _calm_window(sketch, appliance)
    length = window.to_h - window.from_h
    run = appliance.run_time_h
    changed = _changed(
        sketch,
        appliance,
        windows=(window,),
        hours=None,
        run_time_h=None if run is None else min(run, length),
    )
    before, after = peak_of(sketch), peak_of(changed)
    span = f"{window.from_h:02.0f}–{window.to_h:02.0f}"
    was, now = before.running_va / 1000, after.running_va / 1000
    told = sentence(
        "peaks.moved_starting" if f"{was:.3g}" == f"{now:.3g}" else "peaks.moved_running",
        name=appliance.name,
        span=span,
        was=was,
        running=now,
        starting=after.starting_va / 1000,
    )
    change = sentence("peaks.moved", span=span)
    return PeakOption(appliance.name, change, after.running_va, after.starting_va, told)


def _options(sketch: Sketch, moments: Moments, at: int, most: int) -> tuple[PeakOption, ...]:
    here = [row for row in range(len(moments.appliances)) if moments.allowed[row, at]]
    by_start = sorted(here, key=lambda row: -moments.start_va[row])[:most]
    by_size = sorted(here, key=lambda row: -moments.running_va[row])
    soft = [
        with_soft_starter(sketch, moments.appliances[row])
        for row in by_start
        if not moments.appliances[row].soft_starter and start_multiple(moments.appliances[row]) > 2
    ]
    movable = [
        moments.appliances[row] for row in by_size if hour_can_be_chosen(moments.appliances[row])
    ]
    moved = [at_a_calm_hour(sketch, appliance) for appliance in movable[:most]]
    now = peak_of(sketch)
    helps = [
        o
        for o in (*soft, *moved)
        if o.starting_va < now.starting_va - 1e-6 or o.running_va < now.running_va - 1e-6
    ]
    return tuple(sorted(helps, key=lambda option: option.starting_va))


def _sentence(when: str, rows, running_va: float, starts: str, starting_va: float) -> str:
    key = "starting" if starts else "together"
    return sentence(
        f"peaks.{key}_more" if len(rows) > 4 else f"peaks.{key}",
        when=when,
        names=tuple(row.name for row in rows[:4]),
        more=len(rows) - 4,
        running=running_va / 1000,
        starts=starts,
        starting=starting_va / 1000,
    )


def _most(sketch: Sketch, moments: Moments, at: int) -> tuple[str, float]:
    """When most runs together, and how much; the moment given, where that is as much."""
    here = float(moments.total_va[at])
    busiest = max(seasons(sketch), key=lambda season: season.total_va.max())
    most_at = int(busiest.total_va.argmax())
    most = float(busiest.total_va[most_at])
    if most <= here * (1 + 1e-9):
        return _when(moments, at), here
    return _when(busiest, most_at), most


def peak_story(sketch: Sketch, most: int = 3) -> PeakStory | None:
    """Explain the peak of a sketch; None without appliances on the protected board.

    Parameters
    ----------
    sketch : Sketch
    most : int
        Appliances tried behind a soft starter, and at another hour.
    """
    if not sketch.loads.protected:
        return None
    moments = worst_season(sketch)
    at = int(moments.starting_va.argmax())
    rows = tuple(_row(moments, row) for row in running_at(moments, at))
    added = moments.allowed[:, at] * moments.start_va
    worst = int(added.argmax())
    starts = moments.appliances[worst].name if added[worst] > 0 else ""
    when, running = _when(moments, at), float(moments.total_va[at])
    starting = float(moments.starting_va[at])
    most_when, highest = _most(sketch, moments, at)
    told = _sentence(when, rows, running, starts, starting)
    if highest > running:
        told = together(told, sentence("peaks.most", when=most_when, running=highest / 1000))
    by_leg = leg_va(moments, legs_of(sketch))[:, at]
    return PeakStory(
        when=when,
        rows=rows,
        running_va=running,
        starting_va=starting,
        starts=starts,
        leg_va={f"L{leg + 1}": float(va) for leg, va in enumerate(by_leg)},
        most_when=most_when,
        most_running_va=highest,
        sentence=told,
        options=_options(sketch, moments, at, most),
    )


def _row(moments: Moments, row: int) -> PeakRow:
    appliance = moments.appliances[row]
    return PeakRow(
        appliance.name,
        appliance.count,
        float(moments.running_w[row]),
        float(moments.running_va[row]),
        float(moments.start_va[row]),
        appliance.leg,
    )
