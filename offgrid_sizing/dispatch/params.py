"""The numbers of one design as the kernels take them."""

from collections.abc import Mapping
from dataclasses import dataclass
from itertools import pairwise
from typing import Any

import numpy as np

from offgrid_sizing.dispatch import kernels

RUN_IN_H = 30 * 24


@dataclass(frozen=True, eq=False)
class Params:
    """The numbers of one design, by the names in `kernels`; what is left out is 0.

    `scale` multiplies the series' array power; `curve` holds the corners of the inverter's
    curve, (AC output, DC input) over the rating, the origin left out (`battery.inverter_curve`
    makes it; without it the inverter loses nothing); `de` is the bank's discharge efficiency,
    `leak` its self-discharge in one step, `h` the step length. Reciprocals and the like are
    filled in.
    """

    values: Mapping[str, Any]

    def __post_init__(self):
        known = {*kernels.LANE_PARAMS, *kernels.SHARED_PARAMS, "de", "leak"}
        unknown = set(self.values) - known
        if unknown:
            raise ValueError(f"unknown parameters: {', '.join(sorted(unknown))}")

    def filled(self) -> dict[str, Any]:
        """All parameters by name, reciprocals and step factors included."""
        values: dict[str, Any] = dict.fromkeys(kernels.LANE_PARAMS + kernels.SHARED_PARAMS, 0.0)
        values |= {"tight": 1.0, "extras": 1.0, "leak": 0.0} | dict(self.values)
        for name in ("ctrl", "charger"):
            values[f"inv_{name}"] = 1 / values[name]
        # The kernel's curve is in W; of a machine that is not there any rating does.
        rated_w = values["rated_w"] if values["rated_w"] > 0 else 1.0
        corners = self.values.get("curve", ((1.0, 1.0),))
        values["curve"] = bends_of([(rated_w * ac, rated_w * dc) for ac, dc in corners])
        values["inverse"] = bends_of([(rated_w * dc, rated_w * ac) for ac, dc in corners])
        full, h, ce, de = values["full"], values["h"], values["ce"], values.pop("de")
        return values | {
            "inv_full": 1 / full if full > 0 else 0.0,
            "has_bank": 1.0 if full > 0 else 0.0,
            "keep": 1 - values.pop("leak"),
            "inv_de": 1 / de,
            "to_w": 1 / (ce * h),
            "from_w": de / h,
            "in_h": ce * h,
            "out_h": h / de,
            "inv_h": 1 / h,
        }

    def with_switches(self, tight: float, extras: float) -> "Params":
        """The same design with the two switches set."""
        return Params({**self.values, "tight": tight, "extras": extras})


def is_long(corners) -> bool:
    """Whether a curve of these corners bends more often than the usual loops are compiled for."""
    return len(corners) - 1 > kernels.FEW_BENDS


def bends_of(corners) -> tuple[float, ...]:
    """A line from the origin through these corners as `kernels.bent` takes it.

    Parameters
    ----------
    corners : sequence of (float, float)
        At most `kernels.BENDS` + 1, rising in both; beyond the last the line goes straight on.

    Raises
    ------
    ValueError
        When there are more corners than the kernel carries.
    """
    points = [(0.0, 0.0), *corners]
    slopes = [float((y2 - y1) / (x2 - x1)) for (x1, y1), (x2, y2) in pairwise(points)]
    places = [float(x) for x, _ in points[1:-1]]
    changes = [after - before for before, after in pairwise(slopes)]
    missing = (kernels.BENDS if is_long(corners) else kernels.FEW_BENDS) - len(places)
    if missing < 0:
        raise ValueError(f"at most {kernels.BENDS + 1} corners (got {len(corners)})")
    rest = (0.0,) * missing
    curve = (slopes[0], *places, *rest, *changes, *rest)
    return (*curve, kernels.bent(0.0, (*curve, 0.0)))


def as_tuple(values: Mapping, names) -> tuple:
    """Values in the kernel's order: floats, and the two curves as tuples of floats."""
    return tuple(
        values[name] if name in ("curve", "inverse") else float(values[name]) for name in names
    )


def switches(params: Params, series: np.ndarray, lanes: Mapping | None = None) -> tuple:
    """Which parts of a step this series can need at all: (tight, extras), 0.0 or 1.0.

    `tight`: the grid's limit may bind. `extras`: something may be exported, or loads wait. Left
    out they change no result beyond rounding.
    """
    values = dict(params.values) | dict(lanes or {})
    extras = values.get("export_w", 0.0) > 0 or values.get("may_export", 0.0) > 0
    extras = extras or series[-1, 16] > 0
    most = series[:, 1].max() + series[:, 17].max()
    need = most + np.max(values.get("standby_w", 0.0))
    tight = need > np.min(values.get("import_w", 0.0))
    return float(tight), float(extras)


def run_in_of(run_in_steps: int | None, n: int, h: float) -> int:
    """Steps of run-in before the year: as asked, or the last 30 days."""
    asked = round(RUN_IN_H / h) if run_in_steps is None else run_in_steps
    return min(asked, n)
