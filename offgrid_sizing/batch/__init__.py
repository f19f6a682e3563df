"""Many sketches at once: sites from a folder or a table, answers in a table, resumable."""

from offgrid_sizing.batch.run import BatchResult, Cores, Scheduler, run_batch
from offgrid_sizing.batch.sites import BadRow, Site, read_sites
from offgrid_sizing.batch.solve import solve_site

__all__ = [
    "BadRow",
    "BatchResult",
    "Cores",
    "Scheduler",
    "Site",
    "read_sites",
    "run_batch",
    "solve_site",
]
