"""A logger's hostile files and what was taken for what, in Spanish with no English left."""

import numpy as np
import pandas as pd
import pytest
from two_languages import assert_both_languages

from offgrid_sizing.demos import demo
from offgrid_sizing.followup import ROLE_NAMES, Mapping, compare, read_logger_csv
from offgrid_sizing.followup.logger import Logger
from offgrid_sizing.followup.marks import Marks, without_false
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.ui.words import catalogue
from offgrid_sizing.words import to_words

HOURS = [f"2026-06-{day:02d} {hour:02d}:00" for day in (1, 2, 3) for hour in range(24)]


def _file(head: str, row) -> bytes:
    return "\n".join([head, *(f"{at},{row(n)}" for n, at in enumerate(HOURS))]).encode()


@pytest.mark.parametrize(
    "content",
    [b"", b"hello", b"PK\x03\x04rubbish", b"PV W,load W\n5,6\n7,8\n",
     b"time,colour\n2026-06-01 00:00,1\n2026-06-01 01:00,2\n",
     b"time,PV W\n2026-06-01,1\n2026-06-09,2\n", b"1,2\n3,4\n5,6\n"],
)  # fmt: skip
def test_a_file_that_cannot_be_read(content):
    with pytest.raises(BadInput) as refused:
        read_logger_csv(content)
    assert_both_languages(refused.value.sentences, content)


@pytest.mark.parametrize("columns", [{"time": "a", "pv": "b"}, {"time": "b", "pv": "nowhere"}])
def test_a_mapping_that_does_not_fit(columns):
    content = b"b,a\n2026-06-01 00:00,x1\n2026-06-01 01:00,x2\n"
    with pytest.raises(BadInput) as refused:
        read_logger_csv(content, Mapping(columns, {"pv": "w"}))
    assert_both_languages(refused.value.sentences, content.decode() + "nowhere")


@pytest.mark.parametrize("head", ["time,Battery,SOC %", "time,Battery,PV", "time,Battery,other"])
@pytest.mark.parametrize("sign", [1, -1])
def test_what_was_taken_for_what(head, sign):
    content = _file(head, lambda n: f"{sign * (n % 24 - 11) * 9},{40 + n % 24}")
    logger = read_logger_csv(content + b"\n2026-06-03 23:00,1,2")
    assert_both_languages(logger.notes, content)
    assert to_words(logger.notes[0], "es").startswith("Lecturas que aparecen dos veces: 1;")
    assert logger.notes[0] == "1 reading came twice; the first was kept."


def test_false_readings_are_counted():
    time = pd.date_range("2026-06-01", periods=4, freq="h")
    logger = Logger("a.csv", time, 1.0, {"pv": np.ones(4)}, Mapping({}, {}), ())
    no = np.zeros(4, bool)
    one = np.array([True, False, False, False])
    assert_both_languages(without_false(logger, Marks(one, no, no, no)).notes)


def test_no_day_to_compare_and_no_array():
    run = simulate(demo("farmhouse"))
    short = read_logger_csv(b"time,PV W\n2026-06-01 00:00,1\n2026-06-01 01:00,2\n")
    with pytest.raises(BadInput) as refused:
        compare(short, run)
    assert_both_languages(refused.value.sentences)
    partly = _file("time,PV W", lambda n: n % 24) + b"\n2026-06-09 00:00,1\n2026-06-09 01:00,1"
    assert_both_languages(compare(read_logger_csv(partly), run).notes[-1:])


@pytest.mark.parametrize("role", ROLE_NAMES)
def test_every_role_has_a_name(role):
    assert ROLE_NAMES[role].to("en") != ROLE_NAMES[role].to("es")
    assert f"followup.role.{role}" in catalogue("es")
