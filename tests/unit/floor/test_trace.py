"""What a thing is made of and where it went, both ways, as scripts read it."""

from __future__ import annotations

import json

from pairwright.floor import document, made_of, trace, where_used
from tests.unit.floor.events import Floor


def works() -> Floor:
    floor = Floor()
    floor.do("received", "lot GLUE", quantity=5.0, unit="kg", material="press-resin")
    floor.do("received", "lot BASKETS", serials=["D-1"], material="basket-170")
    for half in ("A", "B"):
        floor.do("registered", f"item {half}", part="cabinet", product="alder")
        floor.do("finished", f"item {half}-SHELL", step="lay", inputs=[{"lot": "GLUE", "quantity": 0.3}])
        floor.do("finished", f"item {half}", step="join",
                 inputs=[{"item": f"{half}-SHELL"}, {"lot": "GLUE", "quantity": 0.1}])  # fmt: skip
    floor.do("mounted", "item D-1", into="A")
    floor.do("mated", "set S1", left="A", right="B")
    return floor


def test_a_set_is_made_of_all_that_is_in_it() -> None:
    found = [(p.id, p.way, p.next_to, p.depth) for p in made_of(works().state, "S1")]

    assert found == [
        ("A", "mated", "S1", 1),
        ("B", "mated", "S1", 1),
        ("A-SHELL", "used", "A", 2),
        ("GLUE", "used", "A", 2),
        ("D-1", "mounted", "A", 2),
        ("B-SHELL", "used", "B", 2),
        ("GLUE", "used", "B", 2),
        ("GLUE", "used", "A-SHELL", 3),
        ("BASKETS", "came with", "D-1", 3),
        ("GLUE", "used", "B-SHELL", 3),
    ]


def test_where_used_is_the_same_graph_the_other_way() -> None:
    state = works().state
    down = {(p.id, p.next_to, p.way) for p in made_of(state, "S1")}

    up = {(p.next_to, p.id, p.way) for name in ("GLUE", "BASKETS") for p in where_used(state, name)}

    assert up == down


def test_quantities_add_up_exactly() -> None:
    floor = works()
    floor.do("finished", "item A", step="edge", inputs=[{"lot": "GLUE", "quantity": 0.2}])

    amounts = {p.next_to: p.quantity for p in made_of(floor.state, "A") if p.id == "GLUE"}

    assert amounts == {"A": 0.3, "A-SHELL": 0.3}


def test_a_removed_part_is_gone_from_both_ways_but_not_from_the_history() -> None:
    floor = works()
    floor.do("removed", "item D-1", into="A")

    assert "D-1" not in {p.id for p in made_of(floor.state, "A")}
    assert where_used(floor.state, "D-1") == ()
    found = trace(floor.state, "A")
    assert found is not None
    assert [e.event.kind for e in found.history] == ["registered", "finished", "mounted", "mated", "removed"]


def test_the_public_shape_is_plain_json() -> None:
    floor = works()
    floor.do("held", "lot GLUE", reason="viscosity")
    found = trace(floor.state, "S1")
    assert found is not None

    told = json.loads(json.dumps(document(found)))

    assert set(told) == {"id", "kind", "made_of", "where_used", "history", "holds"}
    assert told["kind"] == "set"
    assert told["holds"][0]["on"] == "GLUE"
    assert told["history"][-1]["kind"] == "mated"
    assert trace(floor.state, "NOBODY") is None
