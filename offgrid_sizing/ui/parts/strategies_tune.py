"""A blend tuned to this home: the numbers that cost least at the wanted ride-through."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, state, widgets
from offgrid_sizing.ui.cached import Found
from offgrid_sizing.ui.charts.marks import chart_t
from offgrid_sizing.ui.charts.strategies import Measure, comparison
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.parts.pictures import dark
from offgrid_sizing.ui.parts.pictures import draw as show
from offgrid_sizing.ui.parts.strategies_year import name_of
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import duration, hour, money, percent


def draw(sketch: Sketch, compared: Found) -> None:
    """What is wanted, what was found, and the button that uses it."""
    widgets.number("targets.ride_through_h")
    found = answers.tuned(sketch, compared)
    if found.value is None:
        if found.running:
            st.markdown(t("strategies.tune.waiting"))
        return
    blend, run = found.value, compared.value[0].simulation
    alone = "_alone" if run.inputs.weather.years == 1 else ""
    year = weather_years.of_number(run, blend.year)
    with found.dimmed():
        _picture(blend)
        st.markdown(_words(blend))
        st.caption(t(f"strategies.tune.how{alone}", tried=blend.tried, year=year))
    st.button(
        t("strategies.tune.in_use" if sketch.strategy == blend.strategy else "strategies.tune.use"),
        key="strategies_use_tuned",
        type="primary",
        on_click=_use,
        args=(blend.strategy,),
        disabled=not state.may_edit() or not found.fresh or sketch.strategy == blend.strategy,
    )


def _use(strategy) -> None:
    state.edit(lambda sketch: sketch.model_copy(update={"strategy": strategy}), "strategy")


def _picture(blend) -> None:
    reader = state.reader()
    costs = {**blend.pure_cost_per_year, "tuned": blend.cost_per_year}
    names = [t_raw("strategies.tune.name") if k == "tuned" else name_of(k) for k in costs]
    values = tuple(costs.values())
    words = tuple(money(value, reader) for value in values)
    measure = Measure(t_raw("strategies.tune.measure"), values, words, "load")
    key = "answer" if blend.met else "answer_unmet"
    figure = comparison(
        names,
        [measure],
        answer=chart_t(
            f"strategies.tune.{key}",
            cost=money(blend.cost_per_year, reader),
            ride=duration(blend.ride_through_h, reader),
            saved=money(min(blend.pure_cost_per_year.values()) - blend.cost_per_year, reader),
        ),
        dark=dark(),
    )
    show(figure, "strategies_tune", data=pd.DataFrame({"priority": names, "cost": values}))


def _words(blend) -> str:
    """The blend's numbers, in plain words."""
    reader, numbers = state.reader(), blend.strategy
    first = "grid" if (numbers.grid_share_frac or 0) > 0 else "array"
    lines = [
        t(f"strategies.tune.first_{first}"),
        t(
            "strategies.tune.hold",
            hold=percent(numbers.hold_soc_frac, reader),
            resume=percent(numbers.resume_soc_frac, reader),
        ),
    ]
    if numbers.grid_charge_target_frac:
        lines.append(
            t(
                "strategies.tune.charge",
                target=percent(numbers.grid_charge_target_frac, reader),
                hours=_hours(numbers.grid_charge_hours, reader),
            )
        )
    else:
        lines.append(t("strategies.tune.no_charge"))
    lines.append(
        t(
            "strategies.tune.outcome",
            unserved=percent(blend.unserved_frac, reader),
            ride=duration(blend.ride_through_h, reader),
        )
    )
    return "\n".join(f"- {line}" for line in lines)


def _hours(windows, reader) -> str:
    if windows is None:
        return t_raw("strategies.tune.cheap_hours")
    if not windows:
        return t_raw("strategies.tune.any_hour")
    return ", ".join(f"{hour(one.from_h, reader)}–{hour(one.to_h, reader)}" for one in windows)
