"""All bank sizes at once: the falls against a plain loop through a store of each size."""

from functools import partial
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from offgrid_sizing.dispatch import layers
from offgrid_sizing.dispatch.cache import compiled_kernels
from offgrid_sizing.sizing.falls import falls_of, unserved_wh, uses_per_year


def walk(seed: int, *, whole: bool) -> list[float]:
    """Steps in and out, longer than hypothesis would draw them, so that falls nest deep."""
    rng = np.random.default_rng(seed)
    count = rng.integers(0, 300)
    steps = rng.integers(-6, 7, count) if whole else rng.uniform(-1e3, 1e3, count)
    return steps.astype(float).tolist()


# small whole numbers: ties, zeros and sums without any rounding
SEED = st.integers(0, 2**32)
WHOLE = st.one_of(
    st.lists(st.integers(-6, 6).map(float), max_size=80), SEED.map(partial(walk, whole=True))
)
ANY = st.one_of(
    st.lists(st.one_of(st.floats(-1e3, 1e3), st.sampled_from([0.0, 250.0, -250.0])), max_size=200),
    SEED.map(partial(walk, whole=False)),
)
SIZES = st.lists(st.floats(0, 5e3), min_size=1, max_size=8)


def short_of(net, capacity: float) -> list[float]:
    """What a store of this size that begins full falls short of in each step."""
    held, short = capacity, []
    for one in net:
        after = held + one
        short.append(max(-after, 0.0))
        held = min(max(after, 0.0), capacity)
    return short


def times_used(net, capacity: float, *, beyond: bool) -> int:
    """How often the last that a store holds, or the first it lacks, is emptied after being filled.

    The last is filled when the store is full and emptied with it; what lies just beyond would be
    filled by what the store cannot take any more and emptied by what it cannot give.
    """
    held, filled, count = capacity, True, 0
    for one in net:
        after = held + one
        if filled and (after < 0 if beyond else after <= 0):
            filled, count = False, count + 1
        filled = filled or (after > capacity if beyond else after >= capacity)
        held = min(max(after, 0.0), capacity)
    return count


@given(ANY, SIZES)
@example([], [0.0, 1.0])
@example([0.0, 0.0], [0.0, 1.0])
@example([3.0, 1.0, 5.0], [0.0, 2.0])
@example([-3.0, -1.0, -5.0], [0.0, 2.0, 9.0, 10.0])
@example([-1e3, 1e-9, -1e-9, 1e3, -1e3], [1e3, 999.9])
@settings(max_examples=300, deadline=None)
def test_unserved_is_that_of_a_loop_through_each_store(net, sizes):
    falls = falls_of(np.array(net))
    sizes = [0.0, *sizes, *falls.depth_wh.tolist()]
    for size, found in zip(sizes, unserved_wh(falls, sizes), strict=True):
        assert found == pytest.approx(sum(short_of(net, size)), rel=1e-9, abs=1e-9)


@given(WHOLE)
@settings(max_examples=300, deadline=None)
def test_whole_numbers_agree_to_the_last_bit(net):
    falls = falls_of(np.array(net))
    sizes = np.arange(0, 60) / 2
    found = unserved_wh(falls, sizes)
    assert found.tolist() == [sum(short_of(net, size)) for size in sizes]
    depths = np.repeat(falls.depth_wh, falls.times.astype(int))
    assert found.tolist() == [float(np.maximum(depths - size, 0).sum()) for size in sizes]
    assert depths.sum() == -sum(one for one in net if one < 0)  # a store of nothing serves nothing


@given(WHOLE)
@settings(max_examples=300, deadline=None)
def test_the_slope_is_how_often_the_last_wh_is_used(net):
    falls = falls_of(np.array(net))
    sizes = np.arange(1, 40) / 2
    beyond, last = uses_per_year(falls, sizes), uses_per_year(falls, sizes - 0.25)
    assert beyond.tolist() == [times_used(net, size, beyond=True) for size in sizes]
    assert last.tolist() == [times_used(net, size, beyond=False) for size in sizes]
    assert (
        beyond.tolist()
        == ((unserved_wh(falls, sizes) - unserved_wh(falls, sizes + 0.25)) / 0.25).tolist()
    )


@given(WHOLE, st.data())
@settings(max_examples=200, deadline=None)
def test_each_drop_counts_what_it_is_worth(net, data):
    """What a step leaves unserved, times its worth; a step that counts nothing still empties."""
    worth = data.draw(st.lists(st.integers(0, 3).map(float), min_size=len(net), max_size=len(net)))
    falls = falls_of(np.array(net), worth=np.array(worth), always_wh=7.0)
    sizes = np.arange(0, 40) / 2
    expected = [7 + float(np.dot(short_of(net, size), worth)) for size in sizes]
    assert unserved_wh(falls, sizes).tolist() == expected


