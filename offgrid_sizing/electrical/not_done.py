"""What this program does not check, by key; each is a row of the inspection and a caution."""

from offgrid_sizing.words import Said, said

NOT_DONE = (
    "selectivity",
    "loop_measured",
    "final_circuits",
    "lightning",
    "strength",
    "fire",
    "conduit",
    "reactance",
    "grid_rules",
)


def not_done_words(key: str) -> Said:
    """What is not checked, as a phrase."""
    return said(f"inspection.not_done.{key}")
