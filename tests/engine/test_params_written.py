"""A design's numbers as the kernel takes them, worked by hand."""

import numpy as np
import pytest

from offgrid_sizing.dispatch import SERIES, Params, kernels
from offgrid_sizing.dispatch.params import as_tuple, bends_of, run_in_of, switches

GIVEN = {"ctrl": 0.8, "charger": 0.5, "ce": 0.8, "de": 0.9, "h": 0.5}
NONE = (0.0,) * 2


def test_what_is_filled_in():
    """A watt into the bank for half an hour stores 0.8 × 0.5 Wh; one out of it takes 0.5 / 0.9."""
    got = Params(GIVEN | {"full": 4000.0, "rated_w": 2000.0, "leak": 0.01}).filled()
    written = {
        "inv_ctrl": 1.25, "inv_charger": 2.0, "rated_w": 2000, "inv_full": 1 / 4000,
        "has_bank": 1.0, "keep": 0.99, "inv_de": 1 / 0.9, "to_w": 2.5, "from_w": 1.8, "in_h": 0.4,
        "out_h": 0.5 / 0.9, "inv_h": 2.0, "tight": 1.0, "extras": 1.0,
    }  # fmt: skip
    assert {name: got[name] for name in written} == pytest.approx(written)
    # a straight line through the origin: the inverter loses nothing
    assert got["curve"] == got["inverse"] == (1.0, *(0.0,) * 9)
    assert (got["clip_w"], got["gen_w"], got["standby_w"]) == (0, 0, 0)
    assert set(got) == {*kernels.LANE_PARAMS, *kernels.SHARED_PARAMS}


def test_nothing_is_divided_by_a_bank_or_a_machine_that_is_not_there():
    got = Params(GIVEN).filled()
    assert (got["inv_full"], got["has_bank"], got["rated_w"], got["keep"]) == (0, 0, 0, 1)
    assert got["curve"] == got["inverse"] == (1.0, *(0.0,) * 9)
    small = Params(GIVEN | {"full": 0.5, "rated_w": 0.5}).filled()
    assert (small["inv_full"], small["has_bank"], small["rated_w"]) == (2, 1, 0.5)


def test_switches_that_are_set():
    got = Params(GIVEN | {"tight": 1.0}).with_switches(0.0, 0.5).filled()
    assert (got["tight"], got["extras"], got["ctrl"]) == (0, 0.5, 0.8)


def test_a_name_that_is_not_known():
    with pytest.raises(ValueError, match="unknown parameters: other, some"):
        Params({"some": 1.0, "other": 2.0, "h": 1.0})


def test_bends_of_a_curve():
    """Slopes 0.2 / 0.1, 0.2 / 0.4 and 1 / 0.5; at the origin the sum of the bends is −0.15 + 0.75;
    turned round 0.5, 2 and 0.5 with bends at 0.2 and 0.4: 1.5 × 0.2 − 1.5 × 0.4."""
    corners = ((0.1, 0.2), (0.5, 0.4), (1.0, 1.4))
    written = (2.0, 0.1, 0.5, *NONE, -1.5, 1.5, *NONE, 0.6)
    turned = (0.5, 0.2, 0.4, *NONE, 1.5, -1.5, *NONE, -0.3)
    assert bends_of(corners) == pytest.approx(written)
    got = Params(GIVEN | {"curve": corners}).filled()
    assert got["curve"] == pytest.approx(written)
    assert got["inverse"] == pytest.approx(turned)


@pytest.mark.parametrize("rated_w", [0.5, 3000.0])
def test_the_kernel_has_its_curve_in_watts(rated_w):
    """The slopes are those of one watt, places and the sum at the origin so many times larger."""
    corners = ((0.1, 0.2), (0.5, 0.4), (1.0, 1.4))
    got = Params(GIVEN | {"curve": corners, "rated_w": rated_w}).filled()
    places, turned = (0.1 * rated_w, 0.5 * rated_w), (0.2 * rated_w, 0.4 * rated_w)
    assert got["curve"] == pytest.approx((2.0, *places, *NONE, -1.5, 1.5, *NONE, 0.6 * rated_w))
    assert got["inverse"] == pytest.approx((0.5, *turned, *NONE, 1.5, -1.5, *NONE, -0.3 * rated_w))


