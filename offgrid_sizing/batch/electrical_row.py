"""What one row of a batch says about the wiring of its answer."""

from offgrid_sizing.electrical.cautions import CAN_KILL, LICENSED
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.words import together

FIELDS = ("wiring_code", "wiring_ok", "wiring_faults", "wiring_caution")


def electrical_row(verdict: Verdict) -> dict:
    """Code with edition, whether every limit checked is kept, why not, and the cautions.

    Parameters
    ----------
    verdict : Verdict
        `Outcome.wiring`, or `electrical.verdict.verdict_of`. A refused wiring is not ok either.

    Returns
    -------
    dict
        Keys as in `FIELDS`; sentences are joined by " | ", empty where all is well.
    """
    return {
        "wiring_code": verdict.code,
        "wiring_ok": verdict.ok,
        "wiring_faults": together(*verdict.sentences, by=" | "),
        "wiring_caution": together(LICENSED, CAN_KILL, by=" | "),
    }
