"""Pairs can't be separated in silence, and nothing leaves that was not measured as it is."""

from __future__ import annotations

import pytest

from tests.unit.floor.events import DOSSIER, Floor


@pytest.fixture
def floor() -> Floor:
    return Floor()


def test_an_item_is_in_one_live_pair(floor: Floor) -> None:
    floor.pair("S1", "A", "B")
    floor.do("finished", "item C", step="press")

    assert floor.codes("mated", "set S2", left="A", right="C") == ["item_mated"]
    assert "set_mated" in floor.codes("mated", "set S1", left="C", right="D")


def test_taking_apart_needs_the_right_halves_and_mating_anew_a_reason(floor: Floor) -> None:
    floor.pair("S1", "A", "B")
    floor.do("finished", "item C", step="press")

    assert floor.codes("unmated", "set S1", left="A", right="C", reason="x") != []
    assert floor.codes("unmated", "set S2", left="A", right="B", reason="x") != []
    floor.do("unmated", "set S1", left="A", right="B", reason="B has a crack")
    assert set(floor.codes("mated", "set S1", left="A", right="C")) == {"reason_missing"}
    floor.do("mated", "set S1", left="A", right="C", reason="B was scrapped")


def test_left_stays_left(floor: Floor) -> None:
    floor.do("registered", "item A", side="left")
    floor.do("registered", "item B", side="right")

    assert floor.codes("mated", "set S1", left="B", right="A") == ["wrong_side", "wrong_side"]
    assert floor.codes("mated", "set S1", left="A", right="B") == []


def test_mates_are_of_one_design(floor: Floor) -> None:
    floor.do("registered", "item A", product="alder", option="oak")
    floor.do("registered", "item B", product="alder", option="walnut")

    assert floor.codes("mated", "set S1", left="A", right="B") == ["wrong_mate"]


def test_a_half_made_for_another_set_needs_a_reason(floor: Floor) -> None:
    floor.do("registered", "item A", set="S1")
    floor.do("registered", "item B", set="S2")

    assert floor.codes("mated", "set S1", left="A", right="B") == ["reason_missing"]


def test_what_is_made_of_matched_leaves_stays_matched(floor: Floor) -> None:
    floor.pair("S1", "LEAF-1", "LEAF-2")
    floor.pair("S2", "LEAF-3", "LEAF-4")
    for n in (1, 2, 3, 4):
        floor.do("started", f"item SHELL-{n}", step="lay", inputs=[{"item": f"LEAF-{n}"}])
    first = floor.state.set("S1")
    assert first is not None
    assert first.pair is not None
    on = first.pair.key

    assert floor.codes("mated", "set S1", left="SHELL-1", right="SHELL-2") == ["set_mated"]
    assert "wrong_mate" in floor.codes("mated", "set S1", left="SHELL-1", right="SHELL-4", carries_on=on)
    assert "wrong_mate" in floor.codes("mated", "set S1", left="SHELL-2", right="SHELL-1", carries_on=on)
    assert "wrong_mate" in floor.codes("mated", "set S9", left="SHELL-1", right="SHELL-3")
    floor.do("mated", "set S1", left="SHELL-1", right="SHELL-2", carries_on=on)
    pair = floor.state.set("S1")
    assert pair is not None
    assert pair.pair is not None
    assert pair.pair.halves == ("SHELL-1", "SHELL-2")


def test_a_set_leaves_only_released_and_only_once(floor: Floor) -> None:
    floor.ready()

    assert floor.codes("shipped", "set S1") == ["set_not_released"]
    floor.do("released", "set S1", dossier=DOSSIER)
    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["set_released"]
    assert floor.codes("shipped", "set S1", dossier="e" * 64) == ["wrong_dossier"]
    floor.do("shipped", "set S1")
    assert floor.codes("shipped", "set S1") == ["set_shipped"]


