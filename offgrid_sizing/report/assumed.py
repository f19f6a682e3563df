"""What in a sketch still holds our own default, and so is an assumption to confirm."""

from typing import Any

from offgrid_sizing.sketch import Sketch

# Fields whose default is ours: as long as they hold it, the step rests on an assumption.
ASSUMED = {
    "site": ("site.elevation_m", "site.albedo", "weather.record_low_c", "weather.source"),
    "loads": ("loads.variability.day_sd_frac", "loads.room_temperature_c"),
    "equipment": (
        "equipment.module.name",
        "equipment.battery.name",
        "equipment.inverter.name",
        "equipment.losses.soiling_frac",
        "equipment.bank_place.kind",
    ),
    "grid": ("grid.kind", "strategy.hold_soc_frac"),
    "sizing": ("targets.days_of_autonomy", "targets.max_unserved_frac", "targets.load_class"),
    "wiring": (
        "wiring.rule_book",
        "wiring.ambient_c",
        "wiring.string.length_m",
        "wiring.bank_to_inverter.length_m",
    ),
    "money": ("prices.as_of", "prices.discount_rate_frac", "prices.unserved_per_kwh"),
}


def assumed(sketch: Sketch, step: str) -> tuple[str, ...]:
    """Paths of a step's fields that still hold the default."""
    return tuple(path for path in ASSUMED.get(step, ()) if _is_default(sketch, path))


def _is_default(sketch: Sketch, path: str) -> bool:
    *heads, name = path.split(".")
    part: Any = sketch
    for head in heads:
        part = getattr(part, head)
    default = type(part).model_fields[name].get_default(call_default_factory=True)
    return getattr(part, name) == default
