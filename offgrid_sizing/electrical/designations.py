"""One reference designation for each device and run, the same on every paper and screen.

In the manner of IEC 81346-2, whose classes are given here from memory: B a monitor, F protection
that acts by itself (fuse, circuit breaker, residual-current and surge protective device), G a
source (array, battery unit, generator), Q switching and disconnecting, T a converter
(inverter-charger), W a conductor run, X a bar, terminal, board or electrode. Numbers count within
their class in a fixed order: array, bank, machines, supply, outputs, earth. Alike ones share a
number and are told apart after a dot (`-F3.1` to `-F3.6`), so that one unit more renames nothing;
the devices of the two poles of one run are one device. The protective conductor of a run is
`-W3:PE`.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

from offgrid_sizing.electrical.inspection_row import run_name
from offgrid_sizing.electrical.protection import rated_dc_v
from offgrid_sizing.wiring_code import SwitchMark
from offgrid_sizing.words import Said, said

if TYPE_CHECKING:
    from offgrid_sizing.electrical.earth import EarthChoice
    from offgrid_sizing.electrical.inspection import Inspection
    from offgrid_sizing.electrical.inspection_row import Seen
    from offgrid_sizing.electrical.run_design import RunDesign

Letter = Literal["B", "F", "G", "Q", "T", "W", "X"]
# The device of a run that has one, by the run.
RUN_DEVICE = {
    "string": "string_fuse",
    "unit_lead": "unit_fuse",
    "bank_to_inverter": "bank_fuse",
    "grid_in": "grid_breaker",
    "generator_in": "generator_breaker",
    "ac_in": "ac_in_breaker",
    "ac_in_common": "ac_in_common_breaker",
    "ac_out": "ac_out_breaker",
    "ac_out_common": "ac_out_common_breaker",
}


@dataclass(frozen=True)
class Designated:
    """A device or run, or several alike, with its designation.

    Parameters
    ----------
    key : str
        What it is in the design; runs are `run.<key>`, residual-current devices
        `residual.<run>`, arrays `array.<plan>`.
    letter : {"B", "F", "G", "Q", "T", "W", "X"}
    number : int
        Within its class, from 1 on.
    count : int
        How many alike there are.
    run : str
        Key of the run it is or stands in; empty where it stands in none.
    what : Said or str
        Its name.
    rating : Said
        What it bears, in short.
    plate : SwitchMark or None
        What must stand on the plate of a switch; None for all else.
    """

    key: str
    letter: Letter
    number: int
    count: int
    run: str
    what: Said | str
    rating: Said
    plate: SwitchMark | None = None

    def of(self, first: int, last: int | None = None) -> str:
        """One of them, or those from the first to the last; places count from 1.

        >>> fuse = Designated("unit_fuse", "F", 3, 6, "unit_lead", "", said("designations.title"))
        >>> fuse.of(2), fuse.of(2, 4), fuse.label
        ('-F3.2', '-F3.2…4', '-F3.1…6')
        """
        stem = f"-{self.letter}{self.number}"
        if self.count == 1:
            return stem
        last = first if last is None else last
        return f"{stem}.{first}" if last == first else f"{stem}.{first}…{last}"

    @property
    def label(self) -> str:
        """All of them."""
        return self.of(1, self.count)

    @property
    def singles(self) -> tuple[str, ...]:
        """The designation of every single one."""
        return tuple(self.of(place) for place in range(1, self.count + 1))


@dataclass(frozen=True)
class Designations:
    """All designations of a design, in the order they were given."""

    items: tuple[Designated, ...]

    def __iter__(self) -> Iterator[Designated]:
        return iter(self.items)

    def get(self, key: str) -> Designated | None:
        """A device or run by its key; None where the design has none."""
        return next((one for one in self.items if one.key == key), None)

    def label(self, *keys: str) -> str:
        """Designations of several devices in a row; empty without any."""
        return ", ".join(one.label for one in map(self.get, keys) if one is not None)

    def plate(self, key: str) -> Said | str:
        """What must stand on the plate of a switch, in words; empty without such a switch."""
        found = self.get(key)
        return "" if found is None or found.plate is None else plate_words(found.plate)

    def conductor(self, run: str) -> str:
        """The designation of a run's conductors."""
        return self.label(f"run.{run}")

    def device(self, run: str) -> str:
        """The designation of the fuse or breaker of a run; empty without one."""
        return self.label(RUN_DEVICE.get(run, ""))


