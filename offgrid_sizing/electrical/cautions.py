"""Short warnings for the screen and every export: what kills, who decides, what is not checked."""

from offgrid_sizing.electrical.not_done import NOT_DONE, not_done_words
from offgrid_sizing.electrical.sizes import RuleBook, code_of

LICENSED = (
    "This is a plan, not a permit. Local code and a licensed electrician decide; have the work "
    "done or checked by one."
)
BANK_KILLS = (
    "A battery bank cannot be switched off. A dropped tool across its busbars draws thousands of "
    "amperes: burns, molten metal, fire. Insulated tools, no rings or watches, covers on."
)
ARRAY_KILLS = (
    "Modules are live whenever there is light. A string's direct voltage can kill, and its arc "
    "does not go out by itself. Open the load-break isolator before any connector."
)
BACKFEED_KILLS = (
    "An inverter can feed wires that look dead. Lock the grid and generator switches open and "
    "prove every conductor dead with a tester before touching it."
)
WAIT = (
    "Capacitors hold their charge after shutdown. Wait the time on the box's own label, then "
    "measure, then touch."
)
CAN_KILL = (
    "Bank and array can kill even when all is switched off, and an inverter-charger can feed wires "
    "that look dead."
)

NOT_CHECKED = tuple(str(not_done_words(key)) for key in NOT_DONE)

# direct voltage, training text on stand-alone systems quoting the IET Code of Practice
BASIC_PROTECTION_ABOVE_V = 30.0
EXTRA_LOW_UP_TO_V = 120.0
# IEC TS 62257-9-2 and 62257-7-1 as quoted: main distribution 6 %, array 5 %
QUOTED_DROP_FRAC = {"ac": 0.06, "array": 0.05}


def voltage_notes(array_v: float, bank_v: float) -> tuple[str, ...]:
    """What the direct voltages mean for touching: covers above 30 V, beyond 120 V can kill. [V]"""
    notes = []
    for name, volts in (("array", array_v), ("bank", bank_v)):
        if volts > EXTRA_LOW_UP_TO_V:
            notes.append(
                f"the {name} reaches {volts:.0f} V, beyond extra-low voltage "
                f"({EXTRA_LOW_UP_TO_V:g} V): touching it can kill."
            )
        elif volts > BASIC_PROTECTION_ABOVE_V:
            notes.append(
                f"the {name} reaches {volts:.0f} V, above {BASIC_PROTECTION_ABOVE_V:g} V: "
                "cover every bare part."
            )
    return tuple(notes)


def drop_note(title: str, side: str, max_drop_frac: float) -> str | None:
    """A sentence where a sketch allows more voltage drop than quoted guidance, else None."""
    quoted = QUOTED_DROP_FRAC.get(side)
    if quoted is None or max_drop_frac <= quoted:
        return None
    return (
        f"{title}: {max_drop_frac:.0%} drop is allowed; IEC TS 62257 as quoted advises "
        f"{quoted:.0%} at most."
    )


def cautions(book: RuleBook) -> tuple[str, ...]:
    """The cautions every page and export carries, with the rule book used.

    Parameters
    ----------
    book : str
        The one shown as chosen; the code it names is set beside it.
    """
    code = code_of(book)
    return (
        LICENSED,
        BANK_KILLS,
        ARRAY_KILLS,
        BACKFEED_KILLS,
        WAIT,
        f"Sizes shown follow {code.title}; {code_of(code.beside).title} is set beside "
        "them. Tables were copied by hand, some from memory: compare with the edition in force "
        "where you live.",
        "Not checked here: " + "; ".join(NOT_CHECKED) + ".",
    )
