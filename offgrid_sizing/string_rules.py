"""Rules for a string of modules: its voltage in the cold and in the heat, its current, its fuse."""

from math import floor

from offgrid_sizing.sketch import BadInput, Controller, Module
from offgrid_sizing.wiring_code import WiringCode
from offgrid_sizing.words import sentence

STC_CELL_C = 25.0
_MANY_IN_SERIES = 200


def cold_voc_v(module: Module, in_series: int, cell_c: float) -> float:
    """Open-circuit voltage of a string at a cell temperature, by the module's coefficient.

    Parameters
    ----------
    module : Module
    in_series : int
        Modules in the string.
    cell_c : float
        Cell temperature; before sunrise in the cold it equals the air's. [°C]

    Returns
    -------
    float
        [V]

    >>> round(cold_voc_v(Module(voc_v=49.5, beta_voc_per_k=-0.0027), 11, -10.0))
    596
    """
    return in_series * module.voc_v * (1 + module.beta_voc_per_k * (cell_c - STC_CELL_C))


def cold_voc_factor(min_c: float, code: WiringCode) -> float:
    """Tabulated factor on the open-circuit voltage at the lowest expected temperature.

    Parameters
    ----------
    min_c : float
        Lowest expected ambient temperature. [°C]
    code : WiringCode
        Whose table is meant.

    Returns
    -------
    float
        1 from 25 °C upwards. A temperature between two bands takes the colder band.

    Raises
    ------
    BadInput
        Colder than the table goes, or the code has none.

    Notes
    -----
    Such tables hold for crystalline silicon only; the code's data name theirs.
    """
    if not code.strings.cold_table:
        raise BadInput(sentence("strings.no_table", code=code.short))
    if min_c >= STC_CELL_C:
        return 1.0
    table = code.table(code.strings.cold_table)
    rows = zip(table.numbers("lower_c"), table.numbers("voc_factor"), strict=True)
    for lower_c, factor in rows:
        if min_c >= lower_c:
            return factor
    raise BadInput(
        sentence(
            "strings.table_ends",
            rule=code.strings.cold_rule,
            end_c=min(table.numbers("lower_c")),
            got_c=min_c,
        )
    )


def cold_voc_table_v(
    module: Module, in_series: int, min_c: float, code: WiringCode
) -> float | None:
    """Open-circuit voltage of a string by the code's table, to set beside `cold_voc_v`. [V]

    None where the code has no table, or it ends before that cold.
    """
    try:
        return in_series * module.voc_v * cold_voc_factor(min_c, code)
    except BadInput:
        return None


def hot_vmp_v(module: Module, in_series: int, cell_c: float) -> float:
    """Voltage at maximum power of a string with hot cells. [V]

    Notes
    -----
    Makers seldom give the coefficient of Vmp. P = V I, so to first order the relative
    coefficient of Vmp is that of the power less that of the current, for which Isc's stands.
    """
    per_k = module.gamma_pmp_per_k - module.alpha_isc_per_k
    return in_series * module.vmp_v * max(0.0, 1 + per_k * (cell_c - STC_CELL_C))


def series_faults(
    module: Module,
    controller: Controller,
    in_series: int,
    record_low_c: float,
    hot_cell_c: float = 70.0,
) -> tuple[str, ...]:
    """Why a string of this length is refused, one sentence a broken limit; empty when allowed.

    Parameters
    ----------
    record_low_c : float
        Lowest air temperature to reckon with. [°C]
    hot_cell_c : float
        Hottest cell at which the tracker must still hold the string. [°C]
    """
    cold_v = cold_voc_v(module, in_series, record_low_c)
    hot_v = hot_vmp_v(module, in_series, hot_cell_c)
    vmp_v = in_series * module.vmp_v
    cold = {"series": in_series, "cold_v": cold_v, "low_c": record_low_c}
    bears_v, made_for_v = controller.max_voc_v, module.max_system_v
    from_v, to_v = controller.mppt_min_v, controller.mppt_max_v
    faults = []
    if cold_v > bears_v:
        faults.append(sentence("strings.controller", **cold, bears_v=bears_v))
    if cold_v > made_for_v:
        faults.append(sentence("strings.module", **cold, bears_v=made_for_v))
    if hot_v < from_v:
        hot = {"series": in_series, "hot_v": hot_v, "hot_c": hot_cell_c}
        faults.append(sentence("strings.hot", **hot, from_v=from_v))
    if vmp_v > to_v:
        faults.append(sentence("strings.working", series=in_series, working_v=vmp_v, to_v=to_v))
    return tuple(faults)


def allowed_series(
    module: Module, controller: Controller, record_low_c: float, hot_cell_c: float = 70.0
) -> tuple[int, ...]:
    """All string lengths whose voltages fit the controller and the module. [modules in series]

    Cold open-circuit voltage stays under the controller's and the module's limit, hot working
    voltage stays inside the tracking window. Empty when no length fits.
    """
    return tuple(
        count
        for count in range(1, _MANY_IN_SERIES + 1)
        if not series_faults(module, controller, count, record_low_c, hot_cell_c)
    )


def strings_per_input_max(module: Module, controller: Controller, code: WiringCode) -> int:
    """Strings that one tracker input bears in parallel; 0 when even one is too much.

    The input's short-circuit rating is held against the largest current of a string under a
    bright sky, by the code's factor on Isc.
    """
    most_a = code.strings.bright_sky_factor * module.isc_a
    return floor(controller.max_input_a / most_a + 1e-9)


def fuse_required(
    parallel_strings: int, isc_a: float, max_fuse_a: float, backfeed_factor: float = 1.0
) -> bool:
    """Whether each string needs its own fuse.

    A faulty string is fed by all others: (N − 1) × Isc, with the code's own factor, must not pass
    what the module bears.

    Parameters
    ----------
    parallel_strings : int
        Strings joined in parallel.
    isc_a, max_fuse_a : float
        Module's short-circuit current and maximum overcurrent protection rating. [A]
    backfeed_factor : float
        `WiringCode.string_backfeed_factor`: 1.25 where the code reckons with the brightest sky.

    References
    ----------
    IEC 62548 and IEC TS 62257-7-1 as quoted in public texts; NFPA 70, 690.9(A), with the currents
    of 690.8(A)(1).

    >>> [fuse_required(n, 10, 20) for n in (2, 3, 4)], fuse_required(3, 9.8, 20, 1.25)
    ([False, False, True], True)
    """
    return (parallel_strings - 1) * isc_a * backfeed_factor > max_fuse_a * (1 + 1e-9)
