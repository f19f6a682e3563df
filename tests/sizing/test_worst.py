"""The weeks that pictures show, on traces written by hand."""

from types import SimpleNamespace

import numpy as np
import pytest

from offgrid_sizing.sizing.worst import hardest_week, telling_week


class Trace(SimpleNamespace):
    """Columns of a year of hours, as a trace gives them."""

    def __getitem__(self, name):
        return self.columns[name]


def trace(**changed) -> Trace:
    n = 365 * 24
    columns = {
        "load_w": np.full(n, 1000.0), "unserved_w": np.zeros(n), "soc_frac": np.full(n, 0.8),
        "grid_up": np.ones(n),
    }  # fmt: skip
    for name, (day, value) in changed.items():
        columns[name][day * 24 : (day + 1) * 24] = value
    return Trace(columns=columns, step_h=1.0)


def test_the_hardest_week_ends_on_its_worst_day_where_nothing_else_is_short():
    assert hardest_week(trace(unserved_w=(50, 500.0))) == 44 * 24
    assert hardest_week(trace(soc_frac=(200, 0.2))) == 194 * 24


@pytest.mark.parametrize(
    ("first", "second", "day"),
    [
        ({"grid_up": (90, 0.0)}, {}, 84),  # nothing unserved: where the grid is away
        ({"grid_up": (90, 0.0), "soc_frac": (300, 0.1)}, {}, 84),  # not the emptiest bank
        ({"grid_up": (90, 0.0)}, {"unserved_w": (120, 5.0)}, 114),  # unserved under any of them
        ({"unserved_w": (30, 5.0)}, {"unserved_w": (120, 5.1)}, 114),
        ({"grid_up": (90, 0.0)}, {"unserved_w": (120, 1e-4)}, 84),  # rounding is not unserved
    ],
)
def test_the_telling_week_of_strategies(first, second, day):
    assert telling_week([trace(**first), trace(**second)]) == day * 24
