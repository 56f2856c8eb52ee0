"""A circuit whose parts scatter: drawn responses, the share that keeps its limits, sensitivities."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.seeds import child_seed
from pairwright.base.words import Text, text
from pairwright.physics.circuit_kernel import compiled_lanes, solve_lanes
from pairwright.physics.circuit_plan import CircuitPlan, circuit_plan
from pairwright.physics.network import COMMON, Branch, branch_impedance, network

Floats: TypeAlias = NDArray[np.float64]
Complexes: TypeAlias = NDArray[np.complex128]
PartShape: TypeAlias = Literal["uniform", "normal", "triangular", "hollow"]
Way: TypeAlias = Literal["auto", "compiled", "plain", "library"]
PART_SHAPES: Final[tuple[str, ...]] = ("uniform", "normal", "triangular", "hollow")

LANES: Final = 256  # draws side by side: their working rows stay in the near cache
_GROWTH: Final = 1e10  # squared; beyond it rounding may show, and the library solves that draw
_SMALL: Final = 200_000  # solutions; the library needs some 0.3 s for them, loading the compiler more
_CHUNK: Final = 8192  # draws in memory at a time


@dataclass(frozen=True, slots=True)
class PartSpread:
    """How a part scatters about its stated value.

    `tolerance` and `series_tolerance` are relative half widths [-] of the value and of the part's own
    series resistance. A normal part has a standard deviation of a third of the half width; a hollow one
    avoids the inner half width `inner` [-] (what a supplier has sorted out and sold as better); parts of
    one `lot` share `lot_share` [-] of the variance of their normal scores.
    """

    tolerance: float = 0.0
    shape: PartShape = "uniform"
    series_tolerance: float = 0.0
    inner: float = 0.0
    lot: str = ""
    lot_share: float = 0.0


@dataclass(frozen=True, slots=True)
class CircuitYield:
    """Share of draws that keep the limits [-], its 95 % interval [-], and where the others leave them.

    `worst_frequency` is where most draws fail [Hz]; `failing` the share that fails there, by
    frequency [-]; `lower_db` and `upper_db` the band that holds 95 % of the draws at each frequency,
    against the nominal circuit [dB].
    """

    share: float
    low: float
    high: float
    worst_frequency: float
    failing: Floats
    lower_db: Floats
    upper_db: Floats


def draw_parts(
    circuit: Sequence[Branch],
    spreads: Mapping[int, PartSpread],
    *,
    seed: int,
    samples: int,
    boards: int = 1,
) -> tuple[Floats, Floats]:
    """Drawn factors of the values and series resistances of all parts. [-]

    Parameters
    ----------
    circuit : Sequence[Branch]
        The parts. [-]
    spreads : Mapping[int, PartSpread]
        By the place of the part in the circuit; the others do not scatter. [-]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]
    boards : int
        Boards made from the same lots, such as 2 for a pair. [-]

    Returns
    -------
    tuple of ndarray, each of shape (boards, n_parts, samples)
        Factors of value and of series resistance. [-]

    Notes
    -----
    Parts of one lot are joined through their normal scores, so that each keeps its own shape. Tolerance
    letters are limits, not standard deviations; what a supplier has sorted is hollow.

    References
    ----------
    .. [1] IEC 60062 (letters F, G, J, K, M: 1, 2, 5, 10, 20 %).

    Examples
    --------
    >>> coil = [Branch("inductor", ("a", "common"), 1e-3)]
    >>> values, series = draw_parts(coil, {0: PartSpread(0.05)}, seed=1, samples=1000)
    >>> bool(abs(values - 1.0).max() <= 0.05), bool((series == 1.0).all())
    (True, True)
    """
    for place, spread in spreads.items():
        if spread.shape == "hollow" and not 0.0 <= spread.inner <= spread.tolerance:
            raise _refused(f"parts[{place}].inner", text("from 0 to the tolerance"), f"{spread.inner:g}",
                           text("correct the inner half width"))  # fmt: skip
    rng = np.random.default_rng(seed)
    values = np.ones((boards, len(circuit), samples))
    series = np.ones_like(values)
    lots = {
        name: rng.standard_normal(samples)
        for name in sorted({s.lot for s in spreads.values() if s.lot and s.lot_share > 0.0})
    }
    for place in sorted(spreads):
        spread = spreads[place]
        for board in range(boards):
            if spread.tolerance > 0.0:
                values[board, place] += _deviation(spread, rng, common=lots.get(spread.lot), samples=samples)
            if spread.series_tolerance > 0.0:
                series[board, place] += spread.series_tolerance * (2.0 * rng.random(samples) - 1.0)
    return values, series


def _deviation(
    spread: PartSpread, rng: np.random.Generator, *, common: Floats | None, samples: int
) -> Floats:
    """Drawn relative deviations of one part."""
    if spread.shape == "normal" or common is not None:
        score = rng.standard_normal(samples)
        if common is not None:
            score = math.sqrt(spread.lot_share) * common + math.sqrt(1.0 - spread.lot_share) * score
        if spread.shape == "normal":
            return np.asarray(score * (spread.tolerance / 3.0), dtype=np.float64)
        from scipy.special import ndtr

        place = np.asarray(ndtr(score), dtype=np.float64)
    else:
        place = rng.random(samples)
    side = 2.0 * place - 1.0
    match spread.shape:
        case "triangular":
            scaled = np.sign(side) * (1.0 - np.sqrt(1.0 - np.abs(side)))
        case "hollow":
            inner = spread.inner / spread.tolerance  # a part without tolerance is not drawn
            scaled = np.where(side < 0.0, -1.0, 1.0) * (inner + (1.0 - inner) * np.abs(side))
        case _:
            scaled = side
    return np.asarray(spread.tolerance * scaled, dtype=np.float64)


def solve_draws(
    plan: CircuitPlan,
    factors: tuple[Floats, Floats],
    *,
    nodes: Sequence[str],
    how: Way = "auto",
    lanes: int = LANES,
) -> Complexes:
    """Node voltages of every draw at every frequency. [V]

    Parameters
    ----------
    plan : CircuitPlan
        Of the circuit. [-]
    factors : tuple of ndarray, each of shape (n_parts, n_draws)
        Factors of the value and of the series resistance of each part of the circuit, ideal sources
        included (theirs count for nothing). [-]
    nodes : Sequence[str]
        Unknown nodes whose voltages are wanted. [-]
    how : str
        ``compiled`` and ``plain`` run the kernel, the latter as the readable text that it is, some
        hundred times slower; ``library`` solves each matrix with numpy; ``auto`` takes the library for
        up to 200 000 solutions, which are done before the compiler is loaded. [-]
    lanes : int
        Draws side by side. [-]

    Returns
    -------
    ndarray, shape (n_nodes, n_freq, n_draws)
        Complex voltages. [V]

    Notes
    -----
    Elimination without exchange of rows: where its factors could have enlarged rounding beyond about
    1e-11, or a pivot vanished, that draw is solved again by the library, with exchange.

    Examples
    --------
    >>> divider = [
    ...     Branch("source", ("in", "common"), 1.0),
    ...     Branch("resistor", ("in", "out"), 3.0),
    ...     Branch("resistor", ("out", "common"), 1.0),
    ... ]
    >>> plan = circuit_plan(divider, np.array([1000.0]))
    >>> factors = np.array([[1.0, 1.0], [1.0, 1.0], [1.0, 3.0]])
    >>> solve_draws(plan, (factors, np.ones((3, 2))), nodes=["out"], how="plain").real
    array([[[0.25, 0.5 ]]])
    """
    values = np.ascontiguousarray(factors[0][list(plan.indices)]) * _stated(plan)[:, None]
    series = np.ascontiguousarray(factors[1][list(plan.indices)]) * _own(plan)[:, None]
    shape = (len(nodes), plan.frequency.size, values.shape[1])
    found = np.empty(shape, dtype=np.complex128)
    growth = np.empty(shape[1:])
    if how == "auto":
        how = "library" if growth.size <= _SMALL else "compiled"
    if how == "library":
        _again(
            plan,
            values,
            series=series,
            nodes=nodes,
            doubtful=np.ones(growth.shape, dtype=np.bool_),
            found=found,
        )
        return found
    rows = np.zeros((plan.rows, 2, max(1, min(lanes, shape[2]))))
    with np.errstate(all="ignore"):
        (compiled_lanes() if how == "compiled" else solve_lanes)(
            plan.bundle(nodes), (values, series, found.view(np.float64).reshape(*shape, 2), growth, rows)
        )
    doubtful = ~(growth <= _GROWTH) | ~np.isfinite(found).all(axis=0)
    if doubtful.any():
        _again(plan, values, series=series, nodes=nodes, doubtful=doubtful, found=found)
    return found


def _stated(plan: CircuitPlan) -> Floats:
    """Nominal values as the kernel takes them: a measured part's is a factor."""
    return np.array([
        1.0 if b.kind == "measured" else b.series_resistance if b.kind == "source" else b.value
        for b in plan.parts
    ])  # fmt: skip


