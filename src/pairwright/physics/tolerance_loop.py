"""Vector loops in the plane: lengths and angles that must close, linearised and drawn."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.tolerance import SHAPES, Contributor, draw, symmetric_interval
from pairwright.physics.uncertain import APART

Floats: TypeAlias = NDArray[np.float64]
Variable: TypeAlias = tuple[int, str]  # which arm, "length" or "turn"

_GUIDE: Final = Source("standard", "JCGM 101:2008, 8 (comparison of first order with Monte Carlo)")
_CLOSE: Final = 1e-12  # of the loop's size: closed
_ROUNDS: Final = 30


@dataclass(frozen=True, slots=True)
class Arm:
    """One arm of a loop: its length [m] and its turn against the arm before it [rad].

    The first arm turns against the horizontal. Of the contributors the sensitivity is not used. What is
    `unknown` (``length``, ``turn``) is found from the loop's closing; its contributor gives a start. An
    arm that is `same_as` an earlier one takes its length from it: one roller, passed twice.
    """

    name: str
    length: Contributor
    turn: Contributor
    unknown: tuple[str, ...] = ()
    same_as: str = ""


@dataclass(frozen=True, slots=True)
class Closed:
    """One unknown of a loop, in its own unit [-]: [m] for a length, [rad] for a turn.

    `mean` is `nominal` with measured shifts, by slopes. Limits as in a chain: `worst` and `rss` by
    slopes, `mc` drawn with the loop solved anew each time;
    `slopes` by arm and quantity, `contributions` their shares of the first-order variance [-].
    """

    name: str
    nominal: float
    mean: float
    worst_low: float
    worst_high: float
    rss_low: float
    rss_high: float
    sd: float
    mc_mean: float
    mc_sd: float
    mc_low: float
    mc_high: float
    slopes: tuple[tuple[str, float], ...]
    contributions: tuple[tuple[str, float], ...]


@dataclass(frozen=True, slots=True)
class LoopResult:
    """The unknowns of a loop, the share of draws that do not close [-], and findings."""

    unknowns: tuple[Closed, ...]
    open_share: float
    findings: tuple[Finding, ...]


def tolerance_loop(
    arms: Sequence[Arm], *, seed: int = 1, samples: int = 100_000, coverage: float = 0.95
) -> LoopResult:
    """Unknown lengths and angles of a closed loop, with their limits. [-]

    Parameters
    ----------
    arms : Sequence[Arm]
        In order around the loop, with two unknowns; with three, the last arm, of whatever length, must
        come to point along the first again, which closes the angles too. [-]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]
    coverage : float
        Coverage probability of the drawn interval. [-]

    Returns
    -------
    LoopResult
        One entry for each unknown. [-]

    Notes
    -----
    Closing: sum L cos(phi) = 0, sum L sin(phi) = 0, phi the sum of the turns so far. Slopes by
    linearisation, S = -B^-1 A with A and B the derivatives by knowns and unknowns; worst case is
    linear. Draws are solved by Newton's method, each for itself. Where the drawn ends part from the
    first-order ones by more than a tenth of a standard deviation a finding says so; draws that can't be
    closed are parts that can't be assembled.

    References
    ----------
    .. [1] K. W. Chase, J. Gao, S. P. Magleby, "General 2-D tolerance analysis of mechanical assemblies
       with small kinematic adjustments", J. Design and Manufacturing 5 (1995) 263-274 (method).
    .. [2] JCGM 101:2008, 7.

    Examples
    --------
    >>> fixed = lambda size, tolerance=0.0: Contributor(size, tolerance)
    >>> square = [
    ...     Arm("base", fixed(0.3, 0.2e-3), fixed(0.0)),
    ...     Arm("side", fixed(0.4, 0.2e-3), fixed(math.pi / 2)),
    ...     Arm("diagonal", fixed(0.5), fixed(2.2), unknown=("length", "turn")),
    ... ]
    >>> diagonal = tolerance_loop(square).unknowns[0]
    >>> round(diagonal.nominal, 9), [round(s, 6) for _, s in diagonal.slopes[0:3:2]]
    (0.5, [0.6, 0.8])
    """
    origin = _origins(arms)
    unknown = [(n, what) for n, arm in enumerate(arms) for what in arm.unknown]
    if len(unknown) not in (2, 3):
        raise _refused("unknown", text("two, or three with the angles"), len(unknown),
                       text("mark what the loop decides"))  # fmt: skip
    known = [(n, w) for n in range(len(arms)) for w in ("length", "turn")
             if (n, w) not in unknown and (w == "turn" or origin[n] == n)]  # fmt: skip
    lengths, turns = _nominal(arms, origin)
    if not bool(_solve(lengths, turns, unknown)[0]):
        raise _refused("arms", text("able to close at nominal size"), "open",
                       text("correct a length or an angle, or give the unknowns a better start"))  # fmt: skip
    slopes = _slopes(lengths[:, 0], turns[:, 0], known, unknown=unknown, origin=origin)
    drawn_lengths, drawn_turns = _drawn(arms, (lengths, turns), known=known, seed=seed, samples=samples)
    drawn_lengths = drawn_lengths[origin]
    shut = _solve(drawn_lengths, drawn_turns, unknown)
    if not shut.any():
        raise _refused("arms", text("able to close within their tolerances"), "open",
                       text("check lengths, angles and tolerances"))  # fmt: skip
    found = []
    for row, (n, what) in enumerate(unknown):
        values = (drawn_lengths if what == "length" else drawn_turns)[n, shut]
        nominal = float((lengths if what == "length" else turns)[n, 0])
        found.append(_closed(f"{arms[n].name} {what}", nominal, arms=arms, known=known, slopes=slopes[row],
                             values=values, coverage=coverage))  # fmt: skip
    open_share = 1.0 - float(shut.mean())
    return LoopResult(tuple(found), open_share, tuple(_findings(found, open_share, coverage, samples)))


def _refused(field: str, must_be: Text, got: object, do: Text) -> InputError:
    return InputError(Problem("tolerance loop", field, must_be, shown(got), do))


def _origins(arms: Sequence[Arm]) -> list[int]:
    """For each arm, the arm whose length it has: mostly itself."""
    names = [a.name for a in arms]
    found = []
    for n, arm in enumerate(arms):
        if not arm.same_as:
            found.append(n)
            continue
        if arm.same_as not in names[:n] or arm.unknown.count("length"):
            raise _refused("same_as", text("the name of an arm before it, of a known length"), arm.same_as,
                           text("correct the name"))  # fmt: skip
        found.append(found[names.index(arm.same_as)])
    return found


def _nominal(arms: Sequence[Arm], origin: Sequence[int]) -> tuple[Floats, Floats]:
    lengths = np.array([[arms[n].length.nominal] for n in origin])
    turns = np.array([[a.turn.nominal] for a in arms])
    return lengths, turns


def _drawn(
    arms: Sequence[Arm], start: tuple[Floats, Floats], *, known: Sequence[Variable], seed: int, samples: int
) -> tuple[Floats, Floats]:
    """Drawn knowns; the unknowns start from their nominal solution."""
    drawn = []
    for k, what in enumerate(("length", "turn")):
        rows = np.repeat(start[k], samples, axis=1)
        for n, arm in enumerate(arms):
            one: Contributor = getattr(arm, what)
            if (n, what) not in known:
                continue
            rows[n] += one.shift
            if one.spread > 0.0:
                alone = Contributor(0.0, one.tolerance, distribution=one.distribution, sd=one.sd)
                rows[n] += draw([alone], seed=seed + 1009 * (2 * n + k), samples=samples)
        drawn.append(rows)
    return drawn[0], drawn[1]


def _solve(lengths: Floats, turns: Floats, unknown: Sequence[Variable]) -> NDArray[np.bool_]:
    """Change the unknowns until every column closes; tell which do."""
    size = np.abs(lengths).sum(axis=0)
    scale = np.array([1.0 if what == "turn" else 0.0 for _, what in unknown])
    shut = np.zeros(lengths.shape[1], dtype=np.bool_)
    going = np.arange(lengths.shape[1])
    for _ in range(_ROUNDS):
        off, matrix = _equations(lengths[:, going], turns[:, going], unknown)
        reached = np.all(np.abs(off[:2]) <= _CLOSE * size[going], axis=0) & np.all(
            np.abs(off[2:]) <= 1e-12, axis=0
        )
        shut[going[reached]] = True
        going, off, matrix = going[~reached], off[:, ~reached], matrix[:, :, ~reached]
        # near a dead point the unknowns hardly depend on each other and a full step leaps: hold it back
        sound = np.abs(np.linalg.det(matrix.transpose(2, 0, 1))) > 0.0
        going, off, matrix = going[sound], off[:, sound], matrix[:, :, sound]
        if not going.size:
            break
        step = np.linalg.solve(matrix.transpose(2, 0, 1), -off.T[:, :, None])[:, :, 0].T
        limit = np.where(scale[:, None] > 0.0, 0.5, 0.5 * size[going])
        step *= np.minimum(1.0, np.min(limit / np.maximum(np.abs(step), 1e-300), axis=0))
        for row, (n, what) in enumerate(unknown):
            (lengths if what == "length" else turns)[n, going] += step[row]
    return shut


def _equations(lengths: Floats, turns: Floats, unknown: Sequence[Variable]) -> tuple[Floats, Floats]:
    """What is left open, shape (n, draws), and its derivatives by the unknowns, shape (n, n, draws)."""
    phi = np.cumsum(turns, axis=0)
    x, y = lengths * np.cos(phi), lengths * np.sin(phi)
    off = [x.sum(axis=0), y.sum(axis=0)]
    if len(unknown) == 3:
        around = phi[-1] - phi[0]
        off.append(around - 2.0 * math.pi * np.round(around / (2.0 * math.pi)))
    columns = [_derivative(phi, x, y, variable, len(unknown) == 3) for variable in unknown]
    return np.array(off), np.array(columns).transpose(1, 0, 2)


def _derivative(phi: Floats, x: Floats, y: Floats, variable: Variable, angles: bool) -> list[Floats]:
    """Change of the loop's end, and of its last direction, per change of one quantity."""
    n, what = variable
    if what == "length":
        column = [np.cos(phi[n]), np.sin(phi[n])]
        return [*column, np.zeros(phi.shape[1])] if angles else column
    # a turn swings everything that follows it
    column = [-y[n:].sum(axis=0), x[n:].sum(axis=0)]
    return [*column, np.full(phi.shape[1], 1.0 if n > 0 else 0.0)] if angles else column


