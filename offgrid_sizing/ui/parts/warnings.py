"""The electrical cautions that stand on wiring, commissioning and summary."""

import pandas as pd
import streamlit as st

from offgrid_sizing.report.csv_text import csv_text
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import t


def electrical(rule_book: str) -> None:
    """What kills, who decides, which rules were used, what is not checked."""
    from offgrid_sizing.electrical.cautions import cautions

    _first, *rest = cautions(rule_book)
    st.warning(
        t("wiring.not_a_permit"), icon=":material/warning:"
    )  # the first one, in each language
    with st.expander(t("wiring.cautions"), icon=":material/warning:"):
        for sentence in rest:
            st.markdown(f"- {plain(sentence)}")


def with_cautions(frame: pd.DataFrame, sentences: tuple[str, ...]) -> bytes:
    """A table as CSV, the cautions in the first column below it."""
    below = pd.DataFrame({frame.columns[0]: list(sentences)}).reindex(columns=frame.columns)
    return (csv_text(frame) + csv_text(below, header=False)).encode()
