"""Systems side by side: what is bought, paid and left unserved with less, as found, more, as drawn.

Each card holds the same rows in the same order, so that the eye goes across.
"""

import pandas as pd
import streamlit as st

from offgrid_sizing.offers import LESS_FRAC, MORE_FRAC, Offer, Offers
from offgrid_sizing.sizing.bank_falls import LastUse
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System, drawn_system, same_boxes, with_system
from offgrid_sizing.ui import answers, figures, files, state
from offgrid_sizing.ui.answers import Searched
from offgrid_sizing.ui.guard import guarded
from offgrid_sizing.ui.parts import sizing_words, weather_years
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import kwh, money, percent, whole


def draw(searched: Searched) -> None:
    """A card for each system, what was left out and why, and how the figures were found."""
    found = answers.offers(searched)
    if found.value is None:
        return
    offers = found.value
    with found.dimmed():
        for column, one in zip(st.columns(len(offers.of)), offers.of, strict=True):
            with column.container(border=True):
                _card(one, offers, searched)
        _left_out(offers)
        if offers.of[0].bad is None:
            st.caption(t("sizing.one_year"))
        st.caption(t("sizing.beside.how", **_shares()))
        files.offer_table(_table(offers, searched), "side_by_side.csv", "sizing_beside")


def _shares() -> dict[str, str]:
    reader = state.reader()
    return {
        "less": percent(1 - LESS_FRAC, reader),
        "more": percent(MORE_FRAC - 1, reader),
    }


def _title(one: Offer) -> str:
    return t_raw(f"sizing.beside.{one.kind}", **_shares())


def _card(one: Offer, offers: Offers, searched: Searched) -> None:
    st.markdown(f"**{t(f'sizing.beside.{one.kind}', **_shares())}**")
    st.markdown(t("sizing.beside.bought", **sizing_words.boxes(one.system)))
    for name, shown in _figures(one, offers).items():
        st.markdown(f"{plain(_row(name, offers.sketch, searched))}  \n**{plain(shown)}**")
    drawn = same_boxes(one.system, drawn_system(state.sketch()))
    st.button(
        t(f"sizing.beside.{'is_drawn' if drawn else 'draw'}"),
        key=f"sizing_beside_{one.kind}",
        width="stretch",
        disabled=drawn or not state.may_edit(),
        on_click=_use,
        args=(one.system,),
    )


def _row(name: str, sketch: Sketch, searched: Searched) -> str:
    return t_raw(
        f"sizing.beside.row_{name}",
        year=weather_years.judged(sketch, searched.inputs.weather),
        bad=weather_years.bad(sketch.targets.bad_year_frac),
        **_shares(),
    )


def _figures(one: Offer, offers: Offers) -> dict[str, str]:
    reader = state.reader()

    def unserved(year) -> str:
        return figures.unserved(year.unserved_h, year.unserved_frac, reader)

    # of a weather year that stands alone nothing is said about bad ones
    bad = {} if one.bad is None else {"bad": unserved(one.bad)}
    # where the last of no bank can be counted, as of most, nothing is said about it
    counted = any(isinstance(other.last_use, LastUse) for other in offers.of)
    last = {"last_use": _last_use(one)} if counted else {}
    return {
        "price": money(one.price, reader),
        "cost": money(one.cost_per_year, reader),
        "autonomy": figures.days(one.autonomy_h, reader),
        "unserved": unserved(one.judged),
        **bad,
        "with_more": unserved(one.with_more),
        "with_fewer": t_raw("sizing.beside.no_fewer")
        if one.with_fewer is None
        else unserved(one.with_fewer),
        **last,
        "within": t_raw(f"sizing.beside.within_{'yes' if one.within else 'no'}"),
    }


def _last_use(one: Offer) -> str:
    if not isinstance(one.last_use, LastUse):
        return t_raw("sizing.beside.no_last_use", reason=one.last_use)
    reader, found = state.reader(), one.last_use
    more = kwh(1000 * found.next_kwh, reader)
    return t_raw("sizing.beside.last_use", times=whole(found.times, reader), more=more)


def _left_out(offers: Offers) -> None:
    for kind in offers.same:
        if kind != "drawn":
            st.caption(t(f"sizing.beside.same_{kind}", **_shares()))
    for kind in offers.unmet:
        st.caption(t(f"sizing.beside.unmet_{kind}", **_shares()))


def _table(offers: Offers, searched: Searched) -> pd.DataFrame:
    head = t_raw("sizing.beside.column")
    bought = {head: t_raw("sizing.beside.row_bought")} | {
        _title(one): t_raw("sizing.draw_counts", **sizing_words.boxes(one.system))
        for one in offers.of
    }
    shown = {_title(one): _figures(one, offers) for one in offers.of}
    rows = [
        {head: _row(name, offers.sketch, searched)}
        | {title: row[name] for title, row in shown.items()}
        for name in _figures(offers.of[0], offers)
    ]
    return pd.DataFrame([bought, *rows])


@guarded
def _use(system: System) -> None:
    if len(system.planes) == len(state.sketch().roof_planes):
        state.edit(lambda sketch: with_system(sketch, system), "size")
