"""Fit the split of synthetic hours into beam and diffuse, and judge it on places held back.

`python data/build/fit_diffuse.py FOLDER [TARGET.json]` reads the years of `recorded_years.py`,
fits `SYNTHETIC_HOURS` of `offgrid_sizing/weather/synthesis.py` on half of the places, prints how
far monthly sums on latitude tilt then are from the years' own at the places held back, and the
same with the halves swapped. With a target it also writes the sums that
`tests/published/test_diffuse_split.py` holds the program to.

Every synthetic year is fed with the real year's twelve monthly sums, so that only days, hours and
the split differ; global irradiance does not depend on the coefficients. Takes a few minutes.
"""

import json
import sys
from dataclasses import astuple, dataclass, replace
from pathlib import Path

import numpy as np
import pvlib
from recorded_years import Recorded, recorded_years
from scipy.optimize import least_squares

from offgrid_sizing.weather.climate import Spot, bare_sky
from offgrid_sizing.weather.monthly import sky_from_ghi
from offgrid_sizing.weather.sun import SunPath, daily_sum
from offgrid_sizing.weather.synthesis import (
    RECORDED_HOURS,
    SYNTHETIC_HOURS,
    DiffuseSplit,
    Sky,
    split_beam,
    synthetic_years,
)
from offgrid_sizing.year_days import monthly_mean

# By place, so that all years of one lie on one side; chosen to spread both halves over latitudes.
HELD_BACK = (
    "Rostock", "Aachen", "Bremerhaven", "Mannheim", "Hof", "Garmisch", "Essen", "Golden", "Miami",
    "New York", "45 N 8 E", "Zug", "Amsterdam", "Aberdeen", "Seville", "Sydney", "Tampa",
    "Palmas", "Ahmedabad",
)  # fmt: skip
MEASURED = ("TRY 2010", "DWD 2021", "DWD 2023")
YEARS = 3
SEED = 1
DIFFUSE_WEIGHT = 0.3  # of an error of the diffuse share beside a relative one of the tilted sum
SOFT = 0.08  # errors beyond this count less and less
LEAST_KWH_PER_M2_DAY = 0.3
WINTER = {True: [10, 11, 0, 1], False: [4, 5, 6, 7]}
SUMMER = {True: [3, 4, 5, 6, 7, 8], False: [9, 10, 11, 0, 1, 2]}
BANDS = ((0, 25), (25, 45), (45, 53), (53, 90))


@dataclass(frozen=True, eq=False)
class Case:
    """A real year, its monthly sums, and synthetic global irradiance with the same sums."""

    year: Recorded
    sky: Sky
    ghi: np.ndarray
    global_kwh: np.ndarray
    tilted_kwh: np.ndarray
    diffuse_share: np.ndarray

    @property
    def weight(self) -> float:
        """Years whose beam and diffuse were measured count double."""
        return 2.0 if self.year.family in MEASURED else 1.0


def tilt_deg(year: Recorded) -> float:
    """Latitude tilt, at most 60°."""
    return min(abs(year.latitude_deg), 60.0)


def by_month(values: np.ndarray) -> np.ndarray:
    """kWh/m² a day in each month, means over years."""
    return monthly_mean(daily_sum(np.atleast_2d(values), 1.0)).mean(0) / 1000


def on_tilt(year: Recorded, sun: SunPath, ghi, dni, dhi) -> np.ndarray:
    """Monthly sums on latitude tilt, Perez sky as the program takes it, ground reflectance 0.2."""
    many = len(ghi)

    def over(values):
        return np.tile(values, many)

    zenith = 90 - sun.elevation_deg()
    airmass = pvlib.atmosphere.get_relative_airmass(np.minimum(zenith, 89.5))
    plane = pvlib.irradiance.get_total_irradiance(
        tilt_deg(year), 180 if year.latitude_deg >= 0 else 0, over(zenith),
        over(sun.azimuth_deg()), dni.ravel(), ghi.ravel(), dhi.ravel(),
        dni_extra=over(sun.extra_normal), airmass=over(airmass), albedo=0.2, model="perez",
    )  # fmt: skip
    return by_month(np.nan_to_num(np.asarray(plane["poa_global"])).reshape(many, -1))


