"""The rules of one step, written once, and the loops that run them over a year.

`step` is plain Python on scalars. It is the reference as it stands, and compiled it is the
scalar loop (trace, conservation check) and the lanes loop (32 designs side by side). Nothing here
knows a strategy by name: all of them are numbers per step. This file imports nothing, so that
the compiler's cache, which watches one file, sees every change of a rule.

Order within a step: self-discharge, limits, standby, loads in the order the numbers ask for,
surplus to the bank, then to waiting loads, then to export; grid or generator charging; what is
left of the load is unserved, critical loads last.

Powers are means over the step in W, energies in Wh, flags 0.0 or 1.0. Array power counts at the
array's terminals, bank power at the bank's terminals, loads and grid on the AC bus. No divisions
and no branches inside, or designs would not run as lanes: reciprocals are parameters.
"""

SHORT_W = 1e-6  # less than this is rounding, not a shortage that starts a generator
SOC_EPS = 1e-9  # a bank discharged to a threshold has reached it, whatever the last bit says
WIDTH = 32  # designs in one block of lanes
LANE_PARAMS = 19  # parameters that differ between the lanes of a block
LANE_STATE = 5
LANE_SUMS = 16

# Columns of the series array, shape (n, 19), one row a step.
SERIES = (
    "pv", "load", "critical", "grid_up", "grid_share", "may_discharge", "hold", "resume",
    "charge_start", "charge_stop", "shed", "gen_allowed", "floor", "charge_ok", "discharge_ok",
    "must_wh", "may_wh", "defer_w", "tariff",
)  # fmt: skip

# Parameters of a design. The first LANE_PARAMS may differ between lanes, the others are shared.
PARAMS = (
    "scale", "clip_w", "pv_charge_w", "standby_w", "rated_w", "a1", "a2", "a3", "a4", "import_w",
    "export_w", "charger_w", "full", "inv_full", "lowest", "charge_w", "discharge_w", "no_bank",
    "may_export",
    "ctrl", "inv_ctrl", "ray", "inv_ray", "b1", "b2", "b3", "b4", "ib1", "ib2", "ib3", "ib4",
    "charger", "inv_charger", "ce", "inv_ce", "de", "inv_de", "leak", "gen_w", "gen_min_w",
    "gen_start", "gen_stop", "h", "inv_h",
)  # fmt: skip

# What a step returns after its five states; the trace keeps all of it.
FLOWS = (
    "load_w", "pv_to_load_w", "pv_to_bank_w", "pv_to_standby_w", "curtailed_w", "exported_w",
    "grid_to_load_w", "grid_to_bank_w", "grid_to_standby_w", "generator_w", "generator_to_load_w",
    "generator_to_bank_w", "dump_w", "bank_to_load_w", "bank_to_standby_w", "unserved_w",
    "critical_unserved_w", "standby_w", "controller_loss_w", "inverter_loss_w", "charger_loss_w",
    "charge_loss_w", "discharge_loss_w", "self_discharge_w",
)  # fmt: skip

SUMS = (
    "load_wh", "unserved_wh", "critical_unserved_wh", "unserved_steps", "curtailed_wh",
    "import_wh", "import_cost", "exported_wh", "generator_wh", "generator_steps",
    "generator_starts", "dump_wh", "bank_out_wh", "bank_in_wh", "lowest_stored_wh", "losses_wh",
)  # fmt: skip


def dc_of(ac, ray, a1, a2, a3, a4, b1, b2, b3, b4):
    """DC power the inverter draws for this AC output."""
    return min(ray * ac, max(max(a1 + b1 * ac, a2 + b2 * ac), max(a3 + b3 * ac, a4 + b4 * ac)))


def ac_of(dc, inv_ray, a1, a2, a3, a4, ib1, ib2, ib3, ib4):
    """AC output of the inverter from this DC power: the inverse of `dc_of`."""
    return max(
        inv_ray * dc,
        min(min((dc - a1) * ib1, (dc - a2) * ib2), min((dc - a3) * ib3, (dc - a4) * ib4)),
    )


