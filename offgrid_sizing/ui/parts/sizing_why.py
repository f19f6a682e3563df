"""Why this size: the weeks that forced it, what each relaxation would save, what moves it."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.ui import answers, state
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.charts import assumptions as pictures
from offgrid_sizing.ui.parts import sizing_words, weather_years
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.year_glance import day_name
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, kwh, percent


def draw(searched: Searched) -> None:
    """Which days forced the size, and what a relaxed wish would save."""
    if not searched.result.met:
        st.info(t("sizing.why_unmet"))
        return
    found = answers.why(searched)
    if found.value is None:
        return
    with found.dimmed():
        least = _least_words(searched)
        if least:
            st.markdown(f"- {least}")
        for forced in found.value.forced:
            st.markdown(f"- {_forced_words(searched, forced)}")
        _relaxations(found.value.relaxations)


def draw_moves(searched: Searched) -> None:
    """One bar for each assumption: the cost and boxes it moves."""
    if not searched.result.met:
        st.info(t("sizing.why_unmet"))
        return
    found = answers.why(searched)
    if found.value is None:
        return
    with found.dimmed():
        _swings(found.value.swings, searched.result)


def _least_words(searched: Searched) -> str:
    """What keeps the bank from being smaller still, where it is the smallest allowed."""
    least = searched.result.least
    if least.why == "nothing" or searched.result.system.units_in_parallel != least.units:
        return ""
    days = digits(searched.sketch.targets.days_of_autonomy, state.reader())
    return t(f"sizing.least_{least.why}", days=days)


def _forced_words(searched: Searched, forced) -> str:
    reader, worst = state.reader(), forced.worst
    per_day = round(24 / searched.sketch.targets.step_h)
    first = worst.first_step // per_day
    name = weather_years.name_of(searched.inputs.weather.year_names[worst.year])
    values = {
        "begin": day_name(first),
        "end": day_name(first + worst.steps // per_day - 1),
        "year": t_raw("sizing.in_year", year=name),
        "judged": sizing_words.year_of(searched),
        "unserved": kwh(1000 * worst.unserved_kwh, reader),
        "share": percent(forced.share, reader),
        "sun": kwh(1000 * worst.pv_kwh, reader),
        "usual": kwh(1000 * worst.usual_pv_kwh, reader),
    }
    why = t(f"sizing.ran_{worst.ran_out}", **values)
    return t(f"sizing.forced_{forced.less}", why=why, **values)


def _change_words(units: int, modules: int, inverters: int) -> str:
    parts = [
        t_raw(f"sizing.change_{name}", count=f"{count:+d}".replace("-", "−"))
        for name, count in (("units", units), ("modules", modules), ("inverters", inverters))
        if count
    ]
    return ", ".join(parts) or t_raw("sizing.change_none")


def _relax_words(one) -> str:
    return t_raw(f"sizing.relax.{one.key}", what=one.what)


def _relaxations(relaxations) -> None:
    if not relaxations:
        return
    figure = pictures.relaxations(
        [_relax_words(one) for one in relaxations],
        [one.saved_per_year for one in relaxations],
        [_change_words(one.units, one.modules, one.inverters) for one in relaxations],
        reader=state.reader(),
        dark=dark(),
    )
    show(figure, "sizing_relax", data=pd.DataFrame([vars(one) for one in relaxations]))
    st.caption(t("sizing.relax.note"))


def _swings(swings, result) -> None:
    reader = state.reader()
    usable = [one for one in swings if one.low is not None and one.high is not None]
    for one in swings:
        if one not in usable:
            st.markdown(f"- {t('sizing.swing_unmet', what=t_raw(f'sizing.swing.{one.key}'))}")
    if not usable:
        return
    usable.sort(key=lambda one: -abs(one.high[2] - one.low[2]))
    figure = pictures.assumption_bars(
        [
            pictures.Swing(
                t_raw(f"sizing.swing.{one.key}"), one.low[2], one.high[2], "−10 %", "+10 %"
            )
            for one in usable
        ],
        result.cost_per_year,
        t_raw("sizing.axis_cost", currency=reader.currency),
        answer=t_raw("sizing.swing.answer", what=t_raw(f"sizing.swing.{usable[0].key}")),
        reader=reader,
        dark=dark(),
    )
    rows = [
        {
            t_raw("sizing.swing.column"): t_raw(f"sizing.swing.{one.key}"),
            t_raw("sizing.swing.low"): t_raw(
                "sizing.swing.counts", units=one.low[0], modules=one.low[1]
            ),
            t_raw("sizing.swing.now"): t_raw(
                "sizing.swing.counts",
                units=result.system.units_in_parallel,
                modules=result.system.modules,
            ),
            t_raw("sizing.swing.high"): t_raw(
                "sizing.swing.counts", units=one.high[0], modules=one.high[1]
            ),
        }
        for one in usable
    ]
    show(figure, "sizing_swings", data=pd.DataFrame(rows))
    st.dataframe(pd.DataFrame(rows), hide_index=True, alt=t_raw("sizing.section.moves"))
    step = int(np.gcd.reduce(np.diff(result.map.modules))) if len(result.map.modules) > 1 else 1
    if step > 1:
        st.caption(t("sizing.swing.whole", step=step))
