"""Homes with a boundary: one small enough to work out by hand, and one of the United States.

Both are invented; what the appliances draw is common practice, no source.
"""

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import (
    Appliance,
    Grid,
    Loads,
    RoofPlane,
    Site,
    Sketch,
    Targets,
    Tariff,
    TariffBand,
    TimeWindow,
    WeatherChoice,
    WeekWindow,
)

EVERY_DAY = (True,) * 7


def small_home(*, import_limit_w: float = 10_000, **grid) -> Sketch:
    """A lamp and a pump protected, a heater on the grid alone; no supply from 12 to 16 h.

    230 V on one line; the pump runs from 6 to 18 h, lamp and heater always.
    """
    tariff = Tariff(
        price_per_kwh=0.2, bands=(TariffBand(from_h=18, to_h=22, price_per_kwh=0.5),),
        export_price_per_kwh=0.1,
    )  # fmt: skip
    supply = {
        "kind": "scheduled", "import_limit_w": import_limit_w, "tariff": tariff,
        "cuts": (WeekWindow(from_h=12, to_h=16, days=EVERY_DAY),),
    } | grid  # fmt: skip
    sketch = Sketch(
        title="Small home (invented)",
        site=Site(name="Nowhere", latitude_deg=40.4, longitude_deg=-3.7),
        weather=WeatherChoice(years=1),
        roof_planes=(RoofPlane(modules_in_series=4, strings=2),),
        grid=Grid(**supply),
        loads=Loads(
            appliances=(
                Appliance(name="Lamp", running_w=100, critical=True),
                Appliance(
                    name="Pump", running_w=240, power_factor=0.8, starting_multiple=3,
                    windows=(TimeWindow(from_h=6, to_h=18),),
                ),
                Appliance(name="Heater", running_w=1150, board="unprotected"),
            )
        ),
    )  # fmt: skip
    machine = sketch.equipment.inverter.model_copy(
        update={"output_v": 230.0, "transfer_max_a": 20.0}
    )
    equipment = sketch.equipment.model_copy(update={"inverter": machine})
    return sketch.model_copy(update={"equipment": equipment})


def _us(name: str, watts: float, *, hours=None, run=None, across=False, critical=False, **more):
    windows = tuple(TimeWindow(from_h=begin, to_h=end) for begin, end in hours or ())
    return Appliance(
        name=name, running_w=watts, windows=windows, run_time_h=run, critical=critical,
        leg="L1-L2" if across else "auto", **more,
    )  # fmt: skip


US_APPLIANCES = (
    _us("Refrigerator", 150, critical=True, duty_frac=0.4, power_factor=0.8, starting_multiple=4),
    _us("Chest freezer", 120, critical=True, duty_frac=0.35, power_factor=0.8, starting_multiple=4),
    _us(
        "Well pump", 750, hours=((6, 9), (17, 20)), run=1, across=True, critical=True,
        power_factor=0.8, starting_multiple=4,
    ),
    _us("Lights", 10, hours=((6, 7), (18, 23)), critical=True, count=12),
    _us("Router", 12, critical=True),
    _us("Telephones and laptops", 60, hours=((8, 22),), run=4, critical=True, count=2),
    _us("Breathing device", 60, hours=((22, 6),), critical=True),
    _us("Garage door", 400, hours=((7, 9), (17, 19)), run=0.2, critical=True),
    _us("Television", 120, hours=((18, 23),), run=4),
    _us("Microwave oven", 1200, hours=((7, 9), (12, 13), (18, 20)), run=0.4),
    _us("Coffee maker", 900, hours=((6, 9),), run=0.4),
    _us("Dishwasher", 1200, hours=((19, 23),), run=1),
    _us("Washing machine", 500, hours=((9, 14),), run=0.7, power_factor=0.7),
    _us("Electric dryer", 5000, hours=((10, 15),), run=0.8, across=True),
    _us("Electric range", 6000, hours=((17, 20),), run=0.8, across=True),
    _us("Water heater", 4500, hours=((5, 8), (18, 22)), run=2, across=True),
    _us(
        "Central air conditioner", 3500, hours=((11, 22),), run=6, across=True, power_factor=0.9,
        starting_multiple=4, driver="cooling",
    ),
    _us("Pool pump", 1100, hours=((9, 17),), run=4, across=True, power_factor=0.8,
        starting_multiple=3),
    _us("Vehicle", 7200, hours=((23, 6),), run=1.2, across=True),
)  # fmt: skip


def us_home() -> Sketch:
    """A home on 120/240 V, 200 A, NFPA 70: outages at random and on a timetable, 48 h to bridge."""
    farmhouse = demo("farmhouse")
    equipment = farmhouse.equipment
    battery = equipment.battery.model_copy(update={"max_parallel": 20})
    return farmhouse.model_copy(
        update={
            "title": "House on two legs (invented)",
            "weather": WeatherChoice(years=1),
            "roof_planes": (
                RoofPlane(name="South roof", tilt_deg=25, azimuth_deg=180, max_modules=64),
            ),
            "equipment": equipment.model_copy(update={"battery": battery}),
            "drawn": farmhouse.drawn.model_copy(
                update={"inverters": 2, "arrangement": "split_phase"}
            ),
            "generator": None,
            "grid": Grid(
                kind="scheduled_and_failing", import_limit_w=48_000,
                cuts=(WeekWindow(from_h=13, to_h=17, days=(False,) * 2 + (True,) + (False,) * 4),),
                mean_time_between_cuts_h=900, mean_cut_length_h=10,
                tariff=Tariff(price_per_kwh=0.17, fixed_per_month=12),
            ),
            "targets": Targets(
                days_of_autonomy=0, ride_through_h=48, max_units=20, max_modules=64
            ),
            "loads": Loads(appliances=US_APPLIANCES),
        }
    )  # fmt: skip
