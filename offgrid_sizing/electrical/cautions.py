"""Short warnings for the screen and every export: what kills, who decides, what is not checked."""

from functools import reduce

from offgrid_sizing.electrical.not_done import NOT_DONE, not_done_words
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.words import Said, said, sentence
from offgrid_sizing.words.spoken import spoken

LICENSED = said("cautions.licensed")
CAN_KILL = said("cautions.can_kill")
# what a page shows beside the hand is what every paper carries: the same keys
KILLS = tuple(said(f"cautions.{what}") for what in ("bank", "array", "backfeed", "wait"))

NOT_CHECKED = tuple(not_done_words(key) for key in NOT_DONE)

# direct voltage, training text on stand-alone systems quoting the IET Code of Practice
BASIC_PROTECTION_ABOVE_V = 30.0
EXTRA_LOW_UP_TO_V = 120.0
# IEC TS 62257-9-2 and 62257-7-1 as quoted: main distribution 6 %, array 5 %
QUOTED_DROP_FRAC = {"ac": 0.06, "array": 0.05}


def high_voltage(volts: float) -> Said | None:
    """The caution of a bank beyond extra-low voltage, None up to it. [V]

    >>> high_voltage(56.0) is None, "448 V" in str(high_voltage(448.0))
    (True, True)
    """
    if volts <= EXTRA_LOW_UP_TO_V:
        return None
    return said("cautions.high_voltage", volts=float(f"{volts:.0f}"), limit=EXTRA_LOW_UP_TO_V)


def voltage_notes(array_v: float, bank_v: float) -> tuple[str, ...]:
    """What the direct voltages mean for touching: covers above 30 V, beyond 120 V can kill. [V]"""
    notes = []
    for name, volts in (("array", array_v), ("bank", bank_v)):
        if volts > BASIC_PROTECTION_ABOVE_V:
            beyond = volts > EXTRA_LOW_UP_TO_V
            limit = EXTRA_LOW_UP_TO_V if beyond else BASIC_PROTECTION_ABOVE_V
            key = f"cautions.{'beyond' if beyond else 'covers'}_{name}"
            notes.append(sentence(key, volts=float(f"{volts:.0f}"), limit=limit))
    return tuple(notes)


def drop_note(title: str, side: str, max_drop_frac: float) -> str | None:
    """A sentence where a sketch allows more voltage drop than quoted guidance, else None."""
    quoted = QUOTED_DROP_FRAC.get(side)
    if quoted is None or max_drop_frac <= quoted:
        return None
    return sentence("cautions.drop", run=title, allowed=max_drop_frac, quoted=quoted)


def _and(first: Said, more: Said) -> Said:
    return said("cautions.and", first=first, more=more)


def cautions(book: RuleBook) -> tuple[Said, ...]:
    """The cautions every page and export carries, with the rule book used.

    Parameters
    ----------
    book : str
        The one shown as chosen; the code it names is set beside it.
    """
    code = code_of(book)
    found = (
        LICENSED,
        *KILLS,
        said("cautions.rules", code=code.title, beside=code_of(code.beside).title),
        said("cautions.unchecked", what=reduce(_and, NOT_CHECKED)),
    )
    return spoken(found, code.words)
