"""What the search may choose from: equal strings inside the window, machines that bear them."""

import numpy as np
import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sketch import BadInput, Generator
from offgrid_sizing.string_rules import allowed_series

COLD_C = -25.0


def _candidates(sketch):
    return candidates_of(sketch, peak_of(sketch), COLD_C)


def test_every_array_on_one_plane_is_equal_strings_the_controller_allows():
    sketch = demo("farmhouse")
    found = _candidates(sketch)
    allowed = allowed_series(sketch.equipment.module, sketch.equipment.controller, COLD_C)
    assert (found.modules == (found.strings * found.in_series).sum(axis=1)).all()
    assert (np.diff(found.modules) > 0).all()
    assert set(found.in_series[1:].ravel()) <= set(allowed)
    assert found.modules[-1] <= sketch.roof_planes[0].max_modules


def test_every_number_that_equal_strings_can_make_is_there():
    sketch = demo("farmhouse")
    found = _candidates(sketch)
    lengths = {int(length) for length in found.in_series[1:].ravel()}
    makeable = {a * b for a in lengths for b in range(1, 40)}
    small = [modules for modules in makeable if modules <= 20]
    assert set(small) <= set(found.modules.tolist())


def test_the_drawn_length_comes_first():
    sketch = demo("farmhouse")
    found = _candidates(sketch)
    drawn = sketch.roof_planes[0].modules_in_series
    row = int(np.searchsorted(found.modules, 2 * drawn))
    assert found.modules[row] == 2 * drawn
    assert (found.in_series[row, 0], found.strings[row, 0]) == (drawn, 2)


def test_several_planes_fill_in_the_proportion_drawn():
    sketch = demo("farmhouse")
    plane = sketch.roof_planes[0]
    west = plane.model_copy(update={"name": "West", "azimuth_deg": 270.0, "strings": 1})
    found = _candidates(sketch.model_copy(update={"roof_planes": (plane, west)}))
    both = found.strings[found.strings.sum(axis=1) == 9]
    assert both.tolist() == [[6, 3]]


def test_what_is_drawn_makes_no_number_of_modules_need_more_machines():
    """Short strings drawn would fill the inputs of machines that longer strings leave free."""
    sketch = demo("farmhouse")
    controller = sketch.equipment.controller.model_copy(update={"max_voc_v": 450.0})
    equipment = sketch.equipment.model_copy(update={"controller": controller})
    sketch = sketch.model_copy(update={"equipment": equipment})
    allowed = allowed_series(sketch.equipment.module, sketch.equipment.controller, COLD_C)
    needs = {}
    for length in allowed:
        plane = sketch.roof_planes[0].model_copy(update={"modules_in_series": length})
        found = _candidates(sketch.model_copy(update={"roof_planes": (plane,)}))
        needs[length] = dict(zip(found.modules.tolist(), found.fewest.tolist(), strict=True))
    least = needs[min(allowed)]
    assert len(allowed) > 2
    for length, machines in needs.items():
        assert machines.keys() == least.keys()
        assert all(machines[modules] <= least[modules] for modules in least), length
    # a string of eight is longer than modest: it is there only where it is drawn
    assert (needs[8][32], least[32]) == (3, 4)


def test_a_peak_beyond_all_numbers_is_refused_in_a_short_sentence():
    sketch = demo("farmhouse")
    first, *rest = sketch.loads.appliances
    endless = first.model_copy(update={"power_factor": 1e-300, "critical": True})
    loads = sketch.loads.model_copy(update={"appliances": (endless, *rest)})
    with pytest.raises(BadInput, match="choose a larger one or lower the peak") as refused:
        _candidates(sketch.model_copy(update={"loads": loads}))
    assert len(str(refused.value)) < 300


def test_an_array_comes_with_the_fewest_machines_up_to_one_beyond_full_current():
    # 7 kW a controller: 15 modules of 450 W need one, 16 need two; 12 modules charge with
    # 5.4 kW × 0.9 × 0.97 / 51.2 V = 92 A of the 100 A of one, 14 with 107 A
    found = _candidates(demo("farmhouse"))
    rows = {int(m): k for k, m in enumerate(found.modules)}
    counts = {m: (int(found.fewest[k]), int(found.most[k])) for m, k in rows.items()}
    assert counts[0] == (1, 2)
    assert counts[12] == (1, 2)
    assert counts[14] == (1, 3)
    assert counts[15] == (2, 3)  # three strings of five: more than one machine's inputs hold
    assert counts[16] == (2, 3)
    row, machines = found.choices()
    pairs = list(zip(found.modules[row].tolist(), machines.tolist(), strict=True))
    assert [pair for pair in pairs if pair[0] == 14] == [(14, 1), (14, 2), (14, 3)]
    assert len(pairs) == int((found.most - found.fewest + 1).sum())


def test_lines_are_filled_whole():
    sketch = demo("town_house")
    assert sketch.drawn.arrangement == "split_phase"
    found = _candidates(sketch)
    _, machines = found.choices()
    assert set(machines.tolist()) <= {2, 4, 6}
    assert found.lines == 2


def test_a_strong_source_brings_more_machines_into_the_choice():
    # a 12 kW generator gives 12,000 × 0.93 / 51.2 = 218 A; three chargers of 80 A take that
    sketch = demo("farmhouse")
    strong = sketch.model_copy(update={"generator": Generator(rated_w=12_000)})
    assert _candidates(sketch).most[0] == 2
    assert _candidates(strong).most[0] == 4
    few = sketch.targets.model_copy(update={"max_units": 1})  # one unit takes 50 A: one charger
    assert _candidates(strong.model_copy(update={"targets": few})).most[0] == 2


def test_an_array_that_needs_too_many_machines_leaves_larger_ones_that_need_fewer():
    sketch = demo("farmhouse")
    alone = sketch.equipment.inverter.model_copy(update={"parallel_max": 1})
    equipment = sketch.equipment.model_copy(update={"inverter": alone})
    found = _candidates(sketch.model_copy(update={"equipment": equipment}))
    assert 9 not in found.modules  # three strings of three: more than one machine's inputs hold
    assert {8, 10, 12, 14} <= set(found.modules.tolist())
    assert (found.most == 1).all()


def test_a_plane_of_known_size_takes_no_more_than_fits():
    sketch = demo("farmhouse")
    module = sketch.equipment.module
    roof = sketch.roof_planes[0].model_copy(
        update={
            "max_modules": None, "edge_m": 0.0,
            "width_m": 7 * module.width_m + 0.12, "slope_m": 2 * module.length_m + 0.02,
        }
    )  # fmt: skip
    for planes in ((roof,), (roof, roof.model_copy(update={"name": "Other"}))):
        found = _candidates(sketch.model_copy(update={"roof_planes": planes}))
        on_first = found.strings[:, 0] * found.in_series[:, 0]
        assert 12 <= on_first.max() <= 14  # 7 × 2 upright, with 6 gaps of 2 cm and one
        assert found.limit == "roof"