def _slopes(
    lengths: Floats, turns: Floats, known: Sequence[Variable], *, unknown: Sequence[Variable],
    origin: Sequence[int],
) -> Floats:  # fmt: skip
    """Change of each unknown per change of each known, shape (n_unknown, n_known)."""
    phi = np.cumsum(turns)[:, None]
    x, y = lengths[:, None] * np.cos(phi), lengths[:, None] * np.sin(phi)
    angles = len(unknown) == 3
    by_known = np.array([
        np.sum([_derivative(phi, x, y, v, angles) for v in _shared(one, origin)], axis=0) for one in known
    ])[:, :, 0].T  # fmt: skip
    by_unknown = np.array([_derivative(phi, x, y, v, angles) for v in unknown])[:, :, 0].T
    return np.asarray(-np.linalg.solve(by_unknown, by_known), dtype=np.float64)


def _shared(one: Variable, origin: Sequence[int]) -> list[Variable]:
    """Every place where a quantity counts."""
    n, what = one
    return [one] if what == "turn" else [(m, what) for m, o in enumerate(origin) if o == n]


def _closed(
    name: str, nominal: float, *, arms: Sequence[Arm], known: Sequence[Variable], slopes: Floats,
    values: Floats, coverage: float,
) -> Closed:  # fmt: skip
    links: list[Contributor] = [getattr(arms[n], what) for n, what in known]
    names = [f"{arms[n].name} {what}" for n, what in known]
    arms_of = [abs(s) * c.tolerance for s, c in zip(slopes, links, strict=True)]
    variances = [float(s * c.spread) ** 2 for s, c in zip(slopes, links, strict=True)]
    variance, worst = math.fsum(variances), math.fsum(arms_of)
    rss = math.sqrt(math.fsum(a * a for a in arms_of))
    low, high = symmetric_interval(values, coverage)
    shares = (v / variance if variance > 0.0 else 0.0 for v in variances)
    return Closed(
        name, nominal, nominal + math.fsum(float(s) * c.shift for s, c in zip(slopes, links, strict=True)),
        nominal - worst, nominal + worst, nominal - rss, nominal + rss, math.sqrt(variance),
        float(values.mean()), float(values.std()), low, high,
        tuple((n, float(s)) for n, s in zip(names, slopes, strict=True)),
        tuple(zip(names, shares, strict=True)),
    )  # fmt: skip


