"""With `--language es` the command line refuses, reports and answers in Spanish."""

import json
import socket

import pytest
from click.testing import CliRunner
from language_kit import in_spanish

from offgrid_sizing.cli import main
from offgrid_sizing.console import answer_json
from offgrid_sizing.demos import demo
from offgrid_sizing.words import said, sentence


def run(*arguments, language="es"):
    words = [str(argument) for argument in arguments]
    return CliRunner().invoke(main, [*words, "--language", language], prog_name="offgrid-sizing")


def _told(*arguments) -> tuple[str, str]:
    """What one command line is told in English and in Spanish, in one line each."""
    english, spanish = run(*arguments, language="en"), run(*arguments)
    assert english.exit_code == spanish.exit_code == 2, english.output + spanish.output
    assert english.stdout == spanish.stdout == ""
    return english.stderr.strip(), spanish.stderr.strip()


class Shown(str):
    """What was printed in English, with the Spanish that was printed for it."""

    def __new__(cls, english: str, spanish: str):
        made = super().__new__(cls, english)
        made.spanish = spanish
        return made


def spanish_of(monkeypatch, english: str, spanish: str, *quoted: str) -> str:
    """The printed Spanish, held to be all Spanish."""
    monkeypatch.setattr("language_kit.to_words", lambda one, _language: one.spanish)
    return in_spanish(Shown(english, spanish), *quoted)


@pytest.fixture
def sketch(tmp_path):
    """Writes the farmhouse with one part replaced."""

    def write(**parts):
        raw = demo().model_dump(mode="json") | parts
        (tmp_path / "s.json").write_text(json.dumps(raw))
        return tmp_path / "s.json"

    return write


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (["demo", "castle"], "no hay ninguna demostración llamada «castle»"),
        (["size", "{none}", "-o", "{out}"], "no existe el archivo"),
        (["size", "{folder}", "-o", "{out}"], "es una carpeta"),
        (["batch", "{none}", "-o", "{out}"], "no existe el archivo o la carpeta"),
        (["batch", "{empty}", "-o", "{out}"], "está vacío"),
        (["batch", "{head}", "-o", "{out}"], "le faltan las columnas name, longitude"),
        (["batch", "{blank}", "-o", "{out}"], "las columnas 4 y 5"),
        (["batch", "{twice}", "-o", "{out}"], "tiene dos veces la columna"),
        (["batch", "{field}", "-o", "{out}"], "no es un campo de un boceto"),
        (["batch", "{quote}", "-o", "{out}"], "unas comillas se abren y no se cierran"),
        (["batch", "{after}", "-o", "{out}"], "se esperaba ',' después"),
        (["batch", "{mixed}", "-o", "{out}"], "la línea 2 contiene el byte 0xFF"),
        (["batch", "{half}", "-o", "{out}"], "empieza como UTF-16 pero no sigue así"),
        (["batch", "{bytes}", "-o", "{out}"], "no es un archivo de texto"),
        (["batch", "{bare}", "-o", "{out}"], "no contiene lugares"),
        (["batch", "{folder}", "-o", "{out}"], "no contiene bocetos .json"),
        (["batch", "{good}", "-o", "{out}", "--scheduler", "nowhere"], "planificador Dask"),
        (["demo", "-o", "{folder}"], "no se puede leer o escribir «"),
        (["dashboard", "--address", "no.such.host.invalid"], "no es una dirección de este equipo"),
        (["dashboard", "--address", "127.0.0.1", "--port", "{port}"], "ya está en uso): cierre"),
    ],
)  # fmt: skip
def test_bad_command_lines_are_refused_in_spanish(tmp_path, monkeypatch, line, words):
    (tmp_path / "folder").mkdir()
    tables = {
        "empty": b"",
        "head": b"latitude\n1\n",
        "blank": b"name,latitude,longitude,,\nA,1,1,,\n",
        "twice": b"name,latitude,longitude,name\nA,1,1,A\n",
        "field": b"name,latitude,longitude,colour\nA,1,1,red\n",
        "quote": b'name,latitude,longitude\n"A,1,1\n',
        "after": b'name,latitude,longitude\n"A"B,1,1\n',
        "mixed": b"name,latitude,longitude\n\xff\xc3\xb1,1,1\n",
        "half": b"\xff\xfea\x00b",
        "bytes": b"name\x00\x00,latitude",
        "bare": b"name,latitude,longitude\n",
        "good": b"name,latitude,longitude\nA,1,1\n",
    }
    for name, content in tables.items():
        (tmp_path / f"{name}.csv").write_bytes(content)
    with socket.socket() as other:
        other.bind(("127.0.0.1", 0))
        other.listen()
        names = {name: str(tmp_path / f"{name}.csv") for name in tables}
        names |= {name: str(tmp_path / name) for name in ("none", "folder", "out")}
        names["port"] = str(other.getsockname()[1])
        english, spanish = _told(*(word.format(**names) for word in line))
    assert words in spanish_of(monkeypatch, english, spanish.replace(str(tmp_path), "…"))


