"""Sharing out a tolerance over the links of a chain at least cost."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from statistics import NormalDist
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.physics.tolerance import SHAPES, Contributor, fraction_within, half_width_of

_ROUNDS: Final = 200
_CORRECTIONS: Final = 20
_CHASE: Final = Source("published", "K. W. Chase, W. H. Greenwood, B. G. Loosli, L. F. Hauglund, \"Least cost "
                       "tolerance allocation for mechanical assemblies with automated process selection\", "
                       "Manufacturing Review 3 (1990) 49-59")  # fmt: skip


@dataclass(frozen=True, slots=True)
class CostedLink:
    """A link whose tolerance is to be found: `link`, and what a half width t [m] costs.

    Cost fixed + factor/t^power, in the works' currency [-] with `factor` in currency times m^power [-];
    the process can hold half widths between `least` [m] and `most` [m]. A link without a factor keeps its
    tolerance.
    """

    link: Contributor
    factor: float = 0.0
    power: float = 1.0
    fixed: float = 0.0
    least: float = 0.0
    most: float = math.inf

    def cost(self, tolerance: float) -> float:
        """What a half width costs, in the works' currency. [-]

        Parameters
        ----------
        tolerance : float
            Half width. [m]

        Returns
        -------
        float
            Cost. [-]
        """
        return self.fixed + (self.factor / tolerance**self.power if self.factor > 0.0 else 0.0)


@dataclass(frozen=True, slots=True)
class Allocation:
    """Half widths of the links [m], their cost in the works' currency [-], and what they achieve.

    `fraction` of sets within the limit [-]; `rss` root sum of squares [m]; `worst` worst case [m];
    `price` what the last bit of limit costs: the cost saved per metre of a wider limit [1/m].
    """

    tolerances: tuple[float, ...]
    cost: float
    fraction: float
    rss: float
    worst: float
    price: float
    findings: tuple[Finding, ...]


def allocate_tolerances(
    links: Sequence[CostedLink],
    limit: float,
    *,
    fraction: float | None = 0.9973,
) -> Allocation:
    """Half widths that keep a chain within its limit at least cost. [m]

    Parameters
    ----------
    links : Sequence[CostedLink]
        The links; those without a cost factor keep their tolerance. [-]
    limit : float
        Half width allowed for the closing size, about its mean. [m]
    fraction : float, optional
        Of sets that must lie within the limit; None asks for the worst case. [-]

    Returns
    -------
    Allocation
        Half widths, cost, achieved fraction. [-]

    Notes
    -----
    The condition of Lagrange for cost sum(f/t^p) under sum (s t/k)^2 = V, k the half width over the standard
    deviation: t = (p f k^2/(2 L s^2))^(1/(p+2)); under the worst case sum |s| t = T: t =
    (p f/(L |s|))^(1/(p+1)). With one power for all it is a formula; in general L is found by halving, as
    what is used falls steadily with it; ends of a process hold where they bind. The variance V first
    follows from the normal distribution; the exact distribution of the sum of the links' true shapes then
    corrects it until the fraction is met. The cost is the least among the sets of that variance: of all
    sets where every link has one shape, nearly so where shapes differ.

    References
    ----------
    .. [1] Chase, Greenwood, Loosli, Hauglund, Manufacturing Review 3 (1990) 49-59.

    Examples
    --------
    >>> alike = [CostedLink(Contributor(0.1, 0.0), factor=1e-3) for _ in range(4)]
    >>> found = allocate_tolerances(alike, 0.4e-3, fraction=None)
    >>> [round(t * 1e3, 6) for t in found.tolerances]
    [0.1, 0.1, 0.1, 0.1]
    """
    _checked(links, limit, fraction)
    if fraction is None:
        tolerances, price = _shared(links, limit, squared=False)
        return _told(links, tolerances, limit=limit, price=price)
    sd = limit / NormalDist().inv_cdf(0.5 + 0.5 * fraction)
    tolerances, price = _shared(links, sd, squared=True)
    for _ in range(_CORRECTIONS):
        reach = half_width_of(_with(links, tolerances), fraction)
        wanted = sd * limit / reach
        if abs(reach / limit - 1.0) < 1e-7 or price == 0.0 or wanted <= _least_sd(links):
            break
        sd = wanted
        tolerances, price = _shared(links, sd, squared=True)
    # the limit goes with the standard deviation, so that its price does too
    return _told(links, tolerances, limit=limit, price=price * sd / limit)


def _refused(field: str, must_be: Text, got: object, do: Text) -> InputError:
    return InputError(Problem("tolerance allocation", field, must_be, shown(got), do))


def _checked(links: Sequence[CostedLink], limit: float, fraction: float | None) -> None:
    if not any(k.factor > 0.0 for k in links):
        raise _refused(
            "links", text("at least one with a cost factor"), "none", text("say what tightness costs")
        )
    for k in links:
        if k.factor > 0.0 and not (k.power > 0.0 and k.link.sensitivity != 0.0 and 0.0 <= k.least <= k.most):
            raise _refused("links", text("with a power above 0, a sensitivity and least <= most"), "otherwise",
                           text("correct the link"))  # fmt: skip
    if fraction is None:
        least = math.fsum(abs(k.link.sensitivity) * _least(k) for k in links)
        if least >= limit:
            raise _refused("limit", text("above {least}: what the processes can't do without",
                                         least=Amount(least, "length")),
                           f"{limit:g} m", text("widen the limit or find a finer process"))  # fmt: skip
        return
    if not 0.0 < fraction < 1.0:
        raise _refused("fraction", text("between 0 and 1"), fraction,
                       text("such as 0.9973, or none for the worst case"))  # fmt: skip
    needed = _least_sd(links) * NormalDist().inv_cdf(0.5 + 0.5 * fraction)
    if needed >= limit:
        raise _refused("limit", text("above {least}: what the processes can't do without",
                                     least=Amount(needed, "length")),
                       f"{limit:g} m", text("widen the limit, ask for less, or find a finer process"))  # fmt: skip


def _least(link: CostedLink) -> float:
    return link.least if link.factor > 0.0 else link.link.tolerance


def _sd_per_width(link: CostedLink) -> float:
    """Standard deviation of the closing size per half width of this link."""
    one = replace(link.link, tolerance=1.0, sd=None)
    return abs(one.sensitivity) * one.spread


def _least_sd(links: Sequence[CostedLink]) -> float:
    return math.sqrt(math.fsum(
        (_sd_per_width(k) * k.least if k.factor > 0.0 else k.link.sensitivity * k.link.spread) ** 2 for k in links
    ))  # fmt: skip


def _shared(links: Sequence[CostedLink], room: float, *, squared: bool) -> tuple[list[float], float]:
    """Half widths that use up the room (a standard deviation, or a worst case), and the price of room."""
    order = 2.0 if squared else 1.0
    arms = [_sd_per_width(k) if squared else abs(k.link.sensitivity) for k in links]

    def width(k: CostedLink, arm: float, multiplier: float) -> float:
        # d/dt: p f/t^(p+1) = multiplier x order x arm^order x t^(order-1)
        free = float((k.power * k.factor / (order * multiplier * arm**order)) ** (1.0 / (k.power + order)))
        return min(k.most, max(k.least, free))

    def widths(multiplier: float) -> list[float]:
        return [width(k, a, multiplier) if k.factor > 0.0 else k.link.tolerance
                for k, a in zip(links, arms, strict=True)]  # fmt: skip

    def used(multiplier: float) -> float:
        return math.fsum(
            (a * t if k.factor > 0.0 or not squared else k.link.sensitivity * k.link.spread) ** order
            for k, a, t in zip(links, arms, widths(multiplier), strict=True)
        )

    wanted = room**order
    low, high = 1e-30, 1e30  # logarithms halve: the multiplier may have any unit
    if used(low) <= wanted:
        return widths(low), 0.0  # every process at its coarsest fits
    for _ in range(_ROUNDS):
        middle = math.sqrt(low * high)
        low, high = (middle, high) if used(middle) > wanted else (low, middle)
    return widths(high), high * order * room ** (order - 1.0)


def _with(links: Sequence[CostedLink], tolerances: Sequence[float]) -> list[Contributor]:
    return [replace(k.link, tolerance=t, sd=None, shift=0.0) if k.factor > 0.0 else replace(k.link, shift=0.0)
            for k, t in zip(links, tolerances, strict=True)]  # fmt: skip


def _told(
    links: Sequence[CostedLink], tolerances: Sequence[float], *, limit: float, price: float
) -> Allocation:
    chain = _with(links, tolerances)
    cost = math.fsum(k.cost(t) for k, t in zip(links, tolerances, strict=True))
    arms = [abs(c.sensitivity) * c.tolerance for c in chain]
    bound = [
        k
        for k, t in zip(links, tolerances, strict=True)
        if k.factor > 0.0 and t <= k.least * (1.0 + 1e-9) > 0.0
    ]
    findings: tuple[Finding, ...] = ()
    if bound:
        findings = (Finding("tolerance_at_limit", "note", "tolerance allocation",
                            text("{count} links are as tight as their process can hold", count=len(bound)),
                            _CHASE),)  # fmt: skip
    return Allocation(
        tuple(float(t) for t in tolerances), cost, fraction_within(chain, limit),
        math.sqrt(math.fsum(a * a for a in arms)), math.fsum(arms), price, findings,
    )  # fmt: skip


def _law(
    links: Sequence[Mapping[str, Any]], limit: float, fraction: float, worst_case: bool
) -> dict[str, Any]:
    costed = [_link(row) for row in links]
    found = allocate_tolerances(costed, limit, fraction=None if worst_case else fraction)
    return {"tolerances": list(found.tolerances), "cost": found.cost, "fraction": found.fraction,
            "rss": found.rss, "worst": found.worst, "price": found.price}  # fmt: skip


def _link(row: Mapping[str, Any]) -> CostedLink:
    link = Contributor(0.0, row["tolerance"], row["sensitivity"], row["distribution"])
    most = math.inf if row["most"] is None else row["most"]
    return CostedLink(link, row["factor"], row["power"], row["fixed"], row["least"], most)


_LINK: Final = (
    Argument("tolerance", "m", text("half width of a link that keeps it"), must=NOT_NEGATIVE, default=0.0),
    Argument("sensitivity", "-", text("change of the closing size per change of this one"), default=1.0),
    Argument("distribution", "-", text("shape of its scatter; a normal one has sd = tolerance/3"), shape="word",
             choices=SHAPES, default="normal"),
    Argument("factor", "-", text("cost times half width [m] to the power; 0 keeps the tolerance"), must=NOT_NEGATIVE,
             default=0.0),
    Argument("power", "-", text("of the half width in the cost"), must=POSITIVE, range=Span(0.2, 3.0), default=1.0),
    Argument("fixed", "-", text("cost whatever the tolerance"), must=NOT_NEGATIVE, default=0.0),
    Argument("least", "m", text("finest half width of its process"), must=NOT_NEGATIVE, default=0.0),
    Argument("most", "m", text("coarsest half width of its process"), must=POSITIVE, default=None),
)  # fmt: skip

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="tolerance_allocation",
        title=text("Tolerances of a chain at least cost"),
        function=_law,
        arguments=(
            Argument("links", "-", text("the links of the chain"), shape="table", columns=_LINK),
            Argument("limit", "m", text("half width allowed for the closing size"), must=POSITIVE),
            Argument("fraction", "-", text("of sets that must lie within"),
                     must=Span(0.0, 1.0, open_low=True, open_high=True), range=Span(0.5, 0.9999), default=0.9973),
            Argument("worst_case", "-", text("whether every set must lie within, whatever the fraction"),
                     shape="flag", default=False),
        ),
        results=(
            Result("tolerances", "m", text("half width of each link")),
            Result("cost", "-", text("of all links")),
            Result("fraction", "-", text("of the drawn sets within the limit")),
            Result("rss", "m", text("root sum of squares of the half widths")),
            Result("worst", "m", text("worst case")),
            Result("price", "1/m", text("cost saved per metre of a wider limit")),
        ),
        accuracy=text("exact for the stated cost functions and independent links of one shape, nearly so for mixed "
                      "shapes; cost functions fitted to a works are rarely better than 20 %"),
        sources=(_CHASE, Source("closed form", "condition of Lagrange")),
        worked=Worked(
            {"links": [{"factor": 1e-3}, {"factor": 8e-3}], "limit": 1e-3, "worst_case": True},
            {"tolerances": [0.26120387e-3, 0.73879613e-3], "cost": 14.65685425},
            tolerance=1e-7,
        ),
    ),
)  # fmt: skip
