"""How sure the drawn system is: many futures, and which unknown is worth finding out first."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sizing import futures_words as words
from offgrid_sizing.sizing.futures import Futures
from offgrid_sizing.ui import state, uncertain, widgets
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.charts import futures as pictures
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw


def draw(_searched: Searched) -> None:
    """The answer in words, its picture, what each unknown costs, and the unknowns themselves."""
    found = uncertain.futures(state.sketch())
    if found.value is not None:
        with found.dimmed():
            _answer(found.value)
            _picture(found.value)
            _costs(found.value)
    _fields()


def _answer(futures: Futures) -> None:
    st.markdown(f"**{plain(words.answer_words(futures))}**")
    st.markdown(" ".join(plain(one) for one in words.target_words(futures)))
    first = words.first_words(futures)
    if first is not None:
        st.markdown(plain(first))


def _picture(futures: Futures) -> None:
    band = futures.band
    if band is None:
        return
    figure = pictures.band(
        band,
        futures.target_unserved_frac,
        answer=here(words.picture_words(futures)),
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
    heads = ("what", "spread", "factor")
    rows = [
        (
            t_raw(f"sizing.futures.what_{one.name}"),
            here(words.spread_words(one)),
            here(words.known_words(futures, one.name)),
        )
        for one in futures.spreads
    ]
    table = pd.DataFrame(rows, columns=[t_raw(f"sizing.futures.column_{head}") for head in heads])
    st.dataframe(table, hide_index=True, width="stretch")
    st.caption(" ".join(plain(one) for one in words.method_words(futures)))


def _fields() -> None:
    with st.expander(t("sizing.futures.set")):
        widgets.choice("unknowns.load_known")
        for name in ("load", "sun", "output", "capacity"):
            widgets.number(f"unknowns.{name}_spread_frac")
        widgets.number("unknowns.in_use_y")
        widgets.number("unknowns.wanted_share_frac")
