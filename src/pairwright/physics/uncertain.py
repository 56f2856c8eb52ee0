"""Uncertainty as part of an answer: first order and Monte Carlo, side by side.

Inputs have a value and a spread; what is computed from them has one too. `first_order` propagates with the
slopes at the values (JCGM 100), `drawn` draws the inputs (JCGM 101); `ask_with_spread` does both for any
law and says in a finding where they disagree: then the slopes don't tell the truth.
"""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import Answer, Law, ask
from pairwright.base.sources import Source
from pairwright.base.words import Amount, text

Floats: TypeAlias = NDArray[np.float64]
SpreadShape: TypeAlias = Literal["normal", "uniform", "triangular", "arcsine", "student", "inexact"]
SPREAD_SHAPES: Final[tuple[str, ...]] = ("normal", "uniform", "triangular", "arcsine", "student", "inexact")
# Half width over standard deviation.
_HALF_WIDTHS: Final = {"uniform": math.sqrt(3.0), "triangular": math.sqrt(6.0), "arcsine": math.sqrt(2.0)}

APART: Final = 0.1  # of a standard deviation: more than this between the ends and they disagree
_STEP: Final = 0.1  # of a standard deviation, for slopes
_GUIDE: Final = Source("standard", "JCGM 101:2008, 8 (comparison of first order with Monte Carlo)")


