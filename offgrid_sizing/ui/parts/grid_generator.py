"""Grid page, the generator: when it starts, what it burns, when it must be quiet."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.metrics import fuel_l
from offgrid_sizing.sketch import Generator, Sketch, TimeWindow
from offgrid_sizing.ui import cautions, charts, layout, state, theme, widgets
from offgrid_sizing.ui.charts import supply as pictures
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import week_windows
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import quantity, unit_of

PATH = "generator"


def draw(sketch: Sketch) -> None:
    """Fuel against output beside the generator's numbers; or none, and a button for one."""
    if sketch.generator is None:
        st.info(t("grid.generator.none"), icon=":material/propane:")
        st.button(
            t("grid.generator.add"),
            key="generator_add",
            icon=":material/add:",
            on_click=_put,
            args=(Generator(),),
            disabled=not state.may_edit(),
        )
        return
    picture, controls = layout.beside("grid_generator")
    with picture:
        _fuel(sketch.generator)
        cautions.show("generator", "backfeed")
    with controls:
        left, right = st.columns(2)
        fields = (
            (
                "rated_w",
                "start_soc_frac",
                "fuel_per_energy_l_per_kwh",
                "fuel_price_per_l",
                "breaker_a",
            ),
            (
                "min_load_frac",
                "stop_soc_frac",
                "fuel_idle_l_per_h_kw",
                "start_multiple",
                "short_circuit_a",
            ),
        )
        for column, names in zip((left, right), fields, strict=True):
            with column:
                for name in names:
                    widgets.number(f"{PATH}.{name}")
        st.markdown(f"**{t('grid.generator.quiet')}**")
        week_windows.hours(f"{PATH}.quiet_hours", TimeWindow)
        with st.expander(t("grid.generator.service")):
            for name in ("service_interval_h", "service_cost", "life_h"):
                widgets.number(f"{PATH}.{name}")
        st.button(
            t("grid.generator.remove"),
            key="generator_remove",
            icon=":material/delete:",
            type="tertiary",
            on_click=_put,
            args=(None,),
            disabled=not state.may_edit(),
        )


def _put(generator: Generator | None) -> None:
    state.edit(lambda sketch: sketch.model_copy(update={"generator": generator}), note="generator")


def _fuel(generator: Generator) -> None:
    share = np.linspace(generator.min_load_frac, 1, 21)
    output_w = share * generator.rated_w
    litres = np.array([fuel_l(generator, watts / 1000, 1.0) for watts in output_w])
    reader = state.reader()
    unit = unit_of("fuel_l", reader)
    per_kwh = [fuel_l(generator, 1.0, 1000 / watts) for watts in (output_w[0] or 1.0, output_w[-1])]
    answer = chart_t(
        "grid.generator.answer",
        full=quantity(per_kwh[1], "fuel_l_per_kwh", reader),
        least=quantity(per_kwh[0], "fuel_l_per_kwh", reader),
    )
    figure = pictures.fuel(
        output_w,
        np.asarray(unit.shown(litres)),
        float(output_w[0]),
        answer=answer,
        unit=unit.label,
        dark=theme.is_dark(),
    )
    table = pd.DataFrame({"output_w": output_w, "fuel_l_per_h": litres})
    charts.show(figure, "generator_fuel", answer, data=table)
