"""The rules of one step, written once, and the loops that run one design over a year.

`step` is plain Python on scalars. It is the reference as it stands, and compiled it is the
scalar loop (trace, conservation check) and, in `lane_kernels`, 32 designs side by side. Nothing
here knows a strategy by name: all of them are numbers per step. This file imports nothing.

Order within a step: self-discharge, limits, standby, loads in the order the numbers ask for,
surplus to the bank, then to waiting loads, then to export; grid or generator charging; what is
left of the load is unserved, critical loads last.

Powers are means over the step in W, energies in Wh, flags 0.0 or 1.0. Array power counts at the
array's terminals, bank power at the bank's terminals, loads and grid on the AC bus. Branches ask
only what all lanes share (grid, generator, two switches); what differs between designs goes
through min, max and choice, and reciprocals are parameters: otherwise nothing runs as lanes.

What the inverter can carry is compared as DC power: what a load draws there is one number for all
lanes (unless loads wait or the grid's limit binds), and the next step's state waits for no curve.
"""

SHORT_W = 1e-6  # less than this is rounding, not a shortage that starts a generator
SOC_EPS = 1e-9  # a bank charged or discharged to a threshold has reached it, last bit or not
WIDTH = 32  # designs in one block of lanes
BENDS = 8  # of the inverter's curve between its straight pieces, at most
FEW_BENDS = 4  # enough for a sheet of five points, and half the work

# Columns of the series array, one row a step.
SERIES = (
    "pv", "load", "critical", "grid_up", "grid_share", "may_discharge", "hold", "resume",
    "charge_start", "charge_stop", "shed", "gen_allowed", "floor", "charge_ok", "discharge_ok",
    "must_wh", "may_wh", "defer_w", "relief", "tariff",
)  # fmt: skip

STATE = ("stored", "held", "charging", "running", "queued")

# Parameters that may differ between the lanes of a block, then those a block shares.
LANE_PARAMS = (
    "scale", "clip_w", "pv_charge_w", "standby_w", "import_w", "charger_w", "full", "inv_full",
    "lowest", "charge_w", "discharge_w",
)  # fmt: skip
SHARED_PARAMS = (
    "has_bank", "rated_w", "curve", "inverse", "export_w", "may_export", "ctrl", "inv_ctrl",
    "charger", "inv_charger", "ce", "inv_de", "keep", "to_w", "from_w", "in_h", "out_h", "gen_w",
    "gen_min_w", "gen_start", "gen_stop", "h", "inv_h", "tight", "extras",
)  # fmt: skip

# What a step returns after its five states; the trace keeps all of it.
FLOWS = (
    "load_w", "pv_to_load_w", "pv_to_bank_w", "pv_to_standby_w", "curtailed_w", "exported_w",
    "grid_to_load_w", "grid_to_bank_w", "grid_to_standby_w", "generator_w", "generator_to_load_w",
    "generator_to_bank_w", "dump_w", "bank_to_load_w", "bank_to_standby_w", "unserved_w",
    "critical_unserved_w", "standby_w", "controller_loss_w", "inverter_loss_w", "charger_loss_w",
    "charge_loss_w", "discharge_loss_w", "self_discharge_w",
)  # fmt: skip

# What the lanes add up over the year, in W × steps but for the counts.
SUMS = (
    "unserved", "unserved_steps", "curtailed", "import", "import_cost", "bank_out", "exported",
    "flexed", "generator", "generator_steps", "generator_starts",
)  # fmt: skip


