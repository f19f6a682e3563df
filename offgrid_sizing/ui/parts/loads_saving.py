"""Loads page, efficiency first: which appliance costs most bank and array."""

from dataclasses import dataclass

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.loads.bill import with_bill
from offgrid_sizing.loads.efficiency import Saving, efficiency_first
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cached, charts, state, theme
from offgrid_sizing.ui.charts import household
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import money

MOST_SHOWN = 10


@dataclass(frozen=True)
class _Sized:
    """A sizing's answer as `efficiency_first` asks for it; the price is that of a year."""

    units: int
    modules: int
    price: float


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """A button, then the appliances in the order of what they cost."""
    st.caption(t("loads.saving.text"))
    if year is None or not sketch.loads.appliances:
        st.info(t("loads.hours.none"), icon=":material/kitchen:")
        return
    if sketch.loads.metered is not None and sketch.loads.metered.use == "replace":
        st.info(t("loads.saving.metered"), icon=":material/electric_meter:")
        return
    if sketch.loads.has_bill:
        st.caption(t("loads.saving.billed"))
        sketch = with_bill(sketch, "remove")
    base = state.store().lay_out_files(sketch)
    found = cached.run_long(
        "saving",
        sketch,
        lambda progress: _search(sketch, base, progress),
        start=False,
        label=t_raw("loads.saving.start"),
    )
    if found.value is None:
        return
    with found.dimmed():
        _show(found.value)


def _search(sketch: Sketch, base, progress) -> tuple[Saving, ...]:
    from offgrid_sizing.sizing.search import size

    done = 0.0

    def sized(one: Sketch) -> _Sized:
        progress(done)
        answer = size(one, base_dir=base, progress=lambda _share, _words: progress(done))
        return _Sized(answer.system.units, answer.system.modules, answer.cost_per_year)

    def told_share(share: float) -> None:
        nonlocal done
        done = share
        progress(share)

    return efficiency_first(sketch, sized, progress=told_share)


def _show(savings: tuple[Saving, ...]) -> None:
    reader = state.reader()
    helpful = [one for one in savings if one.price > 0.5][:MOST_SHOWN]
    if not helpful:
        st.info(t("loads.saving.none"), icon=":material/check:")
        return
    names = tuple(f"{one.name} ({_change(one)})" for one in helpful)
    best = helpful[0]
    answer = chart_t(
        "loads.saving.answer", name=best.name, change=_change(best), saved=money(best.price, reader)
    )
    figure = household.savings(
        names,
        np.array([one.price for one in helpful]),
        [t_raw("loads.saving.boxes", units=one.units, modules=one.modules) for one in helpful],
        answer=answer,
        axis=chart_t("loads.saving.axis", currency=reader.currency),
        dark=theme.is_dark(),
    )
    table = pd.DataFrame(
        [(one.name, _change(one), one.units, one.modules, one.price) for one in savings],
        columns=["appliance", "change", "units_saved", "modules_saved", "saved_per_year"],
    )
    charts.show(figure, "loads_saving", answer, data=table)
    for one in helpful[:3]:
        st.markdown(f"- {plain(one.sentence)}")


def _change(one: Saving) -> str:
    return here(one.change)
