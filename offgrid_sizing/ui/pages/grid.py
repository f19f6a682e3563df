"""What else feeds the home, and which charge priority rules."""

import streamlit as st

from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import cautions, layout, state
from offgrid_sizing.ui.parts import grid_generator, grid_supply, grid_tariff, strategy_numbers
from offgrid_sizing.ui.words import t

SECTIONS = {
    "supply": grid_supply.draw,
    "tariff": grid_tariff.draw,
    "generator": grid_generator.draw,
    "strategy": strategy_numbers.draw,
}


def draw() -> None:
    """Grid, generator and priority in one sentence, then their numbers."""
    sketch = state.sketch()
    st.title(t("grid.title"))
    layout.answer(_sentence(sketch))
    SECTIONS[layout.sections("grid", tuple(SECTIONS))](sketch)
    cautions.foot()


def _sentence(sketch: Sketch) -> str:
    machine = "with" if sketch.generator else "without"
    return t(
        "grid.answer",
        grid=t(f"grid.kind.{sketch.grid.kind}"),
        generator=t(f"grid.generator.{machine}"),
        strategy=t(PRIORITIES[sketch.strategy.kind].key("clause")),
    )
