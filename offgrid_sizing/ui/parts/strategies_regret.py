"""What each priority costs above what perfect foresight would; computed beside the page."""

import pandas as pd
import streamlit as st

from offgrid_sizing.foresight import bill_words
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, state
from offgrid_sizing.ui.cached import Found
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.charts.strategies import regret
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.strategies_year import name_of
from offgrid_sizing.ui.plain import chart_text, plain
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import kwh, money


def draw(sketch: Sketch, compared: Found) -> None:
    """One bar a priority, the bound in the axis, what was relaxed beneath."""
    found = answers.foresight(sketch, compared)
    if found.value is None:
        if found.running:
            st.markdown(t("strategies.regret.waiting"))
        return
    years, least = found.value
    with found.dimmed():
        names = [name_of(one.kind) for one in years]
        above = [one.above_foresight_per_year(least) for one in years]
        figure = regret(
            [chart_text(name) for name in names],
            above,
            least.cost_per_year,
            answer=_answer(names, above, exact=not least.relaxed),
            reader=state.reader(),
            dark=dark(),
        )
        data = pd.DataFrame({"priority": names, "above_bound": above})
        data["bound"] = least.cost_per_year
        show(figure, "strategies_regret", data=data)
        _explain(least, sketch)


def _answer(names: list[str], above: list[float], *, exact: bool) -> str:
    reader = state.reader()
    best = min(range(len(above)), key=above.__getitem__)
    key = "strategies.regret.answer" if exact else "strategies.regret.answer_most"
    return chart_t(key, name=names[best], above=money(above[best], reader))


def _explain(least, sketch: Sketch) -> None:
    reader = state.reader()
    st.markdown(
        t(
            "strategies.regret.bound",
            bill=bill_words(sketch),
            cost=money(least.cost_per_year, reader),
            grid=kwh(1000 * least.grid_kwh, reader),
            unserved=kwh(1000 * least.unserved_kwh, reader),
        )
    )
    if least.relaxed:
        st.markdown(t("strategies.regret.relaxed"))
    for sentence in least.relaxed:
        st.markdown(f"- {plain(sentence)}")
    st.caption(t("strategies.regret.how", bill=bill_words(sketch)))