def _findings(found: Sequence[Closed], open_share: float, coverage: float, samples: int) -> list[Finding]:
    from statistics import NormalDist

    said = []
    if open_share > 0.0:
        said.append(Finding("assembly_not_closed", "error", "tolerance loop",
                            text("{share} of the drawn sets of parts can't be put together",
                                 share=Amount(open_share, "share")), _GUIDE))  # fmt: skip
    score = NormalDist().inv_cdf(0.5 + 0.5 * coverage)
    noise = 3.0 * math.sqrt(0.25 * (1.0 - coverage) * (1.0 + coverage) / samples) / NormalDist().pdf(score)
    for one in found:
        centre = one.mean
        far = max(abs(one.mc_low - (centre - score * one.sd)), abs(one.mc_high - (centre + score * one.sd)))
        if one.sd > 0.0 and far > (APART + noise) * one.sd:
            said.append(Finding(
                "spread_disagrees", "warning", f"tolerance loop {one.name}",
                text("first order puts {name} between {first_low} and {first_high}, the draws between {low} and "
                     "{high}: rely on the draws", name=one.name, first_low=f"{centre - score * one.sd:.4g}",
                     first_high=f"{centre + score * one.sd:.4g}", low=f"{one.mc_low:.4g}",
                     high=f"{one.mc_high:.4g}"),
                _GUIDE,
            ))  # fmt: skip
    return said


