"""Saved sketches: every edit a revision, under ids nobody can guess, in SQLite or PostgreSQL."""

from offgrid_sizing.store.faults import StoreFault
from offgrid_sizing.store.files import MAX_FILE_BYTES, FileRef, clean_name, home_dir
from offgrid_sizing.store.merge import merge_edits
from offgrid_sizing.store.records import Listed, Opened, Revision, Saved, SketchGone
from offgrid_sizing.store.revisions import digest_of
from offgrid_sizing.store.saving import unsaved
from offgrid_sizing.store.sketches import WAY_BACK_DAYS, Store, default_store

__all__ = [
    "MAX_FILE_BYTES",
    "WAY_BACK_DAYS",
    "FileRef",
    "Listed",
    "Opened",
    "Revision",
    "Saved",
    "SketchGone",
    "Store",
    "StoreFault",
    "clean_name",
    "default_store",
    "digest_of",
    "home_dir",
    "merge_edits",
    "unsaved",
]
