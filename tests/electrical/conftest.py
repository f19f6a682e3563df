"""Sketches the electrical tests share."""

import pytest
from systems_kit import varied

from offgrid_sizing.demos import demo

PLANES = (
    {"name": "Barn roof, south", "modules_in_series": 6, "strings": 3},
    {"name": "Barn roof, west", "modules_in_series": 7, "strings": 2},
)
CASES = {
    "single": demo("farmhouse"),
    "split phase": demo("town_house"),
    "parallel": demo("shop"),
    "three phase": varied(
        drawn={"units_in_parallel": 8, "inverters": 3, "arrangement": "three_phase"},
        grid={"kind": "steady"},
        roof_planes=PLANES,
    ),
    "six machines, fused strings": varied(
        equipment={"controller": {"max_input_a": 70, "max_power_w": 30_000}},
        drawn={"units_in_parallel": 12, "inverters": 6, "arrangement": "parallel"},
        grid={"kind": "steady"},
        generator={},
        roof_planes=(
            {"name": "A very long name of a roof to the south", "modules_in_series": 7,
             "strings": 44},
            {"name": "West", "modules_in_series": 6, "strings": 3},
        ),
    ),
    "without array and bank": varied(
        drawn={"units_in_parallel": 0, "inverters": 1, "arrangement": "single"}, roof_planes=()
    ),
}  # fmt: skip


@pytest.fixture(params=sorted(CASES), scope="session")
def any_sketch(request):
    """Each arrangement in turn."""
    return CASES[request.param]


@pytest.fixture(scope="session")
def town_house():
    """The split-phase demo."""
    return demo("town_house")
