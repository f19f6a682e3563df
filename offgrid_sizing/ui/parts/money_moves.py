"""What moves the money: one bar for each assumption."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, state
from offgrid_sizing.ui.charts.assumptions import assumption_bars
from offgrid_sizing.ui.charts.marks import told
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import has, t, t_raw
from offgrid_sizing.units import money


def draw(_sketch: Sketch, outcome) -> None:
    """Bars of yearly cost, the widest first."""
    found = answers.money_moves(outcome)
    bars = found.value
    if not bars:
        return
    reader, now = state.reader(), outcome.life_cycle.equivalent_annual
    with found.veil():
        figure = assumption_bars(
            [words_of(bar) for bar in bars],
            [bar.low for bar in bars],
            [bar.high for bar in bars],
            now,
            t_raw("money.axis_yearly", currency=reader.currency),
            ends=[(bar.low_words, bar.high_words) for bar in bars],
            answer=told(
                "money.moves_answer",
                what=words_of(bars[0]),
                low=money(bars[0].low, reader),
                high=money(bars[0].high, reader),
            ),
            reader=reader,
            dark=dark(),
        )
        show(figure, "money_moves", data=pd.DataFrame([vars(bar) for bar in bars]))
        st.caption(t("money.moves_note"))


_KEYS = {
    "Price of the bank": "bank_price",
    "Price of grid and fuel": "energy_price",
    "Discount rate": "rate",
    "Life of the bank": "bank_life",
    "Load": "load",
    "Sun": "sun",
}


def words_of(bar) -> str:
    """An assumption's name in this language."""
    key = f"money.move.{_KEYS.get(bar.words, '')}"
    return t_raw(key) if has(key) else bar.words
