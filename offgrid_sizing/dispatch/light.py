"""Power of one module on many planes at once, from coefficients that no plane changes.

Every model of light on a plane used here is linear in a few numbers of the hour: beam and
circumsolar light times the cosine of incidence, sky light times the plane's view of the sky,
horizon brightening times the sine of its tilt, ground light. So thousands of planes cost a dot
product an hour. Plain source, compiled by `cache`.
"""

import math

HOUR = ("beam", "circum", "sky", "horizon", "ground", "x", "y", "z", "warm", "air", "left")
PLANE = ("nx", "ny", "nz", "sees_sky", "sees_ground", "sine", "iam_sky", "iam_ground", "open_sky")


def plane_powers(hours, planes, iam, gamma, begin, end, poa, power):
    """Light on planes `begin` to `end` and power of one module of 1 W there.

    Parameters
    ----------
    hours : float64 array, shape (m, 11)
        Columns `HOUR`: beam irradiance, circumsolar, isotropic sky, horizon and ground light
        [W/m²]; the sun's unit vector; rise of cell temperature per W/m² [K m²/W], air [°C]; share
        left by the array's losses.
    planes : float64 array, shape (p, 9)
        Columns `PLANE`: unit normal, view factors, sine of tilt, diffuse reflection factors,
        share of the sky's light that skyline and obstacles leave.
    iam : float64 array, shape (k,)
        Share of beam that passes the glass, at equally spaced cosines from 0 to 1.
    gamma : float
        Power per K. [1/K]
    poa, power : float64 arrays, shape (p,) and (m, p)
        Filled: sum of the light over the hours, and power in each. [W/m² × hours, W]
    """
    last = iam.shape[0] - 1
    for p in range(begin, end):
        nx, ny, nz = planes[p, 0], planes[p, 1], planes[p, 2]
        sees_sky, sees_ground, sine = planes[p, 3], planes[p, 4], planes[p, 5]
        iam_sky, iam_ground, open_sky = planes[p, 6], planes[p, 7], planes[p, 8]
        total = 0.0
        for t in range(hours.shape[0]):
            cosine = max(nx * hours[t, 5] + ny * hours[t, 6] + nz * hours[t, 7], 0.0)
            place = min(cosine, 1.0) * last
            k = min(math.floor(place), last - 1)
            passing = iam[k] + (iam[k + 1] - iam[k]) * (place - k)
            beam = hours[t, 0] * cosine
            sky = max(hours[t, 1] * cosine + hours[t, 2] * sees_sky + hours[t, 3] * sine, 0.0)
            sky = sky * open_sky
            ground = hours[t, 4] * sees_ground
            light = beam + sky + ground
            total = total + light
            entered = beam * passing + sky * iam_sky + ground * iam_ground
            cell = hours[t, 9] + light * hours[t, 8]
            watts = entered / 1000.0 * (1.0 + gamma * (cell - 25.0)) * hours[t, 10]
            power[t, p] = max(watts, 0.0)
        poa[p] = total
