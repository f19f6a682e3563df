"""What pydantic found wrong with a sketch, each fault as one sentence of the catalogues."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from typing import Any

from offgrid_sizing.units import Reader
from offgrid_sizing.words import Figure, Said, Sentence, said, sentence


def sentence_of(fault: Mapping[str, Any]) -> Sentence:
    """One sentence for one pydantic fault: path, rule, value."""
    where = _path([part for part in fault["loc"] if part != "function-after"])
    kind, context = fault["type"], fault.get("ctx", {})
    if kind == "missing":
        return sentence("refused.missing", where=where)
    if kind == "extra_forbidden":
        return sentence("refused.unknown", where=where)
    if kind == "value_error":  # raised by a validator of ours; its text is a sentence with a key
        return sentence("refused.rule", where=where, reason=context["error"].args[0])
    got = shown(fault["input"])
    if kind in RULES:
        return sentence("refused.broken", where=where, rule=RULES[kind](context), got=got)
    rule = fault["msg"].replace("Input should", "must").rstrip(".")
    return sentence("refused.other", where=where, rule=rule, got=got)


def shown(value: Any) -> str | Figure:
    """What a field holds, as JSON writes it; a number with the decimal mark of the language."""
    if isinstance(value, float):
        return Figure(_number, value)
    text = json.dumps(value, default=str, ensure_ascii=False)
    return text if len(text) <= 60 else text[:57] + "..."


def _number(value: float, reader: Reader) -> str:
    return json.dumps(value).replace(".", reader.decimal)


def _path(location: list) -> str | Said:
    text = ""
    for part in location:
        text += f"[{part}]" if isinstance(part, int) else f".{part}" if text else str(part)
    return text or said("refused.sketch")


Rule = Callable[[Mapping[str, Any]], Said]


def _plain(name: str) -> Rule:
    return lambda _context: said(f"refused.must.{name}")


def _limited(name: str, bound: str) -> Rule:
    return lambda context: said(f"refused.must.{name}", limit=Figure(_limit, context[bound]))


def _limit(value: float, reader: Reader) -> str:
    whole = float(value).is_integer()
    return str(int(value)) if whole else str(value).replace(".", reader.decimal)


def _few(context: Mapping[str, Any]) -> Said:
    least = context["min_length"]
    if least == 1:
        return said("refused.must.not_empty")
    return said("refused.must.entries_few", least=least, found=context["actual_length"])


def _many(context: Mapping[str, Any]) -> Said:
    found = context["actual_length"]
    return said("refused.must.entries_many", most=context["max_length"], found=found)


def _choice(context: Mapping[str, Any]) -> Said:
    first, _, last = context["expected"].rpartition(" or ")
    if not first:
        return said("refused.must.only", only=last)
    return said("refused.must.one_of", first=first, last=last)


# Every type of fault that a model of a sketch can raise, beside the three named above.
RULES: dict[str, Rule] = {
    "greater_than": _limited("greater", "gt"),
    "greater_than_equal": _limited("at_least", "ge"),
    "less_than": _limited("less", "lt"),
    "less_than_equal": _limited("at_most", "le"),
    "finite_number": _plain("finite"),
    "float_type": _plain("number"),
    "float_parsing": _plain("number_text"),
    "int_type": _plain("integer"),
    "int_parsing": _plain("integer_text"),
    "int_from_float": _plain("integer_fraction"),
    "int_parsing_size": _plain("integer_long"),
    "bool_type": _plain("boolean"),
    "bool_parsing": _plain("boolean_text"),
    "string_type": _plain("text"),
    "string_unicode": _plain("text_letters"),
    "string_too_short": _plain("not_empty"),
    "string_too_long": lambda context: said("refused.must.text_long", most=context["max_length"]),
    "tuple_type": _plain("list"),
    "too_short": _few,
    "too_long": _many,
    "model_type": _plain("object"),
    "invalid_key": _plain("name"),
    "literal_error": _choice,
}
