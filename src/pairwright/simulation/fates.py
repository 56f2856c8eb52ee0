"""How steps end on a simulated floor: readings, what is seen, what becomes of what does not conform, leaving."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import TYPE_CHECKING, Final

from pairwright.base.digests import digest_bytes
from pairwright.base.time import DAY, HOUR, MINUTE
from pairwright.simulation.hidden import Hidden, Luck
from pairwright.simulation.lives import AGAIN, ASIDE, LOST, Life, Pieces
from pairwright.simulation.logs import is_logged, machine_log
from pairwright.simulation.moments import Diary, Rank
from pairwright.simulation.people import LEAD
from pairwright.simulation.values import Shown, Truth
from pairwright.works import Works
from pairwright.works.product import Product, Step

if TYPE_CHECKING:
    from pairwright.plan.schedule import Operation

WAITS: Final = 4 * HOUR  # from which on a decision may be left for later
LATER: Final = 0.5  # of those that could be
SOON: Final = 30 * MINUTE  # before the piece goes on, where it was left
ZONE_SEEN: Final = 0.08  # of zones looked over: something small is there that may stay
HARDNESS_DAYS: Final = (1.0, 3.0, 6.0)
LOG: Final = "sim-log"
_WHY: Final = {
    "late": "it went back, and is later than its mate or than the window: looked at, it may go on",
    "charge": "it is dried once more by itself: its mate was good",
}


class Fates:
    """Ends of steps.

    Parameters
    ----------
    works : Works
        The works.
    diary : Diary
        Where they are written.
    hidden : Hidden
        The floor's constants.
    truth : Truth
        What instruments show.
    pieces : Pieces
        All of them: a half's fate is its mate's too.
    """

    def __init__(self, works: Works, diary: Diary, *, hidden: Hidden, truth: Truth, pieces: Pieces) -> None:
        self._works, self._diary, self._hidden, self._truth = works, diary, hidden, truth
        self._luck = Luck(hidden.seed, "fates")
        self._losses = {
            (life.set, life.part, life.turn): life.end for life in pieces.lives if LOST in life.ends.values()
        }
        self._logged: dict[tuple[str, int], tuple[str, bytes, tuple[tuple[int, int], ...], str]] = {}

    # what is read and seen

    def readings(self, life: Life, place: int, *, subjects: Iterable[Life], person: str) -> None:
        """What is measured and looked over at the end of a step, and the machine's log of it."""
        one = life.operations[place]
        product = self._product(life)
        step = product.parts[life.part].steps[one.index]
        root = life.part == product.root
        for half in subjects:
            if is_logged(step) and self._works.factory.stations[str(one.station)].kind != "line":
                self._log(half, one, step)
            shown = list(self._truth.after(half, step, at=one.end, root=root))
            if step.kind == "measure":
                shown += self._truth.response(half, at=one.end)
            for reading in shown:
                self._measure(("item", half.id), reading, one, person=person)
            if step.kind == "inspect" and root:
                self._look(half, one, product, person=person, found=life.ends.get(place) == AGAIN)
        if root and step.kind != "rest":
            self._hardness(life, place, person=person)

    def _measure(self, subject: tuple[str, str], shown: Shown, one: Operation, *, person: str) -> None:
        at = one.end
        value = shown.value
        name = f"{subject[1]} {shown.characteristic} {at}"
        mistyped = self._luck.happens(f"{name} typed", self._hidden.mistyped)
        data = {"characteristic": shown.characteristic, "value": round(10.0 * value, 3) if mistyped else value,
                "unit": shown.unit, "instrument": shown.instrument}  # fmt: skip
        key = self._diary.event(at, Rank.READING, kind="measured", actor=person, subject=subject,
                                station=one.station, data=data)  # fmt: skip
        if mistyped and value:
            self._diary.event(
                at, Rank.READING, kind="corrected", actor=person,
                data={"event": key, "reason": "incorrect_data", "explanation": "the point was one place off",
                      "replacement": {"data": {"value": value}}},
            )  # fmt: skip

    def _hardness(self, life: Life, place: int, *, person: str) -> None:
        """Pendulum readings in the rest after the last stove."""
        product = self._product(life)
        steps = product.parts[life.part].steps
        following = life.operations[place + 1 : place + 2]
        if steps[life.operations[place].index].kind != "stove" or not following:
            return
        rest, begun = following[0], life.operations[place].end
        if steps[rest.index].kind != "rest":
            return
        for days in HARDNESS_DAYS:
            at = begun + int(days * DAY)
            if at < rest.end:
                shown = self._truth.hardness(life, days=days, at=at)
                self._diary.event(
                    at, Rank.READING, kind="measured", actor=person, subject=("item", life.id),
                    data={"characteristic": shown.characteristic, "value": shown.value, "unit": shown.unit,
                          "instrument": shown.instrument},
                )  # fmt: skip

    def _look(self, half: Life, one: Operation, product: Product, *, person: str, found: bool) -> None:
        """Zone after zone; where the piece is to go back, one zone shows why."""
        zones = list(product.inspection.zones) if product.inspection is not None else []
        name = f"{half.id} {one.step} {one.end}"
        bad = int(self._luck.share(f"{name} where") * len(zones)) if found and zones else -1
        for number, zone in enumerate(zones):
            data: dict[str, object] = {"zone": zone}
            if number == bad:
                kind = (
                    self._luck.one_of(f"{name} what", self._hidden.defects) if self._hidden.defects else None
                )
                data |= {"defect": kind, "size": round(0.002 + 0.006 * self._luck.share(f"{name} size"), 4)}
            else:
                small = self._luck.happens(f"{name} {zone}", ZONE_SEEN)
                data |= {"clear": True, "text": "something small, within the limit sample" if small else None}
            if number != bad or data.get("defect") is not None:
                self._diary.event(one.end, Rank.READING, kind="inspected", actor=person, subject=("item", half.id),
                                  station=one.station, data=data)  # fmt: skip
        if not zones and not found:
            self._diary.event(one.end, Rank.READING, kind="inspected", actor=person, subject=("item", half.id),
                              station=one.station, data={"clear": True})  # fmt: skip

    def _log(self, life: Life, one: Operation, step: Step) -> None:
        charge = one.batch or f"{life.id} {one.step}"
        key = (charge, one.start)
        files: tuple[bytes, ...] = ()
        if key not in self._logged:
            log = machine_log(step, name=f"{charge} {one.start}", start=one.start, end=one.end,
                              zone=self._works.zone, luck=self._luck, chance=self._hidden.log_gap)  # fmt: skip
            self._logged[key] = digest_bytes(log.content), log.content, log.gaps, log.quantity
            files = (log.content,)
        digest, _, gaps, quantity = self._logged[key]
        zone = self._diary.moment_of
        self._diary.event(
            one.end, Rank.AFTER, kind="logged", actor=LOG, subject=("item", life.id), station=one.station,
            files=files,
            data={"source": one.station, "from": zone(one.start), "to": zone(one.end), "attachment": digest,
                  "quantity": quantity, "gaps": [[zone(a), zone(b)] for a, b in gaps],
                  "batch": one.batch},
        )  # fmt: skip

    # what does not conform

    def gone(self, life: Life, place: int) -> int:
        """When a lost piece, or the mate of one, is put away."""
        end = life.operations[place].end
        return max(end, self._losses.get((life.set, life.part, life.turn), end))

    def ended(self, life: Life, place: int, *, person: str) -> int | None:
        """A step that did not end well; answers the place in the route that the piece goes back to."""
        one = life.operations[place]
        product = self._product(life)
        steps = product.parts[life.part].steps
        step = steps[one.index]
        end = life.ends[place]
        if end == ASIDE:
            self._decide(
                life,
                self.gone(life, place),
                name="scrap",
                data={"reason": "its mate was lost, and no other fits it"},
            )
            return None
        seen = step.kind == "inspect" and product.inspection is not None and life.part == product.root
        key = None
        if not (seen and self._hidden.defects and end == AGAIN):
            said = "lost in the step" if end == LOST else "not as it must be"
            words = {"text": f"{step.name or step.id}: {said}"}
            key = self._diary.act(one.end, Rank.REPORT, name="problem", actor=person, scanned=(life.id,),
                                  station=one.station, step=step.id, data=words)  # fmt: skip
        if end == LOST:
            self._decide(life, one.end, name="scrap", data={"reason": "beyond repair"})
            return None
        goes_on = life.operations[place + 1].start
        at = one.end
        if key is not None and goes_on - one.end >= WAITS and self._luck.happens(f"{life.id} {key}", LATER):
            self._diary.event(at, Rank.DECISION, kind="disposed", actor=LEAD, subject=("item", life.id),
                              data={"nonconformance": key, "disposition": "hold", "authority": LEAD,
                                    "reason": "to be looked at by daylight"})  # fmt: skip
            at = goes_on - SOON
        to = step.rework.to if step.rework is not None else step.id
        self._decide(life, at, name="rework", data={"to_step": to, "reason": "done again from there"})
        return next(number for number, other in enumerate(steps) if other.id == to)

    def concede(self, life: Life, one: Operation, *, at: int, person: str, why: str) -> None:
        """Somebody decides that a piece may go on although a rule speaks against it."""
        self._diary.act(at, Rank.REPORT, name="problem", actor=person, scanned=(life.id,), station=one.station,
                        step=one.step, data={"text": _WHY[why]})  # fmt: skip
        self._decide(life, at, name="concession", data={"reason": _WHY[why]})

    def _decide(self, life: Life, at: int, *, name: str, data: dict[str, str]) -> None:
        self._diary.act(at, Rank.DECISION, name=name, actor=LEAD, scanned=(life.id,), data=data)

    # leaving

    def leaves(self, life: Life, place: int, *, halves: Iterable[Life], person: str) -> None:
        """After the last step a set is released, and goes two hours later."""
        one = life.operations[place]
        if (
            one.index != len(self._product(life).parts[life.part].steps) - 1
            or life.ends.get(place) is not None
        ):
            return
        paper = {"set": life.set, "halves": [half.id for half in halves], "simulated": True,
                 "packed": self._diary.moment_of(one.end)}  # fmt: skip
        content = json.dumps(paper, sort_keys=True).encode()
        digest = digest_bytes(content)
        self._diary.event(one.end, Rank.AFTER, kind="released", actor=LEAD, subject=("set", life.set),
                          data={"dossier": digest}, files=(content,))  # fmt: skip
        self._diary.event(one.end + 2 * HOUR, Rank.BOOK, kind="shipped", actor=person, subject=("set", life.set),
                          data={"dossier": digest, "to": "the customer of its order"})  # fmt: skip

    def _product(self, life: Life) -> Product:
        return self._works.variants[life.product, life.option]
