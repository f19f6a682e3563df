"""Sources and their faults on the Wiring page, in the reader's language."""

from offgrid_sizing.demos import demo
from offgrid_sizing.outcome import drawn_outcome
from offgrid_sizing.report.sections.sources import sources_table
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.ui.plain import plain


def _with(name: str, **wiring) -> Sketch:
    raw = demo(name).model_dump()
    for key, value in wiring.items():
        raw[key] = raw[key] | value if isinstance(value, dict) and raw[key] else value
    return Sketch.model_validate(raw)


def test_every_source_stands_in_the_table(page, no_trouble):
    sketch = _with("shop", grid={"kind": "steady"})
    table = sources_table(drawn_outcome(sketch).design)
    test = page("wiring", sketch)
    test.session_state["wiring_section"] = "sources"
    test.run()
    no_trouble(test)
    frame = test.dataframe[0].value
    assert tuple(frame.columns) == table.head
    assert list(frame.itertuples(index=False, name=None)) == [
        tuple(str(cell) for cell in row) for row in table.rows
    ]
    assert list(frame["Source"])[:3] == ["grid", "generator", "inverter-charger"]


def test_thin_parallel_conductors_are_a_fault_on_screen(page, no_trouble):
    sketch = _with("town_house")
    raw = sketch.model_dump()
    raw["wiring"]["bank_to_inverter"]["size"] = "4 x 6 AWG"
    test = page("wiring", Sketch.model_validate(raw))
    no_trouble(test)
    assert any(plain("NFPA 70, 310.10(G)") in one.value for one in test.error)


def test_a_fault_of_a_source_is_said_in_the_reader_s_language(page, no_trouble):
    # 1,000 W / 230 V = 4.3 A; NFPA 70's devices begin with 15 A
    raw = _with("shop", generator={"rated_w": 1000}).model_dump()
    raw["wiring"]["rule_book"] = "nfpa70"
    sketch = Sketch.model_validate(raw)
    for language, words in (("en", "no standard device is"), ("es", "ninguna protección")):
        test = page("wiring", sketch, lang=language)
        no_trouble(test)
        assert any(words in one.value for one in test.error)
