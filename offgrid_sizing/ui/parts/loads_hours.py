"""Loads page, one appliance: its hours as words or painted, its days, and everything about it."""

from dataclasses import dataclass

import streamlit as st

from offgrid_sizing.loads.hours import hours_of, paint
from offgrid_sizing.loads.stated import every_day, habit_of, hours_typed
from offgrid_sizing.loads.year import LoadYear
from offgrid_sizing.sketch import Appliance, BadInput, Sketch
from offgrid_sizing.spelling import unaccented
from offgrid_sizing.ui import charts, hour_words, layout, results, state, theme, widgets
from offgrid_sizing.ui.charts import household
from offgrid_sizing.ui.charts.marks import chart_t, month_names
from offgrid_sizing.ui.fields import with_values
from offgrid_sizing.ui.parts import boards, loads_day
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import digits

_LISTED = "loads_appliance"


@dataclass(frozen=True)
class _At:
    """One appliance and where it stands in the sketch."""

    row: int
    appliance: Appliance

    @property
    def path(self) -> str:
        return f"loads.appliances[{self.row}]"


def draw(sketch: Sketch, year: LoadYear | None) -> None:
    """One appliance's hours beside the day they make."""
    appliances = sketch.loads.appliances
    if not appliances:
        st.info(t("loads.hours.none"), icon=":material/kitchen:")
        return
    picture, controls = layout.beside("loads_hours")
    with controls:
        at = _choose(appliances)
        _hours(at)
        _days(at)
        _habit(sketch, at, weather_known=year is not None)
        _order(at, len(appliances))
    with picture:
        _strip(at.appliance)
        if year is not None:
            loads_day.draw(sketch, year)
        _details(sketch, at)


def _choose(appliances: tuple[Appliance, ...]) -> _At:
    if st.session_state.get(_LISTED, 0) >= len(appliances):
        st.session_state[_LISTED] = 0
    row = st.selectbox(
        t("loads.hours.which"),
        range(len(appliances)),
        key=_LISTED,
        persist_state="session",
        format_func=lambda number: f"{number + 1}. {appliances[number].name}",
    )
    return _At(row, appliances[row])


def _strip(appliance: Appliance) -> None:
    shares = appliance.hours or hours_of(appliance.windows, appliance.run_time_h)
    answer = chart_t(
        "loads.hours.answer", name=appliance.name, hours=digits(sum(shares), state.reader())
    )
    figure = household.strip(shares, answer=answer, reader=state.reader(), dark=theme.is_dark())
    charts.show(figure, "loads_strip", answer)


def _hours(at: _At) -> None:
    appliance = at.appliance
    shown = hour_words.said(appliance.windows, appliance.run_time_h)
    if appliance.hours is not None:
        shown = ""
    key = f"loads_windows_{at.row}"
    now = (state.opened().token, appliance)
    if st.session_state.get(f"{key}_of") != now or key not in st.session_state:
        st.session_state[key] = shown
        st.session_state[f"{key}_of"] = now
    st.text_input(
        t("loads.hours.windows"),
        st.session_state[key],
        key=key,
        on_change=_say_hours,
        args=(at, key),
        placeholder=t_raw("loads.hours.painted" if appliance.hours else "loads.hours.example"),
        disabled=not state.may_edit(),
        help=t("loads.hours.windows_help"),
    )
    for sentence in st.session_state.get(f"{key}_fault", ()):
        st.error(t("common.refused", reason=sentence), icon=":material/edit:")
    st.slider(
        t("loads.hours.paint"),
        0,
        24,
        (18, 22),
        key="loads_paint",
        persist_state="session",
        disabled=not state.may_edit(),
    )
    with st.container(horizontal=True, gap="small"):
        for name, share in (("on", 1.0), ("half", 0.5), ("off", 0.0)):
            st.button(
                t(f"loads.hours.{name}"),
                key=f"loads_paint_{name}",
                on_click=_paint,
                args=(at, share),
                disabled=not state.may_edit(),
            )


def _say_hours(at: _At, key: str) -> None:
    try:
        windows, run_time_h = hour_words.heard(st.session_state[key])
        changes = {
            f"{at.path}.windows": windows,
            f"{at.path}.run_time_h": run_time_h,
            f"{at.path}.hours": None,
        }
        changes |= _held(at)
        new = with_values(state.sketch(), changes)
    except BadInput as fault:
        st.session_state[f"{key}_fault"] = fault.sentences
        return
    st.session_state[f"{key}_fault"] = ()
    state.edit(new, note="hours")


def _paint(at: _At, share: float) -> None:
    start, end = st.session_state["loads_paint"]
    if start == end:
        return
    appliance = at.appliance
    now = appliance.hours
    if now is None and (appliance.windows or appliance.run_time_h is not None):
        now = hours_of(appliance.windows, appliance.run_time_h)
    if now is None and share < 1:
        now = (1.0,) * 24  # always on until now: painting "off" takes hours away
    hours = paint(now, start, end, share)
    changes = {
        f"{at.path}.hours": hours,
        f"{at.path}.windows": (),
        f"{at.path}.run_time_h": None,
    }
    changes |= _held(at)
    state.edit(with_values(state.sketch(), changes), note="hours")


