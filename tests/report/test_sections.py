"""What a summary states must be what was computed."""

from dataclasses import replace

import pytest

from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.report.machine import unserved_by_appliance_kwh
from offgrid_sizing.report.model import Table
from offgrid_sizing.report.sections import energy, inputs
from offgrid_sizing.report.sections.money import payback_words
from offgrid_sizing.report.summary import fingerprint, place_words
from offgrid_sizing.simulation import simulate
from offgrid_sizing.sizing.story import days_of, months_of
from offgrid_sizing.sizing.worst import hardest_week
from offgrid_sizing.sketch import Site, Sketch, WeekWindow
from offgrid_sizing.words import catalogue, to_words
from offgrid_sizing.year_days import DAYS_IN_MONTH


@pytest.fixture(scope="module", params=DEMOS)
def simulation(request):
    sketch = demo(request.param)
    one_year = sketch.weather.model_copy(update={"years": 1})
    return simulate(sketch.model_copy(update={"weather": one_year}))


def test_sources_of_each_month_add_up_to_what_was_served(simulation):
    served = sum(energy.served_by(simulation).values()) * DAYS_IN_MONTH
    kwh = months_of(days_of(simulation.trace)).kwh
    assert served == pytest.approx(kwh["load"] - kwh["unserved"], rel=1e-9, abs=1e-9)
    assert served.sum() == pytest.approx(simulation.metrics.served_kwh)


def test_the_monthly_table_adds_up_to_the_year(simulation):
    table = energy.monthly_table(simulation)
    *months, year = table.rows
    assert len(months) == 12
    for column in range(1, len(table.head) - 1):
        total = sum(row[column] for row in months)
        assert total == pytest.approx(year[column], abs=0.01)
    assert year[1] == pytest.approx(simulation.metrics.load_kwh, abs=0.001)
    assert min(row[-1] for row in months) == year[-1]


def test_the_flow_picture_balances(simulation):
    words = energy.flow_figure(simulation).alt.split(". To: ")
    sides = [sum(float(p.split()[-2]) for p in side.split(", ") if "kWh" in p) for side in words]
    assert sides[0] == pytest.approx(sides[1], rel=0.01)  # each is rounded to whole kWh


def test_the_hardest_week_holds_the_most_unserved_energy(simulation):
    first = hardest_week(simulation.trace)
    steps = round(168 / simulation.trace.step_h)
    unserved = simulation.trace.columns["unserved_w"]
    here = unserved[first : first + steps].sum()
    a_day = round(24 / simulation.trace.step_h)
    starts = range(0, len(unserved) - steps + 1, a_day)
    assert here == pytest.approx(max(unserved[s : s + steps].sum() for s in starts))


def test_the_paper_names_what_runs_at_each_of_two_moments():
    """Most runs together in the morning; the start that counts comes on another set at night."""
    peak = Peak(4100, 4100, 6100, "Pump", ("Oven", "Lamp"), {}, ("Pump", "Lamp"))
    note = energy.peak_note(peak)
    assert note == (
        "When most runs together, these run: Oven, Lamp. "
        "When the start is added, these run: Pump, Lamp."
    )
    same = replace(peak, start_together=peak.together)
    assert energy.peak_note(same) == "When most runs together, these run: Oven, Lamp."


def test_every_field_of_the_parts_is_listed_with_its_owner():
    sketch = demo("farmhouse")
    rows = {row[0]: row for row in inputs.input_rows(sketch, "prices")}
    labels = {f"fields.prices.{name}": name for name in type(sketch.prices).model_fields}
    assert list(rows) == [catalogue("en")[key] for key in labels]
    changed = Sketch.model_validate(
        sketch.model_dump() | {"prices": sketch.prices.model_dump() | {"module_each": 77.5}}
    )
    row = {row[0]: row for row in inputs.input_rows(changed, "prices")}["A module"]
    assert row[1] == "77.5"
    assert row[2] == "entered"
    assert rows["Life of a generator"][2] == "default"


@pytest.mark.parametrize(
    ("code", "language", "field"),
    [
        ("nfpa70", "en", "Grounding electrode of the home"),
        ("iec60364", "en", "Earth electrode of the home"),
        ("nfpa70", "es", "Electrodo de puesta a tierra de la casa"),
        ("iec60364", "es", "Electrodo de tierra de la casa"),
    ],
)
def test_fields_are_named_in_the_terms_of_the_wiring_code(code, language, field):
    wiring = demo("farmhouse").wiring.model_copy(update={"rule_book": code})
    sketch = demo("farmhouse").model_copy(update={"wiring": wiring})
    fields = [to_words(row[0], language) for row in inputs.input_rows(sketch, "earthing")]
    assert field in fields


