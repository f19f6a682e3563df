"""Two windows edited the same sketch: join their edits when they touch different fields."""


class _Clash(Exception):  # noqa: N818 - never leaves this module
    pass


_ABSENT = object()


def merge_edits(base: dict, mine: dict, theirs: dict) -> dict | None:
    """Three-way merge of plain JSON objects; None when both changed the same thing differently.

    Objects are joined key by key; a list (appliances, roof planes) counts as one thing, because
    joining rows by position could pair the wrong ones.

    Parameters
    ----------
    base, mine, theirs : dict
        What both started from, this window's edit, and what is current now.
    """
    try:
        return _merge(base, mine, theirs)
    except _Clash:
        return None


def _merge(base, mine, theirs):
    if mine == theirs or theirs == base:
        return mine
    if mine == base:
        return theirs
    if not all(isinstance(side, dict) for side in (base, mine, theirs)):
        raise _Clash
    merged = {
        key: _merge(base.get(key, _ABSENT), mine.get(key, _ABSENT), theirs.get(key, _ABSENT))
        for key in dict.fromkeys((*theirs, *mine))
    }
    return {key: value for key, value in merged.items() if value is not _ABSENT}
