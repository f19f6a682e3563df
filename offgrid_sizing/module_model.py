"""What one PV module gives: linear in temperature, or a single-diode curve."""

from functools import lru_cache

import numpy as np

from offgrid_sizing.sketch import BadInput, Controller, Module
from offgrid_sizing.words import sentence


def power_w(module: Module, effective_irradiance, temp_cell) -> np.ndarray:
    """DC power at the maximum-power point. [W]

    Parameters
    ----------
    effective_irradiance : array
        Light that enters the module. [W/m²]
    temp_cell : array, same shape
        [°C]

    Notes
    -----
    Linear: P = P_rated G/1000 (1 + γ (T − 25)), Evans, Solar Energy 27 (1981) 555 without its
    logarithm of the light (from memory). Single diode: De Soto, Klein & Beckman, Solar Energy 80
    (2006) 78, fitted to the nameplate, or the CEC table row that pvlib carries; tabulated once
    over light and temperature.
    """
    if module.model == "linear" and module.table_name is None:
        factor = 1 + module.gamma_pmp_per_k * (np.asarray(temp_cell) - 25)
        return np.maximum(module.power_w * effective_irradiance / 1000 * factor, 0)
    table = _diode_table(module)
    points = np.stack([np.ravel(effective_irradiance), np.ravel(temp_cell)], axis=1)
    return np.maximum(table(points), 0).reshape(np.shape(effective_irradiance))


@lru_cache(maxsize=16)
def _diode_table(module: Module):
    """Maximum power over a grid of light and cell temperature, for quick interpolation."""
    import pvlib
    from scipy.interpolate import RegularGridInterpolator

    light = np.concatenate([[0, 5, 10, 20, 35], np.arange(50, 1651, 50)]).astype(float)
    cell = np.arange(-50.0, 121.0, 5.0)
    grid_light, grid_cell = np.meshgrid(light, cell, indexing="ij")
    translate, arguments = _diode_parameters(module)
    with np.errstate(all="ignore"):  # judged by its outcome
        curve = translate(np.maximum(grid_light, 1e-3).ravel(), grid_cell.ravel(), **arguments)
        best = pvlib.pvsystem.max_power_point(*curve, method="newton")["p_mp"]
    power = np.asarray(best).reshape(grid_light.shape)
    if not np.isfinite(power).all():
        raise BadInput(sentence("refused.module.no_curve"))
    return RegularGridInterpolator((light, cell), power, bounds_error=False, fill_value=None)


def _diode_parameters(module: Module):
    """The translation equations to use, and their reference parameters."""
    from pvlib.pvsystem import calcparams_cec, calcparams_desoto

    names = ("alpha_sc", "a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s")
    if module.table_name is not None:
        row = table_row(module.table_name)
        return calcparams_cec, {name: float(row[name]) for name in (*names, "Adjust")}
    from pvlib.ivtools.sdm import fit_desoto

    try:
        with np.errstate(all="ignore"):  # trial steps may overflow; the result is judged below
            fitted, _ = fit_desoto(
                module.vmp_v,
                module.imp_a,
                module.voc_v,
                module.isc_a,
                module.alpha_isc_per_k * module.isc_a,
                module.beta_voc_per_k * module.voc_v,
                module.cells_in_series,
                root_kwargs={"method": "lm"},
            )
    except RuntimeError:
        fitted = dict.fromkeys(names, -1.0)
    # the solver may settle on a negative resistance, or on no number: no curve of a real module
    found = np.array([fitted[name] for name in names], dtype=float)
    above_zero = [fitted[name] > 0 for name in ("a_ref", "I_L_ref", "I_o_ref", "R_sh_ref", "R_s")]
    if not (np.isfinite(found).all() and all(above_zero)):
        raise BadInput(sentence("refused.module.no_curve"))
    return calcparams_desoto, {name: float(fitted[name]) for name in names}


@lru_cache(maxsize=1)
def module_table():
    """The CEC module table that pvlib carries, one column a module."""
    import pvlib

    return pvlib.pvsystem.retrieve_sam("CECMod")


def table_row(name: str):
    """One module of that table.

    Raises
    ------
    BadInput
        When the table has no such row.
    """
    table = module_table()
    if name not in table.columns:
        raise BadInput(sentence("refused.module.no_row", name=name))
    return table[name]


def module_from_table(name: str) -> Module:
    """A module whose nameplate is a row of the table."""
    row = table_row(name)
    isc, voc = float(row["I_sc_ref"]), float(row["V_oc_ref"])
    vmp, imp = float(row["V_mp_ref"]), float(row["I_mp_ref"])
    return Module(
        name=name[:120],
        power_w=vmp * imp,
        voc_v=voc,
        isc_a=isc,
        vmp_v=vmp,
        imp_a=imp,
        gamma_pmp_per_k=float(row["gamma_r"]) / 100,
        beta_voc_per_k=float(row["beta_oc"]) / voc,
        alpha_isc_per_k=float(row["alpha_sc"]) / isc,
        cells_in_series=int(row["N_s"]),
        noct_c=float(row["T_NOCT"]),
        model="single_diode",
        table_name=name,
    )


def window_factor(module: Module, controller: Controller, in_series: int, temp_cell) -> np.ndarray:
    """Share of a string's power that the tracking window lets through, 0 to 1."""
    scale = in_series * (1 + module.beta_voc_per_k * (np.asarray(temp_cell) - 25))
    vmp, voc = module.vmp_v * scale, module.voc_v * scale
    above = np.minimum(1, controller.mppt_max_v / np.maximum(vmp, 1e-9))
    below = np.clip((voc - controller.mppt_min_v) / np.maximum(voc - vmp, 1e-9), 0, 1)
    return above * below