def _own(plan: CircuitPlan) -> Floats:
    return np.array([0.0 if b.kind == "source" else b.series_resistance for b in plan.parts])


def _again(
    plan: CircuitPlan, values: Floats, *, series: Floats, nodes: Sequence[str],
    doubtful: NDArray[np.bool_], found: Complexes,
) -> None:  # fmt: skip
    """Solve the doubtful draws with the library."""
    place = {name: n for n, name in enumerate(plan.nodes)}
    asked = [place[n] for n in nodes]
    for f in np.flatnonzero(doubtful.any(axis=1)):
        which = np.flatnonzero(doubtful[f])
        matrix, right = _matrices(plan, values[:, which], series=series[:, which], at=int(f))
        try:
            solved = np.linalg.solve(matrix, right[..., None])[..., 0]
        except np.linalg.LinAlgError as error:
            raise _refused("parts", text("a circuit with one answer in every draw"),
                           f"{plan.frequency[f]:g} Hz",
                           text("look for tolerances that reach zero")) from error  # fmt: skip
        found[:, f, which] = solved[:, asked].T


def _matrices(plan: CircuitPlan, values: Floats, *, series: Floats, at: int) -> tuple[Complexes, Complexes]:
    """Nodal matrices and right sides of draws at one frequency, for the library."""
    omega = 2.0 * math.pi * float(plan.frequency[at])
    place = {name: n for n, name in enumerate(plan.nodes)}
    known = dict(plan.known)
    draws, size = values.shape[1], len(plan.nodes)
    matrix = np.zeros((draws, size, size), dtype=np.complex128)
    right = np.zeros((draws, size), dtype=np.complex128)
    for p, part in enumerate(plan.parts):
        match part.kind:
            case "inductor":
                z = 1j * omega * values[p]
            case "capacitor":
                z = 1.0 / (1j * omega * values[p])
            case "measured":
                z = plan.tables[p, at] * values[p]
            case _:
                z = values[p].astype(np.complex128)
        y = 1.0 / (z + series[p])
        for sign, (here, there) in zip((1.0, -1.0), (part.nodes, part.nodes[::-1]), strict=True):
            if here not in place:
                continue
            n = place[here]
            matrix[:, n, n] += y
            if there in place:
                matrix[:, n, place[there]] -= y
            right[:, n] += y * known.get(there, 0.0)
            if part.kind == "source":
                right[:, n] += sign * part.value * y
    return matrix, right


