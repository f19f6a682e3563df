"""Sketches side by side: the one on screen beside named states of it and other saved sketches.

What an edit of the supply, the loads or the place changes is seen here, where the cards of the
Size page change bank and array alone.
"""

from collections.abc import Callable

import pandas as pd
import streamlit as st

from offgrid_sizing.offers import MORE_FRAC, Kept, kept_beside
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import cached, figures, files, messages, state
from offgrid_sizing.ui.parts import sizing_words
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import THIN, digits, money, percent, power

MOST = 3  # beside the one on screen: four cards are read on a laptop


def draw(held) -> None:
    """What can stand beside the sketch on screen, and a card for each that was chosen."""
    st.subheader(t("saved.beside.title"))
    choices = _choices(held)
    if not choices:
        st.caption(t(f"saved.beside.none{'' if state.single_user() else '_public'}"))
        return
    picked = st.multiselect(
        t("saved.beside.pick"),
        list(choices),
        format_func=lambda key: choices[key][0] if key in choices else key,
        max_selections=MOST,
        key=state.own_key("beside"),
        placeholder=t("saved.beside.pick_one"),
    )
    taken = [one for key in picked if key in choices and (one := _taken(*choices[key]))]
    if taken:
        _cards([(t_raw("saved.beside.now"), state.sketch()), *taken])


def _choices(held) -> dict[str, tuple[str, Callable[[], Sketch]]]:
    """Name and way to each: named states of this sketch, then what else this computer lists."""
    store, token = state.store(), held.token
    found: dict[str, tuple[str, Callable[[], Sketch]]] = {}
    for line in store.history(token) if token else ():
        if line.name and not line.current:
            found[f"state {line.number}"] = (
                line.name,
                lambda number=line.number: store.version(token, number),
            )
    for line in store.listing() if state.single_user() else ():
        if line.token != token:
            found[line.token] = (line.title, lambda other=line.token: store.open(other).sketch)
    return found


def _taken(name: str, read: Callable[[], Sketch]) -> tuple[str, Sketch] | None:
    try:
        return name, read()
    except BadInput as fault:
        messages.say(fault)
        return None


def _cards(named: list[tuple[str, Sketch]]) -> None:
    given = [(name, sketch, cached.files_of(sketch)) for name, sketch in named]
    key = tuple(part for name, sketch in named for part in (name, sketch))
    found = cached.run_long(
        "kept", key, lambda told: kept_beside(given, progress=lambda share: told(share, ""))
    )
    if found.value is None:
        return
    with found.dimmed():
        for column, one in zip(st.columns(len(found.value)), found.value, strict=True):
            with column.container(border=True):
                _card(one, found.value)
        st.caption(t("saved.beside.how", more=percent(MORE_FRAC - 1, state.reader())))
        files.offer_table(_table(found.value), "sketches_side_by_side.csv", "saved_beside")


def _card(one: Kept, kept: tuple[Kept, ...]) -> None:
    st.markdown(f"**{plain(one.name)}**")
    for name, shown in _rows(one, kept).items():
        st.markdown(f"{plain(_row(name))}  \n**{plain(shown)}**")
    for sentence in one.why_not:
        st.error(plain(sentence), icon=":material/edit:")


def _row(name: str) -> str:
    return t_raw(f"saved.beside.row_{name}", more=percent(MORE_FRAC - 1, state.reader()))


def _rows(one: Kept, kept: tuple[Kept, ...]) -> dict[str, str]:
    """Rows of a card as shown; of a sketch that cannot be run its supply alone."""
    reader, offer, currency = state.reader(), one.offer, one.sketch.prices.currency
    rows = {"supply": _supply(one.sketch)}
    if offer is None:
        return rows

    def unserved(year) -> str:
        return figures.unserved(year.unserved_h, year.unserved_frac, reader)

    none = t_raw("sizing.beside.no_fewer")
    # where each stands on one weather year nothing is said about bad ones
    known = any(other.offer and other.offer.bad for other in kept)
    bad = t_raw("saved.beside.no_bad") if offer.bad is None else unserved(offer.bad)
    return rows | {
        "load": f"{digits(one.daily_kwh, reader)}{THIN}kWh",
        "bought": t_raw("sizing.draw_counts", **sizing_words.boxes(offer.system)),
        "price": money(offer.price, reader, currency),
        "cost": money(offer.cost_per_year, reader, currency),
        "autonomy": figures.days(offer.autonomy_h, reader),
        "unserved": t_raw("saved.beside.in_year", unserved=unserved(offer.judged), year=one.year),
        **({"bad": bad} if known else {}),
        "with_more": unserved(offer.with_more),
        "with_fewer": none if offer.with_fewer is None else unserved(offer.with_fewer),
        "within": t_raw(f"sizing.beside.within_{'yes' if offer.within else 'no'}"),
    }


def _supply(sketch: Sketch) -> str:
    grid = t_raw(f"choices.kind.{sketch.grid.kind}")
    if sketch.generator is None:
        return grid
    rated = power(sketch.generator.rated_w, state.reader())
    return t_raw("saved.beside.with_generator", grid=grid, rated=rated)


def _table(kept: tuple[Kept, ...]) -> pd.DataFrame:
    rows = [_rows(one, kept) for one in kept]
    names = max(rows, key=len)
    return pd.DataFrame(
        {t_raw("sizing.beside.column"): [_row(name) for name in names]}
        | {
            f"{number}. {one.name}": [row.get(name, "–") for name in names]
            for number, (one, row) in enumerate(zip(kept, rows, strict=True), start=1)
        }
    )
