"""The shortage that decided, day by day, and what would have bridged it."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.metrics import dark_steps
from offgrid_sizing.ui import answers, state
from offgrid_sizing.ui.charts import endurance as pictures
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.year_glance import day_name
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import kwh


def draw(run, year: str) -> None:
    """Sun, load and charge of the stretch; the ghost of a larger bank."""
    if not run.system.units:
        st.info(t("year.no_bank"))
        return
    found = answers.days(run)
    stretch, bridge = answers.stretch(run)
    chosen = (stretch.first_day + np.arange(stretch.days)) % 365
    flows = run.trace.columns
    went = pictures.Run(
        [day_name(day) for day in chosen],
        found.kwh["pv_available"][chosen],
        found.kwh["load"][chosen],
        flows["soc_frac"][stretch.steps],
        dark_steps(flows["load_w"], flows["unserved_w"])[stretch.steps],
        run.trace.step_h,
    )
    ghost = None
    if bridge.soc_frac is not None:
        words = t_raw("year.stretch.ghost", count=bridge.more) if bridge.more else ""
        ghost = pictures.Ghost(bridge.soc_frac, words)
    figure = pictures.stretch(
        went,
        answer=_answer(stretch, chosen, year),
        floor_frac=1 - run.sketch.equipment.battery.usable_dod_frac,
        ghost=ghost,
        dark=dark(),
    )
    data = pd.DataFrame(
        {"time": run.time[stretch.steps].astype(str)}
        | {name: values[stretch.steps] for name, values in flows.items()}
    )
    show(figure, "year_stretch", data=data)
    if stretch.ran_out != "nothing":
        st.markdown(_what_bridges(stretch, bridge))


def _answer(stretch, chosen, year: str) -> str:
    return t_raw(
        f"year.stretch.answer_{stretch.ran_out}",
        begin=day_name(chosen[0]),
        end=day_name(chosen[-1]),
        unserved=kwh(1000 * stretch.unserved_kwh, state.reader()),
        year=year,
    )


def _what_bridges(stretch, bridge) -> str:
    if stretch.ran_out == "power":
        return t("year.stretch.bridge_power")
    if bridge.more is None:
        return t("year.stretch.bridge_never")
    if bridge.more == 1:
        return t("year.stretch.bridge_one")
    return t("year.stretch.bridge_many", count=bridge.more)