def _tolerance_loop_law(arms: Sequence[Mapping[str, Any]], seed: int, samples: int) -> dict[str, Any]:
    found = tolerance_loop([_arm(row, n) for n, row in enumerate(arms)], seed=seed, samples=samples)
    unit = [math.degrees(1.0) if one.name.endswith(" turn") else 1.0 for one in found.unknowns]
    return {
        "unknowns": [
            {"name": one.name, **{f: k * getattr(one, f) for f in _FIELDS},
             "contributions": [{"name": name, "share": share} for name, share in one.contributions if share > 0.0]}
            for one, k in zip(found.unknowns, unit, strict=True)
        ],
        "open_share": found.open_share,
    }  # fmt: skip


def _arm(row: Mapping[str, Any], number: int) -> Arm:
    unknown = tuple(row["unknown"] or ())
    strange = [u for u in unknown if u not in ("length", "turn")]
    if strange:
        raise _refused(f"arms[{number}].unknown", text('among "length" and "turn"'), ", ".join(strange),
                       text("correct the word"))  # fmt: skip
    return Arm(
        row["name"], Contributor(row["length"], row["tolerance"], distribution=row["distribution"]),
        Contributor(math.radians(row["turn_deg"]), math.radians(row["turn_tolerance_deg"]),
                    distribution=row["distribution"]),
        unknown, row["same_as"] or "",
    )  # fmt: skip


def _also(inputs: Mapping[str, Any]) -> Sequence[Finding]:
    arms = [_arm(row, n) for n, row in enumerate(inputs["arms"])]
    return tolerance_loop(arms, seed=inputs["seed"], samples=min(20_000, inputs["samples"])).findings


_FIELDS: Final = ("nominal", "worst_low", "worst_high", "rss_low", "rss_high", "sd", "mc_mean", "mc_sd", "mc_low",
                  "mc_high")  # fmt: skip
_ARM: Final = (
    Argument("name", "-", text("of the arm"), shape="word"),
    Argument("length", "m", text("length; of an unknown one where to start")),
    Argument("turn_deg", "deg", text("turn against the arm before it, counter-clockwise; of the first one "
                                     "against the horizontal")),
    Argument("tolerance", "m", text("half width of the length's tolerance"), must=NOT_NEGATIVE, default=0.0),
    Argument("turn_tolerance_deg", "deg", text("half width of the turn's tolerance"), must=NOT_NEGATIVE,
             default=0.0),
    Argument("distribution", "-", text("shape of its scatter; a normal one has sd = tolerance/3"), shape="word",
             choices=SHAPES, default="normal"),
    Argument("unknown", "-", text("what the loop decides: length, turn"), shape="words", default=None),
    Argument("same_as", "-", text("name of an earlier arm whose length this one has"), shape="word", default=None),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="tolerance_loop",
        title=text("Tolerance loop in the plane, with angles"),
        function=_tolerance_loop_law,
        arguments=(
            Argument("arms", "-", text("around the loop, with two unknowns, or three where the last arm must point "
                                       "along the first again"), shape="table", columns=_ARM, least=3),
            Argument("seed", "-", text("of the Monte Carlo draw"), must=NOT_NEGATIVE, shape="whole", default=1),
            Argument("samples", "-", text("number of draws"), must=Span(1, 2_000_000), shape="whole",
                     range=Span(10_000), default=100_000),
        ),
        results=(
            Result("unknowns", "-", text("each with its limits, 95 % drawn interval and shares of variance; "
                                         "lengths in m, turns in deg")),
            Result("open_share", "-", text("share of drawn sets that can't be put together")),
        ),
        accuracy=text("limits linear in the tolerances; draws exact, their ends to about 0.01 standard "
                      "deviations at 100 000 draws"),
        sources=(
            Source("published", "K. W. Chase, J. Gao, S. P. Magleby, J. Design and Manufacturing 5 (1995) 263-274"),
            Source("closed form", "a triangle closes"),
        ),
        worked=Worked(
            {"arms": [
                {"name": "base", "length": 0.3, "turn_deg": 0.0, "tolerance": 0.3e-3},
                {"name": "side", "length": 0.4, "turn_deg": 90.0, "tolerance": 0.3e-3},
                {"name": "diagonal", "length": 0.5, "turn_deg": 140.0, "unknown": ["length", "turn"]}]},
            {"unknowns": [
                {"name": "diagonal length", "nominal": 0.5, "worst_high": 0.50042, "sd": 1.0e-4},
                {"name": "diagonal turn", "nominal": 143.130102}]},
            tolerance=1e-5,
        ),
        also=_also,
    ),
)  # fmt: skip
