"""Names of weather years."""

from offgrid_sizing.ui.words import t


def name_of(year_name: str) -> str:
    """A weather year's name in this language: "synthetic 3", "typical" or a calendar year."""
    word, _, number = year_name.partition(" ")
    if word in ("synthetic", "typical"):
        return t(f"year.name_{word}", number=number)
    return year_name
