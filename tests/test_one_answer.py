"""One home has one answer: every file, the batch row and the command line say the same figures.

Twelve homes, each worked out once and written as every file there is; a figure that stands in two
places must be the same after rounding as shown. The screens are held to the same result in
`tests/ui/test_one_answer_seen.py`.
"""

import csv
import json
import re
from functools import cache

import openpyxl
import pytest
from click.testing import CliRunner
from pypdf import PdfReader

from offgrid_sizing.batch.solve import answer_of
from offgrid_sizing.cli import main
from offgrid_sizing.demos import demo
from offgrid_sizing.loads.presets import with_preset
from offgrid_sizing.outcome import compared_outcome, sized_outcome
from offgrid_sizing.report.folder import write_folder
from offgrid_sizing.sizing.judge import bad_year_words
from offgrid_sizing.sketch import (
    BatteryUnit,
    Generator,
    Grid,
    RoofPlane,
    Site,
    Sketch,
    Tariff,
    WeatherChoice,
    sketch_to_json,
)
from offgrid_sizing.units import digits, duration, money, percent


def _changed(sketch: Sketch, **parts) -> Sketch:
    for part, changes in parts.items():
        if isinstance(changes, dict):
            changes = getattr(sketch, part).model_copy(update=changes)
        sketch = sketch.model_copy(update={part: changes})
    return sketch


def _family(**parts) -> Sketch:
    """An invented family home somewhere in Spain, with three weather years."""
    sketch = Sketch(
        title="Family home (invented)",
        site=Site(name="Nowhere", latitude_deg=40.4, longitude_deg=-3.7, elevation_m=650),
        weather=WeatherChoice(years=3),
        roof_planes=(RoofPlane(),),
    )
    return _changed(with_preset(sketch, "family_home"), **parts)


def _lead_acid(sketch: Sketch) -> Sketch:
    unit = BatteryUnit(
        name="Sealed 48 V 200 Ah (invented)", chemistry="lead_acid_sealed", nominal_v=48,
        capacity_ah=200, usable_dod_frac=0.5, charge_efficiency_frac=0.9,
        discharge_efficiency_frac=0.95, cycle_life=((0.3, 1500), (0.5, 800), (0.8, 400)),
        calendar_life_y=8, charge_v=57.6, cutoff_v=44,
    )  # fmt: skip
    equipment = sketch.equipment.model_copy(update={"battery": unit})
    return sketch.model_copy(update={"equipment": equipment})


HOMES = {
    "farmhouse": lambda: demo("farmhouse"),
    "town house": lambda: _changed(demo("town_house"), weather={"years": 3}),
    "town house, one year": lambda: _changed(demo("town_house"), weather={"years": 1}),
    "shop": lambda: _changed(demo("shop"), weather={"years": 2}),
    "family, off grid": _family,
    "family, bad year": lambda: _family(targets={"judge": "bad_year", "days_of_autonomy": 1}),
    "family, steady grid": lambda: _family(
        grid=Grid(kind="steady", tariff=Tariff(price_per_kwh=0.28, fixed_per_month=9)),
        targets={"days_of_autonomy": 0},
    ),
    "family, grid with export": lambda: _family(
        grid=Grid(
            kind="failing", export_allowed=True,
            tariff=Tariff(price_per_kwh=0.3, export_price_per_kwh=0.05),
        ),
        targets={"days_of_autonomy": 0.3, "ride_through_h": 3},
        prices={"energy_escalation_frac": 0.03},
    ),
    "family, generator": lambda: _family(
        generator=Generator(rated_w=4000), targets={"days_of_autonomy": 0.5}
    ),
    "family, lead-acid": lambda: _lead_acid(_family(targets={"days_of_autonomy": 1})),
    "family, reserve held": lambda: _family(
        weather={"array_reserve": 1.2}, prices={"unserved_per_kwh": 0.5}
    ),
    "clinic, out of reach": lambda: _changed(
        with_preset(_family(), "clinic"), targets={"max_units": 2, "max_modules": 6}
    ),
}  # fmt: skip


@cache
def answer(name: str):
    """The sized outcome of a home."""
    return sized_outcome(HOMES[name]())


@pytest.fixture(scope="module")
def files(tmp_path_factory):
    """Every file of a home, written once and read again."""

    @cache
    def of(name: str):
        folder = tmp_path_factory.mktemp("files")
        write_folder(answer(name), folder)
        return folder

    return of


