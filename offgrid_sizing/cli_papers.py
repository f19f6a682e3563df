"""Commands that write a paper of one sketch, and what such commands take."""

from pathlib import Path

import click

from offgrid_sizing.console import hand_over, language, say, wrote
from offgrid_sizing.sketch import read_sketch
from offgrid_sizing.words import DEFAULT, LANGUAGES, sentence

SKETCH = click.argument("sketch_file", metavar="SKETCH", type=click.Path(path_type=Path))
FOLDER = click.option(
    "-o",
    "--output",
    "folder",
    required=True,
    metavar="DIR",
    type=click.Path(path_type=Path),
    help="folder to write into; created if missing",
)

PAPER = click.option(
    "--paper",
    type=click.Choice(["a4", "us-letter"]),
    default="a4",
    show_default=True,
    help="size of the pages",
)


LANGUAGE = click.option(
    "--language",
    type=click.Choice(list(LANGUAGES)),
    default=language,  # as said before the command, if at all
    show_default=DEFAULT,
    help="language of messages and documents",
)


def papers_of_a_sketch(command):
    """What a command takes that writes papers of one sketch into a folder."""
    return SKETCH(FOLDER(PAPER(LANGUAGE(command))))


def _drawn(sketch_file: Path):
    from offgrid_sizing.outcome import drawn_outcome

    return drawn_outcome(read_sketch(sketch_file), base_dir=sketch_file.parent, progress=say)


@click.command()
@papers_of_a_sketch
def offer(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Write a two-page offer of the system as drawn, to fill in and sign, as offer.pdf."""
    from offgrid_sizing.offers import offers_beside
    from offgrid_sizing.report.offer import Offered, write_offer

    outcome = _drawn(sketch_file)
    say(sentence("search.step.sizing"))
    offered = Offered(outcome, offers_beside(outcome))
    path = write_offer(offered, folder / "offer.pdf", paper=paper, language=language)
    against = offered.offers.why_alone and sentence("cli.not_met", why=offered.offers.why_alone)
    hand_over(outcome, path, "offer", against)


@click.command()
@papers_of_a_sketch
def owner(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Write two pages for the household that lives with the system as drawn, as owner.pdf."""
    from offgrid_sizing.report.owner import Lived, write_owner

    outcome = _drawn(sketch_file)
    path = write_owner(Lived(outcome), folder / "owner.pdf", paper=paper, language=language)
    hand_over(outcome, path, "owner")


@click.command()
@papers_of_a_sketch
def crew(sketch_file: Path, folder: Path, paper: str, language: str) -> None:
    """Write the pack for those who build the system as drawn, as crew.pdf."""
    from offgrid_sizing.report.crew import Built, write_crew

    outcome = _drawn(sketch_file)
    path = write_crew(Built(outcome), folder / "crew.pdf", paper=paper, language=language)
    hand_over(outcome, path, "crew")


@click.command()
@SKETCH
@FOLDER
@LANGUAGE
def drawings(sketch_file: Path, folder: Path, language: str) -> None:
    """Write drawings of the system as drawn: each as SVG and DXF, all of them as drawings.pdf."""
    from offgrid_sizing.report.drawn import write_drawings

    outcome = _drawn(sketch_file)
    *others, last = write_drawings(outcome, folder, language=language)
    wrote(*others)
    hand_over(outcome, last, "drawings")


PAPERS = (offer, owner, crew, drawings)
