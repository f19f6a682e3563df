"""What has been paid by the end of each year, with the system and without it."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import state
from offgrid_sizing.ui.charts.money import paid_so_far
from offgrid_sizing.ui.parts import money_instead
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import has, t, t_raw
from offgrid_sizing.units import digits, money, quantity


def draw(sketch: Sketch, outcome) -> None:
    """Two lines, the payback, and the figures beneath."""
    life, reader = outcome.life_cycle, state.reader()
    other = life.alternative
    theirs = other.flows.total if other else None
    figure = paid_so_far(
        life.flows.total,
        theirs,
        answer=_answer(life),
        alternative_words=money_instead.words(other) if other else "",
        payback_y=life.simple_payback_y,
        reader=reader,
        dark=dark(),
    )
    data = pd.DataFrame(
        {
            "year": np.arange(life.horizon_y + 1),
            "system": life.flows.total,
            "alternative": theirs,
        }
        | {f"system_{name}": values for name, values in life.flows.lines.items()}
    )
    show(figure, "money_paid", data=data)
    st.markdown(_figures(life, reader))
    money_instead.draw(life)
    with st.expander(t("money.assumptions")):
        for sentence in life.assumptions:
            st.markdown(f"- {plain(sentence)}")
        if has("money.assumptions_note"):
            st.caption(t("money.assumptions_note"))


def _answer(life) -> str:
    reader = state.reader()
    if life.simple_payback_y is None:
        return money_instead.never(life)
    return t_raw("money.paid.answer", after=digits(life.simple_payback_y, reader))


def _figures(life, reader) -> str:
    def years(value: float | None) -> str:
        return t_raw("money.never") if value is None else quantity(value, "_y", reader)

    lcoe = "–" if life.lcoe_per_kwh is None else money(life.lcoe_per_kwh, reader)
    lines = [
        t("money.line_first", amount=money(life.first.total, reader)),
        t("money.line_present", amount=money(life.present, reader), years=life.horizon_y),
        t("money.line_lcoe", amount=lcoe),
    ]
    if life.alternative is not None:
        lines += [
            t("money.line_saving", amount=money(life.net_saving, reader)),
            t(
                "money.line_payback",
                simple=years(life.simple_payback_y),
                discounted=years(life.discounted_payback_y),
            ),
            t("money.line_co2", amount=quantity(life.co2_avoided_kg_per_year, "_kg", reader)),
        ]
    return "\n".join(f"- {line}" for line in lines)
