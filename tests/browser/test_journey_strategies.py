"""A town house under cuts: compare the priorities, choose the tuned blend, find it kept."""

import pytest
from browser_kit import served
from calm_kit import calm
from journey_kit import answer, charts, go, section
from playwright.sync_api import expect

from offgrid_sizing.demos import demo
from offgrid_sizing.store import default_store

pytestmark = pytest.mark.browser


@pytest.fixture(scope="module")
def town_house(tmp_path_factory):
    """The address of a saved town house, on a dashboard of its own."""
    home = tmp_path_factory.mktemp("town")
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("OFFGRID_HOME", str(home))
        default_store.cache_clear()
        token = default_store(None, str(home), True).new(demo("town_house")).token
        default_store.cache_clear()
    with served(home) as url:
        yield f"{url}/strategies?sketch={token}"


def test_the_tuned_blend_is_compared_chosen_and_kept(town_house, open_page):
    watched = open_page(town_house)
    page = watched.page
    calm(watched)
    expect(answer(watched)).to_contain_text("lowest energy bill")
    expect(charts(watched).first).to_be_visible()
    section(watched, "One week")
    expect(charts(watched).first).to_contain_text("ride-through")
    section(watched, "Perfect foresight")
    calm(watched)
    expect(page.get_by_text("With perfect foresight")).to_be_visible()
    section(watched, "Tuned blend")
    calm(watched)
    button = page.get_by_role("button", name="Use the tuned blend")
    button.click()
    calm(watched)
    expect(page.get_by_role("button", name="The tuned blend is in use")).to_be_disabled()
    page.reload()
    calm(watched)
    section(watched, "Tuned blend")
    calm(watched)
    expect(page.get_by_role("button", name="The tuned blend is in use")).to_be_disabled()
    go(watched, "Grid and charge priority")
    watched.no_complaints()
