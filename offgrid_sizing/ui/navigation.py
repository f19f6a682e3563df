"""The pages and their addresses, in the order of the work."""

from collections.abc import Callable
from dataclasses import dataclass
from importlib import import_module

import streamlit as st

from offgrid_sizing.ui import (
    cached,
    guard,
    notices,
    place_search,
    prefs,
    refused_drops,
    size_at_once,
    state,
    strip,
)
from offgrid_sizing.ui.words import LANGUAGES, t


@dataclass(frozen=True)
class Step:
    """One page: `name` is its module in `ui/pages`, its address and its words file."""

    name: str
    icon: str


# Add a page: write ui/pages/<name>.py with draw(), words/<language>/<name>.toml with `nav`, and a
# line here. The first one is the front door.
STEPS = (
    Step("start", ":material/home:"),
    Step("site", ":material/location_on:"),
    Step("loads", ":material/kitchen:"),
    Step("equipment", ":material/battery_charging_full:"),
    Step("grid", ":material/electrical_services:"),
    Step("sizing", ":material/straighten:"),
    Step("year", ":material/calendar_month:"),
    Step("strategies", ":material/balance:"),
    Step("wiring", ":material/cable:"),
    Step("commissioning", ":material/checklist:"),
    Step("money", ":material/savings:"),
    Step("summary", ":material/description:"),
    Step("followup", ":material/monitoring:"),
    Step("saved", ":material/inventory_2:"),
    Step("guide", ":material/menu_book:"),
)
WANTED_BY = {"foresight": "strategies"}  # the longest work, which one page alone shows


# On a phone the bar of steps covers the page, and Streamlit closes it only for its own list of
# pages, which would lose the sketch in the address. One listener a window, whatever is redrawn.
_CLOSE_BAR_ON_PHONE = """
<script>
if (!window.offgridClosesBar) {
  window.offgridClosesBar = true;
  document.addEventListener("click", (event) => {
    const step = event.target.closest?.('[data-testid="stSidebar"] a');
    if (!step || !window.matchMedia("(max-width: 768px)").matches) return;
    setTimeout(() => {
      document.querySelector('[data-testid="stSidebarCollapseButton"] button')?.click();
    });
  });
}
</script>
"""


def pages() -> dict[str, st.Page]:
    """Streamlit's page objects by name."""
    return {
        step.name: st.Page(
            _body(step.name),
            title=t(f"{step.name}.nav"),
            url_path=step.name if index else "front",  # never shown: its address is the bare one
            default=index == 0,
        )
        for index, step in enumerate(STEPS)
    }


def _top(name: str) -> None:
    """What stays in sight while the page scrolls: the strip, and what the page has to say."""
    with st.container(key="top", gap="small"):
        with guard.page("strip"):
            # a home that the front door is just sizing has no years to tell yet
            strip.draw(years_wait=name == STEPS[0].name and size_at_once.wanted(state.sketch()))
        with guard.page("notices"), st.container(key="notices"):  # always there: nothing moves
            notices.show()


def _front_door_by_name() -> st.Page:
    """The first page once more, under its name: Streamlit serves it at the bare address only."""
    first = STEPS[0].name
    return st.Page(_body(first), title=t(f"{first}.nav"), url_path=first)


def _leave_what_only_others_want(name: str) -> None:
    """Long work that one page alone shows does not go on behind another."""
    for work, page in WANTED_BY.items():
        if page != name:
            cached.leave(work)


def _body(name: str) -> Callable[[], None]:
    def draw() -> None:
        _leave_what_only_others_want(name)
        try:
            _top(name)
            with guard.page(name):
                import_module(f"offgrid_sizing.ui.pages.{name}").draw()
        except BaseException:  # cut short by a later request: nobody has read them
            state.keep_notices()
            raise

    draw.__name__ = name
    return draw


def run() -> None:
    """Draw the frame and the page that the address names."""
    with guard.page("frame"):
        state.begin()
    made = pages()
    st.session_state["offgrid_pages"] = made
    current = st.navigation([*made.values(), _front_door_by_name()], position="hidden")
    with guard.page("frame"), st.sidebar:
        _links(made)
        _history()
        _preferences()
        st.html(_CLOSE_BAR_ON_PHONE + refused_drops.spoken(), unsafe_allow_javascript=True)
        place_search.listen()
    current.run()


def run_alone(name: str) -> None:
    """One page without the frame, for tests."""
    with guard.page("frame"):
        state.begin()
        st.session_state["offgrid_pages"] = pages()
        st.navigation(list(st.session_state["offgrid_pages"].values()), position="hidden")
    _body(name)()


def link(name: str, label: str | None = None) -> None:
    """A link to another page that keeps the sketch in the address."""
    page = st.session_state["offgrid_pages"][name]
    icon = next(step.icon for step in STEPS if step.name == name)
    words = label or t(f"{name}.nav")
    st.page_link(page, label=words, icon=icon, query_params=state.address())


def go(name: str) -> None:
    """Turn to another page now."""
    st.switch_page(st.session_state["offgrid_pages"][name], query_params=state.address())


def _links(made: dict[str, st.Page]) -> None:
    for name in made:
        link(name)


def _history() -> None:
    held = state.opened()
    left, right = st.columns(2)
    left.button(
        t("common.undo"),
        key=state.own_key("undo"),
        icon=":material/undo:",
        disabled=not held.can_undo,
        on_click=state.undo,
        args=(held.token,),
        width="stretch",
    )
    right.button(
        t("common.redo"),
        key=state.own_key("redo"),
        icon=":material/redo:",
        disabled=not held.can_redo,
        on_click=state.redo,
        args=(held.token,),
        width="stretch",
    )


def _preferences() -> None:
    names = {
        "lang": LANGUAGES,
        "units": {"metric": t("common.units_metric"), "us": t("common.units_us")},
        "clock": {"24": t("common.clock_24"), "12": t("common.clock_12")},
    }
    labels = {"lang": "language", "units": "units", "clock": "clock"}
    for name, options in names.items():
        key = f"prefs_{name}"
        st.session_state[key] = prefs.chosen(name)
        st.selectbox(
            t(f"common.{labels[name]}"),
            list(options),
            key=key,
            index=list(options).index(st.session_state[key]),
            format_func=options.__getitem__,
            on_change=_choose,
            args=(name, key),
        )


def _choose(name: str, key: str) -> None:
    prefs.choose(name, st.session_state[key])