def circuit_yield(
    circuit: Sequence[Branch],
    frequency: Floats,
    *,
    spreads: Mapping[int, PartSpread],
    node: str,
    limit_db: float | Floats,
    seed: int = 1,
    samples: int = 20_000,
) -> CircuitYield:
    """Share of boards whose level stays within a limit of the nominal board's. [-]

    Parameters
    ----------
    circuit : Sequence[Branch]
        The parts. [-]
    frequency : ndarray
        Shape (n_freq,). [Hz]
    spreads : Mapping[int, PartSpread]
        By the place of the part in the circuit. [-]
    node : str
        Whose voltage counts, such as a drive unit's terminal. [-]
    limit_db : float or ndarray
        Largest deviation, one for all or by frequency; infinite where none is set. [dB]
    seed : int
        Of the draw. [-]
    samples : int
        Number of draws. [-]

    Returns
    -------
    CircuitYield
        Share within the limits at every frequency. [-]

    Notes
    -----
    The interval of the share is Wilson's. Independent parts: parts bought as one lot are alike, and
    independent draws then look worse for the two boards of a pair than they are (`lot_share`).

    References
    ----------
    .. [1] E. B. Wilson, J. Amer. Statist. Assoc. 22 (1927) 209-212 (interval of a share).

    Examples
    --------
    >>> board = [
    ...     Branch("source", ("in", "common"), 1.0),
    ...     Branch("resistor", ("in", "out"), 4.0),
    ...     Branch("resistor", ("out", "common"), 4.0),
    ... ]
    >>> found = circuit_yield(
    ...     board, np.array([1000.0]), spreads={1: PartSpread(0.2)}, node="out", limit_db=0.5
    ... )
    >>> 0.5 < found.share < 0.7
    True
    """
    plan = circuit_plan(circuit, frequency)
    nominal = np.abs(network(circuit, frequency)[node])
    limit = np.broadcast_to(np.asarray(limit_db, dtype=np.float64), nominal.shape)
    level = np.empty((frequency.size, samples))
    how: Way = "library" if level.size <= _SMALL else "compiled"
    for start in range(0, samples, _CHUNK):
        count = min(_CHUNK, samples - start)
        values, series = draw_parts(circuit, spreads, seed=child_seed(seed, start), samples=count)
        drawn = solve_draws(plan, (values[0], series[0]), nodes=[node], how=how)[0]
        with np.errstate(divide="ignore"):
            level[:, start : start + count] = 20.0 * np.log10(np.abs(drawn) / nominal[:, None])
    out = ~(np.abs(level) <= limit[:, None])
    failing = out.mean(axis=1)
    share = 1.0 - float(out.any(axis=0).mean())
    low, high = share_interval(share, samples)
    band = np.quantile(level, (0.025, 0.975), axis=1)
    return CircuitYield(
        share, low, high, float(frequency[int(np.argmax(failing))]), failing, band[0], band[1]
    )


