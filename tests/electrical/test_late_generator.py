"""A generator set to start where the bank supplies no more is said on the commissioning sheet."""

import pytest
from systems_kit import varied

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.strategy import generator_starts_late
from offgrid_sizing.system import drawn_system


@pytest.mark.parametrize(
    ("language", "said"), [("en", "settle a higher start"), ("es", "proyectista")]
)
@pytest.mark.parametrize(("above", "late"), [(-0.05, True), (0.0, True), (0.05, False)])
def test_the_setting_says_when_it_is_no_higher_than_the_floor(above, late, language, said):
    floor = 1 - varied().equipment.battery.usable_dod_frac
    sketch = varied(generator={"rated_w": 5000, "start_soc_frac": floor + above})
    design = electrical_design(sketch, drawn_system(sketch), record_low_c=-15)
    rows = sheet_of(sketch, design).to(language).section("settings").rows
    assert generator_starts_late(sketch) is late
    assert any(said in row.note for row in rows) is late
