"""Every page shows what people typed as they typed it: no markup, formula, icon, link or template.

All strings that reach the browser are walked, so that a new element is judged too.
"""

import csv
import io
import json
import re
import time
from collections.abc import Iterator
from importlib import import_module

import pytest
import streamlit as st
from hostile_sketch import TEXTS, hostile, shown

from offgrid_sizing.sketch import sketch_to_json
from offgrid_sizing.ui.navigation import STEPS
from offgrid_sizing.ui.plain import plain

TURN = 4  # gives the currency, which stands on many pages, the beginning of a link
PATIENCE_S = 90
# Where the browser shows text as it is: fields, options, cells, descriptions, code, addresses.
AS_IT_IS = {
    "TextInput.default", "TextInput.value", "TextArea.default", "TextArea.value", "Text.body",
    "Selectbox.options", "Selectbox.raw_value", "ArrowData.data", "PlotlyChart.alt", "Image.alt",
    "DataFrame.alt", "Code.code_text",
}  # fmt: skip
OPENS = tuple("=+-@＝＋－＠")


def nodes(node) -> Iterator:
    """An element and all below it."""
    yield node
    for child in getattr(node, "children", {}).values():
        yield from nodes(child)


def strings(proto) -> Iterator[tuple[str, str]]:
    """(message and field, text) of all text an element carries to the browser."""
    for field, value in proto.ListFields():
        where = f"{proto.DESCRIPTOR.name}.{field.name}"
        for one in value if field.is_repeated else [value]:
            if isinstance(one, str):
                yield where, one
            elif isinstance(one, bytes):
                yield where, one.decode("utf-8", "replace")
            elif hasattr(one, "ListFields"):
                yield from strings(one)


