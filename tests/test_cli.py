"""The command line as a new user meets it: answers as files, faults as sentences."""

import json
import os
import socket
from pathlib import Path

import numpy as np
import pandas as pd
import pvlib
import pypdf
import pytest
from click.testing import CliRunner

from offgrid_sizing.cli import main
from offgrid_sizing.demos import DEMOS, demo
from offgrid_sizing.sketch import sketch_to_json

COLUMNS = [
    "time", "load_w", "pv_available_w", "pv_to_load_w", "pv_to_bank_w", "pv_to_standby_w",
    "curtailed_w", "exported_w", "grid_import_w", "grid_to_load_w", "grid_to_bank_w",
    "grid_to_standby_w", "generator_w", "generator_to_load_w", "generator_to_bank_w", "dump_w",
    "bank_to_load_w", "bank_to_standby_w", "unserved_w", "standby_w", "losses_w", "stored_wh",
    "soc_frac", "grid_up", "tariff_per_kwh",
]  # fmt: skip
TMY3 = Path(pvlib.__file__).parent / "data" / "723170TYA.CSV"


def run(*arguments):
    return CliRunner().invoke(main, [str(argument) for argument in arguments])


def _sketch(folder: Path, name: str = "farmhouse", **changes) -> Path:
    raw = json.loads(sketch_to_json(demo(name)))
    for path, value in changes.items():
        target = raw
        *parents, last = path.split("__")
        for part in parents:
            target = target[int(part)] if part.isdigit() else target[part]
        target[last] = value
    file = folder / "sketch.json"
    file.write_text(json.dumps(raw))
    return file


@pytest.fixture(scope="module", params=DEMOS)
def compared(request, tmp_path_factory):
    """The three priorities of one demo, as files."""
    folder = tmp_path_factory.mktemp(request.param)
    run("demo", request.param, "-o", folder / "s.json")
    result = run("compare", folder / "s.json", "-o", folder / "out")
    assert result.exit_code == 0, result.stderr
    return folder / "out"


def _closes(path: Path, start_wh: float, step_h: float):
    frame = pd.read_csv(path)
    assert list(frame.columns) == COLUMNS
    stored = frame["stored_wh"].to_numpy()
    change = np.diff(np.concatenate([[start_wh], stored])) / step_h
    given = frame["pv_available_w"] + frame["grid_import_w"] + frame["generator_w"] - change
    taken = (
        frame["load_w"] - frame["unserved_w"] + frame["exported_w"] + frame["curtailed_w"]
        + frame["dump_w"] + frame["standby_w"] + frame["losses_w"]
    )  # fmt: skip
    scale = np.maximum(np.maximum(abs(given), abs(taken)), 1e-3)
    assert (abs(given - taken) / scale).max() < 1e-6
    powers = frame[[name for name in COLUMNS if name.endswith("_w")]]
    assert powers.min().min() >= 0
    assert frame["soc_frac"].between(0, 1).all()
    return frame


def test_every_row_closes_from_the_file_alone(compared):
    summary = json.loads((compared / "summary.json").read_text())
    for kind in ("pv_first", "grid_first", "blended"):
        frame = pd.read_csv(compared / f"hourly_{kind}.csv")
        first = frame["stored_wh"].iloc[0]
        assert first >= 0
    _closes(compared / "hourly.csv", summary["stored_wh_start"], summary["step_h"])
    for kind, numbers in summary["strategies"].items():
        start = numbers["stored_wh_start"]
        _closes(compared / f"hourly_{kind}.csv", start, summary["step_h"])


def test_no_priority_costs_less_than_foresight(compared):
    summary = json.loads((compared / "summary.json").read_text())
    bound = summary["foresight_energy_cost_per_year"]
    price = json.loads((compared / "sketch.json").read_text())["prices"]["unserved_per_kwh"]
    for numbers in summary["strategies"].values():
        paid = numbers["energy_cost_per_year"] + price * numbers["unserved_kwh"]
        assert paid >= bound - 1e-4 * max(abs(bound), 1)
        assert {"unserved_kwh", "curtailed_kwh", "grid_import_kwh", "bank_throughput_kwh"} <= set(
            numbers
        )


