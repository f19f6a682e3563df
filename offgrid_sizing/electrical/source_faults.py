"""What a source or a shared conductor breaks that no single run shows."""

from __future__ import annotations

from collections.abc import Sequence

from offgrid_sizing.electrical.arrangement import ArrangementPlan
from offgrid_sizing.electrical.bank import CASES, BankWiring
from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.electrical.source_device import Feed
from offgrid_sizing.electrical.sources import Sized, Source
from offgrid_sizing.electrical.unit_limits import fuse_faults
from offgrid_sizing.words import Sentence, said, sentence

_ASKED = {"grid": "grid.prospective_short_circuit_ka", "generator": "generator.short_circuit_a"}


def source_faults(
    runs: Sequence[Sized],
    bank: BankWiring | None,
    plan: ArrangementPlan,
    found: Sequence[Feed],
) -> tuple[Sentence, ...]:
    """Sources without a device that protects them, a unit's fuse that opens, a neutral too thin.

    Parameters
    ----------
    runs : sequence of (RunNeed, Choice)
        In the rule book shown.
    bank : BankWiring or None
    plan : ArrangementPlan
    found : sequence of Feed
    """
    by_key = {need.key: (need, choice) for need, choice in runs}
    faults = [fault for feed in found for fault in feed.faults]
    if bank is not None:
        _, lead = by_key["unit_lead"]
        code = code_of(lead.book)
        worst_a = max(bank.worst_lasting_a(case) for case in CASES)
        faults += fuse_faults(worst_a, bank.sharing.worst_unit, lead.device, code)
    common = by_key.get("ac_out_common")
    if common is not None:
        faults += neutral_faults(plan, common)
    return tuple(faults)


def neutral_faults(plan: ArrangementPlan, common: Sized) -> list[Sentence]:
    """A sentence where the common neutral may carry more than it bears, unseen by the devices.

    Notes
    -----
    No device watches the neutral. In split phase it never carries more than the fuller line; on
    three phases loads of unlike power factor can put more into it than into any line, by the ratio
    of the two worst cases, while every line's device holds.
    """
    lines_a = [
        sum(one.va for one in plan.legs.placed if one.line == line) / plan.line_v
        for line in plan.lines
    ]
    line_a, device = max(lines_a), common[1].device
    if line_a <= 0 or device is None:
        return []
    held = min(1.0, device.rating_a / line_a)  # the line's device stops more than its rating
    worst_a = plan.legs.neutral_worst_a * held
    bears_a = common[1].judged.usable_a
    if worst_a <= bears_a * (1 + 1e-9):
        return []
    return [
        sentence(
            "sources.neutral",
            worst_a=round(worst_a, 1),
            bears_a=round(bears_a, 1),
            size=common[1].label,
            rule=code_of(common[1].book).limits.neutral,
        )
    ]


def connection_advice(found: Sequence[Feed]) -> tuple[Sentence, ...]:
    """Where all that may run on the unprotected supply is more than the connection gives.

    Advice, not a fault: all appliances whose hours allow it are added, as they seldom run.
    """
    return tuple(
        sentence(
            "sources.unprotected_above",
            beside_a=round(feed.beside_a, 1),
            lasting_a=round(feed.lasting_a, 1),
        )
        for feed in found
        if feed.beside_a > feed.lasting_a * (1 + 1e-9)
    )


def source_advice(sources: Sequence[Source]) -> tuple[Sentence, ...]:
    """What is not known of grid and generator and has to be asked."""
    return tuple(
        sentence(f"sources.ask.{one.kind}", field=said(f"fields.{_ASKED[one.kind]}"))
        for one in sources
        if one.kind in _ASKED and not one.limit_known
    )
