"""Loads, weather and follow-up on a Spanish screen: no English of the engine's is left on it."""

import json

import pandas as pd
import pytest
from shown_kit import said
from two_languages import english_in

from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import MeteredLoad, Sketch, WeatherChoice


def section(test, page: str, name: str):
    test.session_state[f"{page}_section"] = name
    return test.run()


def _texts(part) -> list[str]:
    """Every text in a figure's data: titles, names, labels, hovers."""
    if isinstance(part, dict):
        return [text for value in part.values() for text in _texts(value)]
    if isinstance(part, list):
        return [text for value in part for text in _texts(value)]
    return [part] if isinstance(part, str) and " " in part else []  # single words are settings


def assert_spanish(test, *told: str) -> None:
    """All that is said, drawn or listed is Spanish, and these pieces are among it."""
    texts = said(test) + [one.label for one in test.expander]
    charts = [json.loads(chart.proto.spec) for chart in test.get("plotly_chart")]
    drawn = [text for chart in charts for text in _texts([chart["data"], chart["layout"]])]
    tables = [column for table in test.dataframe for column in table.value.columns]
    for text in [*texts, *drawn, *tables]:
        assert not english_in(str(text)), text
    whole = "\n".join(map(str, texts + drawn + tables))
    for piece in told:
        assert piece in whole


def _home() -> Sketch:
    """A demo whose appliances bear no English names."""
    base = demo()
    named = tuple(
        one.model_copy(update={"name": f"Aparato {number}"})
        for number, one in enumerate(base.loads.appliances)
    )
    loads = base.loads.model_copy(update={"appliances": named})
    return base.model_copy(update={"loads": loads})


def _metered(store, content: bytes, use: str = "replace") -> Sketch:
    ref = store.keep_file("meter.csv", content, "meter").ref
    base = _home()
    loads = base.loads.model_copy(update={"metered": MeteredLoad(file=ref, use=use)})
    return base.model_copy(update={"loads": loads})


def _nameless_meter() -> bytes:
    """Sixty days without a heading, with a gap, a repeated row and a negative reading."""
    time = pd.date_range("2023-01-01", periods=24 * 60, freq="h")
    rows = [f"{stamp:%Y-%m-%d %H:%M};{0.4 + 0.1 * stamp.hour / 24:.3f}" for stamp in time]
    rows[40] = rows[40].split(";")[0] + ";-1"
    return "\n".join([*rows[:100], rows[99], *rows[103:]]).encode()


def test_a_meter_s_report_is_spanish(page, store, no_trouble):
    test = section(page("loads", _metered(store, _nameless_meter()), lang="es"), "loads", "meter")
    no_trouble(test)
    assert_spanish(
        test, "Lecturas repetidas, contadas una sola vez: 1.",
        "Lecturas negativas puestas a cero: 1.", "columna 1",
    )  # fmt: skip


@pytest.mark.parametrize("name", ["table", "year", "peak"])
@pytest.mark.parametrize("use", ["replace", "scale_metered", "scale_appliances"])
def test_a_metered_home_is_drawn_in_spanish(page, store, name, use, no_trouble):
    sketch = _metered(store, _nameless_meter(), use)
    test = section(page("loads", sketch, lang="es"), "loads", name)
    no_trouble(test)
    assert_spanish(test, *(("Días sin medir: ",) if name == "year" else ()))


def test_the_peak_and_what_would_lower_it_are_spanish(page, no_trouble):
    test = section(page("loads", _home(), lang="es"), "loads", "peak")
    no_trouble(test)
    assert_spanish(test, "pueden funcionar a la vez", "arrancador suave en")


def test_what_cannot_be_read_is_refused_in_spanish(page, no_trouble, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", "es")  # of the options sent back
    test = page("loads", _home(), lang="es")
    test.text_area(key="loads_pasted").set_value("Lámpara\tdos\t9\t18–22\nNada\n").run()
    test.button(key="loads_take_rows").click().run()
    no_trouble(test)
    assert_spanish(test, "fila 1: «número» debe ser un número (se dio «dos»).")
    section(test, "loads", "hours")
    key = next(one.key for one in test.text_input if one.key.startswith("loads_windows_"))
    test.text_input(key=key).set_value("de 6 hasta tarde").run()
    no_trouble(test)
    assert_spanish(test, "no es una franja horaria")


@pytest.mark.parametrize(
    "choice",
    [{"source": "sample", "sample": "greensboro"}, {"source": "climate"},
     {"source": "monthly", "monthly_ghi_kwh_per_m2_day": (2.5,) * 12}],
)  # fmt: skip
def test_weather_is_told_in_spanish(page, choice, no_trouble):
    sketch = demo().model_copy(update={"weather": WeatherChoice(**choice)})
    test = section(page("site", sketch, lang="es"), "site", "weather")
    no_trouble(test)
    assert_spanish(test, "año")


def test_a_weather_file_in_a_wrong_clock_and_unit_is_told_in_spanish(page, store, no_trouble):
    time = pd.date_range("2023-01-01", periods=8760, freq="h")
    light = [max(0.0, 600.0 - 100 * abs(stamp.hour - 16)) for stamp in time]
    content = pd.DataFrame({"time": time, "ghi": light}).to_csv(index=False).encode()
    ref = store.keep_file("logger.csv", content, "weather").ref
    sketch = demo().model_copy(update={"weather": WeatherChoice(source="file", file=ref)})
    test = section(page("site", sketch, lang="es"), "site", "weather")
    no_trouble(test)
    assert_spanish(test, "El archivo solo contiene radiación global", "min más tarde que el sol")
