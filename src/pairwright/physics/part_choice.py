"""Measured parts for a left and a right board: near their targets, and mates alike."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, MachineryError, Problem, shown
from pairwright.base.words import Text, text

Floats: TypeAlias = NDArray[np.float64]
DB_PER_UNIT: Final = 20.0 / math.log(10.0)  # level per relative change
_FIRST: Final = 60  # pairs of parts per seat that are looked at first
_MOVES: Final = 10_000  # ceiling of the improvement, never reached in practice


@dataclass(frozen=True, slots=True)
class StockPart:
    """A measured part: its identity, its kind as the seats name it, its value in the unit of the kind [-]."""

    name: str
    kind: str
    value: float


@dataclass(frozen=True, slots=True)
class Seat:
    """A place that both boards have: the kind of part, its target in the unit of the kind [-].

    `tolerance` is the largest relative deviation allowed [-]; `weight` what a squared relative deviation
    counts beside that of the other seats [-].
    """

    name: str
    kind: str
    target: float
    tolerance: float = math.inf
    weight: float = 1.0


@dataclass(frozen=True, slots=True)
class BoardParts:
    """The chosen parts, seat by seat, and how good the choice is.

    `hit` and `apart` are weighed root mean squares of the relative deviations from target and between
    mates [-] (in dB where the coupling is in dB); `cost` what was made small; `bound` what no choice can
    go below [-], known without coupling only; `left_over` the parts not used.
    """

    left: Mapping[str, StockPart]
    right: Mapping[str, StockPart]
    hit: float
    apart: float
    cost: float
    bound: float
    left_over: tuple[StockPart, ...]


def level_coupling(sensitivities: NDArray[np.complex128]) -> Floats:
    """How deviations of parts act together on a board's level. [-]

    Parameters
    ----------
    sensitivities : ndarray
        Of the asked node's voltage, shape (n_seats, n_freq), from `part_sensitivities`. [-]

    Returns
    -------
    ndarray, shape (n_seats, n_seats)
        Mean square of the level in dB is d' H d of relative deviations d. [-]

    Examples
    --------
    >>> level_coupling(np.array([[0.5 + 0.1j, -0.5]])).round(3).tolist()
    [[18.861]]
    """
    level = DB_PER_UNIT * np.real(sensitivities)
    return np.asarray(level @ level.T / level.shape[1], dtype=np.float64)


def choose_parts(
    seats: Sequence[Seat],
    stock: Sequence[StockPart],
    *,
    hit: float = 1.0,
    match: float = 1.0,
    coupling: Floats | None = None,
) -> BoardParts:
    """Parts of the left and the right board out of a measured stock. [-]

    Parameters
    ----------
    seats : Sequence[Seat]
        The places of one board. [-]
    stock : Sequence[StockPart]
        Measured parts, at least two for each seat. [-]
    hit : float
        What nearness to the target counts. [-]
    match : float
        What likeness of mates counts. [-]
    coupling : ndarray, optional
        Shape (n_seats, n_seats), such as `level_coupling` gives; deviations then may cancel. [-]

    Returns
    -------
    BoardParts
        The choice. [-]

    Notes
    -----
    Cost: hit (a' H a + b' H b)/2 + match (a - b)' H (a - b), a and b the relative deviations of both
    boards, H the coupling or the weights alone. Without coupling the choice is the best one: seats that no
    other seat competes with by trying every pair of parts, the others by an integer programme (HiGHS through
    scipy) over ever more pairs until none left out could do better. With coupling that choice is the start
    and is improved by exchanges until no single one helps: good, not proved best.

    Examples
    --------
    >>> lot = [StockPart(f"c{n}", "10 uF", v) for n, v in enumerate([9.4, 10.21, 9.9, 10.2, 9.6])]
    >>> found = choose_parts([Seat("C1", "10 uF", 10.0)], lot)
    >>> sorted([found.left["C1"].name, found.right["C1"].name])
    ['c1', 'c3']
    """
    pools = [_pool(seat, stock) for seat in seats]
    choice, bound = [(-1, -1)] * len(seats), 0.0
    for group in _groups(pools):
        pairs = [_pairs(seats[s], stock, pool=pools[s], hit=hit, match=match) for s in group]
        found, cost = _single(pairs[0]) if len(group) == 1 else _many(pairs, [seats[s].name for s in group])
        bound += cost
        for s, pair in zip(group, found, strict=True):
            choice[s] = pair
    weights = np.diag([s.weight for s in seats]) if coupling is None else coupling
    board = _Board(seats, stock, weights, hit=hit, match=match)
    best = board.improved(choice, pools) if coupling is not None else choice
    # weights alone are averaged over the seats; a coupling already is a mean square
    total = math.fsum(s.weight for s in seats) if coupling is None else 1.0
    return board.told(best, bound if coupling is None else 0.0, total=total)


def _refused(field: str, must_be: Text, got: object, do: Text) -> InputError:
    return InputError(Problem("choice of parts", field, must_be, shown(got), do))


def _pool(seat: Seat, stock: Sequence[StockPart]) -> list[int]:
    """Places in the stock of the parts that may sit here, nearest first."""
    off = {n: abs(p.value / seat.target - 1.0) for n, p in enumerate(stock) if p.kind == seat.kind}
    fit = sorted((n for n, d in off.items() if d <= seat.tolerance), key=lambda n: (off[n], stock[n].name))
    if len(fit) < 2:
        raise _refused(f"stock for {seat.name}", text("at least two parts of kind {kind} within the tolerance",
                                                      kind=seat.kind),
                       len(fit), text("measure more parts or widen the tolerance"))  # fmt: skip
    return fit


def _groups(pools: Sequence[Sequence[int]]) -> list[list[int]]:
    """Seats that compete for parts, together."""
    groups: list[tuple[set[int], list[int]]] = []
    for seat, pool in enumerate(pools):
        parts, members = set(pool), [seat]
        apart = []
        for others, seats in groups:
            if others & parts:
                parts |= others
                members = [*seats, *members]
            else:
                apart.append((others, seats))
        groups = [*apart, (parts, members)]
    return [sorted(members) for _, members in groups]


Priced: TypeAlias = list[tuple[float, int, int]]  # cost and the two parts, cheapest first


def _pairs(
    seat: Seat, stock: Sequence[StockPart], *, pool: Sequence[int], hit: float, match: float
) -> Priced:
    off = {n: stock[n].value / seat.target - 1.0 for n in pool}
    return sorted(
        (seat.weight * (0.5 * hit * (off[a] ** 2 + off[b] ** 2) + match * (off[a] - off[b]) ** 2), a, b)
        for a, b in combinations(pool, 2)
    )


def _single(pairs: Priced) -> tuple[list[tuple[int, int]], float]:
    cost, one, other = pairs[0]
    return [(one, other)], cost


def _many(pairs: Sequence[Priced], names: Sequence[str]) -> tuple[list[tuple[int, int]], float]:
    """Best pairs for seats that compete: more and more pairs until the rest can't matter."""
    count = _FIRST
    least = [p[0][0] for p in pairs]
    while True:
        solved = _programme([p[:count] for p in pairs])
        whole = all(count >= len(p) for p in pairs)
        if solved is not None:
            chosen, cost = solved
            # the cheapest way to use a pair that was left out: it, and the cheapest of every other seat
            outside = min((p[count][0] + sum(least) - least[s] for s, p in enumerate(pairs) if count < len(p)),
                          default=math.inf)  # fmt: skip
            if cost <= outside + 1e-15:
                return chosen, cost
        elif whole:
            raise _refused("stock", text("two parts for each of the seats {names}", names=", ".join(names)),
                           "too few", text("measure more parts"))  # fmt: skip
        count *= 4


