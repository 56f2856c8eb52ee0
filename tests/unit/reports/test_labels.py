"""What stands on a label: names as people know them, the side, the mate with its check character."""

from __future__ import annotations

import pytest

from pairwright.base.codes import make_code, read_code
from pairwright.floor.things import Set
from pairwright.reports.labels import cartons_of, kind_of, label_of
from tests.unit.reports.paper import Floor, opened, pair, routes


def said(floor: Floor, name: str, kind: str) -> tuple[str, list[str]]:
    made = label_of(routes(), floor.state, name, kind=kind)
    return str(made.title), [str(line) for line in made.lines]


def test_a_half_names_its_set_and_its_mate() -> None:
    made = label_of(routes(), pair().state, "C-0231L", kind="item")

    assert str(made.title) == "Alder, Walnut"
    assert [str(line) for line in made.lines] == ["Cabinet", "set A1-1", "mate C-0231R TQ"]
    assert (made.side, made.code.text) == ("left", "PW1:C-0231L:TD")


def test_a_lot_names_its_material_and_its_last_day() -> None:
    title, lines = said(pair(), "SL-7", "lot")

    assert title == opened().works.materials["sealer"].name
    assert lines == ["came in 19 Apr 2027", "use by 2027-09-01"]


def test_a_leaf_names_its_flitch_and_its_number() -> None:
    assert "flitch F12, leaf 7" in said(pair(), "F12-L07", "leaf")[1]


def test_an_order_names_what_is_due() -> None:
    assert said(pair(), "A1", "order") == ("Alder, Walnut", ["2 pairs", "due 2027-05-28"])


def test_a_set_names_both_halves() -> None:
    assert said(pair(), "A1-1", "set")[1] == ["Cabinet, left: C-0231L", "Cabinet, right: C-0231R"]


def test_a_programme_carries_its_revision_in_the_code() -> None:
    programme = opened().works.factory.programmes["alder-sanding"]
    made = label_of(routes(), Floor().state, "alder-sanding", kind="programme")

    assert read_code(made.code.text).id == f"alder-sanding.{programme.revision}"
    assert [str(line) for line in made.lines] == [f"revision {programme.revision}", "Alder, Cabinet"]


def test_a_person_is_named_only_where_names_are_kept() -> None:
    with_name = label_of(routes(), Floor().state, "P14", kind="person", people={"P14": "A. Fitter"})
    without = label_of(routes(), Floor().state, "P14", kind="person")

    assert (str(with_name.title), str(without.title)) == ("A. Fitter", "Person")


@pytest.mark.parametrize(
    ("name", "kind"),
    [("C-0231L", "item"), ("F12-L07", "leaf"), ("SL-7", "lot"), ("A1-1", "set"), ("A1", "order"),
     ("CLAMP-2", "carrier"), ("hot-press", "station"), ("alder-sanding", "programme"), ("nobody", None)],
)  # fmt: skip
def test_the_kind_of_a_name_is_known_from_record_and_works(name: str, kind: str | None) -> None:
    assert kind_of(opened().works, pair().state, name) == kind


def test_the_boxes_of_a_pair_name_each_other() -> None:
    floor = pair()
    one = floor.state.set("A1-1")
    assert isinstance(one, Set)

    first, second = cartons_of(routes(), floor.state, one)

    assert first.carton is not None
    assert second.carton is not None
    assert [(c.number, c.of) for c in (first.carton, second.carton)] == [(1, 2), (2, 2)]
    assert (first.carton.mate, second.carton.mate) == (second.code, first.code)
    assert first.carton.set == second.carton.set == make_code("set", "A1-1")


def test_a_pair_without_one_of_its_halves_gets_no_boxes() -> None:
    floor = pair()
    floor.tell("unmated", "set A1-1", left="C-0231L", right="C-0231R", reason="a dent")
    floor.tell("disposed", "item C-0231R", nonconformance="N1", disposition="scrap", authority="P9")
    one = floor.state.set("A1-1")
    assert isinstance(one, Set)

    assert cartons_of(routes(), floor.state, one) == ()


def test_a_single_has_one_box() -> None:
    floor = Floor()
    works = opened().works
    option, root = next((v.option, v.root) for (p, _), v in works.variants.items() if p == "tansy")
    floor.tell("registered", "set T1-1", product="tansy", option=option)
    floor.tell("registered", "item T-001", product="tansy", option=option, part=root, set="T1-1")
    one = floor.state.set("T1-1")
    assert isinstance(one, Set)

    (only,) = cartons_of(routes(), floor.state, one)

    assert only.carton is not None
    assert (only.carton.number, only.carton.of, only.carton.mate) == (1, 1, None)
