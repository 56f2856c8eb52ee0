"""One direction of imports, a pure core, and heavy things late."""

from __future__ import annotations

import ast
import subprocess
import sys
from pathlib import Path

import pytest

from tests.house.source import ROOT, Module, calls, dotted, imports, in_packages, modules

# From `reports` down: no clock, no randomness, no file, no network.
PURE = frozenset(
    "reports learning gate costing pairing prediction quality process plan audit floor measure "
    "works physics base".split()
)
IMPURE_MODULES = frozenset(
    "alembic asyncio concurrent fastapi fileinput glob http jinja2 multiprocessing os random requests "
    "rich secrets shutil signal smtplib socket sqlalchemy sqlite3 ssl starlette subprocess sys tempfile "
    "threading time typer typst urllib uuid uvicorn".split()
)
IMPURE_CALLS = frozenset(
    "open input print exec eval breakpoint globals "
    "datetime.now datetime.utcnow datetime.today date.today datetime.datetime.now datetime.datetime.utcnow "
    "datetime.datetime.today datetime.date.today np.load np.loadtxt np.save np.savetxt np.fromfile "
    "np.genfromtxt".split()
)
SEEDED = frozenset({"Generator", "PCG64", "SeedSequence", "BitGenerator"})  # these take a seed

HEAVY = (
    "numba",
    "scipy",
    "ortools",
    "pandas",
    "typst",
    "fastapi",
    "sqlalchemy",
    "jinja2",
    "numpy",
    "alembic",
)

# Beyond the layers: what a package may not import by name, wherever it stands.
STRANGERS = {
    "simulation": ("pairwright.learning", "pairwright.measure"),
    "audit": ("pairwright.plan", "pairwright.physics", "pairwright.process"),
    "plan": ("pairwright.audit",),
    "sample": ("pairwright.app", "pairwright.archive", "pairwright.plan", "pairwright.process"),
}


def impurities(module: Module) -> list[str]:
    found = [
        f"{module.at(node)} imports {name}"
        for name, node in imports(module)
        if name.split(".")[0] in IMPURE_MODULES or name == "pathlib.Path"  # PurePath touches no disk
    ]
    for call in calls(module.tree):
        name = dotted(call.func)
        if name in IMPURE_CALLS:
            found.append(f"{module.at(call)} calls {name}")
        if name.split(".")[:2] in (["np", "random"], ["numpy", "random"]):
            last = name.split(".")[-1]
            if last not in SEEDED | {"default_rng"} or not call.args:
                found.append(f"{module.at(call)} calls {name} without a seed or a generator")
    return found


def test_imports_go_one_way() -> None:
    answer = subprocess.run(
        [sys.executable, "-c", "from importlinter.cli import lint_imports; raise SystemExit(lint_imports())"],
        cwd=ROOT,
        capture_output=True,
        text=True,
    )

    assert answer.returncode == 0, answer.stdout + answer.stderr


@pytest.mark.parametrize("package", sorted(STRANGERS))
def test_strangers_stay_strangers(package: str) -> None:
    met = [
        f"{module.at(node)} imports {name}"
        for module in in_packages(frozenset({package}))
        for name, node in imports(module)
        if name.startswith(STRANGERS[package])
    ]

    assert met == []


@pytest.mark.parametrize("module", in_packages(PURE), ids=lambda m: m.name)
def test_the_core_has_no_clock_no_chance_no_file_no_network(module: Module) -> None:
    assert impurities(module) == []


@pytest.mark.parametrize(
    "source",
    [
        "import time",
        "from pathlib import Path",
        "import urllib.request",
        "x = open('a')",
        "from datetime import datetime\nx = datetime.now()",
        "import numpy as np\nx = np.random.rand(3)",
        "import numpy as np\nx = np.random.default_rng()",
    ],
)
def test_the_purity_rule_sees_what_it_should(source: str) -> None:
    module = Module("pairwright.plan.x", ROOT / "x.py", ast.parse(source), tuple(source.splitlines()))

    assert impurities(module) != []


def test_a_seeded_generator_is_pure() -> None:
    source = (
        "import numpy as np\nfrom pairwright.base.time import iso\n"
        "x = np.random.Generator(np.random.PCG64(7))"
    )
    module = Module("pairwright.plan.x", ROOT / "x.py", ast.parse(source), tuple(source.splitlines()))

    assert impurities(module) == []


@pytest.mark.parametrize("module", modules(), ids=lambda m: m.name)
def test_nothing_is_checked_by_assert_or_a_broad_except(module: Module) -> None:
    loose = [
        f"{module.at(node)} {type(node).__name__}"
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Assert)
        or (isinstance(node, ast.ExceptHandler) and module.package != "cli"
            and (node.type is None or dotted(node.type) in ("Exception", "BaseException"))
            and not (isinstance(node.body[-1], ast.Raise) and node.body[-1].exc is None))
    ]  # fmt: skip

    assert loose == []


def _loaded(*arguments: str) -> set[str]:
    """Top-level names of every module that this call of Python imports."""
    answer = subprocess.run(
        [sys.executable, "-X", "importtime", *arguments], capture_output=True, text=True, cwd=ROOT
    )
    assert answer.returncode == 0, answer.stderr[-2000:]
    names = (line.rpartition("|")[2].strip() for line in answer.stderr.splitlines() if "|" in line)
    return {name.split(".")[0] for name in names}


def test_the_import_log_is_read_rightly() -> None:
    assert {"json", "fractions"} <= _loaded("-c", "import json, fractions")


def test_help_imports_no_solver_and_no_kernel() -> None:
    command = Path(sys.executable).parent / "pairwright"

    assert _loaded(str(command), "--help") & set(HEAVY) == set()


def test_base_and_works_import_nothing_heavy() -> None:
    assert _loaded("-c", "import pairwright.base, pairwright.works") & set(HEAVY) == set()
