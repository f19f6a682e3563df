"""The parts of the crew's pack: where to begin, cables, ends, labels, settings, signatures."""

from __future__ import annotations

from functools import partial

from offgrid_sizing.commissioning import Sheet
from offgrid_sizing.drawings import Drawing, design_drawings, to_svg
from offgrid_sizing.electrical.cable_schedule import cable_schedule
from offgrid_sizing.electrical.design import ElectricalDesign
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.labels import labels_of
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.report.charts_svg import Figure
from offgrid_sizing.report.model import Block, Cell, Notes, Section, Table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.system import System
from offgrid_sizing.words import Said, Sentence, sentence
from offgrid_sizing.words.spoken import spoken

BLANK = "__________"
_NEVER = ("array", "bank", "alone", "polarity", "spares", "licence")
_WEAR = ("volts", "arc", "height", "lift", "acid")
_SIGNED = ("dead", "live", "settings", "handover")
# Lines of the bill that are fitted to ends of conductors.
_ENDS = tuple(f"bill.item.{name}" for name in ("connector", "lug", "ferrule", "earth_end"))
_CABLE_WIDTHS = (10, 24, 10, 10, 7, 12, 10, 9, 14)
_SETTING_WIDTHS = (34, 30, 12, 12, 12)


def _heads(table: str, *names: str) -> tuple[Sentence, ...]:
    return tuple(sentence(f"crew.{table}.{name}") for name in names)


def begin_section(sketch: Sketch, design: ElectricalDesign, sheet: Sheet, language: str) -> Section:
    """What is built, in which order, with what on, and what nobody does."""
    words = code_of(design.rule_book).words
    vented = design.inspection.clearance is not None and _vented(sketch)
    wear = tuple(one for one in _WEAR if one != "acid" or vented)
    blocks: list[Block] = []
    if design.faults:
        blocks.append(Notes(sentence("crew.mend"), design.faults))
    blocks += [
        Table(
            sentence("crew.system.title"),
            _heads("system", "what", "count", "mark"),
            _boxes(sketch, design),
            widths=(46, 18, 36),
        ),
        _order(sheet, language),
        Notes(sentence("crew.never.title"), tuple(sentence(f"crew.never.{one}") for one in _NEVER)),
        Notes(sentence("crew.wear.title"), tuple(sentence(f"crew.wear.{one}") for one in wear)),
    ]
    said_of = sentence("crew.begin_sentence", code=design.rule_book_name)
    return spoken(Section("crew", sentence("crew.begin"), said_of, tuple(blocks)), words)


def _vented(sketch: Sketch) -> bool:
    from offgrid_sizing.chemistry import CHEMISTRIES

    return CHEMISTRIES[sketch.equipment.battery.chemistry].vented


def _order(sheet: Sheet, language: str) -> Table:
    """The sheet's order of work, with a box to tick."""
    part = sheet.to(language).section("order")
    rows = tuple((f"{number}. {row.what}", "☐") for number, row in enumerate(part.rows, start=1))
    return Table(sentence("crew.order.title"), _heads("order", "step", "done"), rows,
                 widths=(90, 10))  # fmt: skip


def _boxes(sketch: Sketch, design: ElectricalDesign) -> tuple[tuple[Cell, ...], ...]:
    kit, marks, system = sketch.equipment, design.designations, design.system
    arrays = ", ".join(one.label for one in marks if one.key.startswith("array."))
    rows = [
        (sentence("crew.system.modules", power_w=kit.module.power_w), system.modules, arrays),
        (
            sentence(
                "crew.system.units",
                volts=kit.battery.nominal_v,
                capacity_ah=kit.battery.capacity_ah,
            ),
            system.units,
            marks.label("unit"),
        ),
        (
            sentence(
                "crew.system.machines", va=kit.inverter.rated_va, plan=design.arrangement.name
            ),
            system.inverters,
            marks.label("machine"),
        ),
    ]
    if sketch.generator is not None:
        rows.append(
            (
                sentence("crew.system.generator", power_w=sketch.generator.rated_w),
                1,
                marks.label("generator"),
            )
        )
    return tuple(row for row in rows if row[1])


def drawings_section(sketch: Sketch, system: System, design: ElectricalDesign) -> Section:
    """The single-line diagram, then every drawing to scale and the connections, a page each."""
    line = Figure(
        "diagram",
        sentence("crew.drawings.single"),
        sentence("crew.drawings.alt", title=sentence("crew.drawings.single")),
        partial(_single, sketch, system, design),
    )
    pages = tuple(_page(one) for one in design_drawings(sketch, design))
    return Section(
        "drawings", sentence("crew.drawings.title"), sentence("crew.drawings.lead"), (line, *pages)
    )


