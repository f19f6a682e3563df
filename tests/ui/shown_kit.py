"""What a page shows, read back: every text, and the figures its words were given."""

import json
import re

from google.protobuf.text_format import MessageToString

from offgrid_sizing.ui.words import catalogue
from offgrid_sizing.units import GROUP, THIN

_KINDS = ("markdown", "caption", "warning", "info", "error", "success", "title")


def said(test) -> list[str]:
    """Every text of the page as a reader sees it: no marks of markdown, thin spaces as blanks."""
    return [plainly(one.value) for kind in _KINDS for one in test.get(kind)]


def plainly(text: str) -> str:
    """Text without markdown's marks and joiners, ordinary spaces between its words."""
    text = re.sub(r"\\(.)", r"\1", str(text)).replace("\u2060", "").replace("**", "")
    return text.replace(THIN, " ").replace(GROUP, " ").removeprefix("### ")


def found(key: str, texts: list[str], language: str = "en") -> list[dict[str, str]]:
    """What the words of this key were given, each time they stand whole in one of the texts."""
    pattern = re.compile(_pattern(catalogue(language)[key], language), re.DOTALL)
    return [match.groupdict() for text in texts for match in pattern.finditer(text)]


def the(key: str, texts: list[str], language: str = "en") -> dict[str, str]:
    """The same where it must be said, and nowhere differently."""
    told = found(key, texts, language)
    assert told, f"{key} is not said in {texts}"
    assert all(one == told[0] for one in told), (key, told)
    return told[0]


def _pattern(words: str, language: str) -> str:
    """A regular expression for a text of the catalogue; a noun may stand in the singular."""
    seen: set[str] = set()

    def group(match: re.Match) -> str:
        name = match.group(1)
        if name in seen:
            return f"(?P={name})"
        seen.add(name)
        return f"(?P<{name}>.+?)"

    text = re.escape(plainly(words))
    for pair in catalogue(language)["common.one_of"].split(", "):
        many, one = (re.escape(word) for word in pair.split(">"))
        text = text.replace(f"\\}}\\ {many}", f"\\}}\\ (?:{many}|{one})")
    return re.sub(r"\\\{(\w+)\\\}", group, text) + r"(?=$|\n|[.;,:)](?:\s|$))"


def charts(test) -> list[dict]:
    """The specifications of all charts of the page."""
    return [json.loads(chart.proto.spec) for chart in test.get("plotly_chart")]


def everything(test) -> str:
    """All that reaches the browser, as one text: words, labels, helps, options, charts, tables."""
    parts = []
    for node in _nodes(test._tree):
        proto = getattr(node, "proto", None)
        if proto is not None:
            parts.append(MessageToString(proto, as_utf8=True))
        if getattr(node, "type", "") == "plotly_chart":
            parts.append(json.dumps(json.loads(node.proto.spec), ensure_ascii=False))
    return plainly("\n".join(parts))


def _nodes(node):
    yield node
    for child in getattr(node, "children", {}).values():
        yield from _nodes(child)
