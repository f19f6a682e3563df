"""Whether each motor starts, on every source, and what would help: for Loads and for Wiring."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pandas as pd
import streamlit as st

from offgrid_sizing.ui import answers, files, state
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import apparent, percent, power, quantity

if TYPE_CHECKING:
    from offgrid_sizing.electrical.design import ElectricalDesign
    from offgrid_sizing.electrical.start_verdicts import Starts
    from offgrid_sizing.electrical.starts import MotorStart, SourceStart


def draw(design: ElectricalDesign) -> None:
    """The verdicts in a sentence and a table, remedies below, what it rests on at the end."""
    starts = design.starts
    st.markdown(f"**{t('starts.title')}**")
    st.markdown(t(f"starts.answer_{_worst(starts)}", **_named(starts)))
    if starts.rows:
        rows = [_shown(row, one) for row in starts.rows for one in row.sources]
        st.dataframe(
            pd.DataFrame(rows),
            hide_index=True,
            height=min(38 + 35 * len(rows), 420),
            alt=t_raw("starts.title"),
        )
        files.offer_table(_data(starts), "motor_starts.csv", "motor_starts_data", design.cautions)
    for sentence in starts.advice:
        st.markdown(f"- {plain(sentence)}")
    low = [row.event.name for row in starts.rows if row.event.unusual]
    if low:
        st.caption(t("starts.below_usual", names=", ".join(low)))
    st.caption(t("starts.caution"))


def hidden(sketch) -> None:
    """What the year's steps hide, in one line, once the outcome is there."""
    ready = answers.outcome_ready(sketch)
    minutes = None if ready is None else ready.minutes
    if minutes is None:
        return
    reader = state.reader()
    unserved, unserved_minute = minutes.total("unserved_kwh")
    lost, lost_minute = minutes.total("lost_sun_kwh")
    through, through_minute = minutes.total("bank_out_kwh")
    begun, begun_minute = minutes.total("generator_starts")
    highest, highest_minute = minutes.highest_w

    def said(value: float, unit: str = "_kwh") -> str:
        return quantity(value, unit, reader)

    line = t(
        "starts.hidden",
        unserved=said(unserved_minute),
        unserved_step=said(unserved),
        lost=said(lost_minute),
        lost_step=said(lost),
        through=said(through_minute),
        through_step=said(through),
        highest=power(highest_minute, reader),
        highest_step=power(highest, reader),
    )
    if max(begun, begun_minute) > 0:
        line += " " + t("starts.hidden_starts", minute=f"{begun_minute:g}", step=f"{begun:g}")
    lasts = minutes.empty_after_h
    if lasts is not None:
        line += " " + t(
            "starts.hidden_lasts", minute=said(lasts[1], "_h"), step=said(lasts[0], "_h")
        )
    if minutes.metered:
        line += " " + t("starts.hidden_metered")
    st.caption(line)


def _worst(starts: Starts) -> str:
    if not starts.sources:
        return "no_source"
    if not starts.rows:
        return "none"
    verdicts = {row.verdict for row in starts.rows}
    return next(one for one in ("trips", "alone", "starts") if one in verdicts)


def _named(starts: Starts) -> dict[str, str]:
    short = [row.event.name for row in starts.rows if row.verdict == _worst(starts)]
    return {"names": ", ".join(short)}


def _shown(row: MotorStart, one: SourceStart) -> dict:
    reader, strain = state.reader(), one.beside
    broken = strain.limit or one.alone.limit
    return {
        t_raw("starts.col_motor"): row.event.name,
        t_raw("starts.col_kind"): t_raw(f"choices.motor.{row.event.motor}"),
        t_raw("starts.col_on"): t_raw(f"starts.on_{one.source}"),
        t_raw("starts.col_verdict"): t_raw(f"starts.verdict_{one.verdict}"),
        t_raw("starts.col_why"): t_raw(f"starts.limit_{broken}") if broken else "",
        t_raw("starts.col_start"): apparent(row.event.start_va, reader),
        t_raw("starts.col_for"): quantity(strain.start_s, "_s", reader),
        t_raw("starts.col_beside"): apparent(row.beside_va, reader),
        t_raw("starts.col_room"): apparent(one.room_va, reader),
        t_raw("starts.col_left"): _left(strain, reader),
    }


def _left(strain, reader) -> str:
    """What the start leaves of the voltage: the bank's own, or the share lost on a line."""
    if strain.dip_frac is not None:
        return t_raw("starts.dip", share=percent(strain.dip_frac, reader))
    return "–" if strain.bank_v is None else quantity(strain.bank_v, "_v", reader)


def _data(starts: Starts) -> pd.DataFrame:
    return pd.DataFrame(
        [
            {
                "motor": row.event.name,
                "kind": row.event.motor,
                "source": one.source,
                "verdict": one.verdict,
                "limit_broken": one.beside.limit or one.alone.limit,
                "starting_va": row.event.start_va,
                "start_s": one.beside.start_s,
                "beside_va": row.beside_va,
                "room_beside_va": one.room_va,
                "overload_spent_frac": one.beside.spent_frac,
                "bank_v": one.beside.bank_v,
                "bank_a": one.beside.bank_a,
                "dip_frac": one.beside.dip_frac,
            }
            for row in starts.rows
            for one in row.sources
        ]
    )
