"""Efficiency first: what each appliance costs in bank and array, from the sizing itself.

The home is sized again without an appliance, or with a better one in its place; the difference
is what it costs. The sizing is handed in as a function, so that loads know nothing of it.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Protocol

from offgrid_sizing.loads.catalogue import kind_named
from offgrid_sizing.sketch import Appliance, BadInput, Sketch
from offgrid_sizing.words import Sentence, sentence


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

    @property
    def why(self) -> Sentence:
        """Why it does with less."""
        return sentence(f"household.why.{self.kind}")


SWAPS = (
    Swap("portable_heater", "heat_pump", 1 / 3),
    Swap("oil_radiator", "heat_pump", 1 / 3),
    Swap("incandescent_lamp", "led_lamp", 9 / 60),
    Swap("halogen_lamp", "led_lamp", 7 / 50),
    Swap("old_refrigerator", "fridge_freezer", 130 / 725),
    Swap("refrigerator", "dc_refrigerator", 0.55),
    Swap("room_air_conditioner", "split_air_conditioner", 0.6),
    Swap("tumble_dryer", "heat_pump_dryer", 0.45),
    Swap("washing_machine", "washing_machine_cold", 0.3),
    Swap("television_old", "television", 80 / 133),
    Swap("desktop_computer", "laptop", 50 / 120),
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
    key = {(True, True): "both", (True, False): "units", (False, True): "modules"}.get(
        (units != 0, modules != 0), "nothing"
    )
    told = sentence(f"household.saves.{key}", verb=verb, units=units, modules=modules, price=price)
    return Saving(name, change, units, modules, price, float(now.price), told)


def _changes(
    appliances: tuple[Appliance, ...], names: tuple[str, ...] | None
) -> Iterator[tuple[str, str, str, tuple[Appliance, ...]]]:
    """Each change to try: appliance, what takes its place, its words, the appliances then."""
    for row, appliance in enumerate(appliances):
        if appliance.count == 0 or (names is not None and appliance.name not in names):
            continue
        if appliance.board == "unprotected":  # the grid alone feeds it: it costs no bank and array
            continue
        rest = appliances[:row] + appliances[row + 1 :]
        if any(a.count and a.board == "protected" for a in rest):
            verb = sentence("household.saves.leaving_out", name=appliance.name)
            yield appliance.name, sentence("household.saves.left_out"), verb, rest
        swap = swap_of(appliance)
        if swap is not None:
            better = sentence(f"appliances.kind.{swap.better}")
            verb = sentence(
                "household.saves.replacing", name=appliance.name, better=better, why=swap.why
            )
            others = (*rest[:row], swapped(appliance, swap), *rest[row:])
            yield appliance.name, better, verb, others


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
    jobs = list(_changes(appliances, names))
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