def real_beam(year: Recorded, sun: SunPath) -> tuple[np.ndarray, np.ndarray]:
    """Beam and diffuse of a recorded year, from global and diffuse."""
    high = np.where(sun.cos_zenith > 0.05, sun.cos_zenith, np.inf)
    dni = np.clip((year.ghi - year.dhi) / high, 0, 0.85 * sun.extra_normal)
    return dni, year.ghi - dni * np.where(sun.up, sun.cos_zenith, 0)


def case_of(year: Recorded) -> Case:
    """What a real year is compared with."""
    sun = year.sun
    spot = Spot(
        year.latitude_deg, year.longitude_deg, max(year.elevation_m, 0.0), year.utc_offset_h
    )
    climate = bare_sky(spot)
    sums = by_month(year.ghi)
    sky = sky_from_ghi(climate, np.minimum(sums, 1.05 * climate.clear_kwh_per_m2_day))
    dni, dhi = (values[None] for values in real_beam(year, sun))
    share = by_month(np.minimum(year.dhi, year.ghi)) / np.maximum(sums, 1e-3)
    ghi = synthetic_years(sky, YEARS, SEED)[0]
    return Case(year, sky, ghi, sums, on_tilt(year, sun, year.ghi[None], dni, dhi), share)


def made(case: Case, by: DiffuseSplit) -> tuple[np.ndarray, np.ndarray]:
    """Monthly sums on the tilt and diffuse shares of the synthetic years."""
    dni, dhi = split_beam(case.sky, case.ghi, by)
    tilted = on_tilt(case.year, case.sky.sun, case.ghi, dni, dhi)
    return tilted, by_month(dhi) / np.maximum(by_month(case.ghi), 1e-3)


def split_from(free) -> DiffuseSplit:
    """Constant, clearness and height are free; the day's and the neighbours' part stay.

    All five together are not told apart by monthly sums. The hour of the day is left out: morning
    and afternoon differ by place, not by the sun.
    """
    constant, kt, elevation = (float(v) for v in free)
    return replace(
        RECORDED_HOURS, constant=constant, kt=kt, solar_hour=0.0, elevation_deg=elevation
    )


def errors(cases: list[Case], by: DiffuseSplit) -> np.ndarray:
    """All weighted errors of months that have any light."""
    found = []
    for case in cases:
        tilted, share = made(case, by)
        lit = case.global_kwh > LEAST_KWH_PER_M2_DAY
        weight = np.sqrt(case.weight)
        found.append(weight * np.log(tilted[lit] / case.tilted_kwh[lit]))
        found.append(weight * DIFFUSE_WEIGHT * (share - case.diffuse_share)[lit])
    return np.concatenate(found)


def fitted(cases: list[Case]) -> DiffuseSplit:
    """The coefficients that bring tilted sums and diffuse shares nearest to the real years'."""
    found = least_squares(
        lambda free: errors(cases, split_from(free)), (-3.9, 6.1, -0.02), diff_step=1e-3,
        x_scale=(1.0, 1.0, 0.01), loss="soft_l1", f_scale=SOFT,
    )  # fmt: skip
    return split_from([round(float(v), 4) for v in found.x])


def row(case: Case, by: DiffuseSplit) -> np.ndarray:
    """Errors of winter, summer and year, mean of the months' own, winter share real and made."""
    tilted, share = made(case, by)
    north = case.year.latitude_deg > 0

    def error(months) -> float:
        return 100 * (tilted[months].sum() / case.tilted_kwh[months].sum() - 1)

    lit = case.global_kwh > LEAST_KWH_PER_M2_DAY
    single = 100 * np.abs(tilted[lit] / case.tilted_kwh[lit] - 1).mean()
    cold = WINTER[north]
    return np.array([
        error(cold), error(SUMMER[north]), error(list(range(12))), single,
        case.diffuse_share[cold].mean(), share[cold].mean(),
    ])  # fmt: skip


