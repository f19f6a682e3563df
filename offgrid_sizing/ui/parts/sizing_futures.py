"""How sure the drawn system is: many futures, and which unknown is worth finding out first."""

import pandas as pd
import streamlit as st

from offgrid_sizing.futures import ARRAY_FACTORS, Futures
from offgrid_sizing.ui import state, uncertain, widgets
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.charts import futures as pictures
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent, whole


def draw(_searched: Searched) -> None:
    """The answer in words, its picture, what each unknown costs, and the unknowns themselves."""
    found = uncertain.futures(state.sketch())
    if found.value is not None:
        with found.dimmed():
            _answer(found.value)
            if found.value.band is not None:
                _picture(found.value)
            _costs(found.value)
    _fields()


def _values(futures: Futures) -> dict[str, str]:
    reader = state.reader()
    factor = futures.array_factor
    return {
        "served": percent(futures.served_frac, reader),
        "wanted": percent(futures.wanted_share_frac, reader),
        "count": whole(futures.count, reader),
        "target": percent(futures.target_unserved_frac, reader),
        "kept": percent(futures.kept_frac, reader),
        "factor": digits(ARRAY_FACTORS[-1] if factor is None else factor, reader),
    }


def verdict(futures: Futures) -> str:
    """Which sentence says what the array would have to be: its key below `sizing.futures`."""
    if futures.band is None:
        return "no_array"
    if futures.array_factor is None:
        return "most"
    if futures.array_factor <= ARRAY_FACTORS[0]:
        return "least"
    if futures.kept_frac >= futures.wanted_share_frac:
        return "smaller"
    return "needed"


def _answer(futures: Futures) -> None:
    values, kind = _values(futures), verdict(futures)
    st.markdown(f"**{t('sizing.futures.answer', **values)}.**")
    said = [t("sizing.futures.kept", **values)]
    if futures.kept_frac >= futures.wanted_share_frac:
        said.append(t("sizing.futures.enough", **values))
    said.append(t(f"sizing.futures.{kind}", **values))
    st.markdown(" ".join(said))
    first = futures.costliest
    if first is not None:
        what = t_raw(f"sizing.futures.what_{first.name}")
        known = digits(first.array_factor, state.reader())
        st.markdown(
            t("sizing.futures.find_out", what=what, factor=known, all=values["factor"]),
        )
    elif futures.array_factor is not None and kind != "least":
        st.markdown(t("sizing.futures.nothing"))


def _picture(futures: Futures) -> None:
    band = futures.band
    if band is None:
        return
    figure = pictures.band(
        band,
        futures.target_unserved_frac,
        answer=t_raw("sizing.futures.chart_answer", **_values(futures)),
        reader=state.reader(),
        dark=dark(),
    )
    low, median, high = band.unserved_frac
    data = pd.DataFrame(
        {
            "array_factor": band.array_factor,
            "unserved_1_in_10_frac": low,
            "unserved_median_frac": median,
            "unserved_9_in_10_frac": high,
            "target_kept_frac": band.kept_frac,
        }
    )
    show(figure, "sizing_futures", data=data)


def _costs(futures: Futures) -> None:
    reader = state.reader()
    factors = {one.name: one.array_factor for one in futures.if_known}
    most = digits(ARRAY_FACTORS[-1], reader)

    def needed(name: str) -> str:
        if name not in factors:
            return "–"
        if (known := factors[name]) is None:
            return t_raw("sizing.futures.not_within", factor=most)
        if futures.array_factor is not None and known >= futures.array_factor:
            return t_raw("sizing.futures.no_smaller")
        return t_raw("sizing.futures.factor", factor=digits(known, reader))

    rows = [
        {
            t_raw("sizing.futures.column_what"): t_raw(f"sizing.futures.what_{one.name}"),
            t_raw("sizing.futures.column_spread"): percent(one.spread, reader)
            if one.spread
            else t_raw("sizing.futures.off"),
            t_raw("sizing.futures.column_factor"): needed(one.name),
        }
        for one in futures.spreads
    ]
    st.dataframe(pd.DataFrame(rows), hide_index=True, width="stretch")
    years = "many" if futures.weather_years > 1 else "one"
    several = t(f"sizing.futures.years_{years}", years=whole(futures.weather_years, reader))
    st.caption(f"{several} {plain(t_raw('sizing.futures.how'))}")


def _fields() -> None:
    with st.expander(t("sizing.futures.set")):
        widgets.choice("unknowns.load_known")
        for name in ("load", "sun", "output", "capacity"):
            widgets.number(f"unknowns.{name}_spread_frac")
        widgets.number("unknowns.in_use_y")
        widgets.number("unknowns.wanted_share_frac")
