"""The compiled decoder's arrays: from a problem and a state, and back to a state.

The compiled decoder makes the same plan as the plain one, bit for bit; which of the two runs is a
matter of time alone. It is used where the work is worth the second that the compiler's library needs
to start, and where the compiler can keep what it made.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from itertools import chain
from typing import TYPE_CHECKING, Any, Final, TypeAlias

from pairwright.plan import kernel_layout as k
from pairwright.plan.away import crew_profiles
from pairwright.plan.problem import Problem
from pairwright.plan.shop import Shop
from pairwright.plan.state import State

if TYPE_CHECKING:
    from pairwright.plan.decode import Rules

WORTH: Final = 60_000  # operations to place, from which on compiled code is quicker even with its start
LEAST: Final = 300  # operations, below which making the arrays costs more than it saves
ROOM: Final = 48  # numbers for lists that grow, for each task
LEAST_ROOM: Final = 1 << 14
MOST_ROOM: Final = 1 << 31

_running: list[bool] = []  # whether compiled code is used in this process, once it is worth its start


@dataclass(frozen=True, slots=True)
class Sizes:
    """How many of everything there are."""

    tasks: int
    befores: int
    holds: int
    blocks: int
    kinds: int  # of blocks
    sets: int
    orders: int
    words: int


@dataclass(frozen=True, slots=True)
class Arrays:
    """A problem for the compiled decoder."""

    shop: Shop
    sizes: Sizes
    facts: Any
    release: Any
    blank: Any  # books of an empty works


@dataclass(frozen=True, slots=True)
class Books:
    """What a run of the compiled decoder left: its books, and what the plan is worth."""

    arrays: Arrays
    numbers: Any
    ended: int
    block: int
    placed: int
    flow: int  # [min]
    setups: int  # [min]
    done: list[int]  # last end of each order [min]

    @property
    def locked(self) -> tuple[tuple[int, int], ...]:
        """Blocks that wait for each other, with the pool each waits for."""
        if self.ended == k.NOWHERE_TO_GO:
            return ()
        s = self.numbers
        found: list[tuple[int, int]] = []
        for pool in range(len(self.arrays.shop.places)):
            rows = sorted(zip(*_list(s, s[k.WAITING] + pool * k.LIST, k.QUEUED), strict=True))
            found.extend((row[3], pool) for row in rows)
        return tuple(found)


def expect(operations: int) -> bool:
    """Say that so many operations are going to be placed in all; answers whether compiled code will do it."""
    if not _running and operations >= WORTH and usable():
        _running.append(True)
    return bool(_running)


def is_worth(problem: Problem) -> bool:
    """Whether compiled code places what a problem leaves to place sooner, arrays included."""
    free = len(problem.block_task)
    return free >= LEAST and free * 8 >= problem.tasks and expect(free)


@cache
def usable() -> bool:
    """Whether the compiler is there and has a place to keep what it makes."""
    try:
        from pairwright.plan.kernel_decode import compiled

        compiled()
    except (ImportError, RuntimeError):  # RuntimeError: no folder that it may write to
        return False
    return True


def decode_compiled(
    problem: Problem, rank: Sequence[int], *, rules: Rules, release: Sequence[int], state: State | None = None
) -> Books:
    """Place everything; `decode` with other means."""
    arrays = arrays_of(problem)
    template = arrays.blank if state is None else _books(arrays.shop, arrays.sizes, state)
    return run_arrays(arrays, template, rank=rank, rules=rules, release=release)


def run_arrays(
    arrays: Arrays, template: Any, *, rank: Sequence[int], rules: Rules, release: Sequence[int]
) -> Books:
    """Place what the arrays hold into a copy of some books."""
    import numpy as np

    from pairwright.plan.kernel_decode import compiled

    early = np.asarray(release, dtype=np.int64)
    room = max(LEAST_ROOM, ROOM * arrays.sizes.tasks)
    while True:
        s = np.empty(len(template) + room, dtype=np.int64)
        s[: len(template)] = template
        _tell(s, arrays.sizes, rank, early)
        done = np.zeros(arrays.sizes.orders, dtype=np.int64)
        try:
            ended, block, flow, setups = compiled()(
                arrays.facts, s, arrays.release, rules.window, rules.fill, rules.in_process, rules.defer,
                rules.group, rules.serial, done,
            )  # fmt: skip
        except MemoryError:  # a list found no room in the books
            room *= 4
            if room > MOST_ROOM:
                raise
            continue
        return Books(arrays, s, ended, block, int(s[k.PLACED_COUNT]), flow, setups, done.tolist())


def _tell(s: Any, sizes: Sizes, rank: Sequence[int], early: Any) -> None:
    """Write what this run is told into fresh books: earliest starts, ranks, who is let in when."""
    import numpy as np

    n, sets = sizes.tasks, sizes.sets
    s[s[k.BOOKED] : s[k.BOOKED] + n * k.BOOKING].reshape(n, k.BOOKING)[:, k.EARLY] = early
    ranks = np.array(rank, dtype=np.int64)
    table = s[s[k.SETS] : s[k.SETS] + sets * k.SET].reshape(sets, k.SET)
    table[:, k.Z_RANK] = ranks
    table[:, k.Z_LINE] = np.argsort(ranks, kind="stable")


# the facts


def arrays_of(problem: Problem) -> Arrays:
    """The problem's arrays, made once."""
    if not problem.made:
        import numpy as np

        sizes = Sizes(
            problem.tasks, len(problem.pre_task), len(problem.hold_pool), problem.blocks,
            max(problem.block_kind, default=0) + 1, len(problem.set_ids), len(problem.order_ids),
            len(problem.words),
        )  # fmt: skip
        facts = assembled(shop_facts(problem.shop), sizes, _tables(problem))
        release = np.array(problem.release, dtype=np.int64)
        blank = blank_books(problem.shop, sizes)
        problem.made.append(Arrays(problem.shop, sizes, facts, release, blank))
    found: Arrays = problem.made[0]
    return found


