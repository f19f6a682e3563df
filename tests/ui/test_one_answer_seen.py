"""One home has one answer: every figure a page shows is the outcome's, rounded as it is shown."""

from functools import cache

import pytest
from shown_kit import charts, found, plainly, said, the
from test_results_pages import finished
from test_strip import popovers, settled

from offgrid_sizing.demos import demo
from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.outcome import Outcome, drawn_outcome, strategy_year
from offgrid_sizing.priority import PRIORITIES
from offgrid_sizing.sketch import BatteryUnit, Generator, Grid, Sketch, Strategy
from offgrid_sizing.system import array_peak_w, bank_nominal_wh
from offgrid_sizing.ui.parts import strategies_year
from offgrid_sizing.units import Reader, digits, energy, kwh, money, percent, power

# --- the homes --------------------------------------------------------------------------------


def _changed(base: Sketch, **parts) -> Sketch:
    return Sketch.model_validate(dict(base) | parts)


def _years(count: int):
    return demo("shop").weather.model_copy(update={"years": count})


def bad_years() -> Sketch:
    """Several weather years, judged by a bad one, which is not the first."""
    base = demo("farmhouse")
    targets = base.targets.model_copy(update={"judge": "bad_year", "bad_year_frac": 0.25})
    drawn = base.drawn.model_copy(update={"units_in_parallel": 2})
    return _changed(base, weather=_years(5), targets=targets, drawn=drawn)


def random_cuts() -> Sketch:
    """One typical year under several draws of random cuts: which draw stands must count."""
    base = demo("town_house")
    grid = base.grid.model_copy(update={"kind": "failing", "cuts": ()})
    drawn = base.drawn.model_copy(update={"units_in_parallel": 1})
    return _changed(base, grid=grid, drawn=drawn, weather=demo("farmhouse").weather)


def steady_grid() -> Sketch:
    """A grid that never fails."""
    return _changed(demo("town_house"), grid=Grid(kind="steady"), weather=_years(3))


def with_generator() -> Sketch:
    """The farmhouse with a generator and a bank too small for the winter."""
    base = demo("farmhouse")
    drawn = base.drawn.model_copy(update={"units_in_parallel": 2})
    return _changed(base, generator=Generator(), drawn=drawn, weather=_years(4))


def lead_acid() -> Sketch:
    """Four 12 V units in series."""
    base = demo("farmhouse")
    unit = BatteryUnit(
        name="Generic 12 V 200 Ah flooded unit", chemistry="lead_acid_flooded", nominal_v=12,
        capacity_ah=200, usable_dod_frac=0.5, max_charge_a=40, max_discharge_a=100,
        peak_discharge_a=300, charge_efficiency_frac=0.9, discharge_efficiency_frac=0.95,
        standby_w=0, charge_v=14.4, cutoff_v=10.8, cycle_life=((0.3, 1500), (0.5, 800)),
        calendar_life_y=7,
    )  # fmt: skip
    equipment = base.equipment.model_copy(update={"battery": unit})
    drawn = base.drawn.model_copy(update={"units_in_series": 4, "units_in_parallel": 3})
    return _changed(base, equipment=equipment, drawn=drawn)


def critical_first() -> Sketch:
    """A small bank kept for what must stay on, judged by it."""
    base = demo("farmhouse")
    drawn = base.drawn.model_copy(update={"units_in_parallel": 2})
    strategy = base.strategy.model_copy(update={"shed_soc_frac": 0.6})
    targets = base.targets.model_copy(update={"load_class": "critical"})
    return _changed(base, drawn=drawn, strategy=strategy, targets=targets, weather=_years(3))


def with_export() -> Sketch:
    """A grid that fails at random and pays for what it is given, grid first."""
    base = demo("town_house")
    tariff = base.grid.tariff.model_copy(update={"export_price_per_kwh": 0.05})
    grid = Grid(kind="failing", export_allowed=True, tariff=tariff)
    strategy = Strategy(kind="grid_first")
    return _changed(base, grid=grid, strategy=strategy, weather=_years(6))


def family() -> Sketch:
    """A household from the list, with an array held in reserve and dear darkness."""
    base = demo("shop").model_copy(update={"generator": None})
    weather = _years(3).model_copy(update={"array_reserve": 1.2})
    prices = base.prices.model_copy(update={"unserved_per_kwh": 0.5})
    return with_preset(_changed(base, weather=weather, prices=prices), "family_home")


