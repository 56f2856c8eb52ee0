"""In CI a skipped test fails, unless the reference texts are what is missing."""

from __future__ import annotations

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import ROOT

PASSES = "\n\ndef test_that_passes():\n    pass\n"
CASES = {
    "test": "import pytest\ndef test_a():\n    pytest.skip('no browser: a test')\n" + PASSES,
    "mark": (
        "import pytest\n@pytest.mark.skipif(True, reason='no browser: a mark')\ndef test_a():\n    pass\n"
        + PASSES
    ),
    "module": "import pytest\npytest.skip('no browser: a module', allow_module_level=True)\n",
    "fixture": (
        "import pytest\n@pytest.fixture\ndef x():\n    pytest.skip('no browser: a fixture')\n"
        "def test_a(x):\n    pass\n" + PASSES
    ),
    "allowed": "import pytest\ndef test_a():\n    pytest.skip('no ../shared beside the project')\n" + PASSES,
}


def _run(folder: Path, cases: list[str], **environment: str) -> subprocess.CompletedProcess[str]:
    (folder / "conftest.py").write_bytes((ROOT / "tests" / "conftest.py").read_bytes())
    for case in cases:
        (folder / f"test_{case}.py").write_text(CASES[case])
    clean = {k: v for k, v in os.environ.items() if not k.startswith(("PYTEST", "PAIRWRIGHT"))}
    options = ["-q", "-rs", "-p", "no:cacheprovider", "--continue-on-collection-errors"]
    return subprocess.run(
        [sys.executable, "-m", "pytest", *options, "--rootdir", str(folder), str(folder)],
        cwd=folder,
        env={**clean, **environment},
        capture_output=True,
        text=True,
    )


def test_a_skip_fails_where_skips_are_forbidden(tmp_path: Path) -> None:
    answer = _run(tmp_path, list(CASES), PAIRWRIGHT_NO_SKIPS="1")

    assert answer.returncode != 0
    for case in ("test", "mark", "module", "fixture"):
        assert f"PAIRWRIGHT_NO_SKIPS is set: Skipped: no browser: a {case}" in answer.stdout
    assert "1 failed, 4 passed, 1 skipped, 3 errors" in answer.stdout


def test_a_skip_is_printed_with_its_reason_elsewhere(tmp_path: Path) -> None:
    answer = _run(tmp_path, list(CASES))

    assert answer.returncode == 0
    for case in ("test", "mark", "module", "fixture"):
        assert f"no browser: a {case}" in answer.stdout
    assert "4 passed, 5 skipped" in answer.stdout


@pytest.mark.parametrize("flag", ["0", "1"])
def test_missing_reference_texts_are_never_a_failure(flag: str, tmp_path: Path) -> None:
    answer = _run(tmp_path, ["allowed"], PAIRWRIGHT_NO_SKIPS=flag)

    assert answer.returncode == 0
    assert "1 passed, 1 skipped" in answer.stdout