def assembled(base: Any, sizes: Sizes, tables: Iterable[tuple[int, Any]]) -> Any:
    """The facts: what the shop gives, then the tables, each where the head says."""
    import numpy as np

    head = base[: k.FACTS_HEAD].copy()
    head[k.TASK_COUNT], head[k.BLOCK_COUNT], head[k.SET_COUNT] = sizes.tasks, sizes.blocks, sizes.sets
    laid = [head, base[k.FACTS_HEAD :]]
    at = len(base)
    for place, table in tables:
        flat = np.asarray(table, dtype=np.int64).reshape(-1)
        head[place] = at
        laid.append(flat)
        at += len(flat)
    return np.concatenate(laid)


def _tables(problem: Problem) -> list[tuple[int, Any]]:
    owner = [0] * len(problem.operations)
    for task, numbers in enumerate(problem.task_operations):
        for number in numbers:
            owner[number] = task
    return [
        (k.TASKS, _tasks(problem)),
        (k.WAYS, columns(problem.way_station, problem.way_crew, problem.way_people, problem.way_minutes,
                          problem.way_time, problem.way_setup_crew, problem.way_setup_time, problem.way_area)),
        (k.BEFORES, columns(problem.pre_task, problem.pre_least, problem.pre_longest, problem.pre_brought,
                             problem.pre_next)),
        (k.HOLDS, columns(problem.hold_pool, problem.hold_need, problem.hold_open, problem.hold_close,
                           problem.hold_at_end, [owner[n] for n in problem.hold_operation])),
        (k.OPENS, problem.open_hold), (k.CLOSES, problem.close_hold),
        (k.BLOCKS, _blocks(problem)), (k.MEMBERS, problem.block_task), (k.NEXTS, problem.next_block),
        (k.ORDERS, problem.set_order),
    ]  # fmt: skip


def columns(*some: Sequence[int]) -> Any:
    """Columns side by side."""
    import numpy as np

    return np.array(some, dtype=np.int64).T


def _tasks(problem: Problem) -> Any:
    """Rows of tasks and one more, which says where the rows of the last one end."""
    import numpy as np

    n = problem.tasks
    made = np.zeros((n + 1, k.TASK), dtype=np.int64)
    for column, values in (
        (k.T_WAYS, problem.way_from), (k.T_BEFORE, problem.pre_from), (k.T_OPENS, problem.open_from),
        (k.T_CLOSES, problem.close_from),
    ):  # fmt: skip
        made[:, column] = values
    columns: tuple[tuple[int, Sequence[int]], ...] = (
        (k.FAMILY, problem.family), (k.LOAD, problem.load), (k.WORD, problem.word), (k.PAUSE, problem.pause),
        (k.KEEPS, problem.keeps), (k.MATE, problem.mate), (k.WITHIN, problem.mate_within),
        (k.BLOCK_OF, problem.block_of), (k.ROW_IN_BLOCK, problem.place_in_block), (k.SET_OF, problem.set_of),
    )  # fmt: skip
    for column, some in columns:
        made[:n, column] = some
    return made


