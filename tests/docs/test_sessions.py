"""The sessions shown in the README and the tutorial are run, and print what they show.

A fenced block marked ``console`` holds commands after ``$`` and what they print; ``...`` stands for
anything. All blocks of a page run in one folder, in order, so that a page is one path for its reader.
"""

from __future__ import annotations

import doctest
import os
import re
import shlex
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

PAGES = ["README.md", "docs/tutorial.md"]
BLOCK = re.compile(r"^```console\n(.*?)^```$", re.MULTILINE | re.DOTALL)
NOT_RUN_HERE = ("scripts/", "git ", "cd ")  # installing is tested by the scripts' own tests


def commands(page: str) -> Iterator[tuple[str, str]]:
    """Each command of a page with the output it shows."""
    for block in BLOCK.findall(page):
        for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
            command, _, output = part.partition("\n")
            yield command, output


def agrees(shown: str, printed: str) -> bool:
    return doctest.OutputChecker().check_output(
        shown, printed, doctest.ELLIPSIS | doctest.NORMALIZE_WHITESPACE
    )


@pytest.mark.parametrize("name", PAGES)
def test_a_page_prints_what_it_shows(name: str, root: Path, tmp_path: Path) -> None:
    steps = list(commands((root / name).read_text("utf-8")))
    assert steps

    environment = {**os.environ, "PYTHONPATH": str(root / "src"), "TERM": "dumb", "COLUMNS": "100"}
    for command, shown in steps:
        if command.startswith(NOT_RUN_HERE):
            continue
        words = shlex.split(command)
        assert words[0] == "pairwright", command
        done = subprocess.run(
            [sys.executable, "-m", "pairwright", *words[1:]],
            cwd=tmp_path, env=environment, capture_output=True, text=True, timeout=300,
        )  # fmt: skip
        assert done.returncode in (0, 1, 2), done.stderr
        assert agrees(shown, done.stdout), f"$ {command}\nshown:\n{shown}\nprinted:\n{done.stdout}"
