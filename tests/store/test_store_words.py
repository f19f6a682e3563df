"""What the store refuses is said in each language; a database's own words are quoted."""

import sqlite3

import pytest
from language_kit import in_spanish
from sqlalchemy.exc import ArgumentError, OperationalError

from offgrid_sizing.sketch import BadInput, Site, Sketch, WeatherChoice
from offgrid_sizing.store import Store, StoreFault, home_dir
from offgrid_sizing.store.database import Database
from offgrid_sizing.store.faults import NotInTime, fault_of
from offgrid_sizing.store.files import MAX_FILE_BYTES, checked_file, write_file
from offgrid_sizing.store.tables import About
from offgrid_sizing.words import catalogue, sentence, to_words

SKETCH = Sketch(site=Site(latitude_deg=50, longitude_deg=10))
KINDS = [key for key in catalogue("en") if key.startswith("store.fault.")]


@pytest.fixture
def kept(tmp_path):
    """A store with one sketch in it."""
    store = Store(f"sqlite:///{tmp_path / 'x.sqlite'}", folder=tmp_path / "files")
    yield store, store.new(SKETCH)
    store.close()


def refused(call, *given) -> str:
    """The one sentence with which a call is refused."""
    with pytest.raises(BadInput) as caught:
        call(*given)
    (one,) = caught.value.sentences
    return one


@pytest.mark.parametrize("key", KINDS)
def test_each_fault_is_said_in_spanish_and_quotes_the_database(key):
    fault = StoreFault(key.rpartition(".")[2], "FATAL: out of luck")
    in_spanish(fault.sentences[0], "FATAL: out of luck")


def test_what_sqlite_says_itself_is_put_into_spanish():
    error = sqlite3.OperationalError("database is locked")
    fault = fault_of(OperationalError("SELECT 1", None, error))
    assert "(database is locked)" in fault.sentences[0]
    assert "(la base de datos está bloqueada)" in in_spanish(fault.sentences[0])
    assert to_words(StoreFault("busy", fault.reason).sentences[0], "es").count("bloqueada") == 1


def test_what_this_program_gave_up_on_keeps_its_words_through_the_driver():
    class Late(NotInTime, sqlite3.OperationalError):
        pass

    error = Late(sentence("store.reason.no_answer", waited=1.5))
    fault = fault_of(OperationalError("SELECT 1", None, error))
    assert "(no answer within 1.5 s)" in fault.sentences[0]
    assert "(sin respuesta en 1,5 s)" in in_spanish(fault.sentences[0])
    nothing = fault_of(ArgumentError(""))
    assert nothing.reason == "no reason given"
    in_spanish(nothing.sentences[0])


@pytest.mark.parametrize("url", ["not an address", "mysql://host/x"])
def test_an_address_is_refused_in_spanish(url):
    in_spanish(refused(Store, url))


def test_a_newer_layout_is_refused_in_spanish(tmp_path):
    url = f"sqlite:///{tmp_path / 'x.sqlite'}"
    database = Database(url)
    with database.writing() as session:
        session.get(About, "store_version").value = "99"
    database.close()
    assert "99" in in_spanish(refused(Store, url))


def test_a_file_that_is_no_database_is_said_in_spanish(tmp_path):
    (tmp_path / "x.sqlite").write_bytes(b"this is a letter, not a database" * 100)
    one = refused(Store, f"sqlite:///{tmp_path / 'x.sqlite'}")
    assert "el archivo no es una base de datos" in in_spanish(one)


def test_a_home_that_cannot_be_made_is_said_in_spanish(tmp_path, monkeypatch):
    (tmp_path / "taken").write_text("a file")
    monkeypatch.setenv("OFFGRID_HOME", str(tmp_path / "taken" / "home"))
    one = refused(home_dir)
    assert "no es una carpeta" in in_spanish(one)


@pytest.mark.parametrize(
    ("name", "content", "kind"),
    [
        ("a.csv", b"", "meter"),
        ("a.csv", b"x" * (MAX_FILE_BYTES + 1), "weather"),
        ("a.pdf", b"x", "weather"),
        ("a.pdf", b"x", "meter"),
        ("a.pdf", b"x", "logger"),
    ],
)
def test_a_dropped_file_is_refused_in_spanish(name, content, kind):
    in_spanish(refused(checked_file, name, content, kind), name)


def test_files_that_are_not_there_are_said_in_spanish(kept, tmp_path):
    store, _ = kept

    def naming(file: str) -> Sketch:
        weather = WeatherChoice(source="file", file=file)
        return Sketch(**(dict(SKETCH) | {"weather": weather}))

    in_spanish(refused(store.lay_out_files, naming("/etc/passwd")), "/etc/passwd")
    in_spanish(refused(store.lay_out_files, naming(f"{'0' * 64}/sun.epw")), "sun.epw")
    in_spanish(refused(write_file, tmp_path, f"{'0' * 64}/sun.epw", b"other"), "sun.epw")


def test_addresses_and_revisions_are_refused_in_spanish(kept):
    store, made = kept
    read_only = made.share_token
    for call, *given in (
        (store.open, "nowhere"),
        (store.undo, read_only, made.revision),
        (store.listing,),
        (store.go_to, made.token, 77),
        (store.name_version, made.token, " "),
        (store.name_version, made.token, "mine", 77),
    ):
        in_spanish(refused(call, *given))
    store.delete(made.token)
    in_spanish(refused(store.open, made.token))


def test_damaged_states_are_said_in_spanish(kept):
    store, made = kept
    with store._database.writing() as session:
        session.connection().exec_driver_sql("UPDATE offgrid_revisions SET digest = 'x'")
    in_spanish(refused(store.open, made.token))
    in_spanish(refused(store.restore_readable, made.token))
