"""A hold reaches everything that is made of what it is on, and nothing else."""

from __future__ import annotations

import pytest

from pairwright.floor import holds_on, reached_by
from tests.unit.floor.events import DOSSIER, Floor


@pytest.fixture
def floor() -> Floor:
    """A glue lot in two shells, one of them in a pair; a drive unit with a lot of its own."""
    floor = Floor()
    floor.do("received", "lot GLUE", quantity=5.0, unit="kg")
    floor.do("received", "lot WIRE", quantity=5.0, unit="kg")
    for half in ("A", "C"):
        floor.do("finished", f"item {half}", step="press", inputs=[{"lot": "GLUE", "quantity": 0.5}])
    floor.do("finished", "item B", step="press")
    floor.do("finished", "item D-1", step="wind", inputs=[{"lot": "WIRE", "quantity": 0.1}])
    floor.do("mounted", "item D-1", into="B")
    floor.do("mated", "set S1", left="A", right="B")
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    return floor


def on(floor: Floor, name: str) -> list[str]:
    return [reach.on for reach in holds_on(floor.state, name)]


def test_a_hold_on_a_lot_reaches_items_and_sets(floor: Floor) -> None:
    floor.do("held", "lot GLUE", reason="viscosity")

    assert [name for name in ("A", "B", "C", "D-1", "S1") if on(floor, name)] == ["A", "C", "S1"]
    assert list(reached_by(floor.state, "GLUE")) == ["A", "C", "S1"]
    assert holds_on(floor.state, "S1")[0].way == ("A", "GLUE")


def test_what_is_held_is_not_worked_on_nor_used_nor_released(floor: Floor) -> None:
    floor.do("held", "lot GLUE", reason="viscosity")

    assert floor.codes("started", "item A", step="sand") == ["under_hold"]
    assert floor.codes("started", "item E", step="press", inputs=["GLUE"]) == ["under_hold"]
    assert floor.codes("mounted", "item D-2", into="A") == ["under_hold"]
    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["under_hold"]
    assert floor.codes("started", "item B", step="sand") == []


def test_what_was_begun_may_end_and_be_looked_at(floor: Floor) -> None:
    floor.do("started", "item A", step="sand")
    floor.do("held", "item A", reason="check")

    floor.do("finished", "item A", step="sand")
    floor.do("inspected", "item A", clear=True)
    floor.do("measured", "item A", characteristic="gloss", value=86.0)


def test_a_mounted_part_passes_its_hold_on_only_while_it_is_in(floor: Floor) -> None:
    floor.do("held", "lot WIRE", reason="soldering")
    assert on(floor, "S1") == ["WIRE"]

    floor.do("removed", "item D-1", into="B")

    assert on(floor, "S1") == []
    assert on(floor, "D-1") == ["WIRE"]


def test_a_descendant_can_be_freed_from_one_hold_alone(floor: Floor) -> None:
    first = floor.do("held", "lot GLUE", reason="viscosity")
    second = floor.do("held", "lot GLUE", reason="colour")
    floor.do("freed", "item A", hold=first, reason="bond tested")

    assert [reach.hold.key for reach in holds_on(floor.state, "S1")] == [second]
    assert [reach.hold.key for reach in holds_on(floor.state, "C")] == [first, second]
    assert floor.codes("freed", "item B", hold=first, reason="x") == ["nothing_held"]


def test_freeing_the_lot_frees_all(floor: Floor) -> None:
    floor.do("held", "lot GLUE", reason="viscosity")

    floor.do("freed", "lot GLUE", reason="measured again")

    assert on(floor, "S1") == []
    assert floor.codes("freed", "lot GLUE", reason="x") == ["nothing_held"]


def test_pieces_carry_the_hold_of_the_lot_they_came_with(floor: Floor) -> None:
    floor.do("received", "lot BASKETS", serials=["D-7"])
    floor.do("mounted", "item D-7", into="A")

    floor.do("held", "lot BASKETS", reason="a crack in another one")

    assert on(floor, "S1") == ["BASKETS"]


def test_a_disposition_of_hold_ends_with_the_decision(floor: Floor) -> None:
    trouble = floor.do("reported", "item A", text="a dent")
    floor.do("disposed", "item A", nonconformance=trouble, disposition="hold", authority="P9")
    assert on(floor, "S1") == ["A"]

    floor.do(
        "disposed",
        "item A",
        nonconformance=trouble,
        disposition="concession",
        authority="P9",
        reason="hidden",
    )

    assert on(floor, "S1") == []
