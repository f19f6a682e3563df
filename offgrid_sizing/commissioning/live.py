"""Live tests, one source at a time, and the labels that must hang before anybody leaves."""

from offgrid_sizing.commissioning.assembly import part
from offgrid_sizing.commissioning.dead import proved_dead
from offgrid_sizing.commissioning.layout import HABIT, Row, Section, Words, line, note, value
from offgrid_sizing.commissioning.manual import BLANK
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.labels import labels_of
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.site_rules import ResidualTest, site_rules
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.words import said


def states(sketch: Sketch) -> list[str]:
    """What may feed the home, each by itself."""
    fed = ["generator"] if sketch.generator is not None else []
    fed += ["grid"] if sketch.grid.kind != "none" else []
    return ["inverter", *fed]


def live(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Loop, residual devices, neutral bond in every state, phase sequence, and no backfeed."""
    rows: list[Row] = []
    for state in states(sketch):
        name = said(f"sheet.state.{state}")
        weak = note("weak") if state == "inverter" else note("loop")
        rows += [
            line("live.bond", value("one_bond"), "ok", note("bond"), state=name),
            line("live.neutral", value("below", value=2, unit="V"), "V", HABIT, state=name),
            line("live.loop", f"{BLANK} Ω", "Ω", weak, state=name),
        ]
    tests = site_rules(code_of(design.rule_book)).residual
    rows += [_residual(test) for test in tests] or [_residual_by_local_code()]
    if code_of(design.rule_book).inspection.clearance.residual_ma:
        rows.append(_residual_type(sketch.equipment.inverter.residual_type))
    if len(design.arrangement.lines) == 3:
        rows += [
            line("live.sequence", "L1-L2-L3", "ok", HABIT, state=said(f"sheet.state.{state}"))
            for state in states(sketch)
        ]
    if design.run("ac_in"):
        rows.append(line("live.open_input", blank="ok"))
        if sketch.generator is not None:
            rows.append(line("live.unplug", blank="ok"))
        rows += proved_dead("live", note("backfeed"))
    rows.append(line("live.surge", blank="ok"))
    if design.designations.get("insulation_monitor"):
        rows.append(line("live.monitor", value("reports"), "ok", HABIT))
    return part("live", rows, ordered=True)


def _residual(test: ResidualTest) -> Row:
    expect = f"≤ {test.within_ms:g} ms" if test.within_ms else value(f"residual_{test.key}")
    current: Words = ""
    if test.rated_times:
        current = value("times_rated", times=test.rated_times)
    elif test.test_ma:
        current = value("milliamperes", current_ma=test.test_ma)
    blank = "ms" if test.within_ms else "ok"
    return line(
        f"live.residual_{test.key}",
        expect,
        blank,
        note("source", source=test.source),
        current=current,
    )


def _residual_by_local_code() -> Row:
    return line("live.residual", f"{BLANK} ms", "ms", note("local"))


def _residual_type(kind: str) -> Row:
    """The type the machines' manual names, which the device's own plate must show."""
    known = kind != "unknown"
    expect: Words = said(f"choices.residual_type.{kind}") if known else BLANK
    return line("live.residual_type", expect, "ok", note("typed" if known else "manual"))


def labels(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Each label in its place; the printed sheet of labels carries their values."""
    rows = [
        Row(label.title, label.place, "ok", note("source", source=label.clause))
        for label in labels_of(sketch, design)
    ]
    return part("labels", rows or [line("labels.none", blank="ok", note=note("local"))])
