"""All files of one answer in one folder, the same from the command line and the batch."""

import os
from collections.abc import Callable
from pathlib import Path
from tempfile import TemporaryDirectory

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.hourly import write_hourly
from offgrid_sizing.report.machine import write_summary_json
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import write_pdf
from offgrid_sizing.report.workbook import write_workbook
from offgrid_sizing.sketch import Sketch, sketch_to_json


def _moved(sketch: Sketch, base_dir: Path, folder: Path) -> Sketch:
    """The sketch with the files it names still found from its new folder."""

    def there(name: str) -> str:
        path = Path(name)
        return name if path.is_absolute() else os.path.relpath(base_dir / path, folder)

    if sketch.weather.file:
        weather = sketch.weather.model_copy(update={"file": there(sketch.weather.file)})
        sketch = sketch.model_copy(update={"weather": weather})
    if sketch.loads.metered:
        metered = sketch.loads.metered
        metered = metered.model_copy(update={"file": there(metered.file)})
        loads = sketch.loads.model_copy(update={"metered": metered})
        sketch = sketch.model_copy(update={"loads": loads})
    return sketch


def write_folder(
    outcome: Outcome,
    folder: Path,
    *,
    base_dir: Path | None = None,
    paper: str = "a4",
    progress: Callable[[str], None] | None = None,
) -> tuple[Path, ...]:
    """Write summary.json, hourly.csv, summary.pdf, summary.xlsx and sketch.json.

    A comparison adds one hourly file for each priority.
    """
    say = progress or (lambda words: None)
    folder.mkdir(parents=True, exist_ok=True)
    moved = _moved(outcome.sketch, base_dir or Path(), folder)
    # written beside and moved when whole: whoever stops us half-way leaves no mixed folder
    with TemporaryDirectory(prefix=".writing-", dir=folder) as beside:
        part = Path(beside)
        sketch_path = part / "sketch.json"
        sketch_path.write_text(sketch_to_json(moved), encoding="utf-8")
        written = [
            write_summary_json(outcome, part / "summary.json"),
            write_hourly(outcome.simulation, part / "hourly.csv"),
            sketch_path,
        ]
        for year in outcome.strategies:
            written.append(write_hourly(year.simulation, part / f"hourly_{year.kind}.csv"))
        say("paper and workbook")
        summary = summary_of_outcome(outcome)
        written.append(write_pdf(summary, part / "summary.pdf", paper=paper))
        written.append(write_workbook(summary, part / "summary.xlsx"))
        return tuple(path.replace(folder / path.name) for path in written)