@pytest.mark.parametrize(
    ("line", "words"),
    [
        (["size", "s.json"], "falta la opción '-o' / '--output'; vea offgrid-sizing size --help."),
        (["size", "-o", "x"], "falta el argumento 'SKETCH'"),
        (["size", "s.json", "-o", "x", "--colour"], "no existe la opción --colour"),
        (["resize", "s.json"], "no existe la orden resize; vea offgrid-sizing --help."),
        (["size", "s.json", "y.json", "-o", "x"], "la orden toma menos argumentos: y.json"),
        (["size", "s.json", "-o", "x", "--paper", "a5"], "uno de estos: a4, us-letter"),
        (["batch", "s.csv", "-o", "x", "--workers", "0"], "un número entero de 1 a 256"),
        (["climate", "--latitude", "north", "--longitude", "1"], "debe ser un número;"),
        (["climate", "--latitude", "1", "--longitude", "1", "--years", "x"], "un número entero;"),
        (["demo", "--version=2"], "no existe la opción --version"),
    ],
)
def test_a_misused_command_is_said_in_one_spanish_sentence(monkeypatch, line, words):
    english, spanish = _told(*line)
    assert english.startswith("Usage: offgrid-sizing")
    assert len(spanish.splitlines()) == 1
    assert words in spanish
    spanish_of(
        monkeypatch, english, spanish.partition(";")[0], *(["SKETCH"] * ("SKETCH" in spanish))
    )


def test_the_language_is_heard_before_or_behind_the_command():
    for words in (["--language=es", "demo", "x"], ["demo", "x", "--language=es"],
                  ["--language", "en", "demo", "x", "--language", "es"]):  # fmt: skip
        assert CliRunner().invoke(main, words).stderr.startswith("no hay ninguna")
    behind = ["demo", "x", "--", "--language=es"]  # no option any more
    assert "Usage" in CliRunner().invoke(main, behind).stderr


def test_a_language_named_before_the_command_is_that_of_its_documents(tmp_path):
    drawn = tmp_path / "s.json"
    CliRunner().invoke(main, ["--language", "es", "demo", "-o", str(drawn)])
    assert json.loads(drawn.read_text("utf-8"))["title"].startswith("Granja sin red")
    for asked, told, words in (
        ([], [], "Dead tests: insulation"),
        (["--language", "es"], [], "Sin tensión: aislamiento"),
        (["--language", "es"], ["--language", "en"], "Dead tests: insulation"),
    ):
        CliRunner().invoke(main, [*asked, "simulate", str(drawn), "-o", str(tmp_path / "o"), *told])
        assert words in (tmp_path / "o" / "commissioning.txt").read_text("utf-8")


def test_a_bad_sketch_is_refused_in_spanish(sketch, tmp_path, monkeypatch):
    site = {"latitude_deg": 95.5, "longitude_deg": 0, "colour": "red"}
    file = sketch(site=site, drawn={"inverters": 3})
    english, spanish = _told("simulate", file, "-o", tmp_path / "out")
    assert len(english.splitlines()) == len(spanish.splitlines()) == 3
    assert "debe ser menor o igual que 90 (recibido: 95,5)." in spanish
    for pair in zip(english.splitlines(), spanish.splitlines(), strict=True):
        spanish_of(monkeypatch, *pair, *(["single"] if "single" in pair[1] else []))


def test_a_fault_of_ours_is_said_in_spanish(tmp_path, monkeypatch):
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "home"))
    monkeypatch.setattr("offgrid_sizing.demos.demo", lambda *_: 1 / 0)
    saved = run("demo")
    assert saved.exit_code == 1
    assert saved.stderr.startswith("algo falló en el programa; los detalles se guardaron en")
    (tmp_path / "taken").write_text("no folder")
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "taken"))
    unsaved = run("demo")
    assert "(ZeroDivisionError: division by zero)" in unsaved.stderr
    assert unsaved.stderr.strip().endswith("no se pudieron guardar: el archivo ya existe.")


def test_a_table_that_is_missing_is_said(monkeypatch):
    def missing(*_):
        raise FileNotFoundError(sentence("rules.missing", name="x"))

    monkeypatch.setattr("offgrid_sizing.demos.demo", missing)
    assert run("demo").stderr.startswith("falta la tabla de normas «x»")
    assert run("demo", language="en").stderr.startswith("the wiring table 'x' is missing")


def test_a_report_on_stdout_is_worded_and_its_names_stay(capsys):
    report = {
        "caveats": (sentence("batch.row", number=3), "as it is"),
        "inner": {"what": said("batch.this_sketch"), "share": 0.5},
    }
    spoken = "offgrid_sizing.console.language"
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(spoken, lambda: "es")
        answer_json(report)
    spanish = json.loads(capsys.readouterr().out)
    assert spanish == {
        "caveats": ["fila 3", "as it is"],
        "inner": {"what": "este boceto", "share": 0.5},
    }


def test_files_that_were_written_are_named_in_spanish(tmp_path):
    assert run("demo", "-o", tmp_path / "d.json").stderr == f"escrito: {tmp_path / 'd.json'}\n"
    assert run("schema", "-o", tmp_path / "s.json").stderr.startswith("escrito: ")


def test_a_batch_answers_in_spanish(tmp_path):
    (tmp_path / "sites.csv").write_text("name,latitude,longitude\nB,95,10\nC,,1\n")
    out = tmp_path / "out"
    done = run("batch", tmp_path / "sites.csv", "-o", out, "--workers", "1")
    assert done.exit_code == 0, done.stderr
    assert done.stderr.splitlines() == [
        "fila 2: site.latitude_deg debe ser menor o igual que 90 (recibido: 95).",
        "fila 3: falta latitude.",
    ]
    assert done.stdout.startswith("0 resueltos, 0 conservados de antes, 2 rechazados; resultados")
    table = (out / "results.csv").read_text("utf-8").splitlines()
    assert table[0].startswith("row,name,latitude,longitude,status,")  # names for machines
    assert table[1].startswith("fila 2,B,,,bad row,")
    assert "debe ser menor o igual que 90" in table[1]
