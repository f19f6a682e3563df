"""What a homeowner reads: the sentence, three pictures, the price, the assumptions."""

import streamlit as st

from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.report.assumed import ASSUMED, assumed
from offgrid_sizing.sizing.story import energy_links
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.ui import answers, figures, state
from offgrid_sizing.ui.charts import year as pictures
from offgrid_sizing.ui.charts.energy_flow import energy_flow
from offgrid_sizing.ui.charts.money import paid_so_far
from offgrid_sizing.ui.parts import money_instead, weather_years
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.year_flow import answer as flow_answer
from offgrid_sizing.ui.parts.year_flow import generator_hours
from offgrid_sizing.ui.parts.year_glance import strip_answer
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.widgets import label_of
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, energy, money, percent, power


def sentence(outcome) -> str:
    """The whole answer in one sentence."""
    reader, system, sketch = state.reader(), outcome.system, outcome.sketch
    values = {
        "units": system.units,
        "bank": energy(bank_nominal_wh(sketch, system), reader),
        "modules": system.modules,
        "array": power(array_peak_w(sketch, system), reader),
        "inverters": system.inverters,
        "days": figures.days(outcome.autonomy.dark_median_h, reader),
        "unserved": _unserved(outcome),
    }
    return t("summary.sentence" if system.units else "summary.sentence_no_bank", **values)


def _unserved(outcome) -> str:
    """What goes unserved in the median and the bad year, or in the only one there is."""
    years, sky = outcome.reliability, outcome.simulation.inputs.weather

    def told(year, name: str) -> str:
        reader = state.reader()
        return t_raw(
            "summary.unserved",
            hours=figures.hours(year.unserved_h, reader),
            year=name,
            share=percent(year.unserved_frac, reader),
        )

    if years.bad is None:
        return told(years.judged, weather_years.judged(outcome.sketch, sky))
    return t_raw(
        "summary.unserved_both",
        median=told(years.median, t_raw("year.which.median")),
        bad=told(years.bad, weather_years.bad(years.bad_year_frac)),
    )


def draw(sketch: Sketch, outcome) -> None:
    """Pictures and figures; first of all what must be put right before it is built."""
    wiring = outcome.wiring
    if not wiring.ok:
        key = "wiring_refused" if wiring.refused else "wiring_broken"
        lines = "".join(f"\n\n- {plain(sentence)}" for sentence in wiring.sentences)
        st.error(t(f"summary.{key}") + lines, icon=":material/error:")
    _figures(outcome)
    _pictures(outcome)
    _assumptions(sketch, outcome)


def _figures(outcome) -> None:
    reader, life, totals = state.reader(), outcome.life_cycle, outcome.simulation.metrics
    rows = [
        ("first", money(life.first.total, reader)),
        ("yearly", money(life.equivalent_annual, reader)),
        ("unserved", percent(outcome.reliability.judged.unserved_frac, reader)),
        ("ride", figures.days(outcome.autonomy.dark_1_in_20_h, reader)),
        ("sun", percent(totals.self_sufficiency_frac, reader)),
        ("curtailed", percent(totals.curtailed_frac, reader)),
    ]
    if outcome.sketch.generator is not None:
        rows.append(("generator", generator_hours(totals)))
    year = weather_years.judged(outcome.sketch, outcome.simulation.inputs.weather)
    with st.container(horizontal=True, gap="small"):
        for name, value in rows:
            with st.container(border=True, width=165, gap=None):
                st.caption(t(f"summary.figure_{name}", year=year))
                st.markdown(f"**{plain(value)}**")


def _pictures(outcome) -> None:
    run, life, reader = outcome.simulation, outcome.life_cycle, state.reader()
    trace, year = run.trace, weather_years.judged_named(run)
    if run.system.units:
        figure = pictures.year_strip(
            trace["soc_frac"],
            dark_steps(trace["load_w"], trace["unserved_w"]),
            trace.step_h,
            answer=strip_answer(answers.days(run), reader, year),
            reader=reader,
            dark=dark(),
        )
        show(figure, "summary_strip")
    links = [(link.origin, link.end, link.kwh) for link in energy_links(trace)]
    if links:
        answer = flow_answer(run.metrics, year)
        figure = energy_flow(links, answer=answer, reader=reader, dark=dark())
        show(figure, "summary_flow")
    after, other = life.simple_payback_y, life.alternative
    figure = paid_so_far(
        life.flows.total,
        other.flows.total if other else None,
        answer=money_instead.never(life)
        if after is None
        else t_raw("money.paid.answer", after=digits(after, reader)),
        alternative_words=money_instead.words(other) if other else "",
        payback_y=after,
        reader=reader,
        dark=dark(),
    )
    show(figure, "summary_paid")
    st.caption(money_instead.compared(life))


def _assumptions(sketch: Sketch, outcome) -> None:
    sky = outcome.simulation.inputs.weather
    with st.expander(t("summary.assumptions"), icon=":material/fact_check:"):
        lines = [t("summary.weather", provenance=sky.provenance)]
        lines += [plain(caveat) for caveat in sky.caveats]
        for step in ASSUMED:
            ours = assumed(sketch, step)
            if ours:
                lines.append(
                    t("summary.still_ours", fields=", ".join(label_of(p, unit=False) for p in ours))
                )
        lines += [plain(warning) for warning in outcome.warnings]
        st.markdown("\n".join(f"- {text}" for text in lines))
