"""Done while nobody waits yet: libraries loaded, the demo computed, the kernels compiled aside.

Until the kernels are compiled a year is run in plain Python, and work that needs them waits for
the process that compiles them instead of compiling here, where it would hold up every page.
"""

import gc
import inspect
import threading
from importlib import import_module

from offgrid_sizing.demos import demo
from offgrid_sizing.dispatch import warm_kernels, warm_kernels_in_subprocess
from offgrid_sizing.ui import compiled

# Few sketches need the kernels of long efficiency sheets: they are compiled when the first page
# is drawn and read, or when somebody waits for them. [s]
LATER_S = 30.0
# What the first page imports where it is used, the slowest first.
_LIBRARIES = (
    "pandas",
    "plotly.graph_objects",
    "plotly.subplots",
    "pvlib",
    "sqlalchemy.orm",
    "offgrid_sizing.simulation",
    "offgrid_sizing.ui.pages.start",
)


def begin() -> None:
    """Start beside the server, once a process."""
    if not compiled.begun.is_set():
        compiled.begun.set()
        threading.Thread(target=_work, name="offgrid-warm", daemon=True).start()


def _work() -> None:
    from offgrid_sizing.ui import cached

    gc.disable()  # libraries leave no garbage: the search for it took a fifth of their loading
    try:
        for name in _LIBRARIES:
            import_module(name)
        cached.simulation(demo())
        _first_page()
        _keep()
        gc.enable()
        _compile()
        compiled.done.set()
        compiled.wanted.wait(LATER_S)
        _compile(long=True)
    finally:
        gc.enable()
        compiled.done.set()
        compiled.long_done.set()


def _compile(*, long: bool = False) -> None:
    aside = warm_kernels_in_subprocess(long=long)
    if aside is not None:
        aside.wait()
    warm_kernels(long=long)
    _keep()


def _first_page() -> None:
    """What the first page does once a process, done before it is asked for (380 ms measured)."""
    from offgrid_sizing.loads.presets import presets
    from offgrid_sizing.metrics import dark_steps
    from offgrid_sizing.ui import cached, fields
    from offgrid_sizing.ui.charts.year import year_strip

    inspect.stack()  # Streamlit's first element asks for it; it then looks at every module
    presets()
    fields.facts_at(demo(), "title")
    fields.facts_at(demo(), "notes")
    trace = cached.simulation(demo()).trace
    dark = dark_steps(trace.columns["load_w"], trace.columns["unserved_w"])
    year_strip(trace.columns["soc_frac"], dark, trace.step_h, answer="").to_json()


def _keep() -> None:
    """Leave what the libraries hold out of later searches for garbage.

    Streamlit searches all of memory after each run of a page; with pvlib, plotly and numba loaded
    that takes longer than the page itself (160 of 300 ms measured), and nothing else runs then.
    """
    gc.collect()
    gc.freeze()
