"""Inputs bound to a field of the sketch: limits, default, help and label come with the field.

Each shows the sketch's value in the reader's units, saves through `state.edit` when it changes,
keeps what was typed when that is refused (with the reason beneath), and follows undo, redo and
other windows. Values live in the sketch, so nothing is lost when the page is left.

A browser tells the values of all its fields with each request, also of those it has not yet heard
were changed elsewhere. So a field that is changed by anything but itself goes on under a new key:
what is told under the old one is an edit only if it differs from what stood there (`_commit`).
"""

import re
from collections.abc import Callable, Sequence
from typing import Any

import streamlit as st

from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui import fields, prefs, state
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.words import has, t
from offgrid_sizing.units import Unit, field_figure, quantity, unit_of
from offgrid_sizing.units import hour as clock
from offgrid_sizing.words.unit_words import named_class

# Fields that hold an amount of money, whatever it is paid for.
_MONEY = re.compile(
    r"price_per_|fixed_per_month$|^prices\.(\w+_each|\w+_per_module|wiring_and_protection"
    r"|service_per_year|unserved_per_kwh|grid_extension_per_m)$"
)
_SHOWN, _REFUSED, _SAID = "offgrid_shown", "offgrid_refused", "offgrid_said"
_CHANGES, _STOOD = "offgrid_changes", "offgrid_stood"
_TYPED = "typed"  # shown as the reader typed it, who need not be told
_TIMES_SAID = 3
_REMEMBERED = 64  # changes from elsewhere whose late reports are still known for what they are


def label_of(path: str, *, unit: bool = True) -> str:
    """A field's label in this language, with the unit it is shown in."""
    key = f"fields.{fields.key_path(path)}"
    name = t(key) if has(key) else fields.steps_of(path)[-1].replace("_", " ")
    reader = state.reader()
    shown = unit_of(path, reader).label if unit else ""
    if unit and _MONEY.search(fields.key_path(path)):
        shown = f"{reader.currency} {shown}".strip()
    return f"{name} ({plain(shown)})" if shown else name


def help_of(path: str) -> str | None:
    """What the field means, in this language; None where its name says it all."""
    key = f"help.{fields.key_path(path)}"
    return t(key) if has(key) else None


def number(path: str, *, label: str | None = None, step: float | None = None, **options) -> None:
    """A number field; an optional one may be left empty. Whole numbers stay whole."""
    facts = fields.facts_at(state.sketch(), path)
    integer = facts.kind == "integer"
    unit = unit_of(path, state.reader())
    kind: Callable[[float], float] = int if integer and unit.factor == 1 else float
    bounds = [
        None if edge is None else kind(unit.shown(edge)) for edge in (facts.least, facts.most)
    ]
    key = _seeded(
        path, lambda value: None if value is None else kind(field_figure(value, unit, bounds))
    )
    if facts.optional:
        _say_again(key)
    st.number_input(
        label or label_of(path),
        min_value=bounds[0],
        max_value=bounds[1],
        value=None if facts.optional else st.session_state[key],
        step=step or (1 if kind is int else _step(facts.default, unit)),
        format="%d" if kind is int else "%g",
        key=key,
        help=help_of(path),
        disabled=not state.may_edit(),
        on_change=_commit,
        args=(path, key, _from_number(unit, integer)),
        **options,
    )
    _reason(path)


def numbers(path: str, columns: tuple[tuple[str, ...], ...]) -> None:
    """Numbers of one part of the sketch in columns beside each other."""
    for column, names in zip(st.columns(len(columns)), columns, strict=True):
        with column:
            for name in names:
                number(f"{path}.{name}")


def _from_number(unit: Unit, integer: bool) -> Callable[[Any], Any]:
    def back(typed):
        if typed is None:
            return None
        inner = unit.entered(typed)
        return round(inner) if integer else _clean(inner)

    return back


def _clean(value: float) -> float:
    """Without the dust of unit conversion: 35 % is 0.35, not 0.35000000000000003."""
    return float(f"{value:.12g}")