def test_a_pair_is_measured_after_it_was_mated(floor: Floor) -> None:
    for half in ("A", "B"):
        floor.do("finished", f"item {half}", step="press")
        floor.do("measured", f"item {half}", characteristic="level", value=86.0)
    floor.do("mated", "set S1", a="A", b="B")

    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["set_unmeasured", "set_unmeasured"]
    floor.do("measured", "item A", characteristic="level", value=86.0)
    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["set_unmeasured"]
    floor.do("measured", "item B", characteristic="level", value=86.0)
    assert floor.codes("released", "set S1", dossier=DOSSIER) == []


@pytest.mark.parametrize("change", ["mount", "remove", "rework", "swap"])
def test_every_change_forces_the_tests_again(floor: Floor, change: str) -> None:
    floor.pair("S1", "A", "B")
    floor.do("mounted", "item D-1", into="A")
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    assert floor.codes("released", "set S1", dossier=DOSSIER) == []

    if change == "mount":
        floor.do("mounted", "item D-2", into="A")
    elif change == "remove":
        floor.do("removed", "item D-1", into="A")
    elif change == "rework":
        floor.do(
            "disposed", "item A", nonconformance="N", disposition="rework", to_step="press", authority="P9"
        )
        floor.do("finished", "item A", step="press")
    else:
        floor.do("unmated", "set S1", left="A", right="B", reason="x")
        floor.do("mated", "set S1", left="A", right="B", reason="y")

    assert "set_unmeasured" in floor.codes("released", "set S1", dossier=DOSSIER)
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    assert floor.codes("released", "set S1", dossier=DOSSIER) == []


def test_a_repaired_part_deep_inside_forces_the_tests_too(floor: Floor) -> None:
    floor.ready()
    floor.do("mounted", "item BOARD", into="NETWORK")
    floor.do("mounted", "item NETWORK", into="A")
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    floor.do("disposed", "item BOARD", nonconformance="N", disposition="repair", authority="P9")

    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["set_unmeasured"]


def test_scrapping_a_half_blocks_the_other_until_it_is_mated_and_measured_anew(floor: Floor) -> None:
    floor.ready("S1", "A", "B")
    floor.do("finished", "item C", step="press")
    floor.do("disposed", "item B", nonconformance="N", disposition="scrap", authority="P9")

    assert "item_scrapped" in floor.codes("released", "set S1", dossier=DOSSIER)
    assert "item_mated" in floor.codes("mated", "set S1", left="A", right="C", reason="x")
    floor.do("unmated", "set S1", left="A", right="B", reason="B scrapped")
    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["set_without_mate"]
    assert "item_scrapped" in floor.codes("mated", "set S1", left="A", right="B", reason="x")
    floor.do("mated", "set S1", left="A", right="C", reason="B scrapped")
    assert "set_unmeasured" in floor.codes("released", "set S1", dossier=DOSSIER)
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    floor.do("released", "set S1", dossier=DOSSIER)


@pytest.mark.parametrize(
    ("kind", "subject", "data"),
    [
        ("started", "item A", {"step": "polish"}),
        ("finished", "item A", {"step": "polish"}),
        ("measured", "set S1", {"characteristic": "level", "value": 1}),
        ("measured", "item A", {"characteristic": "level", "value": 1}),
        ("inspected", "item A", {"clear": True}),
        ("unmated", "set S1", {"left": "A", "right": "B", "reason": "x"}),
        ("mounted", "item D-2", {"into": "A"}),
        ("removed", "item D-1", {"into": "A"}),
        ("mounted", "item D-2", {"into": "D-1"}),
        ("disposed", "item D-1", {"nonconformance": "N", "disposition": "repair", "authority": "P9"}),
        ("registered", "item A", {"order": "2211"}),
        ("registered", "item Z", {"set": "S1"}),
        ("started", "item BOX", {"step": "x", "inputs": [{"item": "A"}]}),
        ("started", "set S1", {"step": "pack"}),
    ],
)
def test_a_release_freezes_everything_in_the_set(
    floor: Floor, kind: str, subject: str, data: dict[str, str]
) -> None:
    floor.pair()
    floor.do("mounted", "item D-1", into="A")
    floor.do("registered", "item D-2")
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    assert not any("set_" in code for code in floor.codes(kind, subject, **data))
    floor.do("released", "set S1", dossier=DOSSIER)

    assert "set_released" in floor.codes(kind, subject, **data)
    floor.do("shipped", "set S1")
    assert "set_shipped" in floor.codes(kind, subject, **data)


