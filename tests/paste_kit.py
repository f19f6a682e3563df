"""Pasted rows as appliances, for tests that ask nothing of how they were read."""

from offgrid_sizing.loads.hours import parse_windows
from offgrid_sizing.loads.paste import rows_of_text


def taken_from(text: str, read_hours=parse_windows):
    """The appliances of the rows, and the sentences."""
    table = rows_of_text(text, read_hours)
    return tuple(row.appliance for row in table.rows), table.sentences
