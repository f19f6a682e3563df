"""Buttons that hand out a file, each made when it is asked for."""

from collections.abc import Callable, Sequence

import pandas as pd
import streamlit as st

from offgrid_sizing.report.csv_text import csv_text
from offgrid_sizing.ui.words import language, t
from offgrid_sizing.words import Said, all_to_words

PDF = "application/pdf"
SHEET = "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet"
CSV = "text/csv"


def offer(
    label: str, make: Callable[[], bytes | str], file_name: str, mime: str, key: str, **looks
) -> None:
    """A button for one file; `make` is called when it is pressed, without a page around it.

    A file that waits on the server has an address that dies with the next redrawing; one made
    when asked has none, so no button ever points to a file that is gone.
    """
    st.download_button(
        label,
        make,
        file_name=file_name,
        mime=mime,
        key=key,
        on_click="ignore",
        **({"icon": ":material/download:"} | looks),
    )


def offer_table(
    frame: pd.DataFrame, file_name: str, key: str, cautions: Sequence[Said | str] = ()
) -> None:
    """A table on screen as CSV, the cautions in the reader's language below it."""
    spoken = language()
    offer(
        t("common.download_data"),
        lambda: table_csv(frame, cautions, spoken),
        file_name,
        CSV,
        key,
        type="tertiary",
    )


def table_csv(frame: pd.DataFrame, cautions: Sequence[Said | str], spoken: str) -> bytes:
    """A table as CSV, the cautions in one language in the first column below it."""
    if not cautions:
        return csv_text(frame).encode()
    below = pd.DataFrame({frame.columns[0]: list(all_to_words(cautions, spoken))}).reindex(
        columns=frame.columns
    )
    return (csv_text(frame) + csv_text(below, header=False)).encode()
