"""How the inverter-chargers stand together, and how the load sits on the lines."""

import pandas as pd
import streamlit as st

from offgrid_sizing.electrical.ac_input import one_setting
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import state
from offgrid_sizing.ui.parts import starts
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import apparent, percent, power, quantity, whole


def draw(sketch: Sketch, design) -> None:
    """Arrangement, totals, balance of the lines, rules."""
    plan, reader = design.arrangement, state.reader()
    st.markdown(_facts(plan, design.input_limits, reader))
    legs = plan.legs
    if len(plan.lines) > 1:
        key = "wiring.balanced" if legs.balanced else "wiring.unbalanced"
        st.markdown(
            t(
                key,
                imbalance=percent(legs.imbalance_frac, reader),
                limit=percent(legs.limit_frac, reader),
                neutral=quantity(legs.neutral_a, "_a", reader),
                worst=quantity(legs.neutral_worst_a, "_a", reader),
                rule=design.limits.neutral,
            )
        )
    frame = pd.DataFrame(
        [
            {
                t_raw("wiring.leg_name"): placed.name,
                t_raw("wiring.leg_va"): round(placed.va),
                t_raw("wiring.leg_line"): placed.line,
                t_raw("wiring.leg_by"): t_raw(f"wiring.by_{placed.by}"),
            }
            for placed in legs.placed
        ]
    )
    if len(frame):
        st.dataframe(
            frame,
            hide_index=True,
            height=min(38 + 35 * len(frame), 420),
            alt=t_raw("wiring.section.machines"),
        )
    st.caption(t("wiring.legs_where"))
    for sentence in plan.notes:
        st.markdown(f"- {plain(sentence)}")
    if plan.rules:
        st.markdown(f"**{t('wiring.rules')}**")
        st.markdown("\n".join(f"- {plain(rule)}" for rule in plan.rules))
        st.caption(t("wiring.rules_source"))
    starts.draw(design)


def _inputs(limits, reader) -> list[str]:
    """What to set at the alternating-current inputs, by source and for both."""
    named = [(t_raw(f"wiring.source_{limit.source}"), limit, limit.because) for limit in limits]
    both = one_setting(limits)
    if both is not None:
        named.append((t_raw("wiring.source_both"), *both))
    lines = [
        t(
            "wiring.input_limit" if limit.per_line * limit.lines == 1 else "wiring.input_limits",
            source=source,
            each=f"{whole(limit.each_a, reader)} A",
            together=f"{whole(limit.line_a, reader)} A",
            why=why,
        )
        for source, limit, why in named
    ]
    return lines + [plain(limit.too_small) for limit in limits if limit.too_small]


def _facts(plan, limits, reader) -> str:
    lines = [
        t("wiring.plan", count=plan.machines, name=plan.name),
        t(
            "wiring.plan_power",
            va=apparent(plan.total_va, reader),
            w=power(plan.total_w, reader),
            surge=apparent(plan.surge_va, reader),
        ),
        t(
            "wiring.plan_lines",
            lines=", ".join(plan.lines),
            each=quantity(plan.line_v, "_v", reader),
            va=apparent(plan.line_va, reader),
            amperes=quantity(plan.line_a, "_a", reader),
        ),
    ]
    if plan.machines > 1:
        lines.append(t("wiring.plan_between", volts=quantity(plan.between_lines_v, "_v", reader)))
    va = ", ".join(f"{line} {apparent(value, reader)}" for line, value in plan.legs.va.items())
    lines.append(t("wiring.plan_load", lines=va))
    lines += _inputs(limits, reader)
    return "\n".join(f"- {line}" for line in lines)
