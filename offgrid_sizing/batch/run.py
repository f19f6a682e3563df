"""Runs a batch: on all cores or on a Dask scheduler, each finished site kept at once.

A site is done when its `summary.json` stands in its folder. It is written beside and moved into
place, so that it is either there whole or not at all: whatever stops a run, the next one does only
what is missing.
"""

from __future__ import annotations

import contextlib
import json
import multiprocessing
import multiprocessing.connection
import os
import re
import signal
import threading
import time
from collections.abc import Callable, Generator, Iterable, Iterator
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass
from functools import partial
from pathlib import Path

from offgrid_sizing.batch.progress import teller
from offgrid_sizing.batch.sites import BadRow, Site, read_sites
from offgrid_sizing.batch.solve import FIELDS, PDF_NAME, solve_site, solve_with_pdf
from offgrid_sizing.batch.table import write_cautions, write_table, write_whole
from offgrid_sizing.sketch import BadInput, Sketch, sketch_from_json, sketch_to_json
from offgrid_sizing.words import DEFAULT, Said, said, sentence, to_words, together

DONE = "summary.json"
RESULTS = "results.csv"
CAUTIONS = "cautions.txt"
IN_FLIGHT = 4  # tasks handed out ahead for each worker: keeps memory flat whatever the batch
SCHEDULER_TIMEOUT_S = 20.0
Solve = Callable[..., dict]


@dataclass(frozen=True)
class BatchResult:
    """What came of a batch.

    Parameters
    ----------
    table : Path
        The results, one line a row of the source.
    solved : int
        Sites solved in this run.
    kept : int
        Sites already there from an earlier run, with or without an answer.
    refused : tuple of BadRow
        Rows that could not be used and sites without an answer, each with its sentence.
    seconds : float
    """

    table: Path
    solved: int
    kept: int
    refused: tuple[BadRow, ...]
    seconds: float


@dataclass(frozen=True)
class Cores:
    """Processes of this machine, as many as it has cores unless said; 1 stays in this process."""

    workers: int | None = None


@dataclass(frozen=True)
class Scheduler:
    """A running Dask scheduler, at an address such as tcp://host:8786."""

    address: str


@dataclass(frozen=True)
class Task:
    """One site as it travels to a worker: text and names only."""

    key: str
    sketch_json: str
    base_dir: str


Finished = Generator[tuple[Task, Future], None, None]  # a generator can be closed early


def solve_task(task: Task, solve: Solve = solve_site) -> dict:
    """Solve one site in a worker; a site without an answer comes back with its sentence."""
    sketch = sketch_from_json(task.sketch_json)
    try:
        answer = solve(sketch, base_dir=task.base_dir)
        beside = {"files": answer.pop("files", {}), "lacks": answer.pop("lacks", "")}
        return {"status": "solved", **beside, "answer": answer}
    except BadInput as error:
        return {"status": "refused", "sentence": together(*error.sentences)}


def _kept(folder: Path, *, pdf: bool) -> dict | None:
    """What an earlier run left for a site.

    A file that cannot be read counts as not there, and so does an answer that an earlier program
    left without a column of today: an empty cell must not pass for a kept limit.
    """
    try:
        found = json.loads((folder / DONE).read_text(encoding="utf-8"))
    except (FileNotFoundError, json.JSONDecodeError, UnicodeDecodeError):
        return None
    if not isinstance(found, dict) or "status" not in found:
        return None
    if found["status"] != "solved":
        return found
    lacks_paper = pdf and not (folder / PDF_NAME).is_file()
    answer = found.get("answer")
    lacks_columns = not isinstance(answer, dict) or not answer.keys() >= set(FIELDS)
    return None if lacks_paper or lacks_columns else found