def test_inputs_are_shown_as_they_were_given():
    sketch = Sketch(site=Site(latitude_deg=-33.92487, longitude_deg=18.42406))
    shown = {row[0]: row[1] for row in inputs.input_rows(sketch, "site")}
    assert shown["Latitude"] == "−33.92487°"
    shown = {row[0]: row[1] for row in inputs.input_rows(sketch, "equipment.battery")}
    assert str(shown["Capacity by temperature"]).startswith("−20: ")
    assert place_words(sketch) == "Unnamed place (33.92° S, 18.42° E)"


def test_the_fingerprint_changes_with_anything():
    sketch = demo("farmhouse")
    other = sketch.model_copy(update={"notes": "x"})
    assert fingerprint(sketch) == fingerprint(demo("farmhouse"))
    assert fingerprint(sketch) != fingerprint(other)


def test_facts_and_price_are_those_of_the_results(demo_summary):
    facts, price = dict(demo_summary.facts), dict(demo_summary.price)
    assert facts["Array"].startswith(f"{demo_summary.system.modules} module")
    assert facts["Bank"].startswith(f"{demo_summary.system.units} unit")
    assert price["Payback"] == payback_words(demo_summary.life)
    assert demo_summary.life.currency in price["First cost"]


def test_every_table_has_as_many_cells_as_heads(demo_summary, sized_summary):
    tables = [
        block
        for summary in (demo_summary, sized_summary)
        for section in summary.sections
        for block in section.blocks
        if isinstance(block, Table)
    ]
    assert len(tables) > 40
    for table in tables:
        assert all(len(row) == len(table.head) for row in table.rows), table.title


def test_sections_come_in_the_order_people_read(sized_summary):
    keys = [section.key for section in sized_summary.sections]
    assert keys == [
        "loads", "weather", "facing", "sizing", "years", "futures", "year", "money", "cautions",
        "wires", "bill", "commissioning", "inputs", "methods",
    ]  # fmt: skip


def test_who_goes_dark_adds_up_to_what_was_unserved(simulation):
    table, by_name = energy.dark_table(simulation), unserved_by_appliance_kwh(simulation)
    unserved = simulation.metrics.unserved_kwh
    assert (table is None) == (unserved == 0)
    assert sum(by_name.values()) == pytest.approx(unserved, rel=1e-9)
    if table is not None:
        assert sum(row[3] for row in table.rows) == pytest.approx(unserved, abs=0.02)
        assert table in energy.year_section(simulation).blocks


@pytest.mark.parametrize(
    ("unserved_kwh", "said"), [(0, "serves 100"), (1.3, "all but 1.3 of"), (300, "serves 95")]
)
def test_a_year_with_unserved_energy_is_never_called_served_in_full(simulation, unserved_kwh, said):
    metrics = replace(
        simulation.metrics,
        load_kwh=6000.0,
        unserved_kwh=float(unserved_kwh),
        unserved_frac=unserved_kwh / 6000,
    )
    assert said in energy.year_section(replace(simulation, metrics=metrics)).sentence


def test_hours_are_printed_one_by_one():
    """With their days, months and price where they have such, in both languages."""
    town, shop = demo("town_house"), demo("shop")
    rows = {
        row[0]: row[1] for part in ("grid", "strategy") for row in inputs.input_rows(town, part)
    }
    first, _, third = str(rows["Planned outages"]).split("; ")
    assert first == "08:00 to 12:00 (Monday, Wednesday, Friday)"
    assert third == "00:00 to 04:00 (Sunday)"
    assert "00:00 to 06:00: 0.11" in str(rows["Tariff"])
    assert rows["Hours for grid charging"] == "00:00 to 06:00"
    quiet = {row[0]: row[1] for row in inputs.input_rows(shop, "generator")}["Not to run between"]
    assert to_words(quiet, "es") == "de 22:00 a 06:00"
    winter = (WeekWindow(from_h=6.5, to_h=24, months=(12, 1)),)
    moved = shop.model_copy(
        update={"generator": shop.generator.model_copy(update={"quiet_hours": winter})}
    )
    rows = {row[0]: row[1] for row in inputs.input_rows(moved, "generator")}
    assert rows["Not to run between"] == "06:30 to 24:00 (December, January)"
