"""Film build: what the coats put on, what flatting and polishing take off, what is left.

Every coat and every removal is an independent normal variable; the film is their sum.
"""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final, Literal, TypeAlias

from pairwright.base.laws import FRACTION, NOT_NEGATIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import COMMON_PRACTICE, Source
from pairwright.base.words import text

RecoatState: TypeAlias = Literal["too_early", "open", "too_late"]


@dataclass(frozen=True, slots=True)
class Coat:
    """One coat: mean wet film [m], volume solids [-], sd of the wet film [m]."""

    wet: float
    solids: float
    sd: float = 0.0


@dataclass(frozen=True, slots=True)
class Removal:
    """One flatting or polishing: mean depth [m] and its sd [m] on the flat."""

    mean: float
    sd: float = 0.0


@dataclass(frozen=True, slots=True)
class FilmBuild:
    """Dry film: mean [m], sd [m], probability of being below the reserve [-]."""

    mean: float
    sd: float
    probability_below_reserve: float


def normal_below(limit: float, mean: float, *, sd: float) -> float:
    """Probability that a normal variable lies below a limit. [-]

    Parameters
    ----------
    limit : float
        The limit, in any unit. [-]
    mean : float
        The mean, in the same unit. [-]
    sd : float
        The standard deviation, in the same unit; 0 makes a step. [-]

    Returns
    -------
    float
        Probability. [-]

    Examples
    --------
    >>> round(normal_below(-1.96, 0.0, sd=1.0), 4)
    0.025
    """
    if sd <= 0.0:
        return 1.0 if mean < limit else 0.0
    return 0.5 * math.erfc((mean - limit) / (sd * math.sqrt(2.0)))


def film_build(
    coats: Sequence[Coat],
    removals: Sequence[Removal] = (),
    *,
    reserve: float = 0.0,
    build_factor: float = 1.0,
    removal_factor: float = 1.0,
) -> FilmBuild:
    """Dry film after coats and removals, with scatter. [m]

    Parameters
    ----------
    coats : Sequence[Coat]
        Wet film, volume solids, sd of the wet film, each coat. [-]
    removals : Sequence[Removal]
        Mean and sd of the depth, each flatting and polishing. [-]
    reserve : float
        Film that must remain. [m]
    build_factor : float
        Share of the film that stays at this place; lacquer draws away from sharp edges. [-]
    removal_factor : float
        How many times deeper abrasion cuts at this place. [-]

    Returns
    -------
    FilmBuild
        Mean and sd of what is left [m], probability that it is below the reserve. [-]

    Notes
    -----
    Mean: sum of wet x solids less sum of removals. Variance: sum of (solids x sd)^2 plus sum of
    removal sd^2. Independent and normal: coats sprayed by one badly set gun share their error, and
    then the true scatter is larger. A factor multiplies mean and sd alike.

    References
    ----------
    .. [1] JCGM 100:2008, 5.1.2, law of propagation of uncertainty, independent inputs.

    Examples
    --------
    >>> left = film_build([Coat(150e-6, 0.5, 10e-6)] * 4, [Removal(60e-6, 8e-6)], reserve=200e-6)
    >>> round(left.mean * 1e6), round(left.sd * 1e6, 1), round(left.probability_below_reserve, 4)
    (240, 12.8, 0.0009)
    """
    put_on = build_factor * sum(c.wet * c.solids for c in coats)
    taken = removal_factor * sum(r.mean for r in removals)
    variance = sum((build_factor * c.solids * c.sd) ** 2 for c in coats)
    variance += sum((removal_factor * r.sd) ** 2 for r in removals)
    mean, sd = put_on - taken, math.sqrt(variance)
    return FilmBuild(mean, sd, normal_below(reserve, mean, sd=sd))


def cut_through_probability(
    coats: Sequence[Coat],
    removals: Sequence[Removal],
    *,
    edge_removal: float = 1.0,
    edge_build: float = 1.0,
    places: int = 1,
) -> float:
    """Probability that abrasion goes through the film at an edge. [-]

    Parameters
    ----------
    coats : Sequence[Coat]
        The coats that may not be cut through. [-]
    removals : Sequence[Removal]
        Everything taken off them, as on the flat. [-]
    edge_removal : float
        How many times deeper abrasion cuts here than on the flat (1 = flat). [-]
    edge_build : float
        Share of the flat's film that stays here (1 = flat). [-]
    places : int
        How many independent places like this one piece has. [-]

    Returns
    -------
    float
        Probability that at least one place is cut through. [-]

    Notes
    -----
    The two factors have no published value: calibrate them on a trial panel. Places are taken as
    independent, which is the cautious side when they are in truth alike.

    Examples
    --------
    >>> coats, taken = [Coat(150e-6, 0.5, 10e-6)] * 2, [Removal(60e-6, 8e-6)]
    >>> flat = cut_through_probability(coats, taken)
    >>> edge = cut_through_probability(coats, taken, edge_removal=2.0, edge_build=0.8)
    >>> flat < 1e-12, round(edge, 3)
    (True, 0.5)
    """
    here = film_build(coats, removals, build_factor=edge_build, removal_factor=edge_removal)
    return any_of(here.probability_below_reserve, places)


