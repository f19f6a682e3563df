"""A further language, page and weather format: what each asks for, and that it works."""

LANGUAGE = """
from offgrid_sizing import words
from offgrid_sizing.units import digits
from offgrid_sizing.ui.navigation import STEPS

tests = {step.name: page(step.name, demo("town_house"), "pt") for step in STEPS}
front = page("start", None, "pt")
answer(
    languages=words.LANGUAGES, drawn=sorted(tests), titles=[one.value for one in front.title],
    mark=str(words.said("commissioning.sheet.half", share=0.5).to("pt")),
    shown=seen(tests["equipment"]),
)
"""


def test_a_language_is_a_folder_of_words_and_one_line(copy):
    english = copy.folder / "offgrid_sizing/words/en"
    for theme in sorted(english.glob("*.toml")):
        text = theme.read_text(encoding="utf-8")
        if theme.stem == "common":
            assert 'decimal_mark = "."' in text
            text = text.replace('decimal_mark = "."', 'decimal_mark = ","')
        if theme.stem == "commissioning":
            text += 'half = "metade {share:.1f}"\n'
        if theme.stem == "equipment":
            text = text.replace("Typical of this chemistry", "Usual nesta química")
        copy.new(f"offgrid_sizing/words/pt/{theme.name}", text)
    copy.change(
        "offgrid_sizing/words/__init__.py",
        '"es": "Español"}',
        '"es": "Español", "pt": "Português"}',
    )
    touched = copy.touched()
    assert [path for path in touched if "/words/pt/" not in path] == [
        "offgrid_sizing/words/__init__.py"
    ]
    found = copy.run(LANGUAGE)
    assert found["languages"]["pt"] == "Português"
    assert len(found["drawn"]) >= 15  # every page bears it
    assert found["titles"]
    assert found["mark"] == "metade 0,5"


PAGE = """
from offgrid_sizing.ui import navigation

english, spanish = (page("tides", demo(), language) for language in ("en", "es"))
answer(
    order=[step.name for step in navigation.STEPS][-2:],
    titles=[test.title[0].value for test in (english, spanish)],
)
"""

TIDES = '''"""Tides: a page for a test."""

import streamlit as st

from offgrid_sizing.ui import cautions
from offgrid_sizing.ui.words import t


def draw() -> None:
    """One title."""
    st.title(t("tides.title"))
    cautions.foot()
'''


def test_a_page_is_a_module_one_line_and_a_file_of_words_a_language(copy):
    copy.new("offgrid_sizing/ui/pages/tides.py", TIDES)
    copy.new("offgrid_sizing/words/en/tides.toml", 'nav = "Tides"\ntitle = "High water"\n')
    copy.new("offgrid_sizing/words/es/tides.toml", 'nav = "Mareas"\ntitle = "Pleamar"\n')
    line = '    Step("guide", ":material/menu_book:"),\n'
    copy.change(
        "offgrid_sizing/ui/navigation.py", line, line + '    Step("tides", ":material/waves:"),\n'
    )
    assert copy.touched() == [
        "offgrid_sizing/ui/navigation.py",
        "offgrid_sizing/ui/pages/tides.py",
        "offgrid_sizing/words/en/tides.toml",
        "offgrid_sizing/words/es/tides.toml",
    ]
    found = copy.run(PAGE)
    assert found == {"order": ["guide", "tides"], "titles": ["High water", "Pleamar"]}


READER = """
def _island(text: str, content: bytes) -> Record:
    lines = text.splitlines()[1:]
    labels = pd.date_range("2021-01-01", periods=len(lines), freq="h")
    rows = pd.DataFrame({"ghi": [float(line) for line in lines]}, index=labels)
    return Record("Island log", rows, "begin", 0.0, 1.0, 2.0, 3.0, "Island")


"""

WEATHER = """
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.weather.files import read_record

hours = [max(0, 600 - 100 * abs(12 - hour % 24)) for hour in range(8760)]
record = read_record("\\n".join(["ISLAND LOG", *map(str, hours)]).encode(), "log.txt")
try:
    read_record(b"ISLAND LOG\\nmany\\n", "log.txt")
    said = ""
except BadInput as fault:
    said = str(fault)
answer(kind=record.kind, place=record.place, total=float(record.rows["ghi"].sum()), said=said)
"""


def test_a_weather_format_is_one_reader_in_the_list(copy):
    copy.put("offgrid_sizing/weather/formats.py", "_READERS: tuple", READER)
    copy.put(
        "offgrid_sizing/weather/formats.py", '    ("EPW", r"LOCATION,"',
        '    ("Island log", r"ISLAND LOG", _island),\n',
    )  # fmt: skip
    assert copy.touched() == ["offgrid_sizing/weather/formats.py"]
    found = copy.run(WEATHER)
    assert (found["kind"], found["place"]) == ("Island log", "Island")
    assert found["total"] == 365 * 3600  # 600 + 2 × (500 + 400 + 300 + 200 + 100)
    assert found["said"].startswith("log.txt begins like Island log but cannot be read as such")