def clinic() -> Sketch:
    """A household from the list that is out of reach of the boxes drawn, in the worst year."""
    base = demo("farmhouse")
    targets = base.targets.model_copy(update={"judge": "bad_year", "bad_year_frac": 0.0})
    return with_preset(_changed(base, weather=_years(2), targets=targets), "clinic")


HOMES = {
    "farmhouse": lambda: demo("farmhouse"),
    "town_house": lambda: demo("town_house"),
    "shop": lambda: demo("shop"),
    "bad_years": bad_years,
    "random_cuts": random_cuts,
    "steady_grid": steady_grid,
    "with_generator": with_generator,
    "lead_acid": lead_acid,
    "critical_first": critical_first,
    "with_export": with_export,
    "family_with_reserve": family,
    "clinic": clinic,
}


@cache
def outcome_of(home: str) -> Outcome:
    """The outcome as the lower rooms give it, without the dashboard."""
    return drawn_outcome(HOMES[home]())


@pytest.fixture(params=HOMES)
def home_name(request) -> str:
    return request.param


@pytest.fixture
def outcome(home_name) -> Outcome:
    return outcome_of(home_name)


@pytest.fixture
def opened(page, home_name, no_trouble):
    """`opened(page, section)`: that page of this home, all its background work done."""

    def run(name: str, section: str = ""):
        test = page(name, HOMES[home_name]())
        if section:
            test.session_state[f"{name}_section"] = section
        test = finished(settled(finished(test.run())).run())
        no_trouble(test)
        return test

    return run


# --- how a figure is shown ---------------------------------------------------------------------


def reader(outcome: Outcome) -> Reader:
    return Reader(currency=outcome.sketch.prices.currency)


def days(hours: float) -> str:
    return "1 day" if digits(hours / 24) == "1" else f"{plainly(digits(hours / 24))} days"


def hours(value_h: float) -> str:
    return f"{plainly(digits(value_h))} h"


def share(value: float) -> str:
    return plainly(percent(value))


def amount(value: float, outcome: Outcome) -> str:
    return plainly(money(value, reader(outcome)))


def array_kw(outcome: Outcome) -> str:
    return plainly(power(array_peak_w(outcome.sketch, outcome.system)))


def bank_kwh(outcome: Outcome) -> str:
    return plainly(energy(bank_nominal_wh(outcome.sketch, outcome.system)))


def daily(outcome: Outcome) -> str:
    return plainly(digits(outcome.simulation.inputs.loads.daily_kwh))


def judged_words(outcome: Outcome) -> str:
    """What the lower rooms call the judged year; the words of the two must not part."""
    return outcome.year_words


def counts(outcome: Outcome) -> tuple[str, str, str]:
    system = outcome.system
    return str(system.units), str(system.modules), str(system.inverters)


def test_the_homes_tell_one_year_from_another():
    """Else a page that shows the first year, or the first draw of cuts, would pass below."""
    judged = {home: outcome_of(home).reliability.judged for home in HOMES}
    assert judged["bad_years"].year > 0
    assert judged["random_cuts"].draw > 0
    for home in ("bad_years", "random_cuts"):
        hours_of_years = outcome_of(home).reliability.unserved_h
        assert len(set(hours_of_years)) > 1
        assert judged[home].unserved_h != hours_of_years[0] > 0
    assert judged["with_generator"].year > 0
    assert outcome_of("with_generator").simulation.metrics.generator_h > 0


# --- page by page ------------------------------------------------------------------------------


def test_the_strip_is_the_outcome(opened, outcome):
    shown = [plainly(label) for label in popovers(opened("site"))]
    assert shown == [
        f"{daily(outcome)} kWh", array_kw(outcome), bank_kwh(outcome),
        str(outcome.system.inverters), days(outcome.autonomy.dark_median_h),
        hours(outcome.reliability.judged.unserved_h),
    ]  # fmt: skip


def test_the_strip_says_of_which_year(opened, outcome):
    (label,) = (text for text in said(opened("site")) if text.startswith("Unserved, "))
    kinds = {"this typical year": "typical year", "the median year": "median year"}
    assert label == f"Unserved, {kinds.get(outcome.year_words, 'bad year')}"


