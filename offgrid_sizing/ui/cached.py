"""Results kept between reruns, keyed on what they depend on; slow ones computed in the background.

Fast results: `cached.inputs(sketch)`, `cached.remember("worksheet", sketch, make)`.

Slow ones (over 1 s): the page is drawn at once, with progress, a stop button, and the last result
in grey::

    found = cached.run_long("search", sketch, lambda progress: search(sketch, progress=progress))
    with found.dimmed():                                  # grey when `found.fresh` is False
        draw(found.value)

The work calls `progress(share, sentence)` now and then; that is where it stops when asked to.
Results are shared between sessions: never write into their arrays.
"""

from collections.abc import Callable
from concurrent.futures import wait
from contextlib import contextmanager, nullcontext
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import streamlit as st
from pydantic import BaseModel

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.store.files import checked_refs
from offgrid_sizing.system import System
from offgrid_sizing.ui import state
from offgrid_sizing.ui.compiled import when_compiled
from offgrid_sizing.ui.guard import guarded, save_diagnostic
from offgrid_sizing.ui.hooks import in_session, session_id
from offgrid_sizing.ui.jobs import Jobs, Progress
from offgrid_sizing.ui.ledger import Ledger
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.result_keys import key_text, loads_key, output_key, weather_key
from offgrid_sizing.ui.words import t, t_raw

PATIENCE_S = 0.6  # shorter work shows no progress bar
PAGE_FIRST_S = 0.3  # work beside a page begins when its charts have had time to be made
_LAST = "offgrid_last_results"
_WAITED = "offgrid_waited"
_STOPPED = "offgrid_stopped"
_FAULTS = "offgrid_long_faults"


# --- fast results ---------------------------------------------------------------------------


@st.cache_resource(show_spinner=False)
def _jobs() -> Jobs:
    return Jobs()


def ledger() -> Ledger:
    """All results that this server keeps."""
    return _jobs().ledger


def leave_all_but(present: set[str]) -> None:
    """Only these sessions are still there: what others wait for stops, what they saw may go."""
    _jobs().leave_all_but(present)
    ledger().leave_all_but(present)


@st.cache_resource(scope="session", show_spinner=False, on_release=lambda me: ledger().leave(me))
def _me() -> str:
    return session_id()


def _looker() -> tuple[str, str]:
    """Who looks at a result, and at which sketch; nobody beside the server's runs of pages."""
    try:
        if not in_session():
            return "", ""
        _me()  # its release tells when the session ends
        return session_id(), state.opened().token
    except st.errors.StreamlitAPIException:  # a thread of the server, where that cannot be told
        return "", ""


def remember(name: str, *depends_on: Any, compute: Callable[[], Any] | None = None) -> Any:
    """`remember("name", model, ..., compute)`: compute once for these models (last one callable).

    `name` says what is computed; the models (pydantic), texts and numbers are what it depends on.
    """
    parts = depends_on if compute else depends_on[:-1]
    work = compute or depends_on[-1]
    return ledger().compute(("remember", name, key_text(*parts)), work, *_looker())


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
        "simulation",
        sketch.model_copy(update={"title": "key", "notes": ""}),
        system,
        year,
        years,
        lambda: simulate(sketch, system, inputs=inputs(sketch, years), year=year),
    )


# --- slow results ---------------------------------------------------------------------------


@dataclass(frozen=True)
class Found:
    """What a slow computation has to show: `value` is None before the first result."""

    value: Any
    fresh: bool
    running: bool = False

    def dimmed(self):
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
    key = _key_of(name, depends_on)
    leave(name, unless=key)  # of a sketch that has changed since
    ready = _ready(key)
    if ready is None and (_joins(key) or _may_start(key, start, name, label)):
        _start(key, work)
        st.session_state["offgrid_jobs"][name] = key
        _wait_a_little(key)
        ready = _ready(key)
    if ready is not None:
        return _fresh(key, ready)
    running = _jobs().running(key) is not None
    if running:
        _show_progress(name, key)
    else:
        _say_why_not(name, key)
    return Found(last(name), False, running)


def _key_of(name: str, depends_on: BaseModel | tuple) -> tuple[str, str]:
    return (name, key_text(*(depends_on if isinstance(depends_on, tuple) else (depends_on,))))


def _start(key: tuple, work: Callable[[Progress], Any], *, after_s: float = 0.0) -> None:
    me, sketch = _looker()
    from offgrid_sizing.battery import has_long_sheet

    patient = when_compiled(work, long=has_long_sheet(state.sketch().equipment.inverter))
    _jobs().start(key, patient, me, after_s=after_s, sketch=sketch)


def _ready(key: tuple) -> tuple[Any] | None:
    """The finished result; a fault is kept for the page, until what it depends on changes."""
    try:
        return _jobs().result(key, _looker()[0])
    except Exception as fault:
        name = key[0]
        st.session_state.setdefault(_FAULTS, {})[name] = (key, _sentences(fault, name))
        st.session_state[_STOPPED] = key
        return None


