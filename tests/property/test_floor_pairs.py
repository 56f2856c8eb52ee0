"""Pairs as a state machine: whatever people try, a released pair holds the halves it was measured with.

The model is plain dictionaries made anew from the list of what was accepted. It knows nothing of the
floor: it only says what is physically true, and what may never be.
"""

from __future__ import annotations

import os
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import ClassVar

import pytest
from hypothesis import HealthCheck, Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
    run_state_machine_as_test,
)

from pairwright.base.findings import Finding
from pairwright.floor import Entry, State, Thing, accept, weigh
from pairwright.floor.effective import record_of
from pairwright.floor.weighing import _correction as correction
from tests.unit.floor.events import DOSSIER, event

HALVES = tuple("ABCDEF")
PARTS = ("U1", "U2", "U3")
SETS = ("S1", "S2", "S3")
halves = st.sampled_from(HALVES)
parts = st.sampled_from(PARTS)
sets = st.sampled_from(SETS)
CHANGING = ("mated", "unmated", "mounted", "removed", "disposed")


@dataclass
class Act:
    """One accepted event, as the model keeps it."""

    key: str
    kind: str
    subject: str
    data: dict[str, str]


@dataclass
class Truth:
    """What is so after a list of acts."""

    pair: dict[str, tuple[str, str]] = field(default_factory=dict)
    had_pair: set[str] = field(default_factory=set)
    into: dict[str, str] = field(default_factory=dict)
    scrapped: set[str] = field(default_factory=set)
    touched: dict[str, int] = field(default_factory=dict)  # half or set -> when tests became due
    measured: dict[str, int] = field(default_factory=dict)
    rework: set[str] = field(default_factory=set)
    held: dict[str, int] = field(default_factory=dict)
    released: dict[str, tuple[str, str]] = field(default_factory=dict)
    shipped: set[str] = field(default_factory=set)

    def mates(self) -> list[str]:
        return [half for pair in self.pair.values() for half in pair]

    def due(self, half: str) -> int:
        inside = [part for part, holder in self.into.items() if holder == half]
        return max(self.touched.get(name, 0) for name in (half, *inside))

    def fit_to_leave(self, one: str) -> bool:
        pair = self.pair.get(one)
        if pair is None or one in self.released or self.held.get(one, 0):
            return False
        inside = [part for part, holder in self.into.items() if holder in pair]
        for name in (*pair, *inside):
            if name in self.scrapped or name in self.rework or self.held.get(name, 0):
                return False
        since = self.touched.get(one, 0)
        return all(
            max(self.measured.get(half, 0), self.measured.get(one, 0)) > max(self.due(half), since)
            for half in pair
        )


def truth_of(acts: list[Act]) -> Truth:
    """Play the acts that were not taken back; a withdrawn change makes tests due once more."""
    void: dict[str, str] = {}
    for act in reversed(acts):
        if act.kind == "corrected" and act.key not in void:
            void[act.subject] = act.key
    root = {act.key: act for act in acts}
    found = Truth()
    for now, act in enumerate(acts, 1):
        if act.kind == "corrected":
            target = root[act.subject]
            while target.kind == "corrected":
                target = root[target.subject]
            if target.kind in CHANGING:
                for name in (target.subject, *target.data.values()):
                    found.touched[name] = now
        elif act.key not in void:
            play(found, act, now)
    return found


def play(found: Truth, act: Act, now: int) -> None:
    if act.kind in ("mated", "unmated", "mounted", "removed", "disposed"):
        put_together(found, act, now)
        return
    name = act.subject
    if act.kind == "finished":
        found.rework.discard(name)
    elif act.kind == "measured":
        found.measured[name] = now
    elif act.kind == "held":
        found.held[name] = found.held.get(name, 0) + 1
    elif act.kind == "freed":
        found.held[name] = 0
    elif act.kind == "released":
        found.released[name] = found.pair[name]
    elif act.kind == "shipped":
        found.shipped.add(name)


def put_together(found: Truth, act: Act, now: int) -> None:
    name, data = act.subject, act.data
    if act.kind == "mated":
        found.pair[name] = (data["left"], data["right"])
        found.had_pair |= {name, data["left"], data["right"]}
        for one in (name, *found.pair[name]):
            found.touched[one] = now
    elif act.kind == "unmated":
        for one in (name, *found.pair.pop(name, ())):
            found.touched[one] = now
    elif act.kind == "mounted":
        found.into[name] = data["into"]
        found.touched[data["into"]] = now
    elif act.kind == "removed":
        found.into.pop(name, None)
        found.touched[data["into"]] = now
    elif data["disposition"] == "scrap":
        found.scrapped.add(name)
    else:
        found.rework.add(name)
        found.touched[name] = now


