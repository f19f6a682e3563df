"""A data-sheet curve as one line of text: pairs of numbers, `0.5 5000; 0.8 2500`."""

import re

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui import state
from offgrid_sizing.ui.fields import value_at, with_value
from offgrid_sizing.ui.widgets import help_of, label_of
from offgrid_sizing.ui.words import t, t_raw
from offgrid_sizing.units import PLAIN, Unit, field_figure, unit_of


def written(points: tuple[tuple[float, float], ...], across: Unit = PLAIN) -> str:
    """Points as text, the first of each pair in the unit `across`.

    >>> written(((0.5, 5000), (0.8, 2500)))
    '0.5 5000; 0.8 2500'
    """
    return "; ".join(f"{field_figure(x, across):g} {y:g}" for x, y in points)


def read(text: str, across: Unit = PLAIN) -> tuple[tuple[float, float], ...]:
    """Text as points, the first of each pair in the unit `across`.

    Commas, colons and brackets may stand between the two numbers; a comma may be a decimal mark.

    >>> read("(0.5: 5000); 0.8, 2500")
    ((0.5, 5000.0), (0.8, 2500.0))
    >>> read("0,5 5000; 1,25: 60,5; 2,60")
    ((0.5, 5000.0), (1.25, 60.5), (2.0, 60.0))
    """
    points = []
    for piece in filter(str.strip, text.split(";")):
        pairs = (found for mark in (r"[.,]", r"\.") if len(found := _numbers(piece, mark)) == 2)
        pair = next(pairs, None)
        if pair is None:
            raise BadInput(t_raw("curves.pair", piece=piece.strip()[:40]))
        x, y = pair
        points.append((float(f"{across.entered(x):.12g}"), y))
    return tuple(points)


def _numbers(piece: str, mark: str) -> list[float]:
    """All numbers of a text, with this as decimal mark."""
    found = re.findall(rf"[-−+]?\d+(?:{mark}\d+)?(?:[eE][-+]?\d+)?", piece)
    return [float(number.replace("−", "-").replace(",", ".")) for number in found]


def curve_text(path: str, across: str = "") -> None:
    """A text field bound to a curve of the sketch; what is refused stays typed, with its reason.

    `across` names what the first of each pair is, such as `cell_c`, where it is no mere share.
    """
    unit = unit_of(across, state.reader())
    key = f"curve:{path}"
    value = value_at(state.sketch(), path)
    mark = (state.opened().token, value, unit)
    if st.session_state.get(f"{key}_of") != mark or key not in st.session_state:
        st.session_state[key] = written(value, unit)
        st.session_state[f"{key}_of"] = mark
        st.session_state[f"{key}_fault"] = ()
    st.text_input(
        label_of(path, unit=False),
        st.session_state[key],
        key=key,
        help=help_of(path),
        on_change=_commit,
        args=(path, key, unit),
        disabled=not state.may_edit(),
        max_chars=2000,
    )
    for sentence in st.session_state.get(f"{key}_fault", ()):
        st.error(t("common.refused", reason=sentence), icon=":material/edit:")


def _commit(path: str, key: str, across: Unit) -> None:
    try:
        new = with_value(state.sketch(), path, read(st.session_state[key], across))
    except BadInput as fault:
        st.session_state[f"{key}_fault"] = fault.sentences
        return
    st.session_state[f"{key}_fault"] = ()
    if state.edit(new, note=path):
        st.session_state.pop(f"{key}_of", None)