def _programme(pairs: Sequence[Priced]) -> tuple[list[tuple[int, int]], float] | None:
    """One pair for each seat, no part twice, least cost; None where there is no such choice."""
    from scipy.optimize import Bounds, LinearConstraint, milp
    from scipy.sparse import coo_array

    flat = [(s, *pair) for s, priced in enumerate(pairs) for pair in priced]
    parts = {n: k for k, n in enumerate(sorted({n for _, _, a, b in flat for n in (a, b)}))}
    rows = [s for s, *_ in flat] + [len(pairs) + parts[n] for _, _, a, b in flat for n in (a, b)]
    columns = list(range(len(flat))) + [k for k in range(len(flat)) for _ in range(2)]
    matrix = coo_array((np.ones(len(rows)), (rows, columns)), shape=(len(pairs) + len(parts), len(flat)))
    low = np.concatenate([np.ones(len(pairs)), np.zeros(len(parts))])
    cost = np.array([c for _, c, _, _ in flat])
    scale = float(cost.max()) or 1.0  # the solver's tolerances are absolute
    found = milp(cost / scale, constraints=LinearConstraint(matrix.tocsr(), low, np.ones(low.size)),
                 integrality=np.ones(len(flat)), bounds=Bounds(0.0, 1.0),
                 options={"mip_rel_gap": 0.0})  # fmt: skip
    if found.status == 2:
        return None
    if found.x is None:
        raise MachineryError(text("the solver gave no choice of parts: {why}", why=str(found.message)))
    chosen = {flat[k][0]: flat[k] for k in np.flatnonzero(found.x > 0.5)}
    picked = [chosen[s] for s in range(len(pairs))]
    return [(a, b) for _, _, a, b in picked], math.fsum(c for _, c, _, _ in picked)


