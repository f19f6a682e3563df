"""What a bank gives and takes for long as it is joined: no unit beyond its own limit or fuse."""

from dataclasses import dataclass
from math import floor

from offgrid_sizing.electrical.protection import Device
from offgrid_sizing.electrical.sharing import Sharing
from offgrid_sizing.sketch import BatteryUnit
from offgrid_sizing.wiring_code import WiringCode
from offgrid_sizing.words import Sentence, said, sentence

UNEVEN_FRAC = 0.10  # own choice: the year's balance reckons with even shares
_SLACK = 1 + 1e-6


@dataclass(frozen=True)
class UnitLimits:
    """Limits of the whole bank that keep its hardest-working unit within its own.

    Parameters
    ----------
    joined_discharge_a, joined_charge_a : float
        What the bank as joined may give and take for long. [A]
    discharge_set_a, charge_set_a : int or None, int
        What to set at each machine, rounded down; None where nothing has to be set. [A]
    faults, advice : tuple of str
    """

    joined_discharge_a: float
    joined_charge_a: float
    discharge_set_a: int | None
    charge_set_a: int
    faults: tuple[str, ...]
    advice: tuple[str, ...]


def unit_limits(
    unit: BatteryUnit,
    drawn: Sharing,
    best: Sharing,
    *,
    machines: int,
    discharge_a: float,
    charge_a: float,
    home_a: float | None,
    rule: str,
) -> UnitLimits:
    """Judge the share of the hardest-working unit against what one unit bears.

    Parameters
    ----------
    unit : BatteryUnit
    drawn, best : Sharing
        As tapped, and the most even way of tapping.
    machines : int
    discharge_a, charge_a : float
        Largest lasting currents of all machines. [A]
    home_a : float or None
        The home's own peak on the bank's side, where known. [A]
    rule : str
        Clause that holds a box to its own current.

    Notes
    -----
    The machines may be rated for more than the bank gives, as long as the home's own peak is
    carried and their discharge limit is set to what the bank gives as joined. The charge-current
    setting is lowered to what the hardest-working unit takes; by more than a tenth is a fault,
    since the year was reckoned with even shares.
    """
    count, share = len(drawn.shares), max(drawn.shares)
    gives_a, takes_a = unit.max_discharge_a / share, unit.max_charge_a / share
    faults: list[str] = []
    advice: list[str] = []
    set_a = None
    if discharge_a > gives_a * _SLACK:
        if home_a is not None and home_a <= gives_a:
            set_a = floor(gives_a / machines + 1e-9)
            advice.append(
                sentence("bank.set_discharge", draw_a=discharge_a, gives_a=gives_a, set_a=set_a)
            )
        elif discharge_a > unit.max_discharge_a * count * _SLACK:
            faults.append(
                sentence(
                    "bank.draws_more",
                    draw_a=discharge_a,
                    gives_a=unit.max_discharge_a * count,
                    rule=rule,
                )
            )
        else:
            faults.append(
                _uneven("uneven_discharge", drawn, best, discharge_a, unit.max_discharge_a, rule)
            )
    if takes_a < charge_a * (1 - UNEVEN_FRAC):
        faults.append(_uneven("uneven_charge", drawn, best, charge_a, unit.max_charge_a, rule))
    charge_set_a = floor(min(charge_a, takes_a) / machines + 1e-9)
    return UnitLimits(gives_a, takes_a, set_a, charge_set_a, tuple(faults), tuple(advice))


def _uneven(
    key: str, drawn: Sharing, best: Sharing, total_a: float, limit_a: float, rule: str
) -> Sentence:
    """One unit beyond its limit while the bank as a whole is not."""
    return sentence(
        f"sources.{key}",
        feed=said(f"sources.feed.{drawn.feed}"),
        unit=drawn.worst_unit,
        worst_a=round(max(drawn.shares) * total_a, 1),
        total_a=round(total_a, 1),
        limit_a=limit_a,
        best=said(f"sources.feed.{best.feed}"),
        best_a=round(max(best.shares) * total_a, 1),
        rule=rule,
    )


def fuse_faults(
    worst_a: float, unit: int, device: Device | None, code: WiringCode
) -> tuple[Sentence, ...]:
    """A sentence where the hardest-working unit's own device does not bear its current for long.

    Parameters
    ----------
    worst_a : float
        Lasting current of that unit. [A]
    unit : int
        Its number.
    device : Device or None
    code : WiringCode
        For its continuous-current factor and clause.
    """
    factor = code.continuous_factor
    if device is None or worst_a * factor <= device.rating_a * _SLACK:
        return ()
    return (
        sentence(
            "sources.unit_fuse",
            unit=unit,
            worst_a=round(worst_a, 1),
            rating_a=device.rating_a,
            bears_a=round(device.rating_a / factor, 1),
            rule=code.limits.lasting_current,
        ),
    )
