"""Results kept between reruns, keyed on what they depend on; slow ones computed in the background.

Fast results::

    run = cached.simulation(sketch)                     # the drawn system in weather year 0
    run = cached.simulation(sketch, system, year=3)
    given = cached.inputs(sketch)                       # weather, loads, array output
    table = cached.remember("worksheet", sketch, lambda: worksheet(sketch))

Slow ones (over 1 s): the page is drawn at once, with progress, a stop button, and the last result
in grey::

    found = cached.run_long("search", sketch, lambda progress: search(sketch, progress=progress))
    if found.value is not None:
        with found.veil():                              # grey when `found.fresh` is False
            draw(found.value)

The work calls `progress(share, sentence)` now and then; that is where it stops when asked to.
Results are shared between sessions: never write into their arrays.
"""

import time
from collections.abc import Callable
from concurrent.futures import wait
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st
from pydantic import BaseModel

from offgrid_sizing.sketch import (
    BadInput,
    Equipment,
    Grid,
    Loads,
    Prices,
    Sketch,
    Strategy,
    Targets,
    Wiring,
)
from offgrid_sizing.sketch.equipment import Drawn
from offgrid_sizing.store.files import checked_refs
from offgrid_sizing.system import System
from offgrid_sizing.ui import state
from offgrid_sizing.ui.guard import guarded, save_diagnostic
from offgrid_sizing.ui.hooks import session_id
from offgrid_sizing.ui.jobs import Jobs, Progress
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.warm import when_compiled
from offgrid_sizing.ui.words import t, t_raw

PATIENCE_S = 0.6  # shorter work shows no progress bar
PAGE_FIRST_S = 0.3  # work beside a page begins when its charts have had time to be made
_LAST = "offgrid_last_results"
_STOPPED = "offgrid_stopped"
_FAULTS = "offgrid_long_faults"


# --- what a result depends on ---------------------------------------------------------------


def _without_boxes(sketch: Sketch, **changes: Any) -> Sketch:
    """The sketch less what weather, loads and light do not depend on."""
    planes = tuple(
        plane.model_copy(update={"modules_in_series": 0, "strings": 0})
        for plane in sketch.roof_planes
    )
    rest = {
        "title": "key", "notes": "", "invented": False, "roof_planes": planes, "grid": Grid(),
        "generator": None, "strategy": Strategy(), "wiring": Wiring(), "prices": Prices(),
        "targets": Targets(step_h=sketch.targets.step_h),
    }  # fmt: skip
    return sketch.model_copy(update=rest | changes)


def weather_key(sketch: Sketch) -> Sketch:
    """What the weather depends on: place, choice of weather, first plane, time step."""
    return _without_boxes(
        sketch, loads=Loads(), equipment=Equipment(), drawn=Drawn(), horizon=(), obstacles=()
    )


def loads_key(sketch: Sketch) -> Sketch:
    """What the load year depends on: the weather, the household and how it is wired up."""
    return _without_boxes(sketch, horizon=(), obstacles=())


def output_key(sketch: Sketch) -> Sketch:
    """What the light on the roof and one module's power depend on."""
    boxes = Equipment(module=sketch.equipment.module, losses=sketch.equipment.losses)
    return _without_boxes(sketch, loads=Loads(), drawn=Drawn(), equipment=boxes)


def _key(*parts: BaseModel | str | float | None) -> str:
    return "|".join(
        part.model_dump_json() if isinstance(part, BaseModel) else repr(part) for part in parts
    )


# --- fast results ---------------------------------------------------------------------------


@st.cache_resource(max_entries=128, show_spinner=False)
def _remembered(name: str, key: str, _compute: Callable[[], Any]) -> Any:
    return _compute()


def remember(name: str, *depends_on: Any, compute: Callable[[], Any] | None = None) -> Any:
    """`remember("name", model, ..., compute)`: compute once for these models (last one callable).

    `name` says what is computed; the models (pydantic), texts and numbers are what it depends on.
    """
    parts = depends_on if compute else depends_on[:-1]
    return _remembered(name, _key(*parts), compute or depends_on[-1])