def step(
    stored, held, charging, running, queued,
    pv, load, critical, grid_up, grid_share, may_discharge, hold, resume, charge_start,
    charge_stop, shed, gen_allowed, floor, charge_ok, discharge_ok, must_wh, may_wh, defer_w,
    clip_w, pv_charge_w, standby_w, rated_w, a1, a2, a3, a4, import_w, export_w, charger_w,
    full, inv_full, lowest, charge_w, discharge_w, no_bank, may_export,
    ctrl, inv_ctrl, ray, inv_ray, b1, b2, b3, b4, ib1, ib2, ib3, ib4, charger, inv_charger,
    ce, inv_ce, de, inv_de, leak, gen_w, gen_min_w, gen_start, gen_stop, h, inv_h,
):  # fmt: skip
    """One step of the balance: five states and this step's numbers in, states and flows out."""
    # Latches look at the state the step begins with. Without a bank nothing waits for one.
    soc = stored * inv_full + no_bank
    held = 1.0 if soc <= hold + SOC_EPS else (0.0 if soc >= resume else held)
    charging = 1.0 if soc < charge_start else (0.0 if soc >= charge_stop else charging)
    latch = 1.0 if soc <= gen_start + SOC_EPS else (0.0 if soc >= gen_stop else running)

    # Self-discharge stops at the lowest permitted energy, then limits at the terminals.
    leaked = min(stored * leak, max(stored - lowest, 0.0))
    inside = stored - leaked
    to_w = inv_ce * inv_h
    from_w = de * inv_h
    accept = min(charge_w * charge_ok, max(full - inside, 0.0) * to_w)
    discharge = min(discharge_w * discharge_ok, max(inside - full * floor, 0.0) * from_w)

    # Standby from the array, then the grid; generator or bank below.
    pv = min(pv, clip_w)
    pv_dc = pv * ctrl
    standby_pv = min(standby_w, pv_dc)
    dc = pv_dc - standby_pv
    grid_left = import_w * grid_up
    standby_grid = min(standby_w - standby_pv, grid_left)
    grid_left = grid_left - standby_grid
    standby_left = standby_w - standby_pv - standby_grid
    standby_bank = min(standby_left, discharge)

    # A waiting load must run as late as its window allows, and may run earlier on surplus.
    forced = max(must_wh - queued, 0.0) * inv_h
    flexible = max(min((may_wh - queued) * inv_h, defer_w) - forced, 0.0)
    demand = load + forced

    # The grid's own share first (priority means nothing without a bank), then array and bank.
    early = min(grid_share * (1.0 - no_bank) * demand, grid_left)
    grid_left = grid_left - early
    rest = demand - early
    reserve = hold if grid_up > 0.0 else shed
    above = max(inside - full * reserve, 0.0) * from_w
    spare = max(min(discharge, above) - standby_bank, 0.0)
    before_grid = may_discharge * (1.0 - held) * (1.0 - charging)
    first = spare * (before_grid if grid_up > 0.0 else 1.0)
    wanted = min(rest, rated_w)
    from_dc = min(wanted, ac_of(dc + first, inv_ray, a1, a2, a3, a4, ib1, ib2, ib3, ib4))

    # The generator runs on its latch, or because this step would fall short without it.
    short = 1.0 if rest - from_dc > SHORT_W else 0.0
    running = gen_allowed * (1.0 - grid_up) * max(latch, short)
    gen_left = gen_w * running
    standby_gen = min(standby_left, gen_left)
    gen_left = gen_left - standby_gen
    standby_bank = min(standby_left - standby_gen, discharge)
    alone = min(wanted, ac_of(dc, inv_ray, a1, a2, a3, a4, ib1, ib2, ib3, ib4))
    from_dc = alone if running > 0.0 else from_dc
    from_ac = min(rest - from_dc, grid_left + gen_left)

    # What grid or generator leave: the bank again; off-grid below the shed level critical only.
    late = rest - from_ac if grid_up + running > 0.0 else max(from_dc, min(critical, rest))
    deepest = dc + (spare if grid_up > 0.0 else discharge - standby_bank)
    most = ac_of(deepest, inv_ray, a1, a2, a3, a4, ib1, ib2, ib3, ib4)
    from_dc = min(min(late, rated_w), most)
    dc_load = min(dc_of(from_dc, ray, a1, a2, a3, a4, b1, b2, b3, b4), deepest)
    bank_load = max(dc_load - dc, 0.0)
    gen_load = from_ac if running > 0.0 else 0.0
    grid_load = early + from_ac - gen_load
    unserved = max(rest - from_ac - from_dc, 0.0)

    # Surplus: bank, waiting loads, then export; where the inverter may feed the grid, surplus
    # first takes over what the grid was serving.
    spill = max(dc - dc_load, 0.0)
    pv_bank = min(min(spill, accept), pv_charge_w)
    spill = spill - pv_bank
    top = min(ac_of(dc_load + spill, inv_ray, a1, a2, a3, a4, ib1, ib2, ib3, ib4), rated_w)
    extra = max(top - from_dc, 0.0)
    flexed = min(flexible, extra)
    swapped = min(early, extra - flexed) * may_export * grid_up
    exported = min(export_w * grid_up, extra - flexed - swapped)
    grid_load = grid_load - swapped
    grid_left = grid_left - (from_ac - gen_load) + swapped
    ac_load = from_dc + flexed + swapped
    ac_all = ac_load + exported
    dc_all = min(dc_of(ac_all, ray, a1, a2, a3, a4, b1, b2, b3, b4), dc_load + spill)
    dc_all = max(dc_all, dc_load)
    dc_pv = dc_all - bank_load

    # Charging from the grid up to the level asked for, or from the generator up to its stop.
    accept = min(accept - pv_bank, charger_w)
    to_stop = max((charge_stop * full - inside) * to_w - pv_bank, 0.0)
    grid_dc = charging * min(min(accept, to_stop), grid_left * charger)
    to_stop = max((gen_stop * full - inside) * to_w - pv_bank, 0.0)
    gen_dc = running * min(min(accept, to_stop), (gen_left - gen_load) * charger)
    # A generator below its minimum load pushes the difference into the bank, then wastes it.
    lacking = max(gen_min_w * running - standby_gen - gen_load - gen_dc * inv_charger, 0.0)
    more = min(accept - gen_dc, lacking * charger) * running
    gen_dc = gen_dc + more
    dump = max(lacking - more * inv_charger, 0.0)
    grid_bank = grid_dc * inv_charger
    gen_bank = gen_dc * inv_charger
    generator = standby_gen + gen_load + gen_bank + dump

    bank_in = pv_bank + grid_dc + gen_dc
    bank_out = bank_load + standby_bank
    stored = inside + (bank_in * ce - bank_out * inv_de) * h
    stored = min(max(stored, lowest), full)

    pv_exported = dc_pv * (exported / ac_all) if exported > 0.0 else 0.0
    standby = standby_pv + standby_grid + standby_gen + standby_bank
    array_used = (standby_pv + dc_pv + pv_bank) * inv_ctrl
    return (
        stored, held, charging, running, queued + (forced + flexed) * h,
        demand + flexed, (dc_pv - pv_exported) * inv_ctrl, pv_bank * inv_ctrl,
        standby_pv * inv_ctrl, max(pv - array_used, 0.0), exported, grid_load, grid_bank,
        standby_grid, generator, gen_load, gen_bank, dump, bank_load, standby_bank, unserved,
        max(min(unserved - (demand - critical), critical), 0.0), standby,
        array_used * (1.0 - ctrl), dc_all - ac_all, grid_bank + gen_bank - grid_dc - gen_dc,
        bank_in * (1.0 - ce), bank_out * (inv_de - 1.0), leaked * inv_h,
    )  # fmt: skip