def bent(u, curve):
    """Value at `u` of a line through the origin that bends at four or at eight places.

    `curve`: slope at the origin, the places in rising order, how the slope changes at each, and
    what the sum below is where nothing has bent yet, so that it is straight to the last bit
    there. Bends of both signs, so any sheet's points; nothing to look up, so it runs as lanes.
    The compiler keeps one of the two forms for each length of `curve`; where four bends do,
    both give the same bits.
    """
    if len(curve) == 10:
        slope, x1, x2, x3, x4, d1, d2, d3, d4, unbent = curve
        low = (d1 * max(u, x1) + d2 * max(u, x2)) + (d3 * max(u, x3) + d4 * max(u, x4))
        return slope * u + (low - unbent)
    slope, x1, x2, x3, x4, x5, x6, x7, x8, d1, d2, d3, d4, d5, d6, d7, d8, unbent = curve
    low = (d1 * max(u, x1) + d2 * max(u, x2)) + (d3 * max(u, x3) + d4 * max(u, x4))
    high = (d5 * max(u, x5) + d6 * max(u, x6)) + (d7 * max(u, x7) + d8 * max(u, x8))
    return slope * u + ((low + high) - unbent)


def dc_of(ac, curve):
    """DC power the inverter draws for this AC output."""
    return bent(ac, curve)


def ac_of(dc, inverse):
    """AC output of the inverter from this DC power: the inverse of `dc_of`."""
    return bent(dc, inverse)


