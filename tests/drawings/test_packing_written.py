"""How many modules a plane takes, worked out by hand."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.electrical.packing import least_rectangle, packed, room_of
from offgrid_sizing.sketch import Module, RoofPlane

MODULE = Module(length_m=2.0, width_m=1.0)


def plane(width_m=None, slope_m=None, **more):
    return RoofPlane(width_m=width_m, slope_m=slope_m, **more)


def test_upright_where_that_takes_them():
    # 6.7 - 0.6 = 6.1 m: 6 × 1 + 5 × 0.02 = 6.1; 4.62 - 0.6 = 4.02 m: 2 × 2 + 0.02 = 4.02
    found = packed(plane(6.7, 4.62), MODULE, 12)
    assert (found.upright, found.columns, found.rows, found.takes) == (True, 6, 2, 12)
    assert found.plane_m == pytest.approx((6.7, 4.62))


def test_a_millimetre_less_is_a_column_less():
    assert packed(plane(6.699, 4.62), MODULE, 12).columns == 5
    assert packed(plane(6.7, 4.619), MODULE, 6).rows == 1


def test_lying_where_only_that_takes_them():
    # 3.66 - 0.6 = 3.06 m up the slope: 1 upright, 3 lying (3 × 1 + 0.04); 4.7 - 0.6 = 4.1 m
    # across: 4 upright, 2 lying
    found = packed(plane(4.7, 3.66), MODULE, 6)
    assert (found.upright, found.columns, found.rows) == (False, 2, 3)
    assert packed(plane(4.7, 3.66), MODULE, 4).upright  # 4 fit upright: no need to turn them


def test_a_plane_too_small_takes_what_fits_the_better_way():
    found = packed(plane(4.7, 3.66), MODULE, 20)
    assert (found.upright, found.takes) == (False, 6)
    assert packed(plane(1.0, 1.0), MODULE, 1).takes == 0


def test_an_own_edge_comes_before_the_usual_one():
    assert packed(plane(6.1, 4.02, edge_m=0), MODULE, 12).takes == 12
    assert packed(plane(6.1, 4.02, edge_m=0.1), MODULE, 12).takes == 6  # 5.9: 5 × 1; lying: 2 × 3


@pytest.mark.parametrize(
    ("fit", "size", "room"),
    [(None, (None, None), None), (7, (None, None), 7), (None, (6.7, 4.62), 12),
     (7, (6.7, 4.62), 7), (40, (6.7, 4.62), 12), (None, (6.7, None), None),
     (None, (None, 4.62), None), (0, (6.7, 4.62), 0)],
)  # fmt: skip
def test_the_smaller_of_size_and_number_counts(fit, size, room):
    assert room_of(plane(*size, max_modules=fit), MODULE) == room


def test_the_better_way_counts_however_many_fit():
    # 10.2 m across and 21.2 m up, without an edge: 10 × 10 upright, 5 × 20 lying; with 22.22 m up
    # 10 × 11 and 5 × 21; with 12.1 m across 11 × 10 and 6 × 20
    assert room_of(plane(10.2, 21.2, edge_m=0), MODULE) == 100
    assert room_of(plane(10.2, 22.22, edge_m=0), MODULE) == 110
    assert room_of(plane(12.1, 21.2, edge_m=0), MODULE) == 120


@pytest.mark.parametrize(
    # 11: in one row 11.80 × 2.60 = 30.7 m², in two 6.70 × 4.62 = 31.0, in three 30.9
    # 13: in one row 13.84 × 2.60 = 36.0 m², in two 7.72 × 4.62 = 35.7, in three 37.7
    ("needed", "columns", "rows"),
    [(11, 11, 1), (13, 7, 2), (1, 1, 1)],
)
def test_the_least_rectangle_of_a_prime_number(needed, columns, rows):
    found = least_rectangle(plane(), MODULE, needed)
    assert (found.columns, found.rows) == (columns, rows)
    bare = least_rectangle(plane(edge_m=0), MODULE, needed)
    assert (bare.columns, bare.rows) == (columns, rows)  # the usual edge decides all the same


def test_the_least_rectangle():
    # edges included: 6 × 1 row 6.70 × 2.60 = 17.42; 3 × 2 rows 3.64 × 4.62 = 16.82 m²;
    # 2 × 3 rows 2.62 × 6.64 = 17.40 m²
    found = least_rectangle(plane(), MODULE, 6)
    assert (found.columns, found.rows, found.rows_of(6)) == (3, 2, (3, 3))
    assert found.plane_m == pytest.approx((3.64, 4.62))


@given(
    st.floats(0.5, 30), st.floats(0.5, 30), st.floats(0, 2), st.integers(1, 400),
    st.floats(0.5, 3), st.floats(0.5, 3),
)  # fmt: skip
def test_what_fits_lies_inside_and_fits_once_more_on_its_own_rectangle(
    width_m, slope_m, edge_m, needed, long_m, wide_m
):
    module = Module(length_m=long_m, width_m=wide_m)
    roof = plane(width_m, slope_m, edge_m=edge_m)
    found = packed(roof, module, needed)
    if found.takes:
        across, up = found.plane_m
        assert across <= width_m + 1e-6
        assert up <= slope_m + 1e-6
    assert sum(found.rows_of(needed)) == min(needed, found.takes)
    least = least_rectangle(roof, module, needed)
    assert least.takes >= needed
    assert sum(least.rows_of(needed)) == needed
    again = packed(plane(*least.plane_m, edge_m=edge_m), module, needed)
    assert again.takes >= needed
