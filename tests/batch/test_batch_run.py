"""Running a batch: every site once, whatever stops it, and the same anywhere it runs."""

import csv
import json
import signal
import subprocess
import sys
import time
from pathlib import Path

import batch_tasks
import pytest
from distributed import LocalCluster

from offgrid_sizing.batch import Cores, Scheduler, run, run_batch, solve_site
from offgrid_sizing.batch.sites import read_sites
from offgrid_sizing.batch.solve import FIELDS, solve_with_pdf
from offgrid_sizing.batch.table import write_whole
from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, Sketch

HEAD = "name,latitude,longitude\n"


def table(folder: Path, count: int) -> Path:
    path = folder / "sites.csv"
    path.write_text(HEAD + "".join(f"Site {i},{1 + i / 100},10\n" for i in range(count)))
    return path


def results(folder: Path) -> list[dict]:
    with (folder / "results.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def test_every_row_stands_in_the_table_in_its_order(tmp_path):
    path = tmp_path / "sites.csv"
    path.write_text(HEAD + "North,50,1\nNowhere,99,1\nSouth,-20,1\nEquator,0,1\n=1+1,40,1\n")
    said = []
    result = run_batch(
        path, tmp_path / "out", where=Cores(2), solve=batch_tasks.choosy, progress=said.append
    )
    rows = results(tmp_path / "out")
    assert [row["row"] for row in rows] == [f"row {n}" for n in range(2, 7)]
    assert [row["status"] for row in rows] == ["solved", "bad row", "refused", "failed", "solved"]
    assert "less than or equal to 90" in rows[1]["sentence"]
    assert "raise the limit" in rows[2]["sentence"]
    assert "ZeroDivisionError" in rows[3]["sentence"]
    assert rows[4]["name"] == "'=1+1"
    assert len(result.refused) == 3
    assert result.solved == 2
    assert said[-1].startswith("4 of 4 sites done")
    kept = json.loads((tmp_path / "out" / rows[0]["folder"] / "summary.json").read_text())
    assert kept["answer"]["units"] == 50

    said.clear()
    again = run_batch(
        path, tmp_path / "out", where=Cores(2), solve=batch_tasks.choosy, progress=said.append
    )
    assert said[0] == "3 of 4 sites are already done"  # only what failed is tried again
    assert (again.kept, again.solved) == (3, 0)
    assert results(tmp_path / "out") == rows


def test_identical_rows_are_solved_once(tmp_path):
    path = tmp_path / "sites.csv"
    path.write_text(HEAD + "A,1,2\n" * 5)
    result = run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    assert result.solved == 1
    assert [row["status"] for row in results(tmp_path / "out")] == ["solved"] * 5


def test_a_changed_row_is_solved_anew_and_the_others_kept(tmp_path):
    path = table(tmp_path, 4)
    run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    path.write_text(path.read_text().replace("Site 2,1.02", "Site 2,7"))
    result = run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    assert (result.kept, result.solved) == (3, 1)
    assert results(tmp_path / "out")[2]["units"] == "7.0"


def test_a_torn_file_counts_as_missing(tmp_path):
    path = table(tmp_path, 2)
    run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    torn = tmp_path / "out" / results(tmp_path / "out")[0]["folder"] / "summary.json"
    torn.write_text(torn.read_text()[:20])
    result = run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    assert (result.kept, result.solved) == (1, 1)


RUNNER = """
import sys
sys.path.insert(0, sys.argv[3])
import batch_tasks
from offgrid_sizing.batch import Cores, run_batch
if __name__ == "__main__":
    run_batch(sys.argv[1], sys.argv[2], where=Cores(2), solve=batch_tasks.slow)
"""


def test_a_kill_in_the_middle_loses_and_repeats_nothing(tmp_path):
    count = 60
    path, out = table(tmp_path, count), tmp_path / "out"
    script = tmp_path / "runner.py"
    script.write_text(RUNNER)
    command = [sys.executable, str(script), str(path), str(out), str(Path(__file__).parent)]
    process = subprocess.Popen(command)
    until = time.monotonic() + 60
    while len(list(out.glob("sites/*/summary.json"))) < 15:
        assert time.monotonic() < until, "the batch never got going"
        time.sleep(0.01)
    process.send_signal(signal.SIGKILL)
    process.wait()
    time.sleep(0.5)  # workers see that their parent is gone
    finished = {p: p.stat().st_mtime_ns for p in out.glob("sites/*/summary.json")}
    assert 15 <= len(finished) < count
    log = tmp_path / "log.txt"
    before = log.read_text().splitlines()
    time.sleep(0.5)
    assert log.read_text().splitlines() == before, "workers outlive their parent"

    result = run_batch(path, out, where=Cores(2), solve=batch_tasks.slow)
    assert (result.kept, result.solved) == (len(finished), count - len(finished))
    assert all(p.stat().st_mtime_ns == then for p, then in finished.items())
    assert [row["status"] for row in results(out)] == ["solved"] * count
    solved = log.read_text().splitlines()
    assert len(set(solved)) == count
    # only what was in the two workers' hands at the kill was begun a second time
    assert len(solved) - count <= 8
    assert len(list(out.rglob("*.part"))) <= 1


def test_a_dask_cluster_gives_equal_results(tmp_path):
    path = tmp_path / "sites.csv"
    path.write_text(HEAD + "Nairobi,-1.3,36.8\nGreensboro,36.1,-79.9\nBad,95,1\n")
    run_batch(path, tmp_path / "here", where=Cores(1))
    with LocalCluster(
        n_workers=2, threads_per_worker=1, dashboard_address=None, host="127.0.0.1"
    ) as cluster:
        result = run_batch(path, tmp_path / "there", where=Scheduler(cluster.scheduler_address))
    assert (result.solved, len(result.refused)) == (2, 1)
    assert results(tmp_path / "there") == results(tmp_path / "here")


def test_an_address_that_is_none_is_refused_at_once(tmp_path):
    with pytest.raises(BadInput, match="nonsense is not the address of a Dask scheduler"):
        run_batch(table(tmp_path, 1), tmp_path / "out", where=Scheduler("nonsense"))


def test_a_scheduler_that_is_not_there_is_said_in_one_sentence(tmp_path, monkeypatch):
    monkeypatch.setattr(run, "SCHEDULER_TIMEOUT_S", 1.0)
    with pytest.raises(BadInput, match="no Dask scheduler answers at tcp"):
        run_batch(table(tmp_path, 1), tmp_path / "out", where=Scheduler("tcp://127.0.0.1:9"))


def test_one_site_solved_for_real(tmp_path):
    path = tmp_path / "sites.csv"
    path.write_text(HEAD + "Nairobi,-1.3,36.8\n")
    (site,), _ = read_sites(path)
    answer = solve_site(site.sketch)
    assert answer["met"]
    assert answer["units"] >= 1
    assert answer["modules"] >= 1
    assert answer["array_kw"] == pytest.approx(answer["modules"] * 0.45)
    assert answer["first_cost"] > 0
    assert answer["judged_year_unserved_frac"] <= site.sketch.targets.max_unserved_frac


def _shop(**changes) -> Sketch:
    raw = demo("shop").model_dump() | {"weather": {"years": 1}}
    for path, value in changes.items():
        part, box, field = path.split("__")
        raw[part][box][field] = value
    return Sketch.model_validate(raw)


@pytest.mark.parametrize(
    ("changes", "ok", "said"),
    [
        ({}, True, []),
        (
            {"equipment__battery__torque_min_nm": 20, "equipment__battery__cutoff_v": 57},
            False,
            ["equipment.battery.cutoff_v must be", "equipment.battery.torque_min_nm must be"],
        ),
        (
            {"wiring__bank_to_inverter__size": "16 mm2"},
            False,
            [
                "Bank to inverter-charger, 16 mm²: ampacity Iz 115 A",
                "Bank to inverter-charger, 16 mm²: ",
            ],
        ),
    ],
)
def test_a_row_says_whether_the_wiring_holds_with_and_without_a_paper(changes, ok, said):
    answer, with_paper = solve_site(_shop(**changes)), solve_with_pdf(_shop(**changes))
    for row in (answer, with_paper):
        assert row["wiring_code"] == "IEC 60364-5-52:2009"
        assert row["wiring_ok"] is ok
        sentences = row["wiring_faults"].split(" | ") if row["wiring_faults"] else []
        assert len(sentences) >= len(said)
        assert bool(sentences) is not ok
        for sentence, start in zip(sentences, said, strict=False):
            assert sentence.startswith(start)
    assert with_paper.pop("files")
    assert set(answer) == set(FIELDS)
    assert with_paper == answer


def test_the_table_has_the_wirings_columns(tmp_path):
    path = table(tmp_path, 1)
    run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.thin)
    (row,) = results(tmp_path / "out")
    assert row["wiring_ok"] == "False"
    assert row["wiring_faults"] == "first. | second."
    assert row["wiring_code"] == "IEC 60364-5-52:2009"
    assert row["wiring_caution"].startswith("This is a plan, not a permit.")
    assert "Bank and array can kill even with everything switched off" in row["wiring_caution"]


