"""What was promised and what came, with named likely causes."""

import numpy as np
import streamlit as st

from offgrid_sizing.ui import layout, state
from offgrid_sizing.ui.charts.followup import by_day, by_month
from offgrid_sizing.ui.charts.marks import month_names
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits, percent, whole

_THING = {
    "pv": "pv",
    "load": "load",
    "bank_in": "bank",
    "bank_out": "bank",
    "grid": "grid",
    "unserved": "unserved",
}
SHOWN = "followup_shown"


def draw(found, year: str) -> None:
    """The sentence, the causes, days and months; `year` is where the expected figures are from."""
    compared = [name for name in _THING if name in found.ratio]
    if not compared:
        layout.answer(t("followup.nothing"))
    else:
        layout.answer(_sentence(found, compared[0]))
        _causes(found)
        _pictures(found, compared)
    _figures(found)
    st.caption(t("followup.expected_from", year=year))


def _sentence(found, name: str) -> str:
    light = "light" if found.weather_corrected and name == "pv" else "usual"
    return t(
        f"followup.answer_{light}",
        what=t_raw(f"followup.thing.{name}"),
        share=percent(found.ratio[name], state.reader()),
        days=found.days_judged,
    )


def _causes(found) -> None:
    if not found.causes:
        st.success(t("followup.no_cause"))
        return
    for cause in found.causes:
        with st.container(border=True):
            st.markdown(_cause_text(cause))


def _cause_text(cause) -> str:
    name, sure = t(f"followup.found.{cause.code}", **_facts(cause)), cause.sure
    told = t(f"followup.found_text.{cause.code}", **_facts(cause))
    return f"**{name}** · {t(f'followup.sure.{sure}')}\n\n{told}"


def _facts(cause) -> dict[str, str]:
    """Numbers of a cause as the reader writes them; days and ratios stay as they are."""
    reader = state.reader()

    def shown(name: str, value) -> str:
        if isinstance(value, str):
            return value
        if name.endswith("share"):
            return percent(value, reader)
        return (whole if isinstance(value, int) else digits)(value, reader)

    return {name: shown(name, value) for name, value in cause.facts}


def _pictures(found, compared: list[str]) -> None:
    name = compared[0]
    if len(compared) > 1:
        name = (
            st.segmented_control(
                t("followup.shown"),
                compared,
                key=SHOWN,
                default=compared[0],
                required=True,
                format_func=lambda one: t(f"followup.role.{one}"),
                persist_state="session",
            )
            or compared[0]
        )
    reader, daily = state.reader(), found.daily
    share = percent(found.ratio[name], reader)
    figure = by_day(
        daily.index.to_numpy(),
        daily[f"{name}_kwh"].to_numpy(),
        daily[f"{name}_expected_kwh"].to_numpy(),
        _THING[name],
        answer=t_raw("followup.by_day", what=t_raw(f"followup.thing.{name}"), share=share),
        dark=dark(),
    )
    show(figure, "followup_days", data=daily.reset_index(names="date"))
    monthly = found.monthly
    expected = monthly[f"{name}_expected_kwh"].to_numpy()
    ratio = np.divide(
        monthly[f"{name}_kwh"].to_numpy(),
        expected,
        out=np.full(len(monthly), np.nan),
        where=expected > 0,
    )
    if len(monthly) > 1 and np.isfinite(ratio).any():
        names = [f"{month_names()[date.month - 1]} {date.year}" for date in monthly.index]
        worst = int(np.nanargmin(ratio))
        figure = by_month(
            names,
            ratio,
            answer=t_raw(
                "followup.by_month", month=names[worst], share=percent(float(ratio[worst]), reader)
            ),
            reader=reader,
            dark=dark(),
        )
        show(figure, "followup_months", data=monthly.reset_index(names="month"))


def _figures(found) -> None:
    reader = state.reader()
    lines = []
    for name in ("performance_ratio", "performance_ratio_25c", "expected_ratio_25c"):
        value = getattr(found, name)
        if value is not None:
            lines.append(t(f"followup.{name}", value=digits(value, reader)))
    lines += [plain(note) for note in found.notes]
    if lines:
        st.markdown("\n".join(f"- {line}" for line in lines))
    st.caption(t("followup.method"))
