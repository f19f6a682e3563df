"""The boxes: module, charge controller, battery unit, inverter-charger, and array losses.

Defaults describe no maker's product. The battery unit's capacity in the cold and its cycle life
are those of the data sheet in a worked off-grid course example (read), its calendar life is that
of NREL's Annual Technology Baseline (read); all other defaults are common practice, no source.
"""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.sketch.base import Frac, Name, NotNegative, Part, Positive, TwelveFrac
from offgrid_sizing.sketch.building import Known
from offgrid_sizing.words import sentence

Overload = Annotated[tuple[tuple[float, float], ...], Field(max_length=40)]
Curve = Annotated[tuple[tuple[float, float], ...], Field(min_length=1, max_length=40)]


class Module(Part):
    """One PV module at standard test conditions (IEC 61836: 1,000 W/m², 25 °C, AM 1.5)."""

    name: Name = "Generic 450 W monocrystalline module"
    power_w: Positive = Field(450, le=2000)
    voc_v: Positive = Field(49.5, le=400, description="open circuit")
    isc_a: Positive = Field(11.5, le=60, description="short circuit")
    vmp_v: Positive = Field(41.5, le=400, description="at maximum power")
    imp_a: Positive = Field(10.85, le=60, description="at maximum power")
    gamma_pmp_per_k: float = Field(-0.0035, ge=-0.01, le=0, description="power, relative per K")
    beta_voc_per_k: float = Field(-0.0027, ge=-0.01, le=0, description="Voc, relative per K")
    alpha_isc_per_k: float = Field(0.0005, ge=-0.002, le=0.005, description="Isc, relative per K")
    cells_in_series: int = Field(72, ge=1, le=300)
    noct_c: float = Field(45, ge=20, le=80)
    max_fuse_a: Positive = Field(20, le=100, description="maximum overcurrent protection rating")
    max_system_v: Positive = Field(1000, le=2000)
    length_m: Positive = Field(2.1, le=5)
    width_m: Positive = Field(1.05, le=3)
    model: Literal["linear", "single_diode"] = Field(
        "linear", description="linear in temperature, or fitted single-diode curve"
    )
    table_name: str | None = Field(
        None, max_length=200, description="row of the module table that pvlib carries"
    )

    @model_validator(mode="after")
    def _nameplate_agrees(self):
        if self.vmp_v >= self.voc_v:
            raise ValueError(
                sentence("refused.reason.vmp_over_voc", vmp=self.vmp_v, voc=self.voc_v)
            )
        if self.imp_a > self.isc_a:
            raise ValueError(
                sentence("refused.reason.imp_over_isc", imp=self.imp_a, isc=self.isc_a)
            )
        product = self.vmp_v * self.imp_a
        if abs(product / self.power_w - 1) > 0.1:
            raise ValueError(
                sentence("refused.reason.nameplate", power=self.power_w, product=product)
            )
        return self


class Controller(Part):
    """The charge controller of one inverter-charger (its maximum-power-point trackers)."""

    max_voc_v: Positive = Field(500, le=2000, description="highest open-circuit voltage allowed")
    mppt_min_v: Positive = Field(60, le=2000, description="lowest tracking voltage")
    mppt_max_v: Positive = Field(450, le=2000, description="highest tracking voltage")
    inputs: int = Field(2, ge=1, le=12, description="independent tracker inputs")
    max_input_a: Positive = Field(20, le=500, description="short-circuit current per input")
    max_power_w: Positive = Field(7000, le=1_000_000, description="array power, all inputs")
    max_charge_a: Positive = Field(100, le=5000, description="current into the bank")
    arc_fault: Known = Field(
        "unknown", description="whether it finds and stops arcs in the array's circuits"
    )
    ground_fault: Known = Field(
        "unknown", description="whether it watches the array's insulation against earth"
    )
    efficiency_frac: float = Field(0.97, gt=0.5, le=1)