def test_the_front_page_is_the_outcome(opened, outcome):
    texts = said(opened("start"))
    judged = outcome.reliability.judged
    told = the("start.answer" if judged.unserved_h > 0 else "start.answer_lit", texts)
    assert (told["units"], told["modules"], told["machines"]) == counts(outcome)
    assert told["days"] == days(outcome.autonomy.dark_median_h)
    assert told["hours"] == hours(judged.unserved_h)
    assert told["year"] == judged_words(outcome)
    year = the("start.year_dark" if judged.unserved_h > 0 else "start.year_lit", texts)
    assert year["lowest"] == share(outcome.simulation.metrics.lowest_soc_frac)
    assert year["year"].startswith(judged_words(outcome))
    if judged.unserved_h > 0:
        assert year["hours"] == hours(judged.unserved_h)
    missed = found("start.misses_share", texts)
    assert bool(missed) == (judged.unserved_frac > outcome.sketch.targets.max_unserved_frac)
    if missed:
        assert missed[0]["share"] == share(judged.unserved_frac)


def test_equipment_and_loads_are_the_outcome(opened, outcome):
    told = the("equipment.answer", said(opened("equipment")))
    assert (told["units"], told["modules"], told["inverters"]) == counts(outcome)
    assert (told["array"], told["bank"]) == (array_kw(outcome), bank_kwh(outcome))
    assert the("loads.answer", said(opened("loads")))["daily"] == daily(outcome)


@pytest.mark.parametrize("section", ["glance", "stretch", "endure", "flow", "months"])
def test_the_year_is_the_outcome(opened, outcome, section):
    test = opened("year", section)
    texts, totals = said(test), outcome.simulation.metrics
    short = totals.unserved_h > 0
    told = the("year.sentence_short" if short else "year.sentence_all", texts)
    assert told["load"] == plainly(kwh(1000 * totals.load_kwh))
    assert told["year"].startswith(judged_words(outcome))
    if short:
        assert told["hours"] == hours(outcome.reliability.judged.unserved_h)
        assert told["unserved"] == plainly(kwh(1000 * outcome.reliability.judged.unserved_kwh))
        assert told["gap"] == hours(outcome.reliability.judged.longest_gap_h)
    else:
        assert told["lowest"] == share(totals.lowest_soc_frac)
    _SECTIONS[section](test, texts, outcome)


def _glance(test, texts, outcome) -> None:
    if outcome.simulation.metrics.unserved_h > 0:
        told = found("year.strip.answer_short", texts) or found(
            "year.strip.answer_short_one", texts
        )
        assert told[0]["hours"] == hours(outcome.reliability.judged.unserved_h)


def _endure(test, texts, outcome) -> None:
    told = the("year.endure.answer", texts)
    assert told["median"] == days(outcome.autonomy.dark_median_h)
    assert told["low"] == days(outcome.autonomy.dark_1_in_20_h)
    assert the("year.endure.bridged", texts)["share"] == share(outcome.autonomy.bridged_frac)


def _flow(test, texts, outcome) -> None:
    totals = outcome.simulation.metrics
    told = the("year.flow.answer_sun", texts)
    assert told["share"] == share(totals.curtailed_frac)
    assert told["house"] == plainly(kwh(1000 * totals.served_kwh))
    ran = found("year.flow.generator_hours", texts)
    assert bool(ran) == (outcome.sketch.generator is not None)
    if ran:
        assert ran[0]["hours"] == hours(totals.generator_h)


def _months(test, texts, outcome) -> None:
    table = test.dataframe[0].value
    assert table["unserved"].sum() == pytest.approx(
        outcome.reliability.judged.unserved_kwh, abs=12 * 0.005
    )


_SECTIONS = {
    "glance": _glance, "stretch": lambda *_: None, "endure": _endure, "flow": _flow,
    "months": _months,
}  # fmt: skip


def test_money_is_the_outcome(opened, outcome):
    life, texts = outcome.life_cycle, said(opened("money", "paid"))
    keys = ("answer_repaid", "answer_dearer", "answer_cheaper", "answer_alone",
            "answer_uncompared")  # fmt: skip
    (told,) = (one for key in keys for one in found(f"money.{key}", texts)[:1])
    assert told["first"] == amount(life.first.total, outcome)
    assert told["yearly"] == amount(life.equivalent_annual, outcome)
    assert the("money.line_first", texts)["amount"] == told["first"]
    assert the("money.line_present", texts)["amount"] == amount(life.present, outcome)
    assert the("money.of_year", texts)["year"].startswith(judged_words(outcome))


