"""What bears a start: overload against time, sag of a bank, dip of a generator or a line."""

from collections.abc import Sequence
from math import inf, sqrt

from offgrid_sizing.sketch import InverterCharger

# IEC 60725, reference impedance of a low-voltage line at 230 V, 0.40 + j0.25 Ω; from memory
REFERENCE_OHM, REFERENCE_V = sqrt(0.40**2 + 0.25**2), 230.0
# A motor is still pulled up, contactors and controls still hold: common practice, no source
DIP_LIMIT_FRAC = 0.30


def borne_s(inverter: InverterCharger, ratio: float) -> float:
    """How long a load is borne, as a multiple of the rated VA. [s]

    Without points of its own the machine's heat is taken to rise with the square of the load
    beyond the rating, so that surge VA are borne for just the stated seconds (common practice, no
    source). With points, a load between two of them is borne as long as the larger one. Beyond
    the largest it trips at once.

    >>> [borne_s(InverterCharger(), ratio) for ratio in (2.0, 1.5, 1.0)]
    [5.0, 12.0, inf]
    """
    if ratio <= 1.0:
        return inf
    if inverter.overload_curve:
        points = sorted(inverter.overload_curve)
        return next((seconds for load, seconds in points if ratio <= load), 0.0)
    surge = inverter.surge_va / inverter.rated_va
    if ratio > surge:
        return 0.0
    return inverter.surge_s * (surge**2 - 1) / (ratio**2 - 1)


def overload_spent(inverter: InverterCharger, parts: Sequence[tuple[float, float]]) -> float:
    """Share of the overload a machine bears that is spent by (multiple, seconds); 1 trips it.

    Each part spends its seconds over those it could last; infinite beyond the largest load.
    """
    spent = 0.0
    for ratio, seconds in parts:
        limit = borne_s(inverter, ratio)
        spent += seconds / limit if limit > 0 else inf
    return spent


def sag_v(rest_v: float, ohm: float, power_w: float) -> float | None:
    """Voltage of a bank behind its resistance while it gives a power. [V]

    V (V₀ − V) / R = P, the upper root; None where no voltage gives that power.

    >>> sag_v(50.0, 0.1, 4000.0)
    40.0
    >>> sag_v(50.0, 0.1, 6500.0) is None
    True
    """
    inside = rest_v**2 - 4 * ohm * power_w
    return None if inside < 0 else (rest_v + sqrt(inside)) / 2


def dip_frac(reactance_frac: float, load_frac: float) -> float:
    """Share of the voltage lost behind a source impedance, both over the source's rating.

    Impedances in phase, which is the safe side.

    >>> dip_frac(0.25, 1.0)
    0.2
    """
    drop = reactance_frac * load_frac
    return drop / (1 + drop)


def generator_reactance_frac(start_multiple: float) -> float:
    """Reactance while a motor starts of a set that gives this many VA at the largest dip.

    >>> round(generator_reactance_frac(1.5), 4)
    0.2857
    """
    return DIP_LIMIT_FRAC / ((1 - DIP_LIMIT_FRAC) * start_multiple)


def line_ohm(stated: float | None, line_v: float) -> float:
    """Impedance of the line: as stated, else the reference scaled to this voltage. [Ω]

    The reference load draws the same share of its voltage, so ohms go with volts squared.
    """
    return REFERENCE_OHM * (line_v / REFERENCE_V) ** 2 if stated is None else stated
