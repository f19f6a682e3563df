"""Starts of motors and what hourly steps do not show, on the pages: the outcome's own figures."""

from iec_kit import iec_home
from test_page_loads import section
from test_strip import settled

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.sketch import Appliance, Sketch
from offgrid_sizing.ui.plain import plain
from offgrid_sizing.units import THIN


def texts(test) -> str:
    return " ".join(one.value for one in (*test.markdown, *test.caption))


def verdicts(test) -> list[tuple[str, str, str]]:
    frame = next(one.value for one in test.dataframe if "verdict" in one.value.columns)
    return list(frame[["motor", "on", "verdict"]].itertuples(index=False, name=None))


def heavy() -> Sketch:
    """The farmhouse with a saw that starts at 9,000 VA: alone it does, beside the rest not."""
    raw = demo("farmhouse").model_dump()
    saw = Appliance(name="Saw", running_w=1500, starting_multiple=6, hours=(0.1,) * 24)
    raw["loads"]["appliances"] = [*raw["loads"]["appliances"], saw.model_dump()]
    return Sketch.model_validate(raw)


def test_loads_and_wiring_show_the_same_verdicts(page, no_trouble):
    sketch = heavy()
    design = drawn_outcome(sketch).design
    wanted = [
        (row.event.name, "bank", {"starts": "starts", "alone": "only with nothing else on"}[
            row.verdict])
        for row in design.starts.rows
    ]  # fmt: skip
    assert wanted[0] == ("Saw", "bank", "only with nothing else on")
    loads = section(page("loads", sketch), "peak")
    no_trouble(loads)
    assert verdicts(loads) == wanted
    assert "Only with nothing else on: Saw." in texts(loads)
    assert plain(design.starts.advice[0]) in texts(loads)
    wiring = page("wiring", sketch)
    wiring.session_state["wiring_section"] = "machines"
    wiring.run()
    no_trouble(wiring)
    assert verdicts(wiring) == wanted


def test_the_year_says_what_its_steps_hide(page, no_trouble):
    sketch = demo("farmhouse")
    test = settled(page("year", sketch)).run()
    no_trouble(test)
    minutes = drawn_outcome(sketch).minutes
    step, minute = minutes.total("bank_out_kwh")
    said = next(one.value for one in test.caption if "hourly steps do not show" in one.value)
    assert f"{minute:.3g}{THIN}kWh through the bank ({step:.3g}{THIN}kWh)" in said
    assert "A full bank without sun lasts" in said


def test_refused_wiring_leaves_the_peak_standing(page, no_trouble):
    raw = demo("farmhouse").model_dump()
    raw["equipment"]["battery"]["cutoff_v"] = 60.0
    test = section(page("loads", Sketch.model_validate(raw)), "peak")
    assert "starts cannot be judged" in texts(test)


def test_what_was_moved_to_another_line_is_said_once(page):
    test = page("wiring", iec_home())  # some of its appliances are on L2
    test.session_state["wiring_section"] = "machines"
    test.run()
    said = [one.value for one in test.markdown if "Placed on a line" in one.value]
    assert len(said) == 1
