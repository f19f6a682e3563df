"""The fuse or breaker of a run, and every named rating it must not exceed."""

from offgrid_sizing.electrical.protection import (
    Device,
    breaking_ka,
    next_rating_a,
    rated_ac_v,
    rated_dc_v,
)
from offgrid_sizing.electrical.run_need import RunNeed
from offgrid_sizing.electrical.sizes import RuleBook, code_of
from offgrid_sizing.words import Sentence, sentence

_SLACK = 1 + 1e-9


def device_of(need: RunNeed, book: RuleBook) -> Device | None:
    """The fuse or breaker of a run, or None where none is needed.

    Raises
    ------
    BadInput
        When current, voltage or fault current are beyond what devices are made for.
    """
    if not need.device_kind:
        return None
    rating_a, from_maker, rule = _rating(need, book)
    volts = rated_ac_v(need.highest_v) if need.side == "ac" else rated_dc_v(need.highest_v)
    return Device(
        kind=need.device_kind,
        rating_a=rating_a,
        works_at_v=need.highest_v,
        rated_v=volts,
        fault_a=need.fault_a,
        breaking_ka=breaking_ka(need.fault_a),
        poles=need.poles,
        from_maker=from_maker,
        rule=rule,
    )


def _rating(need: RunNeed, book: RuleBook) -> tuple[float, bool, str]:
    """Rating, whether a maker or supplier names it, and where it comes from. [A]"""
    code, design_a, named = code_of(book), need.design_a(book), need.maker_device_a
    if need.set_device_a is not None:
        by_name = need.set_device_a == need.largest_device_a
        return need.set_device_a, by_name, need.device_rule
    if named is not None and named >= design_a:
        return named, True, sentence("runs.named_by_maker")
    least_a = max(design_a, code.string_fuse_factor * need.string_isc_a)
    return next_rating_a(book, least_a), False, code.device_rule


def device_faults(need: RunNeed, book: RuleBook, device: Device | None) -> list[Sentence]:
    """Every named rating that the device exceeds, one sentence each.

    What a maker's sheet, a supplier or the user names is an upper bound: a device above it does
    not protect what it is named for.
    """
    if device is None:
        return []
    code = code_of(book)
    values = {"run": need.title, "rating_a": device.rating_a, "rule": code.limits.named_device}
    faults = []
    named, largest = need.maker_device_a, need.largest_device_a
    if named and device.rating_a > named * _SLACK:
        design_a = float(f"{need.design_a(book):.3g}")
        faults.append(sentence("sources.above_named", **values, named_a=named, design_a=design_a))
    if largest and device.rating_a > largest * _SLACK:
        if need.largest_of == "module":
            values["rule"] = code.limits.module_fuse
        key = f"sources.bound.{need.largest_of}"
        faults.append(sentence(key, **values, largest_a=largest))
    most_factor = code.string_fuse_most_factor
    most_a = most_factor * need.string_isc_a
    if most_a and device.rating_a > most_a * _SLACK:
        values["rule"] = code.limits.module_fuse
        faults.append(
            sentence("sources.above_string", **values, factor=most_factor, isc_a=need.string_isc_a)
        )
    return faults