def _step(default: float | None, unit: Unit) -> float:
    """A step that moves the usual value by some per cent: 1, 2 or 5 times a power of ten."""
    if not default:
        return 1.0
    size = abs(default * unit.factor) / 20
    power = 10.0 ** len(str(int(size))) / 10 if size >= 1 else 0.001
    while size >= power * 10:
        power *= 10
    return float(next(power * m for m in (1, 2, 5, 10) if size <= power * m or m == 10))


def choice(
    path: str, *, labels: dict[Any, str] | None = None, label: str | None = None, radio=False
) -> None:
    """One of the field's allowed values. Their names come from `choices.<field>.<value>`."""
    facts = fields.facts_at(state.sketch(), path)
    options = (None, *facts.options) if facts.optional else facts.options
    key = _seeded(path, lambda value: value)
    widget = st.radio if radio else st.selectbox
    widget(
        label or label_of(path, unit=False),
        options,
        index=place_in(options, st.session_state[key]),
        key=key,
        format_func=lambda value: (labels or {}).get(value) or option_label(path, value),
        help=help_of(path),
        disabled=not state.may_edit(),
        on_change=_commit,
        args=(path, key, lambda value: value),
        **({"horizontal": True} if radio else {}),
    )
    _reason(path)


def option_label(path: str, value: Any) -> str:
    """The name of one allowed value in this language."""
    if value is None:
        return t("choices.none")
    name = fields.steps_of(path)[-1]
    if isinstance(value, (int, float)) and not isinstance(value, bool):
        named = quantity(value, name)  # codes and makers name these classes in SI everywhere
        return named_class(named) if prefs.chosen("units") == "us" else named
    key = f"choices.{name}.{value}"
    return t(key) if has(key) else str(value)


def toggle(path: str, *, label: str | None = None) -> None:
    """A yes-or-no field."""
    key = _seeded(path, bool)
    st.toggle(
        label or label_of(path),
        value=st.session_state[key],
        key=key,
        help=help_of(path),
        disabled=not state.may_edit(),
        on_change=_commit,
        args=(path, key, bool),
    )
    _reason(path)


def text(path: str, *, label: str | None = None, area: bool = False) -> None:
    """A line of text, or several with `area`."""
    facts = fields.facts_at(state.sketch(), path)
    key = _seeded(path, lambda value: value or "")
    widget = st.text_area if area else st.text_input
    widget(
        label or label_of(path),
        max_chars=facts.max_length,
        value=st.session_state[key],
        key=key,
        help=help_of(path),
        disabled=not state.may_edit(),
        on_change=_commit,
        args=(path, key, lambda typed: typed or (None if facts.optional else "")),
    )
    _reason(path)


def window(path: str, *, label: str | None = None) -> None:
    """Hours of the day from–to, as two fields side by side; 22 to 6 runs over midnight."""
    if label:
        st.caption(label)
    left, right = st.columns(2)
    for column, end in ((left, "from_h"), (right, "to_h")):
        with column:
            hour(f"{path}.{end}", label=t(f"common.{end}"))


def hour(path: str, *, label: str | None = None) -> None:
    """A clock hour in half-hour steps, written in the reader's clock."""
    times = _times(path, fields.value_at(state.sketch(), path))
    key = _seeded(path, float)
    st.selectbox(
        label or label_of(path, unit=False),
        times,
        index=place_in(times, st.session_state[key]),
        key=key,
        format_func=lambda value: clock(value, state.reader()),
        disabled=not state.may_edit(),
        on_change=_commit,
        args=(path, key, float),
    )
    _reason(path)


def place_in(options: Sequence, value: Any) -> int:
    """Where a select box begins: at `value`, or at the first option when it is none of them.

    A browser that first meets a widget in the second of two quick runs is told only where the
    widget begins, not what was set in the first run. Every widget that is set from the sketch
    must therefore also begin there, or it shows something else and its next report undoes it.
    """
    return list(options).index(value) if value in options else 0


# --- inside -------------------------------------------------------------------------------


def _times(path: str, here: float) -> list[float]:
    """Half hours to choose from, each with words of its own; the sketch's own value is kept.

    A select box tells its options apart by their words alone, and a 12 h clock writes 0 and 24
    alike: an end is 24, a beginning 0, lest midnight turn into the next day's unasked.
    """
    midnight = 24.0 if path.endswith("to_h") else 0.0
    half_hours = (midnight, *(half / 2 for half in range(1, 48)), here)
    return sorted({clock(value, state.reader()): value for value in half_hours}.values())


