"""What to buy, in generic terms."""

import pandas as pd
import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import files
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import has, t, t_raw


def draw(sketch: Sketch, design) -> None:
    """The bill of materials as a table and a file."""
    frame = pd.DataFrame(
        [
            {
                t_raw("wiring.bill_count"): item.quantity,
                t_raw("wiring.bill_unit"): _unit(item.unit),
                t_raw("wiring.bill_item"): here(item.item),
                t_raw("wiring.bill_bears"): here(item.must_bear),
                t_raw("designations.col.mark"): item.designation,
            }
            for item in design.bill_of_materials
        ]
    )
    widths = {"count": 78, "unit": 62, "item": 300, "bears": 445}
    st.dataframe(
        frame,
        hide_index=True,
        height="content",
        alt=t_raw("wiring.section.bill"),
        column_config={
            t_raw(f"wiring.bill_{name}"): st.column_config.Column(width=width)
            for name, width in widths.items()
        },
    )
    files.offer_table(frame, "materials.csv", "wiring_bill_data", design.cautions)
    st.caption(t("wiring.bill_note"))


def _unit(unit: str) -> str:
    key = f"wiring.unit_{unit}"
    return t_raw(key) if has(key) else unit