def test_all_files_open(compared):
    text = "".join(page.extract_text() for page in pypdf.PdfReader(compared / "summary.pdf").pages)
    assert "licensed electrician" in " ".join(text.split())
    assert (compared / "summary.xlsx").stat().st_size > 10_000
    assert json.loads((compared / "sketch.json").read_text())["invented"]


def test_the_answer_meets_what_it_was_sized_for(tmp_path):
    run("demo", "-o", tmp_path / "s.json")
    result = run("size", tmp_path / "s.json", "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    for word in ("units", "modules", "inverter-charger", "days of autonomy", "h unserved"):
        assert word in result.stdout
    drawn = tmp_path / "out" / "sketch.json"
    again = run("simulate", drawn, "-o", tmp_path / "again", "--language", "es")
    assert again.exit_code == 0, again.stderr
    assert "Esto es un plan, no un permiso." in again.stderr
    for folder, words in (("out", "Dead tests: insulation"), ("again", "Sin tensión: aislamiento")):
        assert words in (tmp_path / folder / "commissioning.txt").read_text("utf-8")
    pages = pypdf.PdfReader(tmp_path / "again" / "labels.pdf").pages
    assert "BANCO DE BATERÍAS" in pages[0].extract_text()
    paper = pypdf.PdfReader(tmp_path / "again" / "summary.pdf").pages
    text = " ".join("".join(page.extract_text() for page in paper).split())
    assert "Hoja de puesta en marcha" in text
    assert "Un banco de baterías no se puede apagar." in text
    summary = json.loads((tmp_path / "again" / "summary.json").read_text())
    targets = demo("farmhouse").targets
    assert summary["year"]["unserved_frac"] <= targets.max_unserved_frac
    assert summary["autonomy"]["days_of_autonomy"] >= targets.days_of_autonomy
    assert json.loads((tmp_path / "out" / "summary.json").read_text())["sizing"]["target_met"]


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"loads__appliances__0__running_w": -4}, "loads.appliances[0].running_w"),
        ({"site__latitude_deg": 123}, "site.latitude_deg"),
        ({"loads__appliances": []}, "at least one appliance"),
        ({"weather": {"source": "file", "file": "none.epw"}}, "none.epw"),
        ({"weather": {"source": "file", "file": "half.csv"}}, "whole year"),
        ({"weather": {"source": "file", "file": "picture.epw"}}, "picture.epw is not"),
    ],
)
@pytest.mark.parametrize(
    "verb", ["simulate", "size", "compare", "offer", "owner", "crew", "drawings"]
)
def test_bad_input_is_one_sentence(tmp_path, verb, changes, words):
    content = TMY3.read_bytes()
    (tmp_path / "half.csv").write_bytes(content[: len(content) // 2])
    (tmp_path / "picture.epw").write_bytes(b"\x89PNG\r\n\x1a\n" + os.urandom(500))
    file = _sketch(tmp_path, **changes)
    result = run(verb, file, "-o", tmp_path / "out")
    assert result.exit_code == 2
    told = [line for line in result.stderr.splitlines() if line != "weather and loads"]
    assert len(told) == 1
    assert words in told[0]


@pytest.mark.parametrize("damage", ["short", "nan"])
def test_a_weather_file_with_small_holes_is_mended_and_says_so(tmp_path, damage):
    lines = TMY3.read_text(encoding="latin-1").splitlines(keepends=True)
    if damage == "short":  # 8,759 rows
        lines = lines[:-1]
    else:
        for row in range(500, 520):
            cells = lines[row].split(",")
            cells[4] = "NaN"
            lines[row] = ",".join(cells)
    (tmp_path / "year.csv").write_text("".join(lines))
    file = _sketch(tmp_path, weather={"source": "file", "file": "year.csv"})
    result = run("simulate", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    caveats = json.loads((tmp_path / "out" / "summary.json").read_text())["weather"]["caveats"]
    assert any("filled" in caveat or "missing" in caveat for caveat in caveats), caveats


def test_a_home_without_roof_or_bank_is_answered(tmp_path):
    file = _sketch(tmp_path, roof_planes=[], drawn__units_in_parallel=0)
    result = run("simulate", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    summary = json.loads((tmp_path / "out" / "summary.json").read_text())
    assert summary["year"]["unserved_frac"] == pytest.approx(1)


def test_a_folder_that_cannot_be_written_is_a_sentence(tmp_path):
    (tmp_path / "taken").write_text("a file")
    result = run("simulate", _sketch(tmp_path), "-o", tmp_path / "taken" / "out")
    assert result.exit_code == 2
    assert "taken" in result.stderr
    assert "choose another location" in result.stderr
    assert "Traceback" not in result.stderr


def test_schema_demo_and_unknown_demo():
    assert json.loads(run("schema").stdout)["title"] == "Sketch"
    assert json.loads(run("demo", "shop").stdout)["invented"]
    unknown = run("demo", "castle")
    assert unknown.exit_code == 2
    assert "choose one of farmhouse, town_house, shop" in unknown.stderr


def test_climate_prints_its_numbers(tmp_path):
    result = run("climate", "--latitude", -15.4, "--longitude", 28.3, "-o", tmp_path / "h.csv")
    assert result.exit_code == 0, result.stderr
    report = json.loads(result.stdout)
    assert len(report["ghi_kwh_per_m2_day"]) == len(report["temp_air_mean_c"]) == 12
    assert {"temp_air_design_low_c", "provenance", "array_reserve", "caveats"} <= set(report)
    hours = pd.read_csv(tmp_path / "h.csv")
    assert list(hours.columns) == ["time", "ghi", "dni", "dhi", "temp_air", "wind_speed"]


def test_meter_cleans_a_file_and_reports(tmp_path):
    stamps = pd.date_range("2025-03-03", periods=24 * 9, freq="h")
    rows = "".join(f"{stamp:%d/%m/%Y %H:%M};0,{k % 9 + 1}\n" for k, stamp in enumerate(stamps))
    (tmp_path / "m.csv").write_text("wann;kWh\n" + rows)
    result = run("meter", tmp_path / "m.csv", "-o", tmp_path / "clean.csv")
    assert result.exit_code == 0, result.stderr
    report = json.loads(result.stdout)
    expected = sum((k % 9 + 1) / 10 for k in range(len(stamps)))
    assert report["energy_kwh"] == pytest.approx(expected)
    assert len(pd.read_csv(tmp_path / "clean.csv")) == len(stamps)
    wrong = run("meter", tmp_path / "m.csv", "--column-map", "when=wann")
    assert wrong.exit_code == 2
    assert "column map has 'when=wann'" in wrong.stderr


def test_batch_reports_bad_rows_and_goes_on(tmp_path):
    (tmp_path / "sites.csv").write_text("name,latitude,longitude\nA,10,10\nB,95,10\n")
    result = run("batch", tmp_path / "sites.csv", "-o", tmp_path / "out", "--workers", 1)
    assert result.exit_code == 0, result.stderr
    assert "1 solved, 0 kept from before, 1 refused" in result.stdout
    assert "latitude" in result.stderr
    again = run("batch", tmp_path / "sites.csv", "-o", tmp_path / "out", "--workers", 1)
    assert "0 solved, 1 kept from before" in again.stdout


@pytest.mark.parametrize("home_is_a_file", [False, True])
def test_a_fault_of_ours_is_one_sentence_even_where_nothing_can_be_saved(
    tmp_path, monkeypatch, home_is_a_file
):
    home = tmp_path / "home"
    if home_is_a_file:
        home.write_text("no folder")
    monkeypatch.setenv("OFFGRID_HOME", str(home))
    monkeypatch.setattr("offgrid_sizing.demos.demo", lambda *_: 1 / 0)
    result = run("demo")
    assert result.exit_code == 1
    assert result.stdout == ""
    assert len(result.stderr.splitlines()) == 1
    words = "division by zero" if home_is_a_file else str(home / "diagnostics")
    assert words in result.stderr


@pytest.mark.parametrize(
    ("planes", "words"),
    [
        ([], "there is no roof plane for modules"),
        ([{"max_modules": 0}], "the roof planes have no room for a string of modules"),
        ([{"max_modules": 1}], "allow more modules on them"),
    ],
)
def test_a_search_without_room_for_modules_says_so(tmp_path, planes, words):
    file = _sketch(tmp_path, roof_planes=planes, weather__years=2)
    result = run("size", file, "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    told = [line for line in result.stderr.splitlines() if line.startswith("target not met: ")]
    assert len(told) == 1
    assert words in told[0]


def test_an_offer_is_two_pages_in_a_folder(tmp_path):
    file = _sketch(tmp_path, "farmhouse")
    result = run("offer", file, "-o", tmp_path / "new" / "out", "--language", "es")
    assert result.exit_code == 0, result.stderr
    pages = pypdf.PdfReader(tmp_path / "new" / "out" / "offer.pdf").pages
    assert len(pages) == 2
    assert "Lo que hace por usted" in pages[0].extract_text()
    assert "electricista autorizado" in result.stderr


def test_the_households_paper_is_two_pages_in_a_folder(tmp_path):
    file = _sketch(tmp_path, "farmhouse")
    result = run("owner", file, "-o", tmp_path / "new" / "out", "--language", "es")
    assert result.exit_code == 0, result.stderr
    pages = pypdf.PdfReader(tmp_path / "new" / "out" / "owner.pdf").pages
    assert len(pages) == 2
    assert "Un día corriente" in pages[0].extract_text()
    assert "Cuando falla la alimentación" in pages[1].extract_text()
    assert "electricista autorizado" in result.stderr


def test_drawings_are_written_each_as_svg_and_dxf_and_all_as_one_pdf(tmp_path):
    file, out = _sketch(tmp_path, "farmhouse"), tmp_path / "new" / "out"
    result = run("drawings", file, "-o", out, "--language", "es")
    assert result.exit_code == 0, result.stderr
    assert sorted(path.name for path in out.iterdir()) == [
        "connection.dxf", "connection.svg", "drawings.pdf", "roof_1.dxf", "roof_1.svg",
        "wall.dxf", "wall.svg",
    ]  # fmt: skip
    pages = pypdf.PdfReader(out / "drawings.pdf").pages
    assert ["Plano de la pared" in page.extract_text() for page in pages] == [False, True, False]
    wide, high = (float(side) * 25.4 / 72 for side in pages[0].mediabox[2:])
    assert (round(wide), round(high)) == (420, 297)
    assert "electricista autorizado" in result.stderr


def test_what_cannot_be_wired_is_not_drawn(tmp_path):
    broken = {"equipment__battery__torque_min_nm": 20}  # above the highest
    result = run("drawings", _sketch(tmp_path, weather__years=1, **broken), "-o", tmp_path / "out")
    assert (result.exit_code, (tmp_path / "out").exists()) == (2, False)
    assert "torque" in result.stderr


def test_the_households_paper_of_a_broken_system_says_so(tmp_path):
    broken = {"wiring__bank_to_inverter__size": "6 AWG"}
    result = run("owner", _sketch(tmp_path, weather__years=1, **broken), "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    assert "Do not use it as it is. Not to be built as drawn" in result.stderr
    assert len(pypdf.PdfReader(tmp_path / "out" / "owner.pdf").pages) == 2


def test_the_crews_pack_of_a_broken_system_says_so(tmp_path):
    broken = {"wiring__bank_to_inverter__size": "6 AWG"}
    result = run("crew", _sketch(tmp_path, weather__years=1, **broken), "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    assert "Do not build from this pack as it is. Not to be built as drawn" in result.stderr
    pages = pypdf.PdfReader(tmp_path / "out" / "crew.pdf").pages
    assert "mend these first" in " ".join(pages[0].extract_text().split())


@pytest.mark.parametrize(
    "name", ["offer.pdf", "owner.pdf", "crew.pdf", "drawings.pdf", "roof_12.dxf"]
)
def test_an_answer_takes_an_earlier_paper_away(name, tmp_path):
    """It would stand beside figures that are no longer its own."""
    file = _sketch(tmp_path, weather__years=1)
    assert run("simulate", file, "-o", tmp_path / "out").exit_code == 0
    (tmp_path / "out" / name).write_bytes(b"of an earlier answer")
    assert run("simulate", file, "-o", tmp_path / "out").exit_code == 0
    assert not (tmp_path / "out" / name).exists()


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"equipment__battery__torque_min_nm": 20}, "This system cannot be wired as drawn"),
        ({"wiring__bank_to_inverter__size": "6 AWG"}, "Not to be built as drawn"),
        ({"targets__max_units": 1, "targets__max_modules": 4}, "target not met: "),
    ],
)
def test_an_offer_says_what_stands_against_it(tmp_path, changes, words):
    result = run("offer", _sketch(tmp_path, weather__years=1, **changes), "-o", tmp_path / "out")
    assert result.exit_code == 0, result.stderr
    assert words in result.stderr
    assert ("Not ready to be offered." in result.stderr) is not words.startswith("target")
    assert len(pypdf.PdfReader(tmp_path / "out" / "offer.pdf").pages) == 2


@pytest.mark.parametrize("verb", ["simulate", "size", "compare"])
def test_a_refused_wiring_is_said(tmp_path, verb):
    torque = {"equipment__battery__torque_min_nm": 20, "weather__years": 1}
    result = run(verb, _sketch(tmp_path, **torque), "-o", tmp_path / "refused")
    assert result.exit_code == 0, result.stderr
    told = result.stderr.splitlines()
    assert any(line.startswith("This system cannot be wired as drawn: ") for line in told)
    put_right = [line for line in told if line.startswith("to be corrected: ")]
    assert len(put_right) == 1
    assert "equipment.battery.torque_min_nm must be below" in put_right[0]
    found = json.loads((tmp_path / "refused" / "summary.json").read_text())
    assert found["electrical"]["refused"] is True


def test_a_wiring_that_breaks_a_limit_is_said(tmp_path):
    # 6 AWG of 90 °C in free air bears 105 A (NFPA 70, Table 310.17); 1.25 × 121.3 A = 151.6 A
    thin = {"wiring__bank_to_inverter__size": "6 AWG", "weather__years": 1}
    result = run("simulate", _sketch(tmp_path, **thin), "-o", tmp_path / "broken")
    assert result.exit_code == 0, result.stderr
    assert "Not to be built as drawn: " in result.stderr
    assert "to be corrected: Bank to inverter-charger, 6 AWG: ampacity Iz 105 A" in result.stderr
    found = json.loads((tmp_path / "broken" / "summary.json").read_text())
    assert found["electrical"]["faults"] == found["warnings"]
    assert found["electrical"]["ok"] is False


def test_a_port_in_use_and_an_address_of_nobody_are_said():
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        port = other.getsockname()[1]
        taken = run("dashboard", "--no-browser", "--address", "127.0.0.1", "--port", port)
    assert taken.exit_code == 2
    assert f"port {port}" in taken.stderr
    assert "choose another port with --port" in taken.stderr
    nobody = run("dashboard", "--no-browser", "--address", "no.such.host.invalid", "--port", 0)
    assert nobody.exit_code == 2
    assert "not an address of this computer" in nobody.stderr
