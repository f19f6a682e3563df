"""Whatever goes wrong on a page becomes one sentence and a saved file, never a traceback."""

import logging
import platform
import secrets
import traceback
from contextlib import contextmanager
from datetime import UTC, datetime
from functools import wraps

import streamlit as st

from offgrid_sizing import __version__
from offgrid_sizing.paths import user_dir
from offgrid_sizing.sketch import BadInput, reason_of, sketch_to_json
from offgrid_sizing.store import StoreFault
from offgrid_sizing.ui.access import single_user
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import t, t_raw

_log = logging.getLogger(__name__)
KEPT_DIAGNOSTICS = 50
_SAID = "offgrid_said_on_top"


@contextmanager
def page(name: str):
    """Run a page's body: `with page("size"): ...`. Bad input and faults are said in its place."""
    try:
        yield
    except BadInput as fault:
        say(fault)
    except Exception as fault:  # the last line of defence: said and saved, nothing is hidden
        st.error(t("common.fault", file=save_diagnostic(fault, name)), icon=":material/error:")


def guarded(body):
    """The same for one function: a fragment (below `@st.fragment`) or a callback."""

    @wraps(body)
    def run(*args, **kwargs):
        with page(body.__qualname__):
            return body(*args, **kwargs)

    return run


def say(fault: BadInput) -> None:
    """Show bad input, one line a sentence; what stands on top of the page is not said again."""
    for sentence in sentences_of(fault):
        if sentence in st.session_state.get(_SAID, ()):
            st.caption(t("saving.see_above"))
        else:
            st.error(plain(sentence), icon=":material/edit:")


def sentences_of(fault: BadInput) -> tuple[str, ...]:
    """What bad input says; a fault of the database in the reader's language."""
    if isinstance(fault, StoreFault):
        return (t_raw(f"saving.{fault.kind}", reason=fault.reason),)
    return fault.sentences


def said_on_top(sentences: set[str]) -> None:
    """What this page has said before its own part begins."""
    st.session_state[_SAID] = sentences


def save_diagnostic(fault: Exception, where: str) -> str:
    """Write what a developer needs to a file in the user's folder; what it is called.

    The file stays on this machine; it holds the traceback, versions and the sketch. Where it is
    stands in the log, and on the page only where no stranger reads it.
    """
    now = datetime.now(UTC)
    name = f"{now:%Y%m%dT%H%M%S}-{secrets.token_hex(3)}.txt"
    opened = st.session_state.get("offgrid_opened")
    text = "\n".join(
        (
            f"offgrid-sizing {__version__}, Python {platform.python_version()}, "
            f"Streamlit {st.__version__}, {platform.system()}",
            f"{now.isoformat()} in {where}",
            "".join(traceback.format_exception(fault)),
            sketch_to_json(opened.sketch) if opened else "no sketch",
        )
    )
    try:
        folder = user_dir() / "diagnostics"
        folder.mkdir(parents=True, exist_ok=True)
        (folder / name).write_text(text, "utf-8")
        for old in sorted(folder.glob("*.txt"))[:-KEPT_DIAGNOSTICS]:
            old.unlink(missing_ok=True)
    except OSError as error:  # a full disk must not hide the fault it caused
        return f"({here(reason_of(error))})"
    _log.error("%s in %s: see %s", type(fault).__name__, where, folder / name)
    return str(folder / name) if single_user() else name
