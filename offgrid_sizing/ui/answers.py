"""Results that several pages show, kept as `cached` keeps them: wires, wear, money, worksheet."""

from dataclasses import replace
from pathlib import Path
from tempfile import TemporaryDirectory

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

    given, base = cached.inputs(sketch), cached.files_of(sketch)
    return cached.run_long(
        "why", named_alike(sketch),
        lambda progress: why_this_size(
            sketch, given, result, base_dir=base, progress=wordless(progress)
        ),
    )  # fmt: skip


def wordless(progress):
    """Progress that shows how far the work is, without the words of the rooms below."""
    return lambda share, _words="": progress(share, "")


def outcome(sketch: Sketch):
    """Everything about the drawn system, as the papers say it, in the background (`outcome`)."""
    from offgrid_sizing.outcome import outcome_of

    given, stages = cached.inputs(sketch), iter((0.1, 0.5, 0.8))
    return cached.run_long(
        "outcome", named_alike(sketch),
        lambda progress: outcome_of(
            sketch, given, progress=lambda _words: progress(next(stages, 0.9), "")
        ),
    )  # fmt: skip


def strategies(sketch: Sketch):
    """The judged year under every priority, in the background (`outcome.StrategyYear`)."""
    from offgrid_sizing.outcome import STRATEGIES, judged_year, strategy_year
    from offgrid_sizing.sizing.reliability import reliability_of

    given = cached.inputs(sketch)

    def compute(progress):
        progress(0.1, "")
        year = judged_year(sketch, reliability_of(sketch, drawn_system(sketch), given))
        years = []
        for number, kind in enumerate(STRATEGIES):
            progress(0.4 + 0.2 * number, "")
            years.append(strategy_year(sketch, kind, given, year))
        return tuple(years)

    return cached.run_long("strategies", named_alike(sketch), compute)


def foresight(sketch: Sketch, years):
    """What the judged year could have cost with perfect foresight, in the background."""
    from offgrid_sizing.foresight import foresight_cost

    given, system = cached.inputs(sketch), drawn_system(sketch)
    year = years[0].simulation.year
    traces = tuple(one.simulation.trace for one in years)

    def compute(progress):
        progress(0.1, "")
        return foresight_cost(sketch, system, given, year=year, traces=traces)

    return cached.run_long("foresight", named_alike(sketch), compute)


def tuned(sketch: Sketch, years):
    """The blend that costs least at the wanted ride-through, in the background (`sizing.blend`).

    Its value is the blend and the name of the weather year it was tuned in: that year is chosen
    under the priority then in use, so it may differ from the one compared now.
    """
    from offgrid_sizing.sizing.blend import tuned_blend
    from offgrid_sizing.sketch import Strategy

    given, system, year = cached.inputs(sketch), drawn_system(sketch), years[0].simulation.year
    # the blend does not depend on the priority in use, so using it does not start the search anew
    key = named_alike(sketch).model_copy(update={"strategy": Strategy()})

    def compute(progress):
        done = 0

        def should_stop() -> bool:
            nonlocal done
            done += 1
            progress(min(done / 130, 0.95), "")
            return False

        blend = tuned_blend(sketch, system, given, year=year, should_stop=should_stop)
        return blend, given.weather.year_names[year]

    return cached.run_long("tuned", key, compute)


def money_moves(sketch: Sketch, found):
    """What moves the yearly cost of an outcome, in the background (`economics.sensitivity`)."""
    from offgrid_sizing.economics.flows import yearly_flows
    from offgrid_sizing.economics.sensitivity import rerun_with, sensitivity

    run = found.simulation

    def compute(progress):
        progress(0.1, "")
        return sensitivity(
            run.sketch, run.system, yearly_flows(run), found.ageing, rerun=rerun_with(run)
        )

    return cached.run_long("money_moves", named_alike(sketch), compute)


def sheet(sketch: Sketch, **today):
    """The commissioning sheet for today's light and charge (`commissioning.Sheet`)."""
    from offgrid_sizing.commissioning import sheet_of

    return sheet_of(sketch, design(sketch), **today)


# --- files, made when they are asked for ----------------------------------------------------


def with_search(found, result):
    """An outcome with the search's answer in it, where there is one."""
    return replace(found, sizing=result)


def paper(found, size: str, sketch_id: str | None) -> bytes:
    """The summary as a PDF; `size` is "a4" or "letter"."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.pdf import pdf_bytes

    return pdf_bytes(summary_of_outcome(found, sketch_id=sketch_id), paper=size)


def sheet_pdf(found, today_sheet, size: str) -> bytes:
    """The commissioning sheet alone as a PDF, with its cautions."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.pdf import pdf_bytes
    from offgrid_sizing.report.sections.handover import commissioning_section

    whole = summary_of_outcome(found)
    cautions = tuple(section for section in whole.sections if section.key == "cautions")
    sections = (commissioning_section(today_sheet), *cautions)
    return pdf_bytes(replace(whole, sections=sections, front=(), facts=(), price=()), paper=size)


def workbook(found, sketch_id: str | None) -> bytes:
    """The workbook with its live formulas."""
    from offgrid_sizing.report.outcome_summary import summary_of_outcome
    from offgrid_sizing.report.workbook import write_workbook

    with TemporaryDirectory() as folder:
        path = Path(folder) / "summary.xlsx"
        write_workbook(summary_of_outcome(found, sketch_id=sketch_id), path)
        return path.read_bytes()


def hourly_csv(found) -> bytes:
    """The simulated year, a row a step."""
    from offgrid_sizing.report.hourly import write_hourly

    with TemporaryDirectory() as folder:
        return write_hourly(found.simulation, Path(folder) / "hourly.csv").read_bytes()
