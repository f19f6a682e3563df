"""A pump from flow and head."""

import pytest

from offgrid_sizing.loads.pumping import pump_power_w, run_time_h
from offgrid_sizing.sketch import BadInput


def test_lifting_a_cubic_metre():
    """1 m³ lifted 367 m takes 1 kWh: 1000 × 9.81 × 367 / 3.6e6."""
    assert pump_power_w(1, 367, 1, 1) == pytest.approx(1000, rel=1e-3)
    assert pump_power_w(1, 367, 0.5, 0.8) == pytest.approx(2500, rel=1e-3)
    assert pump_power_w(0, 40) == 0


def test_running_time():
    assert run_time_h(3, 1.5) == 2


@pytest.mark.parametrize(
    ("call", "says"),
    [
        (lambda: pump_power_w(-1, 40), "must not be negative"),
        (lambda: pump_power_w(1, 40, 0), "pump_efficiency must be above 0"),
        (lambda: pump_power_w(1, 40, 0.5, 1.2), "motor_efficiency must be above 0"),
        (lambda: run_time_h(1, 0), "flow must be above zero"),
        (lambda: run_time_h(50, 1), "choose a larger pump"),
    ],
)
def test_what_no_pump_does_is_refused(call, says):
    with pytest.raises(BadInput, match=says):
        call()
