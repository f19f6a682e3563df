"""Random but reproducible sketches, weather and loads for the engine's tests; all invented."""

from dataclasses import replace

import numpy as np

from offgrid_sizing.loads.year import Deferrable, LoadYear, Peak
from offgrid_sizing.pv_array import ArrayOutput
from offgrid_sizing.simulation import Inputs
from offgrid_sizing.sketch import (
    BankPlace,
    BatteryUnit,
    Drawn,
    Equipment,
    Generator,
    Grid,
    InverterCharger,
    Site,
    Sketch,
    Strategy,
    Tariff,
    TariffBand,
    TimeWindow,
    WeekWindow,
)
from offgrid_sizing.weather.series import Weather, clock

HOURLY_W = (
    200, 180, 170, 170, 180, 250, 400, 500, 400, 350, 350, 400,
    450, 400, 350, 350, 400, 600, 900, 1000, 900, 700, 500, 300,
)  # fmt: skip

# More points than the kernel's short form of the curve carries.
NINE_POINTS = (
    (0.03, 0.78), (0.06, 0.86), (0.1, 0.9), (0.15, 0.915), (0.2, 0.93), (0.35, 0.938),
    (0.5, 0.94), (0.75, 0.932), (1.0, 0.92),
)  # fmt: skip


def made_weather(seed: int = 0, years: int = 1, step_h: float = 1.0) -> Weather:
    """Half-sine days of random clearness; hourly-constant whatever the step."""
    rng = np.random.default_rng(seed)
    time = clock(step_h, 0)
    hour = np.maximum(np.sin((np.arange(24) + 0.5 - 6) / 12 * np.pi), 0)
    season = 1 + 0.35 * np.cos((np.arange(365) - 172) / 365 * 2 * np.pi)
    clear = rng.beta(2, 1.2, (years, 365)) * season
    ghi = (clear[:, :, None] * hour * 1000).reshape(years, 8760)
    ghi = np.repeat(ghi, round(1 / step_h), axis=1)
    air = 12 + 12 * np.cos((np.arange(len(time)) / len(time) - 0.55) * 2 * np.pi)
    return Weather(
        time=time,
        ghi=ghi,
        dni=0.7 * ghi,
        dhi=0.3 * ghi,
        temp_air=np.tile(air, (years, 1)),
        wind_speed=np.ones_like(ghi),
        step_h=step_h,
        latitude_deg=30.0,
        longitude_deg=0.0,
        elevation_m=0.0,
        kind="file",
        provenance="made for a test",
        year_names=tuple(f"made {k}" for k in range(years)),
    )


def made_load(
    seed: int = 0, years: int = 1, step_h: float = 1.0, scale: float = 1.0, waiting=()
) -> LoadYear:
    """A household's day with noise, a third of it critical; hourly-constant whatever the step."""
    rng = np.random.default_rng(seed)
    base = np.tile(HOURLY_W, 365) * rng.uniform(0.6, 1.4, (years, 8760)) * scale
    base = np.repeat(base, round(1 / step_h), axis=1)
    return LoadYear(
        time=clock(step_h, 0),
        step_h=step_h,
        load_w=base,
        critical_w=base / 3,
        appliance_names=("all",),
        appliance_w=base[:1],
        deferrable=tuple(waiting),
        peak=Peak(1500 * scale, 1600 * scale, 2500 * scale, "pump", ("all",), {"L1": 1600}),
        provenance="made for a test",
    )


def pump(step_h: float = 1.0, years: int = 1, power_w: float = 800.0, daily_wh: float = 2000.0):
    """A pump that may run from 9 to 16 h."""
    hour = clock(step_h, 0).hour.to_numpy()
    window = (hour >= 9) & (hour < 16)
    return Deferrable("pump", power_w, window, np.full((years, 365), daily_wh))


def vehicle(step_h: float = 1.0, years: int = 1, power_w: float = 1500.0, daily_wh: float = 3000.0):
    """A vehicle charged between 22 and 6 h, over midnight."""
    hour = clock(step_h, 0).hour.to_numpy()
    window = (hour >= 22) | (hour < 6)
    return Deferrable("vehicle", power_w, window, np.full((years, 365), daily_wh))


