"""What the money goes for: each kind of cost, worth today, and the boxes that are bought."""

import pandas as pd
import streamlit as st

from offgrid_sizing.economics.lifecycle import as_of_words
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import figures, state
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.charts.money import by_kind
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import money


def draw(sketch: Sketch, outcome) -> None:
    """Bars by kind, then the boxes."""
    life, reader = outcome.life_cycle, state.reader()
    worth = {name: value for name, value in life.present_by_line.items() if abs(value) > 0.005}
    if worth:
        words = [t_raw(f"money.kind.{name}") for name in worth]
        largest = max(worth, key=worth.__getitem__)
        figure = by_kind(
            words,
            list(worth.values()),
            answer=chart_t(
                "money.kind.answer",
                what=t_raw(f"money.kind.{largest}"),
                amount=money(worth[largest], reader),
                all=money(life.present, reader),
            ),
            reader=reader,
            dark=dark(),
        )
        data = pd.DataFrame({"kind": list(worth), "worth_today": list(worth.values())})
        show(figure, "money_kinds", data=data)
    frame = pd.DataFrame(
        [
            {
                t_raw("money.box_what"): t_raw(f"money.box.{box.key}"),
                t_raw("money.box_count"): f"{box.count:g}",
                t_raw("money.box_each"): money(box.each, reader),
                t_raw("money.box_total"): money(box.total, reader),
                t_raw("money.box_life"): figures.life(box.life_y, reader),
            }
            for box in life.boxes
        ]
    )
    st.dataframe(frame, hide_index=True, height="content", alt=t_raw("money.section.what"))
    st.caption(t("money.box_note", as_of=as_of_words(sketch.prices)))
