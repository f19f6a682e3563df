"""The files for a shared server say what the program knows, and keep what must be kept apart."""

import re
import tomllib
from pathlib import Path

import yaml

ROOT = Path(__file__).resolve().parents[1]
FOLDER = ROOT / ".container"
IMAGE = (FOLDER / "Containerfile").read_text(encoding="utf-8")
PROXY = (FOLDER / "nginx.conf").read_text(encoding="utf-8")
SERVICES = yaml.safe_load((FOLDER / "compose.yaml").read_text(encoding="utf-8"))
PROJECT = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


def test_every_setting_is_one_that_the_program_reads():
    program = "".join(
        file.read_text(encoding="utf-8") for file in (ROOT / "offgrid_sizing").rglob("*.py")
    )
    set_here = set(re.findall(r"\b(OFFGRID_\w+)=", IMAGE))
    set_here |= set(SERVICES["services"]["dashboard"]["environment"])
    assert {"OFFGRID_ACCESS", "OFFGRID_HOME", "OFFGRID_DATABASE_URL"} <= set_here
    for name in set_here:
        assert f'"{name}"' in program, name


def test_the_image_has_all_that_a_wheel_is_built_of():
    copied = re.findall(r"^COPY (.+) \S+$", IMAGE, re.MULTILINE)
    sources = {one for line in copied for one in line.split()}
    assert all((ROOT / one).exists() for one in sources)
    wheel = PROJECT["tool"]["hatch"]["build"]["targets"]["wheel"]
    needed = [*wheel["packages"], *wheel["force-include"], *PROJECT["project"]["license-files"]]
    for path in (*needed, PROJECT["project"]["readme"], "pyproject.toml", ".ci/constraints.txt"):
        parents = [Path(path), *Path(path).parents]
        assert any(str(parent) in sources for parent in parents), path
    assert '-c .ci/constraints.txt ".[postgres]"' in IMAGE


def test_the_server_is_nobody_and_lists_nobodys_sketches():
    user = re.search(r"^USER (\w+)$", IMAGE, re.MULTILINE)[1]
    assert user != "root"
    assert f"useradd --system --create-home --home-dir /var/lib/offgrid {user}" in IMAGE
    assert "OFFGRID_ACCESS=public" in IMAGE
    assert SERVICES["services"]["dashboard"]["environment"]["OFFGRID_ACCESS"] == "public"
    assert "/_stcore/health" in IMAGE


def test_one_volume_holds_what_lasts_and_no_password_is_written_down():
    assert list(SERVICES["volumes"]) == ["sketches"]
    services = SERVICES["services"]
    assert "volumes" not in services["dashboard"]
    assert services["database"]["volumes"] == ["sketches:/var/lib/postgresql/data"]
    asked = "${OFFGRID_DATABASE_PASSWORD:?choose one}"
    assert services["database"]["environment"]["POSTGRES_PASSWORD"] == asked
    assert f":{asked}@database/" in services["dashboard"]["environment"]["OFFGRID_DATABASE_URL"]
    assert "pg_isready" in services["database"]["healthcheck"]["test"]
    assert services["dashboard"]["depends_on"] == {"database": {"condition": "service_healthy"}}


def test_only_the_proxy_reaches_it_and_passes_on_what_it_needs():
    assert SERVICES["services"]["dashboard"]["ports"] == ["127.0.0.1:8501:8501"]
    assert "ports" not in SERVICES["services"]["database"]
    settings = tomllib.loads((ROOT / ".streamlit" / "config.toml").read_text(encoding="utf-8"))
    most_mb = settings["server"]["maxUploadSize"]
    assert f"client_max_body_size {most_mb}m;" in PROXY
    for line in ("Upgrade $http_upgrade;", "Host $host;", "access_log off;"):
        assert line in PROXY


def test_the_readme_says_how_to_start_it():
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    assert "OFFGRID_DATABASE_PASSWORD=… podman-compose -f .container/compose.yaml up" in readme
