"""Order of switching on, source by source, and of switching off with its waits."""

from offgrid_sizing.commissioning.assembly import chemistry_of, part
from offgrid_sizing.commissioning.dead import proved_dead
from offgrid_sizing.commissioning.layout import Section, line, note, value
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.practice import WAIT_MIN
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch


def switch_on(sketch: Sketch, design: ElectricalDesign) -> Section:
    """From dead to running: the bank alone, then each source by itself."""
    rows = [line("on.all_off", blank="ok"), line("on.ac", blank="ok")]
    if design.bank:
        managed = chemistry_of(sketch).managed
        rows.append(
            line("on.units", blank="ok", note=note("shows_address"))
            if managed
            else line("on.unit_switches", blank="ok")
        )
        rows.append(line("on.fuses", value("bank_v"), "V", note("precharge")))
    machines = "on.machines" if design.arrangement.machines > 1 else "on.machine"
    rows += [
        line(machines, value("no_alarm"), "ok", note("self_test")),
        line("on.settings", blank="ok"),
        line("on.output", value("see_acceptance"), "V"),
    ]
    if design.input_plans:
        rows += [
            line("on.plug", blank="ok", note=note("stay_live")),
            line("on.array", value("rises"), "V"),
        ]
    rows.append(line("on.loads", blank="ok", **code_of(design.earth.book).words))
    if design.run("ac_in"):
        if sketch.generator is not None:
            rows.append(line("on.generator", value("transfers"), "V"))
        if sketch.grid.kind != "none":
            rows.append(line("on.grid", value("transfers"), "V"))
        rows.append(line("on.input_last", blank="ok"))
    return part("on", rows, ordered=True)


def switch_off(sketch: Sketch, design: ElectricalDesign) -> Section:
    """From running to dead, and how long to wait before touching."""
    wait = max(WAIT_MIN, sketch.equipment.inverter.wait_after_shutdown_min)
    rows = [line("off.loads", blank="ok", **code_of(design.earth.book).words)]
    if design.run("ac_in"):
        rows.append(line("off.input", blank="ok"))
        if sketch.generator is not None:
            rows.append(line("off.block", blank="ok"))
    rows.append(line("off.output", blank="ok"))
    if design.input_plans:
        rows += [
            line("off.array", blank="ok"),
            line("off.zero", "0 A", "A", note("isolator")),
            line("off.plugs", blank="ok"),
        ]
    rows.append(line("off.machines", blank="ok"))
    if design.bank:
        rows += [
            line("off.bank_zero", "0 A", "A"),
            line("off.bank", blank="ok", note=note("bank_live")),
        ]
    rows += [
        line("off.wait", f"≥ {wait:g} min", "min", note("capacitors"), minutes=wait),
        *proved_dead("off"),
    ]
    return part("off", rows, ordered=True)