def plate_words(plate: SwitchMark) -> Said:
    """Category or listing of a switch, in words."""
    return said(f"designations.plate.{plate.kind}", mark=plate.mark)


class _Register:
    """Gives each class its next number."""

    def __init__(self) -> None:
        self.found: list[Designated] = []
        self.used: Counter[str] = Counter()

    def add(
        self,
        letter: Letter,
        key: str,
        rating: Said,
        count: int = 1,
        run: str = "",
        what: Said | str | None = None,
        plate: SwitchMark | None = None,
    ) -> None:
        self.used[letter] += 1
        name = said(f"designations.what.{key}") if what is None else what
        number = self.used[letter]
        self.found.append(Designated(key, letter, number, count, run, name, rating, plate))

    def switch(
        self, key: str, rating: str, plate: SwitchMark, count: int, run: str, **values: object
    ) -> None:
        """A switch that breaks load, with what must stand on its plate."""
        words = said(f"designations.{rating}", **values, mark=plate.mark)
        self.add("Q", key, words, count, run, plate=plate)

    def breaker(self, run: RunDesign) -> None:
        """The fuse or breaker of a run, where it has one."""
        device = run.shown.device
        if device is not None:
            rating = said(
                "designations.device",
                rating_a=device.rating_a,
                rated_v=device.rated_v,
                breaking_ka=device.breaking_ka,
            )
            self.add("F", RUN_DEVICE[run.need.key], rating, run.need.count, run.need.key)

    def conductor(self, run: RunDesign) -> None:
        """The conductors of a run."""
        need, choice = run.need, run.shown
        rating = said(
            "designations.conductor",
            size=choice.label,
            length_m=need.run.length_m,
            design_a=float(f"{choice.design_a:.3g}"),
            drop=round(100 * choice.judged.drop_frac, 1),
        )
        self.add("W", f"run.{need.key}", rating, need.count, need.key, run_name(need))


def _array(new: _Register, seen: Seen, inspection: Inspection) -> None:
    string, feeder = seen.run("string"), seen.run("array_feeder")
    if string is None or feeder is None:
        return
    power_w = seen.sketch.equipment.module.power_w
    for place, plan in enumerate(seen.plans, start=1):
        rating = said(
            "designations.array",
            plane=plan.plane[:34],
            strings=plan.strings,
            in_series=plan.in_series,
            power_w=power_w,
        )
        new.add("G", f"array.{place}", rating, what=said("designations.what.array"))
    new.breaker(string)
    new.conductor(string)
    inputs, need = feeder.need.count, feeder.need
    new.switch(
        "array_isolator",
        "switch",
        seen.code.switches.array_isolator,
        inputs,
        need.key,
        design_a=_up(feeder.shown.design_a),
        rated_v=rated_dc_v(need.highest_v),
    )
    new.add("F", "surge_array", _surge(seen, "array", inspection.surge_array_v), inputs, need.key)
    new.conductor(feeder)


def _up(current_a: float) -> float:
    """A current as asked for, in three figures. [A]"""
    return float(f"{current_a:.3g}")


