"""The commissioning sheet on screen, and the same as files to print."""

import pandas as pd
import streamlit as st

from offgrid_sizing.commissioning import blank_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import answers, files, papers
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import language, t, t_raw

FIRST = "today"


def draw(sheet) -> None:
    """One fold for each part, in the reader's language; today's readings open."""
    sheet = sheet.to(language())
    if sheet.stop:
        st.error(plain(sheet.stop), icon=":material/error:")
    st.markdown(f"**{plain(sheet.today)}**")
    for section in sheet.sections:
        with st.expander(plain(section.title), expanded=section.key == FIRST):
            st.caption(plain(section.lead))
            _rows(section)


def _rows(section) -> None:
    for number, row in enumerate(section.rows, start=1):
        mark = f"{number}." if section.ordered else "–"
        text = f"{mark} {plain(row.what)}"
        if row.expected:
            text += f": **{plain(row.expected)}**"
        if row.blank == "ok":
            text += "  ☐"
        elif row.blank:
            text += f"  \\_\\_\\_\\_\\_\\_ {plain(row.blank)}"
        st.markdown(text)
        if row.note:
            st.caption(plain(row.note))


def downloads(sketch: Sketch, sheet) -> None:
    """Paper, plain text and table; made when they are asked for."""
    from offgrid_sizing.commissioning import sheet_to_text

    found, spoken = answers.outcome(sketch), language()
    if found.value is not None and found.fresh:
        outcome = found.value
        for paper in ("a4", "letter"):
            files.offer(
                t(f"commissioning.paper_{paper}"),
                lambda paper=paper: papers.sheet_pdf(outcome, sheet, paper, spoken),
                f"commissioning-{paper}.pdf",
                files.PDF,
                f"commissioning_{paper}",
                icon=":material/print:",
                width="stretch",
            )
    files.offer(
        t("commissioning.text"),
        lambda: sheet_to_text(sheet, spoken).encode(),
        "commissioning.txt",
        "text/plain",
        "commissioning_text",
        type="tertiary",
    )
    table = _table(sheet)  # its headings want the page around them
    files.offer(
        t("commissioning.table"),
        lambda: files.table_csv(table, sheet.said_first, spoken),
        "commissioning.csv",
        files.CSV,
        "commissioning_table",
        type="tertiary",
    )


def _table(sheet) -> pd.DataFrame:
    sheet = sheet.to(language())
    head = [t_raw(f"commissioning.col_{name}") for name in ("part", "what", "expected", "read")]
    rows = [
        (section.title, row.what, row.expected, blank_of(row.blank))
        for section in sheet.sections
        for row in section.rows
    ]
    return pd.DataFrame(rows, columns=head)