@given(ANY)
@settings(max_examples=50, deadline=None)
def test_compiled_and_plain_python_give_the_same_bits(net):
    def edges_by(kernel):
        count = len(net)
        edges, top, bottom = (np.full(size, np.nan) for size in ((3, 2 * count + 1), count, count))
        top[:1], bottom[:1] = 0.0, np.inf  # of the rest nothing is asked
        weights = np.arange(count, dtype=float), np.ones(count)
        found = kernel(np.array(net, dtype=float), *weights, *edges, top, bottom)
        return edges[:, :found]

    plain, quick = edges_by(layers.layers_used), edges_by(compiled_kernels().layers_used)
    assert np.array_equal(plain, quick)


@pytest.mark.parametrize("kernel", ["plain", "compiled"])
def test_the_edges_of_three_steps(kernel):
    """What stood in the room before is not asked for."""
    run = layers.layers_used if kernel == "plain" else compiled_kernels().layers_used
    edges, top, bottom = np.zeros((3, 7)), np.zeros(3), np.full(3, np.inf)
    net, worth, times = np.array([-5.0, 3.0, -4.0]), np.array([2.0, 9.0, 3.0]), np.ones(3)
    assert run(net, worth, times, *edges, top, bottom) == 6
    assert edges[0, :6].tolist() == [0, 5, 0, 3, 5, 6]
    assert edges[1, :6].tolist() == [-2, 2, -3, 3, -3, 3]
    assert edges[2, :6].tolist() == [-1, 1, -1, 1, -1, 1]


def test_the_deepest_nest_finds_room(monkeypatch):
    """Falls within falls, each half as deep, and one that ends them all: the most edges there are.

    In plain Python, which tells of a place that is not there.
    """
    plain = SimpleNamespace(layers_used=layers.layers_used)
    monkeypatch.setattr("offgrid_sizing.sizing.falls.compiled_kernels", lambda: plain)
    nest = [part * 0.25**k for k in range(20) for part in (-2.0, 1.0)]
    falls = falls_of(np.array([*nest, -10.0]))
    assert falls.times.sum() == 21
    assert not len(falls_of(np.array([])).times)
    assert falls.depth_wh[-1] == pytest.approx(10 - sum(nest))


def test_a_year_worked_by_hand():
    """Full; 5 out, 3 in, 4 out: one fall of 3 within one of 6. A store of 4 lacks 1 and then 1."""
    falls = falls_of(np.array([-5.0, 3.0, -4.0]))
    assert (falls.depth_wh.tolist(), falls.times.tolist()) == ([3.0, 6.0], [1.0, 1.0])
    assert unserved_wh(falls, [0, 2, 3, 4, 6, 9]).tolist() == [9, 5, 3, 2, 0, 0]
    assert uses_per_year(falls, [0, 2, 3, 5.9, 6]).tolist() == [2, 2, 1, 1, 0]


@pytest.mark.parametrize(
    ("net", "depths"),
    [
        ([], []),
        ([2.0, 0.0, 1.0], []),  # nothing falls
        ([-2.0, 0.0, -1.0], [3.0]),  # one fall that nothing makes good
        ([-2.0, 2.0, -2.0, 5.0, -2.0], [2.0, 2.0, 2.0]),
        ([-4.0, 1.0, -1.0, 1.0, -1.0, 2.0], [1.0, 1.0, 4.0]),  # the end leaves it half full
        ([-4.0, 2.0, -1.0, 3.0, -1.0], [1.0, 1.0, 4.0]),
        ([-6.0, 3.0, -2.0, 1.0, 2.0, -5.0], [2.0, 4.0, 7.0]),  # a rise through two gaps
        ([5.0, -1.0], [1.0]),  # it begins full: what comes first is lost
    ],
)
def test_falls_of_a_few_steps(net, depths):
    falls = falls_of(np.array(net))
    assert np.repeat(falls.depth_wh, falls.times.astype(int)).tolist() == depths


def test_any_number_of_capacities_in_any_shape():
    falls = falls_of(np.array([-5.0, 3.0, -4.0]))
    sizes = np.array([[6.0, 4.0], [0.0, 3.0]])
    assert unserved_wh(falls, sizes).tolist() == [[0.0, 2.0], [9.0, 3.0]]
    assert uses_per_year(falls, sizes).tolist() == [[0.0, 1.0], [2.0, 1.0]]
    assert float(unserved_wh(falls, 4.0)) == 2.0
