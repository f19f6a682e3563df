"""Runs a module's tests against its faults, each in a fork, all in a temporary copy."""

import ast
import json
import os
import resource
import shutil
import signal
import sys
import time
import traceback
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from pathlib import Path

from mutants import Mutant

PACKAGE = "offgrid_sizing"
COPIED = (PACKAGE, "tests", "data", ".streamlit", "app.py", "pyproject.toml")
LOADED = "ignore::pytest.PytestAssertRewriteWarning"  # hypothesis is there before pytest starts
LEFT_OUT = ("browser", "ui", "mutation", "benchmarks", ".git")
DASHBOARD = tuple(f"{PACKAGE}.{name}" for name in ("ui", "app", "dashboard", "__main__"))
PASSED, FAILED, TIMEOUT = "survived", "killed", "timeout"


@dataclass(frozen=True)
class Run:
    """What became of one fault, or of the module as it stands (`name` is empty then)."""

    module: str
    name: str
    outcome: str
    seconds: float


def copy_tree(root: Path, target: Path) -> None:
    """Copy what tests need; times are kept, so that compiled files are found again."""
    for name in COPIED:
        source = root / name
        if source.is_dir():
            ignore = shutil.ignore_patterns(*LEFT_OUT) if name == "tests" else None
            shutil.copytree(source, target / name, ignore=ignore)
        elif source.exists():
            shutil.copy2(source, target / name)


def _dotted(path: Path, root: Path) -> str:
    parts = path.relative_to(root).with_suffix("").parts
    return ".".join(parts[:-1] if parts[-1] == "__init__" else parts)


def _asked(tree: ast.Module) -> set[str]:
    names = set()
    for node in ast.walk(tree):
        if isinstance(node, ast.Import):
            names |= {one.name for one in node.names}
        elif isinstance(node, ast.ImportFrom) and node.module:
            names |= {node.module, *(f"{node.module}.{one.name}" for one in node.names)}
    # importing a.b.c runs a and a.b as well
    return {
        ".".join(name.split(".")[: at + 1]) for name in names for at in range(name.count(".") + 1)
    }


def free_of(root: Path, module: str) -> list[str]:
    """The package's modules below the dashboard that never load this one, in dotted names."""
    asked = {}
    for path in sorted((root / PACKAGE).rglob("*.py")):
        name = _dotted(path, root)
        if not name.startswith(DASHBOARD):
            parents = {name.rsplit(".", at)[0] for at in range(1, name.count(".") + 1)}
            asked[name] = _asked(ast.parse(path.read_text())) | parents
    bound = {_dotted(root / PACKAGE / module, root)}
    while True:
        more = {name for name, wanted in asked.items() if wanted & bound} - bound
        if not more:
            return [name for name in asked if name not in bound]
        bound |= more


def _tests(copy: Path, files: Sequence[str]) -> int:
    """Run the tests in this process, silently."""
    import hypothesis
    import pytest

    # the first example that fails will do: nobody reads it, so it is not made smaller
    phases = [hypothesis.Phase.explicit, hypothesis.Phase.generate]
    hypothesis.settings.register_profile(
        "faults", phases=phases, database=None, deadline=None, derandomize=True
    )
    hypothesis.settings.load_profile("faults")
    sink = os.open(copy / "output.txt", os.O_WRONLY | os.O_CREAT | os.O_TRUNC)
    os.dup2(sink, 1)
    os.dup2(sink, 2)
    return int(
        pytest.main(
            [
                "-x",
                "-q",
                "--no-header",
                "-p",
                "no:cacheprovider",
                "--hypothesis-seed=1",
                "-W",
                LOADED,
                *files,
            ]
        )
    )


def _forked(act: Callable[[], int], cpu_s: float, wall_s: float) -> tuple[int | None, float, float]:
    """Exit status (none: it took too long), seconds by the clock, seconds of processor."""
    began = time.monotonic()
    child = os.fork()
    if child == 0:
        status = 70
        try:
            os.setsid()
            resource.setrlimit(resource.RLIMIT_CPU, (int(cpu_s) + 1, int(cpu_s) + 2))
            status = act()
        except BaseException:  # the fork must end here, whatever happened
            traceback.print_exc()
        finally:
            os._exit(status)
    while True:
        done, status, used = os.wait4(child, os.WNOHANG)
        took = time.monotonic() - began
        if done:
            ended = os.waitstatus_to_exitcode(status)
            return None if ended < 0 else ended, took, used.ru_utime + used.ru_stime
        if took > wall_s:
            os.killpg(child, signal.SIGKILL)
            os.waitpid(child, 0)
            return None, took, 0.0
        time.sleep(0.01)


def _settle(copy: Path, module: str) -> None:
    """Make this process see the copy only, and load of it what the fault cannot reach."""
    os.chdir(copy)
    sys.path.insert(0, str(copy))
    os.environ.update(
        PYTHONPATH=str(copy),
        PYTHONDONTWRITEBYTECODE="1",
        HYPOTHESIS_STORAGE_DIRECTORY=str(copy / "hypothesis"),
        OFFGRID_HOME=str(copy / "home"),
        OFFGRID_CACHE=str(copy / "cache"),
    )
    if module.startswith("dispatch/"):
        os.environ["NUMBA_DISABLE_JIT"] = "1"
        import numba

        numba.config.DISABLE_JIT = 1
    for name in free_of(copy, module):
        __import__(name)
    root = Path(sys.modules[PACKAGE].__file__).resolve().parent.parent
    if root != copy.resolve():
        raise SystemExit(f"the tests would load {root}, not the copy")


def run_module(
    copy: Path,
    module: str,
    files: Sequence[str],
    mutants: Sequence[Mutant],
    deadline: float,
    tell: Callable[[Run], None],
) -> None:
    """Run the tests on the module as it stands, then on each fault until the deadline.

    The last fault is left in the copy. Raises `SystemExit` where the tests fail without any.
    """
    _settle(copy, module)
    target = copy / PACKAGE / module
    tests = [f"tests/{file}" for file in files]
    for attempt in range(2):
        status, took_s, cpu_s = _forked(lambda: _tests(copy, tests), 120, 240)
        if status == 0:
            break
        if attempt:
            shown = (copy / "output.txt").read_text()[-3000:]
            raise SystemExit(f"{module}: the tests fail without any fault ({status})\n{shown}")
    tell(Run(module, "", PASSED, took_s))
    for mutant in mutants:
        if time.monotonic() > deadline:
            return
        target.write_text(mutant.text)
        status, took, _ = _forked(lambda: _tests(copy, tests), 3 * cpu_s + 5, 8 * took_s + 20)
        outcome = {0: PASSED, None: TIMEOUT}.get(status, FAILED)
        tell(Run(module, mutant.name, outcome, took))


def as_line(run: Run) -> str:
    """One run as a line of JSON."""
    return json.dumps(vars(run))
