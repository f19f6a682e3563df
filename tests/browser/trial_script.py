"""A small dashboard with one input of each kind, for the tests of what only a browser has."""

import time

import streamlit as st

from offgrid_sizing.sketch import RoofPlane
from offgrid_sizing.ui import cached, fields, guard, notices, state, tables, theme, widgets
from offgrid_sizing.ui.charts import worldmap
from offgrid_sizing.ui.plain import plain


def inputs() -> None:
    with guard.page("inputs"):
        notices.show()
        widgets.text("title")
        st.markdown(f"Title: {plain(state.sketch().title)}")
        st.button(plain(state.sketch().title), key="named", help=plain(state.sketch().title))
        widgets.number("site.latitude_deg")
        widgets.number("targets.max_unserved_frac")
        tables.rows("roof_planes", RoofPlane, ("tilt_deg", "azimuth_deg"), dynamic=False)
        tilts = [plane.tilt_deg for plane in state.sketch().roof_planes]
        st.text(f"tilts {tilts}")
        st.button("undo", key="undo", on_click=state.undo)


def place() -> None:
    with guard.page("place"):
        site = state.sketch().site
        worldmap.pick_place("map", site.latitude_deg, site.longitude_deg, _moved)
        st.text(f"at {site.latitude_deg:.1f} {site.longitude_deg:.1f}")


def _moved(latitude: float, longitude: float) -> None:
    changes = {"site.latitude_deg": latitude, "site.longitude_deg": longitude}
    state.edit(fields.with_values(state.sketch(), changes))


def slow() -> None:
    with guard.page("slow"):
        st.number_input("round", value=0, key="round", persist_state="session")
        number = st.session_state["round"]

        def work(progress):
            for step in range(40 if number else 0):
                time.sleep(0.05)
                progress(step / 40, f"step {step}")
            return number

        found = cached.run_long("slow", ("round", number), work)
        with found.dimmed():
            st.text(f"round {found.value}")
        if st.button("fail", key="fail"):
            raise RuntimeError("deliberate")


st.set_page_config(page_title="Trial", page_icon=theme.icon(), layout="wide")
theme.apply()
state.begin()
pages = [st.Page(draw, url_path=draw.__name__) for draw in (inputs, place, slow)]
current = st.navigation(pages, position="hidden")
for page in pages:
    st.sidebar.page_link(page, label=page.url_path or "inputs", query_params=state.address())
current.run()