def _fresh(key: tuple, ready: tuple[Any]) -> Found:
    st.session_state.setdefault(_LAST, {})[key[0]] = key  # the ledger alone holds results
    return Found(ready[0], True)


def last(name: str) -> Any:
    """The last result of this name that this session has seen, of whatever sketch, or None.

    None also where it has gone since, because it was too old or too much.
    """
    found = ledger().get(st.session_state.get(_LAST, {}).get(name))
    return None if found is None else found[0]


def _sentences(fault: Exception, name: str) -> tuple[str, ...]:
    if isinstance(fault, BadInput):
        return fault.sentences
    return (t_raw("common.fault", file=save_diagnostic(fault, name)),)


def _say_why_not(name: str, key: tuple) -> None:
    kept, sentences = st.session_state.get(_FAULTS, {}).get(name, (None, ()))
    if kept == key:
        for sentence in sentences:
            st.error(plain(sentence), icon=":material/edit:")
    elif _was_stopped(key):
        st.info(t("common.stopped"), icon=":material/stop_circle:")


def _may_start(key: tuple, start: bool, name: str, label: str | None) -> bool:
    if _jobs().running(key) is not None:
        return False
    if start and not _was_stopped(key):
        return True
    pressed = st.button(label or t("common.compute"), key=f"compute_{name}", type="primary")
    if pressed:
        st.session_state.pop(_STOPPED, None)
        st.session_state.get(_FAULTS, {}).pop(name, None)
        st.session_state.get(_WAITED, {}).pop(name, None)
    return pressed


def _joins(key: tuple) -> bool:
    """Whether somebody already works on it, and this session has not told it to stop."""
    return _jobs().running(key) is not None and not _was_stopped(key)


def _was_stopped(key: tuple) -> bool:
    return st.session_state.get(_STOPPED) == key


def _wait_a_little(key: tuple) -> None:
    """Short work needs no progress bar; waited for once only."""
    waited, job = st.session_state.setdefault(_WAITED, {}), _jobs().running(key)
    if job is not None and waited.get(key[0]) != key:
        waited[key[0]] = key
        wait([job.future], timeout=PATIENCE_S)


def leave(name: str, *, unless: tuple | None = None) -> None:
    """This session waits no longer for work of this name; the last to leave stops it."""
    mine = st.session_state.setdefault("offgrid_jobs", {})
    if name in mine and mine[name] != unless:
        _jobs().leave(mine.pop(name), session_id())


@st.fragment(run_every=0.5)
@guarded
def _show_progress(name: str, key: tuple) -> None:
    job = _jobs().running(key)
    if job is None:
        state.keep_notices()
        st.rerun()
    text = t("common.working") if not job.doing else f"{t('common.working')}: {plain(job.doing)}"
    bar, button = st.columns([5, 1], vertical_alignment="center")
    bar.progress(job.done_frac, text)
    button.button(
        t("common.stop"), key=f"stop_{name}", icon=":material/stop:", on_click=_stop, args=(key,)
    )


def _stop(key: tuple) -> None:
    _jobs().leave(key, session_id())
    st.session_state[_STOPPED] = key


def quietly(name: str, depends_on: BaseModel | tuple, work: Callable[[Progress], Any]) -> Found:
    """Compute beside the page: no bar, no button, and begun when its charts are made; see `watch`.

    `run_long` of the same name joins it. What the work raises is said by `run_long` only: where
    that may never be called it must be turned into a value.
    """
    key = _key_of(name, depends_on)
    leave(name, unless=key)  # of a sketch that has changed since
    ready = _ready(key)
    if ready is not None:
        return _fresh(key, ready)
    if _was_stopped(key):
        return Found(last(name), False)
    if _jobs().running(key) is None:
        _start(key, work, after_s=PAGE_FIRST_S)
        st.session_state["offgrid_jobs"][name] = key
    return Found(last(name), False, True)


def finished(name: str, *depends_on: Any) -> Any:
    """The result of an earlier `run_long` or `quietly` for exactly these, or None."""
    ready = _jobs().result((name, key_text(*depends_on)))
    return None if ready is None else ready[0]


def watch(name: str, depends_on: BaseModel | tuple, *, wanted: bool) -> None:
    """Draw the page again when `quietly` has finished this.

    Stands in a container of its own that is always there: one that comes and goes would move
    everything below it, which closes what a reader has opened and draws every chart anew.
    """
    key = _key_of(name, depends_on)
    with st.container(key=f"watch_{name}"):
        if wanted:
            _watch(key)


@st.fragment(run_every=0.4)
def _watch(key: tuple) -> None:
    if _jobs().running(key) is None:
        state.keep_notices()
        st.rerun()
