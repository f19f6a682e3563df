"""The line of steps from place to summary: what each decides, and what in it is still assumed."""

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import navigation
from offgrid_sizing.ui.fields import value_at
from offgrid_sizing.ui.widgets import label_of
from offgrid_sizing.ui.words import has, t

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
    head, _, name = path.rpartition(".")
    part = value_at(sketch, head)
    if part is None:
        return False
    default = type(part).model_fields[name].get_default(call_default_factory=True)
    return getattr(part, name) == default


def line(sketch: Sketch) -> None:
    """Every step as a card: its page, what it decides, what is still ours."""
    names = [step.name for step in navigation.STEPS if has(f"steps.{step.name}")]
    for start in range(0, len(names), 4):
        for column, name in zip(st.columns(4), names[start : start + 4], strict=False):
            with column, st.container(border=True):
                navigation.link(name)
                st.caption(t(f"steps.{name}"))
                ours = assumed(sketch, name)
                if ours:
                    labels = ", ".join(label_of(path, unit=False) for path in ours)
                    st.caption(t("steps.assumed", fields=labels))


def onward(name: str) -> None:
    """At a page's end: the next step."""
    names = [step.name for step in navigation.STEPS]
    after = names[names.index(name) + 1 :]
    following = next((other for other in after if has(f"steps.{other}")), None)
    if following is not None:
        navigation.link(following, t("steps.next", page=t(f"{following}.nav")))
