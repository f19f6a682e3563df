"""First page for the household: what there is, a usual day, and what to do when sun is short."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from offgrid_sizing.loads.movable import hour_can_be_chosen
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Block, Notes, Section, Table
from offgrid_sizing.report.sections.energy import appliances_table
from offgrid_sizing.report.sections.told import (
    LONGEST_NAME,
    carried,
    cut,
    days_words,
    listed,
    motors,
    unprotected_words,
)
from offgrid_sizing.report.spoken import LONG_MONTHS, MONTHS, figure
from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.sizing.story import LEAST_KWH, Months, days_of, months_of
from offgrid_sizing.sketch import Generator
from offgrid_sizing.strategy import generator_starts_late, numbers_of
from offgrid_sizing.units import duration, percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, sentence, together
from offgrid_sizing.year_days import DAYS_IN_MONTH

MOST_LOADS = 5  # to switch off first: a household learns no longer list
LARGEST, MOST_MONTHS = 3, 8
ALIKE_FRAC = 0.005  # states of charge that print as the same per cent


def have_section(outcome: Outcome) -> Section:
    """Loads carried, what is not on the protected board, which motors do not simply start."""
    told: list[str] = [carried(outcome), *unprotected_words(outcome)]
    if outcome.design is not None:
        told += motors(outcome.design.starts)
    return Section("have", sentence("owner.have.title"), "", (Notes("", tuple(told)),))


def usual_section(outcome: Outcome) -> Section:
    """The judged year by its months, and what is best used at midday."""
    months = months_of(days_of(outcome.simulation.trace))
    lines = (
        *_sun(outcome, months),
        *_lowest(outcome, months),
        *_served(outcome, months),
        *_helped(outcome, months),
        *_midday(outcome),
    )
    return Section("usual", sentence("owner.usual.title"), "", (Notes("", lines),))


def _named(where: np.ndarray) -> str:
    """Months in a row; of all of them, or nearly all, the others are said."""
    if where.all():
        return sentence("owner.every_month")
    few = where if where.sum() <= MOST_MONTHS else ~where
    names = together(*(MONTHS[month] for month in np.flatnonzero(few)), by=", ")
    return names if few is where else sentence("owner.except", months=names)


def _sun(outcome: Outcome, months: Months) -> Iterator[Sentence]:
    if not outcome.system.modules:
        return
    sun, use = (months.kwh[name] / DAYS_IN_MONTH for name in ("pv_available", "load"))
    values: dict[str, object] = {}
    for name, month in (("best", int(sun.argmax())), ("least", int(sun.argmin()))):
        values[name] = LONG_MONTHS[month]
        values[f"{name}_kwh"], values[f"{name}_use"] = figure(sun[month]), figure(use[month])
    yield sentence("owner.usual.sun", **values)


def _lowest(outcome: Outcome, months: Months) -> Iterator[Sentence]:
    if outcome.system.units:
        level = float(months.lowest_soc_frac.min())
        names = _named(months.lowest_soc_frac < level + ALIKE_FRAC)
        shown, year = Shown(percent, level), outcome.year_words
        yield sentence("owner.usual.lowest", level=shown, months=names, year=year)


def _served(outcome: Outcome, months: Months) -> Iterator[Sentence]:
    judged, year = outcome.reliability.judged, outcome.year_words
    short = months.kwh["unserved"] > LEAST_KWH
    if judged.unserved_h > 0 and short.any():
        hours = figure(judged.unserved_h)
        yield sentence("owner.usual.unserved", months=_named(short), hours=hours, year=year)
    else:
        yield sentence("owner.usual.served", year=year)


def _helped(outcome: Outcome, months: Months) -> Iterator[Sentence]:
    """In which months generator and grid help, as far as there are any."""
    totals, year = outcome.simulation.metrics, outcome.year_words
    if outcome.sketch.generator is not None:
        ran = months.kwh["generator"] > LEAST_KWH
        if ran.any():
            hours = figure(totals.generator_h)
            yield sentence("owner.usual.generator", hours=hours, months=_named(ran), year=year)
        else:
            yield sentence("owner.usual.no_generator", year=year)
    helped = months.kwh["grid_import"] > LEAST_KWH
    if outcome.sketch.grid.kind != "none" and helped.any():
        kwh = figure(totals.grid_import_kwh)
        yield sentence("owner.usual.grid", kwh=kwh, months=_named(helped), year=year)


def _midday(outcome: Outcome) -> Iterator[Sentence]:
    """What waits for surplus, whose hour can be chosen; where none is, what uses most."""
    loads = outcome.sketch.loads.protected
    waits = [one.name for one in loads if one.deferrable]
    chosen = [one.name for one in loads if not one.deferrable and hour_can_be_chosen(one)]
    if waits:
        yield sentence("owner.usual.waits", names=listed(waits))
    if chosen:
        yield sentence("owner.usual.midday", names=listed(chosen))
    table = appliances_table(outcome.simulation)
    if not (waits or chosen or table is None):
        names = [str(row[0]) for row in table.rows[:LARGEST]]
        yield sentence("owner.usual.largest", names=listed(names))


def short_section(outcome: Outcome) -> Section:
    """The levels of this sketch's bank, what to switch off first, how long the bank lasts."""
    title = sentence("owner.short.title")
    if not outcome.system.units:
        return Section("short", title, sentence("offer.lacks.no_bank"), (_switch_off(outcome),))
    head = tuple(sentence(f"owner.short.{key}") for key in ("at", "happens", "do"))
    rows = tuple(
        (Sentence(Shown(percent, level)), happens, sentence(f"owner.level.{key}_do"))
        for level, key, happens in levels(outcome)
    )
    table = Table(sentence("owner.short.levels"), head, rows, widths=(20, 45, 45))
    return Section("short", title, _lasting(outcome), (table, _switch_off(outcome)))


