"""The year's months in figures."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.story import months_of
from offgrid_sizing.ui import answers, files
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.words import t, t_raw

_COLUMNS = (
    ("month_load", "load"),
    ("month_sun", "pv_available"),
    ("month_curtailed", "curtailed"),
    ("month_grid", "grid_import"),
    ("month_generator", "generator"),
    ("month_unserved", "unserved"),
)


def draw(run, year: str) -> None:
    """Twelve rows of energies, as a table and as a file."""
    found = months_of(answers.days(run))
    table = pd.DataFrame({t_raw("common.month"): month_names()})
    for word, name in _COLUMNS:
        table[t_raw(f"year.{word}")] = np.round(found.kwh[name], 2)
    if run.system.units:
        table[t_raw("year.month_lowest")] = np.round(100 * found.lowest_soc_frac, 1)
    one_place = st.column_config.NumberColumn(format="%.1f")  # or the digits do not line up
    st.dataframe(
        table,
        hide_index=True,
        height="content",
        alt=t_raw("year.section.months"),
        column_config=dict.fromkeys(table.columns[1:], one_place),
    )
    st.caption(t("year.table_note", year=year))
    files.offer_table(table, "months.csv", "year_months_data")
