"""Compiled code: kept where it may be written, never in the way of a first answer."""

import os
import subprocess
import sys
from pathlib import Path

import numpy as np
import pytest

from offgrid_sizing.dispatch import Params, cache, kernels, lane_kernels, run, trace


def told_by(code, **environment):
    """What a fresh process prints."""
    own = {k: v for k, v in os.environ.items() if k != "NUMBA_CACHE_DIR"}
    done = subprocess.run(
        [sys.executable, "-c", code], env=own | environment, capture_output=True, text=True
    )
    assert done.returncode == 0, done.stderr
    return done.stdout.split()


@pytest.fixture
def no_memory():
    """`kernel_cache_dir` looks again, and once more after the test."""
    cache.kernel_cache_dir.cache_clear()
    yield
    cache.kernel_cache_dir.cache_clear()


def test_a_read_only_installation_keeps_it_in_the_users_cache(tmp_path, monkeypatch, no_memory):
    package = Path(kernels.__file__).parent
    really = cache._writable
    monkeypatch.setattr(
        cache, "_writable", lambda folder: package not in folder.parents and really(folder)
    )
    monkeypatch.delenv("NUMBA_CACHE_DIR", raising=False)
    monkeypatch.setenv("OFFGRID_CACHE", str(tmp_path))
    assert cache.kernel_cache_dir() == tmp_path / "kernels"


def test_where_nothing_is_writable_it_still_computes():
    code = (
        "from offgrid_sizing.dispatch import cache, kernels_ready, warm;"
        "cache._writable = lambda folder: False; cache.kernel_cache_dir.cache_clear();"
        "print(kernels_ready(), warm.warm_kernels_in_subprocess());"
        "import numpy as np; from offgrid_sizing.dispatch import Params, run, SERIES;"
        "names = ('ctrl','charger','ce','de','h');"
        "run(Params(dict.fromkeys(names, 1.0)), np.zeros((3, len(SERIES))), compiled=True);"
        "print(cache.kernel_cache_dir())"
    )
    assert told_by(code) == ["False", "None", "None"]


def test_a_file_in_place_of_a_folder_is_not_writable(tmp_path):
    (tmp_path / "file").write_text("")
    assert not cache._writable(tmp_path / "file")
    assert not cache._writable(tmp_path / "file" / "below")
    assert cache._writable(tmp_path / "new" / "folder")


def test_a_process_of_its_own_fills_a_chosen_folder_for_the_next(tmp_path):
    fill = (
        "from offgrid_sizing.dispatch import kernels_ready, warm_kernels_in_subprocess;"
        "before = kernels_ready(); process = warm_kernels_in_subprocess();"
        "code = process.wait(); print(before, code, kernels_ready(), warm_kernels_in_subprocess())"
    )
    use = (
        "from offgrid_sizing.dispatch import kernels_ready, warm_kernels, kernel_cache_dir;"
        "first = kernels_ready(); warm_kernels(); print(first, kernel_cache_dir())"
    )
    chosen = str(tmp_path / "chosen")
    assert told_by(fill, NUMBA_CACHE_DIR=chosen) == ["False", "0", "True", "None"]
    assert told_by(use, NUMBA_CACHE_DIR=chosen) == ["True", chosen]


def test_the_loops_of_long_sheets_are_ready_apart(tmp_path):
    code = (
        "from offgrid_sizing.dispatch import kernels_ready, warm_kernels;"
        "warm_kernels(); print(kernels_ready(), kernels_ready(long=True));"
        "warm_kernels(long=True); print(kernels_ready(long=True))"
    )
    again = (
        "from offgrid_sizing.dispatch import kernels_ready, warm_kernels_in_subprocess;"
        "print(kernels_ready(long=True), warm_kernels_in_subprocess(long=True))"
    )
    chosen = str(tmp_path / "chosen")
    assert told_by(code, NUMBA_CACHE_DIR=chosen) == ["True", "False", "True"]
    assert told_by(again, NUMBA_CACHE_DIR=chosen) == ["True", "None"]


@pytest.mark.parametrize(("points", "long"), [(1, False), (5, False), (6, True), (9, True)])
def test_a_run_asks_for_the_loops_of_its_own_curve(points, long, monkeypatch):
    asked = []
    monkeypatch.setattr(trace, "kernels_ready", lambda *, long: bool(asked.append(long)))
    curve = tuple((k + 1.0, k + 1.0) for k in range(points))
    names = ("ctrl", "charger", "ce", "de", "h")
    params = Params({**dict.fromkeys(names, 1.0), "curve": curve})
    run(params, np.zeros((3, len(kernels.SERIES))))
    assert asked == [long]


def test_the_first_answer_needs_no_compiler():
    code = (
        "import sys; import numpy as np;"
        "from offgrid_sizing.dispatch import Params, run, SERIES;"
        "names = ('ctrl','charger','ce','de','h');"
        "run(Params(dict.fromkeys(names, 1.0)), np.zeros((3, len(SERIES))), compiled=False);"
        "print('numba' in sys.modules)"
    )
    assert told_by(code) == ["False"]


def test_another_rule_gives_another_cached_file():
    names = ("bent", "dc_of", "ac_of", "step", "scalar_steps")
    before = cache._digest(kernels, names)

    class Changed:
        pass

    other = Changed()
    for name, value in vars(kernels).items():
        setattr(other, name, value)
    other.dc_of = kernels.ac_of
    assert cache._digest(other, names) != before
    assert cache._digest(kernels, names) == before


def test_a_changed_rule_renames_the_lanes_too(monkeypatch):
    names = ("bent", "dc_of", "ac_of", "step", "lanes_row", "lanes_at", "lanes_steps")
    before = cache._digest(lane_kernels, names)
    monkeypatch.setattr(kernels, "dc_of", kernels.ac_of)
    assert cache._digest(lane_kernels, names) != before
    monkeypatch.undo()
    monkeypatch.setattr(kernels, "SOC_EPS", 2e-9)
    assert cache._digest(lane_kernels, names) != before
