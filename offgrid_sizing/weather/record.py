"""A weather file as read: labelled rows of one place, before they are laid on a clock."""

from dataclasses import dataclass, field

import pandas as pd

COLUMNS = ("ghi", "dni", "dhi", "temp_air", "wind_speed")


@dataclass(frozen=True, eq=False)
class Record:
    """Rows of a weather file with what it says of itself.

    Parameters
    ----------
    kind : str
        Format, as people call it.
    rows : DataFrame
        Some of ghi, dni, dhi [W/m²], temp_air [°C], wind_speed [m/s]; index of naive labels in
        the file's own fixed-offset clock. NaN where nothing was recorded.
    stamp : str
        What a label marks: "begin", "end", "middle" of its step, or an "instant".
    utc_offset_h : float or None
        The file's clock; None where it does not say.
    latitude_deg, longitude_deg, elevation_m : float or None
        None where it does not say.
    place : str
    notes : tuple of str
        Sentences on what was assumed while reading.
    """

    kind: str
    rows: pd.DataFrame
    stamp: str
    utc_offset_h: float | None = None
    latitude_deg: float | None = None
    longitude_deg: float | None = None
    elevation_m: float | None = None
    place: str = ""
    notes: tuple[str, ...] = field(default=())


def numbers_of(frame: pd.DataFrame, names: dict[str, str]) -> pd.DataFrame:
    """The columns of interest as float64, renamed; what is no number becomes NaN."""
    found = {new: frame[old] for old, new in names.items() if old in frame.columns}
    return pd.DataFrame(
        {new: pd.to_numeric(column, errors="coerce") for new, column in found.items()},
        index=frame.index,
        dtype="float64",
    )
