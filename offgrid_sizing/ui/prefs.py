"""How one person wants things shown: language, units, clock. Carried in the address."""

import streamlit as st

from offgrid_sizing.ui.words import DEFAULT, LANGUAGES
from offgrid_sizing.units import METRIC, US, Reader
from offgrid_sizing.words import text_of, unit_words

# name in the address -> allowed values, the first is the default
CHOICES = {"lang": tuple(LANGUAGES), "units": ("metric", "us"), "clock": ("24", "12")}
_KEYS = {"lang": "language", "units": "units", "clock": "clock"}


def begin() -> None:
    """Take over what the address or, on the first visit, the browser says."""
    for name, allowed in CHOICES.items():
        key = _KEYS[name]
        said = st.query_params.get(name)
        if key not in st.session_state:
            st.session_state[key] = said if said in allowed else _guess(name)


def _guess(name: str) -> str:
    locale = st.context.locale or ""
    if name == "lang":
        start = locale.split("-")[0]
        return start if start in LANGUAGES else DEFAULT
    american = locale == "en-US"
    return CHOICES[name][1 if american else 0]


def choose(name: str, value: str) -> None:
    """Set `lang`, `units` or `clock`; a callback's body."""
    if value in CHOICES[name]:
        st.session_state[_KEYS[name]] = value


def chosen(name: str) -> str:
    """The present choice."""
    return st.session_state.get(_KEYS[name], CHOICES[name][0])


def address() -> dict[str, str]:
    """The choices that differ from what this browser would be given anyway, for the address."""
    return {name: chosen(name) for name in CHOICES if chosen(name) != _guess(name)}


def reader(currency: str) -> Reader:
    """The reader for `offgrid_sizing.units`."""
    base = US if chosen("units") == "us" else METRIC
    mark = text_of("common.decimal_mark", chosen("lang"))
    return Reader(
        system=base.system,
        conductor=base.conductor,
        clock=chosen("clock"),  # type: ignore[arg-type] # `choose` lets only "24" and "12" in
        decimal="," if mark == "," else ".",
        thousands=METRIC.thousands if mark == "," else base.thousands,
        currency=currency,
        unit_words=unit_words(chosen("lang")),
    )
