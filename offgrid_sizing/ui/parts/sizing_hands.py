"""Two hands: the worksheet and the hourly search side by side, with the difference in words."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.worksheet import differences
from offgrid_sizing.ui import answers, files, layout, state
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.parts import sizing_targets
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits


def draw(searched: Searched) -> None:
    """Three counts each, what makes them differ, and every line of the worksheet."""
    sheet = layout.attempt(lambda: answers.worksheet(searched.sketch))
    if sheet is None:
        return
    picture, controls = layout.beside("hands")
    with picture:
        _counts(sheet, searched.result)
    with controls:
        sizing_targets.draw(searched.sketch)
    _lines(sheet)  # as wide as the page: formulas and sources are long


def _counts(sheet, result) -> None:
    system = result.system
    rows = (
        ("units_in_parallel", sheet.units_in_parallel, system.units_in_parallel),
        ("modules", sheet.modules, system.modules),
        ("inverters", sheet.inverters, system.inverters),
    )
    for column, (name, hand, hours) in zip(st.columns(3), rows, strict=True):
        with column.container(border=True):
            st.markdown(f"**{t(f'sizing.count_{name}')}**")
            st.markdown(t("sizing.hand_and_hours", hand=hand, hours=hours))
    st.markdown("\n".join(f"- {here(one)}" for one in differences(sheet, system)))


def _lines(sheet) -> None:
    st.markdown(f"**{t('sizing.sheet')}**")
    frame = pd.DataFrame(
        [
            {
                t_raw("sizing.sheet_line"): here(line.label),
                t_raw("sizing.sheet_value"): _value(line),
                t_raw("sizing.sheet_how"): here(line.how),
                t_raw("sizing.sheet_source"): here(line.source),
            }
            for line in sheet.lines
        ]
    )
    widths = {"line": 232, "value": 96, "how": 305, "source": 345}
    st.dataframe(
        frame,
        hide_index=True,
        height="content",
        alt=t_raw("sizing.sheet"),
        column_config={
            t_raw(f"sizing.sheet_{name}"): st.column_config.Column(width=width)
            for name, width in widths.items()
        },
    )
    files.offer_table(frame, "worksheet.csv", "sizing_sheet_data")
    st.caption(plain(t_raw("sizing.sheet_note")))


def _value(line) -> str:
    reader = state.reader()
    if line.key == "design_month":
        return t_raw("common.months").split()[round(line.value) - 1]
    figure = digits(line.value, reader)
    return f"{figure} {here(line.unit)}".strip()