def inner(value) -> Iterator[str]:
    """All strings of a chart's description."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, one in value.items():
            # what Python keeps for itself, and what a click gives back, are never drawn
            if key not in ("meta", "ids"):
                yield from inner(one)
    elif isinstance(value, list):
        for one in value:
            yield from inner(one)


ESCAPE = re.compile(r"\\[!-/:-@\[-`{-~]")
# Icons of our own begin like one of the texts.
CUTS = {text[:8] for text in TEXTS} - {":materia"} | {text.strip() for text in TEXTS}


def raw_in(text: str, marks: str) -> list[str]:
    """Hostile texts, also cut short, that hold one of these marks and stand here as they are."""
    return [one for one in CUTS if set(one) & set(marks) and one in text]


def judged(test) -> set[str]:
    """Fail where a hostile text reaches something that reads it as code; the escaped ones found."""
    assert [one.value for one in test.exception] == []
    escaped = set()
    for node in nodes(test._tree):
        for where, text in strings(node.proto) if getattr(node, "proto", None) else ():
            if where == "PlotlyChart.spec":
                for one in inner(json.loads(text)):
                    assert raw_in(one, "<>&") == [], f"in a chart: {one}"
                    assert "%{x} {0}" not in one, f"a template in a chart: {one}"
            elif where not in AS_IT_IS:
                left = ESCAPE.sub("", text)
                assert raw_in(left, "<>&*_`[]()!#|~$\\{}=^@:") == [], f"{where}: {text}"
                escaped |= {one for one in TEXTS if len(one) > 9 and plain(one) in text}
    return escaped


def finished(test):
    """Run until nothing is being computed in the background any more."""
    end = time.monotonic() + PATIENCE_S
    while any((button.key or "").startswith("stop_") for button in test.button):
        assert time.monotonic() < end, "still computing"
        time.sleep(0.2)
        test.run()
    return test


@pytest.fixture
def downloads(monkeypatch):
    """What the buttons of the pages drawn hand out, by file name."""
    found, button = {}, st.download_button

    def watched(label, data, file_name=None, **options):
        found[file_name] = data
        return button(label, data, file_name, **options)

    monkeypatch.setattr(st, "download_button", watched)
    return found


def content_of(data) -> bytes:
    made = data() if callable(data) else data
    return made.encode() if isinstance(made, str) else made


def harmless_table(content: bytes) -> None:
    for row in csv.reader(io.StringIO(content.decode("utf-8"))):
        for cell in row:
            for piece in cell.split(";"):
                if piece.strip().startswith(OPENS):
                    float(piece)


@pytest.mark.parametrize("name", [step.name for step in STEPS])
def test_a_page_shows_text_and_its_files_hold_text(page, name, downloads, no_trouble):
    sections = getattr(import_module(f"offgrid_sizing.ui.pages.{name}"), "SECTIONS", ("",))
    test = page(name, hostile(TURN)[0])
    for section in sections:
        if section:
            test.session_state[f"{name}_section"] = section
            test.run()
        judged(finished(test))
        no_trouble(test)
    for file_name, data in downloads.items():
        assert file_name.isascii()
        assert file_name.isprintable()
        assert not set(file_name) & set('/\\:*?"<>|=+@ ')
        if file_name.endswith(".csv"):
            harmless_table(content_of(data))


def test_the_texts_are_there_escaped(page):
    """Or the test above would find nothing wrong on empty pages."""
    found = set()
    sketch = hostile(TURN)[0]
    for name, section in (
        ("start", ""), ("loads", "table"), ("loads", "hours"), ("loads", "peak"), ("site", "roof"),
        ("equipment", "array"), ("wiring", "strings"), ("commissioning", ""),
    ):  # fmt: skip
        test = page(name, sketch)
        if section:
            test.session_state[f"{name}_section"] = section
            test.run()
        found |= judged(finished(test))
    assert len(found) > 3, found


HEADS = [text.replace("\0", "").replace("\n", "").replace("\r", "") for text in TEXTS]
SKETCH = "sketch_file_"  # the key of a place for sketch files begins so; a number follows


def a_table(headings: list[str], rows: int = 24 * 9) -> bytes:
    """An hourly table; the time, then a column under each heading."""
    file = io.StringIO(newline="")
    table = csv.writer(file)
    table.writerow(["time", *headings])
    for hour in range(rows):
        stamp = f"2025-01-{1 + hour // 24:02d} {hour % 24:02d}:00"
        table.writerow([stamp, *(0.4 + number for number in range(len(headings)))])
    return file.getvalue().encode()


def uploaded(test, key: str, name: str, content: bytes):
    (box,) = [one for one in test.get("file_uploader") if one.key.startswith(key)]
    box.upload(name, content, "text/csv")
    return finished(test.run())


@pytest.mark.parametrize("head", HEADS)
def test_a_meters_file_with_hostile_headings(page, head, no_trouble):
    from offgrid_sizing.demos import demo

    test = page("loads", demo("farmhouse"))
    test.session_state["loads_section"] = "meter"
    test.run()
    uploaded(test, "loads_meter_file", f"{head}.csv", a_table([f"{head} kWh", f"b {head}"]))
    judged(test)
    no_trouble(test)


def test_a_loggers_file_with_hostile_headings(page, no_trouble):
    test = page("followup", hostile(TURN)[0])
    for name in (HEADS[12], HEADS[14]):
        uploaded(
            test, "followup_file", f"{name}.csv", a_table([f"{head} load W" for head in HEADS])
        )
        judged(test)
        no_trouble(test)


def test_a_sketch_file_with_hostile_fields_and_values(page, no_trouble):
    """What is wrong is quoted, and stays words."""
    good = json.loads(sketch_to_json(hostile(TURN)[0]))
    test = page("saved")
    for text in TEXTS:
        site = good["site"] | {"latitude_deg": text}
        wrong = good | {text: 1, "title": text * 200, "site": site, "strategy": {"kind": text}}
        for content, faults in ((wrong, 4), (text, 1)):
            (box,) = [one for one in test.get("file_uploader") if one.key.startswith(SKETCH)]
            box.clear().upload("x.json", json.dumps(content).encode(), "application/json")
            test.run()
            assert len(test.error) == faults
            judged(test)
            no_trouble(test)


def test_a_sketch_file_is_opened_as_it_is(page, no_trouble, store):
    sketch = hostile(TURN)[0]
    test = page("start")
    uploaded(test, SKETCH, "x.json", sketch_to_json(sketch).encode())
    judged(test)
    no_trouble(test)
    (title,) = {field.value for field in test.text_input if field.value == sketch.title}
    assert shown(title) == shown(sketch.title)
