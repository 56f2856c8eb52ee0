"""The record: keys, all or nothing, one writer, readers that can't write, names apart."""

from __future__ import annotations

import os
import sqlite3
import subprocess
import sys
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from pairwright.archive.record import Record, Slots, open_record
from pairwright.archive.writer import Answer, EventsRefusedError
from pairwright.base.errors import MachineryError, PairwrightError, RefusedError
from pairwright.base.findings import Finding
from pairwright.base.words import text
from pairwright.floor import Event, State
from tests.unit.floor.events import DOSSIER, event


@pytest.fixture
def record(tmp_path: Path) -> Iterator[Record]:
    with open_record(tmp_path, clock=lambda: 1_803_900_000) as opened:
        yield opened


def code(caught: pytest.ExceptionInfo[EventsRefusedError]) -> list[str]:
    return [finding.code for finding in caught.value.findings]


def test_an_append_answers_key_sequence_and_hash(record: Record) -> None:
    first, second = record.append([event("registered", "item A"), event("registered", "item B")])

    assert (first.sequence, second.sequence) == (1, 2)
    assert record.head().hash == second.hash
    assert set(first.as_json()) == {"key", "sequence", "hash"}


def test_the_same_again_answers_the_same_and_other_content_is_refused(record: Record) -> None:
    one = event("registered", "item A", key="k")
    answer = record.append([one])

    again = record.append([one])

    assert again == answer
    assert again[0].replayed
    with pytest.raises(EventsRefusedError) as caught:
        record.append([event("registered", "item B", key="k")])
    assert code(caught) == ["key_used"]
    assert record.head().sequence == 1


def test_one_bad_event_keeps_all_out(record: Record) -> None:
    good, bad = event("registered", "item A"), event("held", "lot L-9", reason="x")

    with pytest.raises(EventsRefusedError) as caught:
        record.append([good, bad])

    assert code(caught) == ["unknown_lot"]
    assert caught.value.key == bad.key
    assert list(record.events()) == []
    assert record.append([good])[0].sequence == 1


def test_events_of_one_request_build_upon_each_other(record: Record) -> None:
    record.append(
        [
            event("received", "lot L-1", quantity=1.0, unit="kg"),
            event("finished", "item A", step="press", inputs=[{"lot": "L-1", "quantity": 0.6}]),
        ]
    )

    with pytest.raises(EventsRefusedError) as caught:
        record.append(
            [
                event("finished", "item B", step="press", inputs=[{"lot": "L-1", "quantity": 0.3}]),
                event("finished", "item C", step="press", inputs=[{"lot": "L-1", "quantity": 0.3}]),
            ]
        )

    assert code(caught) == ["lot_used_up"]
    with record.reading() as reading:
        lot = reading.state().lot("L-1")
        assert lot is not None
        assert str(lot.rest) == "0.4"
        assert reading.state().item("B") is None


def test_the_record_keeps_two_clocks(record: Record) -> None:
    record.append([event("noted", None, text="x", at="2027-03-01T06:00:00+01:00")])

    entry = next(record.events())

    assert (entry.event.event_time, entry.record_time) == (1_803_877_200, 1_803_900_000)


def test_rules_of_the_works_are_asked_too(tmp_path: Path) -> None:
    def closed(state: State, one: Event) -> list[Finding]:
        if one.station != "bench-1" or state.item("A") is None:
            return []
        return [Finding("station_closed", "error", "bench-1", text("the bench is closed today"))]

    with open_record(tmp_path, rules=(closed,)) as record:
        record.append([event("registered", "item A")])
        with pytest.raises(EventsRefusedError) as caught:
            record.append([event("noted", "item A", text="x")])

    assert code(caught) == ["station_closed"]


def test_a_rule_that_breaks_is_told_and_the_writer_goes_on(tmp_path: Path) -> None:
    def broken(state: State, one: Event) -> list[Finding]:
        if one.subject == "B":
            raise LookupError("a mistake in a rule")
        return []

    with open_record(tmp_path, rules=(broken,)) as record:
        record.append([event("registered", "item A")])
        with pytest.raises(LookupError):
            record.append([event("registered", "item B")])
        assert record.append([event("registered", "item C")])[0].sequence == 2
        assert record.verify().ok