def _blocks(problem: Problem) -> Any:
    import numpy as np

    from pairwright.plan.decode import side_and_depth

    n = problem.blocks
    made = np.zeros((n + 1, k.BLOCK), dtype=np.int64)
    made[:, k.K_MEMBERS] = problem.block_from
    made[:, k.K_NEXTS] = problem.next_from
    for column, values in (
        (k.K_SET, problem.block_set), (k.K_KIND, problem.block_kind), (k.K_WAITS, problem.block_waits),
    ):  # fmt: skip
        made[:n, column] = values
    if n:
        made[:n, [k.K_SIDE, k.K_DEPTH]] = [side_and_depth(problem, block=block) for block in range(n)]
    return made


def shop_facts(shop: Shop) -> Any:
    """A head and what the shop gives: people, places, ways between areas, stations, working times."""
    import numpy as np

    head = np.zeros(k.FACTS_HEAD, dtype=np.int64)
    count = len(shop.station_ids)
    head[k.POOL_COUNT], head[k.UNIT_COUNT], head[k.STATION_COUNT] = (
        len(shop.places),
        shop.unit_from[-1],
        count,
    )
    head[k.AREA_COUNT], head[k.SETTLED] = len(shop.transport), shop.settled
    laid = [head]
    stations = np.zeros((count + 1, k.STATION), dtype=np.int64)
    stations[:, k.S_UNITS] = shop.unit_from
    rows: tuple[tuple[int, Sequence[int]], ...] = (
        (k.S_KIND, shop.kind), (k.S_CAPACITY, shop.capacity), (k.S_PITCH, shop.pitch),
        (k.S_FILL, shop.fill_wait), (k.S_MANNED, shop.manned),
    )  # fmt: skip
    for column, values in rows:
        stations[:count, column] = values
    times = np.zeros((len(shop.times), k.TIME), dtype=np.int64)
    at = len(head)
    for place, table in (
        (k.PEOPLE, shop.people), (k.PLACES, shop.places), (k.TRANSPORT, list(chain.from_iterable(shop.transport))),
        (k.STATIONS, stations), (k.TIMES, times),
    ):  # fmt: skip
        head[place] = at
        laid.append(np.asarray(table, dtype=np.int64).reshape(-1))
        at += len(laid[-1])
    _lay_times(shop, times, laid, at)
    _lay_setups(shop, stations, laid, sum(map(len, laid)))
    return np.concatenate(laid)


def _lay_times(shop: Shop, times: Any, laid: list[Any], at: int) -> None:
    """Working intervals, and behind those of each time the shelves that say where to look."""
    import numpy as np

    for n, time in enumerate(shop.times):
        ends = np.array(time.ends, dtype=np.int64)
        edges = np.arange(shop.horizon + (1 << k.SHELF), step=1 << k.SHELF)
        shelves = np.searchsorted(ends, edges, "right").astype(np.int64)
        times[n] = at, len(ends), at + k.INTERVAL * len(ends), len(shelves) - 1
        laid += [columns(time.starts, time.ends, time.before).reshape(-1), shelves]
        at += k.INTERVAL * len(ends) + len(shelves)


def _lay_setups(shop: Shop, stations: Any, laid: list[Any], at: int) -> None:
    """Setup times, each table behind its width; stops of each station, starts before ends."""
    import numpy as np

    setups: list[int] = []
    for matrix in shop.setup_times:
        setups.append(at + 1)
        laid.append(np.array([len(shop.families), *chain.from_iterable(matrix)], dtype=np.int64))
        at += len(laid[-1])
    for n in range(len(shop.station_ids)):
        stations[n, k.S_SETUP] = setups[shop.setup_of[n]] if shop.setup_of[n] >= 0 else -1
        stations[n, k.S_STOPS], stations[n, k.S_STOP_COUNT] = at, len(shop.stop_starts[n])
        laid.append(np.array([*shop.stop_starts[n], *shop.stop_ends[n]], dtype=np.int64))
        at += len(laid[-1])


