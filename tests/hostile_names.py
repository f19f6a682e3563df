"""Names that a hostile sketch or table may give for a file, each with what is said of it."""

import os
from pathlib import Path

import pytest

OUT = "leads out of its folder: put the file into the folder"
# Told by their letters alone, on every system.
LETTERS = {
    "absolute": ("/etc/passwd", OUT),
    "one up": ("../year.csv", OUT),
    "up on a way": ("deep/../../year.csv", OUT),
    "down and up": ("deep/../year.csv", OUT),
    "up by backslash": ("deep\\..\\..\\year.csv", OUT),
    "drive": ("C:\\Windows\\win.ini", OUT),
    "drive alone": ("c:year.csv", OUT),
    "UNC": ("\\\\server\\share\\year.csv", OUT),
    "UNC by slash": ("//server/share/year.csv", OUT),
    "device of Windows": ("\\\\.\\C:", OUT),
    "root of a drive": ("\\Windows\\win.ini", OUT),
    "NUL": ("year.csv\0.epw", "contains a control character"),
    "newline": ("year\n.csv", "contains a control character"),
    "escape": ("\x1b[2Jyear.csv", "contains a control character"),
    "very long": ("a" * 900 + ".csv", "cannot be read"),
    "home": ("~root/.ssh/id_rsa", "there is no file “~root/.ssh/id_rsa” in its folder"),
    "address": ("file:///etc/passwd", "there is no file “file:///etc/passwd” in its folder"),
    "missing": ("gone.csv", "there is no file “gone.csv” in its folder"),
}
# Told by what stands there.
THINGS = {
    "link out": ("link.csv", "is a link that leads out of its folder"),
    "link to a device": ("zero.csv", "is a link that leads out of its folder"),
    "folder link out": ("away/secret.csv", "is a link that leads out of its folder"),
    "link to itself": ("round.csv", "cannot be read"),
    "pipe": ("pipe.csv", "is not an ordinary file"),
    "folder": ("folder.csv", "is a folder"),
}


def made(folder: Path, kind: str) -> str:
    """Put the thing into the folder; its name. A pipe that is opened would never be done."""
    name = THINGS[kind][0]
    secret = folder.parent / "elsewhere" / "secret.csv"
    secret.parent.mkdir(exist_ok=True)
    secret.write_text("time,ghi\n")
    if kind == "pipe":
        if not hasattr(os, "mkfifo"):
            pytest.skip("this system has no pipes with names")
        os.mkfifo(folder / name)
    elif kind == "folder":
        (folder / name).mkdir()
    elif kind == "folder link out":
        (folder / "away").symlink_to(secret.parent, target_is_directory=True)
    else:
        aims = {"link out": secret, "link to a device": "/dev/zero", "link to itself": name}
        (folder / name).symlink_to(aims[kind])
    return name
