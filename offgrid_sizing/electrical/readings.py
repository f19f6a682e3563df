"""What a voltmeter should show today: strings at a cell temperature and light, bank at rest."""

from math import log

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.sketch import BadInput, BatteryUnit, Module
from offgrid_sizing.words import sentence

BOLTZMANN_OVER_CHARGE = 8.617333e-5  # V/K
IDEALITY = 1.1  # crystalline silicon, from memory


def check_today(cell_temp_c: float, irradiance_w_per_m2: float, soc_frac: float) -> None:
    """Refuse readings that nobody can have taken.

    Raises
    ------
    BadInput
    """
    faults = []
    if not -50 <= cell_temp_c <= 110:
        faults.append(sentence("device.cell_temp", got_c=cell_temp_c))
    if not 50 <= irradiance_w_per_m2 <= 1500:
        faults.append(sentence("device.irradiance", got_w=irradiance_w_per_m2))
    if not 0 <= soc_frac <= 1:
        faults.append(sentence("device.charge", got=soc_frac))
    if faults:
        raise BadInput(*faults)


def string_voc_v(
    module: Module, in_series: int, cell_temp_c: float, irradiance_w_per_m2: float
) -> float:
    """Open-circuit voltage of a string today. [V]

    Linear in cell temperature by the module's coefficient, logarithmic in light: each cell
    loses n k T / q × ln(1000 / G).

    Parameters
    ----------
    cell_temp_c : float
        [°C]
    irradiance_w_per_m2 : float
        On the modules' plane. [W/m²]

    References
    ----------
    Duffie & Beckman, Solar Engineering of Thermal Processes, single-diode model (from memory);
    n = 1.1 is an assumption.

    >>> round(string_voc_v(Module(), 2, 25, 1000), 1)
    99.0
    """
    linear = module.voc_v * (1 + module.beta_voc_per_k * (cell_temp_c - 25))
    thermal_v = IDEALITY * BOLTZMANN_OVER_CHARGE * (cell_temp_c + 273.15)
    light = module.cells_in_series * thermal_v * log(irradiance_w_per_m2 / 1000)
    return in_series * (linear + light)


def string_isc_a(module: Module, cell_temp_c: float, irradiance_w_per_m2: float) -> float:
    """Short-circuit current of a string today, proportional to the light. [A]"""
    rise = 1 + module.alpha_isc_per_k * (cell_temp_c - 25)
    return module.isc_a * irradiance_w_per_m2 / 1000 * rise


def rest_voltage_v(unit: BatteryUnit, in_series: int, soc_frac: float) -> float:
    """Voltage of a bank at rest at a state of charge, by its chemistry. [V]

    Common practice, no source: see the chemistry's file.

    >>> round(rest_voltage_v(BatteryUnit(), 1, 0.5), 1)
    52.6
    """
    chemistry = CHEMISTRIES[unit.chemistry]
    cells = round(unit.nominal_v / chemistry.cell_v)
    return in_series * cells * chemistry.rest.at(soc_frac)
