"""Files a sketch names: ordinary files of its own folder and nothing else, whoever wrote it."""

from pathlib import Path, PureWindowsPath

from offgrid_sizing.printable import printable
from offgrid_sizing.sketch.base import Part
from offgrid_sizing.sketch.io import BadInput
from offgrid_sizing.sketch.model import Sketch
from offgrid_sizing.sketch.system_faults import reason_of
from offgrid_sizing.words import Saying, Sentence, said, sentence

_SHOWN = 80


def named_files(sketch: Sketch) -> dict[str, str]:
    """The files a sketch needs to be computed: the field that names each, and its name."""
    named = {}
    if sketch.weather.source == "file" and sketch.weather.file:
        named["weather.file"] = sketch.weather.file
    if sketch.loads.metered is not None:
        named["loads.metered.file"] = sketch.loads.metered.file
    return named


def with_names(sketch: Sketch, names: dict[str, str]) -> Sketch:
    """The sketch with other names for its files, by field as in `named_files`."""
    parts: dict[str, Part] = {}
    if name := names.get("weather.file"):
        parts["weather"] = sketch.weather.model_copy(update={"file": name})
    metered = sketch.loads.metered
    if metered is not None and (name := names.get("loads.metered.file")):
        metered = metered.model_copy(update={"file": name})
        parts["loads"] = sketch.loads.model_copy(update={"metered": metered})
    return sketch.model_copy(update=parts)


def file_inside(folder: Path | str | None, name: str, where: str | Saying) -> Path:
    """Where a named file lies, all links followed.

    A sketch may come from anybody. If it could name any file of the machine that computes it, it
    could read out what it should not see, or wait for ever on a pipe.

    Parameters
    ----------
    folder : path or None
        What the name is relative to and must stay in; the current folder where it is None.
    where : str or saying
        Begins the sentence: the field or thing that holds the name.

    Raises
    ------
    BadInput
        When the name is none of an ordinary file in the folder or below it.
    """
    _refuse_ways_out(name, where)
    base = Path(folder or ".").resolve()
    try:
        path = (base / name).resolve(strict=True)
        inside, a_folder, ordinary = path.is_relative_to(base), path.is_dir(), path.is_file()
    except (FileNotFoundError, NotADirectoryError):
        raise BadInput(_refused("missing", name, where)) from None
    except OSError as error:
        raise BadInput(_refused("unreadable", name, where, reason=reason_of(error))) from None
    except RuntimeError:  # of an older Python
        raise BadInput(_refused("unreadable", name, where, reason=said("files.circle"))) from None
    if not inside:
        raise BadInput(_refused("link", name, where))
    if a_folder:
        raise BadInput(_refused("folder", name, where))
    if not ordinary:  # a device or a pipe may never end
        raise BadInput(_refused("no_file", name, where))
    return path


def _refuse_ways_out(name: str, where: str | Saying) -> None:
    """Judged by the letters alone, and by the rules of every system: sketches travel."""
    if not name.strip():
        raise BadInput(_refused("no_name", name, where))
    if any(ord(character) < 32 for character in name):
        raise BadInput(_refused("control", name, where))
    parts = PureWindowsPath(name)
    if parts.drive or parts.root or ".." in parts.parts:
        raise BadInput(_refused("way_out", name, where))


def _refused(why: str, name: str, where: str | Saying, **more: str | Saying) -> Sentence:
    return sentence(f"files.named.{why}", where=where, name=_shown(name), **more)


def _shown(name: str) -> str:
    text = printable(name)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
