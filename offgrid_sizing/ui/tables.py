"""Tables of a sketch that are edited in place: appliances, roof planes, tariff bands, months.

The editor is given a *seed* that stays the same while it is alive, and its edits are applied to
the seed each time: feeding the result back as input would lose every second edit.
"""

from typing import Any

import pandas as pd
import streamlit as st
from pydantic import BaseModel, ValidationError

from offgrid_sizing.sketch import SketchError, sentence_of
from offgrid_sizing.ui import fields, prefs, state
from offgrid_sizing.ui.widgets import help_of, label_of, option_label
from offgrid_sizing.ui.words import has, t
from offgrid_sizing.units import field_figure, unit_of

_SEEDS = "offgrid_seeds"
_EMPTY = "–"


def rows(
    path: str,
    model: type[BaseModel],
    columns: tuple[str, ...],
    *,
    dynamic: bool = True,
    height: int | str = "auto",
) -> None:
    """Edit a tuple of parts (`loads.appliances`) as a table of some of their columns.

    Fields without a column keep their values. A new row takes defaults for what is left empty and
    waits, said beneath the table, until what it must have is filled in.

    Parameters
    ----------
    path : str
        Where the tuple stands in the sketch.
    model : model class
        What one row is.
    columns : tuple of str
        Its number, text, choice and yes-or-no fields, in order.
    """
    seed = _seed(path)
    frame = pd.DataFrame(
        [{name: _shown(getattr(part, name), name) for name in columns} for part in seed["parts"]],
        columns=list(columns),
    ).astype({name: _dtype(model, name) for name in columns})
    st.data_editor(
        frame,
        key=seed["key"],
        num_rows="dynamic" if dynamic and state.may_edit() else "fixed",
        column_config={name: _column(path, model, name) for name in columns},
        hide_index=True,
        height=height,
        disabled=not state.may_edit(),
        on_change=_commit_rows,
        args=(path, model, columns),
        placeholder=_EMPTY,
        alt=label_of(path, unit=False),
    )
    for sentence in seed["refused"]:
        st.error(t("common.refused", reason=sentence), icon=":material/edit:")
    for number, missing in seed["waiting"]:
        names = ", ".join(label_of(f"{path}.{name}", unit=False) for name in missing)
        st.caption(t("common.row_waits", number=number, fields=names))


def twelve(path: str, *, start: tuple[float, ...] | None = None) -> None:
    """Edit twelve monthly values (January to December); `start` fills the table where empty."""
    seed = _seed(path)
    values = seed["parts"] or start or (None,) * 12
    unit = unit_of(path, state.reader())
    months = t("common.months").split()
    frame = pd.DataFrame(
        {
            "month": months,
            "value": pd.array(
                [None if v is None else field_figure(v, unit) for v in values], dtype="Float64"
            ),
        }
    )
    st.data_editor(
        frame,
        key=seed["key"],
        hide_index=True,
        num_rows="fixed",
        height="content",
        column_config={
            "month": st.column_config.TextColumn(t("common.month"), disabled=True),
            "value": st.column_config.NumberColumn(label_of(path), min_value=0, help=help_of(path)),
        },
        disabled=not state.may_edit(),
        on_change=_commit_twelve,
        args=(path, tuple(values)),
        placeholder=_EMPTY,
        alt=label_of(path, unit=False),
    )
    for sentence in seed["refused"]:
        st.error(t("common.refused", reason=sentence), icon=":material/edit:")
    if seed["waiting"]:
        names = ", ".join(months[number - 1] for number in seed["waiting"])
        st.caption(t("common.months_wait", months=names))


# --- inside -------------------------------------------------------------------------------


def _seed(path: str) -> dict[str, Any]:
    """The living editor's seed; a new one when the editor is new or the sketch moved elsewhere."""
    seeds = st.session_state.setdefault(_SEEDS, {})
    now = (state.opened().token, fields.value_at(state.sketch(), path), prefs.chosen("units"))
    old = seeds.get(path)
    same = old is not None and (old["made"], old["visit"]) == (now, state.visits())
    if same and old["key"] in st.session_state:
        return old
    number = 0 if old is None else old["number"] + 1
    parts = now[1] or ()
    seeds[path] = {
        "number": number,
        "key": f"table:{path}:{number}",
        "parts": parts,
        "made": now,
        "refused": (),
        "waiting": (),
        "visit": state.visits(),
    }
    return seeds[path]


