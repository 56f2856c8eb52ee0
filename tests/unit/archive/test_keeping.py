"""Lots, orders and tools are kept whole and come back as they were."""

from __future__ import annotations

from pathlib import Path

from pairwright.archive.keeping import kept_text, kept_thing
from pairwright.archive.record import open_record
from pairwright.floor import State
from pairwright.floor.effective import record_of
from tests.unit.floor.events import Floor, event


def busy_floor() -> Floor:
    floor = Floor()
    floor.do("received", "lot L-1", quantity=0.3, unit="kg", material="press-resin", expiry="2027-09-01",
             values={"viscosity": 24.5, "colour": "amber"}, serials=["D-1", "D-2"])  # fmt: skip
    floor.do(
        "finished", "item A", step="press", inputs=[{"lot": "L-1", "quantity": 100, "unit": "g"}], batch="B-1"
    )
    floor.do("measured", "lot L-1", characteristic="viscosity", value=24.5, instrument="V1")
    floor.do("calibrated", None, instrument="V1", good=True, until="2027-09-01")
    hold = floor.do("held", "lot L-1", reason="check")
    floor.do("freed", "lot L-1", hold=hold, reason="fine")
    floor.do("held", "lot L-1", reason="check again")
    floor.do("reported", "lot L-1", text="lumps")
    floor.do("ordered", None, order="2211", product="alder", quantity=2, due="2027-04-09")
    floor.do("assigned", None, action="A-1", person="P2", text="clean the spreader", by="2027-03-05")
    return floor


def test_what_is_kept_comes_back_equal() -> None:
    kept = {thing.id: kept_text(thing) for thing in busy_floor().state.things()}

    assert [name for name, body in kept.items() if body is None] == ["A", "D-1", "D-2"]
    for thing in busy_floor().state.things():
        body = kept_text(thing)
        if body is not None:
            assert kept_thing(body) == thing


def test_the_record_gives_the_same_things_as_memory(tmp_path: Path) -> None:
    floor = busy_floor()
    with open_record(tmp_path) as record:
        record.append([entry.event for entry, _ in floor.state.past.pending()])
        with record.reading() as reading:
            state: State = reading.state()
            for thing in floor.state.things():
                assert state.thing(thing.id) == thing
                assert record_of(state.past, thing.id)[0] == thing
            assert state.next == floor.state.next


def test_a_correction_reaches_what_is_kept(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        record.append([event("received", "lot L-1", quantity=1.0, unit="kg", key="r")])
        record.append([event("corrected", None, event="r", reason="incorrect_data",
                             replacement={"data": {"quantity": 2.0}})])  # fmt: skip
        with record.reading() as reading:
            lot = reading.state().lot("L-1")
            assert lot is not None
            assert str(lot.rest) == "2"
        assert record.verify().ok
