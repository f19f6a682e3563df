"""AppTest with a home of its own; `tests/ui/test_<page>.py` uses `app`, `page` and `trouble`."""

import importlib
from functools import cache
from pathlib import Path

import pytest
from streamlit.testing.v1 import AppTest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.sketch import Appliance, Loads, RoofPlane, Sketch
from offgrid_sizing.store import Store, default_store

ROOT = Path(__file__).resolve().parents[2]
TIMEOUT_S = 60


@pytest.fixture(scope="session", autouse=True)
def packages_are_looked_through_once():
    """AppTest reads the metadata of every installed package for each page it opens: half its time.

    Which of them bring components for Streamlit does not change while the tests run.
    """
    scanner = importlib.import_module("streamlit.components.v2.manifest_scanner")
    with pytest.MonkeyPatch.context() as patch:
        scan = cache(scanner.scan_component_manifests)
        patch.setattr(scanner, "scan_component_manifests", scan)
        yield


@pytest.fixture(autouse=True)
def home(tmp_path, monkeypatch):
    """An empty user's folder, single-user mode, no database address."""
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "home"))
    monkeypatch.setenv("OFFGRID_ACCESS", "private")
    monkeypatch.delenv("OFFGRID_DATABASE_URL", raising=False)
    default_store.cache_clear()
    yield tmp_path / "home"
    default_store.cache_clear()


@pytest.fixture
def store(home):
    """The store that the dashboard under test uses."""
    return default_store(None, str(home), True)


def address_for(store: Store, sketch: Sketch) -> str:
    """Save a sketch; what goes after `?sketch=`."""
    return store.new(sketch).token


@pytest.fixture
def app(store):
    """`app(sketch=None, **query)`: the whole dashboard, run once, at its front page."""

    def run(sketch: Sketch | None = None, **query: str) -> AppTest:
        test = AppTest.from_file(
            str(ROOT / "offgrid_sizing" / "dashboard.py"), default_timeout=TIMEOUT_S
        )
        if sketch is not None:
            test.query_params["sketch"] = address_for(store, sketch)
        for name, value in query.items():
            test.query_params[name] = value
        return test.run()

    return run


def _draw_page(name: str) -> None:
    from offgrid_sizing.ui import navigation

    navigation.run_alone(name)


@pytest.fixture
def page(store):
    """`page(name, given=None, section=None, **query)`: one page, run once, as it would be drawn."""

    def run(
        name: str, given: Sketch | None = None, section: str | None = None, **query: str
    ) -> AppTest:
        test = AppTest.from_function(_draw_page, default_timeout=TIMEOUT_S, kwargs={"name": name})
        if section is not None:
            test.session_state[f"{name}_section"] = section
        if given is not None:
            test.query_params["sketch"] = address_for(store, given)
        for key, value in query.items():
            test.query_params[key] = value
        return test.run()

    return run


def trouble(test: AppTest, home: Path) -> list[str]:
    """Everything that must not happen: exceptions and saved diagnostics."""
    files = sorted((home / "diagnostics").glob("*.txt"))
    return [str(each.value) for each in test.exception] + [file.read_text() for file in files]


# --- the four sketches every page must bear ------------------------------------------------


def empty_sketch() -> Sketch:
    """Nothing drawn and nothing used."""
    base = demo()
    return Sketch(site=base.site, loads=Loads(), roof_planes=(), title="Empty")


def largest_sketch() -> Sketch:
    """As many appliances and roof planes as are allowed, texts at full length."""
    base = demo()
    one = base.loads.appliances[0]
    appliances = tuple(
        Appliance(**(dict(one) | {"name": f"{number} " + "x" * 110})) for number in range(500)
    )
    planes = tuple(RoofPlane(name=f"Plane {n}", azimuth_deg=30 * n) for n in range(12))
    fields = {
        "title": "L" * 120,
        "notes": "n" * 4000,
        "roof_planes": planes,
        "loads": Loads(appliances=appliances),
    }
    return Sketch(**(dict(base) | fields))


def impossible_sketch() -> Sketch:
    """No size within its bounds can meet it: a tiny search, a huge load, no array."""
    base = demo()
    fields = {
        "loads": Loads(appliances=base.loads.appliances, scale=100),
        "targets": base.targets.model_copy(
            update={"max_units": 1, "max_modules": 1, "max_unserved_frac": 0.0}
        ),
        "grid": base.grid.model_copy(update={"kind": "none"}),
        "generator": None,
        "title": "Impossible",
    }
    return Sketch(**(dict(base) | fields))


FOUR = {
    "empty": empty_sketch,
    "demo": demo,
    "largest": largest_sketch,
    "impossible": impossible_sketch,
}
ALL_DEMOS = DEMOS


@pytest.fixture(params=FOUR)
def any_sketch(request) -> Sketch:
    """Each of the four in turn."""
    return FOUR[request.param]()


@pytest.fixture
def no_trouble(home):
    """`no_trouble(test)`: fail on an exception or a saved diagnostic."""

    def check(test: AppTest) -> None:
        assert trouble(test, home) == []

    return check