def test_the_boxes_and_the_life_of_the_bank_are_the_outcome(opened, outcome):
    table = opened("money", "what").dataframe[0].value.set_index("item")
    units, modules, inverters = counts(outcome)
    assert table.loc["Battery units", "how many"] == units
    assert table.loc["PV modules", "how many"] == modules
    assert table.loc["Inverter-chargers", "how many"] == inverters
    life = f"{digits(outcome.ageing.life_y)} years"
    assert plainly(table.loc["Battery units", "lasts"]) == life
    texts = said(opened("money", "ageing"))
    told = found("money.health.answer", texts) or found("money.health.answer_lasts", texts)
    assert told[0]["life"] == life


def test_the_summary_is_the_outcome(opened, outcome):
    texts, years = said(opened("summary")), outcome.reliability
    told = the("summary.sentence", texts)
    assert (told["units"], told["modules"], told["inverters"]) == counts(outcome)
    assert (told["bank"], told["array"]) == (bank_kwh(outcome), array_kw(outcome))
    assert told["days"] == days(outcome.autonomy.dark_median_h)
    shown = [(one["hours"].split("; ")[-1].split(", ")[-1], one["share"], one["year"])
             for one in found("summary.unserved", texts)]  # fmt: skip
    stand = [years.judged] if years.bad is None else [years.median, years.bad]
    assert [(h, s) for h, s, _ in shown] == [
        (hours(year.unserved_h), share(year.unserved_frac)) for year in stand
    ]
    assert f"Unserved in {judged_words(outcome)}" in texts
    values = {
        amount(outcome.life_cycle.first.total, outcome),
        amount(outcome.life_cycle.equivalent_annual, outcome),
        share(years.judged.unserved_frac), days(outcome.autonomy.dark_1_in_20_h),
    }  # fmt: skip
    if outcome.sketch.generator is not None:
        values.add(hours(outcome.simulation.metrics.generator_h))
    assert values <= set(texts)


def test_wiring_counts_the_same_boxes(opened, outcome):
    told = the("wiring.bank_volts", said(opened("wiring", "bank")))
    assert told["energy"] == bank_kwh(outcome)
    told = the("wiring.plan", said(opened("wiring", "machines")))
    assert told["count"] == str(outcome.system.inverters)


@pytest.mark.parametrize("home_name", ["town_house", "random_cuts", "steady_grid", "with_export"])
def test_priorities_compare_the_judged_year(opened, outcome):
    texts = said(test := opened("strategies", "year"))
    assert the("strategies.year_note" + ("" if outcome.reliability.bad else "_alone"), texts)[
        "year"
    ].startswith(judged_words(outcome))
    judged, inputs = outcome.reliability.judged, outcome.simulation.inputs
    own = list(PRIORITIES).index(outcome.sketch.strategy.kind)
    bars = [trace["text"] for trace in charts(test)[0]["data"]]
    in_use = [plainly(row[own]).removeprefix("★ ") for row in bars]
    totals = outcome.simulation.metrics
    assert in_use[0] == amount(totals.energy_cost, outcome)
    assert in_use[1] == amount(outcome.life_cycle.equivalent_annual, outcome)
    assert in_use[2] == plainly(kwh(1000 * totals.grid_import_kwh))
    assert in_use[3] == plainly(kwh(1000 * judged.unserved_kwh))
    assert in_use[4] == hours(judged.unserved_h)
    assert in_use[6] == share(outcome.ageing.wear)
    for number, kind in enumerate(PRIORITIES):
        year = strategy_year(outcome.sketch, kind, inputs, judged.year, judged.draw)
        assert plainly(bars[4][number]).removeprefix("★ ") == hours(
            year.simulation.metrics.unserved_h
        ), strategies_year.name_of(kind)


def test_size_prices_what_is_drawn_as_money_does(opened, outcome):
    test = opened("sizing", "choice")
    rings = [
        trace for chart in charts(test) for trace in chart["data"] if trace.get("text") == ["now"]
    ]
    assert len(rings) == 2  # on the map and on the frontier
    assert rings[1]["x"] == [outcome.system.units_in_parallel]
    assert rings[1]["y"] == [pytest.approx(outcome.life_cycle.equivalent_annual, rel=1e-9)]
    texts = said(test)
    told = found("sizing.drawn_met", texts) + found("sizing.drawn_missed", texts)
    told = [one for one in told if "array reserve applied" not in one["year"]]
    told += found("sizing.drawn_own", texts)
    for one in told:
        assert one["share"] == share(outcome.reliability.judged.unserved_frac)
    assert told or found("sizing.drawn_off", texts)
