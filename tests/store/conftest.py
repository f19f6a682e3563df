"""A store on SQLite and on a real PostgreSQL."""

import os
import secrets
import shutil
import socket
import subprocess
from pathlib import Path

import pytest
from sqlalchemy import create_engine, text
from tool_kit import lacking

from offgrid_sizing.store import Store


def _binaries() -> Path:
    """Debian's folder of PostgreSQL's programs, or the one on the path."""
    found = [str(path) for path in sorted(Path("/usr/lib/postgresql").glob("*/bin/initdb"))]
    initdb = found[-1] if found else shutil.which("initdb")
    return Path(initdb or lacking("PostgreSQL", "postgresql")).parent


def _as_postgres(*command: str) -> list[str]:
    # PostgreSQL refuses to run as root
    if os.geteuid() == 0:
        return ["runuser", "-u", "postgres", "--", *command]
    return list(command)


@pytest.fixture(scope="session")
def postgres_url(tmp_path_factory):
    """Address of a PostgreSQL server: the given one, or a throwaway one from Debian's files."""
    given = os.environ.get("OFFGRID_TEST_POSTGRES_URL")
    if given:
        yield given
        return
    binaries = _binaries()
    # a short path: a socket's name may have 107 bytes; outside pytest's folder, which is closed
    # to the postgres user
    folder = Path("/tmp") / f"offgrid-pg-{secrets.token_hex(4)}"
    folder.mkdir()
    if os.geteuid() == 0:
        shutil.chown(folder, "postgres", "postgres")
    cluster = folder / "data"
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port = probe.getsockname()[1]
    _run(binaries / "initdb", "-D", cluster, "-U", "tester", "--auth=trust", "-E", "UTF8", "-N")
    options = f"-h 127.0.0.1 -p {port} -k {folder}"
    start = ("-D", cluster, "-l", folder / "log", "-o", options, "-w")
    try:
        _run(binaries / "pg_ctl", *start, "start")
        yield f"postgresql://tester@127.0.0.1:{port}/postgres"
    finally:
        _run(binaries / "pg_ctl", "-D", cluster, "-m", "immediate", "-w", "stop", check=False)
        shutil.rmtree(folder, ignore_errors=True)


def _run(*command, check: bool = True) -> None:
    done = subprocess.run(
        _as_postgres(*map(str, command)), cwd="/", capture_output=True, text=True, check=False
    )
    if check and done.returncode:
        pytest.fail(f"{command[0]} failed:\n{done.stdout[-1500:]}\n{done.stderr[-1500:]}")


@pytest.fixture(params=["sqlite", "postgresql"])
def url(request, tmp_path):
    """The address of an empty database."""
    if request.param == "sqlite":
        yield f"sqlite:///{tmp_path / 'sketches.sqlite'}"
        return
    server = request.getfixturevalue("postgres_url")
    name = f"test_{secrets.token_hex(6)}"
    admin = create_engine(
        server.replace("postgresql://", "postgresql+psycopg://"), isolation_level="AUTOCOMMIT"
    )
    with admin.connect() as connection:
        connection.execute(text(f"CREATE DATABASE {name}"))
    yield f"{server.rsplit('/', 1)[0]}/{name}"
    with admin.connect() as connection:
        connection.execute(text(f"DROP DATABASE {name} WITH (FORCE)"))
    admin.dispose()


@pytest.fixture
def store(url, tmp_path):
    """An empty store in single-user mode."""
    made = Store(url, single_user=True, folder=tmp_path / "files")
    yield made
    made.close()