@dataclass(frozen=True, slots=True)
class Spread:
    """Standard deviation of an input, in its own unit [-], and the shape of its scatter.

    ``student`` takes `freedom` [-] and a scale equal to `sd`, as JCGM 101 does: what is stated is the
    standard uncertainty of the mean of a few readings. ``inexact`` is uniform between limits that are
    themselves known only to plus or minus `doubt` [-] (in the input's unit), `sd` being that of the limits
    taken as exact.
    """

    sd: float
    shape: SpreadShape = "normal"
    freedom: float = math.inf
    doubt: float = 0.0


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One output with its spread, in its own unit [-].

    `value` with every input at its value, `sd_first` by slopes, `mean` and `sd` of the draws, `low` and
    `high` ends of their probabilistically symmetric interval, `first_low` and `first_high` those of the
    slopes, `shares` of the first-order variance by input.
    """

    value: float
    sd_first: float
    mean: float
    sd: float
    low: float
    high: float
    first_low: float
    first_high: float
    shares: tuple[tuple[str, float], ...]

    @property
    def apart(self) -> float:
        """Largest distance between the ends, in standard deviations of the draws [-]."""
        far = max(abs(self.low - self.first_low), abs(self.high - self.first_high))
        return far / self.sd if self.sd > 0.0 else (0.0 if far == 0.0 else math.inf)


@dataclass(frozen=True, slots=True)
class SpreadAnswer:
    """A law's answer at the values, its outputs with their spread, and the findings.

    `refused` is the share of draws that the law refuses [-].
    """

    answer: Answer
    outputs: Mapping[str, Uncertain]
    refused: float
    findings: tuple[Finding, ...]


def slopes(function: Callable[[Floats], Floats], values: Floats, *, steps: Floats) -> tuple[Floats, Floats]:
    """Value and numerical slopes of a function of several inputs. [-]

    Parameters
    ----------
    function : Callable
        Takes the inputs, shape (n,), gives the outputs, shape (m,). [-]
    values : ndarray
        Where, shape (n,). [-]
    steps : ndarray
        Half of each difference, shape (n,); 0 leaves an input out. [-]

    Returns
    -------
    tuple of ndarray
        Outputs, shape (m,), and slopes, shape (m, n). [-]

    Notes
    -----
    Central differences: exact for parabolas, error (step^2/6) times the third derivative.

    Examples
    --------
    >>> at, rise = slopes(
    ...     lambda x: np.array([x[0] * x[1]]), np.array([2.0, 3.0]), steps=np.array([0.1, 0.1])
    ... )
    >>> at.tolist(), rise.round(9).tolist()
    ([6.0], [[3.0, 2.0]])
    """
    centre = np.atleast_1d(np.asarray(function(values), dtype=np.float64))
    rise = np.zeros((centre.size, values.size))
    for n in np.flatnonzero(steps):
        above, below = values.copy(), values.copy()
        above[n] += steps[n]
        below[n] -= steps[n]
        rise[:, n] = (np.asarray(function(above)) - np.asarray(function(below))) / (above[n] - below[n])
    return centre, rise


def first_order(
    function: Callable[[Floats], Floats], values: Floats, *, covariance: Floats
) -> tuple[Floats, Floats]:
    """Outputs and their covariance by the slopes at the values. [-]

    Parameters
    ----------
    function : Callable
        Takes the inputs, shape (n,), gives the outputs, shape (m,). [-]
    values : ndarray
        Inputs, shape (n,). [-]
    covariance : ndarray
        Of the inputs, shape (n, n). [-]

    Returns
    -------
    tuple of ndarray
        Outputs, shape (m,), and their covariance, shape (m, m). [-]

    References
    ----------
    .. [1] JCGM 100:2008, 5.2.2 eq. 13; JCGM 102:2011, 6.2.1.3 (several outputs).

    Examples
    --------
    >>> at, spread = first_order(
    ...     lambda x: np.array([x[0] - x[1]]), np.array([5.0, 3.0]), covariance=np.ones((2, 2))
    ... )
    >>> at.tolist(), abs(float(spread[0, 0])) < 1e-12  # fully correlated: the difference is sure
    ([2.0], True)
    """
    sds = np.sqrt(np.diag(covariance))
    centre, rise = slopes(function, np.asarray(values, dtype=np.float64), steps=_steps(values, sds))
    return centre, np.asarray(rise @ covariance @ rise.T, dtype=np.float64)


def _steps(values: Floats, sds: Floats) -> Floats:
    """A tenth of the standard deviation, but never lost in rounding; none where nothing varies."""
    return np.where(sds > 0.0, np.maximum(_STEP * sds, 1e-6 * np.abs(values)), 0.0)


def effective_freedom(parts: Sequence[tuple[float, float]]) -> float:
    """Effective degrees of freedom of a sum of independent parts. [-]

    Parameters
    ----------
    parts : Sequence[tuple[float, float]]
        Standard uncertainty that each part contributes, in the output's unit, and its degrees of
        freedom, which may be infinite. [-]

    Returns
    -------
    float
        Welch-Satterthwaite. [-]

    References
    ----------
    .. [1] JCGM 100:2008, G.4.1 eq. G.2b.

    Examples
    --------
    >>> round(effective_freedom([(1.0, 10.0), (1.0, 10.0)]), 9)
    20.0
    """
    total = math.fsum(u * u for u, _ in parts)
    over = math.fsum(u**4 / freedom for u, freedom in parts)
    return math.inf if over == 0.0 else total * total / over


def draw_spreads(
    spreads: Sequence[Spread], *, seed: int, samples: int, correlation: Floats | None = None
) -> Floats:
    """Drawn deviations of inputs from their values. [-]

    Parameters
    ----------
    spreads : Sequence[Spread]
        Of the inputs. [-]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]
    correlation : ndarray, optional
        Of the inputs, shape (n, n); then all must be normal. [-]

    Returns
    -------
    ndarray, shape (n_inputs, samples)
        Deviations, each in its input's unit. [-]

    References
    ----------
    .. [1] JCGM 101:2008, 6.4 (normal 6.4.7, uniform 6.4.2, inexact limits 6.4.3, triangular 6.4.5,
       arcsine 6.4.6, Student 6.4.9).

    Examples
    --------
    >>> draw_spreads([Spread(1.0, "uniform")], seed=1, samples=4).shape
    (1, 4)
    """
    rng = np.random.default_rng(seed)
    if correlation is not None:
        values, vectors = np.linalg.eigh(correlation)
        root = vectors * np.sqrt(np.maximum(values, 0.0))
        score = root @ rng.standard_normal((len(spreads), samples))
        return np.asarray(score * np.array([s.sd for s in spreads])[:, None], dtype=np.float64)
    return np.array([_deviations(s, rng, samples) for s in spreads]).reshape(len(spreads), samples)


def _deviations(spread: Spread, rng: np.random.Generator, samples: int) -> Floats:
    match spread.shape:
        case "uniform":
            unit = 2.0 * rng.random(samples) - 1.0
        case "triangular":
            unit = rng.random(samples) - rng.random(samples)
        case "arcsine":
            unit = np.sin(math.pi * (2.0 * rng.random(samples) - 1.0))
        case "student":
            scale = np.ones(samples)
            if math.isfinite(spread.freedom):
                scale = np.sqrt(spread.freedom / rng.chisquare(spread.freedom, samples))
            return np.asarray(spread.sd * scale * rng.standard_normal(samples), dtype=np.float64)
        case "inexact":
            half = _HALF_WIDTHS["uniform"] * spread.sd + spread.doubt * (2.0 * rng.random(samples) - 1.0)
            return np.asarray(half * (2.0 * rng.random(samples) - 1.0), dtype=np.float64)
        case _:
            return np.asarray(spread.sd * rng.standard_normal(samples), dtype=np.float64)
    return np.asarray(spread.sd * _HALF_WIDTHS[spread.shape] * unit, dtype=np.float64)


def ask_with_spread(
    law: Law,
    inputs: Mapping[str, object],
    *,
    spreads: Mapping[str, Spread],
    seed: int,
    samples: int = 10_000,
    coverage: float = 0.95,
) -> SpreadAnswer:
    """What a law says of inputs that have a spread. [-]

    Parameters
    ----------
    law : Law
        Any law. [-]
    inputs : Mapping[str, object]
        Its arguments, as `ask` takes them. [-]
    spreads : Mapping[str, Spread]
        By argument; inside tables and lists with a path such as ``plies[2].thickness``. Independent. [-]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]
    coverage : float
        Coverage probability of the intervals. [-]

    Returns
    -------
    SpreadAnswer
        The answer, every number of it with its spread, and findings: those of the law at the values,
        ``spread_disagrees`` where first order and Monte Carlo part by more than a tenth of a standard
        deviation (and more than the draws' own noise), ``spread_refused`` where draws are impossible
        inputs, ``out_of_range`` where draws leave the source's range although the values don't. [-]

    Notes
    -----
    A spread in the unit of its argument, base SI. The comparison is that of JCGM 101 clause 8 with a
    tolerance in standard deviations instead of digits, so that a change of unit changes no verdict.
    Draws that the law refuses are left out.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2 eq. 10.
    .. [2] JCGM 101:2008, 7 and 8.

    Examples
    --------
    >>> from pairwright.physics.clamp import LAWS
    >>> law = {one.name: one for one in LAWS}["clamp_force"]
    >>> found = ask_with_spread(
    ...     law,
    ...     {"pressure": 6e5, "length": 0.5, "width": 0.1},
    ...     spreads={"pressure": Spread(3e4), "width": Spread(0.002, "uniform")},
    ...     seed=1,
    ... )
    >>> force = found.outputs["force"]
    >>> round(force.value), round(force.sd_first), abs(force.sd / force.sd_first - 1.0) < 0.03
    (30000, 1616, True)
    """
    answer = ask(law, inputs)
    names = [n for n, s in spreads.items() if s.sd > 0.0 or s.doubt > 0.0]
    places = {name: _path(law, answer.inputs, name) for name in spreads}
    values = np.array([_get(answer.inputs, places[n]) for n in names])
    keys = list(_numbers(answer.result))

    def outputs(given: Floats) -> Floats:
        changed = _changed(answer.inputs, [(places[n], v) for n, v in zip(names, given, strict=True)])
        found = _numbers(ask(law, changed).result)
        return np.array([found.get(k, math.nan) for k in keys])

    chosen = [spreads[n] for n in names]
    sds = np.array([_sd(s) for s in chosen])
    rise = _careful_slopes(outputs, values, sds=sds)
    drawn = draw_spreads(chosen, seed=seed, samples=samples)
    found, refused, left = _draws(
        law, answer, [places[n] for n in names], values=values, drawn=drawn, keys=keys
    )
    centre = np.array(list(_numbers(answer.result).values()))
    spread = {
        key: _output(float(centre[k]), rise[k] * sds, names=names, drawn=found[:, k], coverage=coverage)
        for k, key in enumerate(keys)
    }
    said = _said(law, spread, refused=refused, left=left, samples=samples)
    return SpreadAnswer(answer, spread, refused, (*answer.findings, *said))


def _sd(spread: Spread) -> float:
    """Standard deviation of what is drawn, for the first order."""
    if spread.shape == "inexact":
        return math.sqrt(spread.sd**2 + spread.doubt**2 / 9.0)
    return spread.sd


def _careful_slopes(outputs: Callable[[Floats], Floats], values: Floats, *, sds: Floats) -> Floats:
    """Slopes; beside an impossible input the step is taken on the possible side only."""
    centre, steps = outputs(values), _steps(values, sds)
    rise = np.zeros((centre.size, values.size))
    for n in range(values.size):
        ends = []
        for sign in (1.0, -1.0):
            moved = values.copy()
            moved[n] += sign * steps[n]
            try:
                ends.append((moved[n], outputs(moved)))
            except InputError:
                ends.append((values[n], centre))
        (above, high), (below, low) = ends
        if above > below:
            rise[:, n] = (high - low) / (above - below)
    return rise


def _draws(
    law: Law, answer: Answer, places: Sequence[Path], *, values: Floats, drawn: Floats, keys: Sequence[str]
) -> tuple[Floats, float, dict[str, int]]:
    """Outputs of the draws, the share refused, and how many draws left each range."""
    rows: list[list[float]] = []
    left: dict[str, int] = {}
    told = {_where(f) for f in answer.findings}
    for draw in drawn.T:
        changed = _changed(answer.inputs, list(zip(places, values + draw, strict=True)))
        try:
            one = ask(law, changed)
        except InputError:
            continue
        for name in {_where(f) for f in one.findings if f.code == "out_of_range"} - told:
            left[name] = left.get(name, 0) + 1
        found = _numbers(one.result)
        rows.append([found.get(k, math.nan) for k in keys])
    if not rows:
        raise InputError(Problem(f"calc {law.name}", "spreads", text("such that some draws are possible inputs"),
                                 shown(len(drawn.T)), text("lessen the spreads")))  # fmt: skip
    return np.array(rows).reshape(len(rows), len(keys)), 1.0 - len(rows) / drawn.shape[1], left


def _where(finding: Finding) -> str:
    """The input that a finding about a range names."""
    return str(dict(finding.text.values).get("name", "the inputs"))


def _output(value: float, arms: Floats, *, names: Sequence[str], drawn: Floats, coverage: float) -> Uncertain:
    from statistics import NormalDist

    variance = float(arms @ arms)
    half = NormalDist().inv_cdf(0.5 + 0.5 * coverage) * math.sqrt(variance)
    drawn = drawn[np.isfinite(drawn)]
    low, high = np.quantile(drawn, (0.5 - 0.5 * coverage, 0.5 + 0.5 * coverage))
    shares = tuple(
        (n, float(a * a) / variance if variance > 0.0 else 0.0) for n, a in zip(names, arms, strict=True)
    )
    return Uncertain(value, math.sqrt(variance), float(drawn.mean()), float(drawn.std()), float(low),
                     float(high), value - half, value + half, shares)  # fmt: skip


def _said(
    law: Law, outputs: Mapping[str, Uncertain], *, refused: float, left: Mapping[str, int], samples: int
) -> list[Finding]:
    """Where the two ways disagree, what was refused, what left the range."""
    found = []
    # three standard deviations of a drawn 2.5 % quantile of a normal variable, in its own sd
    noise = 3.0 * math.sqrt(0.025 * 0.975 / samples) / 0.0584
    for name, one in outputs.items():
        if one.apart > APART + noise and one.sd > 1e-9 * abs(one.value):
            found.append(Finding(
                "spread_disagrees", "warning", f"{law.name} {name}",
                text("first order puts {name} between {first_low} and {first_high}, the draws between {low} and "
                     "{high}: rely on the draws", name=name,
                     first_low=f"{one.first_low:.4g}", first_high=f"{one.first_high:.4g}",
                     low=f"{one.low:.4g}", high=f"{one.high:.4g}"),
                _GUIDE,
            ))  # fmt: skip
    if refused > 0.0:
        found.append(Finding("spread_refused", "warning", law.name,
                             text("{share} of the draws are impossible inputs and were left out: the spread "
                                  "is wider than the input can be", share=Amount(refused, "share")),
                             _GUIDE))  # fmt: skip
    for name, count in sorted(left.items()):
        found.append(Finding("out_of_range", "warning", law.name,
                             text("{share} of the draws of {name} leave the range for which {law} is published",
                                  share=Amount(count / samples, "share"), name=name, law=law.name),
                             law.sources[0]))  # fmt: skip
    return found


Path: TypeAlias = tuple["str | int", ...]
_PIECE: Final = re.compile(r"([A-Za-z_0-9]+)|\[(\d+)\]")


def _path(law: Law, inputs: Mapping[str, Any], name: str) -> Path:
    """``plies[2].thickness`` as ("plies", 2, "thickness"), which must lead to a number."""
    parts: Path = tuple(int(m[2]) if m[2] else m[1] for m in _PIECE.finditer(name))
    try:
        value = _get(inputs, parts) if parts else math.nan
    except (KeyError, IndexError, TypeError):
        value = math.nan
    if not math.isfinite(value):
        raise InputError(Problem(f"calc {law.name}", f"spreads.{name}",
                                 text("the path of a number among the inputs, not of a count"), shown(name),
                                 text("write it as argument, or as table[row].column")))  # fmt: skip
    return parts


def _get(tree: Any, path: Path) -> float:
    for step in path:
        tree = tree[step]
    return tree if isinstance(tree, float) else math.nan  # a whole number counts something


def _changed(tree: Any, changes: Sequence[tuple[Path, float]]) -> Any:
    """A copy of a tree with some numbers changed; untouched branches are shared."""
    here = [v for path, v in changes if not path]
    if here:
        return here[-1]
    if not changes:
        return tree
    steps = {path[0] for path, _ in changes}
    if isinstance(tree, Mapping):
        return {k: _changed(v, [(p[1:], c) for p, c in changes if p[0] == k]) if k in steps else v
                for k, v in tree.items()}  # fmt: skip
    return [_changed(v, [(p[1:], c) for p, c in changes if p[0] == n]) if n in steps else v
            for n, v in enumerate(tree)]  # fmt: skip


def _numbers(tree: Any, prefix: str = "") -> dict[str, float]:
    """Every real number of a result by its path."""
    found: dict[str, float] = {}
    if isinstance(tree, Mapping):
        for key, value in tree.items():
            found |= _numbers(value, f"{prefix}.{key}" if prefix else str(key))
    elif isinstance(tree, Sequence) and not isinstance(tree, str):
        for n, value in enumerate(tree):
            found |= _numbers(value, f"{prefix}[{n}]")
    elif isinstance(tree, float):
        found[prefix] = tree
    return found
