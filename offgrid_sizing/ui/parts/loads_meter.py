"""Loads page, the meter: drop its file, correct the columns, read what cleaning did."""

import pandas as pd
import streamlit as st

from offgrid_sizing.loads.compare import compare_with_meter, scale_appliances
from offgrid_sizing.loads.meter import metered_load, preview_meter_file
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import BadInput, MeteredLoad, Sketch
from offgrid_sizing.store.files import SUFFIXES
from offgrid_sizing.ui import cached, cautions, charts, layout, results, state, theme, widgets
from offgrid_sizing.ui.charts import household
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import loads_bill
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """The comparison beside the file and its columns."""
    picture, controls = layout.beside("loads_meter")
    with controls:
        loads_bill.draw(sketch, year)
        st.file_uploader(
            t("loads.meter.drop"),
            key="loads_meter_file",
            on_change=_keep,
            type=[suffix.lstrip(".") for suffix in SUFFIXES["meter"]],
            disabled=not state.may_edit(),
            help=t("loads.meter.drop_help"),
        )
        if sketch.loads.metered is not None:
            _columns(sketch)
    with picture:
        if sketch.loads.metered is None:
            st.info(t("loads.meter.none"), icon=":material/electric_meter:")
        else:
            _report(sketch)
            if year is not None and sketch.loads.in_use:
                _compared(sketch)
    cautions.show("meter")


def _keep() -> None:
    dropped = st.session_state["loads_meter_file"]
    if dropped is None:
        return
    try:
        ref = state.store().keep_file(dropped.name, dropped.getvalue(), "meter")
        metered = MeteredLoad(file=ref.ref)
        new = _with_meter(state.sketch(), metered)
        results.loads(new)  # a file that cannot be read is refused here, with its sentence
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(new, note="meter")


def _with_meter(sketch: Sketch, metered: MeteredLoad | None) -> Sketch:
    no_bill = {"bill_mean_month_kwh": None, "bill_each_month_kwh": None}
    loads = sketch.loads.model_copy(update={"metered": metered} | (no_bill if metered else {}))
    return sketch.model_copy(update={"loads": loads})


def _columns(sketch: Sketch) -> None:
    metered = sketch.loads.metered
    st.markdown(t("loads.meter.file_now", name=metered.file.split("/")[-1]))
    widgets.choice("loads.metered.use")
    with st.expander(t("loads.meter.columns")):
        if not metered.file.lower().endswith(".xml"):
            layout.attempt(lambda: _preview(sketch))
        widgets.text("loads.metered.time_column")
        widgets.text("loads.metered.value_column")
        widgets.choice("loads.metered.quantity")
        widgets.choice("loads.metered.labels")
    widgets.number("loads.metered.peak_va")
    st.button(
        t("loads.meter.remove"),
        key="loads_meter_remove",
        icon=":material/delete:",
        type="tertiary",
        on_click=state.edit,
        args=(_with_meter(sketch, None),),
        disabled=not state.may_edit(),
    )


def _preview(sketch: Sketch) -> None:
    metered = sketch.loads.metered
    path = state.store().lay_out_files(sketch) / metered.file
    frame, table, columns = cached.remember(
        "meter_preview",
        metered,
        lambda: preview_meter_file(
            path,
            time_column=metered.time_column,
            value_column=metered.value_column,
            quantity=metered.quantity,
        ),
    )
    st.caption(t("loads.meter.preview"))
    # a table keeps plain texts for headers, and not how a column without a name is called here
    named = frame.set_axis([here(one) for one in dict.fromkeys(table.header)], axis="columns")
    st.dataframe(named, hide_index=True, height=180, alt=t_raw("loads.meter.preview"))
    for guess in columns.guesses:
        st.caption(plain(guess))


def _report(sketch: Sketch) -> None:
    metered = sketch.loads.metered
    read = layout.attempt(
        lambda: metered_load(
            metered,
            base_dir=state.store().lay_out_files(sketch),
            civil_zone=sketch.site.civil_zone,
            utc_offset_h=sketch.site.offset_h,
        )
    )
    if read is None:
        return
    report, reader = read.report, state.reader()
    st.markdown(
        t(
            "loads.meter.read",
            first=report["first"][:10],
            last=report["last"][:10],
            days=digits(report["days"], reader),
            daily=digits(report["daily_kwh"], reader),
        )
    )
    for sentence in report["sentences"]:
        st.markdown(f"- {plain(sentence)}")


def _compared(sketch: Sketch) -> None:
    base = state.store().lay_out_files(sketch)
    found = layout.attempt(
        lambda: cached.remember(
            "meter_compared",
            cached.loads_key(sketch),
            lambda: compare_with_meter(sketch, cached.weather(sketch), base_dir=base),
        )
    )
    if found is None:
        return
    reader = state.reader()
    answer = chart_t(
        "loads.meter.compare_answer",
        metered=digits(found.metered_kwh, reader),
        table=digits(found.appliance_kwh, reader),
    )
    figure = household.meter_and_table(
        found.by_hour["hour"].to_numpy(),
        found.by_hour["metered_w"].to_numpy(),
        found.by_hour["appliance_w"].to_numpy(),
        answer=answer,
        reader=reader,
        dark=theme.is_dark(),
    )
    charts.show(figure, "loads_meter_compared", answer, data=pd.DataFrame(found.by_hour))
    st.button(
        t("loads.meter.scale", factor=digits(found.factor, reader)),
        key="loads_meter_scale",
        on_click=_scale,
        args=(found.factor,),
        disabled=not state.may_edit(),
    )


def _scale(factor: float) -> None:
    try:
        new = scale_appliances(state.sketch(), factor)
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(new, note="scale")