def _lasting(outcome: Outcome) -> Sentence:
    """The bank by itself and, where a ride-through is asked for, an outage."""
    alone, ride_h = outcome.autonomy, outcome.ride_through_h
    median, least = _span(alone.dark_median_h), _span(alone.dark_1_in_20_h)
    lasts = sentence("owner.short.lasts", median=median, least=least)
    if ride_h is None:
        return lasts
    return together(lasts, sentence("owner.short.ride", span=_span(ride_h)))


def _span(hours: float) -> Sentence:
    """Hours up to two days, then days; what was followed to its end is "or more"."""
    return days_words(hours) if hours >= ENOUGH_H else Sentence(Shown(duration, hours))


def levels(outcome: Outcome) -> Sequence[tuple[float, str, Sentence]]:
    """States of charge at which something happens, from high to low: level, name, what happens.

    What lies at or under the limit of discharge never comes: it is left out, and of a generator
    that starts there it is said. Where a grid is always up, or a generator may always run, the
    balance sheds nothing.
    """
    sketch, numbers = outcome.sketch, numbers_of(outcome.sketch)
    floor, generator = 1 - sketch.equipment.battery.usable_dod_frac, sketch.generator
    found = [(floor, "floor", sentence("owner.level.floor"))]
    if sketch.grid.kind != "none" and numbers.hold_soc_frac > floor:
        found.append((numbers.hold_soc_frac, "reserve", sentence("owner.level.reserve")))
    if generator is not None:
        late = generator_starts_late(sketch)
        found.append(_late(generator, floor) if late else _generator(generator))
    waiting = [one.name for one in sketch.loads.protected if not one.critical]
    always = sketch.grid.kind == "steady" or (generator is not None and not generator.quiet_hours)
    if numbers.shed_soc_frac > floor and waiting and not always:
        key = "shed" if generator is None else "shed_generator"
        shed = sentence(f"owner.level.{key}", names=listed(waiting))
        found.append((numbers.shed_soc_frac, "shed", shed))
    return sorted(found, key=lambda one: -one[0])


def _late(generator: Generator, floor: float) -> tuple[float, str, Sentence]:
    """A generator that starts only where the bank stops, whatever it is set to."""
    start, stop = Shown(percent, generator.start_soc_frac), Shown(percent, generator.stop_soc_frac)
    late = sentence("owner.level.generator_late", start=start, stop=stop)
    return floor, "generator_late", late


def _generator(generator: Generator) -> tuple[float, str, Sentence]:
    """Where it starts by itself."""
    stop = Shown(percent, generator.stop_soc_frac)
    key = "generator_quiet" if generator.quiet_hours else "generator"
    return generator.start_soc_frac, "generator", sentence(f"owner.level.{key}", stop=stop)


def _switch_off(outcome: Outcome) -> Block:
    """The largest uses that are not critical."""
    title, table = sentence("owner.short.off"), appliances_table(outcome.simulation)
    if table is None:
        return Notes(title, (sentence("owner.short.off_metered"),))
    critical = {one.name for one in outcome.sketch.loads.appliances if one.critical}
    rows = [(str(row[0]), row[3]) for row in table.rows if row[0] not in critical and row[3]]
    if not rows:
        return Notes(title, (sentence("owner.short.off_none"),))
    head = (sentence("owner.short.off_col"), sentence("owner.short.off_kwh"))
    shown = tuple((cut(name, LONGEST_NAME), kwh) for name, kwh in rows[:MOST_LOADS])
    lead, note = sentence("owner.short.off_why"), sentence("owner.short.off_note")
    return Table(title, head, shown, widths=(70, 30), lead=lead, note=note)
