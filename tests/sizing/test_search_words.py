"""The target in words, whatever share of bad years a sketch asks for."""

import pytest

from offgrid_sizing.demos import demo
from offgrid_sizing.sizing import search_words


@pytest.mark.parametrize(
    ("judge", "bad_year_frac", "said"),
    [
        ("median", 0.0, "in the median year"),
        ("bad_year", 0.1, "in the 1-in-10 bad year"),
        ("bad_year", 0.05, "in the 1-in-20 bad year"),
        ("bad_year", 0.0, "in the worst year"),
    ],
)
def test_the_judged_year_is_named(judge, bad_year_frac, said):
    sketch = demo("farmhouse")
    targets = sketch.targets.model_copy(update={"judge": judge, "bad_year_frac": bad_year_frac})
    words = search_words._target_words(sketch.model_copy(update={"targets": targets}))
    assert words.endswith(said)
