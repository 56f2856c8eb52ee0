"""The compiler: never started by a check, and no difference in what a plan sees once it runs."""

from __future__ import annotations

import os
import subprocess
import sys

from tests.conftest import ROOT

SCRIPT = """
import sys
from pairwright.physics.heat import warm_up, warmed_up
from pairwright.process import check, durations
from pairwright.process.press_heat import heated
from tests.unit.process.small import changed

works = changed()
cold = durations(works), check(works)
assert not warmed_up() and "numba" not in sys.modules, "the check started the compiler"
warm_up()
heated.cache_clear()
warm = durations(works), check(works)
assert warmed_up() and heated.cache_info().misses > 0
assert cold[0] == warm[0], "a duration moved"
assert [str(f.text) for f in cold[1]] == [str(f.text) for f in warm[1]], "a finding moved"
"""


def test_a_check_never_starts_the_compiler_and_a_warm_one_finds_the_same() -> None:
    environment = {**os.environ, "PYTHONPATH": f"{ROOT / 'src'}{os.pathsep}{ROOT}"}

    run = subprocess.run(
        [sys.executable, "-c", SCRIPT], capture_output=True, text=True, check=False, env=environment, cwd=ROOT
    )

    assert run.returncode == 0, run.stderr
