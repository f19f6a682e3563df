/* The step's rules once more in C, with branches as one would write it by hand: the yardstick for
   the compiled loops, and an independent check on them. Same order of columns and parameters as
   offgrid_sizing/dispatch/kernels.py. */
#include <math.h>

static double lesser(double a, double b) { return a < b ? a : b; }
static double larger(double a, double b) { return a > b ? a : b; }

enum { BENDS = 8, CURVE = 2 + 2 * BENDS };
enum { CLIP, PVCH, SBY, IMPORT, CHARGER, FULL, INVFULL, LOWEST, CHARGE, DISCHARGE, HASBANK, RATED,
       DC, AC = DC + CURVE, EXPORT = AC + CURVE, MAYEXPORT, CTRL, INVCTRL, CHEFF, INVCHEFF, CE,
       INVDE, KEEP, TOW, FROMW, INH, OUTH, GENW, GENMIN, GENSTART, GENSTOP, H, INVH, TIGHT,
       EXTRAS };
enum { PV, LOAD, CRITICAL, UP, SHARE, MAYDIS, HOLD, RESUME, CHSTART, CHSTOP, SHED, GENOK, FLOOR,
       CHOK, DISOK, MUST, MAY, DEFERW, RELIEF, TARIFF, COLUMNS };

/* A line that is followed from corner to corner until the place is passed. */
static double bent(const double *curve, double u) {
    double slope = curve[0], from = 0, value = 0;
    for (int k = 1; k <= BENDS && curve[k] > 0 && curve[k] < u; k++) {
        value += slope * (curve[k] - from);
        from = curve[k];
        slope += curve[k + BENDS];
    }
    return value + slope * (u - from);
}
static double dc_of(const double *p, double ac) {
    return bent(p + DC, ac);
}
static double ac_of(const double *p, double dc) {
    return bent(p + AC, dc);
}

/* sums: unserved, steps, curtailed, import, cost, bank out, exported, flexed, generator, steps,
   starts */
