"""Labels, travellers and catching up through the commands, on a played record."""

from __future__ import annotations

import csv
import io
import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from pairwright import sample
from pairwright.app.recording import open_floor
from pairwright.archive import write_folder
from pairwright.base.codes import make_code, read_code
from pairwright.base.time import parse_instant
from pairwright.cli.main import status_of
from tests.integration.played_floor import NOW, morning
from tests.unit.render.printed import rastered, read, two_colours

HEAD = "code,step,day,start,finish,person,values,used,note\n"
CAB = make_code("item", "CAB-L").readable
SAND = f"{CAB},sand,2027-04-19,13:00,14:10,P1,film=310 um,,a knot at the top\n"


@pytest.fixture(scope="module")
def played(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("played") / "works"
    day = morning(folder)
    day.floor.close()
    return folder


@pytest.fixture
def works(played: Path, tmp_path: Path) -> Path:
    return Path(shutil.copytree(played, tmp_path / "works"))


@pytest.fixture
def form(tmp_path: Path) -> Callable[[str], str]:
    def write(body: str) -> str:
        (tmp_path / "form.csv").write_text(body, encoding="utf-8")
        return str(tmp_path / "form.csv")

    return write


def events(works: Path) -> list[Any]:
    with open_floor(works, readonly=True) as floor:
        return list(floor.record.events())


def answer(capsys: pytest.CaptureFixture[str]) -> Any:
    return json.loads(capsys.readouterr().out)


# --- labels and travellers


def test_two_labels_come_for_each_cabinet_and_are_read_back(played: Path, tmp_path: Path) -> None:
    out = tmp_path / "labels.pdf"

    assert status_of(["labels", str(played), "CAB-L", "CAB-R", "--out", str(out)]) == 0

    found = [read(two_colours(page)) for page in rastered(out.read_bytes(), 203.2, tmp_path)]
    assert [read_code(one).id for (one,) in found] == ["CAB-L", "CAB-L", "CAB-R", "CAB-R"]


def test_both_boxes_of_a_pair_are_labelled_from_the_set_or_a_half(played: Path, tmp_path: Path) -> None:
    for number, name in enumerate(("A1-1", "CAB-R")):
        folder = tmp_path / str(number)
        folder.mkdir()
        out = folder / "boxes.pdf"

        assert status_of(["labels", str(played), name, "--size", "carton", "--out", str(out)]) == 0

        pages = rastered(out.read_bytes(), 300.0, folder)
        found = [sorted(read_code(one).id for one in read(two_colours(page))) for page in pages]
        assert found == [["A1-1", "CAB-L"], ["A1-1", "CAB-R"]]


def test_labels_for_what_is_to_be_made_need_no_record(tmp_path: Path) -> None:
    folder, out = tmp_path / "fresh", tmp_path / "new.pdf"
    write_folder(folder, sample.layout(pairs=2, start=date(2027, 3, 1), seed=1))

    assert status_of(["labels", str(folder), "S-0001", "S-0002", "--kind", "item", "--out", str(out)]) == 0

    found = [read(two_colours(page)) for page in rastered(out.read_bytes(), 300.0, tmp_path)]
    assert found == [[make_code("item", one).text] for one in ("S-0001", "S-0002")]
    assert not (folder / "record.db").exists()


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["C-0999L"], "--kind"),
        (["C-O999L", "--kind", "item"], "without I, O and Q"),
        (["hot-press", "CAB-L"], "one size after the other"),
        (["CAB-L TX"], "mistyped"),
        (["CAB-L", "--size", "huge"], "basket"),
        (["CAB-L", "--kind", "robot"], "instrument"),
        (["SH-WET", "--size", "carton"], "halves"),
        (["stock.alder.walnut.woofer.1", "--size", "basket"], "larger label"),
    ],
)
def test_labels_that_make_no_sense_are_refused_and_nothing_is_written(
    arguments: list[str], says: str, played: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "no.pdf"

    assert status_of(["labels", str(played), *arguments, "--out", str(out)]) == 2

    assert says in capsys.readouterr().err
    assert not out.exists()


def test_a_traveller_of_a_new_item_is_printed_without_a_record(tmp_path: Path) -> None:
    folder, out = tmp_path / "fresh", tmp_path / "t.pdf"
    write_folder(folder, sample.layout(pairs=2, start=date(2027, 3, 1), seed=1))
    new = ["--product", "alder", "--part", "shell", "--side", "left"]

    assert status_of(["traveller", str(folder), "S-0300L", *new, "--paper", "A6", "--out", str(out)]) == 0

    pages = rastered(out.read_bytes(), 203.2, tmp_path)
    assert {tuple(read(two_colours(page))) for page in pages} == {(make_code("item", "S-0300L").text,)}


@pytest.mark.parametrize(
    ("arguments", "says"),
    [
        (["NOBODY"], "--product"),
        (["S-1", "--product", "alder"], "state both"),
        (["S-1", "--product", "oak", "--part", "shell"], "alder"),
        (["S-1", "--product", "alder", "--part", "lid"], "shell"),
        (["S-1", "--product", "alder", "--part", "shell", "--side", "up"], "left"),
        (["S-1", "--product", "alder", "--part", "shell", "--option", "tin"], "walnut"),
        (["CAB-L", "--paper", "A4"], "A5 or A6"),
        (["JG-1"], "route"),
    ],
)
def test_travellers_that_make_no_sense_are_refused(
    arguments: list[str], says: str, played: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    out = tmp_path / "no.pdf"

    assert status_of(["traveller", str(played), *arguments, "--out", str(out)]) == 2

    assert says in capsys.readouterr().err
    assert not out.exists()


# --- catching up


def test_the_form_of_a_traveller_is_filled_in_and_taken(works: Path, tmp_path: Path) -> None:
    form = tmp_path / "form.csv"
    printed = ["traveller", str(works), "CAB-L", "--out", str(tmp_path / "t.pdf"), "--form", str(form)]
    assert status_of(printed) == 0
    rows = list(csv.DictReader(io.StringIO(form.read_text(encoding="utf-8"))))
    assert rows[0]["step"] == "sand"
    rows[0] |= {
        "day": "2027-04-19",
        "start": "13:00",
        "finish": "14:10",
        "person": "P1",
        "values": "film=310 um",
    }
    with form.open("w", newline="", encoding="utf-8") as file:
        writer = csv.DictWriter(file, fieldnames=list(rows[0]))
        writer.writeheader()
        writer.writerows(rows)
    before = len(events(works))

    assert status_of(["catch-up", str(works), str(form), "--now", NOW]) == 0

    made = [entry.event for entry in events(works)[before:]]
    assert [(e.kind, e.local_time(), e.actor, e.station, e.written) for e in made] == [
        ("started", "2027-04-19T13:00:00+02:00", "P1", "sanding-cell", True),
        ("finished", "2027-04-19T14:10:00+02:00", "P1", "sanding-cell", True),
        ("measured", "2027-04-19T14:10:00+02:00", "P1", "sanding-cell", True),
    ]
    assert dict(made[2].data) == {"characteristic": "film", "value": 310, "unit": "um"}


def test_a_form_kept_as_a_workbook_is_taken_too(works: Path, tmp_path: Path) -> None:
    from datetime import time

    from openpyxl import Workbook

    book = Workbook()
    sheet = book.active
    assert sheet is not None
    sheet.append(["Code", "Step", "Day", "Start", "Finish", "Person", "Values"])
    sheet.append([CAB, "sand", date(2027, 4, 19), time(13, 0), time(14, 10), "P1", "film=310 um"])
    book.save(tmp_path / "form.xlsx")
    before = len(events(works))

    assert status_of(["catch-up", str(works), str(tmp_path / "form.xlsx"), "--now", NOW]) == 0

    made = [entry.event for entry in events(works)[before:]]
    assert [(one.kind, one.local_time()[11:16]) for one in made] == [
        ("started", "13:00"), ("finished", "14:10"), ("measured", "14:10"),
    ]  # fmt: skip


def test_the_time_of_taking_in_stays_the_later_clock(works: Path, form: Callable[[str], str]) -> None:
    before = len(events(works))

    assert status_of(["catch-up", str(works), form(HEAD + SAND), "--now", NOW]) == 0

    for entry in events(works)[before:]:
        assert entry.event.written
        assert entry.record_time == parse_instant(NOW)
        assert entry.event.event_time < entry.record_time


def test_the_same_form_twice_is_taken_once(
    works: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    file = form(HEAD + SAND)
    assert status_of(["catch-up", str(works), file, "--now", NOW]) == 0
    before = len(events(works))

    assert status_of(["catch-up", str(works), file, "--now", NOW]) == 0

    assert len(events(works)) == before
    assert "recorded before" in capsys.readouterr().out


def test_a_dry_run_tells_all_and_writes_nothing(
    works: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = len(events(works))

    assert status_of(["catch-up", str(works), form(HEAD + SAND), "--dry-run", "--json", "--now", NOW]) == 0

    found = answer(capsys)
    assert [one["kind"] for one in found["events"]] == ["started", "finished", "measured", "noted"]
    assert (found["recorded"], found["broken"]) == ([], [])
    assert len(events(works)) == before


SEAL = f"{CAB},seal,2027-04-19,15:00,15:20,P1,wet-film=111 um,CS-1 0.2 L,\n"  # a lot of another lacquer


def test_a_row_that_breaks_a_rule_stops_all_rows(
    works: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = len(events(works))

    assert status_of(["catch-up", str(works), form(HEAD + SAND + SEAL), "--now", NOW]) == 1

    said = capsys.readouterr().err
    assert "form.csv line 3: lot CS-1" in said
    assert "nothing was recorded" in said
    assert len(events(works)) == before


def test_with_report_it_is_recorded_as_done_and_as_a_problem(works: Path, form: Callable[[str], str]) -> None:
    before = len(events(works))

    assert status_of(["catch-up", str(works), form(HEAD + SAND + SEAL), "--report", "--now", NOW]) == 0

    made = [entry.event for entry in events(works)[before:]]
    (problem,) = [one for one in made if one.kind == "reported"]
    assert (problem.subject, problem.data["step"]) == ("CAB-L", "seal")
    assert "CS-1" in problem.data["text"]
    with open_floor(works, readonly=True) as floor, floor.looking() as state:
        item = state.item("CAB-L")
        assert item is not None
        assert [trouble.open for trouble in item.troubles] == [True]


def test_what_contradicts_the_record_is_never_taken(
    works: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    scrapped = make_code("item", "S-scrap").readable
    body = HEAD + SAND + f"{scrapped},sand,2027-04-19,15:00,15:20,P1,,,\n"
    before = len(events(works))

    assert status_of(["catch-up", str(works), form(body), "--report", "--now", NOW]) == 1

    assert "scrapped" in capsys.readouterr().err
    assert len(events(works)) == before


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("CAB-L,sand,2027-04-19,13:00,14:10,P1,,,", "two characters"),
        (f"{CAB[:-1]}X,sand,2027-04-19,13:00,14:10,P1,,,", "mistyped"),
        (f"{make_code('lot', 'JG-1').readable},sand,2027-04-19,13:00,14:10,P1,,,", "item or set"),
        (f"{CAB},sand,2027-04-19,14:10,13:00,P1,,,", "ended on"),
        (f"{CAB},sand,2027-04-19,,,P1,,,", "07:35"),
        (f"{CAB},sand,19/04/2027,13:00,14:10,P1,,,", "2027-03-05"),
        (f"{CAB},sand,2027-02-30,13:00,14:10,P1,,,", "2027-03-05"),
        (f"{CAB},sand,2027-03-28,02:30,14:10,P1,,,", "clocks are changed"),
        (f"{CAB},sand,2026-10-25,02:30,14:10,P1,,,", "clocks are changed"),
        (f"{CAB},sand,2027-04-21,13:00,14:10,P1,,,", "not later than now"),
        (f"{CAB},sand,1927-04-19,13:00,14:10,P1,,,", "400 days"),
        (f"{CAB},sand,2027-04-19,25:00,14:10,P1,,,", "07:35"),
        (f"{CAB},sand,2027-04-19,١٣:٠٠,14:10,P1,,,", "07:35"),
        (f"{CAB},sand,2027-04-19,13:00,14:10,,,,", "id of whoever"),
        (f"{CAB},press,2027-04-19,13:00,14:10,P1,,,", "a step of Alder"),
        (f"{CAB},,2027-04-19,13:00,14:10,P1,,,", "step of the route"),
        (f'{CAB},sand,2027-04-19,13:00,14:10,P1,"film=0,3 mm",,', "decimal point"),
        (f"{CAB},sand,2027-04-19,13:00,14:10,P1,film,,", "decimal point"),
        (f"{CAB},sand,2027-04-19,13:00,14:10,P1,,CS-1 much,", "semicolons"),
        (f"{CAB},edges,2027-04-19,13:00,14:10,P1,,,", "where it was done"),
        (f"{CAB},sand,2027-04-19,13:00,14:10,P1,film=3 parsec,,", "unit"),
    ],
)
def test_a_wrong_cell_is_told_with_its_row_and_nothing_is_recorded(
    row: str, says: str, played: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    before = (played / "record.db").read_bytes()

    assert status_of(["catch-up", str(played), form(HEAD + row + "\n"), "--dry-run", "--now", NOW]) == 2

    said = capsys.readouterr().err
    assert "form.csv line 2" in said
    assert says in said
    assert (played / "record.db").read_bytes() == before


@pytest.mark.parametrize(
    ("body", "says"),
    [
        ("", "empty"),
        ("code,step\n", "add the column"),
        (HEAD.replace("note", "remark") + SAND, "remark"),
        (HEAD.replace("note", "used") + SAND, "used"),
        (HEAD, "at least one row"),
        (HEAD + f"{CAB},sand,,,,,,,\n", "at least one row"),
    ],
)
def test_a_form_that_is_none_is_refused(
    body: str, says: str, played: Path, form: Callable[[str], str], capsys: pytest.CaptureFixture[str]
) -> None:
    assert status_of(["catch-up", str(played), form(body), "--dry-run"]) == 2

    assert says in capsys.readouterr().err


def test_work_over_midnight_is_written_with_the_day_it_ended_on(
    works: Path, form: Callable[[str], str]
) -> None:
    body = HEAD.replace("note", "ended on") + f"{CAB},sand,2027-04-18,23:30,00:20,P1,,,2027-04-19\n"

    status = status_of(["catch-up", str(works), form(body), "--report", "--now", NOW])

    made = [e.event.local_time() for e in events(works) if e.event.subject == "CAB-L" and e.event.written]
    assert status == 0
    assert made[0] == "2027-04-18T23:30:00+02:00"
    assert "2027-04-19T00:20:00+02:00" in made
