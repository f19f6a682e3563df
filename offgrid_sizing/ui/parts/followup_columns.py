"""Which column of the logger's file is what: guessed, then corrected by hand."""

import csv
import io

import streamlit as st

from offgrid_sizing.text_files import SAMPLE_BYTES, decoded
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.widgets import place_in
from offgrid_sizing.ui.words import t, t_raw

_PREFIX = "followup_column_"
_UNIT = "followup_unit_"
_NOT_POWERS = ("percent", "frac", "w_per_m2", "c")
_UNITS_OF = {"soc": ("percent", "frac"), "poa": ("w_per_m2",), "cell": ("c",), "air": ("c",)}


def forget() -> None:
    """Another file: the former choices no longer hold."""
    for key in list(st.session_state):
        if str(key).startswith((_PREFIX, _UNIT)):
            del st.session_state[key]


def draw(name: str, content: bytes):
    """The mapping to read the file with."""
    from offgrid_sizing.followup import QUANTITIES, ROLE_NAMES, Mapping, guess_columns

    guessed = _guess(content, guess_columns, Mapping)
    headers = _headers(content)
    st.caption(t("followup.file_now", name=name))
    with st.expander(t("followup.columns"), expanded=len(guessed.columns) < 2):
        for sentence in guessed.guesses:
            st.caption(plain(sentence))
        columns, quantities = {}, {}
        for role in ROLE_NAMES:
            column = _column(role, headers, guessed.columns.get(role))
            if column is None:
                continue
            columns[role] = column
            if role != "time":
                quantities[role] = _quantity(role, QUANTITIES, guessed.quantities.get(role))
    return Mapping(columns, quantities)


def _guess(content: bytes, guess_columns, empty):
    """The guess; where it is too little with the reason, so that it can be mended by hand."""
    from offgrid_sizing.sketch import BadInput

    try:
        return guess_columns(content)
    except BadInput as fault:
        if not _headers(content):
            raise
        try:
            part = guess_columns(content, complete=False)
        except BadInput:
            return empty({}, {}, fault.sentences)
        return empty(part.columns, part.quantities, fault.sentences)


def _headers(content: bytes) -> list[str]:
    """First line that looks like a head: the most cells among the first lines."""
    text = decoded(content[:SAMPLE_BYTES])[:20_000]
    lines = [line for line in text.splitlines()[:20] if line.strip()]
    if not lines:
        return []
    mark = max(",;\t", key=lambda one: sum(line.count(one) for line in lines))
    rows = list(csv.reader(io.StringIO("\n".join(lines)), delimiter=mark))
    head = max(rows, key=len, default=[])
    return [cell.strip() for cell in head if cell.strip()]


def _column(role: str, headers: list[str], guessed: str | None) -> str | None:
    key = _PREFIX + role
    options = [None, *headers]
    if guessed and guessed not in options:
        options.append(guessed)
    if key not in st.session_state or st.session_state[key] not in options:
        st.session_state[key] = guessed
    return st.selectbox(
        t(f"followup.role.{role}"),
        options,
        key=key,
        persist_state="session",
        index=place_in(options, st.session_state[key]),
        format_func=lambda one: t_raw("followup.not_there") if one is None else here(one),
    )


def _quantity(role: str, allowed: tuple[str, ...], guessed: str | None) -> str:
    key = _UNIT + role
    powers = tuple(one for one in allowed if one not in _NOT_POWERS)
    options = _UNITS_OF.get(role, powers)
    if st.session_state.get(key) not in options:
        st.session_state[key] = guessed if guessed in options else options[0]
    if len(options) == 1:
        return options[0]
    return st.selectbox(
        t("followup.unit", what=t_raw(f"followup.role.{role}")),
        options,
        key=key,
        index=place_in(options, st.session_state[key]),
        format_func=lambda one: t_raw(f"followup.quantity.{one}"),
        persist_state="session",
    )
