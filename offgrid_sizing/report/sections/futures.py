"""The drawn system in many futures, as a section of a summary."""

from offgrid_sizing.outcome import Outcome
from offgrid_sizing.report.model import Notes, Section, Table
from offgrid_sizing.sizing import futures_words as words
from offgrid_sizing.sizing.futures import Futures
from offgrid_sizing.words import sentence


def futures_section(outcome: Outcome) -> Section:
    """How often the target is kept, what array would keep it, what is worth finding out."""
    futures = outcome.futures
    first = words.first_words(futures)
    told = (*words.target_words(futures), *((first,) if first else ()))
    notes = Notes("", (*told, *words.method_words(futures)))
    title = sentence("sizing.section.futures")
    return Section("futures", title, words.answer_words(futures), (notes, _costs(futures)))


def _costs(futures: Futures) -> Table:
    heads = ("what", "spread", "factor")
    rows = tuple(
        (
            sentence(f"sizing.futures.what_{one.name}"),
            words.spread_words(one),
            words.known_words(futures, one.name),
        )
        for one in futures.spreads
    )
    head = tuple(sentence(f"sizing.futures.column_{name}") for name in heads)
    return Table(sentence("sizing.futures.set"), head, rows)