def step(
    stored, held, charging, running, queued,
    pv, load, critical, grid_up, grid_share, may_discharge, hold, resume, charge_start,
    charge_stop, shed, gen_allowed, floor, charge_ok, discharge_ok, must_wh, may_wh, defer_w,
    relief, clip_w, pv_charge_w, standby_w, import_w, charger_w,
    full, inv_full, lowest, charge_w, discharge_w,
    has_bank, rated_w, curve, inverse, export_w, may_export, ctrl, inv_ctrl, charger,
    inv_charger, ce, inv_de, keep, to_w, from_w, in_h, out_h, gen_w, gen_min_w, gen_start,
    gen_stop, h, inv_h, tight, extras,
):  # fmt: skip
    """One step of the balance: five states and this step's numbers in, states and flows out."""
    # Self-discharge takes from what could be used, not from below the floor, so that a larger
    # bank is never worse; then limits at the bank's terminals.
    bottom = full * floor
    inside = min(stored, bottom + (stored - bottom) * keep)
    leaked = stored - inside
    accept = min(charge_w * charge_ok, (full - inside) * to_w)
    discharge = min(discharge_w * discharge_ok, max(inside - bottom, 0.0) * from_w)

    # Standby is served by the array first.
    pv = min(pv, clip_w)
    pv_dc = pv * ctrl
    standby_pv = min(standby_w, pv_dc)
    standby_left = standby_w - standby_pv
    dc = pv_dc - standby_pv

    # A waiting load must run as late as its window allows, and may run earlier on surplus.
    forced = 0.0
    flexible = 0.0
    if extras > 0.0:
        forced = max(must_wh - queued, 0.0) * inv_h
        flexible = max(min((may_wh - queued) * inv_h, defer_w) - forced, 0.0)
    demand = load + forced

    soc = stored * inv_full
    standby_grid = 0.0
    standby_gen = 0.0
    early = 0.0
    grid_load = 0.0
    grid_left = 0.0
    gen_load = 0.0
    gen_left = 0.0
    if grid_up > 0.0:
        held = 1.0 if soc <= hold + SOC_EPS else (0.0 if soc >= resume - SOC_EPS else held)
        charging = (
            1.0
            if soc < charge_start - SOC_EPS
            else (0.0 if soc >= charge_stop - SOC_EPS else charging)
        )
        running = 0.0
        standby_bank = 0.0
        unserved = 0.0
        # The grid's own share first; priority means nothing without a bank.
        standby_grid = standby_left
        early = grid_share * demand * has_bank
        if tight > 0.0:
            standby_grid = min(standby_left, import_w)
            early = min(early, import_w - standby_grid)
        rest = demand - early
        spare = max(inside - full * max(hold, floor), 0.0) * from_w
        gate = may_discharge - may_discharge * held
        gate = gate - gate * charging
        deepest = dc + min(discharge_w * discharge_ok, spare) * gate
        wanted = min(rest, rated_w)
        from_dc = min(wanted, ac_of(deepest, inverse))
        grid_load = rest - from_dc
        if tight > 0.0:
            # What a tight grid leaves falls to the bank after all, down to the relief level.
            grid_load = min(grid_load, import_w - standby_grid - early)
            standby_bank = min(standby_left - standby_grid, discharge)
            spare = min(discharge, max(inside - full * relief, 0.0) * from_w)
            deepest = dc + max(spare - standby_bank, 0.0)
            wanted = min(rest - grid_load, rated_w)
            from_dc = min(wanted, ac_of(deepest, inverse))
            unserved = rest - grid_load - from_dc
        wanted_dc = dc_of(wanted, curve)
        grid_left = max(import_w - (early + grid_load + standby_grid), 0.0)
    elif gen_allowed > 0.0:
        # The generator runs on its latch, or because this step would fall short without it.
        # Without a bank nothing waits for one: it counts as full.
        soc = soc + (1.0 - has_bank)
        latch = (
            1.0 if soc <= gen_start + SOC_EPS else (0.0 if soc >= gen_stop - SOC_EPS else running)
        )
        # The shed level says nothing here: what a generator can carry is not shed.
        wanted = min(demand, rated_w)
        wanted_dc = dc_of(wanted, curve)
        standby_bank = min(standby_left, discharge)
        deepest = dc + (discharge - standby_bank)
        lacks_dc = max((demand - wanted) * curve[0], wanted_dc - deepest)
        running = max(latch, 1.0 if lacks_dc > SHORT_W * curve[0] else 0.0)
        # What it would leave to the inverter is worked out whether it runs or not, so that the
        # curve need not wait for the state.
        standby_gen = min(standby_left, gen_w)
        gen_left = gen_w - standby_gen
        alone = min(wanted, ac_of(dc, inverse))
        weak_dc = dc_of(min(demand - gen_left, rated_w), curve)
        wanted_dc = max(min(wanted_dc, dc), weak_dc if running > 0.0 else wanted_dc)
        standby_gen = standby_gen * running
        gen_load = min(demand - alone, gen_left) * running
        gen_left = gen_left * running - gen_load
        standby_bank = min(standby_left - standby_gen, discharge)
        deepest = dc + (discharge - standby_bank)
        from_dc = min(min(demand - gen_load, rated_w), ac_of(deepest, inverse))
        unserved = demand - gen_load - from_dc
    else:
        running = 0.0
        standby_bank = min(standby_left, discharge)
        deepest = dc + (discharge - standby_bank)
        wanted = min(demand, rated_w)
        wanted_dc = dc_of(wanted, curve)
        if shed > 0.0:
            # Below the shed level only critical loads may draw on the bank.
            spare = min(discharge, max(inside - full * shed, 0.0) * from_w)
            shallow = dc + max(spare - standby_bank, 0.0)
            deepest = min(deepest, max(shallow, dc_of(min(critical, rated_w), curve)))
        from_dc = min(wanted, ac_of(deepest, inverse))
        unserved = demand - from_dc

    dc_load = min(wanted_dc, deepest)
    bank_load = max(dc_load - dc, 0.0)
    spill = max(dc - dc_load, 0.0)
    pv_bank = min(min(spill, accept), pv_charge_w)
    spill = spill - pv_bank

    # Surplus beyond the bank: waiting loads, then export. Where the inverter may feed the grid,
    # surplus first takes over what the grid was serving.
    ac_all = from_dc
    dc_all = dc_load
    flexed = 0.0
    exported = 0.0
    if extras > 0.0:
        top = min(ac_of(dc_load + spill, inverse), rated_w)
        extra = max(top - from_dc, 0.0)
        flexed = min(flexible, extra)
        swapped = min(early, extra - flexed) * may_export * grid_up
        exported = min(export_w * grid_up, extra - flexed - swapped)
        early = early - swapped
        grid_left = grid_left + swapped
        ac_all = from_dc + flexed + swapped + exported
        dc_all = min(dc_of(ac_all, curve), dc_load + spill)
        dc_all = max(dc_all, dc_load)
        spill = max(spill - (dc_all - dc_load), 0.0)
    dc_pv = dc_all - bank_load

    # Charging from the grid up to the level asked for, or from the generator up to its stop.
    grid_dc = 0.0
    gen_dc = 0.0
    dump = 0.0
    if grid_up > 0.0:
        most = min(accept - pv_bank, charger_w)
        to_stop = max((charge_stop * full - inside) * to_w - pv_bank, 0.0)
        grid_dc = charging * min(min(most, to_stop), grid_left * charger)
    elif gen_allowed > 0.0:
        most = min(accept - pv_bank, charger_w)
        to_stop = max((gen_stop * full - inside) * to_w - pv_bank, 0.0)
        gen_dc = running * min(min(most, to_stop), gen_left * charger)
        # Below its minimum load the difference is pushed into the bank, then wasted.
        used = standby_gen + gen_load + gen_dc * inv_charger
        lacking = max(gen_min_w * running - used, 0.0)
        more = min(most - gen_dc, lacking * charger) * running
        gen_dc = gen_dc + more
        dump = max(lacking - more * inv_charger, 0.0)
    grid_bank = grid_dc * inv_charger
    gen_bank = gen_dc * inv_charger

    bank_in = pv_bank + grid_dc + gen_dc
    bank_out = bank_load + standby_bank
    stored = min(max(inside + bank_in * in_h - bank_out * out_h, lowest), full)

    pv_exported = dc_pv * (exported / ac_all) if exported > 0.0 else 0.0
    array_used = (standby_pv + dc_pv + pv_bank) * inv_ctrl
    return (
        stored, held, charging, running, queued + (forced + flexed) * h,
        demand + flexed, (dc_pv - pv_exported) * inv_ctrl, pv_bank * inv_ctrl,
        standby_pv * inv_ctrl, spill * inv_ctrl, exported, early + grid_load, grid_bank,
        standby_grid, standby_gen + gen_load + gen_bank + dump, gen_load, gen_bank, dump,
        bank_load, standby_bank, unserved, max(unserved - (demand - critical), 0.0),
        standby_pv + standby_grid + standby_gen + standby_bank,
        array_used * (1.0 - ctrl), max(dc_all - ac_all, 0.0),
        grid_bank + gen_bank - grid_dc - gen_dc,
        bank_in * (1.0 - ce), bank_out * (inv_de - 1.0), leaked * inv_h,
    )  # fmt: skip


