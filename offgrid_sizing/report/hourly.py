"""The year step by step, as a file anyone can close with a spreadsheet."""

from pathlib import Path

import pandas as pd

from offgrid_sizing.report.csv_text import csv_text
from offgrid_sizing.simulation import Simulation

# enough digits that a row still closes to 1e-6 after printing
FLOAT_FORMAT = "%.14g"


def hourly_frame(simulation: Simulation) -> pd.DataFrame:
    """One row a step, powers as means over the step; columns in the order the README lists."""
    frame = pd.DataFrame(simulation.trace.columns)
    # every label carries the same fixed offset, written with its colon as ISO 8601 asks
    offset = simulation.time[0].isoformat()[-6:]
    frame.insert(0, "time", simulation.time.strftime("%Y-%m-%dT%H:%M:%S") + offset)
    return frame


def write_hourly(simulation: Simulation, path: Path) -> Path:
    """Write the year as CSV."""
    text = csv_text(hourly_frame(simulation), float_format=FLOAT_FORMAT)
    path.write_text(text, encoding="utf-8", newline="")
    return path
