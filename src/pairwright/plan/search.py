"""Looking for a good plan: rules of thumb first, then small changes to the best of them.

Effort is counted in plans tried, in rounds of a fixed size that do not look at each other. So a
run is the same for the same effort and seed, whatever the time it takes or who does the work.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Final, TypeAlias

from pairwright.base.seeds import child_seed
from pairwright.plan.decode import WHOLE, Rules
from pairwright.plan.dice import Dice
from pairwright.plan.emit import Score
from pairwright.plan.orders import as_ranks, rank_by
from pairwright.plan.problem import Problem
from pairwright.plan.release import held_back
from pairwright.plan.trial import Candidate, Trial, run, trial

DEFAULT_EFFORT: Final = 28
ROUND: Final = 4
SHIFT: Final = 480
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
    "service": ("slack", "week", "due", "ratio", "fortnight", "weight"),
    "makespan": ("longest", "slack", "family", "fortnight", "due", "given"),
}
HELD: Final = (85, 60, 35)  # percent of the slack that is waited out

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
    seen: dict[Candidate, Score | None] = field(default_factory=dict)

    def over(self) -> bool:
        """Whether the effort is spent, or somebody wants the answer."""
        return self.done >= self.effort or (self.best is not None and self.out_of_time())

    def go(self, candidates: Sequence[Candidate]) -> list[Trial]:
        """Try a round of candidates; what was tried before costs nothing and is left out."""
        fresh = [c for n, c in enumerate(candidates) if c not in self.seen and c not in candidates[:n]]
        fresh = fresh[: max(0, self.effort - self.done)]
        found: list[Trial] = []
        if self.runner is not None and len(fresh) > 1:
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
    return Search(problem, objective, now, effort, dice, out_of_time, told, runner, goal)


def search(state: Search) -> Trial | None:
    """Spend the effort; answers the best trial, None where nothing could be placed."""
    for candidates in _grid(state):
        state.go(candidates)
        if state.over() or state.best is None:
            return state.best
    _hold_back(state)
    while not state.over():
        before = state.done
        state.go([_neighbour(state) for _ in range(ROUND)])
        if state.done == before and len(state.problem.set_ids) < 4:
            break  # so few sets that there is nothing new to try
        if state.dice.roll() < 0.15:
            _hold_back(state)
    return state.best


def _grid(state: Search) -> Iterator[list[Candidate]]:
    """Every rule with the first order; then the best rules with the other orders."""
    names = GRID_ORDERS[state.objective]
    first = tuple(rank_by(state.problem, names[0]))
    candidates = [Candidate(first, rules) for rules in GRID_RULES]
    yield candidates[:1]
    for n in range(1, len(candidates), ROUND):
        yield candidates[n : n + ROUND]
    rules = [r for _, r in sorted(_by_rules(state, candidates), key=lambda pair: pair[0])]
    for n in range(2):
        if n < len(rules):
            orders = [Candidate(tuple(rank_by(state.problem, name)), rules[n]) for name in names[1:]]
            yield orders[:ROUND]
            yield orders[ROUND:]


def _by_rules(state: Search, candidates: list[Candidate]) -> Iterator[tuple[Score, Rules]]:
    for candidate in candidates:
        score = state.seen.get(candidate)
        if score is not None:
            yield score, candidate.rules


def _hold_back(state: Search) -> None:
    """Try the best plan with items begun later: less work in process at the same dates."""
    if state.best is None or state.over():
        return
    best = state.best.candidate
    decoded = run(state.problem, best)
    state.done += 1
    state.go([
        replace(best, release=held_back(state.problem, decoded.state, percent=percent)) for percent in HELD
    ])  # fmt: skip


def _neighbour(state: Search) -> Candidate:
    """The best candidate with a small change."""
    best = state.best
    if best is None:
        return Candidate(tuple(rank_by(state.problem, "given")), Rules())
    candidate = best.candidate
    dice = state.dice
    order = sorted(range(len(candidate.rank)), key=lambda s: candidate.rank[s])
    kind = dice.roll()
    if kind < 0.12 or len(order) < 2:
        return replace(candidate, rules=_other_rules(candidate.rules, dice))
    for _ in range(1 + dice.below(3)):
        i, j = dice.below(len(order)), dice.below(len(order))
        if kind < 0.45:
            order[i], order[j] = order[j], order[i]
        else:
            order.insert(min(i, j) if kind < 0.8 else max(i, j), order.pop(max(i, j) if kind < 0.8 else min(i, j)))
    return replace(candidate, rank=tuple(as_ranks(order)))


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
