"""Machine logs of a floor: taken from a folder, attached, held against the model, told of."""

from __future__ import annotations

import json
import os
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from pairwright.app import telling
from pairwright.app.machine_curves import proofs_of, take_logs
from pairwright.app.recording import Floor, open_floor
from pairwright.process.context import contexts
from pairwright.process.press_heat import heated, inputs_of
from pairwright.sample import layout
from pairwright.works import load_works
from pairwright.works.recipe import PressRecipe

TEXTS = layout(pairs=1)
WORKS = load_works(TEXTS)
PRESS = next(c for c in contexts(WORKS) if isinstance(c.step.recipe, PressRecipe))
CYCLE = heated(inputs_of(PRESS)).cycle
STATION = (
    PRESS.step.stations[0].station if hasattr(PRESS.step.stations[0], "station") else PRESS.step.stations[0]
)
BEGIN = 1_804_000_000


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    """A works that tells of holds and unproven cures."""
    for path, body in TEXTS.items():
        place = tmp_path / "works" / path
        place.parent.mkdir(parents=True, exist_ok=True)
        more = ""
        if path == "works.toml":
            more = (
                '\n[[telling]]\nof = "cure"\npeople = ["p-7"]\nby = "webhook"\nto = "http://127.0.0.1:9/hook"\n'
                '\n[[telling]]\nof = "hold"\npeople = ["p-7", "p-8"]\n'
            )
        place.write_text(body + more)
    return tmp_path / "works"


def floor_of(folder: Path) -> Floor:
    return open_floor(folder, rules=lambda _: (), clock=lambda: BEGIN + 9999)


def happened(kind: str, at: int, **data: Any) -> dict[str, Any]:
    return {
        "key": f"{kind}-{at}", "kind": kind, "event_time": datetime.fromtimestamp(at, UTC).isoformat(),
        "actor": "p-1", "station": STATION, "item": "S-1", "data": data,
    }  # fmt: skip


def pressed(floor: Floor, seconds: int) -> None:
    product = PRESS.product
    floor.append(
        floor.read(
            [
                happened(
                    "registered", BEGIN - 60, product=product.id, option=product.option, part=PRESS.part_id
                ),
                happened("started", BEGIN, step=PRESS.step.id),
                happened("finished", BEGIN + seconds, step=PRESS.step.id),
            ]
        )
    )


def log(folder: Path, name: str, *, length: int, leave: tuple[int, int] = (1, 0), less: float = 0.0) -> Path:
    """A log of the platens, every five seconds, with a stretch left out."""
    platen = PRESS.recipe(PressRecipe).platen - 273.15 - less
    rows = [
        f"{datetime.fromtimestamp(BEGIN + t, UTC).isoformat()},{platen:.2f}"
        for t in range(-30, length + 60, 5)
        if not leave[0] < t < leave[1]
    ]
    path = folder / name
    path.write_text("time,platen [degC]\n" + "\n".join(rows) + "\n")
    os.utime(path, (1000.0, 1000.0))
    return path


def taken(floor: Floor, logs: Path) -> list[Any]:
    return list(take_logs(floor, logs, actor="p-1", now=BEGIN + 9999, clock=2000.0))


def length() -> int:
    assert CYCLE is not None
    return round(CYCLE.open_time) + 10


def test_a_whole_log_proves_a_cure_and_is_taken_once(folder: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    with floor_of(folder) as floor:
        pressed(floor, length())
        log(logs, f"{STATION}_a.csv", length=length())

        first, again = taken(floor, logs), taken(floor, logs)
        (proof,) = proofs_of(floor, "S-1")

        assert [one.items for one in (*first, *again)] == [("S-1",), ("S-1",)]
        assert proof.proof.verdict == "good"
        assert proof.logs == (first[0].digest,)
        trace = floor.record.trace("S-1")
        assert trace is not None
        assert [e.event.kind for e in trace.history].count("logged") == 1


def test_a_gap_leaves_the_cure_unproven_and_somebody_is_told(folder: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    with floor_of(folder) as floor:
        pressed(floor, length())
        log(logs, f"{STATION}_a.csv", length=length(), leave=(100, 200))
        (one,) = taken(floor, logs)
        notices = telling.notices_of(floor, now=BEGIN + 9999)

        assert one.gaps == 1
        (notice,) = notices
        assert (notice.of, notice.about, notice.people, notice.open) == (
            "cure",
            "S-1",
            ("p-7",),
            True,
        )

        telling.acknowledge(floor, notice.key, actor="p-7", now=BEGIN + 9999, now_of=notices)
        (after,) = telling.notices_of(floor, now=BEGIN + 9999)
        assert not after.open
        assert after.seen == (("p-7", BEGIN + 9999),)


def test_a_message_is_sent_once_and_only_when_it_arrives(folder: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    carried: list[str] = []
    with floor_of(folder) as floor:
        pressed(floor, length())
        log(logs, f"{STATION}_a.csv", length=length(), less=20.0)
        taken(floor, logs)

        def notices() -> tuple[Any, ...]:
            return telling.notices_of(floor, now=BEGIN + 9999)

        def carry(message: Any, mail: object, works: str) -> None:
            carried.append(f"{message.by} {message.to} {works}")

        (lost,) = telling.send(floor, notices(), actor="p-1", now=BEGIN + 9999)
        assert lost.why is not None
        (sent,) = telling.send(floor, notices(), actor="p-1", now=BEGIN + 9999, carry=carry)
        assert sent.why is None
        assert telling.send(floor, notices(), actor="p-1", now=BEGIN + 9999, carry=carry) == ()
        assert carried == [f"webhook http://127.0.0.1:9/hook {WORKS.factory.name}"]


def test_a_log_of_nothing_waits_and_a_damaged_one_is_refused(folder: Path, tmp_path: Path) -> None:
    logs = tmp_path / "logs"
    logs.mkdir()
    with floor_of(folder) as floor:
        before = floor.record.head()
        log(logs, f"{STATION}_a.csv", length=600)
        log(logs, "elsewhere_b.csv", length=600)
        broken = log(logs, f"{STATION}_c.csv", length=600)
        broken.write_text("time,platen\n1,2\n")
        os.utime(broken, (1000.0, 1000.0))

        found = {one.file: one for one in taken(floor, logs)}

        assert all(one.why and not one.items for one in found.values())
        assert len(found) == 3
        assert floor.record.head() == before


def test_a_hold_is_told_to_two_and_stays_open_until_both_know(folder: Path) -> None:
    with floor_of(folder) as floor:
        pressed(floor, length())
        floor.append(floor.read(happened("held", BEGIN + 5000, reason="a dent")))
        notices = telling.notices_of(floor, now=BEGIN + 9999)
        (hold,) = [n for n in notices if n.of == "hold"]

        telling.acknowledge(floor, hold.key, actor="p-7", now=BEGIN + 9999, now_of=notices)
        (half,) = [n for n in telling.notices_of(floor, now=BEGIN + 9999) if n.of == "hold"]
        assert half.open
        telling.acknowledge(floor, hold.key, actor="p-8", now=BEGIN + 9999, now_of=notices)
        (both,) = [n for n in telling.notices_of(floor, now=BEGIN + 9999) if n.of == "hold"]
        assert not both.open


def test_late_orders_are_read_from_a_plan_document() -> None:
    plan = json.loads(
        '{"orders": [{"order": "M1", "late": 3600}, {"order": "M2", "late": 0}, 7, {"late": true}]}'
    )

    assert telling.late_in(plan) == {"M1": 3600}
    assert telling.late_in({}) == {}
