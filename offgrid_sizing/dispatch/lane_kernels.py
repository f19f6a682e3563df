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
    """One step of 32 designs that share weather, load, grid and strategy.

    `block` holds parameters, states and sums of the designs in one array, 32 apart, so that the
    compiler sees at once that no two of them overlap and runs 8 (or 4) designs an instruction.
    """
    (
        export_w, may_export, ctrl, inv_ctrl, curve, inverse, charger, inv_charger, ce, inv_de,
        keep, to_w, from_w, in_h, out_h, gen_w, gen_min_w, gen_start, gen_stop, h, inv_h, _, _,
    ) = shared  # fmt: skip
    for i in range(32):
        scale = block[i]
        clip_w = block[i + 32]
        pv_charge_w = block[i + 64]
        standby_w = block[i + 96]
        rated_w = block[i + 128]
        inv_rated = block[i + 160]
        import_w = block[i + 192]
        charger_w = block[i + 224]
        full = block[i + 256]
        inv_full = block[i + 288]
        lowest = block[i + 320]
        charge_w = block[i + 352]
        discharge_w = block[i + 384]
        has_bank = block[i + 416]
        stored = block[i + 448]
        held = block[i + 480]
        charging = block[i + 512]
        running = block[i + 544]
        queued = block[i + 576]
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
            clip_w, pv_charge_w, standby_w, rated_w, inv_rated, import_w, charger_w,
            full, inv_full, lowest, charge_w, discharge_w, has_bank,
            export_w, may_export, ctrl, inv_ctrl, curve, inverse, charger, inv_charger, ce,
            inv_de, keep, to_w, from_w, in_h, out_h, gen_w, gen_min_w,
            gen_start, gen_stop, h, inv_h, tight, extras,
        )  # fmt: skip
        block[i + 448] = stored
        block[i + 480] = held
        block[i + 512] = charging
        block[i + 544] = running
        block[i + 576] = queued
        block[i + 608] = block[i + 608] + unserved
        block[i + 640] = block[i + 640] + (1.0 if unserved > SHORT_W * max(load_w, 1.0) else 0.0)
        block[i + 672] = block[i + 672] + curtailed
        block[i + 768] = block[i + 768] + (bank_load + bank_standby)
        if grid_up > 0.0:
            drawn = grid_load + grid_bank + grid_standby
            block[i + 704] = block[i + 704] + drawn
            block[i + 736] = block[i + 736] + drawn * tariff
        elif gen_allowed > 0.0:
            block[i + 864] = block[i + 864] + generator
            block[i + 896] = block[i + 896] + running
            block[i + 928] = block[i + 928] + running * (1.0 - was_running)
        if extras > 0.0:
            block[i + 800] = block[i + 800] + exported
            block[i + 832] = block[i + 832] + (load_w - load)


def lanes_at(block, series, shared, t):
    """Step `t` of a block; with constants for what the lanes share the compiler makes one loop
    for each case, without the dead parts."""
    tight, extras = shared[21], shared[22]
    up, gen, shed = series[t, 3], series[t, 11], series[t, 10]
    row = (
        series[t, 0], series[t, 1], series[t, 2], series[t, 4], series[t, 5], series[t, 6],
        series[t, 7], series[t, 8], series[t, 9], series[t, 12], series[t, 13], series[t, 14],
        series[t, 15], series[t, 16], series[t, 17], series[t, 18], series[t, 19],
    )  # fmt: skip
    if up > 0.0 and tight + extras > 0.0:
        lanes_row(block, shared, tight, extras, 1.0, 0.0, 0.0, *row)
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