def _key(words: str) -> str:
    """The catalogue's key of a sentence; empty for other texts."""
    origin = words.origin if isinstance(words, Sentence) else None
    return origin.key if isinstance(origin, Said) else ""


def _single(sketch: Sketch, system: System, design: ElectricalDesign, language: str) -> str:
    return single_line_svg(sketch, system, design, language)


def _page(drawing: Drawing) -> Figure:
    title = Sentence(drawing.title)
    alt = sentence("crew.drawings.alt", title=title)
    return Figure(f"drawing_{drawing.key}", title, alt, partial(to_svg, drawing))


def cables_section(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Every cable with its ends, and every conductor end to fit."""
    rows = tuple(
        (
            one.mark,
            one.what,
            one.begins,
            one.ends,
            one.count,
            sentence("crew.cables.each", count=one.conductors, size=one.size),
            one.length_m,
            one.total_m,
            one.devices or "–",
        )
        for one in cable_schedule(sketch, design)
    )
    names = ("mark", "what", "begins", "ends", "count", "size", "length", "total", "devices")
    cables = Table(
        sentence("crew.cables.title"), _heads("cables", *names), rows,
        sentence("crew.cables.note"), widths=_CABLE_WIDTHS,
    )  # fmt: skip
    colours = Table(
        sentence("crew.colours.title"),
        _heads("colours", "mark", "colours", "way"),
        tuple((one.mark, one.colours, one.way) for one in cable_schedule(sketch, design)),
        sentence("crew.colours.note", rule=code_of(design.rule_book).conductor_colours.rule),
        widths=(16, 52, 32),
    )
    ends = Table(
        sentence("crew.ends.title"),
        _heads("ends", "what", "count", "at", "torque"),
        tuple(
            (one.item, one.quantity, one.must_bear, BLANK)
            for one in design.bill_of_materials
            if _key(one.item) in _ENDS
        ),
        sentence("crew.ends.note"),
        widths=(30, 9, 43, 18),
    )
    lead = sentence("crew.cables.lead")
    return Section("cables", sentence("crew.cables.section"), lead, (cables, colours, ends))


def labels_section(sketch: Sketch, design: ElectricalDesign) -> Section:
    """Which labels hang where; their own pages print them."""
    rows = tuple(
        (number, Sentence(one.title), Sentence(one.place), one.devices or "–", "☐")
        for number, one in enumerate(labels_of(sketch, design), start=1)
    )
    table = Table(
        "", _heads("labels", "number", "title", "place", "devices", "hung"), rows,
        widths=(6, 32, 34, 20, 8),
    )  # fmt: skip
    return Section(
        "labels", sentence("crew.labels.section"), sentence("crew.labels.lead"), (table,)
    )


def settings_section(sheet: Sheet, language: str) -> Section:
    """What is keyed in, with room for the machine's own number of the setting and for initials."""
    part = sheet.to(language).section("settings")
    rows = tuple((str(row.what), str(row.expected), BLANK, BLANK, BLANK) for row in part.rows)
    heads = _heads("settings", "what", "value", "menu", "read", "by")
    table = Table("", heads, (*rows, *_of_manuals()), widths=_SETTING_WIDTHS)
    return Section(
        "settings", sentence("crew.settings.section"), sentence("crew.settings.lead"), (table,)
    )


def _of_manuals() -> tuple[tuple[Cell, ...], ...]:
    """Settings that only the manuals of unit and machine know: both must agree."""
    names = ("float", "reconnect", "protocol", "grid_current")
    return tuple(
        (sentence(f"crew.settings.{one}"), sentence("crew.settings.manuals"), BLANK, BLANK, BLANK)
        for one in names
    )


def signed_section() -> Section:
    """Who vouches for what, with room for name, licence, date and signature."""
    rows = tuple((sentence(f"crew.signed.{one}"), BLANK, BLANK, BLANK, BLANK) for one in _SIGNED)
    heads = _heads("signed", "what", "name", "licence", "date", "signature")
    table = Table("", heads, rows, widths=(34, 20, 16, 12, 18))
    return Section(
        "signed", sentence("crew.signed.section"), sentence("crew.signed.lead"), (table,)
    )