def random_strategy(rng, kind: str | None = None) -> Strategy:
    """Any of the three, with its defaults or with every number moved."""
    kind = kind or str(rng.choice(["pv_first", "grid_first", "blended"]))
    if rng.random() < 0.4:
        return Strategy(kind=kind)
    hold = float(rng.uniform(0.1, 0.9))
    return Strategy(
        kind=kind,
        hold_soc_frac=hold,
        resume_soc_frac=float(rng.uniform(hold, 1.0)),
        grid_charge_target_frac=float(rng.choice([0.0, rng.uniform(0.2, 1.0), 1.0])),
        grid_charge_hours=(TimeWindow(from_h=float(rng.integers(0, 24)), to_h=6),),
        recharge_soc_frac=float(rng.choice([0.0, rng.uniform(0.1, 0.4)])),
        peak_price_per_kwh=float(rng.choice([0.0, 0.25])),
        grid_share_frac=float(rng.choice([0.0, 1.0, rng.uniform(0, 1)])),
        shed_soc_frac=float(rng.choice([0.0, 0.3])),
        bank_helps_below_hold=bool(rng.random() < 0.5),
    )


def random_sketch(seed: int) -> Sketch:
    """A sketch with any grid, generator, bank, curve and strategy."""
    rng = np.random.default_rng(seed)
    grid = str(rng.choice(["none", "steady", "scheduled", "failing", "scheduled_and_failing"]))
    bands = (
        TariffBand(from_h=18, to_h=22, price_per_kwh=0.4),
        TariffBand(from_h=0, to_h=6, price_per_kwh=0.1),
    )
    curve = ((1.0, 0.93),) if rng.random() < 0.3 else InverterCharger().efficiency_curve
    if seed % 5 == 2:  # without a draw, so that all else of a seed stays
        curve = NINE_POINTS
    dod = float(rng.choice([0.5, 0.8, 0.9, 1.0]))
    outdoor = rng.random() < 0.25
    return Sketch(
        site=Site(latitude_deg=30, longitude_deg=0),
        grid=Grid(
            kind=grid,
            import_limit_w=float(rng.choice([300, 1500, 10_000])),
            cuts=(WeekWindow(from_h=17, to_h=21, days=(True, False) * 3 + (True,)),),
            mean_time_between_cuts_h=60,
            export_allowed=bool(rng.random() < 0.4),
            export_limit_w=2000,
            tariff=Tariff(
                price_per_kwh=0.25,
                bands=bands if rng.random() < 0.6 else (),
                export_price_per_kwh=float(rng.choice([0.0, 0.08])),
            ),
        ),
        generator=(
            Generator(
                rated_w=float(rng.choice([1500, 5000])),
                min_load_frac=float(rng.choice([0.0, 0.3])),
                quiet_hours=(TimeWindow(from_h=22, to_h=6),) if rng.random() < 0.5 else (),
            )
            if rng.random() < 0.4
            else None
        ),
        strategy=random_strategy(rng),
        drawn=Drawn(units_in_parallel=int(rng.choice([0, 1, 2, 4, 8]))),
        equipment=Equipment(
            battery=BatteryUnit(
                usable_dod_frac=dod,
                max_charge_a=float(rng.choice([10, 50])),
                max_discharge_a=float(rng.choice([20, 100])),
                self_discharge_per_month_frac=float(rng.choice([0.0, 0.05])),
            ),
            inverter=InverterCharger(
                efficiency_curve=curve,
                rated_w=float(rng.choice([900, 5000])),
                rated_va=5000,
            ),
            bank_place=BankPlace(kind="outdoor" if outdoor else "indoor"),
        ),
    )


def random_case(seed: int, years: int = 1, step_h: float = 1.0):
    """(sketch, weather, loads, array power) of one random home."""
    rng = np.random.default_rng(seed + 10_000)
    waiting = []
    if rng.random() < 0.3:
        waiting.append(pump(step_h, years))
    if rng.random() < 0.2:
        waiting.append(vehicle(step_h, years))
    weather = made_weather(seed, years, step_h)
    load = made_load(seed, years, step_h, float(rng.choice([0.5, 1.0, 1.5])), waiting)
    power = weather.ghi * float(rng.choice([0.5, 1.5, 4.0]))
    return random_sketch(seed), weather, load, power


def with_load(load: LoadYear, factor: float) -> LoadYear:
    """Every demand times a factor, critical and waiting loads too."""
    return replace(
        load,
        load_w=load.load_w * factor,
        critical_w=load.critical_w * factor,
        deferrable=tuple(
            replace(one, daily_wh=one.daily_wh * factor, power_w=one.power_w * factor)
            for one in load.deferrable
        ),
    )


def made_inputs(sketch: Sketch, weather: Weather, load: LoadYear) -> Inputs:
    """Inputs whose modules give 0.4 W per W/m² on every plane."""
    module_w = np.repeat(0.4 * weather.ghi[None], len(sketch.roof_planes), axis=0)
    output = ArrayOutput(
        time=weather.time,
        sun=None,
        module_w=module_w,
        poa_global=module_w / 0.4,
        temp_cell=np.full_like(module_w, 25.0),
        chain=(),
    )
    return Inputs(weather, load, output)