def test_nine_corners_are_the_most():
    corners = [(k, k * k) for k in range(1, 11)]
    # slopes 1, 3, 5 … change by 2 at 1 to 8: 2 × 36
    assert bends_of(corners[:9]) == (1, *range(1, 9), *(2,) * 8, 72)
    # with up to five corners the short form: 2 × 10; the sixth asks for the long one
    assert bends_of(corners[:5]) == (1, *range(1, 5), *(2,) * 4, 20)
    assert bends_of(corners[:6]) == (1, *range(1, 6), 0, 0, 0, *(2,) * 5, 0, 0, 0, 30)
    with pytest.raises(ValueError, match=r"at most 9 corners \(got 10\)"):
        bends_of(corners)


def test_values_in_the_kernels_order():
    values = {"h": 1, "curve": (1.0, 2.0), "inverse": (3.0,), "ce": 0.5}
    got = as_tuple(values, ("ce", "inverse", "h", "curve"))
    assert got == (0.5, (3.0,), 1.0, (1.0, 2.0))
    assert isinstance(got[2], float)


def rows(load=(300.0, 900.0), defer=(200.0, 0.0), may=(0.0, 0.0)):
    series = np.zeros((2, len(SERIES)))
    for name, values in (("load", load), ("defer_w", defer), ("may_wh", may)):
        series[:, SERIES.index(name)] = values
    return series


@pytest.mark.parametrize(
    ("values", "series", "written"),
    [
        # 900 W of load, 200 that may wait and 50 of standby, though never at once
        ({"import_w": 1150, "standby_w": 50}, {}, (0, 0)),
        ({"import_w": 1149, "standby_w": 50}, {}, (1, 0)),
        ({"import_w": 1100}, {}, (0, 0)),
        ({}, {}, (1, 0)),
        ({}, {"load": (0.0, 0.5), "defer": (0.0, 0.0)}, (1, 0)),
        ({}, {"load": (0.0, 0.0), "defer": (0.0, 0.0)}, (0, 0)),
        ({"import_w": 5000, "export_w": 0.5}, {}, (0, 1)),
        ({"import_w": 5000, "may_export": 1}, {}, (0, 1)),
        ({"import_w": 5000}, {"may": (0, 0.5)}, (0, 1)),
        ({"import_w": 5000}, {"may": (0.5, 0)}, (0, 0)),  # what counts is the year's end
    ],
)
def test_which_parts_a_year_can_need(values, series, written):
    assert switches(Params(GIVEN | values), rows(**series)) == written


def test_of_many_designs_the_narrowest_grid_and_the_largest_draw_decide():
    params = Params(GIVEN | {"import_w": 5000.0})
    for lanes, tight in (
        ({"import_w": np.array([9000.0, 1140.0]), "standby_w": np.array([10.0, 40.0])}, 0),
        ({"import_w": np.array([9000.0, 1139.0]), "standby_w": np.array([40.0, 10.0])}, 1),
    ):
        assert switches(params, rows(), lanes) == (tight, 0)


@pytest.mark.parametrize(
    ("asked", "n", "h", "steps"),
    [(None, 8760, 1.0, 720), (None, 17_520, 0.5, 1440), (None, 100, 1.0, 100), (48, 8760, 1.0, 48),
     (0, 8760, 1.0, 0), (9000, 8760, 1.0, 8760)],
)  # fmt: skip
def test_steps_of_run_in(asked, n, h, steps):
    assert run_in_of(asked, n, h) == steps
