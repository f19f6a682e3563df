"""What a wiring code asks on site, read from its `site.toml`: labels, residual-current tests."""

import tomllib
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any, Literal

from offgrid_sizing.wiring_code import WiringCode
from offgrid_sizing.words.cited import all_cited

Signal = Literal["danger", "warning", "notice"]


@dataclass(frozen=True)
class LabelRule:
    """One label or placard.

    Parameters
    ----------
    key : str
        Its words are `labels.<key>.title` and `labels.<key>.place`.
    when : tuple of str
        What the system must have for it; all of them. Names are those of `electrical.labels`.
    signal : {"danger", "warning", "notice"}
    clause : str
    lines : tuple of str
        Keys below `labels.line`, whose values come from the design.
    """

    key: str
    when: tuple[str, ...]
    signal: Signal
    clause: str
    lines: tuple[str, ...]


@dataclass(frozen=True)
class ResidualTest:
    """One test of a residual-current device.

    Parameters
    ----------
    key : str
        Its words are `sheet.live.residual_<key>`.
    rated_times : float
        Test current over the device's rated residual current; 0: `test_ma` holds.
    test_ma : float
        Test current; 0: none is set. [mA]
    within_ms : float
        Longest time to trip; 0: it must not trip, or no time is asked. [ms]
    source : str
    """

    key: str
    rated_times: float
    test_ma: float
    within_ms: float
    source: str


@dataclass(frozen=True)
class SiteRules:
    """What one wiring code asks on site; empty where its folder says nothing."""

    labels: tuple[LabelRule, ...] = ()
    residual: tuple[ResidualTest, ...] = ()


def site_rules(code: WiringCode) -> SiteRules:
    """The rules in the code's own folder; nothing is taken from another code.

    Raises
    ------
    TypeError
        When an entry is missing or not known.
    """
    return _read(code.folder / "site.toml")


@cache
def _read(path: Path) -> SiteRules:
    if not path.is_file():
        return SiteRules()
    raw = all_cited(tomllib.loads(path.read_text(encoding="utf-8")))
    return SiteRules(
        tuple(LabelRule(**_tuples(one)) for one in raw.get("label", ())),
        tuple(ResidualTest(**one) for one in raw.get("residual", ())),
    )


def _tuples(values: dict[str, Any]) -> dict[str, Any]:
    return {key: tuple(one) if isinstance(one, list) else one for key, one in values.items()}