def _column(path: str, model: type[BaseModel], name: str):
    facts = fields.facts_of(model, name)
    label = label_of(f"{path}.{name}")
    key = f"help.{fields.key_path(path)}.{name}"
    shared = {"help": t(key) if has(key) else None}
    kinds = st.column_config
    if facts.kind == "choice":
        return kinds.SelectboxColumn(
            label,
            options=list(facts.options),
            default=facts.default,
            format_func=lambda value: option_label(name, value),
            **shared,
        )
    if facts.kind == "boolean":
        return kinds.CheckboxColumn(label, default=facts.default, **shared)
    if facts.kind in ("number", "integer"):
        unit = unit_of(name, state.reader())
        least, most, usual = (
            None if edge is None else unit.shown(edge)
            for edge in (facts.least, facts.most, facts.default)
        )
        step = 1 if facts.kind == "integer" else None
        return kinds.NumberColumn(
            label, min_value=least, max_value=most, default=usual, step=step, **shared
        )
    named = f"choices.new.{facts.default}"
    start = t(named) if has(named) else facts.default
    return kinds.TextColumn(label, max_chars=facts.max_length, default=start, **shared)


def _dtype(model: type[BaseModel], name: str) -> str:
    kind = fields.facts_of(model, name).kind
    return {"number": "Float64", "integer": "Int64", "boolean": "bool"}.get(kind, "object")


def _shown(value: Any, name: str) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    return field_figure(value, unit_of(name, state.reader()))


def _inner(value: Any, name: str, integer: bool) -> Any:
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return value
    inner = unit_of(name, state.reader()).entered(value)
    return round(inner) if integer else float(f"{inner:.12g}")


def _commit_rows(path: str, model: type[BaseModel], columns: tuple[str, ...]) -> None:
    seed = st.session_state[_SEEDS][path]
    if seed["visit"] != state.visits():  # a late report about the sketch before
        return
    change = st.session_state[seed["key"]]
    made, refused, waiting = [], [], []
    gone = set(change["deleted_rows"])
    for index, part in enumerate(seed["parts"]):
        if index not in gone:
            typed = change["edited_rows"].get(index, {})
            _add(made, refused, model, dict(part) | _typed(model, typed), path, len(made))
    for extra in change["added_rows"]:
        typed = {name: value for name, value in _typed(model, extra).items() if value is not None}
        missing = [
            name for name in columns if fields.facts_of(model, name).required and name not in typed
        ]
        if missing:
            waiting.append((len(made) + len(waiting) + 1, missing))
        else:
            _add(made, refused, model, typed, path, len(made))
    seed["waiting"] = tuple(waiting)
    _keep(path, seed, tuple(made), refused)


def _typed(model: type[BaseModel], typed: dict) -> dict[str, Any]:
    return {
        name: _inner(value, name, fields.facts_of(model, name).kind == "integer")
        for name, value in typed.items()
        if name in model.model_fields
    }


def _add(made: list, refused: list, model, raw: dict, path: str, index: int) -> None:
    try:
        made.append(model(**raw))
    except ValidationError as error:
        steps = (*fields.steps_of(path), index)
        for fault in error.errors(include_url=False):
            refused.append(sentence_of(fault | {"loc": (*steps, *fault["loc"])}))


def _keep(path: str, seed: dict, value: tuple | None, refused: list[str]) -> None:
    seed["refused"] = tuple(dict.fromkeys(refused))
    if refused:
        return
    try:
        new = fields.with_value(state.sketch(), path, value)
    except SketchError as fault:
        seed["refused"] = fault.sentences
        return
    if state.edit(new, note=path):
        now = fields.value_at(state.sketch(), path)
        if now == value:  # else another window's rows came in: start from them
            seed["made"] = (state.opened().token, now, prefs.chosen("units"))


def _commit_twelve(path: str, values: tuple) -> None:
    seed = st.session_state[_SEEDS][path]
    if seed["visit"] != state.visits():
        return
    new = list(values)
    for index, cells in st.session_state[seed["key"]]["edited_rows"].items():
        typed = cells.get("value")
        new[index] = None if typed is None else _inner(float(typed), path, False)
    missing = [index + 1 for index, value in enumerate(new) if value is None]
    seed["waiting"] = tuple(missing) if len(missing) < 12 else ()
    if len(missing) in (0, 12):
        _keep(path, seed, None if missing else tuple(new), [])
