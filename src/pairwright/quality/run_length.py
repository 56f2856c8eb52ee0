"""How long a chart runs before it speaks: average run length at a steady shift of the mean.

The run starts with the chart at its centre (zero state) and the shift already there; points are
independent and normal. Every chart here is a Markov chain: rules have finitely many states and are
solved exactly; the weighted mean and the cumulative sum have a line of states and are solved as an
integral equation on Gauss-Legendre nodes.
"""

from __future__ import annotations

import math
import warnings
from collections.abc import Callable, Mapping, Sequence
from itertools import pairwise
from typing import Any, Final, NoReturn, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import ANY, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Text, text
from pairwright.quality.rules import USUAL, ZONE_RULES, ZoneRule

Floats: TypeAlias = NDArray[np.float64]
CHARTS: Final[tuple[str, ...]] = ("shewhart", "rules", "ewma", "cusum")
_LONGEST: Final = 1e12  # beyond it the linear equations lose all their digits
_STATES: Final = 6000


def below(value: float) -> float:
    """Probability that a standard normal value lies below a point. [-]

    Parameters
    ----------
    value : float
        The point. [-]

    Returns
    -------
    float
        Phi. [-]
    """
    return 0.5 * math.erfc(-value / math.sqrt(2.0))


def shewhart_run_length(shift: float, *, width: float = 3.0) -> float:
    """Average points until one lies outside the limits. [-]

    Parameters
    ----------
    shift : float
        Of the mean, in sds of the plotted point. [-]
    width : float
        Limits from the centre, in the same sds. [-]

    Returns
    -------
    float
        1/(probability of a point outside); infinite where that is below 1e-300. [-]

    Examples
    --------
    >>> [round(shewhart_run_length(s), 2) for s in (0.0, 0.5, 1.0, 2.0)]
    [370.4, 155.22, 43.89, 6.3]
    """
    speaks = below(shift - width) + below(-shift - width)
    return 1.0 / speaks if speaks > 0.0 else math.inf


def rules_run_length(rules: Sequence[str], *, shift: float = 0.0) -> float:
    """Average points until the first of several zone rules speaks. [-]

    Parameters
    ----------
    rules : sequence of str
        Names out of `ZONE_RULES`. [-]
    shift : float
        Of the mean, in sds of the plotted point. [-]

    Returns
    -------
    float
        Average run length. [-]

    Notes
    -----
    Exact: the chain's state is, for each rule and side, which of the last points lay in its zone,
    without those that can no longer complete it. NaN where they speak less than once in 1e12 points.

    References
    ----------
    .. [1] C. W. Champ, W. H. Woodall, Exact results for Shewhart control charts with supplementary
       runs rules, Technometrics 29 (1987) 393-399.

    Examples
    --------
    >>> round(rules_run_length(("one_beyond_three", "two_of_three_beyond_two")), 2)
    225.44
    """
    counted = [(ZONE_RULES[name], side) for name in dict.fromkeys(rules) for side in ZONE_RULES[name].sides()]
    regions = _regions([rule for rule, _ in counted], shift)
    hits = [[rule.holds(place, side) for rule, side in counted] for place, _ in regions]
    start = (0,) * len(counted)
    number, states, moves = {start: 0}, [start], []
    for state in states:  # grows while it is read
        if len(states) > _STATES:
            raise ValueError("too many rules at once")
        for (_, chance), hit in zip(regions, hits, strict=True):
            following = _follow(state, hit, counted)
            if following is None:
                continue
            if following not in number:
                number[following] = len(states)
                states.append(following)
            moves.append((number[state], number[following], chance))
    return _solve_chain(len(states), moves)


