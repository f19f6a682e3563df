"""Every chart of a Spanish screen writes figures with a comma: on bars, axes, under the pointer."""

import json
import re
from importlib import import_module

import pytest
from test_loads_and_weather_speak import _texts

from offgrid_sizing.ui.navigation import STEPS

SECTIONS = [
    (step.name, section)
    for step in STEPS
    for section in getattr(import_module(f"offgrid_sizing.ui.pages.{step.name}"), "SECTIONS", ("",))
]
# Sizing and comparing are asked for in the background; their charts are drawn by the same hands.
WITH_A_POINT = [
    one for one in SECTIONS if one[0] in ("site", "loads", "equipment", "year", "money")
]


@pytest.mark.parametrize(("name", "section"), WITH_A_POINT)
def test_figures_in_charts(page, no_trouble, name, section):
    test = page(name, section=section or None, lang="es")
    no_trouble(test)
    for chart in test.get("plotly_chart"):
        drawn = json.loads(chart.proto.spec)
        assert drawn["layout"]["separators"][0] == ","
        for text in _texts([drawn["data"], drawn["layout"]]):
            assert not re.search(r"\d\.\d", re.sub(r"%\{[^}]*\}", "", text)), text


def test_a_figure_on_a_bar_of_the_site(page):
    (chart,) = page("site", section="weather", lang="es").get("plotly_chart")
    written = [one["text"] for one in json.loads(chart.proto.spec)["layout"]["annotations"]]
    assert sorted(written) == ["2,2", "6,3"]