class BatteryUnit(Part):
    """One battery unit as bought. Curves are (x, y) points, interpolated, flat beyond the ends."""

    name: Name = "Generic 48 V 100 Ah LiFePO4 unit"
    chemistry: Literal[tuple(CHEMISTRIES)] = "lifepo4"  # type: ignore[valid-type] # the registry
    nominal_v: Positive = Field(51.2, le=1000)
    capacity_ah: Positive = Field(100, le=20_000)
    usable_dod_frac: float = Field(0.9, gt=0, le=1, description="depth of discharge allowed")
    max_charge_a: Positive = Field(50, le=10_000)
    max_discharge_a: Positive = Field(100, le=10_000)
    peak_discharge_a: Positive = Field(150, le=20_000, description="for 10 s")
    charge_efficiency_frac: float = Field(0.97, gt=0.3, le=1, description="energy, one way")
    discharge_efficiency_frac: float = Field(0.97, gt=0.3, le=1, description="energy, one way")
    self_discharge_per_month_frac: Frac = Field(0.02, le=0.5)
    standby_w: NotNegative = Field(2, le=200, description="no-load consumption, drawn all the time")
    min_charge_c: float = Field(0, ge=-60, le=60, description="no charging below")
    max_charge_c: float = Field(55, ge=-20, le=90)
    min_discharge_c: float = Field(-20, ge=-60, le=60)
    max_discharge_c: float = Field(60, ge=-20, le=90)
    capacity_vs_temp: Curve = Field(
        ((-20, 0.5), (0, 0.8), (25, 1.0), (55, 1.0)),
        description="(°C, share of capacity); default: round illustrative values, no source",
    )
    cycle_life: Curve = Field(
        ((0.5, 6000), (0.8, 3000), (1.0, 2000)),
        description="(depth of discharge, cycles); default: round illustrative values, no source",
    )
    calendar_life_y: float = Field(15, ge=0.5, le=60, description="years at 25 °C")
    calendar_soc_frac: Frac = Field(
        0.8, description="state of charge at which they are stated; counts for LiFePO4"
    )
    life_from: Literal["sheet", "published"] = Field(
        "sheet", description="the unit's own figures, or for LiFePO4 a published cell's"
    )
    end_of_life_frac: float = Field(
        0.8, ge=0.1, le=1, description="capacity left when it is replaced"
    )
    internal_resistance_ohm: NotNegative = Field(0.02, le=10)
    fault_current_a: float | None = Field(None, gt=0, description="maker's prospective value")
    max_fuse_a: float | None = Field(
        None, gt=0, le=20_000, description="largest fuse or breaker the maker names"
    )
    max_parallel: int = Field(16, ge=1, le=200)
    charge_v: Positive = Field(56.0, le=1200, description="absorption voltage")
    equalise_v: float | None = Field(
        None, gt=0, le=1500, description="equalising voltage at 25 °C; empty: not known"
    )
    charge_v_per_k: float | None = Field(
        None, ge=-2, le=0, description="charge voltage by warmth, from 25 °C; empty: not known"
    )
    cutoff_v: Positive = Field(44.8, le=1200, description="low-voltage disconnect")
    mass_kg: Positive = Field(45, le=5000)
    height_mm: Positive = Field(440, le=10_000)
    width_mm: Positive = Field(480, le=10_000)
    depth_mm: Positive = Field(150, le=10_000)
    torque_min_nm: Positive = Field(10, le=100, description="terminal torque")
    torque_max_nm: Positive = Field(12, le=100)

    @model_validator(mode="after")
    def _capacity_can_be_read(self):
        shares = [share for _, share in self.capacity_vs_temp]
        if not (min(shares) >= 0 and 0 < max(shares) <= 2):
            raise ValueError(sentence("refused.reason.capacity_shares"))
        return self

    @model_validator(mode="after")
    def _limits_leave_room(self):
        for low, high in (
            ("min_charge_c", "max_charge_c"),
            ("min_discharge_c", "max_discharge_c"),
        ):
            if getattr(self, low) > getattr(self, high):
                values = {"low_value": getattr(self, low), "high_value": getattr(self, high)}
                raise ValueError(
                    sentence("refused.reason.low_above_high", low=low, high=high, **values)
                )
        return self

    @model_validator(mode="after")
    def _cycle_life_can_be_read(self):
        depths = [depth for depth, _ in self.cycle_life]
        if not all(0 < depth <= 1 for depth in depths):
            raise ValueError(sentence("refused.reason.cycle_depth"))
        if min(cycles for _, cycles in self.cycle_life) < 1:
            raise ValueError(sentence("refused.reason.cycle_count"))
        if len(set(depths)) < len(depths):
            raise ValueError(sentence("refused.reason.cycle_twice"))
        return self

    @property
    def energy_wh(self) -> float:
        """Nominal energy of one unit."""
        return self.nominal_v * self.capacity_ah


