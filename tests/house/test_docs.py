"""The documentation says what the program does, and can be built."""

from __future__ import annotations

import re
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import ROOT
from tests.house.test_findings import load

DOCS = ROOT / "docs"
README = ROOT / "README.md"


def written_pages() -> list[Path]:
    return sorted(p for p in DOCS.rglob("*.md") if "_build" not in p.parts and "generated" not in p.parts)


def test_the_readme_names_the_two_commands() -> None:
    body = README.read_text(encoding="utf-8")

    assert "scripts/demo" in body
    assert "scripts/test" in body


def test_the_pictures_and_files_that_the_readme_names_exist() -> None:
    body = README.read_text(encoding="utf-8")
    named = [t for t in re.findall(r"\]\(([^)#]+)\)|src=\"([^\"]+)\"", body) for t in t if t]

    missing = [t for t in named if "://" not in t and not (ROOT / t).exists()]

    assert missing == []


def test_the_page_of_commands_is_what_the_program_says() -> None:
    page = (DOCS / "commands.md").read_text(encoding="utf-8")

    assert page == load("make_commands").render(), "run scripts/docs --refresh"


def test_every_command_has_help_and_is_mentioned_by_hand() -> None:
    by_hand = "\n".join(
        p.read_text(encoding="utf-8") for p in [README, *written_pages()] if p.name != "commands.md"
    )
    found = load("make_commands").commands()

    assert found
    assert [name for name, command in found.items() if not (command.help or "").strip()] == []
    assert [name for name in found if not re.search(rf"{name}\b", by_hand)] == []


def test_every_option_has_help() -> None:
    bare = [
        f"{name} {parameter.name}"
        for name, command in load("make_commands").commands().items()
        for parameter in command.params
        if not getattr(parameter, "hidden", False)
        and parameter.name not in ("help", "install_completion", "show_completion")
        and not (getattr(parameter, "help", "") or "").strip()
    ]

    assert bare == []


def test_every_decision_is_in_the_index_and_numbered_in_order() -> None:
    files = sorted(p.stem for p in (DOCS / "decisions").glob("[0-9]*.md"))
    index = (DOCS / "decisions" / "index.md").read_text(encoding="utf-8")

    assert [int(name[:4]) for name in files] == list(range(1, len(files) + 1))
    assert [name for name in files if name not in index] == []


def test_the_docs_build_without_a_warning(tmp_path: Path) -> None:
    made = subprocess.run([sys.executable, "docs/make_physics.py"], cwd=ROOT, capture_output=True, text=True)
    assert made.returncode == 0, made.stderr

    options = ["-q", "-W", "--keep-going", "-b", "html", "-d", str(tmp_path / "trees")]
    built = subprocess.run(
        [sys.executable, "-m", "sphinx", *options, "docs", str(tmp_path / "html")],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )

    assert built.returncode == 0, built.stderr
    page = (tmp_path / "html" / "index.html").read_text(encoding="utf-8")
    assert re.findall(r"<(?:script|link|img)[^>]+(?:src|href)=\"https?://", page) == []


def test_every_law_has_a_page_with_its_worked_number(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    maker = load("make_physics")
    registry = maker.laws()
    monkeypatch.setattr(maker, "OUT", tmp_path / "generated")

    assert maker.write(registry) == len(registry) > 0
    for name, law in registry.items():
        page = (tmp_path / "generated" / f"{name}.md").read_text(encoding="utf-8")
        assert "## A worked number" in page
        assert all(f"`{a.name}`" in page for a in law.arguments)
        assert all(s.kind in page for s in law.sources)
