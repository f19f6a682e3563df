"""Sketch from JSON and back; everything wrong is said at once, one sentence a fault."""

import json
from pathlib import Path

from pydantic import ValidationError

from offgrid_sizing.printable import printable
from offgrid_sizing.sketch.model import SCHEMA_VERSION, Sketch
from offgrid_sizing.words import treated

MAX_SKETCH_BYTES = 5_000_000


class BadInput(ValueError):  # noqa: N818 - read as a sentence, "bad input: ..."
    """Something the user gave cannot be used; holds one clear sentence for each fault.

    Attributes
    ----------
    sentences : tuple of str
        What is wrong, where, and what to do.
    """

    def __init__(self, *sentences: str):
        self.sentences = tuple(treated(one, _harmless) for one in sentences)
        super().__init__("\n".join(self.sentences))


def _harmless(text: str) -> str:
    """Names and cells that are quoted may hold what steers a terminal, or half a letter."""
    return printable(text.encode("utf-8", "backslashreplace").decode())


class SketchError(BadInput):
    """The sketch itself is at fault."""


_PLAIN = {
    "missing": "is missing",
    "extra_forbidden": "is not a field of a sketch; check the spelling or remove it",
}


def _path(location) -> str:
    text = ""
    for part in location:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text or "sketch"


def _value(value) -> str:
    text = json.dumps(value, default=str, ensure_ascii=False)
    return text if len(text) <= 60 else text[:57] + "..."


def sentence_of(fault) -> str:
    """One sentence for one pydantic fault: path, rule, value."""
    where = _path(part for part in fault["loc"] if part != "function-after")
    kind = fault["type"]
    if kind in _PLAIN:
        return f"{where} {_PLAIN[kind]}."
    if kind == "value_error":
        reason = str(fault["ctx"]["error"])
        return f"{where}: {reason}." if not reason.endswith(".") else f"{where}: {reason}"
    rule = fault["msg"].replace("Input should", "must").rstrip(".")
    return f"{where} {rule} (got {_value(fault['input'])})."


def _once_each(pairs: list[tuple]) -> dict:
    """An object; JSON would keep the last of two equal names and lose the first unsaid."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise SketchError(f"the field {_value(twice)} is written twice: keep one of them.")
    return found


# Names of the generator's fuel line in older files.
_FORMERLY = {
    "fuel_slope_l_per_kwh": "fuel_per_energy_l_per_kwh",
    "fuel_intercept_l_per_h_kw": "fuel_idle_l_per_h_kw",
}


def _migrate(raw: dict) -> dict:
    version = raw.get("schema_version", SCHEMA_VERSION)
    if isinstance(version, int) and not isinstance(version, bool) and version > SCHEMA_VERSION:
        raise SketchError(
            f"schema_version {version} is newer than this program reads ({SCHEMA_VERSION}): "
            "update the program."
        )
    generator = raw.get("generator")
    if isinstance(generator, dict) and generator.keys() & _FORMERLY.keys():
        renamed = {_FORMERLY.get(name, name): value for name, value in generator.items()}
        return raw | {"generator": renamed}
    return raw


def sketch_from_dict(raw) -> Sketch:
    """Validate a plain dict.

    Raises
    ------
    SketchError
        With one sentence for every fault.
    """
    if not isinstance(raw, dict):
        raise SketchError(
            f"a sketch is a JSON object with fields such as site and loads (got {_value(raw)})."
        )
    try:
        return Sketch.model_validate(_migrate(raw))
    except ValidationError as error:
        faults = error.errors(include_url=False)
        raise SketchError(*dict.fromkeys(sentence_of(fault) for fault in faults)) from None


def sketch_from_json(text: str | bytes) -> Sketch:
    """Read a sketch from JSON text.

    Raises
    ------
    SketchError
        When the text is not JSON, too large, or does not describe a sketch.
    """
    if len(text) > MAX_SKETCH_BYTES:
        raise SketchError(
            f"the sketch is larger than {MAX_SKETCH_BYTES // 1_000_000} MB: this is no sketch file."
        )
    try:
        raw = json.loads(text, object_pairs_hook=_once_each)
    except SketchError:
        raise
    except UnicodeDecodeError:
        raise SketchError(
            "this is not a sketch: the file is not text. Choose a .json file saved here."
        ) from None
    except json.JSONDecodeError as error:
        raise SketchError(
            f"this is not valid JSON: {error.msg} at line {error.lineno}, column {error.colno}. "
            "Choose a sketch file saved by this program."
        ) from None
    except ValueError:  # Python refuses to turn thousands of digits into a number
        raise SketchError("a number in this JSON has thousands of digits: correct it.") from None
    except RecursionError:
        raise SketchError("this JSON is nested too deeply to be a sketch.") from None
    return sketch_from_dict(raw)


def read_sketch(path: str | Path) -> Sketch:
    """Read a sketch file; relative files it names are looked for beside it."""
    path = Path(path)
    try:
        if path.stat().st_size > MAX_SKETCH_BYTES:
            raise SketchError(f"{path.name} is too large to be a sketch file.")
        with path.open("rb") as file:
            content = file.read(MAX_SKETCH_BYTES + 1)  # a device may never end
    except FileNotFoundError:
        raise SketchError(f"there is no file {path}: check the name.") from None
    except IsADirectoryError:
        raise SketchError(f"{path} is a folder: name a sketch file.") from None
    except OSError as error:
        raise SketchError(f"{path} cannot be read: {error.strerror}.") from None
    return sketch_from_json(content)


def sketch_to_json(sketch: Sketch) -> str:
    """Readable JSON that `sketch_from_json` gives back unchanged."""
    return sketch.model_dump_json(indent=2) + "\n"


def json_schema() -> dict:
    """JSON Schema (draft 2020-12) of a sketch file."""
    schema = Sketch.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return schema