def test_many_clients_get_gap_free_numbers_and_their_own_answers(record: Record) -> None:
    answers: dict[str, Answer] = {}

    def client(number: int) -> None:
        for n in range(25):
            one = event("registered", f"item I-{number}-{n}", key=f"{number}-{n}")
            answers[one.key] = record.append([one])[0]

    threads = [threading.Thread(target=client, args=(n,)) for n in range(8)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    entries = {entry.event.key: entry for entry in record.events()}
    assert sorted(entry.sequence for entry in entries.values()) == list(range(1, 201))
    assert all((entries[k].sequence, entries[k].hash) == (a.sequence, a.hash) for k, a in answers.items())
    assert record.verify().ok


def test_what_is_closed_takes_nothing(tmp_path: Path) -> None:
    record = open_record(tmp_path)
    record.append([event("registered", "item A")])
    record.close()
    record.close()

    with pytest.raises(PairwrightError):
        record.append([event("registered", "item B")])


def test_a_second_writer_is_refused_readers_are_not(tmp_path: Path) -> None:
    script = (
        "import sys; from pathlib import Path; from pairwright.archive.record import open_record\n"
        "from pairwright.base.errors import RefusedError\n"
        "with open_record(Path(sys.argv[1]), readonly=True) as r: print(r.head().sequence)\n"
        "try: open_record(Path(sys.argv[1]))\n"
        "except RefusedError as e: print(e)\n"
    )
    with open_record(tmp_path) as record:
        record.append([event("registered", "item A")])
        environment = {**os.environ, "PYTHONPATH": os.pathsep.join(sys.path)}
        answer = subprocess.run(
            [sys.executable, "-c", script, str(tmp_path)], capture_output=True, text=True, env=environment
        )

    assert answer.returncode == 0, answer.stderr
    head, refusal = answer.stdout.splitlines()
    assert head == "1"
    assert f"process {os.getpid()}" in refusal
    open_record(tmp_path).close()


def test_a_reader_can_neither_write_nor_checkpoint(record: Record) -> None:
    record.append([event("registered", f"item A-{n}") for n in range(50)])
    log = record.path.with_name(record.path.name + "-wal")
    before = log.stat().st_size
    assert before > 0

    with record.connection() as connection:
        raw = connection.connection.driver_connection
        assert isinstance(raw, sqlite3.Connection)
        for statement in ("DELETE FROM event", "DROP TABLE touch", "INSERT INTO about VALUES ('a', 'b')"):
            with pytest.raises(sqlite3.OperationalError):
                raw.execute(statement)
    opened = sqlite3.connect(f"file:{record.path}?mode=ro", uri=True)
    with pytest.raises(sqlite3.OperationalError):
        opened.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchall()
    opened.close()
    assert log.stat().st_size == before


def test_the_writer_syncs_fully_and_alone(record: Record) -> None:
    def settings(connection: object) -> list[object]:
        raw = connection.connection.driver_connection  # type: ignore[attr-defined]
        return [raw.execute(f"PRAGMA {name}").fetchone()[0] for name in ("journal_mode", "synchronous")]

    assert record.writer.call(settings) == ["wal", 2]


@pytest.mark.parametrize(
    "statement", ["UPDATE event SET body = '{}'", "DELETE FROM event WHERE sequence = 1"]
)
def test_an_event_can_not_be_changed_even_by_hand(tmp_path: Path, statement: str) -> None:
    with open_record(tmp_path) as record:
        record.append([event("registered", "item A")])
        path = record.path
    by_hand = sqlite3.connect(path)

    with pytest.raises(sqlite3.IntegrityError, match="appended"):
        by_hand.execute(statement)
    by_hand.close()


def test_a_full_disk_is_told_and_nothing_is_lost(record: Record) -> None:
    record.append([event("registered", "item A")])

    def limit(pages: int) -> None:
        def act(connection: object) -> None:
            connection.connection.driver_connection.execute(f"PRAGMA max_page_count={pages}")  # type: ignore[attr-defined]

        record.writer.call(act)

    limit(1)
    big = [event("noted", "item A", key=f"big-{n}", text="x" * 1900) for n in range(40)]
    with pytest.raises(MachineryError, match="disk is full"):
        record.append(big)
    assert record.head().sequence == 1
    limit(1 << 30)
    assert record.append(big)[-1].sequence == 41
    assert record.verify().ok


def test_names_are_apart_and_can_be_forgotten_without_a_trace(record: Record) -> None:
    record.set_names({"P1": "Wilhelmina Duck", "P2": "Barnaby Reed"})
    record.append([event("noted", None, text="x", actor="P1")])
    record.set_names({"P1": "Wilhelmina Swan"})
    head = record.head()
    with record.reading() as reading:
        assert reading.names() == {"P1": "Wilhelmina Swan", "P2": "Barnaby Reed"}

    record.forget_names(["P1"])
    with record.reading() as reading:
        assert reading.names() == {"P2": "Barnaby Reed"}
    record.forget_names()

    record.close()
    left = b"".join(path.read_bytes() for path in record.path.parent.iterdir())
    assert b"Wilhelmina" not in left
    assert b"Barnaby" not in left
    with open_record(record.path) as again:
        assert again.head() == head
        assert again.verify().ok


def test_lists_are_paged_by_key_and_counted(record: Record) -> None:
    record.append(
        [event("registered", f"item C-{n:02d}", part="shell" if n % 2 else "baffle") for n in range(9)]
    )
    record.append([event("disposed", "item C-03", nonconformance="N", disposition="scrap", authority="P9")])

    with record.reading() as reading:
        first = reading.things("item", limit=4)
        second = reading.things("item", limit=4, after=first[-1].id)
        assert [one.id for one in (*first, *second)] == [f"C-{n:02d}" for n in range(8)]
        assert [one.id for one in reading.things("item", part="shell")] == ["C-01", "C-03", "C-05", "C-07"]
        assert reading.counts() == {"scrapped": 1, "waiting": 8}
        assert reading.counts("part", kind="item") == {"baffle": 5, "shell": 4}
        assert [entry.event.subject for entry in reading.find("registered", limit=2, newest=True)] == [
            "C-08",
            "C-07",
        ]
        assert len(reading.find(station="bench-1", after=9)) == 1


def test_no_question_walks_through_all_events(record: Record) -> None:
    record.append([event("received", "lot L-1", quantity=1.0, unit="kg")])
    questions = [
        "SELECT e.* FROM touch t JOIN event e ON t.sequence = e.sequence WHERE t.thing = 'A' ORDER BY t.sequence",
        "SELECT * FROM event WHERE key = 'k'",
        "SELECT whole FROM link WHERE part = 'A' ORDER BY whole",
        "SELECT part FROM link WHERE whole = 'A'",
        "SELECT id FROM thing WHERE folded = 'A' AND id <> 'a'",
        "SELECT e.* FROM filed f JOIN event e ON f.sequence = e.sequence WHERE f.kind = 'measured' AND f.sequence > 5",
        "SELECT e.* FROM filed f JOIN event e ON f.sequence = e.sequence WHERE f.station = 's' AND f.sequence > 5",
        "SELECT * FROM thing WHERE kind = 'item' AND id > 'a' ORDER BY id",
    ]

    with record.reading() as reading:
        for question in questions:
            steps = reading.plan_of(question)
            assert not [step for step in steps if step.startswith("SCAN")], (question, steps)


def test_the_tables_are_built_anew_from_the_events(record: Record) -> None:
    record.append(
        [
            event("received", "lot L-1", quantity=1.0, unit="kg"),
            event("finished", "item A", step="press", inputs=[{"lot": "L-1", "quantity": 0.5}], key="wrong"),
            event("corrected", None, event="wrong", reason="did_not_occur"),
            event("mated", "set S1", left="B", right="C"),
            event("measured", "set S1", characteristic="level", value=1),
            event("released", "set S1", dossier=DOSSIER),
        ]
    )
    assert record.verify().ok

    def spoil(connection: object) -> None:
        with connection.begin():  # type: ignore[attr-defined]
            connection.exec_driver_sql("DELETE FROM touch WHERE thing = 'S1'")  # type: ignore[attr-defined]
            connection.exec_driver_sql("UPDATE thing SET standing = 'lost'")  # type: ignore[attr-defined]

    record.writer.call(spoil)
    problems = record.verify().problems
    assert [(one.code, one.subject) for one in problems] == [
        ("record_index_differs", "touch"), ("record_index_differs", "thing")
    ]  # fmt: skip
    assert record.rebuild() == 6
    assert record.verify().ok


def test_a_reading_sees_one_state(record: Record) -> None:
    record.append([event("registered", "item A")])

    with record.reading() as reading:
        assert reading.head().sequence == 1
        record.append([event("registered", "item B")])
        assert reading.head().sequence == 1
        assert reading.state().item("B") is None
    assert record.head().sequence == 2


def test_places_to_read_are_given_in_order_and_never_lost() -> None:
    slots, order = Slots(1), []
    begun = [threading.Event() for _ in range(3)]

    def reader(number: int) -> None:
        begun[number].set()
        with slots, slots:
            order.append(number)

    threads = [threading.Thread(target=reader, args=(n,)) for n in range(3)]
    with slots:
        for number, thread in enumerate(threads):
            thread.start()
            begun[number].wait()
            while len(slots._queue) <= number:
                pass
    for thread in threads:
        thread.join()

    assert order == [0, 1, 2]
    assert slots._free == 1


def test_what_is_not_a_record_is_not_opened(tmp_path: Path) -> None:
    (tmp_path / "record.db").write_bytes(b"not a data base" * 1000)

    with pytest.raises(MachineryError, match="can't be opened"):
        open_record(tmp_path)
    with pytest.raises(MachineryError, match="can't be opened"):
        open_record(tmp_path, readonly=True)
    with pytest.raises(MachineryError, match="no such file"):
        open_record(tmp_path / "other.db", readonly=True)


def test_a_record_of_a_newer_program_is_left_alone(tmp_path: Path) -> None:
    with open_record(tmp_path) as record:
        path = record.path
    by_hand = sqlite3.connect(path)
    by_hand.execute("UPDATE about SET value = '99' WHERE name = 'schema_version'")
    by_hand.commit()
    by_hand.close()

    for readonly in (False, True):
        with pytest.raises(RefusedError, match="newer"):
            open_record(tmp_path, readonly=readonly)
