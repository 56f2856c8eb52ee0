"""The script of a simulated floor: for every piece the scans, starts, ends, readings and decisions."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from pairwright.app.acting_case import Begun
from pairwright.simulation.fates import Fates
from pairwright.simulation.hidden import Hidden, Luck
from pairwright.simulation.lives import ASIDE, LOST, Life, Pieces
from pairwright.simulation.lots import Stores
from pairwright.simulation.moments import Diary, Rank
from pairwright.simulation.pairs import Pairs
from pairwright.simulation.people import Cast
from pairwright.simulation.slips import Slips
from pairwright.simulation.track import Track
from pairwright.simulation.values import Truth
from pairwright.works.product import Product, Step

if TYPE_CHECKING:
    from pairwright.floor.routes import Routes
    from pairwright.plan.schedule import Operation

MOUNTED: Final = "join"  # the kind of step whose parts can come out again


@dataclass(frozen=True, slots=True)
class Turn:
    """A start or an end in the timeline."""

    at: int
    begins: bool
    life: Life
    place: int

    @property
    def operation(self) -> Operation:
        """What begins or ends."""
        return self.life.operations[self.place]


class Script:
    """Writes the diary of all pieces, in order of time.

    Parameters
    ----------
    routes : Routes
        Of the works, with materials.
    pieces : Pieces
        Of the course.
    hidden : Hidden
        The floor's constants.
    diary : Diary
        Where it is written.
    cast : Cast
        Who does it.
    stores : Stores
        What it is made of.
    truth : Truth
        What instruments show.
    """

    def __init__(
        self, routes: Routes, pieces: Pieces, *, hidden: Hidden, diary: Diary, cast: Cast, stores: Stores,
        truth: Truth,
    ) -> None:  # fmt: skip
        self.routes, self.works, self.pieces = routes, routes.works, pieces
        self.diary, self.cast, self.stores, self.truth = diary, cast, stores, truth
        self.track = Track(routes.works)
        self.pairs = Pairs(routes.works, diary, truth=truth, pieces=pieces)
        self.fates = Fates(routes.works, diary, hidden=hidden, truth=truth, pieces=pieces)
        self.slips = Slips(routes.works, diary, hidden=hidden, cast=cast)
        self._luck = Luck(hidden.seed, "script")
        self._known: set[str] = set()
        self._carriers: dict[str, list[str | None]] = {
            name: [None] * carrier.count for name, carrier in routes.works.factory.carriers.items()
        }
        self._held: dict[tuple[str, str], int] = {}  # life, pool -> number
        self._cleared: list[tuple[int, Life]] = []  # when what was lost gives back what it holds
        self._last_person: dict[str, str] = {}
        self._members: dict[
            tuple[str, str, str | None], list[Life]
        ] = {}  # of a set, in order of their beginning

    def write(self, *, until: int) -> None:
        """Write everything that happens before a moment, UTC seconds."""
        batches: set[tuple[str, int, bool]] = set()
        timeline = sorted(self._timeline(until), key=lambda one: (one.at, one.begins, one.life.id, one.place))
        shared: dict[tuple[str, int, bool], list[Turn]] = {}
        for turn in timeline:
            name = self._charge(turn.operation)
            if name is not None:
                shared.setdefault((name, turn.at, turn.begins), []).append(turn)
        for turn in timeline:
            name = self._charge(turn.operation)
            key = (name or "", turn.at, turn.begins)
            if key in batches:
                continue
            together = [turn]
            if name is not None:
                batches.add(key)
                together = shared[key]
            if turn.begins:
                self._start(together)
            else:
                self._finish(together)

    def _timeline(self, until: int) -> Iterator[Turn]:
        for life in (*self.pieces.lives, *self.pieces.sets.values()):
            for place, one in enumerate(life.operations):
                if one.start < until:
                    yield Turn(one.start, True, life, place)
                if one.end < until:
                    yield Turn(one.end, False, life, place)

    def _charge(self, one: Operation) -> str | None:
        """The batch of an operation at a batch station, None elsewhere."""
        if one.batch is None or one.station is None:
            return None
        return one.batch if self.works.factory.stations[one.station].kind == "batch" else None

    # starts

    def _start(self, turns: list[Turn]) -> None:
        turns = [turn for turn in turns if self._ready(turn)]
        decided = [turn for turn in turns if self._other_charge(turn)]
        usual = [turn for turn in turns if turn not in decided]
        for turn in turns:
            self._note(turn)
        if usual:
            self._scan_in(usual)
        for turn in decided:
            self._start_alone(turn)
        for turn in turns:
            self._under_way(turn)

    def _ready(self, turn: Turn) -> bool:
        """What goes before a start; False for a pure wait, which nobody records."""
        one, life = turn.operation, turn.life
        for stay in one.buffer_stays if one.station is None else ():
            self._move(life, stay.buffer, at=stay.start)
        index = self._index(turn)
        if one.station is None:
            self.track.begin(life, index, start=one.start, end=one.end, batch=None)
            return False
        if life.plan == life.set:
            self.pairs.before_together(life, at=turn.at)
            return True
        self.pairs.before(life, turn.place, at=turn.at)
        mate = self._mate(turn)
        if self.track.late(life, index, start=turn.at, mate=mate):
            self._make_known(turn)
            self.fates.concede(life, one, at=turn.at, person=self._person(turn), why="late")
        return True

    def _other_charge(self, turn: Turn) -> bool:
        life = turn.life
        if life.plan == life.set:
            return False
        return self.track.other_batch(
            life,
            self._step(turn),
            self._index(turn),
            batch=self._charge(turn.operation),
            mate=self._mate(turn),
        )

    def _note(self, turn: Turn) -> None:
        one = turn.operation
        if turn.life.plan != turn.life.set:
            self.track.begin(
                turn.life, self._index(turn), start=one.start, end=one.end, batch=self._charge(one)
            )
            members = self._members.setdefault((turn.life.set, turn.life.part, turn.life.side), [])
            if turn.life not in members:
                members.append(turn.life)

    def _scan_in(self, turns: list[Turn]) -> None:
        """One act, whatever it begins."""
        first = turns[0]
        one = first.operation
        station, person = str(one.station), self._person(first)
        scanned: list[str] = []
        begun = None
        for turn in turns:
            scanned += self._subjects(turn.life)
            begun = begun or self._begun(turn)
            scanned += self._inputs(turn)
        charge = self._charge(one)
        data = {"batch": charge} if charge is not None else {}
        if begun is None:
            self.slips.before(first.life, one, scanned=self._subjects(first.life), person=person)
        self.diary.act(first.at, Rank.START, name="start", actor=person, scanned=scanned, station=station,
                       step=one.step if begun is not None else None, data=data, begun=begun)  # fmt: skip

    def _start_alone(self, turn: Turn) -> None:
        """A start that a decision allows although the mate was in another charge."""
        one, life = turn.operation, turn.life
        person = self._person(turn)
        self.fates.concede(life, one, at=turn.at, person=person, why="charge")
        self.diary.event(turn.at, Rank.START, kind="started", actor=person, subject=("item", life.id),
                         station=one.station, data={"step": one.step, "batch": self._charge(one)})  # fmt: skip

    def _begun(self, turn: Turn) -> Begun | None:
        life = turn.life
        if life.id in self._known or life.plan == life.set:
            return None
        self._known.add(life.id)
        product = self._product(life)
        root = life.part == product.root
        side = life.side if root or product.parts[life.part].handed else None
        of_set = root or product.kind == "pair"
        if life.plan.startswith(f"{life.set}.{life.part}") or (
            root and product.kind != "pair" and not life.good
        ):
            # what is packed with a set belongs to its order; a single's set takes one piece for good
            of_set = False
        return Begun(
            life.product, life.option or None, life.part, side, life.set if of_set else None, life.order
        )

    def _make_known(self, turn: Turn) -> None:
        """A piece that somebody decides on before it begins gets its identity first."""
        begun = self._begun(turn)
        if begun is not None:
            facts = {"product": begun.product, "option": begun.option, "part": begun.part, "side": begun.side,
                     "set": begun.set, "order": begun.order}  # fmt: skip
            self.diary.event(turn.at, Rank.READING, kind="registered", actor=self._person(turn),
                             subject=("item", turn.life.id), station=turn.operation.station,
                             data={"what": "item", **facts})  # fmt: skip

    def _inputs(self, turn: Turn) -> Iterator[str]:
        one, life = turn.operation, turn.life
        step = self._step(turn)
        yield from self.pairs.leaf_of(life, turn.place)
        if step.takes is not None and one.carrier == step.takes:
            number = self._take(step.takes, life, at=one.start)
            if number is not None:
                yield f"{step.takes}-{number}"
        if step.kind != MOUNTED:
            yield from (part.id for part in life.parts.get(turn.place, ()))
        needs = self.routes.needs.get((life.product, life.option, life.part, one.step), {})
        for material, amount in needs.items():
            yield self.stores.take(material, amount, at=one.start)

    def _take(self, pool: str, life: Life, *, at: int) -> int | None:
        if (life.id, pool) in self._held:
            return None
        for one in [one for one in self._cleared if one[0] <= at]:
            self._cleared.remove(one)
            for name in self._carriers:
                self._give(name, one[1])
        places = self._carriers[pool]
        free = next((n for n, holder in enumerate(places) if holder is None), None)
        if free is None:
            return None
        places[free] = life.id
        self._held[life.id, pool] = free
        return free + 1

    def _give(self, pool: str, life: Life) -> bool:
        number = self._held.pop((life.id, pool), None)
        if number is not None:
            self._carriers[pool][number] = None
        return number is not None

    def _under_way(self, turn: Turn) -> None:
        """What follows a start: mates that go over, parts that are mounted."""
        one, life = turn.operation, turn.life
        self.pairs.after(life, turn.place, at=turn.at)
        if self._step(turn).kind != MOUNTED:
            return
        parts = life.parts.get(turn.place, ())
        person = self._person(turn)
        for number, part in enumerate(parts, 1):
            at = one.start + number * (one.end - one.start) // (len(parts) + 1)
            self.diary.act(at, Rank.AFTER, name="mount", actor=person, scanned=(part.id, life.id),
                           station=one.station, step=one.step)  # fmt: skip

    # ends

    def _finish(self, turns: list[Turn]) -> None:
        working = [turn for turn in turns if turn.operation.station is not None]
        for turn in turns:
            if turn.operation.station is None:
                self._taken_off(turn)
            else:
                self.fates.readings(
                    turn.life, turn.place, subjects=self._halves(turn.life), person=self._person(turn)
                )
        if working:
            first = working[0]
            scanned = [name for turn in working for name in self._subjects(turn.life)]
            self.diary.act(first.at, Rank.FINISH, name="finish", actor=self._person(first), scanned=scanned,
                           station=first.operation.station)  # fmt: skip
        for turn in working:
            self._ended(turn)

    def _taken_off(self, turn: Turn) -> None:
        """The end of a wait on a carrier is recorded: somebody takes the piece off."""
        step = self._step(turn)
        if step.returns is not None and self._give(step.returns, turn.life):
            self.diary.act(turn.at, Rank.FINISH, name="finish", actor=self._person(turn), scanned=(turn.life.id,),
                           step=step.id)  # fmt: skip

    def _ended(self, turn: Turn) -> None:
        one, life = turn.operation, turn.life
        step = self._step(turn)
        if step.returns is not None:
            self._give(step.returns, life)
        for stay in one.buffer_stays:
            self._move(life, stay.buffer, at=stay.start)
        end = life.ends.get(turn.place)
        if end in (LOST, ASIDE):
            self._cleared.append((self.fates.gone(life, turn.place), life))
        if end is not None:
            back = self.fates.ended(life, turn.place, person=self._person(turn))
            if back is not None:
                self.track.back(life, back)
        if life.plan == life.set or self._is_single(life):
            self.fates.leaves(life, turn.place, halves=self._halves(life), person=self._person(turn))

    def _move(self, life: Life, buffer: str, *, at: int) -> None:
        person = self._last_person.get(life.id) or self.cast.who(None, unit=0, at=at)
        self.diary.act(at, Rank.MOVE, name="move", actor=person, scanned=(life.id,), data={"buffer": buffer})

    # who and what

    def _person(self, turn: Turn) -> str:
        one, life = turn.operation, turn.life
        if one.crew is None:
            return self._last_person.get(life.id) or self._nobody(life, turn)
        name = self.cast.who(one.crew, unit=one.unit or 0, at=one.start)
        self._last_person[life.id] = name
        return name

    def _nobody(self, life: Life, turn: Turn) -> str:
        """Who does what needs no crew: whoever did the first step that needs one."""
        crew = next((one.crew for one in life.operations if one.crew is not None), None)
        return self.cast.who(crew, unit=0, at=turn.at)

    def _subjects(self, life: Life) -> list[str]:
        return [life.id] if life.plan != life.set else [half.id for half in self._halves(life)]

    def _halves(self, life: Life) -> tuple[Life, ...]:
        """The halves of a set as they are mated, or the piece itself."""
        return (life,) if life.plan != life.set else self.pairs.halves(life.set)

    def _is_single(self, life: Life) -> bool:
        product = self._product(life)
        return product.kind != "pair" and life.part == product.root

    def _mate(self, turn: Turn) -> Life | None:
        """The like part of the other side that the record would hold against this one.

        Before a piece is mated that is the first one of its set that was not scrapped.
        """
        life, product = turn.life, self._product(turn.life)
        if life.side is None or not (life.part == product.root or product.parts[life.part].handed):
            return None
        other = next((side for side in product.sides() if side not in (None, life.side)), None)
        others = self._members.get((life.set, life.part, other), [])
        mated = [one for one in others if one.turn == life.turn and turn.place > 0]
        if mated and self.pairs.goes_over(life):
            return mated[0]
        return next((one for one in others if not self._is_gone(one, at=turn.at)), None)

    def _is_gone(self, life: Life, *, at: int) -> bool:
        return not life.good and self.fates.gone(life, len(life.operations) - 1) <= at

    def _product(self, life: Life) -> Product:
        return self.works.variants[life.product, life.option]

    def _step(self, turn: Turn) -> Step:
        return self._product(turn.life).parts[turn.life.part].steps[self._index(turn)]

    def _index(self, turn: Turn) -> int:
        return turn.operation.index