def share_interval(share: float, count: int, *, score: float = 1.959964) -> tuple[float, float]:
    """Wilson's interval of a share. [-]

    Parameters
    ----------
    share : float
        Observed. [-]
    count : int
        Trials. [-]
    score : float
        Normal quantile of the wanted confidence. [-]

    Returns
    -------
    tuple of float
        Low and high end. [-]

    Examples
    --------
    >>> low, high = share_interval(1.0, 100)
    >>> round(low, 4), high
    (0.963, 1.0)
    """
    z = score * score / count
    centre = (share + 0.5 * z) / (1.0 + z)
    half = score * math.sqrt(share * (1.0 - share) / count + 0.25 * z / count) / (1.0 + z)
    return max(0.0, centre - half), min(1.0, centre + half)


def part_sensitivities(circuit: Sequence[Branch], frequency: Floats, *, node: str) -> Complexes:
    """Relative change of a node's voltage per relative change of each part's value. [-]

    Parameters
    ----------
    circuit : Sequence[Branch]
        The parts. [-]
    frequency : ndarray
        Shape (n_freq,). [Hz]
    node : str
        Whose voltage is asked. [-]

    Returns
    -------
    ndarray, shape (n_parts, n_freq)
        (p/v) dv/dp; the real part is the change of level (0.0869 dB per per cent and unit), the
        imaginary part that of the phase in radians. A source's is that of its voltage. [-]

    Notes
    -----
    By the adjoint circuit: the same circuit with its sources at rest, driven by one ampere at the asked
    node. The nodal matrix is symmetric, so that one more solution serves all parts.

    References
    ----------
    .. [1] S. W. Director, R. A. Rohrer, "The generalized adjoint network and network sensitivities",
       IEEE Trans. Circuit Theory 16 (1969) 318-323.

    Examples
    --------
    >>> divider = [
    ...     Branch("source", ("in", "common"), 1.0),
    ...     Branch("resistor", ("in", "out"), 3.0),
    ...     Branch("resistor", ("out", "common"), 1.0),
    ... ]
    >>> part_sensitivities(divider, np.array([1000.0]), node="out").real.round(6).tolist()
    [[1.0], [-0.75], [0.75]]
    """
    volts = network(circuit, frequency)
    at_rest = np.zeros(frequency.size, dtype=np.complex128)
    volts[COMMON] = at_rest
    if node not in volts:
        raise _refused("node", text("a node of the circuit"), node, text("correct the name"))
    adjoint = _adjoint(circuit, frequency, node=node)
    found = np.zeros((len(circuit), frequency.size), dtype=np.complex128)
    for n, part in enumerate(circuit):
        if part.kind == "source":
            found[n] = _share_of_source(circuit, frequency, node=node, which=n) / volts[node]
            continue
        z = branch_impedance(part, frequency)
        drop = volts[part.nodes[0]] - volts[part.nodes[1]]
        answer = adjoint[part.nodes[0]] - adjoint[part.nodes[1]]
        # dv/dy = -drop answer; p dy/dp = -y^2 p dz/dp, with p dz/dp the reactive or bare part of z
        bare = z - part.series_resistance
        turned = -bare if part.kind == "capacitor" else bare
        found[n] = drop * answer * turned / (z * z) / volts[node]
    return found


def _adjoint(circuit: Sequence[Branch], frequency: Floats, *, node: str) -> dict[str, Complexes]:
    """Voltages per ampere at a node, sources at rest."""
    quiet = [_silenced(b) for b in circuit]
    large = 1e9  # one ampere from a source so large that the circuit does not change its current
    drive = Branch("source", (node, COMMON), large, large)
    found = network([*quiet, drive], frequency)
    found[COMMON] = np.zeros(frequency.size, dtype=np.complex128)
    # exact again: what the large resistance takes is added
    taken = 1.0 - found[node] / large
    return {name: v / taken for name, v in found.items()}


def _silenced(branch: Branch) -> Branch:
    if branch.kind != "source":
        return branch
    return Branch("source", branch.nodes, 0.0, branch.series_resistance)


def _share_of_source(circuit: Sequence[Branch], frequency: Floats, *, node: str, which: int) -> Complexes:
    """What one source alone gives at a node."""
    alone = [b if n == which else _silenced(b) for n, b in enumerate(circuit)]
    return network(alone, frequency)[node]


def _refused(field: str, must_be: Text, got: str, do: Text) -> InputError:
    return InputError(Problem("circuit", field, must_be, shown(got), do))
