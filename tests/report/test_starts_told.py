"""Paper, sheet and `summary.json` tell one result about starts and about minutes."""

import pytest

from offgrid_sizing.commissioning import sheet_of
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.start_verdicts import CAUTION
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.machine import summary_dict
from offgrid_sizing.report.outcome_summary import summary_of_outcome


@pytest.fixture(scope="module")
def answer():
    return drawn_outcome(demo("shop"))


def test_the_summary_holds_the_design(answer):
    told = summary_dict(answer)["electrical"]["starts"]
    starts = answer.design.starts
    assert (told["sentence"], told["caution"]) == (starts.sentence, CAUTION)
    assert told["sources"] == ["bank", "generator"]
    first, row = told["motors"][0], starts.rows[0]
    assert (first["name"], first["verdict"]) == ("Grain mill", "starts")
    assert first["starting_va"] == row.event.start_va == 5500
    assert [one["source"] for one in first["on"]] == ["bank", "generator"]
    assert first["on"][0]["beside_all"]["bank_v"] == row.sources[0].beside.bank_v
    assert first["on"][0]["beside_all"]["limit_broken"] is None
    assert first["on"][1]["alone"]["dip_frac"] == row.sources[1].alone.dip_frac


def test_minutes_in_the_summary(answer):
    told = summary_dict(answer)["within_hour"]
    assert told["sentence"] == answer.minutes.sentence
    assert not told["load_even_within_step"]
    for week, said in zip(answer.minutes.weeks, told["weeks"], strict=True):
        assert said["by_minute"]["unserved_kwh"] == week.by_minute.unserved_kwh
        assert said["kinds"] == list(week.kinds)


def test_paper_and_sheet(answer):
    paper = summary_of_outcome(answer, date="2026-01-01")
    sections = {one.key: one for one in paper.sections}
    table = next(b for b in sections["wires"].blocks if b.title == "Starts of motors")
    assert table.rows[0][0] == "Grain mill"
    assert table.rows[0][7] == "starts"
    assert CAUTION in table.note
    notes = [b for b in sections["year"].blocks if b.title == "What hourly steps do not show"]
    assert notes[0].items == (answer.minutes.sentence,)
    sheet = sheet_of(answer.sketch, answer.design).to("en")
    rows = next(one for one in sheet.sections if one.key == "acceptance").rows
    mill = next(row for row in rows if "Grain mill" in row.what)
    assert f"bank above {answer.design.starts.rows[0].sources[0].beside.bank_v:.1f} V" in (
        mill.expected
    )
