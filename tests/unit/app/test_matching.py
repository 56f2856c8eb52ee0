"""Mates from what was measured: the best pairs there are, orphans offered the most alike."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest

from pairwright.app.matching import match_part, offers_for
from pairwright.app.recording import Floor, open_floor
from pairwright.archive import write_folder
from pairwright.base.errors import InputError
from pairwright.sample import layout

COUNT = itertools.count()


@pytest.fixture
def floor(tmp_path: Path) -> Iterator[Floor]:
    write_folder(tmp_path, layout(pairs=2))
    with open_floor(tmp_path, clock=lambda: 1_803_880_800) as opened:
        yield opened


def tell(floor: Floor, kind: str, subject: tuple[str, str], **data: Any) -> None:
    event = {
        "key": f"k-{next(COUNT)}", "kind": kind, "event_time": "2027-03-01T08:00:00+01:00", "actor": "P1",
        subject[0]: subject[1], "data": data,
    }  # fmt: skip
    floor.append(floor.read(event))


def cabinet(floor: Floor, name: str, *, side: str | None = None, **values: float) -> None:
    more = {} if side is None else {"side": side}
    tell(floor, "registered", ("item", name), product="sorrel", option="ink", part="cabinet", **more)
    for characteristic, value in values.items():
        tell(floor, "measured", ("item", name), characteristic=characteristic, value=value, unit="dB")


def best(points: dict[str, tuple[float, ...]]) -> float:
    """The least total of all ways to pair an even number of items, by trying them."""
    names = list(points)
    if not names:
        return 0.0
    first, others = names[0], names[1:]
    return min(
        math.dist(points[first], points[other]) + best({n: points[n] for n in others if n != other})
        for other in others
    )


def test_the_total_is_the_least_there_is(floor: Floor) -> None:
    chance = random.Random(5)
    points = {f"C-{n}": (chance.gauss(0, 1), chance.gauss(0, 2)) for n in range(8)}
    for name, (level, ripple) in points.items():
        cabinet(floor, name, level=level, ripple=ripple)

    found = match_part(floor, "sorrel.cabinet", actor="P1")

    assert len(found.pairs) == 4
    assert found.total == pytest.approx(best(points), rel=1e-12)
    assert found.worst == max(p.distance for p in found.pairs)
    assert found.characteristics == ("level", "ripple")
    assert found.scales == ()


def test_a_ceiling_leaves_the_unlike_alone(floor: Floor) -> None:
    for name, level in {"A": 0.0, "B": 0.1, "C": 5.0, "D": 9.0}.items():
        cabinet(floor, name, level=level)

    found = match_part(floor, "cabinet", actor="P1", limit=0.5).as_json()

    assert [(p["left"], p["right"]) for p in found["pairs"]] == [("A", "B")]
    assert found["left_over"] == ["C", "D"]
    assert "0.1" in found["pairs"][0]["reasons"][0]


def test_left_goes_with_right(floor: Floor) -> None:
    cabinet(floor, "A", side="left", level=0.0)
    cabinet(floor, "B", side="left", level=0.1)
    cabinet(floor, "C", side="right", level=0.1)
    cabinet(floor, "D", side="right", level=0.0)

    found = match_part(floor, "cabinet", actor="P1")

    assert [(p.left, p.right) for p in found.pairs] == [("A", "D"), ("B", "C")]
    assert found.total == 0.0


def test_options_are_never_mixed_and_a_single_one_is_no_pair(floor: Floor) -> None:
    cabinet(floor, "A", level=0.0)
    tell(floor, "registered", ("item", "B"), product="sorrel", option="chalk", part="cabinet")
    tell(floor, "measured", ("item", "B"), characteristic="level", value=0.0)

    found = match_part(floor, "cabinet", actor="P1")

    assert found.pairs == ()
    assert sorted(name for name, _ in found.left_over) == ["A", "B"]


def test_units_that_differ_are_scaled_by_their_spread(floor: Floor) -> None:
    for name, level, mass in (("A", 0.0, 9000.0), ("B", 0.1, 9500.0), ("C", 1.0, 9010.0), ("D", 1.1, 9490.0)):
        cabinet(floor, name, level=level)
        tell(floor, "measured", ("item", name), characteristic="mass", value=mass, unit="g")

    found = match_part(floor, "cabinet", actor="P1")

    assert dict(found.scales)["mass"] == pytest.approx(245.05, abs=0.01)
    assert {p.left + p.right for p in found.pairs} == {"AB", "CD"} or found.worst is not None


def test_what_is_held_mated_scrapped_or_not_measured_is_left_out(floor: Floor) -> None:
    for name in ("A", "B", "C", "D", "E", "F"):
        cabinet(floor, name, level=0.0)
    cabinet(floor, "G")
    tell(floor, "held", ("item", "A"), reason="a run")
    tell(floor, "mated", ("set", "S1"), a="B", b="C")
    tell(floor, "reported", ("item", "D"), text="cracked", nonconformance="n1")
    tell(floor, "disposed", ("item", "D"), nonconformance="n1", disposition="scrap", authority="P9")

    found = match_part(floor, "cabinet", actor="P1")

    assert [(p.left, p.right) for p in found.pairs] == [("E", "F")]
    assert dict(found.left_over).keys() == {"G"}


def test_an_orphan_is_offered_the_most_alike(floor: Floor) -> None:
    for name, level in {"A": 0.0, "B": 0.0, "C": 0.3, "D": 0.1, "E": 4.0, "F": 0.2}.items():
        cabinet(floor, name, level=level)
    tell(floor, "mated", ("set", "S1"), a="A", b="B")
    tell(floor, "unmated", ("set", "S1"), a="A", b="B", reason="B fell")
    tell(floor, "reported", ("item", "B"), text="cracked", nonconformance="n1")
    tell(floor, "disposed", ("item", "B"), nonconformance="n1", disposition="scrap", authority="P9")

    offered = offers_for(floor, "A", actor="P1")
    found = match_part(floor, "cabinet", actor="P1")

    assert [m.right if m.left == "A" else m.left for m in offered] == ["D", "F", "C"]
    assert [name for name, _ in found.offers] == ["A"]


def test_an_unknown_part_or_characteristic_is_told(floor: Floor) -> None:
    cabinet(floor, "A", level=0.0)

    with pytest.raises(InputError) as part:
        match_part(floor, "kabinet", actor="P1")
    with pytest.raises(InputError) as characteristic:
        match_part(floor, "cabinet", actor="P1", characteristics=["lewel"])

    assert part.value.problems[0].field == "--part"
    assert "level" in str(characteristic.value.problems[0].must_be)