def test_a_note_a_hold_and_its_lifting_are_never_frozen(floor: Floor) -> None:
    floor.ready()
    floor.do("released", "set S1", dossier=DOSSIER)

    floor.do("noted", "item A", text="collected on Friday")
    floor.do("held", "set S1", reason="a recall")
    assert floor.codes("shipped", "set S1") == ["under_hold"]
    floor.do("freed", "set S1", reason="checked")
    floor.do("shipped", "set S1")


def test_nothing_leaves_with_something_open(floor: Floor) -> None:
    floor.pair()
    floor.do("mounted", "item D-1", into="A")
    floor.do("measured", "set S1", characteristic="level", value=86.0)
    trouble = floor.do("reported", "item D-1", text="a rattle")

    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["nonconformance_open"]
    floor.do("disposed", "item D-1", nonconformance=trouble, disposition="hold", authority="P9")
    assert set(floor.codes("released", "set S1", dossier=DOSSIER)) == {"nonconformance_open", "under_hold"}
    floor.do(
        "disposed",
        "item D-1",
        nonconformance=trouble,
        disposition="concession",
        authority="P9",
        reason="faint",
    )
    assert floor.codes("released", "set S1", dossier=DOSSIER) == []
    floor.do("started", "item A", step="polish")
    assert floor.codes("released", "set S1", dossier=DOSSIER) == ["step_open"]
    floor.do("finished", "item A", step="polish")
    floor.do(
        "disposed", "item A", nonconformance="N2", disposition="rework", to_step="polish", authority="P9"
    )
    assert "rework_open" in floor.codes("released", "set S1", dossier=DOSSIER)


def test_a_single_that_was_scrapped_and_made_anew_leaves_as_the_new_one(floor: Floor) -> None:
    for name in ("C-1", "C-2"):
        floor.do("registered", f"item {name}", product="tansy", part="cabinet", set="T-1")
        floor.do("finished", f"item {name}", step="press")
        if name == "C-1":
            trouble = floor.do("reported", "item C-1", text="split", nonconformance="N-1")
            assert trouble
            floor.do("disposed", "item C-1", nonconformance="N-1", disposition="scrap", authority="P9")
            assert "set_without_mate" not in floor.codes("released", "set T-1", dossier=DOSSIER)
    floor.do("measured", "item C-2", characteristic="level", value=86.0)

    floor.do("released", "set T-1", dossier=DOSSIER)
    floor.do("shipped", "set T-1")


def test_a_single_leaves_as_its_one_item(floor: Floor) -> None:
    floor.do("registered", "item T-1", set="S5", product="tansy")
    floor.do("measured", "item T-1", characteristic="level", value=86.0)

    assert floor.codes("released", "set S5", dossier=DOSSIER) == []
    floor.do("registered", "item T-2", set="S5", product="tansy")
    assert floor.codes("released", "set S5", dossier=DOSSIER) == ["set_without_mate"]


def test_leaves_of_a_pair_that_went_into_strangers_keep_them_from_leaving(floor: Floor) -> None:
    floor.pair("S1", "LEAF-1", "LEAF-2")
    floor.pair("S2", "A", "B")
    for half, leaf in (("A", "LEAF-1"), ("C", "LEAF-2")):
        floor.do("started", f"item {half}", step="lay", inputs=[{"item": leaf}])
        floor.do("finished", f"item {half}", step="lay")
    floor.do("measured", "set S2", characteristic="level", value=86.0)

    assert floor.codes("released", "set S2", dossier=DOSSIER) == ["wrong_mate"]


def test_what_is_reported_after_the_release_stops_the_shipment(floor: Floor) -> None:
    floor.ready()
    floor.do("released", "set S1", dossier=DOSSIER)
    floor.do("reported", "item A", text="the carton fell")

    assert floor.codes("shipped", "set S1") == ["nonconformance_open"]
