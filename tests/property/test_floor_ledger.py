"""The record against plain dictionaries: keys, all or nothing, exact lots, state from events alone."""

from __future__ import annotations

import os
import tempfile
from decimal import Decimal
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule, run_state_machine_as_test

from pairwright.archive.record import Record, open_record
from pairwright.archive.writer import EventsRefusedError
from pairwright.floor import Event, canonical
from tests.unit.floor.events import Floor, event

keys = st.integers(0, 25).map("key-{}".format)
texts = st.sampled_from(("a scratch", "a dent", "dust"))


class Posting(RuleBasedStateMachine):
    """Posting, posting again, posting something else under an old key, and closing in between."""

    def __init__(self) -> None:
        super().__init__()
        self.folder = tempfile.TemporaryDirectory()
        self.record: Record = open_record(Path(self.folder.name))
        self.record.append([event("registered", "item C-1", key="first")])
        self.bodies = {"first": canonical(event("registered", "item C-1", key="first"))}
        self.order = ["first"]
        self.answers = {"first": (1, self.record.head().hash)}

    def post(self, events: list[Event]) -> None:
        """Post and compare with what must come of it."""
        tried = dict(self.bodies)
        conflict = False
        for one in events:
            body = canonical(one)
            conflict = conflict or tried.setdefault(one.key, body) != body
        unknown = any(one.subject == "C-9" for one in events if one.key not in self.bodies)
        try:
            answers = self.record.append(events)
        except EventsRefusedError:
            assert conflict or unknown
            return
        assert not conflict
        assert not unknown
        for one, answer in zip(events, answers, strict=True):
            if one.key not in self.bodies:
                self.bodies[one.key] = canonical(one)
                self.order.append(one.key)
                self.answers[one.key] = (answer.sequence, answer.hash)
            assert (answer.sequence, answer.hash) == self.answers[one.key]

    @rule(key=keys, text=texts)
    def post_one(self, key: str, text: str) -> None:
        self.post([event("noted", "item C-1", key=key, text=text)])

    @rule(some=st.lists(st.tuples(keys, texts), min_size=2, max_size=5), spoilt=st.booleans())
    def post_several(self, some: list[tuple[str, str]], spoilt: bool) -> None:
        events = [event("noted", "item C-1", key=key, text=text) for key, text in some]
        if spoilt:
            events.append(event("noted", "item C-9", key=f"spoilt-{len(self.order)}", text="nobody knows it"))
        self.post(events)

    @rule()
    def close_and_open(self) -> None:
        self.record.close()
        self.record = open_record(Path(self.folder.name))

    @invariant()
    def the_record_is_what_was_acknowledged(self) -> None:
        found = [(entry.sequence, entry.event.key) for entry in self.record.events()]

        assert found == list(enumerate(self.order, 1))
        assert self.record.head().sequence == len(self.order)

    def teardown(self) -> None:
        verdict = self.record.verify()
        self.record.close()
        self.folder.cleanup()
        assert verdict.ok, verdict.problems


def test_repeats_are_harmless_and_requests_are_whole() -> None:
    run_state_machine_as_test(
        Posting,
        settings=settings(
            max_examples=15, stateful_step_count=25, deadline=None, derandomize=bool(os.environ.get("CI")),
            database=None, suppress_health_check=list(HealthCheck), report_multiple_bugs=False,
        ),
    )  # fmt: skip


amounts = st.decimals("0.001", "5", places=3).map(float)
moves = st.lists(
    st.tuples(st.sampled_from(("received", "used", "counted", "scrapped")), amounts), max_size=40
)


@given(moves=moves)
def test_a_lot_never_goes_below_nothing_and_its_account_is_exact(moves: list[tuple[str, float]]) -> None:
    floor, rest, came = Floor(), Decimal(0), Decimal(0)
    floor.do("received", "lot L", quantity=1.0, unit="kg")
    rest = came = Decimal(1)
    out = Decimal(0)
    for n, (move, amount) in enumerate(moves):
        exact = Decimal(repr(amount))
        if move == "received":
            floor.do("received", "lot L", quantity=amount, unit="kg")
            rest, came = rest + exact, came + exact
        elif move == "counted":
            floor.do("counted", "lot L", quantity=amount, unit="kg", reason="stocktaking")
            out, rest = out + rest - exact, exact
        else:
            if move == "used":
                data = {"step": f"s{n}", "inputs": [{"lot": "L", "quantity": amount * 1000, "unit": "g"}]}
                exact = Decimal(repr(amount * 1000)) / 1000
                codes = floor.codes("finished", "item C", **data)
            else:
                data = {
                    "nonconformance": f"N{n}",
                    "disposition": "scrap",
                    "quantity": amount,
                    "authority": "P9",
                }
                codes = floor.codes("disposed", "lot L", **data)
            assert codes == ([] if exact <= rest else ["lot_used_up"])
            if not codes:
                kind, subject = ("finished", "item C") if move == "used" else ("disposed", "lot L")
                floor.do(kind, subject, **data)
                rest, out = rest - exact, out + exact
        lot = floor.state.lot("L")
        assert lot is not None
        assert lot.rest == rest >= 0
        assert came == out + rest