def plain_steps(rows, params, state):
    """Run `step` over rows of plain floats; returns the state and what each step returned."""
    told = []
    for row in rows:
        result = step(*state, *row[:18], *params)
        state = result[:5]
        told.append(result)
    return state, told


def scalar_steps(series, params, state, begin, end, out):
    """One design from step `begin` to `end`; row t of `out` gets all that `step` returned."""
    stored, held, charging, running, queued = state
    for t in range(begin, end):
        (
            stored, held, charging, running, queued,
            out[t, 5], out[t, 6], out[t, 7], out[t, 8], out[t, 9], out[t, 10], out[t, 11],
            out[t, 12], out[t, 13], out[t, 14], out[t, 15], out[t, 16], out[t, 17], out[t, 18],
            out[t, 19], out[t, 20], out[t, 21], out[t, 22], out[t, 23], out[t, 24], out[t, 25],
            out[t, 26], out[t, 27], out[t, 28],
        ) = step(
            stored, held, charging, running, queued,
            series[t, 0], series[t, 1], series[t, 2], series[t, 3], series[t, 4], series[t, 5],
            series[t, 6], series[t, 7], series[t, 8], series[t, 9], series[t, 10], series[t, 11],
            series[t, 12], series[t, 13], series[t, 14], series[t, 15], series[t, 16],
            series[t, 17], *params,
        )  # fmt: skip
        out[t, 0] = stored
        out[t, 1] = held
        out[t, 2] = charging
        out[t, 3] = running
        out[t, 4] = queued
    return stored, held, charging, running, queued
