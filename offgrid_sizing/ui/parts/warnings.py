"""The electrical cautions that stand on wiring, commissioning and summary."""

from collections.abc import Sequence

import pandas as pd
import streamlit as st

from offgrid_sizing.report.csv_text import csv_text
from offgrid_sizing.ui.words import language, said_here, t
from offgrid_sizing.words import Said, all_to_words


def electrical(rule_book: str) -> None:
    """What kills, who decides, which rules were used, what is not checked."""
    from offgrid_sizing.electrical.cautions import cautions

    first, *rest = cautions(rule_book)
    st.warning(said_here(first), icon=":material/warning:")
    with st.expander(t("wiring.cautions"), icon=":material/warning:"):
        for sentence in rest:
            st.markdown(f"- {said_here(sentence)}")


def with_cautions(frame: pd.DataFrame, sentences: Sequence[Said | str]) -> bytes:
    """A table as CSV, the cautions in the reader's language in the first column below it."""
    below = pd.DataFrame({frame.columns[0]: list(all_to_words(sentences, language()))}).reindex(
        columns=frame.columns
    )
    return (csv_text(frame) + csv_text(below, header=False)).encode()
