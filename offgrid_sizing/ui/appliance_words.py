"""Names of catalogue appliances and preset households in the session's language."""

from collections.abc import Iterable

from offgrid_sizing.loads.catalogue import Kind, all_kinds
from offgrid_sizing.sketch import Appliance, Sketch
from offgrid_sizing.ui.words import t_raw


def kind_name(row: Kind) -> str:
    """The appliance's name."""
    return t_raw(f"appliances.kind.{row.kind}")


def other_names(row: Kind) -> str:
    """Other words people search it by."""
    return t_raw(f"appliances.also.{row.kind}")


def category_name(category: str) -> str:
    """A category of the catalogue, or "everything" for the empty one."""
    if not category:
        return t_raw("loads.table.all_categories")
    return t_raw(f"appliances.category.{category.lower().replace(' ', '_')}")


def household_title(name: str) -> str:
    """The title of a preset household."""
    return t_raw(f"appliances.household.{name}")


def household_text(name: str) -> str:
    """What a preset household holds."""
    return t_raw(f"appliances.household_text.{name}")


def named(appliances: Iterable[Appliance]) -> tuple[Appliance, ...]:
    """The appliances, those that bear their catalogue name under its name in this language."""
    rows = {row.kind: row for row in all_kinds()}
    return tuple(
        one.model_copy(update={"name": kind_name(rows[one.kind])})
        if one.kind in rows and one.name == rows[one.kind].name
        else one
        for one in appliances
    )


def with_names(sketch: Sketch) -> Sketch:
    """The sketch with its appliances `named`."""
    loads = sketch.loads.model_copy(update={"appliances": named(sketch.loads.appliances)})
    return sketch.model_copy(update={"loads": loads})