def _surge(seen: Seen, side: str, volts: float) -> Said:
    kind = said(f"designations.surge_type.{seen.sketch.building.lightning_rod}")
    least = -int(-volts // 1)
    return said(f"designations.surge_{side}", kind=kind, volts=least)


def _bank(new: _Register, seen: Seen) -> None:
    bank, lead, joined = seen.bank, seen.run("unit_lead"), seen.run("bank_to_inverter")
    if bank is None or lead is None or joined is None:
        return
    unit = seen.sketch.equipment.battery
    rating = said("designations.unit", volts=unit.nominal_v, capacity_ah=unit.capacity_ah)
    new.add("G", "unit", rating, bank.in_series * bank.in_parallel)
    new.breaker(lead)
    new.conductor(lead)
    if bank.busbar is not None:
        bar = said("designations.bar", size=bank.busbar.label, bears_a=bank.busbar.bears_a)
        new.add("X", "busbar", bar)
    if seen.sketch.earthing.bank == "floating_monitored":
        watched = said("designations.monitor", volts=round(bank.charging.highest_v, 1))
        new.add("B", "insulation_monitor", watched)
    new.breaker(joined)
    new.switch(
        "bank_switch",
        "switch",
        seen.code.switches.bank_switch,
        joined.need.count,
        joined.need.key,
        design_a=_up(joined.shown.design_a),
        rated_v=rated_dc_v(joined.need.highest_v),
    )
    new.conductor(joined)


def _residual(new: _Register, run: RunDesign, inspection: Inspection) -> None:
    clearance, key = inspection.clearance, run.need.key
    if key in clearance.residual_at:
        kind = said(f"designations.residual_type.{clearance.residual_type}")
        rating = said("designations.residual", residual_ma=clearance.residual_ma, kind=kind)
        name = said("designations.what.residual", run=run_name(run.need))
        new.add("F", f"residual.{key}", rating, run.need.count, key, name)


def _circuit(new: _Register, run: RunDesign | None, inspection: Inspection) -> None:
    """Breaker, residual-current device and conductors of a run, where there is such a run."""
    if run is not None:
        new.breaker(run)
        _residual(new, run, inspection)
        new.conductor(run)


def _supply(new: _Register, seen: Seen, inspection: Inspection) -> None:
    grid, generator = seen.run("grid_in"), seen.run("generator_in")
    if grid is not None and (device := grid.shown.device) is not None:
        values = {"design_a": device.rating_a, "rated_v": device.rated_v}
        new.switch("grid_switch", "switch", seen.code.switches.grid_switch, 1, "grid_in", **values)
    _circuit(new, grid, inspection)
    own = seen.sketch.generator
    if own is not None:
        new.add("G", "generator", said("designations.generator", power_w=own.rated_w))
    _circuit(new, generator, inspection)
    switch = inspection.earthing.changeover
    if switch is not None:
        poles = "open" if switch.poles is None else "known"
        new.switch(
            "changeover",
            f"changeover_{poles}",
            seen.code.switches.changeover,
            1,
            "",
            poles=switch.poles or switch.lines,
            rating_a=switch.rating_a,
        )
    _circuit(new, seen.run("ac_in_common"), inspection)
    if seen.run("ac_in") is not None:
        new.add("X", "input_bar", _lines(seen))
    _circuit(new, seen.run("ac_in"), inspection)


def _lines(seen: Seen) -> Said:
    plan = seen.arrangement
    return said("designations.lines", lines=" ".join(plan.lines), volts=plan.line_v)


def _earth(new: _Register, seen: Seen, earth: EarthChoice) -> None:
    new.add("X", "earth_terminal", said("designations.earth_terminal"))
    rating = said("designations.earth", size=earth.label, length_m=earth.length_m)
    new.add("W", "run.earth", rating, what=said("runs.title.earth", **seen.code.words))
    ohm = seen.sketch.earthing.electrode_ohm
    known = (
        said("designations.electrode_open")
        if ohm is None
        else said("designations.electrode", ohm=ohm)
    )
    new.add("X", "electrode", known)


def designated(seen: Seen, inspection: Inspection, earth: EarthChoice) -> Designations:
    """Give every device and run of a design its designation, in a fixed order.

    Parameters
    ----------
    seen : Seen
    inspection : Inspection
        For residual-current devices, surge devices and the changeover.
    earth : EarthChoice
        In the rule book shown.
    """
    new = _Register()
    _array(new, seen, inspection)
    _bank(new, seen)
    machine = seen.sketch.equipment.inverter
    rating = said("designations.machine", va=machine.rated_va, volts=machine.output_v)
    new.add("T", "machine", rating, seen.arrangement.machines)
    _supply(new, seen, inspection)
    _circuit(new, seen.run("ac_out"), inspection)
    board = said("designations.what.board", **seen.code.words)
    new.add("X", "board", _lines(seen), what=board)
    _circuit(new, seen.run("ac_out_common"), inspection)
    new.add("F", "surge_ac", _surge(seen, "ac", machine.output_v))
    _earth(new, seen, earth)
    return Designations(tuple(new.found))
