"""A copy of the program to which something is added by files, and what had to be touched for it."""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path

ROOT = Path(__file__).resolve().parents[2]
TIMEOUT_S = 540
# What every script of a copy may use; it prints its answer as the last line.
PRELUDE = """
import json
from pathlib import Path
from streamlit.testing.v1 import AppTest
from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import Sketch
from offgrid_sizing.store import default_store

HERE = Path(__file__).parent

def changed(sketch, **parts):
    raw = sketch.model_dump()
    for path, value in parts.items():
        *way, last = path.split("__")
        part = raw
        for step in way:
            part = part[step]
        part[last] = value
    return Sketch.model_validate(raw)

def page(name, sketch=None, language="en", **state):
    script = f"from offgrid_sizing.ui import navigation; navigation.run_alone({name!r})"
    test = AppTest.from_string(script, default_timeout=120)
    test.session_state["language"] = language
    for key, value in state.items():
        test.session_state[key] = value
    if sketch is not None:
        store = default_store(None, str(HERE / "home"), True)
        test.query_params["sketch"] = store.new(sketch).token
    test.query_params["lang"] = language
    test.run()
    assert not test.exception, [one.value for one in test.exception]
    wrong = [file.read_text() for file in (HERE / "home" / "diagnostics").glob("*.txt")]
    assert not wrong, wrong[0]
    return test

def seen(test):
    kinds = (test.title, test.markdown, test.caption, test.success, test.info, test.button)
    return " | ".join(str(getattr(one, "label", "") or one.value) for kind in kinds for one in kind)

def answer(**found):
    print(json.dumps(found))
"""


class Copy:
    """The program's files in a folder of their own, to be added to.

    Parameters
    ----------
    folder : Path
        Empty; the copy is made there.
    """

    def __init__(self, folder: Path):
        self.folder = folder
        for name in ("offgrid_sizing", "data"):
            shutil.copytree(ROOT / name, folder / name)  # with their times: compiled code stays
        shutil.copy2(ROOT / "app.py", folder / "app.py")
        self._before = self._state()

    def _state(self) -> dict[str, bytes]:
        files = (path for path in self.folder.rglob("*") if path.is_file())
        return {
            path.relative_to(self.folder).as_posix(): path.read_bytes()
            for path in files
            if "__pycache__" not in path.parts
        }

    def new(self, path: str, text: str) -> None:
        """A file that was not there."""
        place = self.folder / path
        assert not place.exists(), path
        place.parent.mkdir(parents=True, exist_ok=True)
        place.write_text(text, encoding="utf-8")

    def put(self, path: str, before: str, text: str) -> None:
        """Text before the first place where a file says `before`."""
        place = self.folder / path
        old = place.read_text(encoding="utf-8")
        assert before in old, (path, before)
        place.write_text(old.replace(before, text + before, 1), encoding="utf-8")

    def change(self, path: str, old: str, new: str) -> None:
        """One place of a file says something else."""
        place = self.folder / path
        text = place.read_text(encoding="utf-8")
        assert text.count(old) == 1, (path, old)
        place.write_text(text.replace(old, new), encoding="utf-8")

    def words(self, theme: str, **by_language: dict[str, str]) -> None:
        """Keys of a theme that is there, at its beginning, in every language."""
        for language, words in by_language.items():
            place = self.folder / "offgrid_sizing" / "words" / language / f"{theme}.toml"
            lines = "".join(f'"{key}" = {json.dumps(text)}\n' for key, text in words.items())
            place.write_text(lines + place.read_text(encoding="utf-8"), encoding="utf-8")

    def touched(self) -> list[str]:
        """Every file that is new or no longer as it was."""
        return sorted(p for p, held in self._state().items() if self._before.get(p) != held)

    def run(self, script: str) -> dict:
        """What a script finds in a process that knows the copy only."""
        (self.folder / "asked.py").write_text(PRELUDE + script, encoding="utf-8")
        env = os.environ | {
            "PYTHONPATH": str(self.folder),
            "OFFGRID_HOME": str(self.folder / "home"),
            "OFFGRID_ACCESS": "private",
            "PYTHONWARNINGS": "ignore",
        }
        env.pop("OFFGRID_DATABASE_URL", None)
        done = subprocess.run(
            [sys.executable, "asked.py"], cwd=self.folder, env=env, capture_output=True,
            text=True, timeout=TIMEOUT_S, check=False,
        )  # fmt: skip
        assert done.returncode == 0, done.stderr[-4000:]
        return json.loads(done.stdout.splitlines()[-1])
