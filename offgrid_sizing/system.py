"""One candidate answer: how many of each box, and how they are joined."""

from typing import Annotated, Literal

from pydantic import Field

from offgrid_sizing.sketch import Drawn, Sketch
from offgrid_sizing.sketch.base import Part


class PlaneStrings(Part):
    """Strings on one roof plane."""

    modules_in_series: int = Field(ge=0)
    strings: int = Field(ge=0)

    @property
    def modules(self) -> int:
        """Modules on this plane."""
        return self.modules_in_series * self.strings


class System(Part):
    """Counts of modules, battery units and inverter-chargers, whole and as wired."""

    planes: Annotated[tuple[PlaneStrings, ...], Field(max_length=12)]
    units_in_series: int = Field(ge=1)
    units_in_parallel: int = Field(ge=0)
    inverters: int = Field(ge=1)
    arrangement: Literal["single", "parallel", "split_phase", "three_phase"]

    @property
    def modules(self) -> int:
        """Modules on all planes."""
        return sum(plane.modules for plane in self.planes)

    @property
    def units(self) -> int:
        """Battery units in the bank."""
        return self.units_in_series * self.units_in_parallel


def drawn_system(sketch: Sketch) -> System:
    """The system as the sketch draws it."""
    return System(
        planes=tuple(
            PlaneStrings(modules_in_series=plane.modules_in_series, strings=plane.strings)
            for plane in sketch.roof_planes
        ),
        units_in_series=sketch.drawn.units_in_series,
        units_in_parallel=sketch.drawn.units_in_parallel,
        inverters=sketch.drawn.inverters,
        arrangement=sketch.drawn.arrangement,
    )


def same_boxes(one: System, other: System) -> bool:
    """Whether two systems are built alike; the string length of an empty plane is no box."""

    def planes(system: System):
        return [(p.strings, p.modules_in_series if p.strings else 0) for p in system.planes]

    names = ("units_in_series", "units_in_parallel", "inverters", "arrangement")
    return planes(one) == planes(other) and all(
        getattr(one, name) == getattr(other, name) for name in names
    )


def with_system(sketch: Sketch, system: System) -> Sketch:
    """The sketch with this system drawn in it."""
    planes = tuple(
        plane.model_copy(
            update={"modules_in_series": now.modules_in_series, "strings": now.strings}
        )
        for plane, now in zip(sketch.roof_planes, system.planes, strict=True)
    )
    drawn = Drawn(
        units_in_series=system.units_in_series,
        units_in_parallel=system.units_in_parallel,
        inverters=system.inverters,
        arrangement=system.arrangement,
    )
    return sketch.model_copy(update={"roof_planes": planes, "drawn": drawn})


def array_peak_w(sketch: Sketch, system: System) -> float:
    """Rated array power at standard test conditions. [W]"""
    return system.modules * sketch.equipment.module.power_w


def bank_nominal_wh(sketch: Sketch, system: System) -> float:
    """Nominal energy of the bank. [Wh]"""
    return system.units * sketch.equipment.battery.energy_wh


def bank_days(sketch: Sketch, system: System, daily_kwh: float | None) -> float | None:
    """Days of the mean load in what may be drawn from the bank; None without bank or load."""
    usable_wh = bank_nominal_wh(sketch, system) * sketch.equipment.battery.usable_dod_frac
    return usable_wh / (1000 * daily_kwh) if usable_wh and daily_kwh else None
