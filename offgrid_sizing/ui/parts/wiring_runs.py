"""Every conductor run: its size and device, what decides them, and the inputs that move them."""

import pandas as pd
import streamlit as st

from offgrid_sizing.electrical.sizes import code_of
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import files, state, widgets
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.ui.tongue import here
from offgrid_sizing.ui.words import said_here, t, t_raw
from offgrid_sizing.units import conductor, digits, percent, quantity
from offgrid_sizing.words import Said, said, together

SHARED = ("ambient_c", "roof_ambient_c", "insulation_c", "terminal_c", "prospective_ac_fault_a")
RUNS = (
    "string",
    "array_feeder",
    "unit_lead",
    "bank_to_inverter",
    "grid_in",
    "generator_in",
    "ac_in",
    "ac_out",
    "earth",
)


def draw(sketch: Sketch, design) -> None:
    """The table, then one fold for each run with its calculation."""
    widgets.choice("wiring.rule_book", radio=True)
    _table(design)
    st.caption(t("wiring.tap"))
    seen: set[str] = set()
    for run in design.runs:
        _fold(run, inputs=run.need.field not in seen)
        seen.add(run.need.field)
    _earth(design)
    _shared()
    _practice(design)


def inputs_only() -> None:
    """What can be changed when the design itself is refused."""
    st.markdown(t("wiring.mend"))
    widgets.choice("wiring.rule_book", radio=True)
    for name in RUNS:
        with st.expander(t(f"fields.wiring.{name}")):
            _inputs(f"wiring.{name}")
    _shared()


def title_of(need) -> str:
    """A run's name in this language."""
    return here(need.title)


def earth_title(design) -> Said:
    """What the wiring code calls the conductor that earths the equipment."""
    return said("runs.title.earth", **code_of(design.earth.book).words)


def size_words(choice) -> str:
    """A conductor as written, with the other system's measure beside it."""
    judged, reader = choice.judged, state.reader()
    if judged.parallel > 1:
        return here(judged.label)
    return conductor(judged.size.label, judged.size.area_mm2, reader)


def _other_words(run) -> str:
    """What the other rule book itself chooses: an own size too thin is not its doing."""
    return here(run.other_label) if run.other.by_user else size_words(run.other)


def device_words(choice, need) -> str:
    """The protective device in short."""
    if choice.device is None:
        return "–"
    reader = state.reader()
    device = choice.device
    return (
        f"{quantity(device.rating_a, '_a', reader)}, {quantity(device.rated_v, '_v', reader)}, "
        f"{digits(device.breaking_ka, reader)} kA"
    )


def governs_words(choice) -> str:
    """What decides the size."""
    return t_raw(f"wiring.governs.{choice.governs}")


def _table(design) -> None:
    rows = [
        {
            t_raw("designations.col.mark"): design.designations.conductor(run.need.key),
            t_raw("wiring.col_run"): title_of(run.need),
            t_raw("wiring.col_count"): run.need.count,
            t_raw("wiring.col_size"): size_words(run.shown),
            t_raw("wiring.col_device"): device_words(run.shown, run.need),
            t_raw("designations.col.device_mark"): design.designations.device(run.need.key) or "–",
            t_raw("wiring.col_governs"): governs_words(run.shown),
            t_raw("wiring.col_drop"): percent(run.shown.judged.drop_frac, state.reader()),
            t_raw("wires.conductors.col.protective"): here(run.protective.label),
            t_raw("wiring.col_other"): _other_words(run),
        }
        for run in design.runs
    ]
    earth = {
        t_raw("designations.col.mark"): design.designations.conductor("earth"),
        t_raw("wiring.col_run"): here(earth_title(design)),
        t_raw("wiring.col_count"): 1,
        t_raw("wiring.col_size"): here(design.earth.label),
        t_raw("wiring.col_device"): "–",
        t_raw("designations.col.device_mark"): "–",
        t_raw("wiring.col_governs"): t_raw("wiring.governs.earth"),
        t_raw("wiring.col_drop"): "–",
        t_raw("wires.conductors.col.protective"): "–",
        t_raw("wiring.col_other"): here(design.earth_other.label),
    }
    frame = pd.DataFrame([*rows, earth])
    st.dataframe(frame, hide_index=True, height="content", alt=t_raw("wiring.section.runs"))
    files.offer_table(frame, "runs.csv", "wiring_runs_data", design.cautions)


