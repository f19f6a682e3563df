"""What the money is compared with, in papers and in `summary.json`."""

from functools import cache

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.sections.money import money_figure, money_section, payback_words


@cache
def outcome(alternative: str = "auto"):
    sketch = demo("farmhouse")
    prices = sketch.prices.model_copy(update={"alternative": alternative})
    return drawn_outcome(sketch.model_copy(update={"prices": prices}))


def section(found):
    return money_section(found.sketch, found.life_cycle, found.ageing, ())


def table(found, title: str):
    return next(one for one in section(found).blocks if getattr(one, "title", "") == title)


def test_the_paper_lists_every_alternative_and_marks_the_one_compared_with():
    found = outcome()
    rows = table(found, "Alternatives").rows
    life = found.life_cycle
    assert [row[0].removesuffix(" (compared with)") for row in rows] == [
        one.words for one in life.alternatives
    ]
    (marked,) = (row for row in rows if row[0].endswith("(compared with)"))
    assert marked[0].startswith(life.alternative.words)
    assert marked[1] == pytest.approx(6375)  # 1,050 + 2 × 1,100 + 950 + 900, and a quarter more
    assert marked[5] == "yes"
    assert rows[-1][5] == "no: an unserved kWh has no price"
    assert (
        f"compared with the cheapest realistic alternative: {life.alternative.words}, it pays"
        in (section(found).sentence)
    )


def test_summary_json_holds_the_alternatives_of_the_money_page():
    found = outcome()
    money, life = summary_dict(found)["money"], found.life_cycle
    assert money["alternative"] == "generator_with_bank"
    assert money["alternative_asked"] == "auto"
    assert money["compared_with"] == life.compared.words
    assert money["net_saving"] == life.net_saving == pytest.approx(22_827.02, rel=1e-4)
    chosen = next(one for one in money["alternatives"] if one["kind"] == money["alternative"])
    assert (chosen["battery_units"], chosen["generator_rated_w"]) == (2, 3500)
    assert chosen["present_cost"] - money["present_cost"] == pytest.approx(money["net_saving"])
    assert [one["realistic"] for one in money["alternatives"]] == [True, True, False]


def test_where_nothing_is_compared_no_file_claims_a_saving():
    found = outcome("grid")  # there is none
    money, life = summary_dict(found)["money"], found.life_cycle
    assert money["alternative"] is None
    assert money["net_saving"] is None
    assert payback_words(life) == "not compared"
    assert "no saving is claimed" in section(found).sentence
    assert "saves" not in money_figure(life).title
    results = dict(table(found, "Results").rows)
    assert results["Net present value against the alternative"] == "–"
    assert results["Simple payback"] == "–"