class Pairs(RuleBasedStateMachine):
    """Acts in any order; the floor says yes or no, the model checks what it said."""

    counts: ClassVar[Counter[str]] = Counter()

    def __init__(self) -> None:
        super().__init__()
        self.state = State()
        self.acts: list[Act] = []
        self.truth = Truth()
        self.left: dict[str, tuple[str, str]] = {}
        for name in (*HALVES, *PARTS):
            self.attempt("registered", f"item {name}")
        for name in PARTS[:2]:
            self.attempt("mounted", f"item {name}", into=HALVES[PARTS.index(name)])

    def attempt(self, kind: str, subject: str | None, **data: str) -> bool:
        one = event(kind, subject, **data)
        outcome = weigh(self.state, one)
        if outcome.findings:
            self.counts[f"{kind} refused"] += 1
            return False
        self.counts[kind] += 1
        accept(self.state, outcome)
        name = data["event"] if kind == "corrected" else str(one.subject)
        told = {k: v for k, v in data.items() if k in ("left", "right", "into", "disposition")}
        self.acts.append(Act(one.key, kind, name, told))
        self.truth = truth_of(self.acts)
        return True

    def frozen(self, name: str) -> bool:
        """Whether a thing is in a set that has been released."""
        holder = self.truth.into.get(name, name)
        return any(name == one or holder in pair for one, pair in self.truth.released.items())

    @rule(one=sets, left=halves, right=halves, reason=st.booleans())
    def mate(self, one: str, left: str, right: str, reason: bool) -> None:
        if left == right:
            return
        now = self.truth
        names = {one, left, right}
        free = (
            not names & set(now.mates())
            and one not in now.pair
            and not names & now.scrapped
            and not any(now.held.get(name, 0) for name in names)
            and not any(now.held.get(part, 0) for part, holder in now.into.items() if holder in names)
            and not any(self.frozen(name) for name in names)
            and (reason or not names & now.had_pair)
        )
        sure = not any(act.kind == "corrected" for act in self.acts)

        done = self.attempt(
            "mated", f"set {one}", left=left, right=right, **({"reason": "as matched"} if reason else {})
        )

        assert free or not done
        if sure:
            assert done == free or (free and self._sided(left, right))

    def _sided(self, left: str, right: str) -> bool:
        """A half that once was left stays left."""
        sides = [(self.state.item(left), "left"), (self.state.item(right), "right")]
        return any(item is not None and item.side not in (None, side) for item, side in sides)

    @rule(one=sets, left=halves, right=halves)
    def take_apart_anything(self, one: str, left: str, right: str) -> None:
        if left == right:
            return
        fits = set(self.truth.pair.get(one, ())) == {left, right} and one not in self.truth.released

        assert self.attempt("unmated", f"set {one}", left=left, right=right, reason="asked for") == fits

    @precondition(lambda self: self.truth.pair)
    @rule(data=st.data())
    def take_apart(self, data: st.DataObject) -> None:
        one = data.draw(st.sampled_from(sorted(self.truth.pair)))
        left, right = self.truth.pair[one]

        done = self.attempt("unmated", f"set {one}", left=left, right=right, reason="asked for")

        assert done == (one not in self.truth.released)

    @rule(part=parts, half=halves)
    def mount(self, part: str, half: str) -> None:
        now = self.truth
        free = part not in now.into and not self.frozen(part) and not self.frozen(half)

        done = self.attempt("mounted", f"item {part}", into=half)

        assert free or not done

    @rule(part=parts, half=halves)
    def remove(self, part: str, half: str) -> None:
        fits = self.truth.into.get(part) == half and not self.frozen(half)

        assert self.attempt("removed", f"item {part}", into=half) == fits

    @rule(name=st.sampled_from((*HALVES, *PARTS)))
    def scrap(self, name: str) -> None:
        fits = name not in self.truth.scrapped and not self.frozen(name)

        done = self.attempt(
            "disposed",
            f"item {name}",
            nonconformance=f"N-{len(self.acts)}",
            disposition="scrap",
            authority="P9",
        )

        assert done == fits

    @rule(name=halves)
    def rework(self, name: str) -> None:
        fits = name not in self.truth.scrapped and not self.frozen(name)

        done = self.attempt(
            "disposed", f"item {name}", nonconformance=f"N-{len(self.acts)}", disposition="rework", to_step="polish",
            authority="P9",
        )  # fmt: skip

        assert done == fits

    @rule(name=halves)
    def polish(self, name: str) -> None:
        self.attempt("finished", f"item {name}", step="polish")

    @rule(name=st.one_of(halves, sets))
    def measure(self, name: str) -> None:
        kind = "set" if name in SETS else "item"
        done = self.attempt("measured", f"{kind} {name}", characteristic="level", value=86.0)  # type: ignore[arg-type]

        assert not (done and self.frozen(name))

    @rule(name=st.one_of(halves, parts))
    def hold(self, name: str) -> None:
        assert self.attempt("held", f"item {name}", reason="a doubt")

    @rule(name=st.one_of(halves, parts))
    def free(self, name: str) -> None:
        held = self.truth.held.get(name, 0) > 0

        assert self.attempt("freed", f"item {name}", reason="looked at") == held

    @rule(one=sets)
    def release(self, one: str) -> None:
        fit = self.truth.fit_to_leave(one)
        sure = not any(act.kind == "corrected" for act in self.acts)

        done = self.attempt("released", f"set {one}", dossier=DOSSIER)

        assert fit or not done
        assert done or not (fit and sure)

    @rule(data=st.data())
    def mate_what_is_free(self, data: st.DataObject) -> None:
        free = [half for half in HALVES if half not in {*self.truth.mates(), *self.truth.scrapped}]
        empty = [one for one in SETS if one not in self.truth.pair]
        if len(free) < 2 or not empty:
            return
        left = data.draw(st.sampled_from(free))
        right = data.draw(st.sampled_from([half for half in free if half != left]))
        self.mate(data.draw(st.sampled_from(empty)), left, right, True)

    @precondition(lambda self: self.truth.pair)
    @rule(data=st.data())
    def bring_to_release(self, data: st.DataObject) -> None:
        """What a works wants to happen, so that releases are not rare."""
        one = data.draw(st.sampled_from(sorted(self.truth.pair)))
        for half in self.truth.pair[one]:
            if half in self.truth.rework:
                self.polish(half)
            inside = [part for part, holder in self.truth.into.items() if holder == half]
            for name in (half, *inside):
                if self.truth.held.get(name, 0):
                    self.free(name)
        self.measure(one)
        self.release(one)

    @rule(one=sets)
    def ship(self, one: str) -> None:
        now = self.truth
        pair = now.released.get(one, ())
        inside = [part for part, holder in now.into.items() if holder in pair]
        stopped = any(now.held.get(name, 0) for name in (*pair, *inside, one))
        fits = one in now.released and one not in now.shipped and not stopped

        assert self.attempt("shipped", f"set {one}") == fits

    @precondition(lambda self: self.acts)
    @rule(data=st.data(), back=st.integers(0, 12))
    def take_back(self, data: st.DataObject, back: int) -> None:
        """Undo something by a correction: mostly something recent."""
        act = self.acts[max(0, len(self.acts) - 1 - back)]
        if act.kind == "registered":
            return
        self.attempt("corrected", None, event=act.key, reason="did_not_occur")

    @invariant()
    def no_item_is_in_two_live_pairs(self) -> None:
        seen: list[str] = []
        for one in SETS:
            found = self.state.set(one)
            if found is not None and found.pair is not None:
                seen += found.pair.halves
                assert found.pair.halves == self.truth.pair.get(one)
                for half in found.pair.halves:
                    item = self.state.item(half)
                    assert item is not None
                    assert item.pair is not None
                    assert item.pair.set == one
        assert len(seen) == len(set(seen))

    @invariant()
    def a_released_pair_holds_what_it_was_measured_with(self) -> None:
        now = self.truth
        for one, pair in now.released.items():
            assert now.pair[one] == pair
            found = self.state.set(one)
            assert found is not None
            assert found.release is not None
            assert found.release.halves == pair
            for half in pair:
                assert half not in now.scrapped
                assert max(now.measured.get(half, 0), now.measured.get(one, 0)) > now.due(half)
        for one in now.shipped:
            self.left.setdefault(one, now.released[one])
            assert self.left[one] == now.released[one]
        self.left = {one: pair for one, pair in self.left.items() if one in now.shipped}

    def teardown(self) -> None:
        """One event at a time or all anew: the same state."""
        for thing in self.state.things():
            assert record_of(self.state.past, thing.id)[0] == thing


