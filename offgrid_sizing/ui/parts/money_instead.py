"""What the system is compared with, and all there could be instead, side by side."""

import pandas as pd
import streamlit as st

from offgrid_sizing.ui import state
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, money, power, quantity, whole


def words(one) -> str:
    """An alternative with its counts and hours, in this language; not escaped."""
    year, reader = one.year, state.reader()
    return t_raw(
        f"money.alternative_{one.kind}",
        power=power(year.rated_w, reader),
        units=year.units,
        hours=whole(year.running_h, reader),
        length=quantity(year.extension_m, "_m", reader),
    )


def compared(life, *, raw: bool = False) -> str:
    """What the system is compared with and why that; or that there is nothing."""
    say, found = (t_raw if raw else t), life.compared
    if found.chosen is None:
        return say("money.compared_none" if found.asked == "auto" else "money.compared_missing")
    key = "money.compared_auto" if found.asked == "auto" else "money.compared_asked"
    return say(key, what=words(found.chosen))


def never(life) -> str:
    """Why there is no payback to show: it never comes, or nothing is compared."""
    if life.alternative is None:
        return compared(life, raw=True)
    return t_raw("money.paid.answer_never", years=life.horizon_y)


def draw(life) -> None:
    """All that was offered, one row each."""
    reader = state.reader()
    if not life.alternatives:
        return
    frame = pd.DataFrame(
        [
            {
                t_raw("money.instead_what"): words(one),
                t_raw("money.instead_first"): money(one.first, reader),
                t_raw("money.instead_yearly"): money(one.equivalent_annual, reader),
                t_raw("money.instead_hours"): whole(one.year.running_h, reader),
                t_raw("money.instead_unserved"): f"{digits(one.unserved_kwh, reader)} kWh",
                t_raw("money.instead_real"): t_raw(
                    f"money.real_{one.why_not or 'yes'}"
                    if one is not life.alternative
                    else f"money.real_chosen_{one.why_not or 'yes'}"
                ),
            }
            for one in life.alternatives
        ]
    )
    st.markdown(f"**{t('money.instead')}**")
    st.dataframe(frame, hide_index=True, height="content", alt=t_raw("money.instead"))
    st.caption(t("money.instead_note"))
