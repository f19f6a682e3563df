"""Site page, the roof: planes, where they look, and what a module on each gives by month."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sizing.planes import module_kwh_by_plane
from offgrid_sizing.sketch import RoofPlane, Sketch
from offgrid_sizing.ui import cautions, charts, layout, results, state, tables, theme
from offgrid_sizing.ui.charts import climate as pictures
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits
from offgrid_sizing.weather.series import Weather

COLUMNS = (
    "name",
    "tilt_deg",
    "azimuth_deg",
    "mounting",
    "modules_in_series",
    "strings",
    "max_modules",
    "width_m",
    "slope_m",
    "edge_m",
)


def draw(sketch: Sketch, weather: Weather | None) -> None:
    """What one module gives on each plane, above the table of planes."""
    output = layout.attempt(lambda: results.output(sketch)) if weather is not None else None
    if output is not None and sketch.roof_planes:
        kwh = module_kwh_by_plane(output)
        best = int(kwh.mean(axis=1).argmax())
        names = tuple(plane.name for plane in sketch.roof_planes)
        answer = chart_t(
            "site.roof.answer",
            plane=names[best],
            kwh=digits(float(kwh[best].mean()), state.reader()),
            low=month_names()[int(kwh[best].argmin())],
        )
        figure = pictures.planes(names, kwh, answer=answer, dark=theme.is_dark())
        table = pd.DataFrame(kwh.T, columns=list(names)).assign(month=range(1, 13))
        charts.show(figure, "site_roof", answer, data=table)
    elif not sketch.roof_planes:
        st.info(t("site.roof.none"), icon=":material/roofing:")
    st.caption(t("site.roof.azimuth"))
    tables.rows("roof_planes", RoofPlane, COLUMNS)
    cautions.show("roof", "array")
