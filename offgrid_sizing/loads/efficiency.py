"""Efficiency first: what each appliance costs in bank and array, from the sizing itself.

The home is sized again without an appliance, or with a better one in its place; the difference
is what it costs. The sizing is handed in as a function, so that loads know nothing of it.
"""

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from offgrid_sizing.loads.catalogue import kind_named
from offgrid_sizing.sketch import Appliance, BadInput, Sketch
from offgrid_sizing.units import counted


class Sized(Protocol):
    """What a sizing must answer: whole battery units, modules, and the price of both."""

    units: int
    modules: int
    price: float


@dataclass(frozen=True)
class Swap:
    """A better way to get the same service: its share of the old one's energy, and why.

    Shares are common practice, no source, save where `why` names one.
    """

    kind: str
    better: str
    power_share: float
    why: str


SWAPS = (
    Swap("portable_heater", "heat_pump", 1 / 3, "a heat pump gives about three times its power"),
    Swap("oil_radiator", "heat_pump", 1 / 3, "a heat pump gives about three times its power"),
    Swap("incandescent_lamp", "led_lamp", 9 / 60, "an LED gives the light of 60 W with 9 W"),
    Swap("halogen_lamp", "led_lamp", 7 / 50, "an LED gives the light of 50 W with 7 W"),
    Swap("old_refrigerator", "fridge_freezer", 130 / 725, "modern compressors and insulation"),
    Swap("refrigerator", "dc_refrigerator", 0.55, "a smaller, thicker-walled cabinet"),
    Swap("room_air_conditioner", "split_air_conditioner", 0.6, "variable speed"),
    Swap("tumble_dryer", "heat_pump_dryer", 0.45, "the heat is used again"),
    Swap("washing_machine", "washing_machine_cold", 0.3, "no water is heated"),
    Swap("television_old", "television", 80 / 133, "an LED screen"),
    Swap("desktop_computer", "laptop", 50 / 120, "a laptop does the same work"),
)


@dataclass(frozen=True)
class Saving:
    """What the system needs less without an appliance, or with a better one.

    Parameters
    ----------
    name : str
        The appliance as the sketch calls it.
    change : str
        "left out", or what takes its place.
    units, modules : int
        Fewer battery units and modules; negative where the sizing found more.
    price : float
        Less money for both.
    now : price of the whole as it stands.
    sentence : str
    """

    name: str
    change: str
    units: int
    modules: int
    price: float
    now: float
    sentence: str


def _with_appliances(sketch: Sketch, appliances: tuple[Appliance, ...]) -> Sketch:
    loads = sketch.loads.model_copy(update={"appliances": appliances})
    return sketch.model_copy(update={"loads": loads})


def swap_of(appliance: Appliance) -> Swap | None:
    """The better way known for an appliance of the catalogue."""
    return next((swap for swap in SWAPS if swap.kind == appliance.kind), None)


def swapped(appliance: Appliance, swap: Swap) -> Appliance:
    """The better appliance with the old one's hours: the same service for less power."""
    better = kind_named(swap.better)
    return appliance.model_copy(
        update={
            "name": better.name,
            "kind": better.kind,
            "running_w": appliance.running_w * swap.power_share,
            "power_factor": better.power_factor,
            "starting_multiple": better.starting_multiple,
            "standby_w": min(appliance.standby_w, better.standby_w),
        }
    )


def _saving(name: str, change: str, verb: str, now: Sized, then: Sized) -> Saving:
    units, modules = now.units - then.units, now.modules - then.modules
    price = float(now.price - then.price)
    parts = [
        counted(number, noun)
        for number, noun in ((units, "battery unit"), (modules, "module"))
        if number
    ]
    what = " and ".join(parts) or "no whole battery unit or module"
    sentence = f"{verb} saves {what}" + (f", {price:,.0f} in price." if parts else ".")
    return Saving(name, change, units, modules, price, float(now.price), sentence)


def efficiency_first(
    sketch: Sketch,
    size_fn: Callable[[Sketch], Sized],
    *,
    names: tuple[str, ...] | None = None,
    progress: Callable[[float], None] | None = None,
) -> tuple[Saving, ...]:
    """Size the home without each appliance and with each known better one, dearest first.

    Parameters
    ----------
    sketch : Sketch
    size_fn : callable
        Takes a sketch, gives `units`, `modules` and `price` of its smallest sufficient system;
        may raise BadInput where none is found, and that change is then left out.
    names : tuple of str, optional
        Only these appliances.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    tuple of Saving
        By price saved, highest first.

    Raises
    ------
    BadInput
        When the home as it stands cannot be sized.
    """
    appliances = sketch.loads.appliances
    now = size_fn(sketch)
    tried = [
        (row, a)
        for row, a in enumerate(appliances)
        if a.count > 0 and (names is None or a.name in names)
    ]
    jobs = []
    for row, appliance in tried:
        rest = appliances[:row] + appliances[row + 1 :]
        if any(a.count for a in rest):
            jobs.append((appliance.name, "left out", f"Leaving out {appliance.name}", rest))
        swap = swap_of(appliance)
        if swap is not None:
            better = swapped(appliance, swap)
            verb = f"Replacing {appliance.name} by {better.name} ({swap.why})"
            jobs.append((appliance.name, better.name, verb, (*rest[:row], better, *rest[row:])))
    found = []
    for done, (name, change, verb, others) in enumerate(jobs, 1):
        then = _sized_or_none(size_fn, _with_appliances(sketch, others))
        if then is not None:
            found.append(_saving(name, change, verb, now, then))
        if progress is not None:
            progress(done / len(jobs))
    return tuple(sorted(found, key=lambda saving: -saving.price))


def _sized_or_none(size_fn: Callable[[Sketch], Sized], sketch: Sketch) -> Sized | None:
    try:
        return size_fn(sketch)
    except BadInput:
        # The remaining loads alone leave nothing to size: there is no difference to tell.
        return None
