"""The fewest battery units and inverter-chargers that a peak and an array can come with."""

from math import ceil, floor, prod

import numpy as np

from offgrid_sizing.electrical.bank import discharge_a, lowest_v
from offgrid_sizing.electrical.legs import LINES
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.pv_array import loss_factors
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.string_rules import strings_per_input_max
from offgrid_sizing.words import sentence

WITHIN = 1e-9
TOO_MANY = 1e9  # machines; more could not be counted in whole numbers


def units_in_series(sketch: Sketch) -> int:
    """Units in series that come nearest the voltage the inverter-charger needs, within its limits.

    Raises
    ------
    BadInput
        When no whole number of units gives a voltage it accepts.
    """
    unit, inverter = sketch.equipment.battery, sketch.equipment.inverter
    least = ceil(inverter.bank_min_v / unit.nominal_v - WITHIN)
    most = floor(inverter.bank_max_v / unit.nominal_v + WITHIN)
    if least > most:
        raise BadInput(
            sentence(
                "search.boxes.bank_voltage",
                each=unit.nominal_v,
                least=inverter.bank_min_v,
                most=inverter.bank_max_v,
                inverter=inverter.name,
            )
        )
    return min(max(least, round(inverter.bank_v / unit.nominal_v)), most)


def units_for_current(sketch: Sketch, peak: Peak, in_series: int) -> tuple[int, int]:
    """Units in parallel whose discharge current carries the running and the starting peak.

    The running peak against the continuous limit, the starting peak against the limit for 10 s;
    a grid that never fails carries both itself.
    """
    if sketch.grid.kind == "steady":
        return 0, 0
    unit = sketch.equipment.battery
    volts = lowest_v(sketch, in_series)
    running_a = discharge_a(sketch, peak.running_w, volts)
    starting_a = discharge_a(sketch, peak.starting_va, volts)
    return (
        int(np.ceil(running_a / unit.max_discharge_a - 1e-9)),
        int(np.ceil(starting_a / unit.peak_discharge_a - 1e-9)),
    )


def strings_per_machine(sketch: Sketch) -> int:
    """Strings that one inverter-charger's inputs take."""
    module, controller = sketch.equipment.module, sketch.equipment.controller
    code = code_of(sketch.wiring.rule_book)
    return controller.inputs * max(1, strings_per_input_max(module, controller, code))


def inverters_for(
    sketch: Sketch, peak: Peak, modules, strings, volts: float
) -> tuple[np.ndarray, np.ndarray]:
    """The fewest inverter-chargers an array may come with, and as many as take its full current.

    Returns
    -------
    fewest, full : int arrays, shape of `modules`

    Notes
    -----
    Fewest is the largest of: running W and VA, starting VA, the busiest line's VA, rated array
    power at the controllers' input, strings on their inputs. Full carries the charging current of
    the array in full sun after its named losses as well; with fewer the controllers hold that
    current down, which costs energy and is seen in the balance.
    """
    inverter, controller = sketch.equipment.inverter, sketch.equipment.controller
    module = sketch.equipment.module
    lines = len(LINES[sketch.drawn.arrangement])

    def machines(need):
        return np.maximum(1, np.ceil(np.asarray(need, dtype=float) - WITHIN))

    def whole_lines(count):
        return (np.ceil(np.minimum(count, TOO_MANY) / lines) * lines).astype(int)

    by_load = max(
        machines(peak.running_w / inverter.rated_w),
        machines(peak.running_va / inverter.rated_va),
        machines(peak.starting_va / inverter.surge_va),
    )
    if lines > 1 and peak.leg_va:
        by_load = max(by_load, lines * machines(max(peak.leg_va.values()) / inverter.rated_va))
    array_w = np.asarray(modules) * module.power_w
    left = prod(float(np.mean(f)) for f in loss_factors(sketch, np.arange(1, 13)).values())
    charging_a = array_w * left * controller.efficiency_frac / volts
    fewest = np.maximum.reduce(
        [
            machines(array_w / controller.max_power_w),
            machines(np.asarray(strings) / strings_per_machine(sketch)),
            np.broadcast_to(by_load, np.shape(array_w)),
        ]
    )
    full = np.maximum(fewest, machines(charging_a / controller.max_charge_a))
    return whole_lines(fewest), whole_lines(full)
