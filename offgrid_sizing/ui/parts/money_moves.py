"""What moves the money: one bar for each assumption."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, state
from offgrid_sizing.ui.charts.assumptions import Swing, assumption_bars
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import money


def draw(_sketch: Sketch, outcome) -> None:
    """Bars of yearly cost, the widest first."""
    found = answers.money_moves(outcome)
    bars = found.value
    if not bars:
        return
    reader, now = state.reader(), outcome.life_cycle.equivalent_annual
    with found.dimmed():
        figure = assumption_bars(
            [
                Swing(here(bar.words), bar.low, bar.high, here(bar.low_words), here(bar.high_words))
                for bar in bars
            ],
            now,
            t_raw("money.axis_yearly", currency=reader.currency),
            answer=chart_t(
                "money.moves_answer",
                what=here(bars[0].words),
                low=money(bars[0].low, reader),
                high=money(bars[0].high, reader),
            ),
            reader=reader,
            dark=dark(),
        )
        show(figure, "money_moves", data=_table(bars))
        st.caption(t("money.moves_note"))


def _table(bars) -> pd.DataFrame:
    """Every bar as a row, its words in this language."""
    return pd.DataFrame(
        [
            {name: here(value) if isinstance(value, str) else value for name, value in row.items()}
            for row in map(vars, bars)
        ]
    )
