"""Data flows one way, and only the dashboard knows its framework."""

import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
# A room past this length holds a second idea; see DEVELOPERS.md.
LONGEST_MODULE = 350


def test_import_contracts_are_kept():
    command = [
        sys.executable,
        "-c",
        "from importlinter.cli import lint_imports_command as main; main()",
    ]
    done = subprocess.run(command, cwd=ROOT, capture_output=True, text=True, check=False)
    assert done.returncode == 0, done.stdout + done.stderr


def test_rooms_stay_small():
    long = {
        str(path.relative_to(ROOT)): lines
        for path in (ROOT / "offgrid_sizing").rglob("*.py")
        if (lines := len(path.read_text(encoding="utf-8").splitlines())) > LONGEST_MODULE
    }
    assert not long