@pytest.fixture(params=list(HOMES))
def home(request, files):
    """(outcome, its folder) of each home."""
    return answer(request.param), files(request.param)


def _summary(folder) -> dict:
    return json.loads((folder / "summary.json").read_text(encoding="utf-8"))


@cache
def _paper(path) -> str:
    pages = [page.extract_text() for page in PdfReader(path).pages]
    return re.sub(r"\s+", " ", " ".join(pages).replace("\u2009", " ").replace("\u202f", " "))


def _plain(text: str) -> str:
    return re.sub(r"\s+", " ", text.replace("\u2009", " ").replace("\u202f", " "))


def test_the_sentence_is_one_and_the_same(home):
    outcome, folder = home
    assert _summary(folder)["sentence"] == outcome.sentence
    assert _plain(outcome.sentence) in _paper(folder / "summary.pdf")
    book = openpyxl.load_workbook(folder / "summary.xlsx", data_only=True)
    assert outcome.sentence in [cell.value for row in book["Summary"].rows for cell in row]
    sizing = _summary(folder)["sizing"]
    assert sizing["sentence"] == outcome.sizing.sentence == answer_of(outcome)["sentence"]
    assert _plain(outcome.sizing.sentence) in _paper(folder / "summary.pdf")


def test_counts_are_those_of_the_search_everywhere(home):
    outcome, folder = home
    system, row = _summary(folder)["system"], answer_of(outcome)
    found = outcome.sizing.system
    assert outcome.system == found
    assert system["modules"] == row["modules"] == found.modules
    assert system["battery_units"] == row["units"] == found.units
    assert system["inverters"] == row["inverters"] == found.inverters
    assert system["bank_kwh"] == row["bank_kwh"]
    assert system["array_kw"] == row["array_kw"]
    drawn = Sketch.model_validate_json((folder / "sketch.json").read_text(encoding="utf-8"))
    assert sum(plane.modules for plane in drawn.roof_planes) == found.modules
    assert drawn.drawn.inverters == found.inverters


def test_the_cost_of_the_search_is_the_cost_of_the_money_page(home):
    outcome, folder = home
    summary, row = _summary(folder), answer_of(outcome)
    cost = outcome.life_cycle.equivalent_annual
    assert summary["money"]["cost_per_year"] == cost == row["cost_per_year"]
    assert summary["sizing"]["cost_per_year"] == pytest.approx(cost, rel=1e-12)
    assert summary["money"]["first_cost"] == row["first_cost"]
    shown = money(cost, currency=outcome.life_cycle.currency)
    assert _plain(shown) in _paper(folder / "summary.pdf")
    book = openpyxl.load_workbook(folder / "summary.xlsx", data_only=True)
    costs = {line[0].value: [cell.value for cell in line[1:]] for line in book["Costs"].rows}
    figure = next(value for value in costs["Life-cycle cost a year"] if value is not None)
    assert figure == pytest.approx(cost, rel=1e-9)
    bank = costs["Battery units"]
    if outcome.system.units:
        assert bank[2] == pytest.approx(summary["money"]["bank_life_y"])
        assert row["bank_life_y"] == summary["money"]["bank_life_y"]
    for point in summary["sizing"]["frontier"]:
        if (point["units"], point["modules"], point["inverters"]) == (
            outcome.system.units_in_parallel, outcome.system.modules, outcome.system.inverters,
        ):  # fmt: skip
            assert point["cost_per_year"] == pytest.approx(cost, rel=1e-12)


def test_what_goes_unserved_is_of_one_real_year_that_is_named(home):
    outcome, folder = home
    summary, row = _summary(folder), answer_of(outcome)
    years, judged = summary["reliability"], outcome.reliability.judged
    assert years["judged_year"] == judged.name == summary["year"]["weather_year"]
    assert row["judged_year"] == judged.name
    assert years["judged_year_unserved_kwh"] == pytest.approx(summary["year"]["unserved_kwh"])
    assert years["judged_year_unserved_frac"] == pytest.approx(summary["year"]["unserved_frac"])
    assert years["judged_year_unserved_h"] == summary["year"]["unserved_h"]
    assert years["judged_year_longest_gap_h"] == summary["year"]["longest_gap_h"]
    assert row["judged_year_unserved_h"] == summary["year"]["unserved_h"]
    assert row["judged_year_unserved_frac"] == years["judged_year_unserved_frac"]
    assert row["generator_h"] == summary["year"]["generator_h"]
    assert row["grid_kwh"] == summary["year"]["grid_import_kwh"]
    if outcome.sketch.weather.array_reserve == 1:
        sizing = summary["sizing"]
        held = sizing["judged_unserved_frac_reserve_held_back"]
        assert held == pytest.approx(years["judged_year_unserved_frac"], abs=1e-12)
        held = sizing["judged_unserved_h_reserve_held_back"]
        assert held == years["judged_year_unserved_h"]
    with (folder / "hourly.csv").open(newline="") as file:
        unserved = [float(line["unserved_w"]) for line in csv.DictReader(file)]
    step_h = summary["step_h"]
    assert sum(unserved) * step_h / 1000 == pytest.approx(
        summary["year"]["unserved_kwh"], rel=1e-6, abs=1e-6
    )