class InverterCharger(Part):
    """One inverter-charger: inverter, grid charger and transfer switch in one box."""

    name: Name = "Generic 5 kW 48 V inverter-charger"
    rated_w: Positive = Field(5000, le=1_000_000)
    rated_va: Positive = Field(5000, le=1_000_000)
    surge_va: Positive = Field(10000, le=2_000_000)
    surge_s: Positive = Field(5, le=60)
    overload_curve: Overload = Field(
        (), description="(load / rated VA, seconds borne); empty: from surge and its seconds"
    )
    output_v: Positive = Field(230, le=1000, description="line to neutral")
    frequency_hz: Literal[50, 60] = 50
    bank_v: Positive = Field(48, le=1000, description="nominal bank voltage it needs")
    bank_min_v: Positive = Field(40, le=1000)
    bank_max_v: Positive = Field(60, le=1000)
    standby_w: NotNegative = Field(50, le=2000, description="no-load consumption while on")
    efficiency_curve: Curve = Field(
        ((0.05, 0.85), (0.1, 0.90), (0.2, 0.93), (0.5, 0.94), (1.0, 0.92)),
        description="(load / rating, efficiency), standby excluded",
    )
    charger_max_a: NotNegative = Field(80, le=5000, description="from grid or generator, DC side")
    charger_efficiency_frac: float = Field(0.93, gt=0.3, le=1)
    transfer_max_a: Positive = Field(50, le=5000, description="AC input and bypass")
    ac_breaker_a: float | None = Field(None, gt=0, description="breaker the maker names")
    bank_fuse_a: float | None = Field(
        None, gt=0, le=20_000, description="largest fuse or breaker at the bank the maker names"
    )
    parallel_max: int = Field(8, ge=1, le=32)
    can_split_phase: bool = True
    can_three_phase: bool = True
    isolates_bank: Known = Field(
        "unknown", description="whether a transformer parts bank and alternating current"
    )
    bonds_neutral: Known = Field(
        "unknown", description="whether it joins neutral and earth while it runs alone"
    )
    switches_neutral: Known = Field(
        "unknown", description="whether it parts the input's neutral too while it runs alone"
    )
    residual_type: Literal["unknown", "ac", "a", "f", "b"] = Field(
        "unknown", description="type of residual-current device its maker asks for"
    )
    fault_shutdown_s: Positive | None = Field(
        None, le=60, description="how soon it stops on a short circuit while it runs alone"
    )
    mass_kg: Positive = Field(14, le=1000)
    height_mm: float | None = Field(None, gt=0, le=10_000, description="empty: not known")
    width_mm: float | None = Field(None, gt=0, le=10_000, description="empty: not known")
    depth_mm: float | None = Field(None, gt=0, le=10_000, description="empty: not known")
    side_clearance_mm: NotNegative = Field(150, le=10_000)
    vertical_clearance_mm: NotNegative = Field(50, le=10_000)
    wait_after_shutdown_min: NotNegative = Field(5, le=1440)

    @model_validator(mode="after")
    def _efficiency_can_be_read(self):
        points = sorted(self.efficiency_curve)
        if not (points[0][0] >= 0 and all(0 <= eff <= 1 for _, eff in points) and points[-1][1]):
            raise ValueError(sentence("refused.reason.efficiency_shares"))
        return self

    @model_validator(mode="after")
    def _overload_can_be_read(self):
        points = sorted(self.overload_curve)
        if not all(load > 1 and seconds > 0 for load, seconds in points):
            raise ValueError(sentence("refused.reason.overload_multiples"))
        times = [seconds for _, seconds in points]
        if times != sorted(times, reverse=True) or len(dict(points)) < len(points):
            raise ValueError(sentence("refused.reason.overload_order"))
        return self


