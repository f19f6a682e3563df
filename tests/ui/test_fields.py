"""Fields by path: limits from the model, changes checked, sentences that name the place."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, Sketch
from offgrid_sizing.ui import fields

SKETCH = demo()


@pytest.mark.parametrize(
    ("path", "kind", "least", "most", "optional"),
    [
        ("site.latitude_deg", "number", -90, 90, False),
        ("site.elevation_m", "number", -430, 6500, True),
        ("roof_planes[0].tilt_deg", "number", 0, 90, False),
        ("targets.max_units", "integer", 1, 400, False),
        ("strategy.hold_soc_frac", "number", 0, 1, True),
        ("strategy.kind", "choice", None, None, False),
        ("grid.export_allowed", "boolean", None, None, False),
        ("title", "string", None, None, False),
        ("grid.cuts", "list", None, None, False),
    ],
)
def test_facts_come_from_the_model(path, kind, least, most, optional):
    facts = fields.facts_at(SKETCH, path)
    assert (facts.kind, facts.least, facts.most, facts.optional) == (kind, least, most, optional)


def test_one_change_leaves_the_rest():
    new = fields.with_value(SKETCH, "roof_planes[0].tilt_deg", 12)
    assert fields.value_at(new, "roof_planes[0].tilt_deg") == 12
    back = fields.with_value(new, "roof_planes[0].tilt_deg", SKETCH.roof_planes[0].tilt_deg)
    assert back == SKETCH


@pytest.mark.parametrize(
    ("path", "value", "sentence"),
    [
        ("roof_planes[0].tilt_deg", 120, r"roof_planes\[0\]\.tilt_deg must be less than"),
        ("equipment.module.vmp_v", 120, r"equipment\.module: vmp_v must be below voc_v"),
        ("targets.max_units", None, r"targets\.max_units must be a valid integer"),
        ("site.latitude_deg", float("nan"), r"site\.latitude_deg must be a finite number"),
    ],
)
def test_a_broken_rule_names_the_place(path, value, sentence):
    with pytest.raises(BadInput, match=sentence):
        fields.with_value(SKETCH, path, value)


def test_two_bound_fields_move_together():
    arrangement = {"drawn.inverters": 3, "drawn.arrangement": "three_phase"}
    assert fields.with_values(SKETCH, arrangement).drawn.inverters == 3
    with pytest.raises(BadInput, match=r"drawn: arrangement three_phase needs 3"):
        fields.with_values(SKETCH, {"drawn.inverters": 2, "drawn.arrangement": "three_phase"})


def test_with_values_reaches_into_lists():
    new = fields.with_values(SKETCH, {"roof_planes[0].strings": 2, "title": "x"})
    assert (new.roof_planes[0].strings, new.title) == (2, "x")


def test_a_missing_part_has_no_value():
    none = Sketch(**(dict(SKETCH) | {"generator": None}))
    assert fields.value_at(none, "generator.rated_w") is None
