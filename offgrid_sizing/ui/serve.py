"""Start the dashboard: `python -m offgrid_sizing.ui.serve app.py [Streamlit's options]`.

Streamlit runs the app only when somebody comes; what can be done before is begun here.
"""

import runpy
import sys

from offgrid_sizing.ui import early, handover, hooks, warm


def main(arguments: list[str]) -> None:
    """Run Streamlit in this process, its session and the kernels prepared."""
    early.install()
    handover.install()
    warm.begin()
    run = hooks.command()
    if run is not None:
        run(["run", *arguments])
        return
    sys.argv = ["streamlit", "run", *arguments]
    runpy.run_module("streamlit", run_name="__main__", alter_sys=True)


if __name__ == "__main__":
    main(sys.argv[1:])
