"""Hours of the day as people write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from offgrid_sizing.loads.hours import (
    format_windows,
    hours_of,
    paint,
    parse_windows,
    window_hours,
)
from offgrid_sizing.sketch import BadInput, TimeWindow


def window(a, b):
    return TimeWindow(from_h=a, to_h=b)


@pytest.mark.parametrize(
    ("text", "windows", "total"),
    [
        ("06–09 and 17–22, 3 h in total", ((6, 9), (17, 22)), 3),
        ("6-9", ((6, 9),), None),
        ("06:30–09:15", ((6.5, 9.25),), None),
        ("9am to noon", ((9, 12),), None),
        ("12am-6 am", ((0, 6),), None),
        ("10 pm - midnight", ((22, 0),), None),
        ("22:30-6", ((22.5, 6),), None),
        ("17h-22h", ((17, 22),), None),
        ("6-9; 17-22; 1,5 h", ((6, 9), (17, 22)), 1.5),
        ("6 to 9 + 17 to 22 for 90 min", ((6, 9), (17, 22)), 1.5),
        ("6 to 9 + 17 to 22, for 90 min", ((6, 9), (17, 22)), 1.5),
        ("from 18 until 23", ((18, 23),), None),
        ("0-24", (), None),
        ("always", (), None),
        ("", (), None),
        ("3 h", (), 3),
        ("2 hours a day", (), 2),
    ],
)
def test_windows_are_read_as_people_write_them(text, windows, total):
    found, run = parse_windows(text)
    assert tuple((w.from_h, w.to_h) for w in found) == windows
    assert run == total


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("breakfast", "'breakfast' is not a time window"),
        ("6-25", "hours end at 24"),
        ("6:75-8", "minutes end at 59"),
        ("13pm-14pm", "hours are 1 to 12"),
        ("6-9, 5 h", "the windows hold 3 h a day"),
        ("6-9, 1 h, 2 h", "two totals"),
        (", ".join(["1-2"] * 25), "too many"),
    ],
)
def test_what_is_no_window_is_refused_in_one_sentence(text, says):
    with pytest.raises(BadInput) as refused:
        parse_windows(text)
    assert len(refused.value.sentences) == 1
    assert says in refused.value.sentences[0]


quarter = st.integers(0, 95).map(lambda quarters: quarters / 4)


@given(
    st.lists(st.tuples(quarter, quarter), min_size=1, max_size=5),
    st.one_of(st.none(), st.floats(0.01, 1).map(lambda share: round(share, 3))),
)
def test_writing_and_reading_windows_are_inverse(spans, share):
    windows = tuple(window(a, b) for a, b in spans)
    total = None if share is None else float(f"{share * window_hours(windows):.6g}")
    if total is not None and total > window_hours(windows):
        total = window_hours(windows)
    found, run = parse_windows(format_windows(windows, total))
    assert [w.from_h for w in found] == pytest.approx([a for a, _ in spans])
    assert [w.to_h for w in found] == pytest.approx([b for _, b in spans])
    assert run == (None if total is None else pytest.approx(total, rel=1e-5))


def test_overlap_counts_once_and_midnight_wraps():
    assert window_hours((window(6, 9), window(8, 10))) == 4
    assert window_hours((window(22, 6),)) == 8
    assert window_hours((window(5, 5),)) == 24
    assert hours_of((window(22, 2),))[22:] == (1, 1)
    assert hours_of((window(22, 2),))[:3] == (1, 1, 0)


def test_hours_of_windows_keep_the_run_time():
    assert sum(hours_of((window(6, 9), window(17, 22)), 3)) == pytest.approx(3)


def test_painting_a_strip():
    strip = paint(None, 17, 22)
    assert sum(strip) == 5
    assert paint(strip, 22, 2, 0.5)[23] == 0.5
    assert paint(strip, 18, 19, 0)[18] == 0
    assert sum(paint(None, 0, 24)) == 24
    assert paint(strip, 7, 7) == strip
    with pytest.raises(BadInput, match="within 0 and 24"):
        paint(None, 5, 30)
    with pytest.raises(BadInput, match="within 0 and 1"):
        paint(None, 5, 6, 2)