def _regions(rules: Sequence[ZoneRule], shift: float) -> list[tuple[float, float]]:
    """Intervals between all zone limits: a point inside each, and the chance of a point there."""
    ends = {0.0} | {s * e for r in rules for e in (r.low, r.high) if math.isfinite(e) for s in (-1.0, 1.0)}
    cuts = sorted(ends)
    middles = [cuts[0] - 1.0, *(0.5 * (a + b) for a, b in pairwise(cuts)), cuts[-1] + 1.0]
    edges = [-math.inf, *cuts, math.inf]
    return [
        (middle, below(high - shift) - below(low - shift) if low < shift else below(shift - low) - below(shift - high))
        for middle, low, high in zip(middles, edges[:-1], edges[1:], strict=True)
    ]  # fmt: skip


def _follow(
    state: tuple[int, ...], hit: Sequence[bool], counted: Sequence[tuple[ZoneRule, int]]
) -> tuple[int, ...] | None:
    """The state after one more point; None when a rule speaks. Bit 0 is the newest point."""
    after = []
    for bits, here, (rule, _) in zip(state, hit, counted, strict=True):
        now = ((bits << 1) | int(here)) & ((1 << rule.window) - 1)
        if now.bit_count() >= rule.needed:
            return None
        after.append(_useful(now & ((1 << (rule.window - 1)) - 1), rule))
    return tuple(after)


def _useful(bits: int, rule: ZoneRule) -> int:
    """Drop the oldest hits while too few points can still join them inside one window."""
    while bits:
        age = bits.bit_length()  # of the oldest hit: 1 for the newest point
        if bits.bit_count() + rule.window - age >= rule.needed:
            break
        bits &= ~(1 << (age - 1))
    return bits


def _solve_chain(count: int, moves: Sequence[tuple[int, int, float]]) -> float:
    """Mean steps until absorption from state 0: (I - Q) L = 1; NaN where it never ends in practice."""
    from scipy.sparse import coo_matrix, identity
    from scipy.sparse.linalg import MatrixRankWarning, spsolve

    at, to, chance = zip(*moves, strict=True) if moves else ((), (), ())
    stay = coo_matrix((chance, (at, to)), shape=(count, count))
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", MatrixRankWarning)  # no way out to within rounding: said by NaN
        lengths = spsolve((identity(count) - stay).tocsc(), np.ones(count))
    return _checked(float(np.atleast_1d(lengths)[0]))


def ewma_run_length(shift: float, *, weight: float, width: float) -> float:
    """Average points until an exponentially weighted mean leaves its steady limits. [-]

    Parameters
    ----------
    shift : float
        Of the mean, in sds of one point. [-]
    weight : float
        Of the newest point, above 0 and at most 1. [-]
    width : float
        Limits, in steady-state sds of the weighted mean: sqrt(weight/(2 - weight)). [-]

    Returns
    -------
    float
        Average run length; NaN where it is too long to compute. [-]

    Notes
    -----
    L(u) = 1 + (1/w) integral of L(y) phi((y - (1 - w) u)/w - shift) over the limits, by Nystrom's
    method with at least three nodes per sd of the kernel: relative error below 1e-6 up to a length
    of 1e8, of 1e-3 up to 1e11.

    References
    ----------
    .. [1] S. V. Crowder, A simple method for studying run-length distributions of EWMA charts,
       Technometrics 29 (1987) 401-407.
    .. [2] J. M. Lucas, M. S. Saccucci, Exponentially weighted moving average control schemes,
       Technometrics 32 (1990) 1-12.

    Examples
    --------
    >>> [round(ewma_run_length(s, weight=0.2, width=2.962), 1) for s in (0.0, 1.0, 2.0)]
    [499.7, 10.5, 3.7]
    """
    limit = width * math.sqrt(weight / (2.0 - weight))
    nodes, weights = _nodes(-limit, limit, kernel=weight)

    def row(u: Floats) -> Floats:
        z = (nodes[None, :] - (1.0 - weight) * u[:, None]) / weight - shift
        return weights * _density(z) / weight

    lengths = np.linalg.solve(np.eye(nodes.size) - row(nodes), np.ones(nodes.size))
    return _checked(1.0 + float(row(np.zeros(1))[0] @ lengths))


