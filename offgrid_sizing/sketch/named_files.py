"""Files a sketch names: ordinary files of its own folder and nothing else, whoever wrote it."""

from pathlib import Path, PureWindowsPath

from offgrid_sizing.printable import printable
from offgrid_sizing.sketch.base import Part
from offgrid_sizing.sketch.io import BadInput
from offgrid_sizing.sketch.model import Sketch

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


def file_inside(folder: Path | str | None, name: str, where: str) -> Path:
    """Where a named file lies, all links followed.

    A sketch may come from anybody. If it could name any file of the machine that computes it, it
    could read out what it should not see, or wait for ever on a pipe.

    Parameters
    ----------
    folder : path or None
        What the name is relative to and must stay in; the current folder where it is None.
    where : str
        Begins the sentence: the field or thing that holds the name.

    Raises
    ------
    BadInput
        When the name is none of an ordinary file in the folder or below it.
    """
    shown = f"{where}: “{_shown(name)}”"
    _refuse_ways_out(name, shown)
    base = Path(folder or ".").resolve()
    try:
        path = (base / name).resolve(strict=True)
        inside, a_folder, ordinary = path.is_relative_to(base), path.is_dir(), path.is_file()
    except (FileNotFoundError, NotADirectoryError):
        raise BadInput(
            f"{where}: there is no file “{_shown(name)}” in its folder: put it there, or correct "
            "the name."
        ) from None
    except (OSError, RuntimeError) as error:  # RuntimeError: links that go round in a circle
        reason = getattr(error, "strerror", None) or "its links go round in a circle"
        raise BadInput(f"{shown} cannot be read: {reason}; name another file.") from None
    if not inside:
        raise BadInput(
            f"{shown} is a link that leads out of its folder: put the file itself there."
        )
    if a_folder:
        raise BadInput(f"{shown} is a folder: name a file in it.")
    if not ordinary:  # a device or a pipe may never end
        raise BadInput(f"{shown} is no ordinary file: name another.")
    return path


def _refuse_ways_out(name: str, shown: str) -> None:
    """Judged by the letters alone, and by the rules of every system: sketches travel."""
    if not name.strip():
        raise BadInput(f"{shown} names no file: write the name of one.")
    if any(ord(character) < 32 for character in name):
        raise BadInput(f"{shown} holds a control character, which no file's name does: correct it.")
    parts = PureWindowsPath(name)
    if parts.drive or parts.root or ".." in parts.parts:
        raise BadInput(
            f"{shown} leads out of its folder: put the file into the folder and write its name as "
            "seen from there."
        )


def _shown(name: str) -> str:
    text = printable(name)
    return text if len(text) <= _SHOWN else text[: _SHOWN - 1] + "…"
