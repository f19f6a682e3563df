"""The Money page and the Summary name what the money is compared with."""

from test_results_pages import finished

from offgrid_sizing.demos import demo


def shown(test) -> str:
    return " ".join(str(one.value) for one in (*test.caption, *test.markdown, *test.warning))


def test_money_lists_all_there_could_be_instead(page, no_trouble):
    test = finished(page("money"))
    no_trouble(test)
    assert "Compared with the cheapest realistic alternative: a 3" in shown(test)
    table = test.dataframe[0].value
    assert list(table["realistic"]) == [
        "yes", "yes, compared with", "no: an unserved kWh has no price",
    ]  # fmt: skip
    assert "running" in table["alternative"][1]


def test_without_anything_to_compare_with_no_saving_is_shown(page, no_trouble):
    sketch = demo("farmhouse")
    prices = sketch.prices.model_copy(update={"alternative": "grid_extension"})
    test = finished(page("money", sketch.model_copy(update={"prices": prices})))
    no_trouble(test)
    assert "so no saving is claimed" in shown(test)
    assert "Saved compared with the alternative" not in shown(test)


def test_the_summary_names_it_too(page, no_trouble):
    test = finished(page("summary"))
    no_trouble(test)
    assert "Compared with the cheapest realistic alternative: a 3" in shown(test)