def files_of(sketch: Sketch) -> Path | None:
    """Where the sketch's dropped files lie; None when it has none."""
    return state.store().lay_out_files(sketch) if checked_refs(sketch) else None


def weather(sketch: Sketch, years: int | None = None):
    """The sketch's weather years."""
    from offgrid_sizing.weather.build import weather_of

    key = weather_key(sketch)
    base = files_of(sketch)
    return remember("weather", key, years, lambda: weather_of(key, base_dir=base, years=years))


def inputs(sketch: Sketch, years: int | None = None):
    """Weather, load year and array output (`simulation.Inputs`), each recomputed only at need."""
    from offgrid_sizing.loads.profile import load_year
    from offgrid_sizing.pv_array import array_output
    from offgrid_sizing.simulation import Inputs

    base = files_of(sketch)
    sky = weather(sketch, years)
    loads = remember(
        "loads", loads_key(sketch), years, lambda: load_year(sketch, sky, base_dir=base)
    )
    output = remember("output", output_key(sketch), years, lambda: array_output(sketch, sky))
    return Inputs(sky, loads, output)


def simulation(
    sketch: Sketch, system: System | None = None, *, year: int = 0, years: int | None = None
):
    """One system (the drawn one by default) in one weather year, every flow traced."""
    from offgrid_sizing.simulation import simulate

    return remember(
        "simulation", sketch.model_copy(update={"title": "key", "notes": ""}), system, year, years,
        lambda: simulate(sketch, system, inputs=inputs(sketch, years), year=year),
    )  # fmt: skip


# --- slow results ---------------------------------------------------------------------------


@st.cache_resource(show_spinner=False)
def _jobs() -> Jobs:
    return Jobs()


@dataclass(frozen=True)
class Found:
    """What a slow computation has to show: `value` is None before the first result."""

    value: Any
    fresh: bool
    running: bool = False

    def veil(self):
        """A container: grey, and said to be outdated, when the result is not fresh."""
        return nullcontext() if self.fresh else _grey()


@contextmanager
def _grey():
    count = st.session_state["offgrid_veils"] = st.session_state.get("offgrid_veils", 0) + 1
    st.caption(t("common.stale"))
    with st.container(key=f"stale_{count}"):
        yield


def run_long(
    name: str,
    depends_on: BaseModel | tuple,
    work: Callable[[Progress], Any],
    *,
    start: bool = True,
    label: str | None = None,
) -> Found:
    """Compute in the background; see the module's text.

    Parameters
    ----------
    name : str
        What is computed; one at a time for each name in a session.
    depends_on : model or tuple of models, texts and numbers
        The result is kept for exactly these.
    work : callable
        Gets `progress`; must not call Streamlit or read `state` (take what it needs before).
    start : bool
        False waits for a button (named `label`) instead of starting by itself.
    """
    parts = depends_on if isinstance(depends_on, tuple) else (depends_on,)
    key = (name, _key(*parts))
    last = st.session_state.setdefault(_LAST, {})
    _leave_others(name, key)
    try:
        ready = _jobs().result(key)
        if ready is None and _may_start(key, start, name, label):
            ready = _begin(key, work)
    except Exception as fault:  # said on the page below, and kept until the sketch changes
        st.session_state.setdefault(_FAULTS, {})[name] = (key, _sentences(fault, name))
        st.session_state[_STOPPED] = key
        ready = None
    if ready is not None:
        last[name] = ready
        return Found(ready[0], True)
    running = _jobs().running(key) is not None
    if running:
        _show_progress(name, key)
    else:
        _say_why_not(name, key)
    return Found(last[name][0] if name in last else None, False, running)


def _sentences(fault: Exception, name: str) -> tuple[str, ...]:
    if isinstance(fault, BadInput):
        return fault.sentences
    return (t_raw("common.fault", file=save_diagnostic(fault, name)),)


