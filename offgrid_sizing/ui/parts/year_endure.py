"""How long a full bank lasts, by month."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.story import hours_by_month
from offgrid_sizing.ui import answers, figures, state, widgets
from offgrid_sizing.ui.charts import endurance as pictures
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent


def draw(run, year: str) -> None:
    """Autonomy by month: median and 1-in-20, without sun and with the sun that came."""
    if not run.system.units:
        st.info(t("year.endure.answer_no_bank"))
        return
    found, reader = answers.autonomy(run), state.reader()
    asked = run.sketch.targets.days_of_autonomy
    without, with_sun = hours_by_month(found.dark_h), hours_by_month(found.sunlit_h)
    figure = pictures.autonomy(
        without,
        np.where(with_sun < found.enough_h, with_sun, np.inf),
        asked,
        answer=t_raw(
            "year.endure.answer",
            median=figures.days(found.dark_median_h, reader),
            low=figures.days(found.dark_1_in_20_h, reader),
            year=year,
        ),
        reader=reader,
        dark=dark(),
    )
    data = pd.DataFrame(
        {
            "month": month_names(),
            "no_sun_median_h": without[:, 0],
            "no_sun_1_in_20_h": without[:, 1],
            "real_sun_median_h": with_sun[:, 0],
            "real_sun_1_in_20_h": with_sun[:, 1],
        }
    )
    show(figure, "year_endure", data=data)
    st.markdown(
        t(
            "year.endure.bridged",
            share=percent(found.bridged_frac, reader),
            days=digits(asked, reader),
        )
    )
    st.caption(t("year.endure.how") + " " + t("year.endure.never"))
    widgets.number("targets.days_of_autonomy")
