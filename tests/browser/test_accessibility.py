"""axe-core finds no serious or critical fault that the project can change, light and dark.

axe-core 4 (Deque Systems, MPL-2.0) is a test tool only; it comes in axe-playwright-python (MIT).
"""

from importlib import import_module, resources

import pytest
from calm_kit import address_of, calm

from offgrid_sizing.ui.navigation import STEPS

pytestmark = pytest.mark.browser
AXE = resources.files("axe_playwright_python") / "axe.min.js"
GRAVE = ("serious", "critical")
# What is Streamlit's own markup and cannot be changed from a page, with the reason.
FOREIGN: dict[str, str] = {}
_RUN = """async () => {
  const found = await axe.run(document, {resultTypes: ['violations']});
  return found.violations.map(v => ({id: v.id, impact: v.impact, help: v.help,
    nodes: v.nodes.map(n => ({target: n.target.join(' '), html: n.html.slice(0, 300),
                              why: n.failureSummary}))}));
}"""


def sections_of(name: str) -> tuple[str, ...]:
    """The sections of a page; one nameless where it has none."""
    return tuple(getattr(import_module(f"offgrid_sizing.ui.pages.{name}"), "SECTIONS", ("",)))


def grave_faults(page) -> list[str]:
    """Serious and critical faults that are ours."""
    page.add_script_tag(content=AXE.read_text("utf-8"))
    found = page.evaluate(_RUN)
    return [
        f"{fault['id']} ({fault['impact']}): {node['target']} {node['html']} {node['why']}"
        for fault in found
        if fault["impact"] in GRAVE
        for node in fault["nodes"]
        if fault["id"] not in FOREIGN
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("name", [step.name for step in STEPS])
def test_no_grave_fault(dashboard, open_page, name, scheme):
    watched = open_page(address_of(dashboard, name), scheme=scheme)
    buttons = watched.page.locator("[data-testid=stSegmentedControl], [data-testid=stButtonGroup]")
    faults = {}
    for place, section in enumerate(sections_of(name)):
        if section and buttons.count():
            buttons.first.get_by_role("radio").nth(place).click()
        calm(watched)
        faults[section] = grave_faults(watched.page)
        if faults[section]:
            # figures that were being worked out when the page was read stand greyed for a moment
            watched.page.wait_for_timeout(4000)
            calm(watched)
            faults[section] = grave_faults(watched.page)
    assert {section: found for section, found in faults.items() if found} == {}