def _held(at: _At) -> dict:
    """What else goes with hours that were typed: the catalogue's habit would cut them."""
    return {f"{at.path}.{name}": value for name, value in hours_typed(at.appliance).items()}


def _habit(sketch: Sketch, at: _At, *, weather_known: bool) -> None:
    """What the catalogue's habit, or the hours on every day, would make of the year's energy."""
    others = {"habit": habit_of(at.appliance), "alone": every_day(at.appliance)}
    others = {name: other for name, other in others.items() if other is not None}
    if not others or not weather_known:
        return
    now = _energy(sketch, at.appliance)
    told = [t("loads.habit.now", now=now)]
    told += [
        t(f"loads.habit.{name}", **{name: _energy(sketch, other)}) for name, other in others.items()
    ]
    st.caption(" ".join(told))
    for name, other in others.items():
        st.button(
            t(f"loads.habit.use_{name}"),
            key=f"loads_use_{name}",
            on_click=_take,
            args=(at, other),
            type="tertiary",
            disabled=not state.may_edit(),
        )


def _energy(sketch: Sketch, appliance: Appliance) -> str:
    return digits(results.appliance_kwh(sketch, appliance), state.reader())


def _take(at: _At, other: Appliance) -> None:
    changes = {f"{at.path}.{name}": getattr(other, name) for name in ("driver", "days", "months")}
    state.edit(with_values(state.sketch(), changes), note="hours")


def _days(at: _At) -> None:
    _pills(
        at,
        "days",
        t("common.weekdays").split(),
        lambda chosen: tuple(number in chosen for number in range(7)),
        [number for number, on in enumerate(at.appliance.days) if on],
    )
    _pills(
        at,
        "months",
        month_names(),
        lambda chosen: tuple(sorted(number + 1 for number in chosen)),
        [month - 1 for month in at.appliance.months],
    )


def _pills(at: _At, field: str, names: list[str], to_field, on: list[int]) -> None:
    key = f"loads_{field}_{at.row}"
    now = (state.opened().token, at.appliance.name, tuple(on))
    if st.session_state.get(f"{key}_of") != now or key not in st.session_state:
        st.session_state[key] = on
        st.session_state[f"{key}_of"] = now
    st.pills(
        t(f"loads.hours.{field}"),
        range(len(names)),
        selection_mode="multi",
        key=key,
        wrap=True,
        default=st.session_state[key],
        format_func=lambda number: names[number],
        on_change=_set_pills,
        args=(f"{at.path}.{field}", key, to_field),
        disabled=not state.may_edit(),
    )


def _set_pills(path: str, key: str, to_field) -> None:
    chosen = st.session_state[key]
    state.edit(with_values(state.sketch(), {path: to_field(chosen)}), note=path)


def _order(at: _At, count: int) -> None:
    moves = (
        ("up", ":material/arrow_upward:", at.row > 0),
        ("down", ":material/arrow_downward:", at.row < count - 1),
        ("twice", ":material/content_copy:", True),
        ("away", ":material/delete:", True),
    )
    with st.container(horizontal=True, gap="small"):
        for name, icon, allowed in moves:
            st.button(
                t(f"loads.hours.{name}"),
                key=f"loads_{name}",
                icon=icon,
                on_click=_reorder,
                args=(at.row, name),
                disabled=not allowed or not state.may_edit(),
                type="tertiary",
            )


def _reorder(row: int, move: str) -> None:
    rows = list(state.sketch().loads.appliances)
    if move == "twice":
        rows.insert(row + 1, _named_apart(rows[row], rows))
    elif move == "away":
        del rows[row]
    else:
        other = row - 1 if move == "up" else row + 1
        rows[row], rows[other] = rows[other], rows[row]
        st.session_state[_LISTED] = other
    state.edit(
        lambda sketch: sketch.model_copy(
            update={"loads": sketch.loads.model_copy(update={"appliances": tuple(rows)})}
        ),
        note="appliances",
    )


def _named_apart(appliance: Appliance, rows: list[Appliance]) -> Appliance:
    taken = {unaccented(one.name) for one in rows}
    number = next(n for n in range(2, 1000) if unaccented(f"{appliance.name} {n}") not in taken)
    return appliance.model_copy(update={"name": f"{appliance.name[:110]} {number}"})


def _details(sketch: Sketch, at: _At) -> None:
    with st.expander(t("loads.hours.details", name=at.appliance.name)):
        left, middle, right = st.columns(3)
        with left:
            for field in ("count", "running_w", "power_factor", "duty_frac"):
                widgets.number(f"{at.path}.{field}")
        with middle:
            for field in ("starting_multiple", "standby_w", "priority"):
                widgets.number(f"{at.path}.{field}")
            widgets.choice(f"{at.path}.leg")
            widgets.choice(f"{at.path}.motor")
            widgets.number(f"{at.path}.start_s")
            widgets.toggle(f"{at.path}.soft_starter")
        with right:
            widgets.choice(f"{at.path}.driver")
            if at.appliance.driver in ("cooling", "heating"):
                widgets.number(f"{at.path}.driver_from_c")
                widgets.number(f"{at.path}.driver_full_c")
            widgets.toggle(f"{at.path}.critical")
            if boards.offered(sketch):
                widgets.choice(f"{at.path}.board")
            widgets.toggle(f"{at.path}.deferrable")