def test_the_paper_tells_the_years_as_the_summary_does(home):
    outcome, folder = home
    paper, years = _paper(folder / "summary.pdf"), outcome.reliability
    rows = [("Median year", years.median)]
    if years.bad is None:
        rows = [(re.compile("This (typical|one weather) year"), years.judged)]
    else:
        words = bad_year_words(years.bad_year_frac)
        rows.append((words[0].upper() + words[1:], years.bad))
    for words, year in rows:
        start = words.pattern if isinstance(words, re.Pattern) else re.escape(words)
        line = f"{re.escape(year.name)} {re.escape(_plain(percent(year.unserved_frac)))} "
        line += f"{re.escape(_plain(digits(year.unserved_h)))} h "
        line += f"{re.escape(_plain(digits(year.unserved_kwh)))} kWh"
        assert re.search(f"{start} {line}", paper), (start, line)
    days = f"Autonomy without sun {duration(outcome.autonomy.dark_median_h)}"
    assert _plain(duration(outcome.autonomy.dark_median_h)) in paper, days


def test_days_of_autonomy_are_measured_once(home):
    outcome, folder = home
    days = outcome.autonomy.dark_median_h / 24
    assert _summary(folder)["autonomy"]["days_of_autonomy"] == days
    assert answer_of(outcome)["days_of_autonomy"] == days
    asked = outcome.sketch.targets.days_of_autonomy
    assert ("autonomy" in outcome.sizing.missed) is (days < asked)
    if outcome.system.units_in_parallel == outcome.sizing.least.units and asked > 0:
        assert outcome.sizing.least.days == pytest.approx(days)


@pytest.mark.parametrize("name", ["farmhouse", "town house, one year"])
def test_one_weather_year_is_never_called_bad(name, files):
    """A year that stands alone says nothing about bad years, in any file."""
    folder = files(name)
    book = openpyxl.load_workbook(folder / "summary.xlsx", data_only=True)
    texts = {
        "paper": _paper(folder / "summary.pdf"),
        "summary": (folder / "summary.json").read_text(encoding="utf-8"),
        "row": json.dumps({k: v for k, v in answer_of(answer(name)).items() if v is not None}),
        "book": " ".join(
            str(cell.value)
            for sheet in book
            if sheet.title not in ("Hourly", "Inputs")
            for line in sheet.rows
            for cell in line
            if cell.value is not None
        ),
    }
    for where, text in texts.items():
        found = re.search(r"bad[ _]years?|1-in-\d+ bad|median[ _]year|worst year", text, re.I)
        assert found is None, (where, text[max(found.start() - 60, 0) : found.end() + 60])


def test_the_drawn_priority_of_a_comparison_is_the_outcome_itself():
    sketch = answer("town house").sketch
    found = compared_outcome(sketch)
    own = next(year for year in found.strategies if year.kind == sketch.strategy.kind)
    assert own.simulation.metrics == found.simulation.metrics
    assert own.life_cycle.equivalent_annual == found.life_cycle.equivalent_annual
    assert own.ageing.life_y == found.ageing.life_y
    assert own.ride_through_h == answer("town house").sizing.ride.reached_h


def test_the_command_line_says_the_outcomes_sentence(tmp_path):
    file = tmp_path / "home.json"
    file.write_text(sketch_to_json(HOMES["shop"]()), encoding="utf-8")
    run = CliRunner().invoke(main, ["size", str(file), "-o", str(tmp_path / "out")])
    assert run.exit_code == 0, run.stderr
    assert run.stdout.strip() == answer("shop").sentence
    ours = _summary(tmp_path / "out")
    assert ours["money"]["cost_per_year"] == answer("shop").life_cycle.equivalent_annual
