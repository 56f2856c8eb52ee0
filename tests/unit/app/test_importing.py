"""Tables in and out: the preview is what happens, all of it or nothing, and out then in changes nothing."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from pairwright.app.exporting import export_table
from pairwright.app.importing import Intake, import_file
from pairwright.app.recording import Floor, open_floor
from pairwright.app.tables import TABLES
from pairwright.archive import write_folder
from pairwright.archive.out_sheets import FORMATS, written
from pairwright.base.errors import InputError
from tests.damaged.test_damaged import base_texts

CLOCK = 1_803_880_800
TAKEN = [name for name, table in TABLES.items() if table.taken]


def clock() -> int:
    return CLOCK


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    write_folder(tmp_path / "works", base_texts())
    open_floor(tmp_path / "works", clock=clock).close()
    return tmp_path / "works"


@pytest.fixture
def filled(folder: Path) -> Path:
    """A works where every table holds something."""
    bring(folder, "people", "person,name", "P1,Ann Öst", "P2,=Bo")
    bring(
        folder,
        "qualifications",
        "person,skill,until,withdrawn",
        "P1,spraying,2028-01-01,",
        "P2,spraying,,yes",
    )
    bring(
        folder,
        "instruments",
        "instrument,checked,good,until",
        "gauge-1,2027-02-01,yes,2028-02-01",
        "gauge-2,,,",
    )
    bring(folder, "items", "item,product,option,part,side,finished", "S-1,alder,birch,shell,left,yes")
    bring(
        folder, "orders", "order,product,option,quantity,due,customer", "N9,tansy,satin,1,2027-06-01,@north"
    )
    return folder


def bring(folder: Path, kind: str, *lines: str, dry: bool = False) -> Intake:
    path = folder.parent / f"{kind}.csv"
    path.write_text("\n".join(lines) + "\n", encoding="utf-8")
    return import_file(folder, path, kind=kind, actor="P1", dry_run=dry, clock=clock)


@pytest.fixture
def floor(folder: Path) -> Iterator[Floor]:
    with open_floor(folder, readonly=True) as opened:
        yield opened


def test_a_dry_run_shows_and_writes_nothing(folder: Path, floor: Floor) -> None:
    head = floor.record.head()

    found = bring(folder, "orders", "order,product,option,quantity,due", "N1,tansy,satin,1,2027-06-01",
                  "3003,tansy,satin,4,2027-04-09", dry=True)  # fmt: skip

    assert [(c.id, c.what) for c in found.changes] == [("N1", "new"), ("3003", "changed")]
    assert found.changes[1].fields == (("quantity", 3, 4),)
    assert floor.record.head() == head


def test_what_was_shown_is_what_happens(folder: Path) -> None:
    lines = (
        "order,product,option,quantity,due",
        "N1,tansy,satin,1,2027-06-01",
        "3003,tansy,satin,4,2027-04-09",
    )
    shown = bring(folder, "orders", *lines, dry=True)

    done = bring(folder, "orders", *lines)
    again = bring(folder, "orders", *lines)

    assert done.events == shown.events
    assert (again.count("same"), again.events) == (2, ())
    with open_floor(folder, readonly=True) as floor:
        orders = {o.id: o.quantity for o in floor.opened_now().book.orders}
    assert (orders["N1"], orders["3003"]) == (1, 4)


def test_a_works_without_a_record_shows_the_same(tmp_path: Path) -> None:
    write_folder(tmp_path / "works", base_texts())

    found = bring(tmp_path / "works", "orders", "order,product,option,quantity,due", "3003,tansy,satin,3,2027-04-09",
                  "N1,tansy,satin,1,2027-06-01", dry=True)  # fmt: skip

    assert [c.what for c in found.changes] == ["same", "new"]
    assert not (tmp_path / "works" / "record.db").exists()


def test_one_bad_row_keeps_all_out(folder: Path, floor: Floor) -> None:
    head = floor.record.head()

    with pytest.raises(InputError) as caught:
        bring(folder, "orders", "order,product,option,quantity,due", "N1,tansy,satin,1,2027-06-01",
              "N2,tansy,sattin,1,2027-06-01", "N3,tansy,satin,none,2027-06-01")  # fmt: skip

    told = [(p.where, p.field) for p in caught.value.problems]
    assert told == [("orders.csv line 3", "option"), ("orders.csv line 4", "quantity")]
    assert floor.record.head() == head


def test_a_row_that_the_record_refuses_is_told_by_its_row(folder: Path, floor: Floor) -> None:
    head = floor.record.head()

    with pytest.raises(InputError) as caught:
        bring(folder, "items", "item,product,option,part,side", "S-2,alder,birch,shell,left",
              "stock.alder.birch.shell.left.1,alder,birch,shell,right")  # fmt: skip

    assert [(p.where, p.field) for p in caught.value.problems] == [("items.csv line 3", "item")]
    assert floor.record.head() == head


def test_a_count_is_counted_and_a_receipt_stays(folder: Path) -> None:
    head = "lot,material,quantity,unit,received,expiry,moisture"

    done = bring(folder, "lots", head, "V-17,walnut-06,20.5,m2,2027-01-12,,0.08", "V-40,walnut-06,9,m2,,,")
    with pytest.raises(InputError) as caught:
        bring(folder, "lots", head, "V-17,walnut-06,20.5,m2,2027-01-13,,0.08")

    assert [(e.kind, e.subject) for e in done.events] == [("counted", "V-17"), ("registered", "V-17"),
                                                         ("received", "V-40")]  # fmt: skip
    assert caught.value.problems[0].field == "received"
    with open_floor(folder, readonly=True) as floor:
        lots = {lot.id: lot for lot in floor.opened_now().book.lots}
    assert (lots["V-17"].quantity, lots["V-40"].quantity) == (20.5, 9.0)
    assert dict(lots["V-17"].values) == {"moisture": "0.08"}


def test_a_lot_may_be_told_in_another_unit_of_its_kind(folder: Path) -> None:
    found = bring(folder, "lots", "lot,material,quantity,unit", "C-9,clear,9.5,L", dry=True)

    assert found.count("same") == 1


def test_more_parts_are_registered_and_fewer_are_told(folder: Path) -> None:
    head = "product,part,quantity,option,side"

    done = bring(folder, "parts", head, "alder,driver,4,,", "alder,shell,1,birch,left")
    with pytest.raises(InputError):
        bring(folder, "parts", head, "alder,driver,3,,")

    assert [e.subject for e in done.events] == ["stock.alder.driver.3", "stock.alder.driver.4"]


def test_an_order_that_came_to_its_end_is_not_opened_again(folder: Path) -> None:
    cancelled = {
        "key": "k", "kind": "cancelled", "event_time": "2027-03-01T08:00:00+01:00", "actor": "P1",
        "data": {"order": "3003", "reason": "fell through"},
    }  # fmt: skip
    with open_floor(folder, clock=clock) as floor:
        floor.append(floor.read(cancelled))

    with pytest.raises(InputError) as caught:
        bring(folder, "orders", "order,product,option,quantity,due", "3003,tansy,satin,3,2027-04-09")

    assert caught.value.problems[0].field == "order"


def test_names_are_kept_apart_from_the_events(folder: Path) -> None:
    done = bring(folder, "people", "person,name", "P1,Ann", "P2,Bo")
    changed = bring(folder, "people", "person,name", "P1,Anna", "P2,Bo")

    assert done.events == changed.events == ()
    assert [(c.id, c.what) for c in changed.changes] == [("P1", "changed"), ("P2", "same")]
    with open_floor(folder, readonly=True) as floor, floor.record.reading() as reading:
        assert reading.names() == {"P1": "Anna", "P2": "Bo"}
        assert all("Ann" not in str(e.event.as_json()) for e in floor.record.events())


def test_a_sheet_may_have_names_of_its_own(folder: Path) -> None:
    path = folder.parent / "auftraege.csv"
    path.write_text("Auftrag;product;option;Menge;Termin\nN1;tansy;satin;1;2027-06-01\n", encoding="utf-8")
    columns = {"order": "Auftrag", "quantity": "Menge", "due": "Termin"}

    found = import_file(folder, path, kind="orders", actor="P1", columns=columns, dry_run=True)
    with pytest.raises(InputError) as caught:
        import_file(folder, path, kind="orders", actor="P1", columns={"order": "Nummer"}, dry_run=True)

    assert found.changes[0].id == "N1"
    assert caught.value.problems[0].field == "column Nummer"


@pytest.mark.parametrize("form", ["csv", "xlsx"])
@pytest.mark.parametrize("kind", TAKEN)
def test_out_and_in_again_changes_nothing(kind: str, form: str, filled: Path) -> None:
    path = filled.parent / f"out.{form}"
    path.write_bytes(written(export_table(filled, kind, actor="P1"), form))

    found = import_file(filled, path, kind=kind, actor="P1", dry_run=True)

    assert found.changes
    assert {c.what for c in found.changes} == {"same"}
    assert found.events == ()


@pytest.mark.parametrize("form", FORMATS)
def test_the_same_table_makes_the_same_bytes(form: str, filled: Path) -> None:
    one, two = (written(export_table(filled, "lots", actor="P1"), form) for _ in range(2))

    assert one == two


def test_the_tables_of_a_works_without_a_record_come_from_its_files(tmp_path: Path) -> None:
    write_folder(tmp_path / "works", base_texts())

    found = export_table(tmp_path / "works", "orders", actor="P1")

    assert [row[0] for row in found.rows] == ["3001", "3002", "3003"]
    assert not (tmp_path / "works" / "record.db").exists()
