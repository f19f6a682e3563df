"""The wall, its heights and measures worked out by hand."""

import re

import pytest
from drawings_kit import HOMES, LEAD, answer, varied

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.drawings.flat import flattened
from offgrid_sizing.drawings.model import Dimension, Rect, Text
from offgrid_sizing.drawings.wall import wall_drawing
from offgrid_sizing.drawings.wall_items import MOST_UNITS, groups_of, stands_on_floor


def group(sketch, key):
    found = answer(sketch)
    return {one.key: one for one in groups_of(found.sketch, found.design)}[key]


def drawn(sketch):
    found = answer(sketch)
    return wall_drawing(found.sketch, found.design)


def figures(drawing):
    return [one.figure for one in drawing.primitives if isinstance(one, Dimension)]


def told(drawing, language="en"):
    return " ".join(one.words for one in flattened(drawing, language) if isinstance(one, Text))


MACHINE = {
    "width_mm": 380, "height_mm": 520, "depth_mm": 210, "mass_kg": 31, "side_clearance_mm": 250,
    "vertical_clearance_mm": 300,
}  # fmt: skip


def two(**more):
    return varied(
        equipment={"inverter": MACHINE, **more},
        drawn={"units_in_parallel": 4, "inverters": 2, "arrangement": "parallel"},
        grid={"kind": "steady"},
    )


def test_machines_hang_side_by_side_with_their_clearances():
    machines = group(two(), "machines")
    # middle at 1500: 1240 to 1760; 250 mm between the two; switches 220 high, 100 below the 300
    first, second, *switches = machines.items
    assert (first.x, first.y, first.top, first.depth) == (0, 1240, 1760, 210)
    assert second.x == 630
    assert [(one.x, one.y) for one in switches] == [(115, 620), (745, 620)]
    assert (machines.side, machines.vertical, machines.alike) == (250, 300, 2)


def test_its_measures_stand_on_the_drawing():
    drawing = drawn(two())
    found = figures(drawing)
    for figure in ("1240", "520", "300", "380", "250", "1010", "620"):
        assert figure in found, figure
    (clear, free) = (
        one for one in drawing.primitives if isinstance(one, Rect) and one.layer == "CLEARANCES"
    )
    assert (clear.width, clear.height) == (1010 + 500, 520 + 600)
    assert free.dashed


def test_a_tall_machine_stays_below_two_metres_or_stands():
    def y_of(height):
        machine = {**MACHINE, "height_mm": height}
        return group(two(inverter=machine), "machines").items[0].y

    assert y_of(1000) == 1000  # 1500 − 500; up to 2000
    assert y_of(1400) == 600  # 2000 − 1400
    assert y_of(1950) == 100  # on its plinth


def test_light_units_hang_in_columns_and_heavy_ones_stand():
    # underside 300, 440 high, 100 apart: 300, 840, 1380 to 1820; the fourth in a second column
    units = group(two(), "units").items
    assert [(one.x, one.y) for one in units] == [(0, 300), (0, 840), (0, 1380), (580, 300)]
    heavy = group(two(battery={"mass_kg": 60}), "units").items
    assert [(one.x, one.y) for one in heavy] == [(0, 100), (580, 100), (1160, 100), (1740, 100)]


@pytest.mark.parametrize(
    ("battery", "floor"), [({"mass_kg": 59}, False), ({"mass_kg": 60}, True), (LEAD, True)]
)
def test_what_stands_on_the_floor(battery, floor):
    sketch = varied(equipment={"battery": {**battery, "mass_kg": battery["mass_kg"]}})
    assert stands_on_floor(sketch) is floor


def test_a_light_unit_of_lead_stands_all_the_same():
    assert stands_on_floor(varied(equipment={"battery": {**LEAD, "mass_kg": 20}}))


def test_every_device_but_those_at_the_roof_and_units_is_on_the_wall():
    for name, sketch in HOMES.items():
        found = answer(sketch)
        words = told(wall_drawing(found.sketch, found.design))
        for one in found.design.designations:
            elsewhere = one.key.startswith(("array.", "run.")) or one.key in {
                "unit_fuse", "generator", "electrode",
            }  # fmt: skip
            if elsewhere:
                continue
            several = one.key in ("machine", "bank_switch")
            marks = one.singles if several else one.singles[:MOST_UNITS]
            shown = marks if several or one.key == "unit" else (one.label,)
            missing = [
                mark for mark in shown if not re.search(rf"(?<!\S){re.escape(mark)}(?!\S)", words)
            ]
            assert missing == [], (name, one.key)


def test_notes_are_the_rows_of_the_commissioning_sheet():
    found = answer(two(battery={"mass_kg": 47}))
    words = told(wall_drawing(found.sketch, found.design))
    rows = sheet_of(found.sketch, found.design).section("mounting").rows
    masses = [str(row.expected) for row in rows if row.blank == "kg" and row.expected]
    assert masses == ["31 kg", "47 kg"]
    assert all(mass in words for mass in masses)
    (space,) = [row for row in rows if "working space" in str(row.what)]
    assert str(space.expected) in words


def test_what_nobody_entered_is_said_to_be_assumed():
    assert "Size of inverter-charger, boards and switches assumed" in told(
        drawn(HOMES["farmhouse"])
    )
    assert "Size of boards and switches assumed" in told(drawn(two()))
    assert "supuesto" in told(drawn(two()), "es")


def test_a_large_bank_names_the_units_it_does_not_draw():
    many = varied(drawn={"units_in_parallel": 30, "inverters": 2, "arrangement": "parallel"})
    words = told(drawn(many))
    assert "Drawn: 24 of 30 battery units" in words
    assert "-G2.24" in words
    assert "-G2.25" not in words


def test_fixings_for_each_wall_and_the_cautions_stand_on_it():
    words = told(drawn(two()))
    for part in ("masonry", "timber studs", "plasterboard", "common practice, no source",
                 "not a permit", "cannot be switched off"):  # fmt: skip
        assert part in words


def test_units_that_give_off_gas_bring_their_air_and_the_distance_of_sparks_along():
    found = answer(HOMES["lead-acid, four in series"])
    words = told(wall_drawing(found.sketch, found.design))
    (row,) = [one for one in found.design.inspection.rows if one.key == "ventilation"]
    assert str(row.said)[:60] in words
    assert "fresh air" not in told(drawn(two()))