# the books


def blank_books(shop: Shop, sizes: Sizes) -> Any:
    """The books of an empty works."""
    import numpy as np

    bookings = np.full((sizes.tasks, k.BOOKING), -1, dtype=np.int64)
    bookings[:, [k.FLOOR_START, k.FLOOR_END, k.EARLY]] = 0
    held = np.full((sizes.holds, 2), -1, dtype=np.int64)
    lucky = np.full(sizes.kinds, -1, dtype=np.int64)
    crew_times, crew_use = crew_profiles(shop.away)
    nothing: list[int] = []
    groups = _groups(
        shop, units=([nothing] * shop.unit_from[-1],) * k.ENTRY, crews=(crew_times, crew_use),
        pools=([[0] for _ in shop.places],) * 2, lines=([nothing] * len(shop.station_ids),) * 2,
        words=([nothing] * sizes.words,) * 2,
    )  # fmt: skip
    return _laid(sizes, bookings, held, lucky, groups)


def _books(shop: Shop, sizes: Sizes, state: State) -> Any:
    """Books with what a state holds."""
    import numpy as np

    groups = _groups(
        shop, units=(state.unit_from, state.unit_to, state.unit_family, state.unit_setup),
        crews=(state.crew_times, state.crew_use), pools=(state.pool_times, state.pool_use),
        lines=(state.line_in, state.line_out), words=(state.word_starts, state.word_batches),
    )  # fmt: skip
    bookings = columns(*_task_columns(state), [0] * sizes.tasks)
    held = columns(state.held_from, state.held_to)
    s = _laid(sizes, bookings, held, np.array(state.lucky, dtype=np.int64), groups, len(state.kept))
    count = len(state.batch_start)
    s[k.BATCH_COUNT], s[k.LAST_END], s[k.KEPT_COUNT] = count, state.last_end, len(state.kept)
    if count:
        some = columns(*_batch_columns(state)).reshape(-1)
        s[s[k.BATCHES] : s[k.BATCHES] + len(some)] = some
    if state.kept:
        kept = np.array(state.kept, dtype=np.int64).reshape(-1)
        s[s[k.KEPT] : s[k.KEPT] + len(kept)] = kept
    return s


Group: TypeAlias = tuple[int, tuple[list[list[int]], ...]]


def _groups(shop: Shop, **lists: tuple[list[list[int]], ...]) -> list[Group]:
    """Every list of the books, column by column."""
    places = (k.UNITS, k.CREWS, k.POOLS, k.LINES, k.WORDS)
    found: list[Group] = list(zip(places, lists.values(), strict=True))
    return [*found, (k.WAITING, ([[] for _ in shop.places],)), (k.READY, ([[]],))]


def _laid(sizes: Sizes, bookings: Any, held: Any, lucky: Any, groups: list[Group], kept: int = 0) -> Any:
    """Head and tables of some books, then their lists; the free end begins behind them."""
    import numpy as np

    sets = np.zeros((sizes.sets, k.SET), dtype=np.int64)
    sets[:, k.Z_OUTSIDE] = -1
    head = np.zeros(k.BOOKS_HEAD, dtype=np.int64)
    head[k.STIRRED] = -1
    laid = [head]
    at = len(head)
    for place, table in (
        (k.BOOKED, bookings), (k.HELD, held), (k.BATCHES, np.zeros(sizes.tasks * k.BATCH, dtype=np.int64)),
        (k.KEPT, np.zeros((kept + sizes.befores + 1) * k.KEEPING, dtype=np.int64)), (k.LUCKY, lucky),
        (k.KEYS, np.zeros(sizes.blocks * k.KEY, dtype=np.int64)), (k.SETS, sets),
        (k.STACK, np.zeros(sizes.blocks, dtype=np.int64)), (k.DONE, np.zeros(sizes.holds + 1, dtype=np.int64)),
    ):  # fmt: skip
        head[place] = at
        laid.append(table.reshape(-1))
        at += table.size
    heads = np.zeros((sum(len(some[0]) for _, some in groups), k.LIST), dtype=np.int64)
    laid.append(heads.reshape(-1))
    rows_at = at + heads.size
    row = 0
    for place, some in groups:
        head[place] = at + row * k.LIST
        for lists in zip(*some, strict=True):
            heads[row] = rows_at, len(lists[0]), len(lists[0]), len(lists[0])
            row += 1
            if lists[0]:
                laid.append(columns(*lists).reshape(-1))
                rows_at += len(laid[-1])
    head[k.TOP] = rows_at
    return np.concatenate(laid)