class _Board:
    """The cost of a choice, and its improvement by exchanges."""

    def __init__(
        self, seats: Sequence[Seat], stock: Sequence[StockPart], weights: Floats, *, hit: float, match: float
    ) -> None:
        self.seats, self.stock, self.weights = seats, stock, weights
        self.hit, self.match = hit, match

    def _offs(self, choice: Sequence[tuple[int, int]]) -> tuple[Floats, Floats]:
        a, b = (
            np.array([self.stock[pair[side]].value / s.target - 1.0
                      for pair, s in zip(choice, self.seats, strict=True)])
            for side in (0, 1)
        )  # fmt: skip
        return a, b

    def cost(self, choice: Sequence[tuple[int, int]]) -> float:
        a, b = self._offs(choice)
        h, apart = self.weights, a - b
        return float(0.5 * self.hit * (a @ h @ a + b @ h @ b) + self.match * (apart @ h @ apart))

    def improved(
        self, choice: Sequence[tuple[int, int]], pools: Sequence[Sequence[int]]
    ) -> list[tuple[int, int]]:
        """Take the best single exchange until none helps."""
        now, cost = list(choice), self.cost(choice)
        for _ in range(_MOVES):
            best = min(self._neighbours(now, pools), key=lambda c: (self.cost(c), c))
            if self.cost(best) >= cost * (1.0 - 1e-12):
                break
            now, cost = best, self.cost(best)
        return now

    def _neighbours(
        self, choice: list[tuple[int, int]], pools: Sequence[Sequence[int]]
    ) -> list[list[tuple[int, int]]]:
        """Every choice that one exchange of a part, with the stock or with another place, leads to."""
        places = [(s, side) for s in range(len(choice)) for side in (0, 1)]
        used = {n for pair in choice for n in pair}
        found = [choice]
        for s, side in places:
            found += [_with(choice, {(s, side): n}) for n in pools[s] if n not in used]
        for one, other in combinations(places, 2):
            a, b = choice[one[0]][one[1]], choice[other[0]][other[1]]
            if a in pools[other[0]] and b in pools[one[0]]:
                found.append(_with(choice, {one: b, other: a}))
        return found

    def told(self, choice: Sequence[tuple[int, int]], bound: float, *, total: float) -> BoardParts:
        a, b = self._offs(choice)
        h = self.weights
        used = {n for pair in choice for n in pair}
        sides = [{s.name: self.stock[pair[side]] for s, pair in zip(self.seats, choice, strict=True)}
                 for side in (0, 1)]  # fmt: skip
        return BoardParts(
            sides[0], sides[1], math.sqrt(max(0.0, float(a @ h @ a + b @ h @ b)) / (2.0 * total)),
            math.sqrt(max(0.0, float((a - b) @ h @ (a - b))) / total), self.cost(choice), bound,
            tuple(p for n, p in enumerate(self.stock) if n not in used),
        )  # fmt: skip


def _with(choice: list[tuple[int, int]], changes: Mapping[tuple[int, int], int]) -> list[tuple[int, int]]:
    rows = [list(pair) for pair in choice]
    for (seat, side), part in changes.items():
        rows[seat][side] = part
    return [(a, b) for a, b in rows]
