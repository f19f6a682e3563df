"""The inspection's rows on Wiring: faults and questions first, answered where they are asked."""

import pytest
from test_results_do import at, sketch_of

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.ui.parts.wiring_inspection import ANSWERS
from offgrid_sizing.ui.plain import plain


def shown(test) -> str:
    return "\n".join(one.value for one in test.markdown)


def _asked(test, field):
    return next(one for one in (*test.selectbox, *test.number_input) if one.key == f"field:{field}")


@pytest.mark.parametrize("lang", ["en", "es"])
@pytest.mark.parametrize("name", DEMOS)
def test_every_row_is_shown_faults_and_questions_first(page, name, lang, no_trouble, monkeypatch):
    monkeypatch.setattr("offgrid_sizing.ui.tongue.DEFAULT", lang)
    test = at(page, "wiring", "inspection", demo(name), lang=lang)
    no_trouble(test)
    inspection = drawn_outcome(demo(name)).design.inspection
    words, last = shown(test), -1
    for _, rows in inspection.by_state:
        for row in rows:
            # two rows share a name with a page's heading: the row itself is looked for
            here = words.find(f"**{plain(row.title.to(lang))}**: {plain(row.said.to(lang))}")
            assert here > last, row.key
            last = here
    assert plain(inspection.sentence.to(lang)) in words


def test_every_answer_has_one_field_on_the_page(page, no_trouble):
    test = at(page, "wiring", "inspection", demo("farmhouse"))
    no_trouble(test)
    keys = [one.key for one in (*test.selectbox, *test.number_input)]
    assert [keys.count(f"field:{name}") for name in ANSWERS] == [1] * len(ANSWERS)


def test_an_answer_closes_its_question_and_a_wrong_one_is_a_fault(page, no_trouble):
    test = at(page, "wiring", "inspection", demo("town_house"))
    before = drawn_outcome(demo("town_house")).design.inspection.questions
    assert f"{before} questions of an inspector are open" in shown(test)
    _asked(test, "equipment.controller.arc_fault").set_value("no").run()
    assert sketch_of(test).equipment.controller.arc_fault == "no"
    assert f"{before - 1} questions of an inspector are open" in shown(test)
    assert any("690.11" in one.value.replace("\\", "") for one in test.error)
    _asked(test, "equipment.controller.arc_fault").set_value("yes").run()
    assert not test.error
    no_trouble(test)
