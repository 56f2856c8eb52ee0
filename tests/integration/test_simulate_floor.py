"""A played floor leaves a record that holds: marked, its pairs never separated, its stock never below nothing."""

from __future__ import annotations

import json
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest

from pairwright import sample
from pairwright.app.opened import open_definition
from pairwright.app.recording import WORKS, open_floor
from pairwright.archive import write_folder
from pairwright.cli.main import status_of
from pairwright.floor import Event, State, fold
from pairwright.floor.things import Item, Lot, Set
from pairwright.simulation.play import Played, play, simulate_floor, stage

START = date(2027, 3, 1)


def works(folder: Path, pairs: int = 3) -> Path:
    write_folder(folder, sample.layout(pairs=pairs, start=START, seed=1))
    return folder


@dataclass(frozen=True)
class Seen:
    """A played works with its events."""

    folder: Path
    played: Played
    events: tuple[Event, ...]


@pytest.fixture(scope="module")
def seen(tmp_path_factory: pytest.TempPathFactory) -> Seen:
    folder = works(tmp_path_factory.mktemp("played") / "works")
    played, _ = simulate_floor(folder, days=75, seed=5)
    with open_floor(folder, readonly=True) as floor:
        return Seen(folder, played, tuple(entry.event for entry in floor.record.events()))


def test_the_record_verifies(seen: Seen) -> None:
    with open_floor(seen.folder, readonly=True) as floor:
        verdict = floor.record.verify(expected=seen.played.head)

    assert verdict.ok
    assert verdict.events == seen.played.events == len(seen.events)


def test_nothing_was_refused_but_what_was_meant_to_be(seen: Seen) -> None:
    refused = [event for event in seen.events if event.kind == "refused"]

    assert seen.played.surprises == ()
    assert refused
    assert len(refused) == sum(count for _, count in seen.played.refused)


def test_everything_played_is_marked_and_only_ids_act(seen: Seen) -> None:
    played = [event for event in seen.events if event.actor != WORKS]

    assert len(played) > 3000
    assert all(event.simulated and event.actor.startswith("sim-") for event in played)


def test_what_happens_on_a_floor_is_all_there(seen: Seen) -> None:
    kinds = {event.kind for event in seen.events}

    assert kinds >= {
        "registered", "started", "finished", "measured", "inspected", "mated", "mounted", "moved", "reported",
        "disposed", "held", "freed", "received", "purchased", "ordered", "logged", "calibrated", "qualified",
        "released", "shipped", "noted", "refused", "counted", "corrected",
    }  # fmt: skip
    assert {e.data["disposition"] for e in seen.events if e.kind == "disposed"} >= {"rework", "scrap"}


def test_a_released_pair_holds_the_halves_that_it_was_measured_with(seen: Seen) -> None:
    """R9 over the whole record: at every release and shipment, by a fold of its own."""
    state, left = State(), 0
    for event in seen.events:
        if event.kind in ("released", "shipped"):
            one = state.set(str(event.subject))
            assert isinstance(one, Set)
            halves = one.pair.halves if one.pair is not None else one.members
            assert len(halves) == (2 if one.pair is not None else 1)
            if event.kind == "shipped":
                assert one.release is not None
                assert one.release.halves == halves
            for name in halves:
                half = state.item(name)
                assert isinstance(half, Item)
                assert not half.scrapped
                assert max(half.measured, one.measured) > max(half.changed, one.changed)
                if one.pair is not None:
                    assert half.pair is not None
                    assert half.pair.other(name) in halves
            left += 1
        fold(state, event)
        live = [t for t in touched_items(event, state) if t.pair is not None and not t.scrapped]
        assert all(
            isinstance(state.item(item.pair.other(item.id)), Item) for item in live if item.pair is not None
        )

    assert left >= 4


def touched_items(event: Event, state: State) -> list[Item]:
    item = state.item(event.subject) if event.subject is not None else None
    return [] if item is None else [item]


def test_stock_is_never_below_nothing(seen: Seen) -> None:
    state = State()
    for event in seen.events:
        fold(state, event)
        for one in event.data.get("inputs", ()):
            lot = state.lot(one["lot"]) if "lot" in one else None
            assert lot is None or lot.rest >= 0
    assert all(lot.rest >= 0 for lot in state.things() if isinstance(lot, Lot))


def test_both_clocks_run_forward_and_every_event_keeps_its_moment(seen: Seen) -> None:
    with open_floor(seen.folder, readonly=True) as floor:
        entries = [e for e in floor.record.events() if e.event.actor != WORKS]

    assert all(entry.record_time == entry.event.event_time for entry in entries)
    times = [entry.event.event_time for entry in entries]
    assert times == sorted(times)


def test_early_pairs_go_from_leaf_to_shell_to_cabinet(seen: Seen) -> None:
    state = State()
    for event in seen.events:
        fold(state, event)
    early = [
        one for one in state.things()
        if isinstance(one, Set) and one.product == "alder" and one.option != "painted" and one.release is not None
    ]  # fmt: skip
    for one in early:
        assert one.pair is not None
        for half in one.pair.halves:
            cabinet = state.item(half)
            assert cabinet is not None
            shell = next(state.item(i.id) for i in cabinet.inputs if i.kind == "item" and ".shell" in i.id)
            assert shell is not None
            leaf = next(state.item(i.id) for i in shell.inputs if i.kind == "item" and ".leaf." in i.id)
            assert leaf is not None
            assert leaf.side == cabinet.side
    assert early


def test_the_same_seed_plays_the_same_record_one_by_one_or_together(tmp_path: Path) -> None:
    first, second, other = (works(tmp_path / name, pairs=2) for name in ("a", "b", "c"))
    staged = stage(open_definition(first), days=3, seed=3)

    together = play(first, staged)
    one_by_one = play(second, stage(open_definition(second), days=3, seed=3), one_by_one=True)
    another, _ = simulate_floor(other, days=3, seed=4)

    assert together.surprises == one_by_one.surprises == ()
    assert together.head == one_by_one.head
    assert another.head != together.head


def test_the_command_tells_what_was_played_and_writes_the_truth(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    folder, truth = works(tmp_path / "w", pairs=2), tmp_path / "truth.json"

    arguments = ["simulate-floor", str(folder), "--days", "4", "--seed", "2", "--quiet", "--json"]
    assert status_of([*arguments, "--truth", str(truth)]) == 0
    told = json.loads(capsys.readouterr().out)
    assert told["simulated"] is True
    assert told["surprises"] == []
    assert json.loads(truth.read_text("utf-8"))["simulated"] is True

    assert status_of(arguments) == 1
    assert "has a record" in capsys.readouterr().err
    assert status_of([*arguments[:1], str(tmp_path / "nowhere"), "--truth", str(truth)]) == 2
