"""The hostile sketch of other tests leaves no text field out, old or new."""

import json

import pytest
from hostile_sketch import LOOKED_UP, TEXTS, hostile, text_fields

from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.printable import printable
from offgrid_sizing.simulation import inputs_of
from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_json, sketch_to_json
from offgrid_sizing.system import drawn_system


@pytest.mark.parametrize("turn", range(len(TEXTS)))
def test_every_text_field_is_hostile_or_looked_up(turn):
    sketch, put = hostile(turn)
    assert set(put) | set(LOOKED_UP) == text_fields(Sketch)
    assert sketch_from_json(sketch_to_json(sketch)) == sketch
    assert json.loads(sketch_to_json(sketch)) == sketch.model_dump(mode="json")
    assert len({text for texts in put.values() for text in texts}) > len(TEXTS) - 3


def asked(raw: dict, folder) -> None:
    """Look up, parse and read all that a sketch names by a key."""
    sketch = Sketch.model_validate(raw)
    electrical_design(sketch, drawn_system(sketch), record_low_c=-5)
    inputs_of(sketch, base_dir=folder)


@pytest.mark.parametrize("path", LOOKED_UP)
def test_a_key_that_is_unknown_is_one_sentence(path, tmp_path):
    raw = hostile()[0].model_dump(mode="json")
    raw["weather"]["years"] = 1
    (tmp_path / "load.csv").write_text(
        "time,load_w\n" + "\n".join(f"2025-01-01 {hour:02d}:00,400" for hour in range(24))
    )
    if path == "weather.file":
        raw["weather"]["source"] = "file"
    if path.startswith("loads.metered"):
        raw["loads"]["metered"] = {"file": "load.csv"}
    *parents, last = path.split(".")
    part = raw
    for name in parents:
        part = part[name]
    for text in TEXTS:
        part[last] = text[:16]
        with pytest.raises(BadInput) as caught:
            asked(raw, tmp_path)
        (sentence,) = caught.value.sentences
        assert LOOKED_UP[path] in sentence, text
        assert sentence == printable(sentence), text
