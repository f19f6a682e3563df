"""Sites with names that try to be code: the table of results, folders and papers stay harmless."""

import csv
import json
import re

import batch_tasks
import pypdf
from hostile_sketch import TEXTS, hostile, shown, squeezed

from offgrid_sizing.batch import Cores, run_batch
from offgrid_sizing.batch.fields import is_field
from offgrid_sizing.report.csv_text import safe_cell
from offgrid_sizing.sketch import sketch_from_json

OPENS = tuple("=+-@＝＋－＠")
TYPED = [text.replace("\0", "") for text in TEXTS]  # a table with a NUL is refused as a whole


def written(path, rows) -> None:
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)


def cells_of(path) -> list[list[str]]:
    """Cells of the table, which no spreadsheet takes for formulas."""
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.reader(file))
    for row in rows:
        assert len(row) == len(rows[0])
        for cell in row:
            assert not re.search(r"[\x00-\x1f\x7f-\x9f\u202e]", cell)
            for piece in cell.split(";"):
                if piece.strip().startswith(OPENS):
                    float(piece)
    return rows


def test_any_name_gets_a_row_and_a_folder_of_its_own(tmp_path):
    rows = [(text, 10 + place, 10) for place, text in enumerate(TYPED)]
    bad = [(text, text, 10) for text in TYPED]
    written(tmp_path / "sites.csv", [("name", "latitude", "longitude"), *rows, *bad])
    result = run_batch(
        tmp_path / "sites.csv", tmp_path / "out", where=Cores(1), solve=batch_tasks.quick
    )
    assert result.solved == len(TEXTS)
    head, *found = cells_of(result.table)
    assert [row[head.index("name")] for row in found] == 2 * [
        safe_cell(text.strip()) for text in TYPED
    ]
    assert {row[head.index("status")] for row in found[len(TEXTS) :]} == {"bad row"}
    folders = [row[head.index("folder")] for row in found if row[head.index("folder")]]
    assert len(set(folders)) == len(TEXTS)
    for folder in folders:
        assert re.fullmatch(r"sites/[a-z0-9-]+", folder)
        assert (tmp_path / "out" / folder / "summary.json").is_file()


def test_a_column_that_is_code_is_no_field(tmp_path):
    for text in TEXTS:
        assert not is_field(text)
        assert not is_field(f"site.{text}")
    assert not is_field("site.__class__")
    assert not is_field("loads.appliances.0.__init__")
    assert not is_field("model_config.frozen")


def test_a_row_with_all_texts_hostile_is_sized_and_printed(tmp_path):
    sketch, put = hostile(3)
    cells = {}
    for path, texts in put.items():
        for number, text in enumerate(texts):
            cells[path.replace("*", str(number))] = text.replace("\0", "")
    # a skyline belongs to the template's place and does not travel
    cells = {path: text for path, text in cells.items() if not path.startswith("obstacles.")}
    template = sketch.model_dump(mode="json")
    template["targets"] |= {"max_units": 4, "max_modules": 16}
    (tmp_path / "template.json").write_text(json.dumps(template))
    head = {"name": TEXTS[3], "latitude": 18, "longitude": -70} | cells
    del head["site.name"]
    written(tmp_path / "sites.csv", [head.keys(), head.values()])
    result = run_batch(
        tmp_path / "sites.csv", tmp_path / "out", template=tmp_path / "template.json",
        where=Cores(1), pdf=True,
    )  # fmt: skip
    assert result.refused == ()
    cells_of(result.table)
    (folder,) = (tmp_path / "out" / "sites").iterdir()
    solved = sketch_from_json((folder / "sketch.json").read_bytes())
    paper = pypdf.PdfReader(folder / "summary.pdf")
    text = squeezed("".join(page.extract_text() for page in paper.pages))
    assert shown(solved.title) in text
    for appliance in solved.loads.appliances:
        if appliance.name.isascii():
            assert shown(appliance.name) in text
    assert "root:" not in text
    answer = json.loads((folder / "summary.json").read_text(encoding="utf-8"))
    assert answer["name"] == solved.site.name
    assert answer["answer"]["currency"] == solved.prices.currency
