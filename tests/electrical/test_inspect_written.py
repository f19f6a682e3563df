"""Rows of the inspection worked out by hand, each with only what it looks at."""

from types import SimpleNamespace

import pytest
from systems_kit import varied

from offgrid_sizing.electrical.inspect_bank import battery_disconnect
from offgrid_sizing.electrical.inspect_place import (
    dc_drop,
    machines_to_earth_v,
    single_voltage,
    working_space,
)
from offgrid_sizing.wiring_code import WIRING_CODES

NFPA = WIRING_CODES["nfpa70"]


def seen(bank_v=None, array_v=0.0, **parts):
    bank = None if bank_v is None else SimpleNamespace(highest_v=bank_v, fault_a=11_240)
    return SimpleNamespace(
        code=NFPA, sketch=varied(**parts), bank=bank, array_v=array_v,
        arrangement=SimpleNamespace(line_v=120, lines=("L1",)), runs=(),
    )  # fmt: skip


@pytest.mark.parametrize(
    # the farmhouse's output of 230 V; array and bank count where they are higher
    ("bank_v", "array_v", "to_earth_v"),
    [(None, 0, 230), (57.6, 337, 337), (448, 337, 448), (448, 0, 448), (None, 337, 337)],
)
def test_the_highest_voltage_at_the_machines(bank_v, array_v, to_earth_v):
    assert machines_to_earth_v(seen(bank_v, array_v)) == to_earth_v


def test_machines_without_any_voltage_stand_at_nothing():
    bare = seen()
    inverter = SimpleNamespace(output_v=0.0)
    bare.sketch = SimpleNamespace(equipment=SimpleNamespace(inverter=inverter))
    assert machines_to_earth_v(bare) == 0


@pytest.mark.parametrize(
    # 3 ft at 150 V whatever is opposite; at 448 V 4 ft where it is live
    ("bank_v", "words"),
    [
        (57.64, "bank 0.914 m; up to 60 V DC (57.6 V here)"),
        (60.0, "bank 0.914 m; up to 60 V DC (60 V here)"),
        (60.1, "bank 0.914 m (60.1 V)"),
        (448.26, "bank 1.22 m (448.3 V)"),
    ],
)
def test_the_floor_before_the_bank_by_its_voltage(bank_v, words):
    building = {"opposite": "live", "working_depth_m": 1.3}
    row = working_space(seen(bank_v, building=building))
    assert row.state == "checked"
    assert words in row.said.to("en")


@pytest.mark.parametrize(
    # 338 V: 0.914 m with nothing opposite, 1.07 m earthed, 1.22 m live
    ("there_m", "opposite", "state", "fields"),
    [
        (1.22, "unknown", "checked", ()),
        (1.21, "unknown", "asked", ("building.opposite",)),
        (0.914, "unknown", "asked", ("building.opposite",)),
        (0.91, "unknown", "fault", ()),
        (1.0, "nothing", "checked", ()),
        (1.0, "earthed", "fault", ()),
        (None, "live", "asked", ("building.working_depth_m",)),
        (None, "unknown", "asked", ("building.opposite", "building.working_depth_m")),
    ],
)
def test_the_floor_before_the_machines(there_m, opposite, state, fields):
    building = {"opposite": opposite, "working_depth_m": there_m}
    row = working_space(seen(57.6, 338.0, building=building))
    assert (row.state, row.fields) == (state, fields)


@pytest.mark.parametrize(
    ("answer", "state", "fields"),
    [("yes", "fault", ()), ("no", "checked", ()), ("unknown", "asked", ("building.multiwire",))],
)
def test_one_supply_of_120_v_asks_for_shared_neutrals(answer, state, fields):
    row = single_voltage(seen(building={"multiwire": answer}))
    assert (row.state, row.fields) == (state, fields)


@pytest.mark.parametrize(
    ("line_v", "lines"), [(99.9, ("L1",)), (130.1, ("L1",)), (120, ("L1", "L2"))]
)
def test_any_other_supply_does_not(line_v, lines):
    other = seen(building={"multiwire": "yes"})
    other.arrangement = SimpleNamespace(line_v=line_v, lines=lines)
    assert single_voltage(other).state == "checked"


def test_the_whole_drop_of_direct_voltage():
    """0.613 % and 0.421 % to the controller, 0.118 % and 0.739 % to the machine."""
    drops = {"string": 0.00613, "array_feeder": 0.00421, "unit_lead": 0.00118}
    drops |= {"bank_to_inverter": 0.00739, "ac_out": 0.5}
    looked = seen()
    looked.runs = [
        SimpleNamespace(
            need=SimpleNamespace(key=key),
            shown=SimpleNamespace(judged=SimpleNamespace(drop_frac=frac)),
        )
        for key, frac in drops.items()
    ]
    values = dict(dc_drop(looked).said.values)
    assert (values["array"], values["bank"], values["both"]) == (1.03, 0.86, 1.89)


def test_the_switch_at_the_bank_is_said_with_its_figures():
    looked = seen(57.6)
    run = SimpleNamespace(
        need=SimpleNamespace(count=2, highest_v=58.07), shown=SimpleNamespace(design_a=120.6)
    )
    looked.run = {"bank_to_inverter": run}.get
    values = dict(battery_disconnect(looked).said.values)
    assert {name: values[name] for name in ("count", "design_a", "highest_v", "fault_ka")} == {
        "count": 2, "design_a": 121, "highest_v": 58.1, "fault_ka": 11.2,
    }  # fmt: skip
