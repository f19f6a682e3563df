"""The parts `inspection`, `earthing` and `clearance` of `summary.json`'s `electrical`."""

from __future__ import annotations

from offgrid_sizing.electrical.design import ElectricalDesign


def inspection_part(design: ElectricalDesign) -> dict:
    """Every row with its state; `answered_by` names fields of the sketch."""
    return {
        "sentence": str(design.inspection.sentence),
        "questions": design.inspection.questions,
        "rows": [
            {
                "key": row.key,
                "name": str(row.title),
                "state": row.state,
                "sentence": str(row.said),
                "clauses": row.clauses,
                "answered_by": row.fields,
            }
            for row in design.inspection.rows
        ],
    }


def earthing_part(design: ElectricalDesign) -> dict:
    """Bonds of each state, the changeover, what is bonded."""
    earthing = design.earthing
    switch = earthing.changeover
    return {
        "states": [
            {
                "state": state.key,
                "system": earthing.systems[state.key],
                "bonds_at_least": state.least,
                "bonds_at_most": state.most,
                "joined_at": state.places,
                "verdict": state.verdict,
            }
            for state in earthing.states
        ],
        "changeover_poles": switch.poles if switch else None,
        "changeover_switches_neutral": switch.neutral if switch else None,
        "changeover_rating_a": switch.rating_a if switch else None,
        "bonded": [
            {"what": one.key, "run": one.run, "conductor": one.label} for one in earthing.bonded
        ],
    }


def heating_part(design: ElectricalDesign) -> list[dict]:
    """Each circuit's conductor in a short circuit; a null time of the device is not known."""
    return [
        {
            "run": one.run,
            "prospective_fault_a": one.fault_a,
            "conductor_bears_a2s": one.bears_a2s,
            "conductor_bears_s": one.bears_s,
            "device_opens_within_s": one.within_s,
            "verdict": one.verdict,
        }
        for one in design.inspection.heated
    ]


def clearance_part(design: ElectricalDesign) -> dict:
    """Each circuit in each state; a null fault current is not known."""
    clearance = design.clearance
    return {
        "residual_device_ma": clearance.residual_ma or None,
        "residual_devices_at": clearance.residual_at,
        "residual_device_type": clearance.residual_type,
        "circuits": [
            {
                "run": one.run,
                "fed_by": one.feeder,
                "fault_a": one.fault_a,
                "opens_at_once_from_a": one.trip_a,
                "verdict": one.verdict,
            }
            for one in clearance.circuits
        ],
    }
