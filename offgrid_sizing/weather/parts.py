"""Global, beam and diffuse: whichever one a record lacks, made from the others."""

import numpy as np

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.sun import SunPath, clear_sky, linke_turbidity
from offgrid_sizing.weather.synthesis import Sky, split_beam
from offgrid_sizing.words import sentence

LOW_SUN_COS = 0.05


def _beam_from_rest(ghi: np.ndarray, dhi: np.ndarray, sun: SunPath) -> np.ndarray:
    """DNI from closure, kept under the extraterrestrial and 0 near the horizon."""
    high = sun.cos_zenith > LOW_SUN_COS
    beam = (ghi - dhi) / np.where(high, sun.cos_zenith, np.inf)
    return np.clip(beam, 0.0, 0.85 * sun.extra_normal)


def with_all_parts(
    values: dict[str, np.ndarray], sun: SunPath, elevation_m: float = 0.0
) -> tuple[dict[str, np.ndarray], list[str]]:
    """ghi, dni and dhi from at least ghi, or dni with dhi; sentences on what was made.

    From global alone, beam and diffuse follow the multi-predictor split of `synthesis`. It keeps
    the beam below a multiple of the clear sky's, which is brighter at a height: `elevation_m`.

    Raises
    ------
    BadInput
        When neither is there.
    """
    values = dict(values)
    notes: list[str] = []
    has = {name for name in ("ghi", "dni", "dhi") if name in values}
    cosine = np.where(sun.up, sun.cos_zenith, 0.0)
    if has >= {"ghi", "dni", "dhi"}:
        return values, notes
    if has >= {"dni", "dhi"}:
        values["ghi"] = values["dhi"] + values["dni"] * cosine
        notes.append(sentence("weather.note.made_global"))
    elif has >= {"ghi", "dhi"}:
        values["dni"] = _beam_from_rest(values["ghi"], values["dhi"], sun)
        notes.append(sentence("weather.note.made_beam"))
    elif has >= {"ghi", "dni"}:
        values["dhi"] = np.clip(values["ghi"] - values["dni"] * cosine, 0.0, values["ghi"])
        notes.append(sentence("weather.note.made_diffuse"))
    elif "ghi" in has:
        turbidity = linke_turbidity(sun.latitude_deg, sun.longitude_deg)
        sky = Sky(sun, *clear_sky(sun, elevation_m, turbidity), np.zeros(12), np.zeros(12))
        values["dni"], values["dhi"] = split_beam(sky, values["ghi"])
        notes.append(sentence("weather.note.split"))
    else:
        raise BadInput(sentence("weather.refused.no_global"))
    return values, notes
