"""Looking for a good plan: rules of thumb first, then small changes to the best of them.

Effort is counted in plans tried, in rounds of a fixed size that do not look at each other. So a
run is the same for the same effort and seed, whatever the time it takes or who does the work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeAlias

from pairwright.base.seeds import child_seed
from pairwright.plan.compiled import expect, is_worth
from pairwright.plan.decode import WHOLE, Rules
from pairwright.plan.dice import Dice
from pairwright.plan.emit import Score
from pairwright.plan.orders import as_ranks, rank_by
from pairwright.plan.problem import Problem
from pairwright.plan.release import held_back
from pairwright.plan.trial import Candidate, Trial, run, trial

DEFAULT_EFFORT: Final = 48
ROUND: Final = 4
SHIFT: Final = 480
STALE: Final = 25  # rounds without anything new: there is nothing left to try
# Sets one after the other; by the day; by the shift as things come free, alike families together.
GRID_RULES: Final = (
    Rules(window=SHIFT, defer=True),
    Rules(window=SHIFT, defer=True, group=0),
    Rules(window=1440),
    Rules(window=SHIFT // 4, defer=True, group=SHIFT // 2),
    Rules(window=SHIFT, defer=True, group=SHIFT, fill=100),
    Rules(window=1440, defer=True, group=1440),
    Rules(window=WHOLE),
    Rules(window=3 * 1440, defer=True, fill=50),
)
GRID_ORDERS: Final = {
    "service": ("slack", "week", "fortnight", "month", "campaign", "due", "ratio", "weight"),
    "makespan": ("longest", "family", "campaign", "month", "slack", "fortnight", "due", "given"),
}
# What a foreman would do: first come, due date, least work, least slack, weight over work; minute by
# minute, shift by shift, set after set. With the default effort `service` is never worse than any of these.
DISPATCH: Final = {"service": ("given", "due", "shortest", "spare", "worth"), "makespan": ()}
MANNERS: Final = (Rules(window=1, defer=True), GRID_RULES[0], Rules(window=WHOLE))
HELD: Final = (7, 12, 18)  # days of slack that are left
NEARLY: Final = 1.05  # a plan with less work in process may be so much later, to search on from

Runner: TypeAlias = Callable[[Callable[[Any], Any], Sequence[Any]], Sequence[Any]]
Progress: TypeAlias = Callable[[float, float, float | None, int, int], None]


@dataclass(slots=True)
class Search:
    """A search under way: what is asked, what has been found."""

    problem: Problem
    objective: str
    now: int
    effort: int
    dice: Dice
    out_of_time: Callable[[], bool]
    told: Callable[[Score, int], None]
    runner: Runner | None = None
    goal: float = -1.0  # a value that can't be beaten
    done: int = 0
    best: Trial | None = None
    base: Trial | None = None  # what is changed next
    seen: dict[Candidate, Score | None] = field(default_factory=dict)

    def over(self) -> bool:
        """Whether the effort is spent, or somebody wants the answer."""
        return self.done >= self.effort or (self.best is not None and self.out_of_time())

    def go(self, candidates: Sequence[Candidate]) -> list[Trial]:
        """Try a round of candidates; what was tried before costs nothing and is left out."""
        fresh = [c for n, c in enumerate(candidates) if c not in self.seen and c not in candidates[:n]]
        fresh = fresh[: max(0, self.effort - self.done)]
        found: list[Trial] = []
        # Compiled trials are done before another process has been told of them.
        if self.runner is not None and len(fresh) > 1 and not is_worth(self.problem):
            jobs = [(self.problem, c, self.objective, self.now) for c in fresh]
            for candidate, one in zip(fresh, self.runner(run_job, jobs), strict=True):
                self._keep(candidate, one)
                found.append(one)
            return found
        for candidate in fresh:
            if self.best is not None and self.out_of_time():
                break
            one = trial(self.problem, candidate, objective=self.objective, now=self.now)
            self._keep(candidate, one)
            found.append(one)
        return found

    def _keep(self, candidate: Candidate, one: Trial) -> None:
        self.done += 1
        self.seen[candidate] = one.score
        if one.score is None:
            return
        if self.best is None or self.best.score is None or one.score < self.best.score:
            self.best = one
        if self.best.score is not None:
            self.told(self.best.score, self.done)


def run_job(job: tuple[Problem, Candidate, str, int]) -> Trial:
    """One trial as a job for a process of its own."""
    problem, candidate, objective, now = job
    return trial(problem, candidate, objective=objective, now=now)


def start_search(
    problem: Problem,
    *,
    objective: str,
    now: int,
    effort: int,
    seed: int,
    out_of_time: Callable[[], bool],
    told: Callable[[Score, int], None],
    runner: Runner | None = None,
    goal: float = -1.0,
) -> Search:
    """A search that has not tried anything."""
    dice = Dice(child_seed(seed, "search"))
    expect(problem.tasks * min(effort, DEFAULT_EFFORT))
    return Search(problem, objective, now, effort, dice, out_of_time, told, runner, goal)


def search(state: Search) -> Trial | None:
    """Spend the effort; answers the best trial, None where nothing could be placed."""
    for candidates in _grid(state):
        state.go(candidates)
        if state.over() or state.best is None:
            return state.best
    state.base = state.best
    _hold_back(state)
    stale = 0
    while not state.over() and stale < STALE:
        before = state.done
        for one in state.go([_neighbour(state) for _ in range(ROUND)]):
            if one.score is not None and state.base is not None and state.base.score is not None:
                state.base = one if one.score < state.base.score else state.base
        stale = stale + 1 if state.done == before else 0
        if state.dice.roll() < 0.05:
            _hold_back(state)
    return state.best


def _grid(state: Search) -> Iterator[list[Candidate]]:
    """Every rule with the first order; the best rules with the other orders; what a foreman would do."""
    names = GRID_ORDERS[state.objective]
    first = tuple(rank_by(state.problem, names[0]))
    candidates = [Candidate(first, rules) for rules in GRID_RULES]
    yield candidates[:1]
    for n in range(1, len(candidates), ROUND):
        yield candidates[n : n + ROUND]
    rules = [r for _, r in sorted(_by_rules(state, candidates), key=lambda pair: pair[0])]
    orders = [Candidate(tuple(rank_by(state.problem, name)), rules[0]) for name in names[1:]]
    for n in range(0, len(orders), ROUND):
        yield orders[n : n + ROUND]
    for name in DISPATCH[state.objective]:
        rank = tuple(rank_by(state.problem, name))
        yield [Candidate(rank, rules) for rules in MANNERS]


def _by_rules(state: Search, candidates: list[Candidate]) -> Iterator[tuple[Score, Rules]]:
    for candidate in candidates:
        score = state.seen.get(candidate)
        if score is not None:
            yield score, candidate.rules


def _hold_back(state: Search) -> None:
    """Try the base with items begun later: less work in process at nearly the same dates."""
    base = state.base
    if base is None or base.score is None or state.over():
        return
    decoded = run(state.problem, base.candidate)
    state.done += 1
    tried = state.go(
        [
            replace(
                base.candidate,
                release=held_back(state.problem, decoded.state, days=days, blame=base.blame),
            )
            for days in HELD
        ]
    )
    limit = base.score.first * NEARLY
    near = [
        t for t in tried if t.score is not None and t.score.first <= limit and t.score.flow < base.score.flow
    ]
    if near:
        state.base = min(near, key=lambda t: (t.score.flow if t.score else 0.0, t.candidate.release))


def _neighbour(state: Search) -> Candidate:
    """The base with a small change: mostly, a set of an order that is to blame goes earlier."""
    base = state.base
    if base is None:
        return Candidate(tuple(rank_by(state.problem, "given")), Rules())
    candidate = base.candidate
    dice = state.dice
    order = sorted(range(len(candidate.rank)), key=lambda s: candidate.rank[s])
    kind = dice.roll()
    if kind < 0.15 or len(order) < 2:
        return replace(candidate, rules=_other_rules(candidate.rules, dice))
    for _ in range(1 + dice.below(2)):
        at = _blamed(state, base, order) if kind < 0.7 else dice.below(len(order))
        reach = 1 + dice.below(1 + len(order) // 3)
        to = (
            max(0, at - reach)
            if kind < 0.7
            else min(len(order) - 1, max(0, at + reach * (2 * dice.below(2) - 1)))
        )
        if dice.roll() < 0.5:
            order[at], order[to] = order[to], order[at]
        else:
            order.insert(to, order.pop(at))
    return replace(candidate, rank=tuple(as_ranks(order)))


def _blamed(state: Search, base: Trial, order: list[int]) -> int:
    """The place in the order of a set, drawn by how much of the objective is its order's doing."""
    share = [base.blame[state.problem.set_order[number]] for number in order]
    total = sum(share)
    if total <= 0:
        return state.dice.below(len(order))
    left = state.dice.roll() * total
    for place, part in enumerate(share):
        left -= part
        if left < 0:
            return place
    return len(order) - 1


def _other_rules(rules: Rules, dice: Dice) -> Rules:
    """The same rules with one of them changed."""
    kind = dice.below(4)
    if kind == 0:
        return replace(rules, window=(60, 120, 240, 480, 960, 1440, 2880)[dice.below(7)])
    if kind == 1:
        return replace(rules, fill=(0, 50, 100)[dice.below(3)])
    if kind == 2:
        return replace(rules, defer=not rules.defer)
    return replace(rules, defer=True, group=(-1, 0, 120, 240, 480, 1440)[dice.below(6)])
