"""Compiling the kernels: where the compiled code may be kept, and when it is ready.

The compiler reads its cache folder when it is first imported and fails where none is writable,
so a folder is probed before. Without one the kernels are compiled anew in every process.
"""

import getpass
import hashlib
import os
import platform
import sys
import tempfile
import threading
import types
from functools import cache
from importlib.metadata import version
from pathlib import Path

import platformdirs

from offgrid_sizing.dispatch import kernels, lane_kernels, layers, light

_LOCK = threading.Lock()


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        if hasattr(os, "getuid") and folder.stat().st_uid not in (os.getuid(), 0):
            return False  # compiled code is loaded from here: nobody else may put any
        with tempfile.TemporaryFile(dir=folder):
            return True
    except OSError:
        return False


@cache
def kernel_cache_dir() -> Path | None:
    """First writable folder for compiled kernels: chosen, package, user's cache, temporary.

    `NUMBA_CACHE_DIR` chooses; `OFFGRID_CACHE` moves the user's cache. None: nothing is writable.
    """
    chosen = os.environ.get("NUMBA_CACHE_DIR")
    moved = os.environ.get("OFFGRID_CACHE")
    candidates = [Path(chosen)] if chosen else []
    candidates += [
        Path(kernels.__file__).parent / "__pycache__",
        Path(moved or platformdirs.user_cache_dir("offgrid-sizing")) / "kernels",
        Path(tempfile.gettempdir()) / f"offgrid-sizing-kernels-{getpass.getuser()}",
    ]
    return next((folder for folder in candidates if _writable(folder)), None)


def _import_compiler():
    folder = kernel_cache_dir()
    inside_package = folder is not None and folder.parent == Path(kernels.__file__).parent
    if folder is not None and not inside_package:
        os.environ["NUMBA_CACHE_DIR"] = str(folder)
    import numba

    if folder is not None and not inside_package:
        # In case someone imported it before us; its types do not know its own settings.
        numba.config.CACHE_DIR = str(folder)  # type: ignore[attr-defined] # see above
    return numba, folder is not None


def _names(module) -> dict:
    """What the functions of a module see, the rules of the step among it."""
    return {**vars(kernels), **vars(module)}


def _digest(module, wanted) -> str:
    """Short hash of the functions as this process has loaded them.

    It goes into the cached file's name: a process that was started before the source changed
    must not leave its old code where a new one takes it for the source's, and a loop whose rules
    lie in another file must be compiled again when that file changes.
    """
    names = _names(module)
    code = [names[name].__code__ for name in wanted]
    compiled = [(one.co_code, repr(one.co_consts), one.co_names) for one in code]
    constants = [value for value in names.values() if isinstance(value, float | int)]
    return hashlib.sha256(repr((compiled, constants)).encode()).hexdigest()[:12]


def _twins(numba, module, wanted, **options):
    """Compiled twins of the kernels' functions that call each other; the source stays as it is."""
    names = _names(module)
    for name in wanted:
        plain = names[name]
        twin = types.FunctionType(plain.__code__, names, name, plain.__defaults__)
        twin.__module__, twin.__doc__ = plain.__module__, plain.__doc__
        twin.__qualname__ = f"{name}_{_digest(module, wanted)}"
        last = name == wanted[-1]
        own = options if last else {**options, "cache": False, "forceinline": True}
        names[name] = numba.njit(nogil=True, error_model="numpy", **own)(twin)
    return names[wanted[-1]]


@cache
def _build() -> types.SimpleNamespace:
    numba, cached = _import_compiler()
    # The scalar loop is strict: bit for bit what plain Python gives. The lanes may fuse a
    # multiplication with an addition.
    rules = ("bent", "dc_of", "ac_of", "step")
    return types.SimpleNamespace(
        scalar_steps=_twins(numba, kernels, (*rules, "scalar_steps"), cache=cached),
        plane_powers=_twins(
            numba, light, ("plane_powers",), cache=cached, fastmath={"contract", "nnan", "nsz"}
        ),
        layers_used=_twins(numba, layers, ("layers_used",), cache=cached),
        outlast_steps=_twins(numba, kernels, (*rules, "outlast_steps"), cache=cached),
        lanes_steps=_twins(
            numba,
            lane_kernels,
            (*rules, "lanes_row", "lanes_at", "lanes_steps"),
            cache=cached,
            fastmath={"contract", "nnan", "nsz"},
        ),
    )


_ready_here = {long: threading.Event() for long in (False, True)}


def _stamp() -> str:
    """What compiled code depends on; another stamp means that it must be compiled again."""
    files = (kernels.__file__, lane_kernels.__file__, layers.__file__, light.__file__)
    source = b"".join(Path(file).read_bytes() for file in files)
    about = (version("numba"), sys.version, platform.machine(), platform.processor())
    return hashlib.sha256(source + repr(about).encode()).hexdigest()


def _marker(long: bool) -> Path | None:
    folder = kernel_cache_dir()
    return None if folder is None else folder / f"offgrid-{'long-' if long else ''}kernels-ready"


def kernels_ready(*, long: bool = False) -> bool:
    """Whether the compiled kernels answer at once, in this process or from the cache.

    `long`: those for curves of more than `kernels.FEW_BENDS` bends, which are compiled apart.
    """
    if _ready_here[long].is_set():
        return True
    marker = _marker(long)
    return marker is not None and marker.is_file() and marker.read_text() == _stamp()


def kernels_are_ready(*, long: bool = False) -> None:
    """Say, also to other processes, that the compiled kernels answer at once from now on."""
    _ready_here[long].set()
    marker = _marker(long)
    if marker is not None:
        marker.write_text(_stamp())


def step_back() -> None:
    """Let this process run only when no other wants the processor, as far as the system can."""
    if hasattr(os, "nice"):
        os.nice(19)
    if hasattr(os, "SCHED_IDLE"):
        os.sched_setscheduler(0, os.SCHED_IDLE, os.sched_param(0))


def compiled_kernels() -> types.SimpleNamespace:
    """The compiled loops; building them is done once, by one thread."""
    with _LOCK:
        return _build()
