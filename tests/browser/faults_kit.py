"""Ways to take the saved sketches away from a running dashboard, and to give them back."""

import os
import secrets
import shutil
import signal
import socket
import subprocess
import sys
import time
from contextlib import ExitStack, contextmanager, suppress
from pathlib import Path

import pytest

_HOLDS = """
import sqlite3, sys
held = sqlite3.connect(sys.argv[1], isolation_level=None)
held.execute("BEGIN EXCLUSIVE")
print("held", flush=True)
sys.stdin.read()
"""


@contextmanager
def held_by_another_program(file: Path):
    """A second process has begun an exclusive transaction and does not end it."""
    other = subprocess.Popen(
        [sys.executable, "-c", _HOLDS, str(file)], stdin=subprocess.PIPE, stdout=subprocess.PIPE
    )
    try:
        assert other.stdout.readline() == b"held\n"
        yield
    finally:
        other.communicate(timeout=60)


@contextmanager
def unwritable(file: Path):
    """A copy is put in the file's place that nobody may write, not even root (`chattr +i`).

    The file itself would still be written through what the dashboard has opened before.
    """
    copy = file.with_name("copy")
    shutil.copy(file, copy)
    copy.replace(file)
    if subprocess.run(["chattr", "+i", file], capture_output=True, check=False).returncode:
        pytest.skip("this file system or user may not make a file immutable")
    try:
        yield
    finally:
        subprocess.run(["chattr", "-i", file], check=True)


@contextmanager
def overwritten(file: Path):
    """Every byte of the file is another one; the bytes are put back in the end."""
    whole = file.read_bytes()
    file.write_bytes(os.urandom(len(whole)))
    try:
        yield
    finally:
        file.write_bytes(whole)


@contextmanager
def small_disk(folder: Path, size_kb: int = 2048):
    """A disk of its own in memory, mounted at the folder."""
    folder.mkdir(parents=True, exist_ok=True)
    command = ["mount", "-t", "tmpfs", "-o", f"size={size_kb}k", "tmpfs", folder]
    if subprocess.run(command, capture_output=True, check=False).returncode:
        pytest.skip("this user may not mount a small disk")
    try:
        yield
    finally:
        subprocess.run(["umount", "-l", folder], check=True)


@contextmanager
def full_disk(folder: Path):
    """Every byte of the disk is taken."""
    filler = folder / "filler"
    with filler.open("wb", buffering=0) as sink:
        for size in (65536, 4096, 1):
            try:
                while True:
                    sink.write(b"x" * size)
            except OSError:  # no room for a piece of this size
                continue
    try:
        yield
    finally:
        filler.unlink()


class Server:
    """A PostgreSQL of its own: started, restarted, frozen as a whole.

    With `disk_kb` its data lie on a small disk of their own, which can be filled.
    """

    def __init__(self, disk_kb: int = 0):
        found = sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))
        if not found:
            pytest.fail("PostgreSQL is missing: install Debian's package `postgresql`.")
        self._binaries = found[-1].parent
        # a short path outside pytest's folder, which is closed to the postgres user
        self._folder = Path("/tmp") / f"offgrid-pg-{secrets.token_hex(4)}"
        self._folder.mkdir()
        self._disk = ExitStack()
        if disk_kb:
            self._disk.enter_context(small_disk(self._folder, disk_kb))
        if os.geteuid() == 0:
            shutil.chown(self._folder, "postgres", "postgres")
        with socket.socket() as probe:
            probe.bind(("127.0.0.1", 0))
            self.port = probe.getsockname()[1]
        self._data = self._folder / "data"
        self._run("initdb", "-D", self._data, "-U", "tester", "--auth=trust", "-E", "UTF8", "-N")
        self.start()

    @property
    def url(self) -> str:
        """Its address."""
        return f"postgresql://tester@127.0.0.1:{self.port}/postgres"

    def start(self) -> None:
        """Begin to answer."""
        options = f"-h 127.0.0.1 -p {self.port} -k {self._folder}"
        log = self._folder / "log"
        self._run("pg_ctl", "-D", self._data, "-l", log, "-o", options, "-w", "start")

    def stop(self) -> None:
        """End it, every connection with it."""
        self._run("pg_ctl", "-D", self._data, "-m", "immediate", "-w", "stop")

    def remove(self) -> None:
        """End it for good."""
        self.stop()
        self._disk.close()
        shutil.rmtree(self._folder, ignore_errors=True)

    def full(self):
        """No byte is free on its disk (a context)."""
        return full_disk(self._folder)

    @contextmanager
    def stopped(self):
        """It is being restarted."""
        self.stop()
        try:
            yield
        finally:
            self.start()

    @contextmanager
    def frozen(self):
        """None of its processes moves, the system goes on taking connections for it."""
        mother = int((self._data / "postmaster.pid").read_text().splitlines()[0])
        asked = ["ps", "-o", "pid=", "--ppid", str(mother)]
        children = subprocess.run(asked, capture_output=True, text=True, check=True).stdout.split()
        processes = [mother, *map(int, children)]
        try:
            for process in processes:
                _tell(process, signal.SIGSTOP)
            yield
        finally:
            for process in processes:
                _tell(process, signal.SIGCONT)

    def _run(self, program: str, *arguments) -> None:
        command = [str(self._binaries / program), *map(str, arguments)]
        if os.geteuid() == 0:  # PostgreSQL refuses to run as root
            command = ["runuser", "-u", "postgres", "--", *command]
        done = subprocess.run(command, cwd="/", capture_output=True, text=True, check=False)
        if done.returncode:
            pytest.fail(f"{program} failed:\n{done.stdout[-1500:]}\n{done.stderr[-1500:]}")


def _tell(process: int, what: signal.Signals) -> None:
    """One of its processes may have ended with a connection just closed."""
    with suppress(ProcessLookupError):
        os.kill(process, what)


def until(seen, seconds: float = 60.0) -> None:
    """Wait until something outside the page is so."""
    end = time.monotonic() + seconds
    while not seen():
        assert time.monotonic() < end, "it has not come to be"
        time.sleep(0.1)
