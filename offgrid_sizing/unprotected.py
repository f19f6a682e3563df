"""What a year is for the unprotected supply: bought while the grid is up, dark while it is not."""

from dataclasses import dataclass

import numpy as np

from offgrid_sizing.loads.year import UnprotectedLoad


@dataclass(frozen=True)
class UnprotectedYear:
    """One year of the grid's own board, by design without a bank. Energies in kWh, hours in h.

    None of it stands in the system's own totals: what is dark here is not counted as unserved, and
    what is paid here is not part of what the system costs.

    Parameters
    ----------
    load_kwh : float
        What its appliances ask for; `supplied_kwh + dark_kwh`.
    supplied_kwh : float
        Of it while the grid is up.
    dark_kwh, dark_h : float
        Of it while the grid is down, and the hours in which something was asked for then.
    from_system_kwh : float
        Of what is supplied, taken from what the system exports in the same step: it never reaches
        the meter.
    bought_kwh : float
        The rest, from the grid.
    cost : float
        What it adds to the year's bill: energy bought at the tariff's price of the hour, and the
        export income that energy from the system no longer earns, since the system's own account
        counts all that it exports as sold.
    """

    load_kwh: float
    supplied_kwh: float
    dark_kwh: float
    dark_h: float
    from_system_kwh: float
    bought_kwh: float
    cost: float


def unprotected_year(
    load: UnprotectedLoad | None, year: int, trace, export_price_per_kwh: float
) -> UnprotectedYear | None:
    """The year of the unprotected supply beside a traced one; None where nothing stands there.

    Parameters
    ----------
    load : UnprotectedLoad or None
    year : int
        Row of the load.
    trace : Trace
        Of the system: when the grid was up, its price, and what was exported.
    export_price_per_kwh : float

    Notes
    -----
    One meter at the connection sees both boards: export and the unprotected load of a step cancel.
    The system's own limit of export is left as it is, though the connection could bear more.
    """
    if load is None:
        return None
    flows, kwh = trace.columns, trace.step_h / 1000
    asked_w, up = load.load_w[year], flows["grid_up"] > 0
    supplied_w = np.where(up, asked_w, 0.0)
    own_w = np.minimum(flows["exported_w"], supplied_w)
    bought_w = supplied_w - own_w
    dark = ~up & (asked_w > 0)
    own_kwh = float(own_w.sum()) * kwh
    paid = float((bought_w * flows["tariff_per_kwh"]).sum()) * kwh
    return UnprotectedYear(
        load_kwh=float(asked_w.sum()) * kwh,
        supplied_kwh=float(supplied_w.sum()) * kwh,
        dark_kwh=float(asked_w[~up].sum()) * kwh,
        dark_h=float(dark.sum()) * trace.step_h,
        from_system_kwh=own_kwh,
        bought_kwh=float(bought_w.sum()) * kwh,
        cost=paid + own_kwh * export_price_per_kwh,
    )
