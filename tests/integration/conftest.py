"""The sample works, laid out small, planned once for all tests of this folder."""

from __future__ import annotations

from datetime import date

import pytest

from pairwright import sample
from pairwright.app.opened import Opened, open_texts
from pairwright.app.planning import PlanResult, plan_works


@pytest.fixture(scope="session")
def opened() -> Opened:
    return open_texts(sample.layout(pairs=8, start=date(2027, 3, 1), seed=1), "sample")


@pytest.fixture(scope="session")
def planned(opened: Opened) -> PlanResult:
    return plan_works(opened, actor="test", now=opened.now(), effort=3)
