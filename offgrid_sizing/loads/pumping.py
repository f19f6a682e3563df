"""Electric power and running time of a water pump from what people know: flow, head, litres.

References
----------
Hydraulic power ρ g Q H over the efficiencies of pump and motor: P. L. Kapoor, Electrical and
Electronics Engineering Materials, Ex. 15.3.
"""

from offgrid_sizing.sketch import BadInput

GRAVITY = 9.81
DENSITY_KG_PER_M3 = 1000.0


def _share(value: float, name: str) -> None:
    if not 0 < value <= 1:
        raise BadInput(f"{name} must be above 0 and at most 1 (got {value:g}).")


def pump_power_w(
    flow_m3_per_h: float, head_m: float, pump_efficiency: float = 0.5, motor_efficiency: float = 0.8
) -> float:
    """Electric power of a pump while it runs.

    Parameters
    ----------
    flow_m3_per_h : float
    head_m : float
        Lift plus pressure at the outlet (1 bar is 10.2 m) plus pipe friction.
    pump_efficiency, motor_efficiency : float
        Small pumps: common practice, no source.

    Returns
    -------
    float
        [W]

    Raises
    ------
    BadInput
        On a flow or head below zero, or an efficiency outside 0 to 1.

    Examples
    --------
    >>> round(pump_power_w(2, 40))
    545
    """
    if flow_m3_per_h < 0 or head_m < 0:
        raise BadInput(f"flow and head must not be negative (got {flow_m3_per_h:g}, {head_m:g}).")
    _share(pump_efficiency, "pump_efficiency")
    _share(motor_efficiency, "motor_efficiency")
    hydraulic_w = DENSITY_KG_PER_M3 * GRAVITY * flow_m3_per_h / 3600 * head_m
    return hydraulic_w / pump_efficiency / motor_efficiency


def run_time_h(water_m3_per_day: float, flow_m3_per_h: float) -> float:
    """Hours a day a pump must run for the day's water. [h]

    Raises
    ------
    BadInput
        When it would need more than 24 hours.
    """
    if flow_m3_per_h <= 0:
        raise BadInput(f"the flow must be above zero (got {flow_m3_per_h:g} m³/h).")
    hours = water_m3_per_day / flow_m3_per_h
    if not 0 <= hours <= 24:
        raise BadInput(
            f"{water_m3_per_day:g} m³ a day at {flow_m3_per_h:g} m³/h take {hours:.3g} h, which no "
            "day has: choose a larger pump."
        )
    return hours
