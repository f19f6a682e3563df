"""The part `electrical.starts` of `summary.json`: whether each motor starts, and on what."""

from offgrid_sizing.electrical.start_verdicts import Starts, verdict_words
from offgrid_sizing.electrical.starts import MotorStart, Strain


def starts_part(starts: Starts) -> dict:
    """Each motor's verdict on every source, and what would help it."""
    return {
        "sentence": starts.sentence,
        "caution": starts.caution,
        "sources": starts.sources,
        "motors": [_motor(row) for row in starts.rows],
    }


def _motor(row: MotorStart) -> dict:
    event = row.event
    return {
        "name": event.name,
        "motor": event.motor,
        "running_va": event.running_va,
        "starting_va": event.start_va,
        "start_s": event.start_s,
        "multiple_below_usual": event.unusual,
        "beside_va": row.beside_va,
        "verdict": row.verdict,
        "sentence": verdict_words(row),
        "remedies": row.remedies,
        "on": [
            {
                "source": one.source,
                "verdict": one.verdict,
                "room_beside_va": one.room_va,
                "beside_all": _strain(one.beside),
                "alone": _strain(one.alone),
            }
            for one in row.sources
        ],
    }


def _strain(strain: Strain) -> dict:
    return {
        "limit_broken": strain.limit or None,
        "load_frac": strain.load_frac,
        "start_s": strain.start_s,
        "overload_spent_frac": strain.spent_frac,
        "bank_v": strain.bank_v,
        "bank_a": strain.bank_a,
        "dip_frac": strain.dip_frac,
    }
