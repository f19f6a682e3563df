"""What many futures say of a system, in sentences for screen and paper."""

from __future__ import annotations

from offgrid_sizing.sizing.futures import ARRAY_FACTORS, Futures
from offgrid_sizing.sizing.unknowns import Spread, Unknown
from offgrid_sizing.units import digits, percent, whole
from offgrid_sizing.words import Figure, Sentence, said, sentence


def verdict(futures: Futures) -> str:
    """Which sentence says what the array would have to be: its key below `sizing.futures`."""
    if futures.band is None:
        return "no_array"
    if futures.array_factor is None:
        return "most"
    if futures.array_factor <= ARRAY_FACTORS[0]:
        return "least"
    if futures.kept_frac >= futures.wanted_share_frac:
        return "smaller"
    return "needed"


def _values(futures: Futures) -> dict[str, Figure]:
    factor = futures.array_factor
    return {
        "served": Figure(percent, futures.served_frac),
        "wanted": Figure(percent, futures.wanted_share_frac),
        "count": Figure(whole, futures.count),
        "target": Figure(percent, futures.target_unserved_frac),
        "kept": Figure(percent, futures.kept_frac),
        "factor": Figure(digits, ARRAY_FACTORS[-1] if factor is None else factor),
    }


def answer_words(futures: Futures) -> Sentence:
    """What share of the load is served in the wanted share of the futures."""
    return sentence("sizing.futures.answer", **_values(futures))


def picture_words(futures: Futures) -> Sentence:
    """What the picture of the band is of."""
    return sentence("sizing.futures.chart_answer", **_values(futures))


def target_words(futures: Futures) -> tuple[Sentence, ...]:
    """How often the target is kept, and what array would keep it often enough."""
    values = _values(futures)
    said_of = ["kept"]
    if futures.kept_frac >= futures.wanted_share_frac:
        said_of.append("enough")
    return tuple(
        sentence(f"sizing.futures.{key}", **values) for key in (*said_of, verdict(futures))
    )


def first_words(futures: Futures) -> Sentence | None:
    """Which unknown is worth finding out first; None where the array is not what decides."""
    first = futures.costliest
    if first is not None and first.array_factor is not None and futures.array_factor is not None:
        return sentence(
            "sizing.futures.find_out",
            what=said(f"sizing.futures.what_{first.name}"),
            factor=Figure(digits, first.array_factor),
            all=Figure(digits, futures.array_factor),
        )
    if futures.array_factor is None or verdict(futures) == "least":
        return None
    return sentence("sizing.futures.nothing")


def spread_words(one: Spread) -> Sentence:
    """How far an unknown may be off."""
    return Sentence(Figure(percent, one.spread)) if one.spread else sentence("sizing.futures.off")


def known_words(futures: Futures, name: Unknown) -> str:
    """The array needed if this one were known; a dash where it is counted as known already."""
    factors = {one.name: one.array_factor for one in futures.if_known}
    if name not in factors:
        return "–"
    known = factors[name]
    if known is None:
        most = Figure(digits, ARRAY_FACTORS[-1])
        return sentence("sizing.futures.not_within", factor=most)
    if futures.array_factor is not None and known >= futures.array_factor:
        return sentence("sizing.futures.no_smaller")
    return sentence("sizing.futures.factor", factor=Figure(digits, known))


def method_words(futures: Futures) -> tuple[Sentence, ...]:
    """Which years stand behind the futures, how they were drawn, what is not in them."""
    years = "many" if futures.weather_years > 1 else "one"
    count = Figure(whole, futures.weather_years)
    return (
        sentence(f"sizing.futures.years_{years}", years=count),
        sentence("sizing.futures.how"),
    )
