"""The bank as joined: how the units share the current, busbar, fault current, addresses."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing.electrical.bank import CASES
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import state, widgets
from offgrid_sizing.ui.charts.bank import sharing
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import said_here, t, t_raw
from offgrid_sizing.units import digits, energy, percent, quantity


def draw(sketch: Sketch, design) -> None:
    """Current of each unit beside its limit, and everything else about the bank."""
    bank, reader = design.bank, state.reader()
    if bank is None:
        st.info(t("wiring.no_bank"))
        return
    if bank.in_parallel > 1:
        case = bank.governs
        unit_a = np.array(bank.unit_a(case))
        figure = sharing(
            unit_a,
            bank.unit_max_a(case),
            case=case,
            answer=_answer(bank, reader),
            reader=reader,
            dark=dark(),
        )
        data = pd.DataFrame({"unit": np.arange(1, len(unit_a) + 1), f"{case}_a": unit_a})
        show(figure, "wiring_sharing", data=data)
    left, right = st.columns(2)
    with left:
        widgets.choice("wiring.bank_feed")
        widgets.number("wiring.busbar_length_m")
    with right:
        st.markdown(_feeds(bank, reader))
    st.markdown(_facts(bank, reader))
    for sentence in bank.advice:
        st.markdown(f"- {said_here(sentence)}")
    addresses = [(number, here(words)) for number, words in bank.addresses]
    st.markdown(f"**{t('wiring.addresses')}**")
    st.dataframe(
        pd.DataFrame(addresses, columns=[t_raw("wiring.address"), t_raw("wiring.sharing.unit")]),
        hide_index=True,
        height=min(38 + 35 * len(addresses), 250),
        alt=t_raw("wiring.addresses"),
    )


def _answer(bank, reader) -> str:
    worst, case = bank.sharing, bank.governs
    key = "answer_even" if worst.worst_ratio < 1.02 else "answer"
    return t_raw(
        f"wiring.sharing.{key}_{case}",
        unit=worst.worst_unit,
        more=percent(worst.over_equal_frac, reader),
        amperes=quantity(bank.worst_unit_a(case), "_a", reader),
    )


def _feeds(bank, reader) -> str:
    lines = [
        t(
            "wiring.feed_line",
            feed=t_raw(f"choices.bank_feed.{feed.feed}"),
            more=percent(feed.over_equal_frac, reader),
            unit=feed.worst_unit,
        )
        for feed in bank.feeds
    ]
    return "\n".join(f"- {line}" for line in lines)


def _facts(bank, reader) -> str:
    lines = [
        t(
            "wiring.bank_volts",
            nominal=quantity(bank.nominal_v, "_v", reader),
            high=quantity(bank.highest_v, "_v", reader),
            low=quantity(bank.lowest_v, "_v", reader),
            energy=energy(bank.nominal_wh, reader),
        ),
        t(
            "wiring.bank_amperes",
            discharge=quantity(bank.discharge_a, "_a", reader),
            charge=quantity(bank.charge_a, "_a", reader),
        ),
        *(
            t(
                f"wiring.hardest_{case}",
                unit=quantity(bank.worst_unit_a(case), "_a", reader),
                limit=quantity(bank.unit_max_a(case), "_a", reader),
            )
            for case in CASES
        ),
        t(f"wiring.governing_{bank.governs}"),
        t(
            "wiring.bank_fault",
            fault=f"{digits(bank.fault_a / 1000, reader)} kA",
            basis=bank.fault.basis,
        ),
    ]
    if bank.busbar is not None:
        lines.append(
            t(
                "wiring.busbar",
                label=bank.busbar.label,
                bears=quantity(bank.busbar.bears_a, "_a", reader),
            )
        )
    return "\n".join(f"- {line}" for line in lines)
