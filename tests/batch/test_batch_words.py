"""A batch in Spanish: what its table says is Spanish, what programs read in it is not."""

import csv
import io
import json
import pickle

import pypdf
import pytest
from batch_tasks import quick
from language_kit import in_spanish

from offgrid_sizing.batch import Cores, read_sites, run_batch
from offgrid_sizing.batch.electrical_row import electrical_row
from offgrid_sizing.batch.run import Task, solve_task
from offgrid_sizing.batch.solve import solve_with_pdf
from offgrid_sizing.demos import demo
from offgrid_sizing.electrical.verdict import Verdict
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.words import sentence, to_words

SITES = "name,latitude,longitude\nA,-30,10\nB,95.5,10\nC,10,10\nD,20,10\nE,,10\n"


def refusing(sketch, *, base_dir=None) -> dict:
    """Refuses one site, fails on another, and finds two faults in the wiring of the rest."""
    if sketch.site.name == "C":
        raise BadInput(sentence("batch.few", where="x", there=1), sentence("batch.worker_ended"))
    if sketch.site.name == "D":
        raise ZeroDivisionError("division by zero")
    faults = (sentence("batch.note.skyline"), sentence("batch.note.climate"))
    verdict = Verdict("iec60364", faults=faults)
    return quick(sketch) | electrical_row(verdict)


@pytest.fixture
def run(tmp_path):
    """Runs the five sites; the rows of the table and the progress told."""

    def once(language: str):
        (tmp_path / "sites.csv").write_text(SITES)
        told = []
        out = tmp_path / language
        result = run_batch(
            tmp_path / "sites.csv", out, where=Cores(1), language=language, solve=refusing,
            progress=told.append,
        )  # fmt: skip
        with result.table.open(encoding="utf-8", newline="") as file:
            return list(csv.DictReader(file)), told, result

    return once


def test_the_table_is_worded_and_its_heads_and_states_are_not(run):
    english, *_ = run("en")
    spanish, told, result = run("es")
    assert english[0].keys() == spanish[0].keys()
    states = ["solved", "bad row", "refused", "failed", "bad row"]
    assert [row["status"] for row in english] == [row["status"] for row in spanish] == states
    assert [row["row"] for row in spanish] == [f"fila {number}" for number in range(2, 7)]
    weather = "built-in climate instead of the template's own weather"
    assert english[0]["note"] == f"{weather}; roofs turned to face the equator"
    assert spanish[0]["note"] == (
        "clima incorporado en lugar del clima propio de la plantilla; "
        "tejados girados hacia el ecuador"
    )
    assert spanish[0]["wiring_faults"] == (
        "se dejó fuera el horizonte de la plantilla | "
        "clima incorporado en lugar del clima propio de la plantilla"
    )
    assert spanish[1]["sentence"].endswith("menor o igual que 90 (recibido: 95,5).")
    assert spanish[2]["sentence"].startswith("x: la plantilla solo tiene 1 ahí. un proceso")
    assert spanish[3]["sentence"].startswith("este lugar falló (ZeroDivisionError: division by")
    assert spanish[4]["sentence"] == "falta latitude."
    in_spanish(told[-1])
    assert len(result.refused) == 4


def test_what_is_kept_for_the_next_run_is_in_the_words_of_this_one(run, tmp_path):
    run("es")
    (file,) = (tmp_path / "es" / "sites").glob("c-*/summary.json")
    assert json.loads(file.read_text("utf-8"))["sentence"].startswith("x: la plantilla")
    again, told, result = run("es")
    assert (result.kept, again[2]["sentence"][:14]) == (2, "x: la plantill")
    assert to_words(told[0], "es") == "2 de 3 lugares ya están hechos"


def test_an_answer_from_another_process_keeps_its_keys():
    raw = demo().model_dump(mode="json")
    raw["site"]["name"] = "C"
    task = Task("c", json.dumps(raw), ".")
    found = pickle.loads(pickle.dumps(solve_task(task, refusing)))
    in_spanish(found["sentence"])


def test_a_folder_of_sketches_names_its_bad_files(tmp_path):
    (tmp_path / "a.json").write_text("{")
    (tmp_path / "b.json").symlink_to(tmp_path / "b.json")
    _, bad = read_sites(tmp_path)
    assert [row.row for row in bad] == ["a.json", "b.json"]
    for row in bad:
        in_spanish(row.sentence)


def test_papers_of_a_site_are_in_the_language_asked_for():
    sketch = demo().model_copy(
        update={
            "targets": demo().targets.model_copy(update={"max_units": 4, "max_modules": 16}),
            "weather": demo().weather.model_copy(update={"years": 1}),
        }
    )
    files = solve_with_pdf(sketch, language="es")["files"]
    assert set(files) == {"summary.pdf", "commissioning.txt", "labels.pdf"}
    assert "Sin tensión: aislamiento" in files["commissioning.txt"]
    pages = pypdf.PdfReader(io.BytesIO(files["labels.pdf"])).pages
    assert "BANCO DE BATERÍAS" in pages[0].extract_text()
