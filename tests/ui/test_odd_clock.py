"""A clock that no place keeps."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.ui.navigation import STEPS


@pytest.mark.parametrize("step", [step.name for step in STEPS])
def test_every_page_bears_a_clock_off_whole_minutes(page, step, no_trouble):
    home = demo("farmhouse")
    site = home.site.model_copy(update={"utc_offset_h": -4.51})
    no_trouble(page(step, home.model_copy(update={"site": site})))
