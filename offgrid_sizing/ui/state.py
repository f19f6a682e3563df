"""The sketch this session works on: opened from the address, saved at every edit.

GUIDE FOR PAGES
===============
A page is one file `ui/pages/<name>.py` with `def draw() -> None`, listed in `ui/navigation.py`
(its address is its name). `app.py` runs it inside `guard.page`, so a page lets every exception
fly: `BadInput` becomes its sentences, anything else one sentence and a saved diagnostic file.

Read::

    from offgrid_sizing.ui import cached, state, widgets
    from offgrid_sizing.ui.words import t

    sketch = state.sketch()            # the present sketch, frozen
    reader = state.reader()            # for units.quantity(value, "length_m", reader) ...
    before = state.before()            # the sketch before the last edit, or None
    state.may_edit()                   # False for a read-only address; widgets disable themselves

Change (best in a callback, `st.button(..., on_click=state.edit, args=(new_sketch,))`; elsewhere
follow it with `st.rerun()`)::

    state.edit(new_sketch)             # or a function of the sketch: state.edit(lambda s: ...)
    state.edit(fields.with_value(sketch, "roof_planes[0].tilt_deg", 35))
    state.undo(); state.redo(); state.start(sketch); state.open_sketch(token)

`edit` validates, saves, makes it undoable, and puts the id in the address; it returns False and
leaves a sentence on screen when a rule is broken. Nothing else may change the sketch.

Widgets bound to a field, with limits, help and label from the model and the words catalogue::

    widgets.number("targets.days_of_autonomy")      widgets.choice("strategy.kind")
    widgets.toggle("grid.export_allowed")           widgets.text("title")
    widgets.window("generator.quiet_hours[0]")      tables.twelve("weather.monthly_ghi_...")
    tables.rows("loads.appliances", Appliance, ("name", "count", "running_w"))

They show display units (%, ft, °F), keep what was typed when it is refused, follow undo, and
survive page changes because the sketch, not the widget, holds the value: do not give them
`persist_state`. A field of a part that may be missing (`generator.…`) is drawn only when it is
there. A widget that only steers the view (a chosen day, a tab) is a plain Streamlit widget with a
fixed `key` and `persist_state="session"`.

Words: `t("saved.revision", number=3)` escapes values for markdown; `t_raw` does not, for
`st.text`, files and alt texts. Never put user text (names, notes, file names) into markdown,
labels or charts without `t`, `plain.plain` or `plain.chart_text`.

Slow work: `cached.run_long(...)`; cached results: see `ui/cached.py`. A fragment is written
`@st.fragment` above `@guard.guarded`. Charts: `ui/charts/`, template `charts.template`, shown
with `charts.show(figure, key, alt)`.
"""

import os
from collections.abc import Callable
from dataclasses import replace

import streamlit as st

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_dict
from offgrid_sizing.store import Opened, Saved, SketchGone, Store, default_store, home_dir
from offgrid_sizing.store.files import checked_refs
from offgrid_sizing.ui import hooks, prefs
from offgrid_sizing.units import Reader

_TAKEN = "offgrid_taken_notices"
_OPENED, _BEFORE, _NOTICES, _UNSAVED, _SITTINGS = (
    "offgrid_opened",
    "offgrid_before",
    "offgrid_notices",
    "offgrid_unsaved",
    "offgrid_sittings",
)
_LOOPBACK = ("localhost", "127.0.0.1", "::1", "[::1]")


# --- reading ------------------------------------------------------------------------------


def opened() -> Opened:
    """The open sketch with its address, revision and rights."""
    if _OPENED not in st.session_state:
        st.session_state[_OPENED] = _fresh(demo())
    return st.session_state[_OPENED]


def sketch() -> Sketch:
    """The present sketch."""
    return opened().sketch


def before() -> Sketch | None:
    """The sketch before the last edit of this session, for "what changed"."""
    return st.session_state.get(_BEFORE)


def may_edit() -> bool:
    """False when the address is read-only."""
    return opened().may_edit


def is_saved() -> bool:
    """False for the untouched demo, and while the database cannot be reached."""
    return bool(opened().token) and not st.session_state.get(_UNSAVED, False)


def reader() -> Reader:
    """How this person wants figures shown."""
    return prefs.reader(sketch().prices.currency)


def store() -> Store:
    """The store of saved sketches."""
    return default_store(os.environ.get("OFFGRID_DATABASE_URL"), str(home_dir()), single_user())


def single_user() -> bool:
    """Whether sketches may be listed: only on one's own machine.

    `OFFGRID_SINGLE_USER` (1 or 0) decides; without it the server must listen on this machine
    alone, be asked for by a name of this machine, stand behind no proxy, and keep its sketches in
    the user's own file.
    """
    said = os.environ.get("OFFGRID_SINGLE_USER")
    if said is not None:
        return said == "1"
    headers = {name.lower(): value for name, value in st.context.headers.items()}
    host = headers.get("host", "localhost").rsplit(":", 1)[0]
    proxied = any(name in headers for name in ("x-forwarded-for", "forwarded", "x-real-ip"))
    listens = st.get_option("server.address") in _LOOPBACK
    return (
        listens and host in _LOOPBACK and not proxied and "OFFGRID_DATABASE_URL" not in os.environ
    )


def address() -> dict[str, str]:
    """What the address carries: the sketch's id and how things are shown."""
    token = opened().token
    return ({"sketch": token} if token else {}) | prefs.address()


# --- the session's course -----------------------------------------------------------------


