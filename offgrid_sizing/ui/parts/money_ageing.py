"""How the bank ages and when it is replaced."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.ageing import Beyond
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import figures, state
from offgrid_sizing.ui.charts.money import cycles, health
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent, quantity


def draw(sketch: Sketch, outcome) -> None:
    """Capacity by year, cycles by depth, and where the wear comes from."""
    found, reader = outcome.ageing, state.reader()
    if found is None or not outcome.system.units:
        st.info(t("money.no_bank"))
        return
    figure = health(
        found.health_frac,
        sketch.equipment.battery.end_of_life_frac,
        found.replacement_years,
        answer=_answer(found, outcome.life_cycle.horizon_y),
        dark=dark(),
    )
    data = pd.DataFrame(
        {"year": np.arange(len(found.health_frac)), "capacity_left_frac": found.health_frac}
    )
    show(figure, "money_health", data=data)
    if found.cycles.sum() > 0:
        deepest = int(found.cycles.argmax())
        figure = cycles(
            found.depth_frac,
            found.cycles,
            answer=t_raw(
                "money.cycles.answer",
                full=digits(found.equivalent_full_cycles, reader),
                depth=percent(float(found.depth_frac[deepest]), reader),
            ),
            dark=dark(),
        )
        data = pd.DataFrame({"depth_up_to_frac": found.depth_frac, "cycles": found.cycles})
        show(figure, "money_cycles", data=data)
    st.markdown(
        t(
            "money.wear",
            cycles=percent(found.cycle_wear, reader),
            calendar=percent(found.calendar_wear, reader),
        )
    )
    for one in found.beyond:
        st.warning(beyond_words(one))
    st.caption(t(f"money.law.{found.law}"))


def beyond_words(one: Beyond) -> str:
    """A warning about the bank's life in this language and this reader's units."""
    reader = state.reader()
    limit = {
        "short": figures.life(one.limit, reader),
        "seldom_full": quantity(one.limit, "since_h", reader),
        "fast": "",
    }.get(one.kind) or quantity(one.limit, "bank_c", reader)
    return t(
        f"money.beyond.{one.kind}",
        share=percent(one.share, reader),
        limit=limit,
        years=figures.life(one.share, reader),
    )


def _answer(found, horizon_y: int) -> str:
    reader = state.reader()
    life = figures.life(found.life_y, reader)
    if not found.replacement_years:
        return t_raw("money.health.answer_lasts", life=life, years=horizon_y)
    return t_raw("money.health.answer", life=life, count=len(found.replacement_years))
