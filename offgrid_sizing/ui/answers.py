"""Results that several pages show, kept as `cached` keeps them: wires, wear, money, worksheet."""

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import cached, results


def named_alike(sketch: Sketch) -> Sketch:
    """The sketch without what only people read: the key of every result."""
    return sketch.model_copy(update={"title": "key", "notes": "", "invented": False})


def design(sketch: Sketch):
    """Strings, runs, bank and machines of the drawn system (`electrical.design`)."""
    from offgrid_sizing.electrical.design import electrical_design

    return cached.remember(
        "design",
        named_alike(sketch),
        lambda: electrical_design(
            sketch,
            drawn_system(sketch),
            record_low_c=cached.weather(sketch).record_low_c,
            peak=results.loads(sketch).peak,
        ),
    )


def ageing(sketch: Sketch):
    """Wear of the drawn bank in a usual year (`ageing.Ageing`); None without a bank."""
    from offgrid_sizing.ageing import bank_ageing
    from offgrid_sizing.economics.sensitivity import bank_temperature_c

    if not drawn_system(sketch).units:
        return None

    def compute():
        run = cached.simulation(sketch)
        soc = run.trace.columns["soc_frac"]
        return bank_ageing(sketch, soc, run.trace.step_h, bank_temperature_c(run))

    return cached.remember("ageing", named_alike(sketch), compute)


def life(sketch: Sketch):
    """Life-cycle cost of the drawn system (`economics.lifecycle.LifeCycle`)."""
    from offgrid_sizing.economics.flows import yearly_flows
    from offgrid_sizing.economics.lifecycle import life_cycle

    return cached.remember(
        "life",
        named_alike(sketch),
        lambda: life_cycle(
            sketch, drawn_system(sketch), yearly_flows(cached.simulation(sketch)), ageing(sketch)
        ),
    )


def worksheet(sketch: Sketch):
    """The hand method, line by line (`sizing.worksheet.Worksheet`)."""
    from offgrid_sizing.sizing.worksheet import worksheet_of

    return cached.remember(
        "worksheet", named_alike(sketch), lambda: worksheet_of(sketch, cached.inputs(sketch))
    )


def days(sketch: Sketch, year: int):
    """Daily totals of one weather year (`sizing.story.Days`)."""
    from offgrid_sizing.sizing.story import days_of

    return cached.remember(
        "days", named_alike(sketch), year,
        lambda: days_of(cached.simulation(sketch, year=year).trace),
    )  # fmt: skip


def stretch(sketch: Sketch, year: int):
    """The shortage that decided, and how many more units would have bridged it."""
    from offgrid_sizing.sizing.story import bridge, deciding_stretch

    def compute():
        run = cached.simulation(sketch, year=year)
        found = deciding_stretch(run.trace)
        return found, bridge(run, found)

    return cached.remember("stretch", named_alike(sketch), year, compute)
