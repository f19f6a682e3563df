"""The command line: the same answers as the dashboard, as files."""

import json
import os
import subprocess
import sys
from pathlib import Path

import click

from offgrid_sizing import __version__
from offgrid_sizing.cli_papers import FOLDER, LANGUAGE, PAPERS, papers_of_a_sketch
from offgrid_sizing.console import (
    SentenceGroup,
    answer,
    answer_json,
    check_port,
    language,
    say,
    wrote,
)
from offgrid_sizing.sketch import json_schema, read_sketch, sketch_to_json
from offgrid_sizing.words import DEFAULT, LANGUAGES, sentence

# `console` has heard it already, for commands that write nothing in words
SPOKEN = click.option(
    "--language",
    type=click.Choice(list(LANGUAGES)),
    default=DEFAULT,
    show_default=True,
    expose_value=False,
    help="language of messages",
)


@click.group(cls=SentenceGroup, context_settings={"help_option_names": ["-h", "--help"]})
@click.version_option(__version__, prog_name="offgrid-sizing")
@SPOKEN
def main() -> None:
    """Size a home's battery bank, array and inverter-chargers, and see why.

    Results guide a conversation; local codes and a licensed electrician decide what is built.
    """


@main.command()
@click.argument("name", default="farmhouse")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="file to write; else stdout")
@SPOKEN
def demo(name: str, output: Path | None) -> None:
    """Write a demo sketch: farmhouse, town_house or shop (all invented)."""
    from offgrid_sizing.demos import demo as demo_sketch

    _write_text(sketch_to_json(demo_sketch(name, language())), output)


@main.command()
@click.option("-o", "--output", type=click.Path(path_type=Path), help="file to write; else stdout")
@SPOKEN
def schema(output: Path | None) -> None:
    """Print the JSON Schema of a sketch file."""
    _write_text(json.dumps(json_schema(), indent=2) + "\n", output)


def _write_text(text: str, output: Path | None) -> None:
    if output is None:
        click.echo(text, nl=False)
        return
    output.parent.mkdir(parents=True, exist_ok=True)
    output.write_text(text, encoding="utf-8", newline="")
    wrote(output)


for _paper in PAPERS:
    main.add_command(_paper)


@main.command()
@FOLDER
@SPOKEN
def guide(folder: Path) -> None:
    """Write the guide (a tour, the theory, the validation report) as HTML pages."""
    from offgrid_sizing.guide.build import build_guide

    wrote(*build_guide(folder))