def begin() -> None:
    """Called by app.py before each page: follow the address, other windows and unsaved edits."""
    prefs.begin()
    token = st.query_params.get("sketch")
    held = st.session_state.get(_OPENED)
    try:
        if token and (held is None or held.token != token):
            _open_from_address(token)
        elif st.session_state.get(_UNSAVED):
            _save(held.sketch, "")
        elif held is not None and held.token:
            _follow_other_windows(held)
    except SketchGone as gone:
        kind = "gone" if gone.deleted else "fault"
        notice(kind, sentences=gone.sentences, token=token or held.token)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
    _set_address()


def _set_address() -> None:
    """One step in the browser's history at most; none when the reader just went back."""
    if not hooks.in_session() or hooks.went_back():
        return
    now = st.query_params.to_dict()
    ours = ("sketch", *prefs.CHOICES)
    wanted = {key: value for key, value in now.items() if key not in ours} | address()
    if not opened().token and "sketch" in now:  # it could not be opened: leave it to be seen
        wanted["sketch"] = now["sketch"]
    if wanted != now:
        st.query_params.from_dict(wanted)


def _open_from_address(token: str) -> None:
    try:
        open_sketch(token)
    except SketchGone:
        raise
    except BadInput as fault:
        notice("damaged", sentences=fault.sentences, token=token)


def _follow_other_windows(held: Opened) -> None:
    if store().head(held.token) != held.revision:
        _hold(store().open(held.token))
        notice("elsewhere")


def open_sketch(token: str) -> None:
    """Work on the sketch of this address.

    Raises
    ------
    SketchGone
        When there is none.
    """
    _take_up(store().open(token))


def start(first: Sketch, note: str = "") -> None:
    """Save this as a new sketch and work on it; the former one stays saved."""
    _take_up(store().new(first, note))


def leave() -> None:
    """Close the sketch; the demo takes its place."""
    _take_up(_fresh(demo()))
    st.query_params.pop("sketch", None)


def edit(new: Sketch | Callable[[Sketch], Sketch], note: str = "") -> bool:
    """Make this the present sketch: checked, saved, undoable.

    Returns
    -------
    bool
        False when it was refused; the reason then stands on the page.
    """
    if not may_edit():
        notice("read_only")
        return False
    try:
        made = new(sketch()) if callable(new) else new
        checked = sketch_from_dict(made.model_dump())  # `model_copy` checks nothing
        checked_refs(checked)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return False
    was = sketch()
    if checked == was:
        return True
    _save(checked, note)
    st.session_state[_BEFORE] = was
    return True


def undo() -> None:
    """Take the last edit back."""
    _step(lambda held: store().undo(held.token, held.revision))


def redo() -> None:
    """Bring the undone edit back."""
    _step(lambda held: store().redo(held.token, held.revision))


def go_to(number: int) -> None:
    """Make an earlier revision the present one."""
    _step(lambda held: store().go_to(held.token, number))


def _step(move: Callable[[Opened], Opened]) -> None:
    held = opened()
    if not held.token or not held.may_edit:
        return
    try:
        now = move(held)
    except BadInput as fault:
        notice("fault", sentences=fault.sentences)
        return
    st.session_state[_BEFORE] = held.sketch
    _hold(now)


def _save(checked: Sketch, note: str) -> None:
    held = opened()
    try:
        if not held.token:
            held = store().new(held.sketch)
        saved = store().save(held.token, checked, held.revision, note)
    except BadInput as fault:  # the edit stays on screen and is saved with the next run
        _hold(replace(held, sketch=checked))
        st.session_state[_UNSAVED] = True
        if isinstance(fault, SketchGone) and fault.deleted:
            notice("gone", sentences=fault.sentences, token=held.token)
        notice("unsaved", sentences=fault.sentences)
        return
    st.session_state[_UNSAVED] = False
    _hold(saved.opened)
    _tell(saved)


def _tell(saved: Saved) -> None:
    if saved.outcome == "merged":
        notice("merged")
    elif saved.outcome == "kept_aside":
        notice("kept_aside", number=saved.aside)


def sittings() -> int:
    """How often this window has turned from one sketch to another; widgets carry it in their keys.

    A browser may report a field once more as it was before the turn: under the same key that would
    write the former sketch's value into the new one.
    """
    return st.session_state.get(_SITTINGS, 0)


def _take_up(now: Opened) -> None:
    held = st.session_state.get(_OPENED)
    if held is not None and held.token != now.token:
        st.session_state[_SITTINGS] = sittings() + 1
    _hold(now)
    st.session_state[_BEFORE] = None


def _hold(now: Opened) -> None:
    st.session_state[_OPENED] = now


def _fresh(first: Sketch) -> Opened:
    return Opened(
        token="",
        sketch=first,
        revision=0,
        may_edit=True,
        share_token=None,
        can_undo=False,
        can_redo=False,
        changed_at="",
    )


# --- notices ------------------------------------------------------------------------------


def notice(kind: str, **values) -> None:
    """Leave a message for the top of the page (`ui/notices.py` shows it once)."""
    waiting = st.session_state.setdefault(_NOTICES, [])
    if (kind, values) not in waiting:  # an edit and the run after it may meet the same fault
        waiting.append((kind, values))


def take_notices() -> list[tuple[str, dict]]:
    """The waiting messages, which are then gone."""
    taken = st.session_state.pop(_NOTICES, [])
    st.session_state[_TAKEN] = taken
    return taken


def keep_notices() -> None:
    """Show the present messages once more: before a rerun that nobody asked for."""
    st.session_state[_NOTICES] = st.session_state.get(_TAKEN, [])
