"""Why the system refused a file or an address, in words a language can be asked for."""

import errno

from offgrid_sizing.words import DEFAULT, Saying, catalogue, said


def reason_of(error: OSError) -> str | Saying:
    """The reason alone, to stand in a sentence; the system's own words where it is a rare one."""
    key = f"files.system.{errno.errorcode.get(error.errno or 0, '')}"
    if key in catalogue(DEFAULT):
        return said(key)
    return error.strerror or str(error)