def _fold(run, *, inputs: bool) -> None:
    mark = ":material/error:" if run.shown.faults else ":material/cable:"
    label = f"{plain(title_of(run.need))} · **{plain(size_words(run.shown))}**"
    with st.expander(label, icon=mark, expanded=bool(run.shown.faults)):
        for fault in run.shown.faults:
            st.error(said_here(fault))
        st.markdown(_steps(run))
        if inputs:
            _inputs(run.need.field)
        else:
            st.caption(t("wiring.same_inputs"))


def _steps(run) -> str:
    """The calculation, line by line."""
    need, choice, judged, reader = run.need, run.shown, run.shown.judged, state.reader()
    lines = [
        t("wiring.step_current", current=quantity(need.current_a, "_a", reader), why=need.why),
        t("wiring.step_design", design=quantity(choice.design_a, "_a", reader)),
        _device_line(choice, need),
        t(
            "wiring.step_way",
            base=quantity(judged.base_a, "_a", reader),
            table=judged.table,
            ambient=digits(judged.ambient_factor, reader),
            grouping=digits(judged.grouping_factor, reader),
            corrected=quantity(judged.corrected_a, "_a", reader),
        ),
        t("wiring.step_terminal", terminal=quantity(judged.terminal_a, "_a", reader)),
        t(
            "wiring.step_drop",
            length=quantity(need.run.length_m, "_m", reader),
            drop=quantity(judged.drop_v, "_v", reader),
            share=percent(judged.drop_frac, reader),
            limit=percent(need.run.max_drop_frac, reader),
        ),
        t("wiring.step_governs", what=governs_words(choice), sizes=_smallest(choice)),
        t("wiring.step_other", size=_other_words(run), what=governs_words(run.other)),
        t("wiring.step_rules", rules=together(*choice.rules, by="; ")),
    ]
    if choice.by_user:
        lines.insert(0, t("wiring.step_own", own=choice.label, rule=choice.rule_label))
    return "\n".join(f"- {line}" for line in lines)


def _device_line(choice, need) -> str:
    if choice.device is None:
        return t("wiring.step_no_device", why=need.no_device or "–")
    device, reader = choice.device, state.reader()
    return t(
        "wiring.step_device",
        kind=device.kind,
        rating=quantity(device.rating_a, "_a", reader),
        works=quantity(device.works_at_v, "_v", reader),
        rated=quantity(device.rated_v, "_v", reader),
        fault=quantity(device.fault_a, "_a", reader),
        breaking=f"{digits(device.breaking_ka, reader)} kA",
        poles=device.poles,
        rule=device.rule,
    )


def _smallest(choice) -> str:
    return "; ".join(
        f"{t_raw(f'wiring.governs.{name}')}: {here(size)}" for name, size in choice.smallest
    )


def _inputs(field: str) -> None:
    left, right = st.columns(2)
    with left:
        widgets.number(f"{field}.length_m")
        widgets.choice(f"{field}.method")
        widgets.text(f"{field}.size")
    with right:
        widgets.number(f"{field}.max_drop_frac")
        widgets.number(f"{field}.loaded_together")


def _earth(design) -> None:
    earth = design.earth
    mark = ":material/error:" if earth.faults else ":material/cable:"
    with st.expander(f"{plain(earth_title(design))} · **{plain(earth.label)}**", icon=mark):
        for fault in earth.faults:
            st.error(said_here(fault))
        st.markdown(
            f"- {t('wiring.earth_because', why=earth.because)}\n"
            f"- {t('wiring.step_rules', rules=together(*earth.rules, by='; '))}"
        )
        widgets.text("wiring.earth.size")


def _shared() -> None:
    with st.expander(t("wiring.shared"), icon=":material/thermostat:"):
        left, right = st.columns(2)
        for index, name in enumerate(SHARED):
            with left if index % 2 == 0 else right:
                if name in ("insulation_c", "terminal_c"):
                    widgets.choice(f"wiring.{name}")
                else:
                    widgets.number(f"wiring.{name}")


def _practice(design) -> None:
    with st.expander(t("wiring.practice"), icon=":material/handyman:"):
        for fact in design.practice:
            lines = [f"**{plain(fact.topic)}**: {plain(fact.practice)} ({plain(fact.source)})"]
            lines += [f"- {plain(rule)}: {plain(answer)}" for rule, answer in fact.computed]
            lines.append(f"- *{plain(fact.decides)}*")
            st.markdown("\n".join([lines[0], "", *lines[1:]]))