def _keep(folder: Path, site: Site, outcome: dict) -> None:
    folder.mkdir(parents=True, exist_ok=True)
    write_whole(folder / "sketch.json", sketch_to_json(site.sketch))
    for name, content in outcome.pop("files", {}).items():
        write_whole(folder / name, content)
    write_whole(folder / DONE, json.dumps(outcome, indent=2, ensure_ascii=False) + "\n")


def _windowed(submit, tasks: Iterable[Task], ahead: int) -> Iterator[tuple[Task, Future]]:
    """Finished futures as they come, never more than `ahead` of them handed out."""
    waiting = {}
    for task in tasks:
        waiting[submit(task)] = task
        if len(waiting) >= ahead:
            yield from _finished(waiting)
    while waiting:
        yield from _finished(waiting)


def _finished(waiting: dict) -> Iterator[tuple[Task, Future]]:
    done, _ = wait(waiting, return_when=FIRST_COMPLETED)
    for future in done:
        yield waiting.pop(future), future


def _here(tasks: Iterable[Task], solve: Solve) -> Finished:
    """One after the other in this process."""
    for task in tasks:
        future: Future = Future()
        try:
            future.set_result(solve_task(task, solve))
        except Exception as error:  # handed on as a worker would; `_outcome` names it
            future.set_exception(error)
        yield task, future


