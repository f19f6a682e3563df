"""Loads page: rows from a spreadsheet, read back in words before they enter the table."""

import streamlit as st

from offgrid_sizing.loads.catalogue import all_kinds
from offgrid_sizing.loads.paste import STEADY, PastedRow, PastedTable, lines_left, rows_of_text
from offgrid_sizing.loads.presets import with_more
from offgrid_sizing.loads.stated import CHARACTER, hours_alone_kwh
from offgrid_sizing.ui import appliance_words, guard, hour_words, state
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent, power

_TEXT = "loads_pasted"
_SEEN = "loads_pasted_seen"  # the text and answers whose reading stands on screen
_ASKED_AT_ONCE = 12


def draw() -> None:
    """The field, what was understood, what is asked, and the button that lets the rows in."""
    st.text_area(
        t("loads.table.paste"),
        key=_TEXT,
        height=108,
        max_chars=200_000,
        placeholder=t_raw("loads.table.paste_example"),
        disabled=not state.may_edit(),
        help=t("loads.table.paste_help"),
    )
    text = st.session_state.get(_TEXT) or ""
    table = _read(text) if text.strip() else PastedTable()
    for sentence in table.sentences:
        st.error(plain(sentence), icon=":material/edit:")
    if table.rows:
        with st.container(height=260 if len(table.rows) > 4 else "content", border=True):
            st.markdown("\n".join(f"- {_read_back(row)}" for row in table.rows))
    asked = [row for row in table.rows if row.assumed]
    for row in asked[:_ASKED_AT_ONCE]:
        _ask(row)
    ready = len(table.rows) - len(asked)
    st.session_state[_SEEN] = text
    st.button(
        t("loads.paste.add", count=ready) if table.rows else t("loads.paste.read"),
        key="loads_take_rows",
        icon=":material/content_paste:",
        on_click=_take_rows,
        disabled=not state.may_edit() or (bool(table.rows) and not ready),
    )


def _answers(text: str) -> dict[int, str]:
    """What the reader said the lines of this text are."""
    given = st.session_state.get("loads_pasted_kinds", {})
    return {number: kind for (said_of, number), kind in given.items() if said_of == text}


def _read(text: str) -> PastedTable:
    return rows_of_text(text, hour_words.heard, _answers(text))


def _read_back(row: PastedRow) -> str:
    one, reader = row.appliance, state.reader()
    told = t(
        "loads.paste.row",
        row=row.number,
        name=one.name,
        count=one.count,
        power=power(one.running_w, reader),
        hours=hour_words.said(one.windows, one.run_time_h),
        energy=digits(hours_alone_kwh(one), reader),
    )
    parts = [told]
    if row.kind is not None:
        parts.append(t("loads.paste.taken", kind=t_raw(f"appliances.kind.{row.kind}")))
    if row.filled:
        parts.append(t("loads.paste.filled", what=_character(row, row.filled)))
    if row.held:
        parts.append(t("loads.paste.every_day"))
    if row.assumed:
        parts.append(t("loads.paste.unknown", what=_character(row, row.assumed)))
    if row.unread:
        parts.append(t("loads.paste.unread", cells="; ".join(row.unread)[:120]))
    return " ".join(parts)


def _character(row: PastedRow, fields: tuple[str, ...]) -> str:
    one, reader = row.appliance, state.reader()
    words = {
        "duty_frac": percent(one.duty_frac, reader),
        "starting_multiple": digits(one.starting_multiple, reader),
        "power_factor": digits(one.power_factor, reader),
    }
    return ", ".join(
        t_raw(f"loads.paste.{field}", value=words[field]) for field in CHARACTER if field in fields
    )


def _ask(row: PastedRow) -> None:
    names = {STEADY: t_raw("loads.paste.steady")}
    names |= {kind.kind: appliance_words.kind_name(kind) for kind in all_kinds()}
    text = st.session_state.get(_TEXT) or ""
    key = f"loads_pasted_kind_{row.number}_{abs(hash(text))}"
    st.selectbox(
        t("loads.paste.what_is", row=row.number, name=row.appliance.name),
        list(names),
        index=None,
        key=key,
        format_func=names.__getitem__,
        placeholder=t_raw("loads.paste.choose"),
        on_change=_answered,
        args=(key, text, row.number),
        disabled=not state.may_edit(),
        help=t("loads.paste.what_is_help"),
    )


def _answered(key: str, text: str, number: int) -> None:
    given = dict(st.session_state.get("loads_pasted_kinds", {}))
    given[text, number] = st.session_state[key]
    st.session_state["loads_pasted_kinds"] = given


@guard.guarded
def _take_rows() -> None:
    """Let in what was read back and needs no answer; the other lines stay in the field."""
    text = st.session_state.get(_TEXT) or ""
    if st.session_state.get(_SEEN) != text:
        return  # typed and pressed in one go: it is read back first
    table = _read(text)
    taken = [row for row in table.rows if not row.assumed]
    new = [row.appliance for row in taken]
    if new and state.edit(lambda sketch: with_more(sketch, new), note="appliances"):
        st.session_state[_TEXT] = lines_left(text, {row.number for row in taken})
        st.session_state["loads_pasted_kinds"] = {}
