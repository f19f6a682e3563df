"""The pages; how one is written.

GUIDE FOR PAGES
===============
A page is one file `ui/pages/<name>.py` with `def draw() -> None`, listed in `ui/navigation.py`
(its address is its name). The script runs it inside `guard.page`, so a page lets every exception
fly: `BadInput` becomes its sentences, anything else one sentence and a saved diagnostic file.

Read::

    from offgrid_sizing.ui import cached, state, widgets
    from offgrid_sizing.ui.words import t

    sketch = state.sketch()            # the present sketch, frozen
    reader = state.reader()            # for units.quantity(value, "length_m", reader) ...
    before = state.before()            # the sketch before the last edit, or None
    state.may_edit()                   # False for a read-only address; widgets disable themselves

Change (best in a callback, `st.button(..., on_click=state.edit, args=(new_sketch,))`; elsewhere
follow it with `st.rerun()`)::

    state.edit(new_sketch)             # or a function of the sketch: state.edit(lambda s: ...)
    state.edit(fields.with_value(sketch, "roof_planes[0].tilt_deg", 35))
    state.undo(); state.redo(); doors.start(sketch); doors.open_saved(token)

What turns to another sketch stands in `ui/doors.py`; it is done when the next page begins, after
the edits of the same request. A plain widget that acts on the present sketch gets
`key=state.own_key("...")`.

`edit` validates, saves, makes it undoable, and puts the id in the address; it returns False and
leaves a sentence on screen when a rule is broken. Nothing else may change the sketch.

Widgets bound to a field, with limits, help and label from the model and the words catalogue::

    widgets.number("targets.days_of_autonomy")      widgets.choice("strategy.kind")
    widgets.toggle("grid.export_allowed")           widgets.text("title")
    widgets.window("generator.quiet_hours[0]")      tables.twelve("weather.monthly_ghi_...")
    tables.rows("loads.appliances", Appliance, ("name", "count", "running_w"))

They show display units (%, ft, °F), keep what was typed when it is refused, follow undo, and
survive page changes because the sketch, not the widget, holds the value: do not give them
`persist_state`. A field of a part that may be missing (`generator.…`) is drawn only when it is
there. A widget that only steers the view (a chosen day, a tab) is a plain Streamlit widget with a
fixed `key` and `persist_state="session"`.

Words: `t("saved.revision", number=3)` escapes values for markdown; `t_raw` does not, for
`st.text`, files and alt texts. Never put user text (names, notes, file names) into markdown,
labels or charts without `t`, `plain.plain` or `plain.chart_text`.

Slow work: `cached.run_long(...)`; cached results: see `ui/cached.py`. A fragment is written
`@st.fragment` above `@guard.guarded`. Charts: `ui/charts/`, template `charts.template`, shown
with `charts.show(figure, key, alt)`.
"""
