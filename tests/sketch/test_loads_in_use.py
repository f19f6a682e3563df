"""Appliances kept in the table with a count of none are asked nowhere."""

from offgrid_sizing.loads.calendar import runs_unattended
from offgrid_sizing.sketch import Appliance, Loads
from offgrid_sizing.sketch.base import TimeWindow


def test_only_what_there_is_one_of_is_in_use():
    lamps, pump = (
        Appliance(name=name, running_w=10, count=count)
        for name, count in (("Lamps", 3), ("Pump", 0))
    )
    assert Loads(appliances=(pump, lamps)).in_use == (lamps,)
    assert Loads(appliances=(pump,)).in_use == ()


def test_what_never_stops_or_is_critical_runs_while_nobody_is_there():
    hours = (TimeWindow(from_h=8, to_h=10),)
    always = Appliance(name="Router", running_w=10)
    evening = Appliance(name="Lamp", running_w=10, windows=hours)
    pump = Appliance(name="Pump", running_w=10, windows=hours, critical=True)
    assert [runs_unattended(one) for one in (always, evening, pump)] == [True, False, True]
