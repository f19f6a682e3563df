"""The electrical cautions that stand on wiring, commissioning and summary."""

import streamlit as st

from offgrid_sizing.ui.words import said_here, t


def electrical(rule_book: str) -> None:
    """What kills, who decides, which rules were used, what is not checked."""
    from offgrid_sizing.electrical.cautions import cautions

    first, *rest = cautions(rule_book)
    st.warning(said_here(first), icon=":material/warning:")
    with st.expander(t("wiring.cautions"), icon=":material/warning:"):
        for sentence in rest:
            st.markdown(f"- {said_here(sentence)}")
