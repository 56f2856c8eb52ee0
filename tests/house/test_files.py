"""What is committed: no traces of a machine, locks that agree, scripts that run, a wheel that is whole."""

from __future__ import annotations

import os
import re
import subprocess
import sys
import tomllib
import zipfile
from pathlib import Path

import pytest
from packaging.requirements import Requirement
from packaging.utils import canonicalize_name

from tests.house.source import ROOT, SRC, tracked_files

TEXT_SUFFIXES = frozenset(
    ["", *".py .md .toml .lock .csv .json .svg .html .css .js .typ .txt .cfg .sh".split()]
)
SCRIPTS = sorted(p.name for p in (ROOT / "scripts").iterdir() if p.name != "environment" and p.suffix == "")


def _project() -> dict[str, object]:
    return dict(tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8")))


def _locked(name: str) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for line in (ROOT / name).read_text(encoding="utf-8").splitlines():
        pin, _, marker = line.partition(";")
        package, _, version = pin.strip().partition("==")
        assert version, f"{name}: {line!r} is not a plain pin"
        found.setdefault(canonicalize_name(package), []).append(f"{version.strip()};{marker.strip()}")
    return found


def _wanted(group: str) -> list[Requirement]:
    project = _project()
    if group == "run":
        return [Requirement(r) for r in project["project"]["dependencies"]]  # type: ignore[index]
    groups = project["dependency-groups"]
    assert isinstance(groups, dict)
    return [Requirement(r) for name in ("test", "lint", "docs") for r in groups[name]]


def test_no_file_names_a_folder_of_somebody_s_machine() -> None:
    folders = [re.escape(f"/{name}/") for name in ("work", "tmp", "root", "home", "Users")]
    pattern = re.compile(rf"(?<![\w.\-}})/])(?:{'|'.join(folders)})")
    found = []
    for path in tracked_files():
        if path.suffix in TEXT_SUFFIXES:
            body = path.read_text(encoding="utf-8", errors="replace")
            found += [f"{path.relative_to(ROOT)}: {m.group()}" for m in pattern.finditer(body)]

    assert found == []


def test_no_file_names_a_package_index() -> None:
    pattern = re.compile(r"py" + r"pi\.org|python" + r"hosted\.org|--(?:extra-)?index-url|--find-links")
    found = [
        f"{path.relative_to(ROOT)}: {m.group()}"
        for path in tracked_files()
        if path.suffix in TEXT_SUFFIXES and path != Path(__file__)
        for m in pattern.finditer(path.read_text(encoding="utf-8", errors="replace"))
        if path.name != "lock"  # scripts/lock names the options that leave them out
    ]

    assert found == []


@pytest.mark.parametrize(("group", "lock"), [("run", "requirements.lock"), ("dev", "requirements-dev.lock")])
def test_a_lock_holds_what_the_project_asks_for(group: str, lock: str) -> None:
    locked = _locked(lock)

    missing = [r.name for r in _wanted(group) if canonicalize_name(r.name) not in locked]
    unfit = [
        f"{r.name} {pin}"
        for r in _wanted(group)
        for pin in locked.get(canonicalize_name(r.name), [])
        if not r.specifier.contains(pin.partition(";")[0], prereleases=True)
    ]

    assert missing == []
    assert unfit == []


def test_the_two_locks_agree() -> None:
    run, dev = _locked("requirements.lock"), _locked("requirements-dev.lock")

    assert {name: pins for name, pins in run.items() if dev.get(name) != pins} == {}


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_is_plain_shell_and_says_what_it_does(name: str) -> None:
    path = ROOT / "scripts" / name
    lines = path.read_text(encoding="utf-8").splitlines()

    assert os.access(path, os.X_OK)
    assert lines[0] == "#!/bin/sh"
    assert lines[1].startswith("# ")
    assert subprocess.run(["sh", "-n", str(path)]).returncode == 0


@pytest.mark.parametrize("name", SCRIPTS)
def test_a_script_explains_itself_before_it_installs_anything(name: str, tmp_path: Path) -> None:
    (tmp_path / "scripts").mkdir()
    for source in (ROOT / "scripts").iterdir():
        copy = tmp_path / "scripts" / source.name
        copy.write_bytes(source.read_bytes())
        copy.chmod(0o755)

    answer = subprocess.run([tmp_path / "scripts" / name, "--help"], capture_output=True, text=True)

    assert answer.returncode == 0
    assert f"scripts/{name}" in answer.stdout
    assert not (tmp_path / ".venv").exists()


def test_a_script_without_python_says_so(tmp_path: Path) -> None:
    tools = tmp_path / "bin"
    tools.mkdir()
    for tool in ("sh", "dirname", "basename", "cat", "sed", "grep", "cksum", "rm"):
        found = next(p for p in (Path("/usr/bin"), Path("/bin")) if (p / tool).exists())
        (tools / tool).symlink_to(found / tool)
    (tmp_path / "scripts").mkdir()
    for name in ("demo", "environment"):
        copy = tmp_path / "scripts" / name
        copy.write_bytes((ROOT / "scripts" / name).read_bytes())
        copy.chmod(0o755)

    answer = subprocess.run(
        [tools / "sh", tmp_path / "scripts" / "demo"],
        env={"PATH": str(tools)},
        capture_output=True,
        text=True,
    )

    assert answer.returncode == 3
    assert "Python 3.11 or newer is needed" in answer.stderr


def test_the_ci_script_is_sound() -> None:
    assert subprocess.run(["bash", "-n", str(ROOT / ".ci" / "run")]).returncode == 0


def test_the_wheel_holds_every_file_of_the_package(tmp_path: Path) -> None:
    built = subprocess.run(
        [sys.executable, "-m", "hatchling", "build", "-t", "wheel", "-d", str(tmp_path)],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )
    assert built.returncode == 0, built.stderr
    (wheel,) = tmp_path.glob("*.whl")
    with zipfile.ZipFile(wheel) as archive:
        inside = set(archive.namelist())
        points = next(n for n in inside if n.endswith("entry_points.txt"))
        entries = archive.read(points).decode()

    wanted = {
        p.relative_to(SRC.parent).as_posix()
        for p in SRC.rglob("*")
        if p.is_file() and "__pycache__" not in p.parts
    }

    assert wanted - inside == set()
    assert "pairwright = pairwright.cli.main:run" in entries