def _key(path: str, changes: int | None = None) -> str:
    """The key of a field: a new one for each change that came from elsewhere."""
    if changes is None:
        changes = _kept(_CHANGES).get(state.own_key(f"field:{path}"), 0)
    return state.own_key(f"field:{path}~{changes}" if changes else f"field:{path}")


def _kept(name: str) -> dict:
    return st.session_state.setdefault(name, {})


def _seeded(path: str, to_shown: Callable[[Any], Any]) -> str:
    """The widget's key, its state set from the sketch whenever the sketch says something new.

    The state is written only when the sketch's value (or the unit it is shown in) differs from the
    one last shown: a refused entry stays as typed, undo and other windows come through.
    """
    field, key = state.own_key(f"field:{path}"), _key(path)
    value = fields.value_at(state.sketch(), path)
    now = (state.opened().token, value, prefs.chosen("units"))
    was = _kept(_SHOWN).get(field)
    if key in st.session_state and was == now:
        return key
    stands = to_shown(value)
    if key in st.session_state and was is not None and was[1:] != now[1:]:
        key = _changed_elsewhere(path, field)
    if key not in st.session_state or st.session_state[key] != stands:
        st.session_state[key] = stands
        _kept(_SAID)[key] = 0
    # else the browser shows it: told once more, it would take back what is typed by then
    _kept(_STOOD)[key] = stands
    _kept(_SHOWN)[field] = now
    _refused().pop(path, None)
    return key


def _changed_elsewhere(path: str, field: str) -> str:
    """The field's next key; what stood under one of long ago is forgotten."""
    changes = _kept(_CHANGES)[field] = _kept(_CHANGES).get(field, 0) + 1
    if changes >= _REMEMBERED:
        old = _key(path, changes - _REMEMBERED)
        for kept in (_kept(_STOOD), _kept(_SAID)):
            kept.pop(old, None)
    return _key(path)


def _say_again(key: str) -> None:
    """Set a number in the runs after its seeding too, in case the first is overtaken (`place_in`).

    One that may be empty must begin empty, or it could not be emptied; so the browser is told
    thrice. All others begin at their number: told once more, it would take the place of what a
    quick reader has typed by then, and the next request would tell it as an edit.
    """
    said = _kept(_SAID)
    if said.get(key, _TIMES_SAID) < _TIMES_SAID:
        said[key] += 1
        st.session_state[key] = st.session_state[key]


def _refused() -> dict[str, tuple[str, ...]]:
    return _kept(_REFUSED)


def _commit(path: str, key: str, to_inner: Callable[[Any], Any]) -> None:
    typed = st.session_state[key]
    if key != _key(path):
        if key in _kept(_STOOD) and typed == _kept(_STOOD)[key]:
            return  # not typed: the browser had not heard of the change
        if not _is_of_this_visit(path, key):  # a late report about the sketch before
            state.edit_left(
                key, lambda sketch: fields.with_value(sketch, path, to_inner(typed)), path
            )
            return
        if key not in _kept(_STOOD):
            return  # whether it was typed is forgotten: what came since stands
    try:
        new = fields.with_value(state.sketch(), path, to_inner(typed))
    except BadInput as fault:
        _refused()[path] = fault.sentences
        return
    _refused().pop(path, None)
    if state.edit(new, note=path):  # an undo may follow before the page is drawn: show the sketch
        value = fields.value_at(state.sketch(), path)
        _kept(_SHOWN)[state.own_key(f"field:{path}")] = (_TYPED, value, prefs.chosen("units"))
        _kept(_SAID)[key] = _TIMES_SAID  # it need not be told what it told


def _is_of_this_visit(path: str, key: str) -> bool:
    changes = _kept(_CHANGES).get(state.own_key(f"field:{path}"), 0)
    return key in {_key(path, count) for count in range(changes + 1)}


def _reason(path: str) -> None:
    """Why the last entry was refused, right beneath it."""
    for sentence in _refused().get(path, ()):
        st.error(t("common.refused", reason=sentence), icon=":material/edit:")
