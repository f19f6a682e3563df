"""Site page: an array so many times as large as the weather's uncertainty asks, drawn with a click.

The reserve is then held in the sketch too, so that sizing asks for no less.
"""

import numpy as np
import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.system import System, drawn_system, with_system
from offgrid_sizing.ui import answers, standing, state, widgets
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import digits
from offgrid_sizing.weather.series import Weather

DREW = "site_reserve_drew"
_WITHIN = 1e-9
_ROOMY = 1.125  # as near as the nearest, where machines are saved; illustrative, from no source


def draw(sketch: Sketch, weather: Weather | None) -> None:
    """The reserve held, the button that takes the offered one, and what it drew."""
    widgets.number("weather.array_reserve")
    if weather is not None and sketch.weather.array_reserve < standing.reserve(sketch, weather):
        _offer(sketch, weather)
    _say_what_was_drawn(sketch)


def _offer(sketch: Sketch, weather: Weather) -> None:
    reserve = standing.reserve(sketch, weather)
    factor = reserve / sketch.weather.array_reserve
    system, most = _larger(sketch, factor)
    words = digits(factor, state.reader())
    key = "take_reserve" if drawn_system(sketch).modules else "take_reserve_only"
    st.button(
        t(f"site.weather.{key}", factor=words),
        key="site_reserve",
        on_click=_take,
        args=(system, reserve),
        disabled=system is None or not state.may_edit(),
    )
    if system is None:
        st.caption(t("site.weather.reserve_no_room", factor=words, most=most))
    elif system.modules != drawn_system(sketch).modules:
        st.caption(t("site.weather.reserve_draws", **_counts(sketch, system)))


def _larger(sketch: Sketch, factor: float) -> tuple[System | None, int]:
    """What is drawn with a whole array that is at least so many times as large.

    Of the nearest ones the one that needs the fewest machines: 26 modules may take seven where 28
    take two. None where there is none within the limits; with it the modules of the largest array
    there is.
    """
    drawn = drawn_system(sketch)
    if drawn.modules == 0:
        return drawn, 0
    try:
        choices = answers.candidates(sketch)
    except BadInput:  # said on the page about sizes; here no array is known
        return None, 0
    large = np.flatnonzero(choices.modules >= factor * drawn.modules - _WITHIN)
    if not len(large):
        return None, int(choices.modules[-1])
    near = large[choices.modules[large] <= _ROOMY * choices.modules[large[0]]]
    row = int(near[np.argmin(choices.fewest[near])])  # the first, so the smallest, of the fewest
    array = choices.system(sketch, drawn.units_in_parallel, row, int(choices.fewest[row]))
    return array.model_copy(update={"units_in_series": drawn.units_in_series}), 0


def _counts(sketch: Sketch, system: System) -> dict:
    was = drawn_system(sketch)
    return {
        "modules": system.modules,
        "inverters": system.inverters,
        "before": was.modules,
        "times": digits(system.modules / was.modules, state.reader()) if was.modules else "–",
    }


def _take(system: System, reserve: float) -> None:
    counts = _counts(state.sketch(), system)

    def taken(sketch: Sketch) -> Sketch:
        weather = sketch.weather.model_copy(update={"array_reserve": reserve})
        return with_system(sketch, system).model_copy(update={"weather": weather})

    if state.edit(taken, note="reserve"):
        st.session_state[DREW] = (state.opened().token, system, reserve, counts)


def _say_what_was_drawn(sketch: Sketch) -> None:
    """Said as long as it is what is drawn."""
    token, system, reserve, counts = st.session_state.get(DREW, (None, None, None, {}))
    if token is None or not system.modules:
        return
    if (token, system, reserve) == (
        state.opened().token,
        drawn_system(sketch),
        sketch.weather.array_reserve,
    ):
        words = digits(reserve, state.reader())
        st.success(t("site.weather.reserve_drew", reserve=words, **counts))
