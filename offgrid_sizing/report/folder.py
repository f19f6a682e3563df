"""All files of one answer in one folder, the same from the command line and the batch."""

import shutil
from collections.abc import Callable, Iterator
from functools import partial
from pathlib import Path
from tempfile import TemporaryDirectory

from offgrid_sizing.commissioning import sheet_of, sheet_to_text
from offgrid_sizing.outcome import Outcome
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.report.drawn import FILES as DRAWN
from offgrid_sizing.report.hourly import write_hourly
from offgrid_sizing.report.labels import labels_pdf
from offgrid_sizing.report.machine import write_summary_json
from offgrid_sizing.report.outcome_summary import summary_of_outcome
from offgrid_sizing.report.pdf import PAPERS, write_pdf
from offgrid_sizing.report.spared import PaperError, Spared
from offgrid_sizing.report.workbook import write_workbook
from offgrid_sizing.sketch import (
    BadInput,
    Sketch,
    file_inside,
    named_files,
    sketch_to_json,
    with_names,
)
from offgrid_sizing.words import DEFAULT, sentence

FILES = "files"


def _taken_along(
    sketch: Sketch, base_dir: Path | None, folder: Path
) -> tuple[Sketch, dict[str, Path]]:
    """The sketch with its files named as they lie in its new folder; new name -> what to copy.

    A sketch may name files of its own folder only, so those that lie elsewhere come along.
    """
    names, copies = {}, {}
    inside = folder.resolve()
    for field, name in named_files(sketch).items():
        path = file_inside(base_dir, name, field)
        if path.is_relative_to(inside):
            names[field] = path.relative_to(inside).as_posix()
        else:
            names[field] = f"{FILES}/{field.split('.')[-2]}/{path.name}"
            copies[names[field]] = path
    return with_names(sketch, names), copies


def _spare_what_is_read(sketch: Sketch, base_dir: Path | None, places: list[Path]) -> None:
    """Refuse to write over a weather or meter file that happens to be called like an answer."""
    taken = {place.resolve() for place in places}
    for field, name in named_files(sketch).items():
        if file_inside(base_dir, name, field) in taken:
            raise BadInput(sentence("paper.overwritten", field=field, name=name))


def _papers(
    spared: Spared, outcome: Outcome, part: Path, paper: str, language: str
) -> Iterator[Path]:
    """Summary and workbook; where there is a design the commissioning sheet and the labels."""
    both = "summary.pdf, summary.xlsx"
    summary = spared.make(both, lambda: summary_of_outcome(outcome, language=language))
    makers: dict[str, Callable[[Path], object]] = {}
    if summary is not None:
        makers["summary.pdf"] = partial(write_pdf, summary, paper=paper, language=language)
        makers["summary.xlsx"] = partial(write_workbook, summary, language=language)
    sketch, design = outcome.sketch, outcome.design
    if design is not None:
        makers["commissioning.txt"] = lambda path: path.write_text(
            sheet_to_text(sheet_of(sketch, design), language), encoding="utf-8"
        )
        makers["labels.pdf"] = lambda path: path.write_bytes(
            labels_pdf(sketch, design, paper=paper, language=language)
        )
    for name, make in makers.items():
        if spared.make(name, partial(make, part / name)) is not None:
            yield part / name


def _left_by_an_earlier_answer(folder: Path, places: list[Path]) -> list[Path]:
    """Files of an answer that was written here before and that this one does not replace.

    Labels or a sheet beside a summary that refuses the wiring would be taken for its own, and so
    would a paper beside figures whose own could not be made.
    """
    if not (folder / "summary.json").exists():
        return []
    handed = ("labels.pdf", "offer.pdf", "owner.pdf", "crew.pdf", *DRAWN)
    papers = ("summary.pdf", "summary.xlsx", "commissioning.txt", *handed)
    names = (*papers, *(f"hourly_{kind}.csv" for kind in PRIORITIES))
    return [
        folder / name
        for name in names
        if (folder / name) not in places and (folder / name).is_file()
    ]


def write_folder(
    outcome: Outcome,
    folder: Path,
    *,
    base_dir: Path | None = None,
    paper: str = "a4",
    language: str = DEFAULT,
    progress: Callable[[str], None] | None = None,
) -> tuple[Path, ...]:
    """Write summary.json, hourly.csv, summary.pdf, summary.xlsx and sketch.json.

    What an earlier answer left here and this one does not hold goes. Where the system can be wired
    also commissioning.txt and labels.pdf. Papers and workbook are in the language asked for;
    summary.json and the hourly files keep their English keys. A comparison adds one hourly file for
    each priority; files the sketch names come along below `files/`.

    Raises
    ------
    PaperError
        When papers could not be made, after everything else has been written.
    """
    say, spared = progress or (lambda words: None), Spared()
    if paper not in PAPERS:
        raise BadInput(sentence("paper.unknown_paper", paper=paper))
    folder.mkdir(parents=True, exist_ok=True)
    moved, copies = _taken_along(outcome.sketch, base_dir, folder)
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
        say(sentence("paper.step_files"))
        written += _papers(spared, outcome, part, paper, language)
        for name, path in copies.items():
            written.append(part / name)
            written[-1].parent.mkdir(parents=True, exist_ok=True)
            shutil.copyfile(path, written[-1])
            (folder / name).parent.mkdir(parents=True, exist_ok=True)
        places = [folder / path.relative_to(part) for path in written]
        left = _left_by_an_earlier_answer(folder, places)
        _spare_what_is_read(outcome.sketch, base_dir, [*places, *left])
        for path in left:
            path.unlink()
        there = tuple(path.replace(place) for path, place in zip(written, places, strict=True))
    if spared.faults:
        raise PaperError(spared.sentence(), there) from next(iter(spared.faults.values()))
    return there
