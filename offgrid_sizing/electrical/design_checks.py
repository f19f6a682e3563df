"""What no electrical design can begin with: temperatures of no place, boxes that contradict."""

from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.words import sentence


def check_temperatures(record_low_c: float, hot_cell_c: float) -> None:
    """Refuse air and cells of a temperature that no place has."""
    if not -90 <= record_low_c <= 50:
        raise BadInput(sentence("device.record_low", got_c=record_low_c))
    if not record_low_c < hot_cell_c <= 120:
        raise BadInput(sentence("device.hot_cell", got_c=hot_cell_c))


def check_voltages(sketch: Sketch) -> None:
    """Refuse boxes whose own voltages contradict each other, one sentence for each."""
    unit, machine = sketch.equipment.battery, sketch.equipment.inverter
    mppt = sketch.equipment.controller
    below = (
        ("battery.cutoff_v", unit.cutoff_v, "battery.charge_v", unit.charge_v),
        ("inverter.bank_min_v", machine.bank_min_v, "inverter.bank_max_v", machine.bank_max_v),
        ("controller.mppt_min_v", mppt.mppt_min_v, "controller.mppt_max_v", mppt.mppt_max_v),
        (
            "battery.torque_min_nm",
            unit.torque_min_nm,
            "battery.torque_max_nm",
            unit.torque_max_nm * 1.000001,
        ),
    )
    faults = [
        sentence("device.contradict", low=f"equipment.{low}", high=high, low_value=a, high_value=b)
        for low, a, high, b in below
        if a >= b
    ]
    if faults:
        raise BadInput(*faults)
