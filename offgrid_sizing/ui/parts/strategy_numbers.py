"""Grid page, the charge priority: its rule in words, its numbers, and what they mean over a day."""

import numpy as np
import pandas as pd
import streamlit as st

from offgrid_sizing import strategy
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import Sketch, TimeWindow
from offgrid_sizing.ui import charts, explain, layout, state, theme, widgets
from offgrid_sizing.ui.charts import supply as pictures
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.parts import week_windows
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits, hour, percent
from offgrid_sizing.weather.series import clock

FIELDS = (
    "hold_soc_frac",
    "resume_soc_frac",
    "grid_charge_target_frac",
    "recharge_soc_frac",
    "peak_price_per_kwh",
    "shed_soc_frac",
)


def draw(sketch: Sketch) -> None:
    """The levels over a day beside the numbers that set them."""
    numbers = strategy.numbers_of(sketch)
    picture, controls = layout.beside("strategy")
    with picture:
        if sketch.grid.kind == "none":  # levels that a grid obeys would only mislead here
            st.info(t("grid.strategy.no_grid"), icon=":material/power_off:")
            if numbers.shed_soc_frac > 0:
                st.markdown(_shed_words(numbers))
        else:
            _levels(sketch, numbers)
            st.markdown(_in_words(sketch, numbers))
            _figures(numbers)
    with controls:
        widgets.choice("strategy.kind", radio=True)
        st.caption(t(PRIORITIES[sketch.strategy.kind].key("text")))
        st.caption(t("grid.strategy.empty_means"))
        for name in FIELDS:
            widgets.number(f"strategy.{name}")
        widgets.toggle("strategy.bank_helps_below_hold")
        st.markdown(f"**{t('grid.strategy.hours')}**")
        week_windows.hours("strategy.grid_charge_hours", TimeWindow)


def _levels(sketch: Sketch, numbers: strategy.StrategyNumbers) -> None:
    """A working day in quarter-hours: outage reserve, target of the grid's charge, recharge."""
    time = clock(0.25, sketch.site.offset_h)
    day = slice(0, 96)
    schedule = strategy.schedule_of(sketch, time, numbers=numbers)
    in_hours = schedule.charge_start[day] > numbers.recharge_soc_frac + 1e-9
    target = np.where(in_hours, schedule.charge_stop[day], np.nan)
    recharge = numbers.recharge_soc_frac
    lines = [(chart_t("pictures.hold"), schedule.hold[day], "bank")]
    if np.isfinite(target).any():
        lines.append((chart_t("pictures.target"), target, "grid"))
    if recharge > 0:
        lines.append((chart_t("pictures.recharge"), np.full(96, recharge), "unserved"))
    floor = 1 - sketch.equipment.battery.usable_dod_frac
    reader = state.reader()
    answer = chart_t("grid.strategy.levels_answer", hold=percent(numbers.hold_soc_frac, reader))
    figure = pictures.levels(lines, floor, answer=answer, reader=reader, dark=theme.is_dark())
    table = pd.DataFrame({"hour": np.arange(96) / 4} | {name: row for name, row, _ in lines})
    charts.show(figure, "strategy_levels", answer, data=table)


def _in_words(sketch: Sketch, numbers: strategy.StrategyNumbers) -> str:
    reader = state.reader()
    values = {
        "hold": percent(numbers.hold_soc_frac, reader),
        "resume": percent(numbers.resume_soc_frac, reader),
        "target": percent(numbers.grid_charge_target_frac, reader),
        "recharge": percent(numbers.recharge_soc_frac, reader),
        "floor": percent(1 - sketch.equipment.battery.usable_dod_frac, reader),
        "hours": _hours(numbers),
    }
    said = [t(f"grid.strategy.serve_{'grid' if numbers.grid_share_frac >= 0.5 else 'array'}")]
    said.append(t("grid.strategy.say_hold", **values))
    helps = "helps" if numbers.bank_helps_below_hold else "keeps"
    said.append(t(f"grid.strategy.say_{helps}", **values))
    if numbers.grid_charge_target_frac > 0:
        said.append(t("grid.strategy.say_charge", **values))
    if numbers.recharge_soc_frac > 0:
        said.append(t("grid.strategy.say_recharge", **values))
    if numbers.peak_price_per_kwh > 0:
        price = digits(numbers.peak_price_per_kwh, reader)
        said.append(t("grid.strategy.say_peak_price", price=price, currency=sketch.prices.currency))
    if numbers.shed_soc_frac > 0:
        said.append(_shed_words(numbers))
    return "\n".join(f"- {sentence}" for sentence in said)


def _shed_words(numbers: strategy.StrategyNumbers) -> str:
    return t("grid.strategy.say_shed", shed=percent(numbers.shed_soc_frac, state.reader()))


def _hours(numbers: strategy.StrategyNumbers) -> str:
    windows, reader = numbers.grid_charge_hours, state.reader()
    if windows is None:
        return t("grid.strategy.cheap_hours")
    if not windows:
        return t("grid.strategy.any_hour")
    return ", ".join(f"{hour(w.from_h, reader)}–{hour(w.to_h, reader)}" for w in windows)


def _figures(numbers: strategy.StrategyNumbers) -> None:
    reader = state.reader()
    shown = {
        "hold": numbers.hold_soc_frac,
        "resume": numbers.resume_soc_frac,
        "target": numbers.grid_charge_target_frac,
        "recharge": numbers.recharge_soc_frac,
    }
    explain.row(
        *(
            (f"grid.{name}", percent(value, reader), t(f"grid.strategy.{name}"))
            for name, value in shown.items()
        )
    )
