"""Second page for the household: supply fails, upkeep, the bank's life, what can hurt."""

from __future__ import annotations

from collections.abc import Iterator

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.electrical.cautions import CAN_KILL, KILLS, LICENSED, high_voltage
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.report.spoken import figure
from offgrid_sizing.units import percent
from offgrid_sizing.words import Figure as Shown
from offgrid_sizing.words import Sentence, capital, said, sentence, together

NEVER = ("covers", "plugs", "smoke", "water")
Task = tuple[str, str, str]


def fails_section(outcome: Outcome) -> Section:
    """What a household may do without tools, and what it never does."""
    low = "wait_no_bank"
    if outcome.system.units:
        low = "sun"
        if outcome.sketch.generator is not None:
            low = "sun_generator"
        elif outcome.sketch.grid.kind != "none":
            low = "sun_grid"
    do = tuple(sentence(f"owner.fails.{key}") for key in ("read", "loads", low, "back", "call"))
    never = tuple(sentence(f"owner.fails.{key}") for key in NEVER)
    blocks = (
        Notes(sentence("owner.fails.now"), do),
        Notes(sentence("owner.fails.never"), never),
    )
    return Section("fails", sentence("owner.fails.title"), "", blocks)


def upkeep_section(outcome: Outcome) -> Section:
    """What is looked after, how often and by whom, for the equipment that is there."""
    tasks = (
        *_task("readings", "week"),
        *_bank(outcome),
        *_place(outcome),
        *_array(outcome),
        *_task("air", "month"),
        *_generator(outcome),
        *_protection(),
    )
    head = tuple(sentence(f"owner.upkeep.{key}") for key in ("what", "often", "who"))
    note = sentence("owner.upkeep.note")
    table = Table("", head, tasks, widths=(62, 19, 19), note=note)
    return Section("upkeep", sentence("owner.upkeep.title"), "", (table,))


def _task(
    key: str, every: str | Sentence, who: str = "household", **values: object
) -> Iterator[Task]:
    often = every if isinstance(every, Sentence) else sentence(f"owner.every.{every}")
    told = capital(sentence(f"owner.task.{key}", **values))
    yield told, often, sentence(f"owner.upkeep.{who}")


def _bank(outcome: Outcome) -> Iterator[Task]:
    """By what the units are made of, in the words of the commissioning sheet."""
    if not outcome.system.units:
        return
    chemistry = CHEMISTRIES[outcome.sketch.equipment.battery.chemistry]
    name = said(chemistry.short_key)
    if chemistry.vented:
        acid, top_up = said("sheet.ready.acid"), said("sheet.bank.top_up")
        values = {"chemistry": name, "acid": capital(acid), "top_up": top_up}
        yield from _task("bank_vented", "month", "shown", **values)
    if chemistry.equalised:
        values = {
            "gravity": said("sheet.bank.gravity"),
            "told": said("commissioning.sheet.equalise_as_told"),
            "gas": capital(said("sheet.ready.gas")),
        }
        yield from _task("bank_gravity", "half_year", "electrician", **values)
    if chemistry.managed:
        units = said("sheet.ready.units")
        yield from _task("bank_managed", "month", chemistry=name, units=units)
        yield from _task("bank_firmware", "year", "electrician")
        return
    if not chemistry.vented:
        yield from _task("bank_sealed", "month", chemistry=name, sealed=said("sheet.ready.sealed"))
    yield from _task("bank_terminals", "half_year", "electrician")


def _place(outcome: Outcome) -> Iterator[Task]:
    if outcome.system.units:
        kind = outcome.sketch.equipment.bank_place.kind
        yield from _task(f"place_{kind}", "before_winter" if kind == "heated" else "month")


def _array(outcome: Outcome) -> Iterator[Task]:
    if outcome.system.modules:
        yield from _task("clean", "dirt")
        yield from _task("shade", "spring")
        yield from _task("array", "year", "electrician")


def _generator(outcome: Outcome) -> Iterator[Task]:
    generator = outcome.sketch.generator
    if generator is not None:
        yield from _task("generator_run", "month")
        often = sentence("owner.every.service", hours=figure(generator.service_interval_h))
        yield from _task("generator_service", often, "electrician")


def _protection() -> Iterator[Task]:
    surge = capital(said("sheet.visual.surge"))
    yield from _task("surge", "storm", surge=surge)
    yield from _task("residual", "quarter")
    yield from _task("terminals", "first_year", "electrician")


def life_section(outcome: Outcome) -> Section:
    """How long the bank is calculated to last, and how far that can be trusted."""
    title = sentence("owner.life.title")
    if not outcome.system.units:
        none = sentence("offer.lacks.no_promise_no_bank")
        return Section("life", title, sentence("offer.lacks.no_bank"), (Notes("", (none,)),))
    ageing, battery = outcome.ageing, outcome.sketch.equipment.battery
    share = Shown(percent, battery.end_of_life_frac)
    years = sentence("owner.life.years", years=figure(ageing.life_y), share=share)
    limits = (
        sentence(f"money.law.{ageing.law}"),
        *(one.words for one in ageing.beyond),
        sentence("owner.life.less"),
        sentence("offer.lacks.no_promise"),
    )
    return Section("life", title, years, (Notes("", limits),))


def hurts_section(outcome: Outcome) -> Section:
    """The product's own cautions in full, and those that a roof or a generator adds."""
    bank = outcome.design.bank if outcome.design else None
    high = high_voltage(bank.charging.highest_v) if bank else None
    more = [*KILLS, *((high,) if high else ())]
    if outcome.system.modules:
        more.append(said("cautions.roof"))
    if outcome.sketch.generator is not None:
        more.append(said("cautions.generator"))
    told = tuple(Sentence(one) for one in more)
    first = together(LICENSED, CAN_KILL)
    return Section("cautions", sentence("paper.cautions"), first, (Notes("", told),))
