"""The summary of one sketch: what was computed, put in the order people read it."""

from __future__ import annotations

import hashlib
from datetime import date as calendar_date
from typing import TYPE_CHECKING

from offgrid_sizing import __version__
from offgrid_sizing.ageing import Ageing
from offgrid_sizing.answer_words import counts_words
from offgrid_sizing.economics.lifecycle import LifeCycle
from offgrid_sizing.economics.sensitivity import Bar
from offgrid_sizing.electrical.cautions import cautions
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.report import charts_svg
from offgrid_sizing.report.model import Notes, Section, Summary, Table
from offgrid_sizing.report.sections import energy, inputs, money, weather
from offgrid_sizing.sizing.judge import bad_year_words, one_year_words, year_words
from offgrid_sizing.sketch import Sketch, sketch_to_json
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.units import counted, digits, duration, percent, power
from offgrid_sizing.units import energy as energy_words
from offgrid_sizing.words import DEFAULT, all_to_words, text_of

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
    share = percent(1 - simulation.metrics.unserved_frac)
    words = f"{counts} serve {share} of the energy this home asks for in the year computed."
    return words[0].upper() + words[1:]


def place_words(sketch: Sketch) -> str:
    """Where it stands."""
    site = sketch.site
    north = "N" if site.latitude_deg >= 0 else "S"
    east = "E" if site.longitude_deg >= 0 else "W"
    where = ", ".join(part for part in (site.name, site.country) if part)
    return f"{where} ({abs(site.latitude_deg):.2f}° {north}, {abs(site.longitude_deg):.2f}° {east})"


def _facts(simulation: Simulation, autonomy: Autonomy | None, reliability: Reliability | None):
    sketch, system, totals = simulation.sketch, simulation.system, simulation.metrics
    facts = [
        ("Used a day", f"{digits(simulation.inputs.loads.daily_kwh)} kWh"),
        ("Array", f"{counted(system.modules, 'module')}, {power(array_peak_w(sketch, system))}"),
        (
            "Bank",
            f"{counted(system.units, 'unit')}, {energy_words(bank_nominal_wh(sketch, system))}",
        ),
        ("Inverter-chargers", f"{system.inverters} ({system.arrangement.replace('_', ' ')})"),
    ]
    if autonomy is not None:
        facts.append(("Carries the home without sun", duration(autonomy.dark_median_h)))
    else:
        facts.append(("Self-sufficiency", percent(totals.self_sufficiency_frac)))
    return (*facts, _unserved_fact(simulation, reliability))


def _unserved_fact(simulation: Simulation, reliability: Reliability | None) -> tuple[str, str]:
    if reliability is None:
        return "Unserved in the year computed", f"{digits(simulation.metrics.unserved_h)} h"
    if reliability.bad is None:
        only = one_year_words(simulation.inputs.weather)
        return f"Unserved in {only}", f"{digits(reliability.judged.unserved_h)} h"
    year = bad_year_words(reliability.bad_year_frac)
    return f"Unserved in the {year}", f"{digits(reliability.bad.unserved_h)} h"


def _year_line(simulation: Simulation, reliability: Reliability | None) -> str:
    """Which weather year pictures and money stand on, where there are several."""
    weather = simulation.inputs.weather
    if weather.years == 1 or reliability is None:
        return ""
    name = weather.year_names[simulation.year]
    words = year_words(simulation.sketch, weather)
    return f"Pictures, energy and money are those of {words} of {weather.years}: '{name}'."


def summary_of(
    simulation: Simulation,
    *,
    sentence: str | None = None,
    life_cycle: LifeCycle | None = None,
    ageing: Ageing | None = None,
    bars: tuple[Bar, ...] = (),
    more: tuple[Section, ...] = (),
    frontier: Table | None = None,
    wiring: Verdict | None = None,
    conductors: Table | None = None,
    input_limits: Table | None = None,
    sources: Table | None = None,
    designations: Table | None = None,
    inspection: Table | None = None,
    autonomy: Autonomy | None = None,
    reliability: Reliability | None = None,
    minutes: WithinHour | None = None,
    sketch_id: str | None = None,
    date: str | None = None,
    language: str = DEFAULT,
) -> Summary:
    """Put results in order; whatever is left out does not appear.

    Parameters
    ----------
    simulation : Simulation
        The year that was computed.
    sentence : str, optional
        The answer in one sentence; a plainer one is made from the year where it is left out.
    more : tuple of Section
        Sections between the weather and the year: sizing, priorities, electrical, commissioning.
    wiring : Verdict, optional
        Said on the first page where it does not hold.
    sketch_id : str, optional
        The saved sketch's id; a fingerprint of its content where it was not saved.
    date : str, optional
        ISO date; today where it is left out.
    language : str
        Of the cautions.
    """
    sketch = simulation.sketch
    says = all_to_words(cautions(sketch.wiring.rule_book), language)
    half = charts_svg.WIDTH / 2 if life_cycle is not None else charts_svg.WIDTH
    front = [energy.months_figure(simulation, height=165)]
    if simulation.system.units:
        front.append(energy.stretch_figure(simulation, half))
    else:
        front.append(energy.day_figure(simulation, half))
    if life_cycle is not None:
        front.append(money.money_figure(life_cycle, half))
    sections = [energy.loads_section(simulation), weather.weather_section(simulation)]
    sections += [section for section in more if section.key not in AFTER_MONEY]
    sections.append(energy.year_section(simulation, minutes))
    if life_cycle is not None:
        sections.append(money.money_section(sketch, life_cycle, ageing, bars))
    sections += [section for section in more if section.key in AFTER_MONEY]
    several = simulation.inputs.weather.years > 1
    inputs_of = inputs.inputs_section(sketch, several_years=several)
    sections += [inputs_of, inputs.methods_section()]
    sections.append(
        Section("cautions", text_of("paper.cautions", language), says[0], (Notes("", says[1:]),))
    )
    return Summary(
        sketch=sketch,
        system=simulation.system,
        title=sketch.title,
        place=place_words(sketch),
        sentence=sentence or plain_sentence(simulation),
        facts=_facts(simulation, autonomy, reliability),
        year=_year_line(simulation, reliability),
        several_years=several,
        price=money.price_pairs(life_cycle) if life_cycle is not None else (),
        cautions=says,
        front=tuple(front),
        sections=tuple(sections),
        sketch_id=sketch_id or fingerprint(sketch),
        version=__version__,
        date=date or calendar_date.today().isoformat(),
        monthly=energy.monthly_table(simulation),
        frontier=frontier,
        wiring=wiring,
        conductors=conductors,
        input_limits=input_limits,
        sources=sources,
        designations=designations,
        inspection=inspection,
        life=life_cycle,
        hourly=energy.hourly_of(simulation),
    )


AFTER_MONEY = ("wires", "bill", "commissioning")