def judge(title: str, cases: list[Case], by: DiffuseSplit) -> None:
    """Print one line a year, and means by latitude."""
    print(f"\n{title}: {astuple(by)}")
    print("| year | latitude | winter, before | after | summer | year | single months | share |")
    table = []
    for case in cases:
        before, after = row(case, RECORDED_HOURS), row(case, by)
        table.append((abs(case.year.latitude_deg), before, after))
        print(
            f"| {case.year.name}, {case.year.family} | {case.year.latitude_deg:.1f}° "
            f"| {before[0]:+.0f} % | {after[0]:+.1f} % | {after[1]:+.1f} % | {after[2]:+.1f} % "
            f"| {after[3]:.1f} % | {after[4]:.2f}: {before[5]:.2f}, {after[5]:.2f} |"
        )
    for low, high in BANDS:
        rows = [(b, a) for latitude, b, a in table if low <= latitude < high]
        if rows:
            before, after = (np.array(part) for part in zip(*rows, strict=True))
            print(
                f"{low}-{high}°, {len(rows)} years: winter {before[:, 0].mean():+.1f} before, "
                f"{after[:, 0].mean():+.1f} after (mean size {np.abs(after[:, 0]).mean():.1f}); "
                f"year {before[:, 2].mean():+.1f} before, {after[:, 2].mean():+.1f} after "
                f"({np.abs(after[:, 2]).mean():.1f}); single months {after[:, 3].mean():.1f}"
            )


def is_held_back(case: Case) -> bool:
    """Whether a year's place takes no part in the fit."""
    return any(case.year.name.startswith(place) for place in HELD_BACK)


def written(cases: list[Case]) -> list[dict]:
    """The monthly sums of the years held back, for the tests."""
    return [
        {
            "place": case.year.name, "source": case.year.family,
            "latitude_deg": case.year.latitude_deg, "longitude_deg": case.year.longitude_deg,
            "elevation_m": float(max(case.year.elevation_m, 0)),
            "utc_offset_h": round(case.year.utc_offset_h, 3), "tilt_deg": tilt_deg(case.year),
            "ghi_kwh_per_m2_day": [round(float(v), 3) for v in case.global_kwh],
            "tilted_kwh_per_m2_day": [round(float(v), 3) for v in case.tilted_kwh],
            "diffuse_share": [round(float(v), 3) for v in case.diffuse_share],
        }
        for case in cases
    ]  # fmt: skip


def main() -> None:
    """Fit, judge, swap the halves, judge again."""
    years = recorded_years(Path(sys.argv[1]))
    # Satellite years of 2019 over Europe are judged only: at Potsdam and Brussels they call half
    # of winter's light beam where pyranometers there and nearby say three tenths.
    only_judged = [case_of(y) for y in years if y.family == "NSRDB 2019" and y.latitude_deg > 30]
    cases = [case_of(y) for y in years if not (y.family == "NSRDB 2019" and y.latitude_deg > 30)]
    held = [case for case in cases if is_held_back(case)]
    used = [case for case in cases if not is_held_back(case)]
    judge("held back, as shipped", held, SYNTHETIC_HOURS)
    found = fitted(used)
    judge("fitted on", used, found)
    judge("held back", held, found)
    judge("satellite 2019, never fitted", only_judged, found)
    judge("halves swapped, fitted on the others", used, fitted(held))
    if len(sys.argv) > 2:
        lines = ",\n".join(json.dumps(entry, ensure_ascii=False) for entry in written(held))
        Path(sys.argv[2]).write_text(f"[{lines}]\n")


if __name__ == "__main__":
    main()