def _say_why_not(name: str, key: tuple) -> None:
    kept, sentences = st.session_state.get(_FAULTS, {}).get(name, (None, ()))
    if kept == key:
        for sentence in sentences:
            st.error(plain(sentence), icon=":material/edit:")
    elif st.session_state.get(_STOPPED) == key:
        st.info(t("common.stopped"), icon=":material/stop_circle:")


def _may_start(key: tuple, start: bool, name: str, label: str | None) -> bool:
    if _jobs().running(key) is not None:
        return False
    stopped = st.session_state.get(_STOPPED) == key
    if start and not stopped:
        return True
    pressed = st.button(label or t("common.compute"), key=f"compute_{name}", type="primary")
    if pressed:
        st.session_state.pop(_STOPPED, None)
        st.session_state.get(_FAULTS, {}).pop(name, None)
    return pressed


def _begin(key: tuple, work: Callable[[Progress], Any]) -> tuple[Any] | None:
    job = _jobs().start(key, when_compiled(work), session_id())
    st.session_state.setdefault("offgrid_jobs", {})[key[0]] = key
    wait([job.future], timeout=PATIENCE_S)
    return _jobs().result(key)


def _leave_others(name: str, key: tuple) -> None:
    """The sketch changed under a running job of this session: nobody needs it any more."""
    mine = st.session_state.setdefault("offgrid_jobs", {})
    if name in mine and mine[name] != key:
        _jobs().leave(mine.pop(name), session_id())


@st.fragment(run_every=0.5)
@guarded
def _show_progress(name: str, key: tuple) -> None:
    job = _jobs().running(key)
    if job is None:
        state.keep_notices()
        st.rerun()
    text = t("common.working") if not job.doing else f"{t('common.working')}: {job.doing}"
    bar, button = st.columns([5, 1], vertical_alignment="center")
    bar.progress(job.done_frac, text)
    button.button(
        t("common.stop"), key=f"stop_{name}", icon=":material/stop:", on_click=_stop, args=(key,)
    )


def _stop(key: tuple) -> None:
    _jobs().leave(key, session_id())
    st.session_state[_STOPPED] = key


def _after_page(work: Callable[[Progress], Any]) -> Callable[[Progress], Any]:
    def patient(progress: Progress) -> Any:
        time.sleep(PAGE_FIRST_S)
        progress(0.0)  # the next edit may have come meanwhile
        return work(progress)

    return patient


def quietly(name: str, depends_on: BaseModel | tuple, work: Callable[[Progress], Any]) -> Found:
    """Compute small figures beside the page: no bar, no button; see `watch`.

    The work must turn what it may raise into a value: nobody hears of its faults otherwise.
    """
    key = (name, _key(*(depends_on if isinstance(depends_on, tuple) else (depends_on,))))
    last = st.session_state.setdefault(_LAST, {})
    _leave_others(name, key)
    ready = _jobs().result(key)
    if ready is None:
        if _jobs().running(key) is None:
            _jobs().start(key, when_compiled(_after_page(work)), session_id())
            st.session_state["offgrid_jobs"][name] = key
        return Found(last[name][0] if name in last else None, False)
    last[name] = ready
    return Found(ready[0], True)


def finished(name: str, *depends_on: Any) -> Any:
    """The result of an earlier `run_long` or `quietly` for exactly these, or None."""
    ready = _jobs().result((name, _key(*depends_on)))
    return None if ready is None else ready[0]


def watch(name: str, depends_on: BaseModel | tuple, *, wanted: bool) -> None:
    """Draw the page again when `quietly` has finished this.

    Stands in a container of its own that is always there: one that comes and goes would move
    everything below it, which closes what a reader has opened and draws every chart anew.
    """
    key = (name, _key(*(depends_on if isinstance(depends_on, tuple) else (depends_on,))))
    with st.container(key=f"watch_{name}"):
        if wanted:
            _watch(key)


@st.fragment(run_every=0.4)
def _watch(key: tuple) -> None:
    if _jobs().running(key) is None:
        state.keep_notices()
        st.rerun()
