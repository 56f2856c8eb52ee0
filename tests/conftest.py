"""What all tests share: the root, the reference texts, skips that may fail, hypothesis profiles."""

from __future__ import annotations

import os
from collections.abc import Generator
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings

ROOT = Path(__file__).resolve().parent.parent
SHARED = ROOT.parent / "shared"
ALLOWED_SKIP = "no ../shared"

settings.register_profile(
    "quick",
    max_examples=40,
    deadline=None,
    suppress_health_check=[HealthCheck.too_slow],
)
settings.register_profile(
    "ci",
    parent=settings.get_profile("quick"),
    derandomize=True,
    database=None,
    print_blob=True,
)
settings.register_profile("long", max_examples=1000, deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE") or ("ci" if os.environ.get("CI") else "quick"))


class NoSkips:
    """With PAIRWRIGHT_NO_SKIPS=1 a skip is a failure, unless its reason is an allowed one."""

    @staticmethod
    def judge(report: pytest.TestReport | pytest.CollectReport) -> None:
        if not report.skipped or hasattr(report, "wasxfail"):
            return
        reason = str(report.longrepr[2] if isinstance(report.longrepr, tuple) else report.longrepr)
        if reason.removeprefix("Skipped: ").startswith(ALLOWED_SKIP):
            return
        report.outcome = "failed"
        report.longrepr = f"skipped, and PAIRWRIGHT_NO_SKIPS is set: {reason}"

    @pytest.hookimpl(wrapper=True)
    def pytest_runtest_makereport(self) -> Generator[None, pytest.TestReport, pytest.TestReport]:
        report = yield
        self.judge(report)
        return report

    @pytest.hookimpl(wrapper=True)
    def pytest_make_collect_report(self) -> Generator[None, pytest.CollectReport, pytest.CollectReport]:
        report = yield
        self.judge(report)
        return report


def pytest_addoption(parser: pytest.Parser) -> None:
    parser.addoption(
        "--update", action="store_true", help="write tests/golden files anew instead of comparing with them"
    )


def pytest_configure(config: pytest.Config) -> None:
    if os.environ.get("PAIRWRIGHT_NO_SKIPS") == "1":
        config.pluginmanager.register(NoSkips(), "pairwright-no-skips")


@pytest.fixture(scope="session")
def root() -> Path:
    """The folder of the project."""
    return ROOT


@pytest.fixture(scope="session")
def shared() -> Path:
    """The folder of reference texts beside the project, where there is one."""
    if not SHARED.is_dir():
        pytest.skip(f"{ALLOWED_SKIP} beside the project: the published reference tables are not at hand")
    return SHARED
