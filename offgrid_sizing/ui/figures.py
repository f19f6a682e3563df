"""Figures that stand on several pages, written alike on each."""

from offgrid_sizing.sizing.autonomy import ENOUGH_H
from offgrid_sizing.ui.words import t_raw
from offgrid_sizing.units import THIN, Reader, digits, percent, quantity

LONGEST_Y = 100  # a life beyond this says only that it does not end


def days(hours: float, reader: Reader) -> str:
    """How long a bank lasts, in days; what was followed to its end is "or more"."""
    key = "days_more" if hours >= ENOUGH_H else "days"
    return t_raw(f"common.{key}", days=digits(hours / 24, reader))


def hours(value_h: float, reader: Reader) -> str:
    """Hours in which something goes unserved: hours, however many."""
    return f"{digits(value_h, reader)}{THIN}h"


def unserved(value_h: float, share_frac: float, reader: Reader) -> str:
    """What goes unserved in a year: hours, and the share of the load."""
    share = percent(share_frac, reader)
    return t_raw("sizing.beside.unserved", hours=hours(value_h, reader), share=share)


def life(value_y: float, reader: Reader) -> str:
    """How long a box lasts, in years."""
    if value_y > LONGEST_Y:
        return t_raw("common.life_more", years=LONGEST_Y)
    return quantity(value_y, "_y", reader)
