"""A motor's start as an event: how large, for how long, at which power factor.

References
----------
Starting VA of three-phase motors: NEMA code letters (NEMA MG 1, NFPA 70 Table 430.7(B)) as
reproduced by an engineering reference (engineeringtoolbox.com, read): letter L, 9.0 to 9.99 kVA
for each hp, is usual below 1 hp, K (8.0 to 8.99) at 3 hp. With 1.25 kVA running for each hp
(common practice, no source) that is about seven times running. All else, other multiples, power
factors and durations: common practice, no source.
"""

from dataclasses import dataclass

from offgrid_sizing.sketch import Appliance, Sketch

SOFT_START_MULTIPLE = 2.0
SOFT_START_S = 3.0  # a ramp takes its time; common practice, no source


@dataclass(frozen=True)
class MotorKind:
    """What is usual for one kind of motor; `low` and `high` bound its starting multiple."""

    multiple: float
    low: float
    high: float
    start_power_factor: float
    start_s: float


MOTOR_KINDS = {
    "none": MotorKind(1.0, 1.0, 2.5, 0.95, 0.1),
    "single_phase": MotorKind(3.0, 2.0, 6.0, 0.7, 1.0),
    "capacitor_start": MotorKind(4.0, 3.0, 6.0, 0.65, 0.6),
    "three_phase": MotorKind(7.0, 5.0, 8.0, 0.5, 0.8),
    "universal": MotorKind(2.5, 2.0, 4.0, 0.9, 0.4),
    "compressor": MotorKind(4.0, 3.0, 7.0, 0.65, 0.5),
    "inverter_driven": MotorKind(1.2, 1.0, 2.0, 0.95, 3.0),
}

_IN_CATALOGUE = {
    "compressor": "refrigerator fridge_freezer old_refrigerator chest_freezer upright_freezer "
    "wine_cooler room_air_conditioner dehumidifier air_compressor milk_cooler display_fridge "
    "ice_cream_freezer vaccine_refrigerator blood_refrigerator oxygen_concentrator",
    "inverter_driven": "dc_refrigerator split_air_conditioner heat_pump heat_pump_dryer",
    "universal": "blender food_mixer vacuum_cleaner drill angle_grinder circular_saw",
    "capacitor_start": "well_pump pressure_pump irrigation_pump pool_pump milking_machine "
    "grain_mill garage_opener washing_machine_cold",
    "single_phase": "range_hood dishwasher washing_machine tumble_dryer sewing_machine ceiling_fan "
    "table_fan window_fan whole_house_fan ventilation_unit evaporative_cooler furnace_fan "
    "heating_circulator pellet_stove septic_blower barn_fan sewing_industrial centrifuge nebuliser "
    "suction_pump aquarium",
    "none": "microwave_oven bread_maker television_old printer laser_printer hair_dryer welder "
    "ultrasound cpap",
}
MOTOR_OF_KIND = {kind: motor for motor, kinds in _IN_CATALOGUE.items() for kind in kinds.split()}
_UNKNOWN_FROM = 2.5  # a multiple from here on is a motor's, below it an inrush


def motor_of(appliance: Appliance) -> str:
    """What starts in an appliance: as stated, else by its catalogue row, else by its multiple."""
    if appliance.motor != "auto":
        return appliance.motor
    known = MOTOR_OF_KIND.get(appliance.kind or "")
    if known is not None:
        return known
    return "capacitor_start" if appliance.starting_multiple >= _UNKNOWN_FROM else "none"


def start_multiple(appliance: Appliance) -> float:
    """Starting VA over running VA, soft starter considered.

    A motor that is named while its multiple is left at 1 starts as is usual for its kind.
    """
    multiple = appliance.starting_multiple
    if multiple == 1.0 and appliance.motor != "auto":
        multiple = MOTOR_KINDS[appliance.motor].multiple
    return min(multiple, SOFT_START_MULTIPLE) if appliance.soft_starter else multiple


@dataclass(frozen=True)
class StartEvent:
    """One unit of an appliance starts: its VA are held for `start_s`, then it runs.

    Parameters
    ----------
    name, motor : str
    running_va, running_w : float
        Of one unit. [VA, W]
    start_va, start_w : float
        While it starts, at full voltage. [VA, W]
    start_s : float
        At full voltage. [s]
    unusual : bool
        Whether the stated multiple lies below what is usual for the kind.
    """

    name: str
    motor: str
    running_va: float
    running_w: float
    start_va: float
    start_w: float
    start_s: float
    unusual: bool


def start_event(sketch: Sketch, appliance: Appliance) -> StartEvent | None:
    """The start of one unit; None where nothing draws more when it starts."""
    multiple = start_multiple(appliance)
    if multiple <= 1.0 or appliance.running_w <= 0:
        return None
    by = sketch.loads.scale * (1 + sketch.loads.growth_frac)
    name, kind = motor_of(appliance), MOTOR_KINDS[motor_of(appliance)]
    running_va = appliance.running_w / appliance.power_factor * by
    start_va = running_va * multiple
    seconds = appliance.start_s
    if seconds is None:
        seconds = max(kind.start_s, SOFT_START_S) if appliance.soft_starter else kind.start_s
    return StartEvent(
        name=appliance.name,
        motor=name,
        running_va=running_va,
        running_w=appliance.running_w * by,
        start_va=start_va,
        start_w=start_va * kind.start_power_factor,
        start_s=seconds,
        unusual=not appliance.soft_starter and appliance.starting_multiple < kind.low,
    )