def _task_columns(state: State) -> tuple[list[int], ...]:
    return (
        state.start, state.end, state.way, state.unit, state.setup_from, state.batch, state.area, state.freed,
        state.floor_start, state.floor_end, state.only_way,
    )  # fmt: skip


def _batch_columns(state: State) -> tuple[list[int], ...]:
    return (
        state.batch_start, state.batch_end, state.batch_unit, state.batch_station, state.batch_crew,
        state.batch_people, state.batch_minutes, state.batch_family, state.batch_load, state.batch_members,
    )  # fmt: skip


def _list(s: Any, head: int, width: int) -> list[list[int]]:
    """The columns of a list."""
    at, count = s[head + k.L_AT], s[head + k.L_COUNT]
    columns: list[list[int]] = s[at : at + count * width].reshape(count, width).T.tolist()
    return columns


def _lists(s: Any, heads: int, count: int, width: int) -> list[list[list[int]]]:
    """The lists of a group, column by column."""
    found = [_list(s, s[heads] + n * k.LIST, width) for n in range(count)]
    return [[one[column] for one in found] for column in range(width)]


def state_of(books: Books) -> State:
    """The books as a state."""
    shop, sizes, s = books.arrays.shop, books.arrays.sizes, books.numbers
    n, holds, batches, kept = sizes.tasks, sizes.holds, s[k.BATCH_COUNT], s[k.KEPT_COUNT]
    unit_from, unit_to, unit_family, unit_setup = _lists(s, k.UNITS, shop.unit_from[-1], k.ENTRY)
    crew_times, crew_use = _lists(s, k.CREWS, len(shop.people), k.PAIR)
    pool_times, pool_use = _lists(s, k.POOLS, len(shop.places), k.PAIR)
    line_in, line_out = _lists(s, k.LINES, len(shop.station_ids), k.PAIR)
    word_starts, word_batches = _lists(s, k.WORDS, sizes.words, k.PAIR)
    task = _table(s, k.BOOKED, n, k.BOOKING)
    batch = _table(s, k.BATCHES, batches, k.BATCH)
    held_from, held_to = _table(s, k.HELD, holds, 2)
    return State(
        unit_from=unit_from, unit_to=unit_to, unit_family=unit_family, unit_setup=unit_setup,
        crew_times=crew_times, crew_use=crew_use, pool_times=pool_times, pool_use=pool_use,
        line_in=line_in, line_out=line_out,
        batch_start=batch[k.Q_START], batch_end=batch[k.Q_END], batch_unit=batch[k.Q_UNIT],
        batch_station=batch[k.Q_STATION], batch_crew=batch[k.Q_CREW], batch_people=batch[k.Q_PEOPLE],
        batch_minutes=batch[k.Q_MINUTES], batch_family=batch[k.Q_FAMILY], batch_load=batch[k.Q_LOAD],
        batch_members=batch[k.Q_MEMBERS], word_starts=word_starts, word_batches=word_batches,
        start=task[k.START], end=task[k.END], way=task[k.CHOSEN], unit=task[k.UNIT],
        setup_from=task[k.SETUP_FROM], batch=task[k.IN_BATCH], area=task[k.IN_AREA], freed=task[k.FREED],
        held_from=held_from, held_to=held_to,
        floor_start=task[k.FLOOR_START], floor_end=task[k.FLOOR_END],
        kept=[(a, b, c, d) for a, b, c, d in zip(*_table(s, k.KEPT, kept, k.KEEPING), strict=True)],
        only_way=task[k.ONLY_WAY], lucky=s[s[k.LUCKY] : s[k.KEYS]].tolist(), last_end=int(s[k.LAST_END]),
    )  # fmt: skip


def _table(s: Any, place: int, count: int, width: int) -> list[list[int]]:
    """The columns of a table."""
    at = s[place]
    columns: list[list[int]] = s[at : at + count * width].reshape(count, width).T.tolist()
    return columns