def _end_with_parent() -> None:
    """A worker leaves Ctrl-C to its parent, and does not outlive it however the parent ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)
    parent = multiprocessing.parent_process()
    assert parent is not None  # only workers run this

    def watch() -> None:
        multiprocessing.connection.wait([parent.sentinel])
        os._exit(1)

    threading.Thread(target=watch, daemon=True).start()


def _on_cores(tasks: Iterable[Task], solve: Solve, workers: int) -> Finished:
    """Over processes of this machine, started fresh so that no thread or lock is inherited."""
    ways = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in ways else "spawn")
    if "forkserver" in ways:
        context.set_forkserver_preload(["offgrid_sizing.batch.run"])
    with ProcessPoolExecutor(workers, context, _end_with_parent) as pool:
        try:
            yield from _windowed(
                lambda task: pool.submit(solve_task, task, solve), tasks, IN_FLIGHT * workers
            )
        except GeneratorExit:
            pool.shutdown(cancel_futures=True)
            raise


def _on_scheduler(tasks: Iterable[Task], solve: Solve, address: str) -> Finished:
    """Over the workers of a running Dask scheduler.

    Raises
    ------
    BadInput
        When the extra is not installed or nothing answers at the address.
    """
    try:
        from distributed import Client, as_completed
    except ImportError:
        raise BadInput(sentence("batch.scheduler.no_extra")) from None
    if not re.fullmatch(r"\w+://[^\s/]+", address):
        raise BadInput(sentence("batch.scheduler.no_address", address=address))
    try:
        client = Client(address, timeout=SCHEDULER_TIMEOUT_S, set_as_default=False)
    except (OSError, ValueError) as error:
        kind = type(error).__name__
        raise BadInput(sentence("batch.scheduler.silent", address=address, kind=kind)) from None
    with client:
        ahead = IN_FLIGHT * max(1, sum(client.ncores().values()))
        tasks, waiting, finished = iter(tasks), {}, as_completed(loop=client.loop)

        def hand_out() -> None:
            task = next(tasks, None)
            if task is not None:
                future = client.submit(solve_task, task, solve, pure=False)
                waiting[future.key] = task
                finished.add(future)

        for _ in range(ahead):
            hand_out()
        for future in finished:
            yield waiting.pop(future.key), future
            hand_out()


def _stream(tasks: Iterable[Task], solve: Solve, where: Cores | Scheduler) -> Finished:
    """Finished tasks as they come, from where they are worked on."""
    if isinstance(where, Scheduler):
        return _on_scheduler(tasks, solve, where.address)
    workers = where.workers or os.cpu_count() or 1
    return _here(tasks, solve) if workers == 1 else _on_cores(tasks, solve, workers)


def run_batch(
    source: str | Path,
    out_dir: str | Path,
    *,
    template: Sketch | str | Path | None = None,
    where: Cores | Scheduler | None = None,
    progress: Callable[[str], None] | None = None,
    pdf: bool = False,
    language: str = DEFAULT,
    solve: Solve | None = None,
) -> BatchResult:
    """Solve every site of a folder or table; run again, it does only what is missing.

    Parameters
    ----------
    source : path
        Folder of sketches, or a CSV of sites (see `read_sites`).
    out_dir : path
        Gets `results.csv` and a folder for each site with its sketch and `summary.json`.
    template : Sketch or path, optional
        What the rows of a table are laid over.
    where : Cores or Scheduler, optional
        The cores of this machine unless said.
    progress : callable, optional
        Told now and then, in words, how far it is.
    pdf : bool
        Also write each site's summary as PDF and, where it can be wired, its commissioning sheet
        and its labels; takes several times as long.
    language : str
        Of all that is said in the table and the papers; what an earlier run left stays as it is.
    solve : callable, optional
        What is computed for a site; a function of a module, since workers import it by name.

    Raises
    ------
    BadInput
        When the source cannot be read, a worker dies, or the scheduler does not answer.
    """
    started = time.monotonic()
    solve = solve or (partial(solve_with_pdf, language=language) if pdf else solve_site)
    sites, bad = read_sites(source, template)
    out_dir = Path(out_dir)
    (out_dir / "sites").mkdir(parents=True, exist_ok=True)
    folders = {site.key: out_dir / "sites" / site.key for site in sites}
    outcomes = {key: found for key, folder in folders.items() if (found := _kept(folder, pdf=pdf))}
    kept = len(outcomes)
    missing = {site.key: site for site in sites if site.key not in outcomes}
    say = teller(progress, kept, len(folders))
    tasks = (Task(key, sketch_to_json(s.sketch), s.base_dir) for key, s in missing.items())
    stream = _stream(tasks, solve, where or Cores())
    try:
        with contextlib.closing(stream):
            for task, future in stream if missing else ():
                site = missing[task.key]
                outcomes[task.key] = _outcome(site, future, language)
                if outcomes[task.key]["status"] != "failed":
                    _keep(folders[task.key], site, outcomes[task.key])
                say(site.name)
    except BrokenProcessPool:
        raise BadInput(sentence("batch.worker_ended")) from None
    finally:
        write_cautions(out_dir / CAUTIONS, sites, language)
        table = write_table(out_dir / RESULTS, sites, bad, outcomes, language)
    without = tuple(
        BadRow(site.row, site.name, outcomes[site.key]["sentence"])
        for site in sites
        if outcomes[site.key]["status"] != "solved"
    )
    solved = sum(outcomes[key]["status"] == "solved" for key in missing)
    seconds = time.monotonic() - started
    return BatchResult(table, solved, kept, bad + without, seconds)


def _outcome(site: Site, future, language: str) -> dict:
    """What a finished task says; a fault of ours is named and tried again next time."""
    try:
        outcome = dict(future.result())
    except (BrokenProcessPool, KeyboardInterrupt):
        raise
    except Exception as error:  # one site's fault must not end the others; it is shown in the table
        what = said("batch.failed", kind=type(error).__name__, fault=str(error))
        outcome = {"status": "failed", "sentence": what}
    return _worded(
        {
            "name": site.name,
            "latitude": site.sketch.site.latitude_deg,
            "longitude": site.sketch.site.longitude_deg,
            "note": together(*filter(None, (site.note, outcome.pop("lacks", ""))), by="; "),
            **outcome,
        },
        language,
    )


def _worded(outcome: dict, language: str) -> dict:
    """What is said in it, and in the answer within it, in the words of a language."""
    return {
        name: _worded(value, language)
        if isinstance(value, dict)
        else to_words(value, language)
        if isinstance(value, (str, Said))
        else value
        for name, value in outcome.items()
    }
