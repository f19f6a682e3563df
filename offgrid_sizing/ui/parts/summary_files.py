"""Papers and files to hand over, made when they are asked for; links to share."""

import streamlit as st

from offgrid_sizing.sketch import BadInput, Sketch, sketch_to_json
from offgrid_sizing.store import Opened, clean_name
from offgrid_sizing.ui import answers, cached, files, navigation, papers, state
from offgrid_sizing.ui.words import language, t


def draw(sketch: Sketch, outcome) -> None:
    """One button for each file."""
    search = answers.search(sketch)
    full = papers.with_search(outcome, search.value.result if search.fresh else None)
    name = clean_name(sketch.title) or "sketch"
    st.markdown(f"**{t('summary.files')}**")
    token, spoken = mark_of(state.opened()), language()
    for paper in ("a4", "letter"):
        _button(
            f"pdf_{paper}",
            lambda paper=paper: papers.paper(full, paper, token, spoken),
            f"{name}-{paper}.pdf",
            files.PDF,
            primary=paper == "a4",
        )
    beside = _beside(search)
    for paper in ("a4", "letter"):
        _button(
            f"offer_{paper}",
            lambda paper=paper: papers.offer(full, beside, paper, token, spoken),
            f"{name}-offer-{paper}.pdf",
            files.PDF,
        )
    for paper in ("a4", "letter"):
        _button(
            f"owner_{paper}",
            lambda paper=paper: papers.owner(full, paper, token, spoken),
            f"{name}-household-{paper}.pdf",
            files.PDF,
        )
    if full.design is not None:
        for paper in ("a4", "letter"):
            _button(
                f"crew_{paper}",
                lambda paper=paper: papers.crew(full, paper, token, spoken),
                f"{name}-crew-{paper}.pdf",
                files.PDF,
            )
    _button("workbook", lambda: papers.workbook(full, token, spoken), f"{name}.xlsx", files.SHEET)
    _button("hourly", lambda: papers.hourly_csv(full), f"{name}-hourly.csv", files.CSV)
    _button("sketch", lambda: sketch_to_json(sketch).encode(), f"{name}.json", "application/json")
    st.caption(t("summary.files_note"))


def _beside(search):
    """Other systems beside the drawn one where the page "Size" has found them already, else None.

    Of a search that met no target its best is no alternative: the offer says so instead.
    """
    if not search.fresh or not search.value.result.met:
        return None
    ready = cached.finished("offers", answers.named_alike(search.value.sketch))
    return None if isinstance(ready, BadInput) else ready


def mark_of(held: Opened) -> str | None:
    """What papers call this sketch: its reading address; they go to people who may not edit it.

    None while nothing is saved: the papers then carry a fingerprint of the sketch itself.
    """
    return held.share_token if held.may_edit else held.token


def _button(key: str, make, file_name: str, mime: str, *, primary: bool = False) -> None:
    files.offer(
        t(f"summary.file_{key}"),
        make,
        file_name,
        mime,
        f"summary_{key}",
        icon=":material/description:",
        width="stretch",
        type="primary" if primary else "secondary",
    )


def links() -> None:
    """The addresses to share, when the sketch is saved."""
    st.markdown(f"**{t('summary.links')}**")
    held = state.opened()
    if not held.token:
        st.caption(t("summary.links_after"))
        return
    base = (st.context.url or "").split("?")[0]
    if held.may_edit:
        st.caption(t("saved.share_read"))
        st.code(f"{base}?sketch={held.share_token}", language=None, wrap_lines=True)
        st.caption(t("saved.share_edit"))
    st.code(f"{base}?sketch={held.token}", language=None, wrap_lines=True)
    navigation.link("saved")
