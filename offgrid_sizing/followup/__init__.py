"""Follow-up: a logger's record held against what the sketch promised."""

from offgrid_sizing.followup.causes import Cause
from offgrid_sizing.followup.compare import FollowUp, compare
from offgrid_sizing.followup.logger import (
    QUANTITIES,
    ROLE_NAMES,
    Logger,
    Mapping,
    guess_columns,
    read_logger_csv,
)

__all__ = [
    "QUANTITIES",
    "ROLE_NAMES",
    "Cause",
    "FollowUp",
    "Logger",
    "Mapping",
    "compare",
    "guess_columns",
    "read_logger_csv",
]