class ArrayLosses(Part):
    """Losses between the light and the charge controller, each a share of what reaches it.

    In the order in which they act: on the glass, in the module, between the modules, on the way.
    Soiling: the lower end of the 3 to 4 % found worldwide by Ilse et al., Joule 3 (2019) 2303,
    from memory. Age: the median of Jordan & Kurtz, Progress in Photovoltaics 21 (2013) 12, from
    memory. The others: common practice, no source; first weeks' fading as of a module of p-type
    silicon, unequal modules as sorted by their maker, cables at the load usual in a year, which
    is well below that of their rated drop.
    """

    soiling_frac: TwelveFrac = Field((0.03,) * 12, description="January to December")
    light_induced_frac: Frac = 0.02
    age_per_year_frac: Frac = Field(0.005, description="loss of power a year")
    age_years: NotNegative = Field(0, le=60, description="age the year is computed at")
    mismatch_frac: Frac = 0.01
    wiring_frac: Frac = Field(0.015, description="until the conductors are sized")
    availability_frac: Frac = Field(1.0, description="share of time it is working")


class BankPlace(Part):
    """Where the bank stands, which decides its temperature.

    Six hours: a unit of 45 kg, about 1 kJ/(kg K), half of its 0.7 m² free to air that takes
    5 to 6 W/(m² K); a larger bank or an insulated cupboard has more. Time constant, sun and
    heater: common practice, no source. What the heater draws is not counted: add it to the loads.
    """

    kind: Literal["indoor", "outdoor", "cupboard", "heated"] = Field(
        "indoor", description="a room; open air; a closed cupboard outside; the same, heated"
    )
    indoor_c: float = Field(20, ge=-40, le=60)
    time_constant_h: float = Field(
        6, ge=0, le=500, description="outside: until 63 % of a change has reached the bank"
    )
    sun_rise_k: float = Field(
        10, ge=0, le=60, description="how much full sun warms the air in the cupboard"
    )
    heated_c: float = Field(5, ge=-40, le=60, description="what the heater keeps the cupboard at")


class Equipment(Part):
    """What the boxes are; how many of them is the system's matter."""

    module: Module = Module()
    controller: Controller = Controller()
    battery: BatteryUnit = BatteryUnit()
    inverter: InverterCharger = InverterCharger()
    losses: ArrayLosses = ArrayLosses()
    bank_place: BankPlace = BankPlace()


class Drawn(Part):
    """How many boxes the sketch holds now (strings stand with their roof plane)."""

    units_in_series: int = Field(1, ge=1, le=200)
    units_in_parallel: int = Field(2, ge=0, le=400)
    inverters: int = Field(1, ge=1, le=32)
    arrangement: Literal["single", "parallel", "split_phase", "three_phase"] = "single"

    @model_validator(mode="after")
    def _arrangement_has_its_machines(self):
        need = {"single": 1, "parallel": 2, "split_phase": 2, "three_phase": 3}[self.arrangement]
        if self.arrangement == "single" and self.inverters != 1:
            raise ValueError(sentence("refused.reason.single_inverter", inverters=self.inverters))
        if self.inverters < need or (
            self.arrangement in ("split_phase", "three_phase") and self.inverters % need
        ):
            raise ValueError(
                sentence(
                    "refused.reason.arrangement",
                    arrangement=self.arrangement,
                    need=need,
                    inverters=self.inverters,
                )
            )
        return self
