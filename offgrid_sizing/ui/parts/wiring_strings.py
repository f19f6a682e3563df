"""Which strings the cold, the heat and the controller allow, and why the others are refused."""

import pandas as pd
import streamlit as st

from offgrid_sizing.electrical.insulation import ARRAY_FACTOR
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import files, state, widgets
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, power, quantity
from offgrid_sizing.words import together


def draw(sketch: Sketch, design) -> None:
    """What is drawn, the best, and the whole table with reasons."""
    reader = state.reader()
    for plan, judged in zip(design.input_plans, design.drawn_strings, strict=True):
        key = "wiring.drawn_allowed" if judged.allowed else "wiring.drawn_refused"
        show = st.success if judged.allowed else st.error
        text = t(
            key,
            plane=plan.plane,
            series=plan.in_series,
            strings=plan.strings,
            inputs=plan.inputs,
            cold=quantity(judged.cold_voc_v, "_v", reader),
            hot=quantity(judged.hot_vmp_v, "_v", reader),
            low=_c(design.record_low_c),
        )
        show(text + "".join(f"\n\n{plain(reason)}" for reason in judged.refused))
    st.markdown("\n".join(_insulation(design)))
    best = design.best_string
    if best is None:
        st.warning(t("wiring.no_string"))
    else:
        st.markdown(
            t(
                "wiring.best_string",
                series=best.in_series,
                parallel=best.in_parallel,
                why=design.best_reason,
            )
        )
    _table(design)
    widgets.number("weather.record_low_c")
    st.caption(t("wiring.record_low", low=_c(design.record_low_c), hot=_c(design.hot_cell_c)))


def _insulation(design) -> list[str]:
    """At which voltage the cables of each plane are measured against earth."""
    reader = state.reader()
    return [
        t(
            "wiring.insulation_test",
            plane=plan.plane,
            volts=quantity(test.circuit_v, "_v", reader),
            test=quantity(test.test_v, "_v", reader),
            least=f"{digits(test.least_mohm, reader)} MΩ",
            factor=digits(ARRAY_FACTOR, reader),
            rule=test.source,
        )
        for plan, test in zip(design.input_plans, design.insulation_tests.array, strict=True)
    ]


def _c(value: float) -> str:
    return quantity(value, "_c", state.reader())


def _table(design) -> None:
    reader, rules = state.reader(), design.string_rules
    rows = []
    for choice in design.string_table:
        verdict = "best" if choice.best else "allowed" if choice.allowed else "refused"
        table_v = quantity(choice.table_voc_v, "_v", reader)
        rows.append(
            {
                t_raw("wiring.str_series"): choice.in_series,
                t_raw("wiring.str_parallel"): choice.in_parallel,
                t_raw("wiring.str_verdict"): t_raw(f"wiring.verdict_{verdict}"),
                t_raw("wiring.str_cold"): quantity(choice.cold_voc_v, "_v", reader),
                t_raw("wiring.str_table", rule=here(rules.cold_rule) or "–"): table_v,
                t_raw("wiring.str_hot"): quantity(choice.hot_vmp_v, "_v", reader),
                t_raw(
                    "wiring.str_current", factor=digits(rules.bright_sky_factor, reader)
                ): quantity(choice.max_current_a, "_a", reader),
                t_raw("wiring.str_power"): power(choice.power_w, reader),
                t_raw("wiring.str_fuse"): t_raw(
                    f"wiring.fuse_{'yes' if choice.fuse_required else 'no'}"
                ),
                t_raw("wiring.str_why"): here(together(*choice.refused)),
            }
        )
    frame = pd.DataFrame(rows)
    st.dataframe(
        frame,
        hide_index=True,
        height=min(38 + 35 * len(rows), 420),
        alt=t_raw("wiring.section.strings"),
    )
    files.offer_table(frame, "strings.csv", "wiring_strings_data", design.cautions)
