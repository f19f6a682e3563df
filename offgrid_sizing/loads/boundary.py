"""The boundary: which appliances stand behind the inverter-chargers, and which on the grid alone.

The protected board is fed by the inverter-chargers and carried by the bank in a cut; the
unprotected supply is the grid's own board, upstream of them, and goes dark with the grid.
"""

from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.sketch import Appliance, BadInput, Sketch
from offgrid_sizing.words import sentence


def unprotected_peak(sketch: Sketch) -> Peak | None:
    """The peak of the unprotected supply; None where nothing stands there."""
    return peak_of(sketch, "unprotected") if sketch.loads.unprotected else None


def import_left_w(sketch: Sketch) -> float:
    """What the grid's limit leaves for the inverter-chargers beside the unprotected supply. [W]

    The limit is one number for the whole year in the energy balance, so that all that may run
    together on the unprotected supply is taken off at once: the safe side.
    """
    peak = unprotected_peak(sketch)
    if peak is None:
        return sketch.grid.import_limit_w
    return max(sketch.grid.import_limit_w - peak.running_w, 0.0)


def check_boundary(sketch: Sketch) -> None:
    """Refuse a boundary that nothing could be computed of.

    Raises
    ------
    BadInput
        Appliances on the unprotected supply without a grid, or with a meter's file that cannot be
        told apart by board; nothing at all on the protected board.
    """
    loads = sketch.loads
    if not loads.unprotected:
        return
    faults = []
    names = tuple(one.name for one in loads.unprotected)
    if sketch.grid.kind == "none":
        faults.append(sentence("household.boundary.no_grid", names=names))
    if loads.metered is not None and loads.metered.use != "scale_appliances":
        faults.append(sentence("household.boundary.metered", names=names))
    if not loads.protected:
        faults.append(sentence("household.boundary.nothing_protected"))
    if faults:
        raise BadInput(*faults)


def everything_protected(sketch: Sketch) -> Sketch:
    """The sketch with every appliance on the protected board: no boundary."""
    return _with_boards(sketch, lambda appliance: True)


def only_critical_protected(sketch: Sketch) -> Sketch:
    """The sketch with what is critical on the protected board and all else on the grid alone."""
    return _with_boards(sketch, lambda appliance: appliance.critical)


def _with_boards(sketch: Sketch, protected) -> Sketch:
    def standing(one: Appliance) -> Appliance:
        board = "protected" if protected(one) else "unprotected"
        return one.model_copy(update={"board": board})

    appliances = tuple(standing(one) for one in sketch.loads.appliances)
    loads = sketch.loads.model_copy(update={"appliances": appliances})
    return sketch.model_copy(update={"loads": loads})