def any_of(probability: float, places: int) -> float:
    """Probability that at least one of several independent places fails. [-]

    Parameters
    ----------
    probability : float
        Of one place. [-]
    places : int
        How many. [-]

    Returns
    -------
    float
        Probability of any. [-]

    Examples
    --------
    >>> any_of(0.5, 2)
    0.75
    """
    if probability >= 1.0:
        return 1.0
    return -math.expm1(places * math.log1p(-probability))  # keeps tiny probabilities exact


def film_history(steps: Sequence[Coat | Removal]) -> tuple[FilmBuild, ...]:
    """Film after each step of a finishing sequence. [m]

    Parameters
    ----------
    steps : Sequence[Coat or Removal]
        Coats and removals in the order of the route. [-]

    Returns
    -------
    tuple of FilmBuild
        After each step; the probability is that of having been cut through by then. [-]

    Examples
    --------
    >>> [
    ...     round(f.mean * 1e6)
    ...     for f in film_history([Coat(1e-4, 0.5), Removal(2e-5), Coat(1e-4, 0.5)])
    ... ]
    [50, 30, 80]
    """
    history: list[FilmBuild] = []
    for n in range(1, len(steps) + 1):
        coats = [s for s in steps[:n] if isinstance(s, Coat)]
        removals = [s for s in steps[:n] if isinstance(s, Removal)]
        history.append(film_build(coats, removals))
    return tuple(history)


def recoat_state(elapsed: float, earliest: float, *, latest: float) -> RecoatState:
    """Where a moment lies in a recoat window. [-]

    Parameters
    ----------
    elapsed : float
        Since the coat below was laid. [s]
    earliest : float
        When the window opens, from the data sheet. [s]
    latest : float
        When the window closes; infinity where it never does. [s]

    Returns
    -------
    str
        ``too_early`` (solvent is trapped, the coat lifts), ``open``, or ``too_late`` (the coat
        below must be flatted to key). [-]

    Notes
    -----
    The window is half open, [earliest, latest), as every interval here.

    Examples
    --------
    >>> recoat_state(1200.0, 900.0, latest=14400.0)
    'open'
    """
    if elapsed < earliest:
        return "too_early"
    return "open" if elapsed < latest else "too_late"


def _film_build_law(
    coats: Sequence[Mapping[str, float]], removals: Sequence[Mapping[str, float]], reserve: float
) -> dict[str, Any]:
    left = film_build([Coat(**c) for c in coats], [Removal(**r) for r in removals], reserve=reserve)
    return {"mean": left.mean, "sd": left.sd,
            "probability_below_reserve": left.probability_below_reserve}  # fmt: skip


_COATS: Final = (
    Argument("wet", "m", text("wet film of the coat"), must=NOT_NEGATIVE, range=Span(5e-6, 1e-3)),
    Argument("solids", "-", text("volume solids"), must=FRACTION, range=Span(0.05, 1.0)),
    Argument("sd", "m", text("standard deviation of the wet film"), must=NOT_NEGATIVE, default=0.0),
)
_REMOVALS: Final = (
    Argument("mean", "m", text("depth taken off"), must=NOT_NEGATIVE, range=Span(0.0, 1e-3)),
    Argument("sd", "m", text("its standard deviation"), must=NOT_NEGATIVE, default=0.0),
)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="film_build",
        title=text("Film left after coats, flatting and polishing"),
        function=_film_build_law,
        arguments=(
            Argument("coats", "-", text("the coats, in any order"), shape="table", columns=_COATS),
            Argument("removals", "-", text("flatting and polishing"), shape="table",
                     columns=_REMOVALS, default=(), least=0),
            Argument("reserve", "m", text("film that must remain"), must=NOT_NEGATIVE, default=0.0),
        ),
        results=(
            Result("mean", "m", text("mean dry film that is left")),
            Result("sd", "m", text("standard deviation of it")),
            Result("probability_below_reserve", "-", text("probability of less than the reserve")),
        ),
        accuracy=text(
            "exact for independent normal scatter; a shared error of the gun or the pad makes the "
            "true scatter larger"
        ),
        sources=(
            Source("published", "JCGM 100:2008, 5.1.2, propagation of uncertainty"),
            Source("published", "coating-coverage notes: dry film = wet film x volume solids"),
            COMMON_PRACTICE,
        ),
        worked=Worked(
            {
                "coats": [{"wet": 153.846e-6, "solids": 0.65, "sd": 10e-6}],
                "removals": [{"mean": 20e-6, "sd": 5e-6}],
                "reserve": 60e-6,
            },
            {"mean": 80e-6, "sd": 8.2006e-6, "probability_below_reserve": 7.366e-3},
            tolerance=2e-3,
        ),
    ),
)  # fmt: skip
