"""The bank by itself: addresses, levelling unit by unit, and what is measured before joining."""

from offgrid_sizing.chemistry import Chemistry
from offgrid_sizing.commissioning.assembly import chemistry_of, part
from offgrid_sizing.commissioning.layout import HABIT, Row, Section, Words, line, note, value
from offgrid_sizing.commissioning.manual import BLANK
from offgrid_sizing.electrical.bank import BankWiring
from offgrid_sizing.electrical.cautions import EXTRA_LOW_UP_TO_V
from offgrid_sizing.electrical.readings import rest_voltage_v
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said

MAX_SPREAD_V = 0.05  # common practice: an article on paralleling LiFePO4 batteries
RESISTOR_ABOVE_V = 0.3  # the same
REST_SPREAD = 0.01  # common practice, no source
GRAVITY_KG_PER_L = (1.24, 1.28)  # filled for stationary use, full, 25 °C; from memory


def addresses(bank: BankWiring) -> Section:
    """Waking, addresses and the communication cable of units with electronics of their own."""
    rows = [line("addresses.first", str(bank.addresses[0][0]), "ok", note("bank_port"))]
    rows += [
        line("addresses.unit", str(number), "ok", number=number) for number, _ in bank.addresses[1:]
    ]
    rows += [
        line("addresses.close", blank="ok"),
        line("addresses.wake", value("no_alarm"), "ok", note("wake")),
    ]
    return part("addresses", rows, ordered=True)


def joining(sketch: Sketch, bank: BankWiring, soc_frac: float) -> Section:
    """Separate, charge each alone, rest, compare, measure against the bar, and only then join."""
    chemistry = chemistry_of(sketch)
    rows = [line("bank.separate", blank="ok")]
    rows += [line("bank.plates", blank="ok", note=HABIT)] if chemistry.vented else []
    rows += _each_alone(sketch, bank)
    rows += _vented_rows() if chemistry.vented else []
    unit_v = sketch.equipment.battery.charge_v
    allowed = _allowed(unit_v, chemistry)
    if len(bank.addresses) > 1:
        because = _because(unit_v, chemistry)
        rows += [line("bank.spread", allowed, "mV", because), _unequal(unit_v)]
    rows.append(line("bank.polarity", "+", "ok"))
    if bank.in_series > 1:
        rows.append(line("bank.join_series", blank="ok", note=note("cover_links")))
    if bank.in_parallel > 1:
        across = _allowed(bank.highest_v, chemistry)
        rows.append(line("bank.difference", across, "mV", note("difference")))
    rows.append(_joined(bank))
    rows += [
        _total(sketch, bank, chemistry, soc_frac),
        line("bank.machine_polarity", "+", "ok"),
        line("bank.join_machine", blank="ok"),
    ]
    return part("joining", rows, ordered=True)


def _each_alone(sketch: Sketch, bank: BankWiring) -> list[Row]:
    """A line for each unit, with the full voltage the system is drawn for."""
    volts = sketch.equipment.battery.charge_v
    return [
        line("bank.charge", blank="V", number=number, volts=volts) for number, _ in bank.addresses
    ]


def _vented_rows() -> list[Row]:
    low, high = GRAVITY_KG_PER_L
    usual = value("gravity", low=low, high=high)
    return [
        line("bank.gravity", f"{BLANK} kg/L", "kg/L", note("gravity", usual=usual)),
        line("bank.top_up", blank="ok", note=HABIT),
    ]


def _spread_known(volts: float) -> bool:
    """The article speaks of extra-low voltage; beyond it the manual is asked."""
    return volts <= EXTRA_LOW_UP_TO_V


def _allowed(volts: float, chemistry: Chemistry) -> Words:
    if not _spread_known(volts) or not chemistry.managed:
        return f"{BLANK} mV"
    return f"≤ {MAX_SPREAD_V * 1000:g} mV"


def _because(unit_v: float, chemistry: Chemistry) -> Words:
    if not _spread_known(unit_v):
        return note("manual")
    if not chemistry.managed:
        return note("usual", usual=f"≤ {MAX_SPREAD_V * 1000:g} mV")
    return note("spread")


def _unequal(unit_v: float) -> Row:
    if not _spread_known(unit_v):
        return line("bank.unequal", blank="ok", note=HABIT)
    return line("bank.unequal", blank="ok", note=note("resistor", above=RESISTOR_ABOVE_V * 1000))


def _joined(bank: BankWiring) -> Row:
    if bank.in_parallel == 1:
        return line("bank.join_one", blank="ok")
    share = bank.sharing.over_equal_frac
    feed = said(f"sources.feed.{bank.sharing.feed}")
    return line("bank.join", value("share", share=share), "ok", note("feed", feed=feed))


def _total(sketch: Sketch, bank: BankWiring, chemistry: Chemistry, soc_frac: float) -> Row:
    """What the joined bank shows at rest; some chemistries do not tell their charge by it."""
    rest = rest_voltage_v(sketch.equipment.battery, bank.in_series, soc_frac)
    flat = chemistry.rest.is_flat(soc_frac)
    because: Words = (
        said("commissioning.sheet.flat", chemistry=said(chemistry.short_key)) if flat else HABIT
    )
    return line("bank.total", around(rest, REST_SPREAD, "V", 1), "V", because, soc=soc_frac)


def around(number: float, spread: float, unit: str, digits: int = 0) -> Words:
    """A reading with its span, in the digits a meter shows."""
    low, high = number * (1 - spread), number * (1 + spread)
    key = f"around_{digits}"
    return value(key, number=number, low=low, high=high, unit=unit)
