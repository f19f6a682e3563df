"""Sketch from JSON and back; everything wrong is said at once, one sentence a fault."""

import json
from pathlib import Path

from pydantic import ValidationError

from offgrid_sizing.printable import printable
from offgrid_sizing.sketch.faults import sentence_of, shown
from offgrid_sizing.sketch.model import SCHEMA_VERSION, Sketch
from offgrid_sizing.sketch.system_faults import reason_of
from offgrid_sizing.words import Said, said, sentence, treated

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


def _once_each(pairs: list[tuple]) -> dict:
    """An object; JSON would keep the last of two equal names and lose the first unsaid."""
    found = dict(pairs)
    if len(found) < len(pairs):
        names = [name for name, _ in pairs]
        twice = next(name for name in names if names.count(name) > 1)
        raise SketchError(sentence("refused.file.twice", name=shown(twice)))
    return found


# Fields that older files name otherwise, by the part of a sketch they stand in.
_FORMERLY = {
    "generator": {
        "fuel_slope_l_per_kwh": "fuel_per_energy_l_per_kwh",
        "fuel_intercept_l_per_h_kw": "fuel_idle_l_per_h_kw",
    },
    "strategy": {
        "rescue_soc_frac": "recharge_soc_frac",
        "dear_price_per_kwh": "peak_price_per_kwh",
    },
}


def present_path(path: str) -> str:
    """A field's dotted path by its present name.

    >>> present_path("strategy.rescue_soc_frac"), present_path("site.name")
    ('strategy.recharge_soc_frac', 'site.name')
    """
    part, _, name = path.partition(".")
    present = _FORMERLY.get(part, {}).get(name)
    return path if present is None else f"{part}.{present}"


def _renamed(part: dict, names: dict[str, str]) -> dict:
    """A part by its present names; an older one beside its present one stays, and is refused."""
    return {
        present if (present := names.get(name, name)) not in part else name: value
        for name, value in part.items()
    }


def _migrate(raw: dict) -> dict:
    version = raw.get("schema_version", SCHEMA_VERSION)
    if isinstance(version, int) and not isinstance(version, bool) and version > SCHEMA_VERSION:
        raise SketchError(sentence("refused.file.newer", version=version, known=SCHEMA_VERSION))
    older = {
        part: _renamed(raw[part], names)
        for part, names in _FORMERLY.items()
        if isinstance(raw.get(part), dict)
    }
    return raw | older


# What Python's reader of JSON begins its faults with (CPython, Lib/json and Modules/_json.c).
_JSON_FAULTS = {
    "Expecting value": "value",
    "Expecting property name": "name",
    "Expecting ':'": "colon",
    "Expecting ','": "comma",
    "Extra data": "extra",
    "Unterminated string": "open_text",
    "Invalid control character": "control",
    "Invalid \\escape": "escape",
    "Invalid \\uXXXX": "unicode",
    "Illegal trailing comma before end of object": "last_comma_object",
    "Illegal trailing comma before end of array": "last_comma_list",
    "Unexpected UTF-8 BOM": "mark",
}


def _json_fault(message: str) -> str | Said:
    for begins, name in _JSON_FAULTS.items():
        if message.startswith(begins):
            return said(f"refused.json.{name}")
    return message


def sketch_from_dict(raw) -> Sketch:
    """Validate a plain dict.

    Raises
    ------
    SketchError
        With one sentence for every fault.
    """
    if not isinstance(raw, dict):
        raise SketchError(sentence("refused.file.no_object", got=shown(raw)))
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
        raise SketchError(sentence("refused.file.long", most=MAX_SKETCH_BYTES // 1_000_000))
    try:
        raw = json.loads(text, object_pairs_hook=_once_each)
    except SketchError:
        raise
    except UnicodeDecodeError:
        raise SketchError(sentence("refused.file.no_text")) from None
    except json.JSONDecodeError as error:
        raise SketchError(
            sentence(
                "refused.file.no_json",
                fault=_json_fault(error.msg),
                line=error.lineno,
                column=error.colno,
            )
        ) from None
    except ValueError:  # Python refuses to turn thousands of digits into a number
        raise SketchError(sentence("refused.file.digits")) from None
    except RecursionError:
        raise SketchError(sentence("refused.file.nested")) from None
    return sketch_from_dict(raw)


def read_sketch(path: str | Path) -> Sketch:
    """Read a sketch file; relative files it names are looked for beside it."""
    path = Path(path)
    try:
        if not (path.is_file() or path.is_dir()):  # a pipe waits for ever for its writer
            path.stat()  # says so where there is nothing at all
            raise SketchError(sentence("refused.file.not_ordinary", path=str(path)))
        if path.stat().st_size > MAX_SKETCH_BYTES:
            raise SketchError(sentence("refused.file.large", name=path.name))
        with path.open("rb") as file:
            content = file.read(MAX_SKETCH_BYTES + 1)  # a device may never end
    except FileNotFoundError:
        raise SketchError(sentence("refused.file.missing", path=str(path))) from None
    except IsADirectoryError:
        raise SketchError(sentence("refused.file.folder", path=str(path))) from None
    except OSError as error:
        reason = reason_of(error)
        raise SketchError(
            sentence("refused.file.unreadable", path=str(path), reason=reason)
        ) from None
    return sketch_from_json(content)


def sketch_to_json(sketch: Sketch) -> str:
    """Readable JSON that `sketch_from_json` gives back unchanged."""
    return sketch.model_dump_json(indent=2) + "\n"


def json_schema() -> dict:
    """JSON Schema (draft 2020-12) of a sketch file."""
    schema = Sketch.model_json_schema()
    schema["$schema"] = "https://json-schema.org/draft/2020-12/schema"
    return schema