def plain_steps(rows, params, state):
    """Run `step` over rows of plain floats; returns the state and what each step returned."""
    results = []
    for row in rows:
        result = step(*state, *row, *params)
        state = result[:5]
        results.append(result)
    return state, results


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
            series[t, 17], series[t, 18], *params,
        )  # fmt: skip
        out[t, 0] = stored
        out[t, 1] = held
        out[t, 2] = charging
        out[t, 3] = running
        out[t, 4] = queued
    return stored, held, charging, running, queued


def outlast_steps(series, params, stored_at, stride, most, lasted):
    """From every `stride`-th step on, begun with `stored_at[t]`: steps until a load is unserved.

    The year is a ring. `lasted[k]` gets at most `most`.
    """
    n = series.shape[0]
    for k in range(lasted.shape[0]):
        t = k * stride
        stored, held, charging, running, queued = stored_at[t], 0.0, 0.0, 0.0, 0.0
        count = 0
        while count < most:
            (
                stored, held, charging, running, queued,
                _, _, _, _, _, _, _, _, _, _, _, _, _, _, _, unserved, _, _, _, _, _, _, _, _,
            ) = step(
                stored, held, charging, running, queued,
                series[t, 0], series[t, 1], series[t, 2], series[t, 3], series[t, 4],
                series[t, 5], series[t, 6], series[t, 7], series[t, 8], series[t, 9],
                series[t, 10], series[t, 11], series[t, 12], series[t, 13], series[t, 14],
                series[t, 15], series[t, 16], series[t, 17], series[t, 18],
                *params,
            )  # fmt: skip
            if unserved > SHORT_W:
                break
            count = count + 1
            t = t + 1 if t + 1 < n else 0
        lasted[k] = count
