"""The summary of one sketch: what was computed, put in the order people read it."""

from __future__ import annotations

import hashlib
from dataclasses import dataclass, replace
from datetime import date as calendar_date
from typing import TYPE_CHECKING

from offgrid_sizing import __version__
from offgrid_sizing.ageing import Ageing
from offgrid_sizing.answer_words import counts_words
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.economics.sensitivity import Bar
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report import charts_svg
from offgrid_sizing.report.model import Notes, Section, Summary, Table
from offgrid_sizing.report.sections import boards, energy, inputs, money, weather
from offgrid_sizing.report.spoken import country_words, figure, number, year_name
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words, year_words
from offgrid_sizing.sketch import Sketch, sketch_to_json
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.units import duration, percent, power
from offgrid_sizing.units import energy as energy_words
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, sentence, together
from offgrid_sizing.words.spoken import spoken

if TYPE_CHECKING:
    from offgrid_sizing.simulation import Simulation
    from offgrid_sizing.sizing.autonomy import Autonomy
    from offgrid_sizing.sizing.reliability import Reliability
    from offgrid_sizing.sizing.within_hour import WithinHour


def fingerprint(sketch: Sketch) -> str:
    """Twelve letters and digits that change with anything in the sketch."""
    return hashlib.sha256(sketch_to_json(sketch).encode()).hexdigest()[:12]


def plain_sentence(simulation: Simulation) -> str:
    """The answer where nothing but one year was computed."""
    counts = counts_words(simulation.sketch, simulation.system)
    share = Shown(percent, 1 - simulation.metrics.unserved_frac)
    return capital(sentence("paper.plain", counts=counts, share=share))


def place_words(sketch: Sketch) -> str:
    """Where it stands."""
    site = sketch.site
    return sentence(
        "paper.place",
        where=together(*filter(None, (site.name, country_words(site.country))), by=", "),
        latitude=number(abs(site.latitude_deg), ".2f"),
        north=sentence("paper.north" if site.latitude_deg >= 0 else "paper.south"),
        longitude=number(abs(site.longitude_deg), ".2f"),
        east=sentence("paper.east" if site.longitude_deg >= 0 else "paper.west"),
    )


def _facts(simulation: Simulation, autonomy: Autonomy | None, reliability: Reliability | None):
    sketch, system, totals = simulation.sketch, simulation.system, simulation.metrics
    array = sentence(
        "paper.array", modules=system.modules, power=Shown(power, array_peak_w(sketch, system))
    )
    bank = sentence(
        "paper.bank",
        units=system.units,
        energy=Shown(energy_words, bank_nominal_wh(sketch, system)),
    )
    machines = sentence(
        "paper.machines",
        count=system.inverters,
        arrangement=sentence(f"paper.arrangement_{system.arrangement}"),
    )
    facts = [
        (_fact("used"), sentence("paper.kwh", kwh=figure(simulation.inputs.loads.daily_kwh))),
        (_fact("array"), array),
        (_fact("bank"), bank),
        (_fact("inverters"), machines),
    ]
    if autonomy is not None:
        facts.append((_fact("dark"), Sentence(Shown(duration, autonomy.dark_median_h))))
    else:
        share = Sentence(Shown(percent, totals.self_sufficiency_frac))
        facts.append((_fact("sufficiency"), share))
    return (*facts, _unserved_fact(simulation, reliability))


def _fact(key: str, **values: str) -> Sentence:
    return sentence(f"paper.fact_{key}", **values)


def _unserved_fact(simulation: Simulation, reliability: Reliability | None) -> tuple[str, str]:
    if reliability is None:
        label, hours = _fact("unserved_computed"), simulation.metrics.unserved_h
    elif reliability.bad is None:
        label = _fact("unserved_in", year=one_year_words(simulation.inputs.weather))
        hours = reliability.judged.unserved_h
    else:
        label = _fact("unserved_in_the", year=bad_year_words(reliability.bad_year_frac))
        hours = reliability.bad.unserved_h
    return label, sentence("paper.hours", hours=figure(hours))


def _year_line(simulation: Simulation, reliability: Reliability | None) -> str:
    """Which weather year pictures and money stand on, where there are several."""
    weather = simulation.inputs.weather
    if weather.years == 1 or reliability is None:
        return ""
    return sentence(
        "paper.year_line",
        which=year_words(simulation.sketch, weather),
        years=weather.years,
        name=year_name(weather.year_names[simulation.year]),
    )