def cusum_run_length(shift: float, *, allowance: float, decision: float) -> float:
    """Average points until one of two cumulative sums passes its decision interval. [-]

    Parameters
    ----------
    shift : float
        Of the mean, in sds of one point. [-]
    allowance : float
        Slack k taken off each point, in sds. [-]
    decision : float
        Decision interval h, in sds. [-]

    Returns
    -------
    float
        Average run length of both sides together; NaN where it is too long to compute. [-]

    Notes
    -----
    1/L = 1/L_up + 1/L_down, exact for equal sides that start at 0. Each side is an integral
    equation, solved as for the weighted mean and with the same accuracy.

    References
    ----------
    .. [1] E. S. Page, Continuous inspection schemes, Biometrika 41 (1954) 100-115.
    .. [2] D. C. Montgomery, Introduction to Statistical Quality Control, chapter 9.

    Examples
    --------
    >>> [round(cusum_run_length(s, allowance=0.5, decision=5.0), 1) for s in (0.0, 1.0, 2.0)]
    [465.4, 10.4, 4.0]
    """
    up = one_sided_cusum_run_length(shift, allowance=allowance, decision=decision)
    down = one_sided_cusum_run_length(-shift, allowance=allowance, decision=decision)
    if math.isnan(up) or math.isnan(down):  # a side that never speaks leaves the other alone
        shorter = up if math.isnan(down) else down
        return shorter if shift != 0.0 and shorter < 1e-3 * _LONGEST else math.nan
    return 1.0 / (1.0 / up + 1.0 / down)


def one_sided_cusum_run_length(shift: float, *, allowance: float, decision: float) -> float:
    """Average points until an upward cumulative sum passes its decision interval. [-]

    Parameters
    ----------
    shift : float
        Of the mean, upwards, in sds of one point. [-]
    allowance : float
        Slack k taken off each point, in sds. [-]
    decision : float
        Decision interval h, in sds. [-]

    Returns
    -------
    float
        Average run length from 0; NaN where it is too long to compute. [-]

    Examples
    --------
    >>> [round(one_sided_cusum_run_length(0.0, allowance=0.5, decision=h), 1) for h in (4.0, 5.0)]
    [335.4, 930.9]
    """
    inner, inner_weights = _nodes(0.0, decision, kernel=1.0)
    start = np.concatenate([[0.0], inner])  # the sum can lie at exactly 0
    stay = np.empty((start.size, start.size))
    fall = 0.5 * _erfc((start + shift - allowance) / math.sqrt(2.0))
    stay[:, 0] = fall
    stay[:, 1:] = inner_weights * _density(inner[None, :] - start[:, None] + allowance - shift)
    lengths = np.linalg.solve(np.eye(start.size) - stay, np.ones(start.size))
    return _checked(float(lengths[0]))


def _erfc(values: Floats) -> Floats:
    return np.array([math.erfc(v) for v in values])


def _density(z: Floats) -> Floats:
    return np.exp(-0.5 * z * z) / math.sqrt(2.0 * math.pi)


def _nodes(low: float, high: float, *, kernel: float) -> tuple[Floats, Floats]:
    """Gauss-Legendre nodes and weights, close enough for a normal kernel of that sd."""
    count = min(2000, max(48, math.ceil(3.0 * (high - low) / kernel)))
    nodes, weights = np.polynomial.legendre.leggauss(count)
    return low + 0.5 * (high - low) * (nodes + 1.0), 0.5 * (high - low) * weights


def _checked(length: float) -> float:
    return length if 1.0 - 1e-9 <= length < _LONGEST else math.nan


def _wrong(field: str, must_be: Text, got: object, *, do: Text) -> NoReturn:
    raise InputError(Problem("calc run_length", field, must_be, "nothing" if got is None else shown(got), do))