@main.command()
@papers_of_a_sketch
def simulate(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Run the system as drawn through its weather and write the year."""
    from offgrid_sizing.outcome import drawn_outcome

    _answer(drawn_outcome, sketch_file, folder, paper, language)


@main.command()
@papers_of_a_sketch
def size(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Find bank, array and inverter-chargers, then run the answer and write it."""
    from offgrid_sizing.outcome import sized_outcome

    _answer(sized_outcome, sketch_file, folder, paper, language)


@main.command()
@papers_of_a_sketch
def compare(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Run the system as drawn under each charge priority."""
    from offgrid_sizing.outcome import compared_outcome

    _answer(compared_outcome, sketch_file, folder, paper, language)


def _answer(solve, sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    from offgrid_sizing.electrical.cautions import LICENSED
    from offgrid_sizing.report.folder import write_folder
    from offgrid_sizing.report.spared import PaperError

    sketch = read_sketch(sketch_file)
    folder.mkdir(parents=True, exist_ok=True)
    outcome = solve(sketch, base_dir=sketch_file.parent, progress=say)
    missing = None
    try:
        written = write_folder(
            outcome, folder, base_dir=sketch_file.parent, paper=paper, language=language,
            progress=say,
        )  # fmt: skip
    except PaperError as fault:
        written, missing = fault.written, fault
    wrote(*written)
    if outcome.sizing is not None and not outcome.sizing.met:
        say(sentence("cli.not_met", why=outcome.sizing.sentence))
    if not outcome.wiring.ok:
        say(outcome.wiring.headline)
    for warning in outcome.warnings:
        say(sentence("cli.put_right", what=warning))
    say(LICENSED)
    answer(outcome.sentence)
    if missing is not None:
        say(missing.sentence)
        raise missing


@main.command()
@click.option("--latitude", type=float, required=True, help="degrees, north positive")
@click.option("--longitude", type=float, required=True, help="degrees, east positive")
@click.option("--elevation", type=float, help="metres; else read from the altitude grid")
@click.option("--years", type=int, default=20, show_default=True)
@click.option("--seed", type=int, default=1, show_default=True)
@click.option("-o", "--output", type=click.Path(path_type=Path), help="hourly CSV to write")
@SPOKEN
def climate(latitude, longitude, elevation, years, seed, output) -> None:
    """Print the built-in climate of a place as JSON; -o writes its hours."""
    from offgrid_sizing.report.csv_text import csv_text
    from offgrid_sizing.weather.report import climate_report

    report, hours = climate_report(latitude, longitude, elevation, years=years, seed=seed)
    if output is not None:
        _write_text(csv_text(hours), output)
    answer_json(report)


@main.command()
@click.argument("meter_file", metavar="FILE", type=click.Path(path_type=Path))
@click.option(
    "--column-map",
    multiple=True,
    metavar="ROLE=COLUMN",
    help="time=..., value=... by header or number; also quantity=, labels=, day_first=yes",
)
@click.option("--quantity", default="auto", show_default=True, help="what the value column holds")
@click.option(
    "--labels",
    type=click.Choice(["auto", "begin", "end"]),
    default="auto",
    show_default=True,
    help="whether time stamps mark the beginning or the end of an interval",
)
@click.option("--day-first/--month-first", default=None, help="for dates such as 03/04/2025")
@click.option("--civil-zone", help="IANA zone of the clock, such as Europe/Rome")
@click.option("--utc-offset", type=float, help="hours of standard time ahead of UTC")
@click.option("-o", "--output", type=click.Path(path_type=Path), help="clean CSV to write")
@SPOKEN
def meter(meter_file, column_map, quantity, labels, day_first, civil_zone, utc_offset, output):
    """Clean a meter's interval file; prints what was found as JSON."""
    from offgrid_sizing.loads.meter import clean_meter_file
    from offgrid_sizing.loads.meter_columns import parse_column_map
    from offgrid_sizing.report.csv_text import csv_text

    options = {"quantity": quantity, "labels": labels}
    for text in column_map:
        options |= parse_column_map(text)
    extra = {"day_first": day_first, "civil_zone": civil_zone, "utc_offset_h": utc_offset}
    options |= {name: value for name, value in extra.items() if value is not None}
    frame, report = clean_meter_file(meter_file, **options)
    if output is not None:
        _write_text(csv_text(frame), output)
    answer_json(report)


@main.command()
@click.argument("source", metavar="FOLDER_OR_CSV", type=click.Path(path_type=Path))
@FOLDER
@click.option(
    "--template",
    type=click.Path(path_type=Path),
    help="sketch that each table row overrides; by default the farmhouse demo, with the mains and "
    "the wiring code of the row's country",
)
@click.option("--workers", type=click.IntRange(1, 256), help="processes; by default one per core")
@click.option("--scheduler", metavar="ADDRESS", help="a running Dask scheduler, tcp://host:port")
@click.option("--pdf", is_flag=True, help="write each site's summary, sheet and labels too")
@LANGUAGE
def batch(source, folder, template, workers, scheduler, pdf, language) -> None:
    """Size many sites: a folder of sketches, or a CSV with name, latitude, longitude, ...

    Run it again and it does only what is missing.
    """
    from offgrid_sizing.batch import Cores, Scheduler, run_batch

    result = run_batch(
        source,
        folder,
        template=template,
        where=Scheduler(scheduler) if scheduler else Cores(workers),
        pdf=pdf,
        language=language,
        progress=say,
    )
    for row in result.refused:
        say(sentence("cli.refused_row", row=row.row, why=row.sentence))
    counts = {"solved": result.solved, "kept": result.kept, "refused": len(result.refused)}
    answer(sentence("cli.batch", table=str(result.table), **counts))


@main.command()
@click.option("--port", type=click.IntRange(0, 65535), default=8501, show_default=True)
@click.option("--address", default="localhost", show_default=True, help="address to listen on")
@click.option("--browser/--no-browser", default=True, help="open a browser window")
@click.option(
    "--access",
    type=click.Choice(["private", "public"]),
    envvar="OFFGRID_ACCESS",
    help="private lists all saved sketches, public never does; "
    "else private only on your own computer, with its browser",
)
@SPOKEN
def dashboard(port: int, address: str, browser: bool, access: str | None) -> None:
    """Open the dashboard."""
    check_port(address, port)
    package = Path(__file__).resolve().parent
    home = next(p for p in (package, package.parent) if (p / "app.py").is_file())
    command = [
        *(sys.executable, "-m", "streamlit", "run", str(home / "app.py")),
        *("--server.port", str(port), "--server.address", address),
        *(() if browser else ("--server.headless", "true")),  # where no screen is, it always is
        *("--logger.hideWelcomeMessage", "true"),  # Streamlit's own, with its advertisement
    ]
    host = "localhost" if address in {"0.0.0.0", "::"} else address
    host = f"[{host}]" if ":" in host else host
    answer(sentence("cli.opens", address=f"http://{host}:{port}"))
    os.chdir(home)  # Streamlit reads its settings from the folder it starts in
    if access:
        os.environ["OFFGRID_ACCESS"] = access
    sys.stdout.flush()
    if os.name == "posix":  # becomes the server: what ends this command ends it too
        os.execv(sys.executable, command)
    sys.exit(subprocess.run(command, check=False).returncode)


if __name__ == "__main__":
    main()
