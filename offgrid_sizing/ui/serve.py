"""Start the dashboard: `python -m offgrid_sizing.ui.serve app.py [Streamlit's options]`.

Streamlit runs the app only when somebody comes; what can be done before is begun here.
"""

import sys

from streamlit.web import cli

from offgrid_sizing.ui import early, handover, warm


def main(arguments: list[str]) -> None:
    """Run Streamlit in this process, its session and the kernels prepared."""
    early.install()
    handover.install()
    warm.begin()
    cli.main(["run", *arguments])


if __name__ == "__main__":
    main(sys.argv[1:])
