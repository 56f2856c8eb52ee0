"""The record at the command line: append, ask, match, sheets, names, keeping, verify, backup, restore."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path
from typing import Any

import pytest

from pairwright.archive import write_folder
from pairwright.base.codes import make_code
from pairwright.cli.main import status_of
from tests.damaged.test_damaged import base_texts

PARTS = {"where", "field", "must_be", "got", "do"}
NOW = "2027-03-02T12:00:00+01:00"


@pytest.fixture
def works(tmp_path: Path) -> Path:
    write_folder(tmp_path / "works", base_texts())
    return tmp_path / "works"


def run(capsys: pytest.CaptureFixture[str], *arguments: object) -> tuple[int, str, str]:
    status = status_of([str(one) for one in arguments])
    out, err = capsys.readouterr()
    assert "Traceback" not in out + err
    return status, out, err


def answered(capsys: pytest.CaptureFixture[str], *arguments: object, status: int = 0) -> Any:
    found, out, err = run(capsys, *arguments, "--json")
    assert found == status, (out, err)
    return json.loads(out)


def event(key: str, kind: str, data: dict[str, Any], **more: Any) -> str:
    found = {"key": key, "kind": kind, "event_time": "2027-03-02T10:00:00+01:00", "actor": "P1", **more}
    return json.dumps({**found, "data": data}) + "\n"


def write(works: Path, *lines: str) -> Path:
    path = works.parent / "events.jsonl"
    path.write_text("".join(lines), encoding="utf-8")
    return path


PRESSED = (
    event("e1", "registered", {"product": "alder", "option": "birch", "part": "shell", "side": "left"}, item="S-1"),
    event("e2", "received", {"quantity": 10, "unit": "kg", "material": "urea"}, lot="U-9"),
    event("e3", "finished", {"step": "press", "inputs": [{"lot": "U-9", "quantity": 0.4, "unit": "kg"}]}, item="S-1"),
)  # fmt: skip


def test_events_are_appended_and_answered(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    path = write(works, *PRESSED)

    first = answered(capsys, "record", works, path, "--now", NOW)
    again = answered(capsys, "record", works, path)

    assert [set(one) for one in first] == [{"key", "sequence", "hash"}] * 3
    assert [one["key"] for one in first] == ["e1", "e2", "e3"]
    assert again == first


def test_the_same_call_gives_the_same_bytes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answers = []
    for name in "ab":
        write_folder(tmp_path / name, base_texts())
        path = write(tmp_path / name, *PRESSED)
        # the opening is taken in at the stated moment too
        answers.append(run(capsys, "record", tmp_path / name, path, "--now", NOW, "--json"))

    assert answers[0] == answers[1]


def test_standard_input_is_read(
    works: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    body = io.TextIOWrapper(io.BytesIO(PRESSED[0].encode()))
    monkeypatch.setattr(sys, "stdin", body)

    assert len(answered(capsys, "record", works)) == 1


def test_a_key_with_other_content_is_refused(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "record", works, write(works, PRESSED[0]))

    refused = answered(capsys, "record", works, write(works, event("e1", "noted", {"text": "x"})), status=1)

    assert (refused["refused"], refused["findings"][0]["code"]) == ("e1", "key_used")


def test_one_refused_event_keeps_all_out(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "record", works, write(works, PRESSED[0]))
    head = answered(capsys, "verify-record", works)["head"]

    lines = (PRESSED[1], event("e9", "held", {"reason": "x"}, lot="NOBODY"))
    status, _, err = run(capsys, "record", works, write(works, *lines))

    assert status == 1
    assert "nothing was recorded" in err
    assert answered(capsys, "verify-record", works)["head"] == head


@pytest.mark.parametrize(
    "body",
    [
        "", "{", "nonsense", "[]", '{"key": NaN}', '{"key":"a","key":"b"}', "\ud800".encode("utf-8", "surrogatepass"),
        b"\xff\xfe{", '{"kind":"noted"}', "[" * 100_000, '{"a":' + "9" * 5000 + "}", b"\0",
    ],
)  # fmt: skip
def test_what_is_no_event_is_told_in_five_parts(
    body: str | bytes, works: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = works.parent / "bad.jsonl"
    path.write_bytes(body if isinstance(body, bytes) else body.encode())

    problem = answered(capsys, "record", works, path, status=2)

    assert set(problem) >= PARTS
    assert all(problem[part] for part in PARTS)


def test_a_trace_says_what_a_thing_is_made_of(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(
        capsys, "record", works, write(works, *PRESSED, event("h", "held", {"reason": "too old"}, lot="U-9"))
    )

    found = answered(capsys, "trace", works, "S-1")
    used = answered(capsys, "trace", works, "U-9")
    status, out, _ = run(capsys, "trace", works, "S-1")

    assert set(found) == {"id", "kind", "made_of", "where_used", "history", "holds"}
    assert [p["id"] for p in found["made_of"]] == ["U-9"]
    assert [h["on"] for h in found["holds"]] == ["U-9"]
    assert [p["id"] for p in used["where_used"]] == ["S-1"]
    assert status == 0
    assert "too old" in out


def test_an_unknown_thing_is_told_with_what_is_written_alike(
    works: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answered(capsys, "record", works, write(works, *PRESSED))

    problem = answered(capsys, "trace", works, "s-1", status=2)

    assert "S-1" in problem["do"]


def test_the_code_of_a_label_is_as_good_as_the_id(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "record", works, write(works, *PRESSED))
    scanned = make_code("item", "S-1").text

    assert answered(capsys, "trace", works, scanned)["id"] == "S-1"
    assert run(capsys, "trace", works, scanned.replace("S-1", "S-2"))[0] == 1


@pytest.mark.parametrize("command", ["trace", "verify-record", "match", "people"])
def test_a_works_without_a_record_is_told(
    command: str, works: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    more = {"trace": ["X"], "match": ["--part", "shell"]}.get(command, [])

    problem = answered(capsys, command, works, *more, status=2)

    assert "pairwright record" in problem["do"]
    assert not (works / "record.db").exists()


def test_mates_are_found_by_what_was_measured(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    lines = []
    for side, name, value in (
        ("left", "A", 0.0),
        ("left", "B", 1.0),
        ("right", "C", 1.1),
        ("right", "D", 0.2),
    ):
        facts = {"product": "alder", "option": "birch", "part": "shell", "side": side}
        lines.append(event(f"r{name}", "registered", facts, item=name))
        lines.append(event(f"m{name}", "measured", {"characteristic": "opening", "value": value}, item=name))
    answered(capsys, "record", works, write(works, *lines))

    found = answered(capsys, "match", works, "--part", "shell", "--characteristic", "opening")

    assert [(p["left"], p["right"]) for p in found["pairs"]] == [("A", "D"), ("B", "C")]
    assert found["total"] == pytest.approx(0.3)
    assert found["worst"] == pytest.approx(0.2)
    assert found["left_over"] == ["stock.alder.birch.shell.left.1"]
    assert all(p["reasons"] for p in found["pairs"])


def test_plan_and_check_draw_on_the_record(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    order = {"order": "N1", "product": "tansy", "option": "satin", "quantity": 1, "due": "2027-06-01"}
    lines = (event("a", "ordered", order), event("b", "cancelled", {"order": "3001", "reason": "x"}))
    answered(capsys, "record", works, write(works, *lines), "--now", NOW)

    status, out, _ = run(capsys, "plan", works, "--json", "--effort", "1", "--quiet", "--now", NOW)
    checked = run(capsys, "check", works, "--json")

    assert status in (0, 1)
    assert {o["order"] for o in json.loads(out)["orders"]} == {"3002", "3003", "N1"}
    assert checked[0] in (0, 1)


def test_a_changed_record_is_noticed(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    import sqlite3

    answered(capsys, "record", works, write(works, *PRESSED))
    good = answered(capsys, "verify-record", works)
    with sqlite3.connect(works / "record.db") as connection:
        for (name,) in connection.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'").fetchall():
            connection.execute(f"DROP TRIGGER {name}")
        connection.execute("UPDATE event SET body = replace(body, '0.4', '0.3') WHERE key = 'e3'")
    connection.close()

    found = answered(capsys, "verify-record", works, status=1)

    assert good["ok"]
    assert not found["ok"]
    assert found["problems"]


def test_an_end_that_was_cut_off_is_noticed_by_its_hash(
    works: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    answered(capsys, "record", works, write(works, *PRESSED))
    head = answered(capsys, "verify-record", works)["head"]

    assert answered(capsys, "verify-record", works, "--expected", head)["ok"]
    assert not answered(capsys, "verify-record", works, "--expected", "0" * 64, status=1)["ok"]


def test_kept_files_are_named_by_their_digest_and_a_changed_one_is_noticed(
    works: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from pairwright.archive.attachments import place

    (tmp_path / "scratch.jpg").write_bytes(b"a picture")
    (kept,) = answered(capsys, "attach", works, tmp_path / "scratch.jpg")
    answered(capsys, "record", works, write(works, event("a", "noted", {"photograph": kept["digest"]})))
    good = answered(capsys, "verify-record", works, "--attachments")
    place(works, kept["digest"]).write_bytes(b"another one")

    bad = answered(capsys, "verify-record", works, "--attachments", status=1)

    assert good["ok"]
    assert [one["code"] for one in bad["problems"]] == ["attachment_changed"]
    assert run(capsys, "attach", works, tmp_path / "none.jpg")[0] == 2
    assert run(capsys, "attach", tmp_path, tmp_path / "scratch.jpg")[0] == 2


def test_a_backup_is_put_back_whole(works: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "record", works, write(works, *PRESSED))
    head = answered(capsys, "verify-record", works)["head"]
    (tmp_path / "new").mkdir()

    made = answered(capsys, "backup", works, tmp_path / "safe")
    put = answered(capsys, "restore", tmp_path / "safe", tmp_path / "new")
    over = run(capsys, "restore", tmp_path / "safe", works)
    twice = run(capsys, "backup", works, tmp_path / "safe")

    assert made["head"] == put["head"] == head == answered(capsys, "verify-record", tmp_path / "new")["head"]
    assert (over[0], twice[0]) == (1, 2)


def test_the_machine_is_measured(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    found = answered(capsys, "self-check", works)

    assert found["sync_p99"] >= found["sync_p50"] > 0
    assert run(capsys, "self-check", works)[0] == 0
    assert run(capsys, "self-check", works / "nothing")[0] == 2


def test_sheets_come_in_and_go_out(works: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    sheet = tmp_path / "orders.xlsx"

    assert run(capsys, "export", works, "--table", "orders", "--format", "xlsx", "--out", sheet)[0] == 0
    shown = answered(capsys, "import", works, sheet, "--kind", "orders", "--dry-run")
    assert not (works / "record.db").exists()
    done = answered(capsys, "import", works, sheet, "--kind", "orders")

    assert (shown["same"], shown["written"]) == (3, False)
    assert (done["same"], done["events"], done["written"]) == (3, 0, True)
    assert run(capsys, "import", works, sheet, "--kind", "orders", "--dry-run")[0] == 0


def test_what_is_no_table_is_told(works: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for arguments in (
        ("import", works, works / "orders.csv", "--kind", "events"),
        ("import", works, works / "orders.csv", "--kind", "orders", "--column", "order"),
        ("import", works, tmp_path / "nothing.csv", "--kind", "orders"),
        ("export", works, "--table", "secrets"),
        ("export", works, "--table", "orders", "--format", "pdf"),
        ("export", works, "--table", "orders", "--format", "xlsx"),
    ):
        status, _, err = run(capsys, *arguments)
        assert status == 2, arguments
        assert "must be" in err


def test_names_come_and_go_and_the_chain_stays(works: Path, capsys: pytest.CaptureFixture[str]) -> None:
    answered(capsys, "record", works, write(works, *PRESSED))
    head = answered(capsys, "verify-record", works)["head"]

    named = answered(capsys, "people", works, "--name", "P1=Ann Example", "--name", "P7=Bo")
    gone = answered(capsys, "people", works, "--forget", "P7")
    none = answered(capsys, "people", works, "--forget-all")

    assert {p["person"]: p["name"] for p in named} == {"P1": "Ann Example", "P7": "Bo", "works": None}
    assert [p["person"] for p in gone] == ["P1", "works"]
    assert [p["name"] for p in none] == [None, None]
    assert b"Ann Example" not in (works / "record.db").read_bytes()
    assert answered(capsys, "verify-record", works) | {"ok": True} == answered(capsys, "verify-record", works)
    assert answered(capsys, "verify-record", works)["head"] == head
    assert run(capsys, "people", works, "--forget", "P9")[0] == 2
    assert run(capsys, "people", works, "--name", "nobody")[0] == 2


def test_what_was_kept_long_enough_is_removed_when_told_to(
    works: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    from pairwright.archive.attachments import keep, place

    body = (works / "works.toml").read_text()
    (works / "works.toml").write_text(
        body + '\n[keeping]\nnames = "365 d"\nphotographs = "30 d"\nrecords = "900 d"\n'
    )
    picture, young, curve = (keep(works, one) for one in (b"a picture", b"a young one", b"a curve"))
    lines = (
        *PRESSED,
        event("p1", "noted", {"photograph": picture}, item="S-1"),
        event("p2", "noted", {"photograph": young}, item="S-1") .replace("2027-03-02T", "2027-06-20T"),
        event("c1", "measured", {"characteristic": "opening", "attachment": curve}, item="S-1"),
    )  # fmt: skip
    answered(capsys, "record", works, write(works, *lines), "--now", NOW)
    answered(capsys, "people", works, "--name", "P1=Ann")

    early = answered(capsys, "keeping", works, "--now", "2027-07-01T00:00:00+02:00")
    late = answered(capsys, "keeping", works, "--now", "2028-08-01T00:00:00+02:00")
    assert place(works, picture).is_file()
    done = answered(capsys, "keeping", works, "--now", "2027-07-01T00:00:00+02:00", "--carry-out")
    after = answered(capsys, "keeping", works, "--now", "2027-07-01T00:00:00+02:00")

    assert (early["names"], early["photographs"], early["records"]) == ([], [picture], [])
    assert (late["names"], set(late["photographs"]), late["records"]) == (["P1"], {picture, young}, [])
    assert done["removed"]
    assert after["photographs"] == []
    assert not place(works, picture).exists()
    assert place(works, young).is_file()
    assert place(works, curve).is_file()
    assert answered(capsys, "verify-record", works)["ok"]
