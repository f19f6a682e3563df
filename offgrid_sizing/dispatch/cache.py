"""Compiling the kernels: where the compiled code may be kept, and when it is ready.

The compiler reads its cache folder when it is first imported and fails where none is writable,
so a folder is probed before. Without one the kernels are compiled anew in every process.
"""

import os
import tempfile
import threading
import types
from functools import cache
from pathlib import Path

import platformdirs

from offgrid_sizing.dispatch import kernels

_LOCK = threading.Lock()


def _writable(folder: Path) -> bool:
    try:
        folder.mkdir(parents=True, exist_ok=True)
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
        Path(tempfile.gettempdir()) / f"offgrid-sizing-kernels-{os.getuid()}",
    ]
    return next((folder for folder in candidates if _writable(folder)), None)


def _import_compiler():
    folder = kernel_cache_dir()
    inside_package = folder is not None and folder.parent == Path(kernels.__file__).parent
    if folder is not None and not inside_package:
        os.environ["NUMBA_CACHE_DIR"] = str(folder)
    import numba

    if folder is not None and not inside_package:
        numba.config.CACHE_DIR = str(folder)  # in case someone imported it before us
    return numba, folder is not None


def _twins(numba, names, wanted, **options):
    """Compiled twins of the kernels' functions that call each other; the source stays as it is."""
    names = dict(names)
    for name in wanted:
        plain = getattr(kernels, name)
        twin = types.FunctionType(plain.__code__, names, name, plain.__defaults__)
        twin.__qualname__, twin.__module__, twin.__doc__ = name, plain.__module__, plain.__doc__
        last = name == wanted[-1]
        own = options if last else {**options, "cache": False, "forceinline": True}
        names[name] = numba.njit(nogil=True, error_model="numpy", **own)(twin)
    return names[wanted[-1]]


@cache
def _build() -> types.SimpleNamespace:
    numba, cached = _import_compiler()
    # The scalar loop is strict: bit for bit what plain Python gives. The lanes may fuse a
    # multiplication with an addition.
    rules = ("dc_of", "ac_of", "step")
    return types.SimpleNamespace(
        scalar_steps=_twins(numba, vars(kernels), (*rules, "scalar_steps"), cache=cached),
        lanes_steps=_twins(
            numba,
            vars(kernels),
            (*rules, "lanes_row", "lanes_steps"),
            cache=cached,
            fastmath={"contract", "nnan", "nsz"},
        ),
    )


def compiled_kernels() -> types.SimpleNamespace:
    """The compiled loops; building them is done once, by one thread."""
    with _LOCK:
        return _build()
