"""A chart's answer stands above it as text of the page, once and whole."""

import json

import plotly.graph_objects as go

from offgrid_sizing.ui.charts import marks


def finished(answer: str) -> go.Figure:
    figure = go.Figure()
    figure.add_scatter(x=[0, 1], y=[0, 1], mode="lines", name="array", line_color="#E69F00")
    figure.add_bar(x=[0, 1], y=[1, 0], name="bank", marker_color="#0072B2")
    return marks.finish(figure, answer, dark=False, height=300, legend=True)


def test_the_answer_leaves_the_title_and_the_marks_stay():
    answer = "Twelve modules and four battery units carry this home for two days &amp; a night"
    figure = finished(answer)
    room = figure.layout.height - figure.layout.margin.t
    assert marks.without_answer(figure) == answer.replace("&amp;", "&")
    assert "modules" not in figure.layout.title.text
    assert "array" in figure.layout.title.text
    assert "bank" in figure.layout.title.text
    assert figure.layout.height - figure.layout.margin.t == room  # the picture keeps its size
    assert figure.layout.meta["answer"] == answer
    assert marks.without_answer(figure) is None


def test_a_chart_without_an_answer_keeps_what_it_has():
    figure = go.Figure(layout={"title": {"text": "as it was"}, "height": 300})
    assert marks.without_answer(figure) is None
    assert figure.layout.title.text == "as it was"


def test_the_page_says_it_above_the_chart(page):
    test = page("start").run()
    chart = test.get("plotly_chart")[0]
    said = [one.value for one in test.markdown]
    assert any(
        text.replace("\\", "").startswith("Hour by hour, this typical year: ") for text in said
    )
    assert not json.loads(chart.proto.spec)["layout"]["title"]["text"]
