"""Whatever is scanned and pressed at a station is done, refused or told in five parts; never anything else."""

from __future__ import annotations

import itertools
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st

from pairwright.app.acting import ACTS
from pairwright.app.stationing import Act, Begun, Done, Refusal, act, scanned
from pairwright.base.errors import InputError
from tests.integration.played_floor import Morning, morning

THINGS = (
    "CAB-L", "CAB-R", "CAB2-L", "CAB2-R", "SH2-L", "BF2-L", "BF2-R", "CAB-OPEN", "CAB-CLR", "S-a", "S-b", "S-c",
    "S-join", "S-net", "S-bare", "S-cell", "S-held", "S-scrap", "S-g", "B1-1", "B1-9", "A1-1", "A1-2", "JG-1",
    "JG-OLD", "CS-1", "mic-1", "mic-2", "clamp-1", "clamp-2", "alder-sanding", "alder-sanding.E", "W-ink", "CX-ink",
    "hot-press", "P1", "P9", "A1", "X-1", "PW1:CAB-L:T0", "", "é", "a" * 90, "../x", "new-1",
)  # fmt: skip
VALUES: dict[str, st.SearchStrategy[Any]] = {
    "text": st.sampled_from(["scratched", "", "x" * 3000]),
    "reason": st.sampled_from(["dent", ""]),
    "characteristic": st.sampled_from(["level", "gloss.front", "so so"]),
    "value": st.one_of(st.floats(), st.text(max_size=3), st.booleans()),
    "zone": st.sampled_from(["front", "top", "nowhere"]),
    "defect": st.sampled_from(["run", "inclusion", "ghost"]),
    "size": st.one_of(st.floats(-1.0, 1.0), st.none()),
    "clear": st.booleans(),
    "to_step": st.sampled_from(["polish", "sand", "fly"]),
    "buffer": st.sampled_from(["conditioning", "rest-room", "attic"]),
    "quantity": st.floats(-1.0, 3.0),
    "set": st.sampled_from(["A1-2", "N-1"]),
    "event": st.sampled_from(["before-1", "none"]),
    "nonconformance": st.sampled_from(["N-1", "N 1"]),
    "authority": st.sampled_from(["P9", "P1"]),
    "person": st.just("P1"),
    "action": st.just("A-1"),
    "about": st.just("before-1"),
    "by": st.sampled_from(["2027-05-01", "soon"]),
}
DATA = st.sets(st.sampled_from(sorted(VALUES)), max_size=4).flatmap(
    lambda names: st.fixed_dictionaries({name: VALUES[name] for name in sorted(names)})
)
BEGUN = st.builds(
    Begun,
    st.sampled_from(["sorrel", "alder", "pine"]),
    st.sampled_from(["ink", "walnut", None]),
    st.sampled_from(["shell", "cabinet", "lid"]),
    st.sampled_from([None, "left", "a"]),
)
KEYS = itertools.count(1)


@pytest.fixture(scope="module")
def day(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Morning]:
    played = morning(Path(tmp_path_factory.mktemp("works")))
    yield played
    assert played.floor.record.verify().ok
    played.floor.close()


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture, HealthCheck.too_slow])
@given(
    name=st.sampled_from(sorted(ACTS)),
    scans=st.lists(st.sampled_from(THINGS), max_size=3),
    at=st.sampled_from(
        [None, None, "sanding-cell", "sanding-cell", "glue-bench", "oven", "inspection", "moon"]
    ),
    person=st.sampled_from(["P1", "P2", "P4", "P9", "P9", "nobody at all"]),
    step=st.sampled_from([None, "sand", "front", "fly"]),
    data=DATA,
    begun=st.one_of(st.none(), st.none(), st.none(), BEGUN),
    at_time=st.sampled_from([None, 0, 1_808_000_000]),
)
def test_an_act_is_done_or_refused_or_told(
    day: Morning, name: str, scans: list[str], at: str | None, person: str, step: str | None,
    data: dict[str, Any], begun: Begun | None, at_time: int | None,
) -> None:  # fmt: skip
    wanted = Act(name, f"any-{next(KEYS)}", person, at, tuple(scans), step, at_time, data, begun)
    head, told = day.head(), []

    answer: Done | Refusal | None
    try:
        answer = act(day.floor, wanted, now=day.now)
    except InputError as error:
        told = [(p.field, str(p.must_be), str(p.do)) for p in error.problems]
        answer = None
    event(type(answer).__name__)
    if answer is None:
        assert all(all(parts) for parts in told)
        assert day.head() == head
        return
    added = [entry.event for entry in day.floor.record.events(head + 1)]
    if isinstance(answer, Done):
        assert [one.key for one in added] == list(answer.events)
        assert "refused" not in {one.kind for one in added}
    else:
        assert isinstance(answer, Refusal)
        assert [one.kind for one in added] == ["refused"]
        assert str(answer.says)
    assert act(day.floor, wanted, now=day.now).replayed


@settings(suppress_health_check=[HealthCheck.function_scoped_fixture])
@given(code=st.one_of(st.sampled_from(THINGS), st.text(max_size=60)))
def test_whatever_is_scanned_is_known_or_told(day: Morning, code: str) -> None:
    found = scanned(day.floor, code, now=day.now)

    assert str(found.says)
    assert found.address.startswith("/")
