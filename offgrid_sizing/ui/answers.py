"""Results that several pages show, kept as `cached` keeps them: wires, wear, money, worksheet."""

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system
from offgrid_sizing.ui import cached, results, state


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


def autonomy(sketch: Sketch, year: int):
    """Hours a full bank lasts from every hour of one weather year (`sizing.autonomy`)."""
    from offgrid_sizing.sizing.autonomy import autonomy_of

    return cached.remember(
        "autonomy", named_alike(sketch), year,
        lambda: autonomy_of(sketch, drawn_system(sketch), cached.inputs(sketch), year=year),
    )  # fmt: skip


def candidates(sketch: Sketch):
    """Every whole system that can be built from the sketch's boxes (`sizing.candidates`)."""
    from offgrid_sizing.sizing.candidates import candidates_of

    low = sketch.weather.record_low_c
    if low is None:
        low = cached.weather(sketch).record_low_c
    return cached.remember(
        "candidates", named_alike(sketch),
        lambda: candidates_of(sketch, results.loads(sketch).peak, low),
    )  # fmt: skip


def search(sketch: Sketch):
    """The hourly search over all weather years, in the background (`sizing.search.size`)."""
    from offgrid_sizing.sizing.search import size

    given = cached.inputs(sketch)
    return cached.run_long(
        "search", named_alike(sketch),
        lambda progress: size(sketch, inputs=given, progress=wordless(progress)),
    )  # fmt: skip


def why(sketch: Sketch, result):
    """Why the search's answer is what it is, in the background (`sizing.relaxations`)."""
    from offgrid_sizing.sizing.relaxations import why_this_size

    given, base = cached.inputs(sketch), state.store().lay_out_files(sketch)
    return cached.run_long(
        "why", named_alike(sketch),
        lambda progress: why_this_size(
            sketch, given, result, base_dir=base, progress=wordless(progress)
        ),
    )  # fmt: skip


def wordless(progress):
    """Progress that shows how far the work is, without the words of the rooms below."""
    return lambda share, _words="": progress(share, "")