def _belongs(chart: str) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Arguments that a chart needs, and those that it may have beside them."""
    match chart:
        case "rules":
            return ("rules",), ()
        case "ewma":
            return ("weight", "width"), ()
        case "cusum":
            return ("allowance", "decision"), ()
        case _:
            return (), ("width",)


def _run_length_law(chart: str, shift: float, **given: Any) -> dict[str, Any]:
    needed, beside = _belongs(chart)
    for name, value in given.items():
        if name in needed and value is None:
            _wrong(name, text("given for the chart {chart}", chart=chart), None,
                   do=text("state it, see calc run_length --help"))  # fmt: skip
        if name not in (*needed, *beside) and value is not None:
            _wrong(name, text("left out for the chart {chart}", chart=chart), value,
                   do=text("leave it out or choose the chart it belongs to"))  # fmt: skip
    solve: Mapping[str, Callable[[], float]] = {
        "shewhart": lambda: shewhart_run_length(shift, width=given["width"] or 3.0),
        "rules": lambda: rules_run_length(_zone_rules(given["rules"]), shift=shift),
        "ewma": lambda: ewma_run_length(shift, weight=given["weight"], width=given["width"]),
        "cusum": lambda: cusum_run_length(shift, allowance=given["allowance"], decision=given["decision"]),
    }
    length = solve[chart]()
    if not math.isfinite(length):
        field = {"rules": "rules", "cusum": "decision"}.get(chart, "width")
        _wrong(field, text("such that the chart speaks within some {n} points", n="1e11"),
               given[field], do=text("choose narrower limits"))  # fmt: skip
    return {"average_run_length": length}


def _zone_rules(names: Sequence[str]) -> Sequence[str]:
    for n, name in enumerate(names):
        if name not in ZONE_RULES:
            _wrong(f"rules[{n}]", text("one of {names}", names=", ".join(ZONE_RULES)), name,
                   do=text("choose rules that look at zones only"))  # fmt: skip
    return names


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="run_length",
        title=text("Average run length of a chart"),
        function=_run_length_law,
        arguments=(
            Argument("chart", "-", text("shewhart: one point beyond the limits; rules: zone rules; ewma: "
                                        "exponentially weighted mean; cusum: two cumulative sums"),
                     shape="word", choices=CHARTS),
            Argument("shift", "-", text("of the mean, in sds of the plotted point"), ANY, Span(-6.0, 6.0),
                     default=0.0),
            Argument("rules", "-", text("for rules, any of: {names}", names=", ".join(ZONE_RULES)),
                     shape="words", default=None),
            Argument("weight", "-", text("for ewma: weight of the newest point"),
                     Span(0.001, 1.0), Span(0.03, 1.0), default=None),
            Argument("width", "-", text("for shewhart (3 unless stated) and ewma: limits, in sds of what is "
                                        "plotted; for ewma of its steady state"),
                     POSITIVE, Span(1.0, 5.0), default=None),
            Argument("allowance", "-", text("for cusum: slack of each point, in sds"),
                     Span(0.0), Span(0.1, 1.5), default=None),
            Argument("decision", "-", text("for cusum: decision interval, in sds"),
                     Span(0.0, 200.0, open_low=True), Span(1.0, 15.0), default=None),
        ),
        results=(Result("average_run_length", "-", text("points until the first signal, on average")),),
        accuracy=text("shewhart and rules exact; ewma and cusum to 1e-6 up to a length of 1e8; all for "
                      "independent normal points: neighbours that follow each other signal far more often"),
        sources=(
            Source("published", "C. W. Champ, W. H. Woodall, Technometrics 29 (1987) 393-399"),
            Source("published", "J. M. Lucas, M. S. Saccucci, Technometrics 32 (1990) 1-12"),
            Source("published", "D. C. Montgomery, Introduction to Statistical Quality Control, chapter 9"),
        ),
        worked=Worked({"chart": "rules", "rules": list(USUAL)}, {"average_run_length": 91.75}, tolerance=1e-4),
    ),
)  # fmt: skip
