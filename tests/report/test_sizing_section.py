"""The two ways of sizing on paper: the search's own answer, also where something else is drawn."""

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import sized_outcome
from offgrid_sizing.report.sections.sizing import sizing_section


def test_the_search_column_holds_what_was_found_not_what_is_drawn():
    outcome = sized_outcome(demo("shop"))
    found = outcome.sizing.system
    drawn = found.model_copy(update={"units_in_parallel": found.units_in_parallel + 3})
    as_found, otherwise = (
        sizing_section(outcome.sketch, system, outcome.worksheet, outcome.sizing).blocks[0]
        for system in (found, drawn)
    )
    assert otherwise.rows == as_found.rows
    assert otherwise.rows[1][2] == found.units_in_parallel
    assert as_found.note == ""
    assert f"{drawn.units_in_parallel} units in parallel" in otherwise.note