void year(const double *series, const double *p, double scale, double *state, double *sums,
          long begin, long end) {
    double stored = state[0], held = state[1], charging = state[2], running = state[3];
    double queued = state[4];
    const double eps = 1e-9;
    for (long t = begin; t < end; t++) {
        const double *s = series + t * COLUMNS;
        double bottom = p[FULL] * s[FLOOR];
        double inside = lesser(stored, bottom + (stored - bottom) * p[KEEP]);
        double accept = lesser(p[CHARGE] * s[CHOK], (p[FULL] - inside) * p[TOW]);
        double discharge = lesser(p[DISCHARGE] * s[DISOK], larger(inside - bottom, 0) * p[FROMW]);
        double pv = lesser(s[PV] * scale, p[CLIP]), pv_dc = pv * p[CTRL];
        double sb_pv = lesser(p[SBY], pv_dc), sb_left = p[SBY] - sb_pv, dc = pv_dc - sb_pv;
        double forced = 0, flexible = 0;
        if (p[EXTRAS] > 0) {
            forced = larger(s[MUST] - queued, 0) * p[INVH];
            flexible = larger(lesser((s[MAY] - queued) * p[INVH], s[DEFERW]) - forced, 0);
        }
        double demand = s[LOAD] + forced, soc = stored * p[INVFULL];
        double early = 0, grid_load = 0, grid_left = 0, gen_load = 0, gen_left = 0, sb_grid = 0;
        double sb_gen = 0, sb_bank, from_dc, unserved, deepest, was = running;
        if (s[UP] > 0) {
            if (soc <= s[HOLD] + eps) held = 1; else if (soc >= s[RESUME] - eps) held = 0;
            if (soc < s[CHSTART] - eps) charging = 1;
            else if (soc >= s[CHSTOP] - eps) charging = 0;
            running = 0;
            int tight = p[TIGHT] > 0;
            sb_bank = 0;
            unserved = 0;
            sb_grid = tight ? lesser(sb_left, p[IMPORT]) : sb_left;
            early = s[SHARE] * demand * p[HASBANK];
            if (tight) early = lesser(early, p[IMPORT] - sb_grid);
            double rest = demand - early;
            double spare = lesser(discharge, larger(inside - p[FULL] * s[HOLD], 0) * p[FROMW]);
            deepest = dc;
            if (s[MAYDIS] > 0 && held == 0 && charging == 0) deepest += spare;
            from_dc = lesser(lesser(rest, p[RATED]), ac_of(p, deepest));
            grid_load = rest - from_dc;
            if (tight) {
                grid_load = lesser(grid_load, p[IMPORT] - sb_grid - early);
                sb_bank = lesser(sb_left - sb_grid, discharge);
                spare = lesser(discharge, larger(inside - p[FULL] * s[RELIEF], 0) * p[FROMW]);
                deepest = dc + larger(spare - sb_bank, 0);
                from_dc = lesser(lesser(rest - grid_load, p[RATED]), ac_of(p, deepest));
                unserved = rest - grid_load - from_dc;
            }
            grid_left = larger(p[IMPORT] - sb_grid - early - grid_load, 0);
        } else if (s[GENOK] > 0) {
            soc += 1 - p[HASBANK];
            double latch = running;
            if (soc <= p[GENSTART] + eps) latch = 1; else if (soc >= p[GENSTOP] - eps) latch = 0;
            double wanted = lesser(demand, p[RATED]);
            sb_bank = lesser(sb_left, discharge);
            deepest = dc + (discharge - sb_bank);
            double with_bank = lesser(wanted, ac_of(p, deepest));
            running = (latch > 0 || demand - with_bank > 1e-6) ? 1 : 0;
            sb_gen = lesser(sb_left, p[GENW] * running);
            gen_left = p[GENW] * running - sb_gen;
            gen_load = lesser(demand - lesser(wanted, ac_of(p, dc)), gen_left);
            sb_bank = lesser(sb_left - sb_gen, discharge);
            deepest = dc + (discharge - sb_bank);
            from_dc = lesser(lesser(demand - gen_load, p[RATED]), ac_of(p, deepest));
            gen_left -= gen_load;
            unserved = demand - gen_load - from_dc;
        } else {
            running = 0;
            sb_bank = lesser(sb_left, discharge);
            deepest = dc + (discharge - sb_bank);
            double late = demand;
            if (s[SHED] > 0) {
                double spare = lesser(discharge, larger(inside - p[FULL] * s[SHED], 0) * p[FROMW]);
                late = lesser(demand, ac_of(p, dc + larger(spare - sb_bank, 0)));
                late = larger(late, lesser(s[CRITICAL], demand));
            }
            from_dc = lesser(lesser(late, p[RATED]), ac_of(p, deepest));
            unserved = demand - from_dc;
        }
        double dc_load = lesser(dc_of(p, from_dc), deepest), bank_load = larger(dc_load - dc, 0);
        double spill = larger(dc - dc_load, 0);
        double pv_bank = lesser(lesser(spill, accept), p[PVCH]);
        spill -= pv_bank;
        double flexed = 0, exported = 0;
        if (p[EXTRAS] > 0) {
            double top = lesser(ac_of(p, dc_load + spill), p[RATED]);
            double extra = larger(top - from_dc, 0);
            flexed = lesser(flexible, extra);
            double swapped = lesser(early, extra - flexed) * p[MAYEXPORT] * s[UP];
            exported = lesser(p[EXPORT] * s[UP], extra - flexed - swapped);
            early -= swapped;
            grid_left += swapped;
            double all = lesser(dc_of(p, from_dc + flexed + swapped + exported), dc_load + spill);
            spill = larger(spill - (larger(all, dc_load) - dc_load), 0);
        }
        double grid_dc = 0, gen_dc = 0, dump = 0, most = lesser(accept - pv_bank, p[CHARGER]);
        if (s[UP] > 0) {
            if (charging > 0) {
                double stop = larger((s[CHSTOP] * p[FULL] - inside) * p[TOW] - pv_bank, 0);
                grid_dc = lesser(lesser(most, stop), grid_left * p[CHEFF]);
            }
        } else if (s[GENOK] > 0 && running > 0) {
            double stop = larger((p[GENSTOP] * p[FULL] - inside) * p[TOW] - pv_bank, 0);
            gen_dc = lesser(lesser(most, stop), gen_left * p[CHEFF]);
            double lacking = larger(p[GENMIN] - sb_gen - gen_load - gen_dc * p[INVCHEFF], 0);
            double more = lesser(most - gen_dc, lacking * p[CHEFF]);
            gen_dc += more;
            dump = larger(lacking - more * p[INVCHEFF], 0);
        }
        double in = pv_bank + grid_dc + gen_dc, out = bank_load + sb_bank;
        stored = lesser(larger(inside + in * p[INH] - out * p[OUTH], p[LOWEST]), p[FULL]);
        queued += (forced + flexed) * p[H];
        double drawn = early + grid_load + grid_dc * p[INVCHEFF] + sb_grid;
        sums[0] += unserved;
        sums[1] += unserved > 1e-6 ? 1 : 0;
        sums[2] += spill * p[INVCTRL];
        sums[3] += drawn;
        sums[4] += drawn * s[TARIFF];
        sums[5] += out;
        sums[6] += exported;
        sums[7] += forced + flexed;
        sums[8] += sb_gen + gen_load + gen_dc * p[INVCHEFF] + dump;
        sums[9] += running;
        sums[10] += running > 0 && was == 0 ? 1 : 0;
    }
    state[0] = stored; state[1] = held; state[2] = charging; state[3] = running; state[4] = queued;
}
