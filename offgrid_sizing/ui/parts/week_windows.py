"""Edit hours on chosen weekdays and months: cuts and tariff bands, one card each."""

import streamlit as st
from pydantic import BaseModel

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui import state, widgets
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.fields import value_at, with_value, with_values
from offgrid_sizing.ui.words import t


def edit(path: str, model: type[BaseModel], *numbers: str, **first) -> None:
    """A card for each window of the tuple at `path`, and a button for one more.

    Parameters
    ----------
    model : WeekWindow or TariffBand
    numbers : names of further number fields on each card
    first : values a new window begins with
    """
    windows = value_at(state.sketch(), path)
    for row in range(len(windows)):
        with st.container(border=True):
            widgets.window(f"{path}[{row}]")
            for name in numbers:
                widgets.number(f"{path}[{row}].{name}", step=0.01)  # a price of a kWh
            _days(f"{path}[{row}]", windows[row])
            st.button(
                t("common.remove_window"),
                key=f"{path}_remove_{row}",
                type="tertiary",
                icon=":material/delete:",
                on_click=_remove,
                args=(path, row),
                disabled=not state.may_edit(),
            )
    st.button(
        t("common.add_window"),
        key=f"{path}_add",
        icon=":material/add:",
        on_click=_add,
        args=(path, model(**({"from_h": 18, "to_h": 21} | first))),
        disabled=not state.may_edit(),
    )


def hours(path: str, model: type[BaseModel], **first) -> None:
    """The same for windows of hours alone."""
    for row in range(len(value_at(state.sketch(), path) or ())):
        left, right = st.columns([5, 1], vertical_alignment="bottom")
        with left:
            widgets.window(f"{path}[{row}]")
        right.button(
            "",
            key=f"{path}_remove_{row}",
            icon=":material/delete:",
            on_click=_remove,
            args=(path, row),
            help=t("common.remove_window"),
            disabled=not state.may_edit(),
        )
    st.button(
        t("common.add_window"),
        key=f"{path}_add",
        icon=":material/add:",
        on_click=_add,
        args=(path, model(**({"from_h": 22, "to_h": 6} | first))),
        disabled=not state.may_edit(),
    )


def _change(path: str, value: tuple) -> None:
    try:
        new = with_value(state.sketch(), path, value)
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(new, note=path)


def _add(path: str, window: BaseModel) -> None:
    _change(path, (*(value_at(state.sketch(), path) or ()), window))


def _remove(path: str, row: int) -> None:
    windows = value_at(state.sketch(), path)
    _change(path, windows[:row] + windows[row + 1 :])


def _days(path: str, window) -> None:
    _pills(
        path, "days", t("common.weekdays").split(), [n for n, on in enumerate(window.days) if on]
    )
    if st.session_state.get(f"{path}_seasons", len(window.months) < 12):
        _pills(path, "months", month_names(), [month - 1 for month in window.months])
    else:
        st.checkbox(t("grid.only_months"), key=f"{path}_seasons", disabled=not state.may_edit())


def _pills(path: str, field: str, names: list[str], on: list[int]) -> None:
    key, mark = f"{path}_{field}", (state.opened().token, tuple(on))
    if st.session_state.get(f"{key}_of") != mark or key not in st.session_state:
        st.session_state[key] = on
        st.session_state[f"{key}_of"] = mark
    st.pills(
        t(f"loads.hours.{field}"),
        range(len(names)),
        selection_mode="multi",
        key=key,
        wrap=True,
        default=st.session_state[key],
        format_func=lambda number: names[number],
        on_change=_set,
        args=(path, field, key),
        disabled=not state.may_edit(),
    )


def _set(path: str, field: str, key: str) -> None:
    chosen = st.session_state[key]
    value = (
        tuple(number in chosen for number in range(7))
        if field == "days"
        else tuple(sorted(number + 1 for number in chosen))
    )
    try:
        new = with_values(state.sketch(), {f"{path}.{field}": value})
    except BadInput as fault:
        state.notice("fault", sentences=fault.sentences)
        return
    state.edit(new, note=path)
