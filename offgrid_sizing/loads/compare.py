"""A metered year beside the appliances' year: energy, shape of the day, months; one scaled to the
other."""

from dataclasses import dataclass

import numpy as np
import pandas as pd

from offgrid_sizing.loads.appliance_year import appliance_year, whole_w
from offgrid_sizing.loads.boundary import everything_protected
from offgrid_sizing.loads.calendar import MONTH
from offgrid_sizing.loads.profile import load_year
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.weather.series import Weather
from offgrid_sizing.words import sentence, together


@dataclass(frozen=True, eq=False)
class LoadComparison:
    """How far the appliance table explains the meter.

    Parameters
    ----------
    metered_kwh, appliance_kwh : float
        Mean day. [kWh/day]
    factor : float
        metered / appliance energy.
    day_correlation : float
        Pearson correlation of the two average days.
    by_hour : DataFrame
        Average day: `hour`, `metered_w`, `appliance_w`.
    by_month : DataFrame
        `month`, `metered_kwh_per_day`, `appliance_kwh_per_day`.
    sentence : str
    """

    metered_kwh: float
    appliance_kwh: float
    factor: float
    day_correlation: float
    by_hour: pd.DataFrame
    by_month: pd.DataFrame
    sentence: str


def average_day(load_w: np.ndarray) -> np.ndarray:
    """Mean power by slot of the day. Shape (n,) to (slots,). [W]"""
    return load_w.reshape(365, -1).mean(axis=0)


def correlation(first: np.ndarray, second: np.ndarray) -> float:
    """Pearson correlation; NaN where one of them is flat."""
    if first.std() == 0 or second.std() == 0:
        return float("nan")
    return float(np.corrcoef(first, second)[0, 1])


def compare_loads(metered_w: np.ndarray, appliance_w: np.ndarray, step_h: float) -> LoadComparison:
    """Compare two load years on the same clock, each of shape (n,). [W]"""
    kwh = [load.sum() * step_h / 365 / 1000 for load in (metered_w, appliance_w)]
    days = [average_day(load) for load in (metered_w, appliance_w)]
    in_month = [np.equal(month, MONTH) for month in range(1, 13)]
    months = [
        [load.reshape(365, -1)[those].sum() * step_h / 1000 / those.sum() for those in in_month]
        for load in (metered_w, appliance_w)
    ]
    factor = kwh[0] / kwh[1] if kwh[1] > 0 else float("inf")
    alike = correlation(*days)
    hours = [int(day.argmax() * step_h) for day in days]
    return LoadComparison(
        metered_kwh=float(kwh[0]),
        appliance_kwh=float(kwh[1]),
        factor=float(factor),
        day_correlation=alike,
        by_hour=pd.DataFrame(
            {"hour": np.arange(days[0].size) * step_h, "metered_w": days[0], "appliance_w": days[1]}
        ),
        by_month=pd.DataFrame(
            {
                "month": range(1, 13),
                "metered_kwh_per_day": months[0],
                "appliance_kwh_per_day": months[1],
            }
        ),
        sentence=_said(kwh, factor, alike, hours),
    )


def _said(kwh: list[float], factor: float, alike: float, hours: list[int]) -> str:
    """Energy, then the shape of the day; each list holds the meter's and the table's."""
    key = "more" if factor >= 1 else "less"
    energy = sentence(
        f"meter.compare.{key}",
        metered=float(kwh[0]),
        table=float(kwh[1]),
        share=float(abs(factor - 1)),
    )
    key = "shape_flat" if np.isnan(alike) else "shape"
    shape = sentence(f"meter.compare.{key}", alike=alike, metered=hours[0], table=hours[1])
    return together(energy, shape)


def compare_with_meter(sketch: Sketch, weather: Weather, *, base_dir=None) -> LoadComparison:
    """Compare the sketch's metered file with its appliances, in the first weather year.

    Raises
    ------
    BadInput
        When the sketch has no metered file or no appliances.
    """
    loads = sketch.loads
    if loads.metered is None or not loads.in_use:
        raise BadInput(sentence("meter.compare.needs_both"))
    alone = loads.model_copy(
        update={"metered": loads.metered.model_copy(update={"use": "replace"})}
    )
    # The file measures the whole home, whichever board an appliance stands on.
    whole = everything_protected(sketch.model_copy(update={"loads": alone}))
    metered = load_year(whole, weather, base_dir=base_dir)
    table = appliance_year(sketch, weather)
    return compare_loads(metered.load_w[0], whole_w(table), weather.step_h)


def scale_appliances(sketch: Sketch, factor: float) -> Sketch:
    """The sketch with every load's hours times `factor` by its `scale` field.

    Raises
    ------
    BadInput
        When the product is outside what a sketch allows.
    """
    scale = sketch.loads.scale * factor
    if not 0 < scale <= 100:
        raise BadInput(
            sentence("meter.compare.scale_outside", factor=float(factor), scale=float(scale))
        )
    loads = sketch.loads.model_copy(update={"scale": scale})
    return sketch.model_copy(update={"loads": loads})