def test_an_answer_of_before_without_a_column_is_solved_anew(tmp_path):
    path = table(tmp_path, 2)
    run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    first, _ = sorted((tmp_path / "out" / "sites").glob("*/summary.json"))
    old = json.loads(first.read_text())
    del old["answer"]["wiring_ok"]
    first.write_text(json.dumps(old))
    result = run_batch(path, tmp_path / "out", where=Cores(1), solve=batch_tasks.quick)
    assert (result.kept, result.solved) == (1, 1)
    assert "wiring_ok" in json.loads(first.read_text())["answer"]


def test_a_pdf_for_each_site_and_only_where_it_is_missing(tmp_path):
    path = tmp_path / "sites.csv"
    path.write_text(HEAD + "Nairobi,-1.3,36.8\n")
    run_batch(path, tmp_path / "out", where=Cores(1))
    plain = results(tmp_path / "out")
    result = run_batch(path, tmp_path / "out", where=Cores(1), pdf=True)
    assert (result.kept, result.solved) == (0, 1)
    (paper,) = (tmp_path / "out").glob("sites/*/summary.pdf")
    assert paper.read_bytes().startswith(b"%PDF-")
    assert results(tmp_path / "out") == plain  # the same answer by either way
    assert run_batch(path, tmp_path / "out", where=Cores(1), pdf=True).kept == 1


def test_files_are_there_whole_or_not_at_all(tmp_path):
    write_whole(tmp_path / "x.json", "{}")
    assert (tmp_path / "x.json").read_text() == "{}"
    assert [p.name for p in tmp_path.iterdir()] == ["x.json"]