@dataclass(frozen=True, eq=False)
class Parts:
    """What was worked out beside the year; what is left out does not appear.

    `more` holds the sections between the weather and the year (sizing, priorities, electrical,
    commissioning); a `wiring` that does not hold is said on the first page.
    """

    life_cycle: LifeCycle | None = None
    ageing: Ageing | None = None
    bars: tuple[Bar, ...] = ()
    more: tuple[Section, ...] = ()
    frontier: Table | None = None
    wiring: Verdict | None = None
    conductors: Table | None = None
    input_limits: Table | None = None
    sources: Table | None = None
    designations: Table | None = None
    inspection: Table | None = None
    autonomy: Autonomy | None = None
    reliability: Reliability | None = None
    minutes: WithinHour | None = None


def summary_of(
    simulation: Simulation,
    parts: Parts = Parts(),
    *,
    answer: str | None = None,
    sketch_id: str | None = None,
    date: str | None = None,
) -> Summary:
    """Put results in order; whatever is left out does not appear.

    Parameters
    ----------
    simulation : Simulation
        The year that was computed.
    answer : str, optional
        The answer in one sentence; a plainer one is made from the year where it is left out.
    parts : Parts
    sketch_id : str, optional
        The saved sketch's id; a fingerprint of its content where it was not saved.
    date : str, optional
        ISO date; today where it is left out.

    Notes
    -----
    Its texts are sayings: paper and workbook put them into the language they are made in.
    """
    sketch = simulation.sketch
    says = tuple(Sentence(one) for one in cautions(sketch.wiring.rule_book))
    half = charts_svg.WIDTH / 2 if parts.life_cycle is not None else charts_svg.WIDTH
    front = [energy.months_figure(simulation, height=165)]
    if simulation.system.units:
        front.append(energy.stretch_figure(simulation, half))
    else:
        front.append(energy.day_figure(simulation, half))
    if parts.life_cycle is not None:
        front.append(money.money_figure(parts.life_cycle, half))
    sections = [energy.loads_section(simulation), weather.weather_section(simulation)]
    sections += [section for section in parts.more if section.key not in AFTER_MONEY]
    sections.append(energy.year_section(simulation, parts.minutes))
    if parts.life_cycle is not None:
        sections.append(money.money_section(sketch, parts.life_cycle, parts.ageing, parts.bars))
    rest = Notes("", says[1:])
    sections.append(Section("cautions", sentence("paper.cautions"), says[0], (rest,)))
    sections += [section for section in parts.more if section.key in AFTER_MONEY]
    several = simulation.inputs.weather.years > 1
    inputs_of = inputs.inputs_section(sketch, several_years=several)
    sections += [inputs_of, inputs.methods_section()]
    summary = Summary(
        sketch=sketch,
        system=simulation.system,
        title=sketch.title,
        place=place_words(sketch),
        sentence=answer or plain_sentence(simulation),
        facts=_facts(simulation, parts.autonomy, parts.reliability),
        year=_year_line(simulation, parts.reliability),
        several_years=several,
        price=money.price_pairs(parts.life_cycle) if parts.life_cycle is not None else (),
        cautions=says,
        front=tuple(front),
        sections=tuple(sections),
        sketch_id=sketch_id or fingerprint(sketch),
        version=__version__,
        date=date or calendar_date.today().isoformat(),
        monthly=energy.monthly_table(simulation),
        frontier=parts.frontier,
        wiring=parts.wiring,
        appliances=energy.appliances_table(simulation),
        boards=boards.board_tables(simulation),
        conductors=parts.conductors,
        input_limits=parts.input_limits,
        sources=parts.sources,
        designations=parts.designations,
        inspection=parts.inspection,
        life=parts.life_cycle,
        hourly=energy.hourly_of(simulation),
    )
    words = code_of(sketch.wiring.rule_book).words
    told = {part: spoken(getattr(summary, part), words) for part in _SAYING}
    return replace(summary, **told)


# Parts of a summary that may speak in the terms of a wiring code.
_SAYING = (
    "cautions", "sections", "wiring", "conductors", "input_limits", "sources", "designations",
    "inspection",
)  # fmt: skip

# Wiring and commissioning come after the money, and the cautions right before them.
AFTER_MONEY = ("wires", "bill", "commissioning")
