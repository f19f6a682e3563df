"""The strip on top of every page: the present system in six numbers, and what the last edit did."""

from dataclasses import dataclass

import streamlit as st

from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui import figures, standing, state, theme
from offgrid_sizing.ui.cached import Found
from offgrid_sizing.ui.explain import explain
from offgrid_sizing.ui.parts import weather_years
from offgrid_sizing.ui.standing import AtOnce, Years
from offgrid_sizing.ui.words import t
from offgrid_sizing.units import THIN, Reader, digits, energy, power

# In sight while the page scrolls, except on a phone, where it would hide too much of it. What the
# page has to say stays in sight everywhere: whoever deletes from below must see the way back.
_STYLE = """
<style>
.st-key-strip { border-bottom: 1px solid rgba(127,127,127,0.3); padding-bottom: 0.1rem; }
.st-key-strip [data-testid="stCaptionContainer"] p { font-size: 0.8rem; line-height: 1.2; }
.st-key-strip [data-testid="stPopover"] button { padding: 0; min-height: 1.9rem; }
.st-key-strip [data-testid="stPopover"] button p { font-size: 1.15rem; }
.stMainBlockContainer h1 { font-size: 1.7rem; padding: 0.4rem 0; }
.stMainBlockContainer h3 { font-size: 1.3rem; padding: 0.2rem 0 0.6rem; }
.stMainBlockContainer { padding-top: 3.2rem; }
.st-key-notices { max-height: 40vh; overflow-y: auto; gap: 0.5rem; }
.st-key-notices:not(:empty) {
  padding: 0.3rem 0 0.6rem; border-bottom: 1px solid rgba(127,127,127,0.3);
}
@media (min-width: 641px) {
  [data-testid="stLayoutWrapper"]:has(> .st-key-top) {
    position: sticky; top: 2.6rem; z-index: 90; background: %s;
  }
  [data-testid="stLayoutWrapper"]:has(> .st-key-top)::before {
    content: ""; position: absolute; bottom: 100%; width: 100%; height: 2.6rem;
    background: inherit;
  }
}
@media (max-width: 640px) {
  [data-testid="stLayoutWrapper"]:has(> .st-key-top), .st-key-top { display: contents; }
  [data-testid="stLayoutWrapper"]:has(> .st-key-notices) {
    position: sticky; top: 3.6rem; z-index: 90; background: %s;
  }
  .stMainBlockContainer { padding-top: 4.4rem; }
  .st-key-strip { gap: 0.2rem 0.5rem; align-items: flex-end; }
  .st-key-strip > div { width: calc(33.3% - 0.5rem) !important; min-width: 0; flex: 0 0 auto; }
  .st-key-strip [class*="st-key-strip_"], .st-key-strip [class*="st-key-stale_strip_"] {
    width: 100% !important;
  }
  .st-key-strip [data-testid="stPopover"] button p { font-size: 1rem; }
}
</style>
"""


@dataclass(frozen=True)
class _Cell:
    """One number: its key in the words, as shown, and how it changed (empty: not at all).

    `words` is where its caption and its explanation stand, where that is not its key.
    """

    key: str
    shown: str
    change: str
    stale: bool = False
    words: str = ""


def draw(*, years_wait: bool = False) -> None:
    """Draw the strip; years still being computed show the figures before the edit, in grey.

    `years_wait` leaves them open, and computes none.
    """
    sketch, before = state.sketch(), state.before()
    now = standing.at_once(sketch)
    found = Found(None, False) if years_wait else standing.years(sketch)
    then = standing.at_once(before) if before is not None else None
    then_years = standing.years_before(before) if before is not None else None
    reader = state.reader()
    cells = [
        *_quick(now, then, reader),
        *_slow(found, then_years if found.fresh else None, now, then, reader),
    ]
    theme_name = "dark" if theme.is_dark() else "light"
    st.html(_STYLE.replace("%s", st.get_option(f"theme.{theme_name}.backgroundColor") or "Canvas"))
    with st.container(key="strip", horizontal=True, gap="small"):
        for cell in cells:
            _draw_cell(cell, sketch)
    standing.watch(sketch, found)
    with st.container(key="strip_fault"):
        if found.value is not None and found.value.fault and sketch.loads.appliances:
            st.caption(t("strip.fault", reason=found.value.fault))


def _draw_cell(cell: _Cell, sketch: Sketch) -> None:
    name = f"stale_strip_{cell.key}" if cell.stale else f"strip_{cell.key}"
    words = cell.words or cell.key
    bad = weather_years.bad(sketch.targets.bad_year_frac) if words == "unserved_bad" else ""
    width = 156 if cell.key == "unserved" else 132  # six beside each other on a laptop
    with st.container(key=name, width=width, gap=None):
        explain(f"strip.{words}", cell.shown, caption=t(f"strip.{words}"), bad=bad)
        st.caption(cell.change or "&nbsp;")  # keeps the line: nothing moves when a change is said


def _quick(now: AtOnce, then: AtOnce | None, reader: Reader) -> list[_Cell]:
    def kwh(value: float) -> str:
        return f"{digits(value, reader)}{THIN}kWh"

    rows = (
        ("daily", "daily_kwh", kwh),
        ("array", "array_w", lambda value: power(value, reader)),
        ("bank", "bank_wh", lambda value: energy(value, reader)),
        ("machines", "inverters", lambda value: digits(value, reader)),
    )
    cells = []
    for key, name, shown in rows:
        value = getattr(now, name)
        cells.append(
            _Cell(
                key,
                "–" if value is None else shown(value),
                _change(value, None if then is None else getattr(then, name), shown),
            )
        )
    return cells


def _slow(
    found: Found, then: Years | None, now: AtOnce, before: AtOnce | None, reader: Reader
) -> list[_Cell]:
    """Two cells; hours of unlike years are not set against each other."""
    years, waiting = found.value or Years(), "–" if found.fresh else "…"
    alike = before is not None and before.judged_by == now.judged_by
    rows = (
        ("autonomy", "dark_h", figures.days, then, ""),
        ("unserved", "unserved_h", figures.hours, then if alike else None, now.judged_by),
    )
    cells = []
    for key, name, written, earlier, kind in rows:
        value = getattr(years, name)

        def shown(hours: float, written=written) -> str:
            return written(hours, reader)

        cells.append(
            _Cell(
                key,
                waiting if value is None else shown(value),
                _change(value, None if earlier is None else getattr(earlier, name), shown),
                stale=not found.fresh,
                words=f"{key}_{kind}" if kind else key,
            )
        )
    return cells


def _change(now, then, shown) -> str:
    if now is None or then is None or shown(now) == shown(then):
        return ""
    return t("strip.more" if now > then else "strip.less", change=shown(abs(now - then)))
