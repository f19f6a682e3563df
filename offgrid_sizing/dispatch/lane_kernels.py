"""The lanes: 32 designs side by side through the rules of `kernels.step`, totals only.

The rules stay in one place; this file holds the loops over a block of designs. The compiler's
cache watches the file of the outermost loop only, so `cache` puts a hash of every function and
constant taken into the cached file's name: a changed rule is a new name.
"""

from offgrid_sizing.dispatch.kernels import SHORT_W, step


def lanes_row(
    block, shared, tight, extras, grid_up, shed, gen_allowed,
    pv, load, critical, grid_share, may_discharge, hold, resume, charge_start, charge_stop, floor,
    charge_ok, discharge_ok, must_wh, may_wh, defer_w, relief, tariff,
):  # fmt: skip
    """One step of 32 designs that share weather, load, grid, strategy and inverter's rating.

    `block` holds parameters, states and sums of the designs in one array, 32 apart, so that the
    compiler sees at once that no two of them overlap and runs 8 (or 4) designs an instruction.
    """
    (
        has_bank, rated_w, curve, inverse, export_w, may_export, ctrl, inv_ctrl, charger,
        inv_charger, ce, inv_de, keep, to_w, from_w, in_h, out_h, gen_w, gen_min_w, gen_start,
        gen_stop, h, inv_h, _, _,
    ) = shared  # fmt: skip
    for i in range(32):
        scale = block[i]
        clip_w = block[i + 32]
        pv_charge_w = block[i + 64]
        standby_w = block[i + 96]
        import_w = block[i + 128]
        charger_w = block[i + 160]
        full = block[i + 192]
        inv_full = block[i + 224]
        lowest = block[i + 256]
        charge_w = block[i + 288]
        discharge_w = block[i + 320]
        stored = block[i + 352]
        held = block[i + 384]
        charging = block[i + 416]
        running = block[i + 448]
        queued = block[i + 480]
        was_running = running
        (
            stored, held, charging, running, queued,
            load_w, _, _, _, curtailed, exported, grid_load, grid_bank, grid_standby, generator,
            _, _, _, bank_load, bank_standby, unserved, _, _, _, _, _, _, _, _,
        ) = step(
            stored, held, charging, running, queued,
            pv * scale, load, critical, grid_up, grid_share, may_discharge, hold, resume,
            charge_start, charge_stop, shed, gen_allowed, floor, charge_ok, discharge_ok, must_wh,
            may_wh, defer_w, relief,
            clip_w, pv_charge_w, standby_w, import_w, charger_w,
            full, inv_full, lowest, charge_w, discharge_w,
            has_bank, rated_w, curve, inverse, export_w, may_export, ctrl, inv_ctrl, charger,
            inv_charger, ce, inv_de, keep, to_w, from_w, in_h, out_h, gen_w, gen_min_w,
            gen_start, gen_stop, h, inv_h, tight, extras,
        )  # fmt: skip
        block[i + 352] = stored
        block[i + 384] = held
        block[i + 416] = charging
        block[i + 448] = running
        block[i + 480] = queued
        if grid_up <= tight:  # a grid whose limit cannot bind leaves nothing unserved
            short = 1.0 if unserved > SHORT_W * max(load_w, 1.0) else 0.0
            block[i + 512] = block[i + 512] + unserved
            block[i + 544] = block[i + 544] + short
        block[i + 576] = block[i + 576] + curtailed
        block[i + 672] = block[i + 672] + (bank_load + bank_standby)
        if grid_up > 0.0:
            drawn = grid_load + grid_standby + grid_bank
            block[i + 608] = block[i + 608] + drawn
            block[i + 640] = block[i + 640] + drawn * tariff
        elif gen_allowed > 0.0:
            block[i + 768] = block[i + 768] + generator
            block[i + 800] = block[i + 800] + running
            block[i + 832] = block[i + 832] + running * (1.0 - was_running)
        if extras > 0.0:
            block[i + 704] = block[i + 704] + exported
            block[i + 736] = block[i + 736] + (load_w - load)


def lanes_at(block, series, shared, t):
    """Step `t` of a block; with constants for what the lanes share the compiler makes one loop
    for each case, without the dead parts."""
    tight, extras = shared[23], shared[24]
    up, gen, shed = series[t, 3], series[t, 11], series[t, 10]
    row = (
        series[t, 0], series[t, 1], series[t, 2], series[t, 4], series[t, 5], series[t, 6],
        series[t, 7], series[t, 8], series[t, 9], series[t, 12], series[t, 13], series[t, 14],
        series[t, 15], series[t, 16], series[t, 17], series[t, 18], series[t, 19],
    )  # fmt: skip
    if up > 0.0 and tight > 0.0 and extras > 0.0:
        lanes_row(block, shared, 1.0, 1.0, 1.0, 0.0, 0.0, *row)
    elif up > 0.0 and tight > 0.0:
        lanes_row(block, shared, 1.0, 0.0, 1.0, 0.0, 0.0, *row)
    elif up > 0.0 and extras > 0.0:
        lanes_row(block, shared, 0.0, 1.0, 1.0, 0.0, 0.0, *row)
    elif up > 0.0:
        lanes_row(block, shared, 0.0, 0.0, 1.0, 0.0, 0.0, *row)
    elif gen > 0.0 and extras > 0.0:
        lanes_row(block, shared, 0.0, 1.0, 0.0, 0.0, 1.0, *row)
    elif gen > 0.0:
        lanes_row(block, shared, 0.0, 0.0, 0.0, 0.0, 1.0, *row)
    elif shed + extras > 0.0:
        lanes_row(block, shared, 0.0, extras, 0.0, shed, 0.0, *row)
    else:
        lanes_row(block, shared, 0.0, 0.0, 0.0, 0.0, 0.0, *row)


def lanes_steps(block, series, own, shared, begin, end):
    """A block of 32 designs from step `begin` to `end`; states and sums stay in `block`.

    `own`, shape (n, 32), is array power of each design in each step (with 1 in the series); with
    no rows all designs share the series' array power, each times its scale.
    """
    if own.shape[0] == 0:
        for t in range(begin, end):
            lanes_at(block, series, shared, t)
    else:
        for t in range(begin, end):
            for i in range(32):
                block[i] = own[t, i]
            lanes_at(block, series, shared, t)
