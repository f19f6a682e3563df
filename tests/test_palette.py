"""One source of colours: screen, paper and diagram read the same one."""

import re
from pathlib import Path

import pytest

import offgrid_sizing
from offgrid_sizing import palette
from offgrid_sizing.electrical import diagram
from offgrid_sizing.report import charts_svg, svg
from offgrid_sizing.ui.charts import marks

WRITTEN = {
    "pv": ("#E69F00", "#E69F00"),
    "bank": ("#0072B2", "#4BA3DB"),
    "grid": ("#CC79A7", "#CC79A7"),
    "generator": ("#8A6D1B", "#C9A63C"),
    "load": ("#222222", "#EEEEEE"),
    "curtailed": ("#F0E442", "#F0E442"),
    "unserved": ("#D55E00", "#E8762B"),
    "good": ("#009E73", "#2FBF95"),
}
ON_PAPER = {
    "pv": svg.SUN, "bank": svg.BANK, "grid": svg.GRID, "generator": svg.GENERATOR,
    "load": svg.INK, "curtailed": svg.CURTAILED, "unserved": svg.UNSERVED, "good": svg.GOOD,
}  # fmt: skip


@pytest.mark.parametrize("thing", WRITTEN)
def test_a_thing_has_one_colour_on_screen_and_on_paper(thing):
    light, dark = WRITTEN[thing]
    assert (marks.colour(thing, False), marks.colour(thing, True)) == (light, dark)
    assert ON_PAPER[thing] == light


def test_shades_of_appliances_and_the_diagram_come_from_the_palette():
    slate = ("#2F4858", "#A9BFCB", "#587A8E", "#D3DEE4", "#45647A", "#9A9A9A")
    assert slate == charts_svg.APPLIANCE_SHADES
    assert (diagram.INK, diagram.BANK) == ("#222222", "#0072B2")
    assert (diagram.ARRAY, diagram.GRID, diagram.DANGER) == ("#B87900", "#A8578A", "#B84A00")


def test_scales_turn_with_the_background():
    assert palette.charge_scale(False) == ("#00263F", "#3E8DC0", "#E3F0F9")
    assert palette.charge_scale(True) == ("#E4F3FF", "#4BA3DB", "#0B2A40")
    assert palette.load_scale(False) == ("#F2F2F2", "#7A93A3", "#16202A")
    assert palette.load_scale(True) == ("#23272E", "#7A93A3", "#F4F4F4")
    assert palette.price_scale(False) == ("#F7E9F1", "#9C3F72")
    assert palette.price_scale(True) == ("#2A2230", "#E9B8D2")
    assert palette.unserved_scale(False) == ("#FFFFFF", "#F6CFB4", "#D55E00")
    assert palette.unserved_scale(True) == ("#20242C", "#7A4A2B", "#E8762B")


def test_no_other_module_writes_a_colour():
    root = Path(offgrid_sizing.__file__).parent
    writers = {
        str(path.relative_to(root))
        for path in root.rglob("*.py")
        if re.search(r"[\"']#[0-9A-Fa-f]{6}\b", path.read_text(encoding="utf-8"))
    }
    assert writers == {"palette.py"}
