"""What the search says: the target, the year by name, and what really fails."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.sizing.candidates import candidates_of
from offgrid_sizing.sizing.least import LeastBank
from offgrid_sizing.sizing.ride import Ride
from offgrid_sizing.sizing.search_words import Found, sentence_words, why_words
from offgrid_sizing.system import drawn_system


def found(missed=(), *, least=None, ride=None, share=0.0, hours=0.0, **targets):
    sketch = demo("farmhouse")
    targets = sketch.targets.model_copy(update=targets)
    sketch = sketch.model_copy(update={"targets": targets})
    return Found(
        sketch=sketch,
        candidates=candidates_of(sketch, peak_of(sketch), -25.0),
        system=drawn_system(sketch),
        unserved_frac=share,
        unserved_h=hours,
        missed=missed,
        least=least or LeastBank(1, "nothing", "", 3.0),
        ride=ride,
        year="the median year",
    )


def test_the_target_says_days_share_hours_and_year():
    asked = found(days_of_autonomy=1, max_unserved_frac=0.005, max_loss_of_load_h=20)
    assert asked.target == "1 day of autonomy and 0.5 % unserved and 20 h a year in the median year"


@pytest.mark.parametrize(
    ("missed", "says", "never"),
    [
        ("current", "supplies the peak current", "unserved"),
        (
            "autonomy",
            "supplies the home for 2 days without sun; the largest reaches 0.4",
            "unserved",
        ),
        ("unserved", "the best reaches 3 % and 40 h: raise the limit", "without sun;"),
        ("hours", "the best reaches 3 % and 40 h: raise the limits", "without sun;"),
        ("ride", "rides through grid outages of 30 h within the other targets", "raise the limit"),
    ],
)
def test_what_really_fails_is_named(missed, says, never):
    words = sentence_words(
        found(
            (missed,),
            least=LeastBank(16, "autonomy", "", 0.4),
            ride=Ride(30, 12) if missed == "ride" else None,
            share=0.03,
            hours=40.0,
            max_loss_of_load_h=10 if missed == "hours" else None,
        )
    )
    assert says in words
    assert never not in words
    assert words.startswith("no ")


def test_cheapest_of_all_is_claimed_only_where_all_were_run():
    whole = why_words(680, 1, True)
    assert whole == (
        "Dense scan: all 680 whole systems that can be built within the limits were "
        "simulated with the year, so none of them that meets the target is cheaper."
    )
    coarse = why_words(680, 20, False)
    assert "20 years" in coarse
    assert "one between them may be cheaper" in coarse