def run(examples: int, steps: int, phases: Sequence[Phase] = tuple(Phase)) -> None:
    run_state_machine_as_test(
        Pairs,
        settings=settings(
            max_examples=examples, stateful_step_count=steps, deadline=None, derandomize=bool(os.environ.get("CI")),
            database=None, phases=phases, suppress_health_check=list(HealthCheck), report_multiple_bugs=False,
        ),
    )  # fmt: skip


def test_pairs_are_inseparable() -> None:
    Pairs.counts.clear()

    run(300, 60)

    assert Pairs.counts["released"] > 30
    assert Pairs.counts["released refused"] > 100
    assert Pairs.counts["shipped"] > 5
    assert Pairs.counts["corrected"] > 100


@pytest.mark.slow
@pytest.mark.parametrize(
    ("module", "rule_name", "broken"),
    [
        ("leaving", "_unmeasured", lambda state, one, halves: []),
        ("leaving", "_unfinished", lambda thing: iter(())),
        ("weighing", "release_around", lambda state, name: None),
        ("weighing", "_stopped", lambda state, touch: []),
        ("weighing", "_needed", None),
    ],
)
def test_the_machine_notices_when_a_rule_is_gone(
    module: str, rule_name: str, broken: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    if broken is None:  # corrections that pull the ground from under later events are let through
        monkeypatch.setattr("pairwright.floor.weighing._correction", let_through)
    else:
        monkeypatch.setattr(f"pairwright.floor.{module}.{rule_name}", broken)

    with pytest.raises((AssertionError, KeyError)):
        run(1500, 60, phases=[Phase.generate])


def let_through(state: State, entry: Entry, things: dict[str, Thing | None]) -> list[Finding]:
    """A correction that is never refused for what stands on the event."""
    found = correction(state, entry, things)
    return [finding for finding in found if finding.code != "later_event_needs"]


@pytest.mark.slow
def test_pairs_are_inseparable_in_the_long_run() -> None:
    run(20_000, 60)
