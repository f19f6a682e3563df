"""Fuses and breakers: standard ratings, coordination, voltage and interrupting rating."""

from dataclasses import dataclass

from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.rule_tables import rule_table
from offgrid_sizing.sketch import BadInput, BatteryUnit
from offgrid_sizing.words import sentence

BREAKER_FACTOR = 1.45  # IEC 60364-4-43, 433.1: I2 of a breaker is at most 1.45 In
FUSE_FACTOR = 1.6  # IEC 60269-1, gG from 16 A: conventional fusing current 1.6 In (from memory)


@dataclass(frozen=True)
class Device:
    """A fuse or breaker as it must be bought.

    Parameters
    ----------
    kind : str
        What it is, in generic terms.
    rating_a : float
        Rated current. [A]
    works_at_v, rated_v : float
        Highest voltage met, and the common rating that bears it. [V]
    fault_a : float
        Prospective fault current where it stands. [A]
    breaking_ka : float
        Common interrupting rating at or above it. [kA]
    poles : str
    from_maker : bool
        The rating is the one the machine's maker names.
    rule : str
        Where the rating comes from.
    """

    kind: str
    rating_a: float
    works_at_v: float
    rated_v: float
    fault_a: float
    breaking_ka: float
    poles: str
    from_maker: bool
    rule: str

    @property
    def label(self) -> str:
        """Short text for diagram and bill."""
        return sentence(
            "device.label",
            rating_a=self.rating_a,
            rated_v=self.rated_v,
            breaking_ka=self.breaking_ka,
        )


def standard_ratings_a(book: RuleBook) -> tuple[float, ...]:
    """Standard rated currents of devices in that code. [A]"""
    code = code_of(book)
    return code.table(code.device_table).numbers("rating_a")


def next_rating_a(book: RuleBook, current_a: float) -> float:
    """Smallest standard rating at or above a current. [A]

    Raises
    ------
    BadInput
        Beyond the largest standard rating.

    >>> next_rating_a("nfpa70", 17.5), next_rating_a("iec60364", 17.5)
    (20.0, 20.0)
    """
    ratings = standard_ratings_a(book)
    for rating in ratings:
        if rating >= current_a * (1 - 1e-9):
            return rating
    raise BadInput(sentence("device.beyond_standard", current_a=current_a, largest_a=ratings[-1]))


def _common_at_least(kind: str, value: float) -> float:
    table = rule_table("common_ratings")
    held = [
        float(number) for row_kind, number in table.rows if row_kind == kind
    ]  # sorted in the table
    for rating in held:
        if rating >= value:
            return rating
    raise BadInput(sentence(f"device.beyond_common.{kind}", value=value, largest=held[-1]))


def rated_dc_v(works_at_v: float) -> float:
    """Common direct-voltage rating at or above a voltage. [V]

    Raises
    ------
    BadInput
        When the voltage is not above zero, or beyond what devices are made for.
    """
    if not works_at_v > 0:
        raise BadInput(sentence("device.no_voltage", volts=works_at_v))
    return _common_at_least("dc_v", works_at_v)


def rated_ac_v(works_at_v: float) -> float:
    """Common alternating-voltage rating at or above a voltage. [V]"""
    return _common_at_least("ac_v", works_at_v)


def breaking_ka(fault_a: float) -> float:
    """Common interrupting rating at or above a prospective fault current. [kA]"""
    return _common_at_least("breaking_ka", fault_a / 1000)


def coordinated(
    design_a: float, rating_a: float, capacity_a: float, device_factor: float = BREAKER_FACTOR
) -> bool:
    """Whether load, device and conductor fit: Ib ≤ In ≤ Iz and I2 ≤ 1.45 Iz.

    Parameters
    ----------
    design_a, rating_a, capacity_a : float
        Design current, device rating, corrected conductor capacity. [A]
    device_factor : float
        Conventional operating current of the device over its rating, 1.45 or 1.6.

    References
    ----------
    IEC 60364-4-43, 433.1, as quoted in public texts.

    >>> coordinated(28, 32, 36)
    True
    """
    slack = 1 + 1e-9
    return (
        design_a <= rating_a * slack
        and rating_a <= capacity_a * slack
        and device_factor * rating_a <= 1.45 * capacity_a * slack
    )


@dataclass(frozen=True)
class FaultCurrent:
    """Prospective fault current of one battery unit and how it was found. [A]"""

    unit_a: float
    ten_times_capacity_a: float
    by_resistance_a: float
    named_a: float | None
    basis: str


def unit_fault_current(unit: BatteryUnit) -> FaultCurrent:
    """Prospective short-circuit current of one unit: the largest figure that can be had.

    10 × C (IEC TS 62257-5, 9.4.2.3, as quoted) is for banks without a maker's value and can be
    too low for LiFePO4, so the maker's value and charge voltage over internal resistance are
    set beside it and the largest holds.
    """
    ten = 10 * unit.capacity_ah
    ohm = unit.internal_resistance_ohm
    by_ohm = unit.charge_v / ohm if ohm > 0 else 0.0
    named = unit.fault_current_a
    figures = {
        "ten_times": ten,
        "resistance": by_ohm,
        "maker": named or 0.0,
    }
    largest = max(figures, key=lambda name: figures[name])
    basis = sentence(f"device.fault_basis.{largest}")
    return FaultCurrent(figures[largest], ten, by_ohm, named, basis)
