"""Do the tests notice? Puts one small fault at a time into a module and runs its own tests.

    python tests/mutation/mutate.py --sample 60 --seed 1 --minutes 4 --jobs 2
    python tests/mutation/mutate.py --all battery.py string_rules.py
    python tests/mutation/mutate.py --list battery.py

Everything happens in temporary copies: the source tree is only read. A process that has loaded
the libraries, and of the package what does not import the module at hand, forks once a fault; the
fork loads the faulty module and its tests. Where the fault lies in `dispatch/`, the compiler is
switched off and plain Python runs: no compiled loop can hide it.

`modules.toml` says which tests hold a module, `equivalent.toml` which faults change nothing.
"""

import argparse
import hashlib
import json
import os
import shutil
import subprocess
import sys
import tempfile
import time
import tomllib
from collections import Counter
from collections.abc import Mapping, Sequence
from pathlib import Path

from mutant_runs import FAILED, PACKAGE, PASSED, TIMEOUT, Run, as_line, copy_tree, run_module
from mutants import Mutant, mutants_of

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
LEAST_NOTICED_FRAC = 0.95
LIBRARIES = ("numba", "pandas", "pydantic", "scipy.stats", "pvlib", "hypothesis", "pytest")


def modules() -> dict[str, list[str]]:
    """The tests that hold each module, in the order in which they are run."""
    return tomllib.loads((HERE / "modules.toml").read_text())["tests"]


def equivalents() -> dict[str, dict[str, str]]:
    """Faults that change nothing anybody could see, each with its reason, by module."""
    return tomllib.loads((HERE / "equivalent.toml").read_text())


def faults(module: str) -> list[Mutant]:
    """All faults of a module but those that change nothing."""
    same = equivalents().get(module, {})
    text = (ROOT / PACKAGE / module).read_text()
    return [one for one in mutants_of(module, text) if one.name not in same]


def sample(wanted: Sequence[Mutant], size: int, seed: int) -> list[Mutant]:
    """A few faults, drawn by their names: an edit elsewhere leaves the rest of the draw alone."""

    def rank(one: Mutant) -> str:
        return hashlib.sha256(f"{seed}|{one.module}|{one.name}".encode()).hexdigest()

    return sorted(wanted, key=rank)[:size]


def _prepare(folder: Path, jobs: int) -> list[Path]:
    """One copy of the tree for each job, with the loops compiled."""
    copies = [folder / f"tree{number}" for number in range(jobs)]
    copy_tree(ROOT, copies[0])
    warm = "warm_kernels(); warm_kernels(long=True)"
    subprocess.run(
        [sys.executable, "-c", f"from {PACKAGE}.dispatch import warm_kernels; {warm}"],
        cwd=copies[0],
        env={**os.environ, "PYTHONPATH": str(copies[0])},
        check=True,
    )
    for copy in copies[1:]:
        shutil.copytree(copies[0], copy)
    return copies


def _in_fork(copy: Path, module: str, wanted: list[Mutant], deadline: float, log: Path) -> int:
    """Start a process that runs one module's faults and writes what became of them."""
    child = os.fork()
    if child:
        return child
    status = 1
    try:
        with log.open("a", buffering=1) as out:
            files = modules()[module]
            run_module(
                copy, module, files, wanted, deadline, lambda run: print(as_line(run), file=out)
            )
        status = 0
    except SystemExit as reason:
        print(reason, file=sys.stderr, flush=True)
    finally:
        os._exit(status)


def run_all(wanted: Mapping[str, list[Mutant]], jobs: int, minutes: float) -> list[Run]:
    """Run the tests of every module against its faults; stops when the time is up."""
    sys.dont_write_bytecode = True
    sys.path[:] = [part for part in sys.path if Path(part or ".").resolve() != ROOT]
    deadline = time.monotonic() + minutes * 60
    with tempfile.TemporaryDirectory(prefix="mutation-") as name:
        folder = Path(name)
        idle = _prepare(folder, jobs)
        for library in LIBRARIES:
            __import__(library)
        log, busy, failed = folder / "log.jsonl", {}, False
        log.touch()
        waiting = sorted(wanted, key=lambda module: -len(wanted[module]))
        while busy or (waiting and time.monotonic() < deadline):
            while waiting and idle and time.monotonic() < deadline:
                module, copy = waiting.pop(0), idle.pop()
                child = _in_fork(copy, module, wanted[module], deadline, log)
                busy[child] = copy, module
            child, status = os.wait()
            copy, module = busy.pop(child)
            failed = failed or status != 0
            shutil.copy2(ROOT / PACKAGE / module, copy / PACKAGE / module)
            idle.append(copy)
        if failed:
            raise SystemExit("some tests fail without any fault: nothing was measured")
        return [Run(**json.loads(line)) for line in log.read_text().splitlines()]


def report(runs: Sequence[Run], wanted: Mapping[str, list[Mutant]]) -> float:
    """Print what survived and a row for each module; returns the part that did not survive."""
    tried = [run for run in runs if run.name]
    lines = {(one.module, one.name): one.line for chosen in wanted.values() for one in chosen}
    for run in sorted(tried, key=lambda run: (run.module, lines[run.module, run.name])):
        if run.outcome == PASSED:
            print(f"survived  {run.module}:{lines[run.module, run.name]}: {run.name}")
    whole = {run.module: run.seconds for run in runs if not run.name}
    for module in sorted(whole):
        by = Counter(run.outcome for run in tried if run.module == module)
        print(
            f"{module:28s} {by.total():4d} tried, {by[FAILED]} killed, {by[TIMEOUT]} out of time, "
            f"{by[PASSED]} survived, {len(wanted[module]) - by.total()} not tried; "
            f"its tests take {whole[module]:.1f} s"
        )
    drawn, survived = len(lines), sum(run.outcome == PASSED for run in tried)
    # held against all that was drawn: a slow machine tries fewer, which must not turn the verdict
    noticed_frac = 1 - survived / max(drawn, 1)
    print(
        f"all: {len(tried)} of {drawn} tried, {survived} survived "
        f"({noticed_frac:.1%} noticed or not tried)"
    )
    return noticed_frac


def main() -> int:
    """Run what the command line asks for; 1 where more than 5 % of it survived."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--all", nargs="*", metavar="MODULE", help="every fault of these modules")
    parser.add_argument("--list", metavar="MODULE", help="print a module's faults, run nothing")
    parser.add_argument("--sample", type=int, help="so many faults, drawn from what is asked for")
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--minutes", type=float, default=600)
    parser.add_argument("--jobs", type=int, default=1)
    asked = parser.parse_args()
    if asked.list:
        print(*(one.name for one in faults(asked.list)), sep="\n")
        return 0
    chosen = [one for module in (asked.all or modules()) for one in faults(module)]
    if asked.sample:
        chosen = sample(chosen, asked.sample, asked.seed)
    wanted: dict[str, list[Mutant]] = {}
    for one in chosen:
        wanted.setdefault(one.module, []).append(one)
    runs = run_all(wanted, asked.jobs, asked.minutes)
    return int(report(runs, wanted) < LEAST_NOTICED_FRAC)


if __name__ == "__main__":
    sys.exit(main())
