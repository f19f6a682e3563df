"""Systems to draw, and drawings read back from their files."""

import io
from types import SimpleNamespace

import ezdxf
from iec_kit import home_named

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.drawings.flat import EM_MM
from offgrid_sizing.drawings.model import Circle, Dimension, Line, Polyline, Rect
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import drawn_system


def varied(name="iec_home", **parts):
    """A home with some of its parts replaced, validated anew."""
    return Sketch.model_validate({**home_named(name).model_dump(), **parts})


def answer(sketch):
    """What drawings are made of, without a year of weather."""
    system = drawn_system(sketch)
    design = electrical_design(sketch, system, record_low_c=-15)
    return SimpleNamespace(sketch=sketch, system=system, design=design)


BOTH = {
    "grid": {"kind": "failing", "prospective_short_circuit_ka": 10},
    "generator": {"rated_w": 12_000, "short_circuit_a": 180},
}
LEAD = {
    "chemistry": "lead_acid_flooded", "nominal_v": 12, "charge_v": 14.4, "cutoff_v": 11,
    "capacity_ah": 400, "max_charge_a": 80, "max_discharge_a": 200, "mass_kg": 110,
    "height_mm": 400, "width_mm": 300, "depth_mm": 250,
}  # fmt: skip


def _several(count, arrangement, book="iec60364", **parts):
    return varied(
        drawn={"units_in_parallel": 6, "inverters": count, "arrangement": arrangement},
        wiring={"rule_book": book},
        **parts,
    )


HOMES = {
    **{name: demo(name) for name in DEMOS},
    "single, no supply": varied(grid={"kind": "none"}, generator=None),
    "three in parallel": _several(3, "parallel", **BOTH),
    "split phase, NFPA 70": _several(2, "split_phase", "nfpa70", **BOTH),
    "three phase": _several(3, "three_phase", grid={"kind": "steady"}),
    "six machines, sixteen units": varied(
        drawn={"units_in_parallel": 16, "inverters": 6, "arrangement": "parallel"},
        grid={"kind": "steady"},
    ),
    "lead-acid, four in series": varied(
        equipment={"battery": LEAD, "inverter": {"bank_max_v": 66}},
        drawn={"units_in_series": 4, "units_in_parallel": 2, "inverters": 1},
        **BOTH,
    ),
    "monitored, fused strings": varied(
        earthing={"bank": "floating_monitored"},
        equipment={"controller": {"max_input_a": 150, "max_power_w": 60_000, "inputs": 1}},
        roof_planes=[{"name": "Roof", "modules_in_series": 6, "strings": 8}],
        **BOTH,
    ),
    "without array and bank": varied(
        drawn={"units_in_parallel": 0, "inverters": 1, "arrangement": "single"}, roof_planes=()
    ),
}


def reopened(data: bytes):
    """A DXF file as another program reads it."""
    return ezdxf.read(io.StringIO(data.decode("utf-8")))


def box(text):
    """Left, bottom, right, top of a text, by 0.49 em a letter (Source Sans)."""
    height = text.height_mm
    width = 0.49 * EM_MM * height * len(text.words)
    shift = {"start": 0.0, "middle": width / 2, "end": width}[text.anchor]
    x, y = text.at
    if text.turned:
        return x - height / 2, y - shift, x + height / 2, y - shift + width
    return x - shift, y - height / 2, x - shift + width, y + height / 2


def points_of(primitive):
    """Corners that a primitive reaches; of words only where they are anchored."""
    if isinstance(primitive, Line):
        yield from (primitive.start, primitive.end)
    elif isinstance(primitive, Polyline):
        yield from primitive.points
    elif isinstance(primitive, Rect):
        yield (primitive.x, primitive.y)
        yield (primitive.x + primitive.width, primitive.y + primitive.height)
    elif isinstance(primitive, Circle):
        x, y = primitive.centre
        yield (x - primitive.radius, y - primitive.radius)
        yield (x + primitive.radius, y + primitive.radius)
    elif isinstance(primitive, Dimension):
        yield from (primitive.start, primitive.end, *primitive.beside)
    else:
        yield primitive.at
