"""Every text of a page that a person may read."""

import json

from google.protobuf.message import Message
from shown_kit import _nodes

_SAID_IN = {
    "body", "label", "help", "options", "formatted_options", "placeholder", "caption", "text",
    "title", "alt", "message", "icon_label", "name", "content", "on_label", "tooltip",
}  # fmt: skip


def shown(test) -> list[str]:
    """Every text of a page that a person may read: words, labels, helps, options, cells, charts."""
    texts: list[str] = []
    for node in _nodes(test._tree):
        kind = getattr(node, "type", "")
        proto = getattr(node, "proto", None)
        if kind == "plotly_chart":
            texts += _chart(json.loads(node.proto.spec))
        elif kind in ("arrow_data_frame", "arrow_table"):
            frame = node.value
            texts += [str(name) for name in frame.columns]
            texts += [str(cell) for cell in frame.to_numpy().ravel()]
            texts += _columns(node.proto.columns)
        elif proto is not None:
            texts += _fields(proto)
    return [text for text in texts if not text.startswith(("<style", "<script", "data:", "$$"))]


def _columns(config: str) -> list[str]:
    """What a table says above its columns and beside them."""
    kept = json.loads(config or "{}").values()
    asked = [one for one in kept if isinstance(one, dict)]
    texts = [str(one.get(name) or "") for one in asked for name in ("label", "help", "default")]
    choices = [(one.get("type_config") or {}).get("options") or [] for one in asked]
    options = (one for many in choices for one in many)
    return [*texts, *(str(one["label"] if isinstance(one, dict) else one) for one in options)]


def _fields(proto) -> list[str]:
    texts: list[str] = []
    for field, value in proto.ListFields():
        if field.name == "columns" and isinstance(value, str):
            texts += _columns(value)
            continue
        many = value if field.is_repeated else [value]
        for one in many:
            if isinstance(one, Message):
                texts += _fields(one)
            elif isinstance(one, str) and field.name in _SAID_IN:
                texts.append(one)
    return texts


_CHART = {"text", "title", "name", "hovertemplate", "ticktext", "labels", "customdata", "x", "y",
          "label", "hovertext", "texttemplate"}  # fmt: skip


def _chart(part, key: str = "") -> list[str]:
    if isinstance(part, dict):
        return [one for name, value in part.items() for one in _chart(value, name)]
    if isinstance(part, list):
        return [one for value in part for one in _chart(value, key)]
    return [part] if isinstance(part, str) and key in _CHART else []
