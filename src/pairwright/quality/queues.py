"""Waiting at a station: Erlang's formulas, and approximations where arrivals or work are not random.

Letters: lambda arrivals a second, mu served a second by one place, c places, a = lambda/mu offered
load, rho = a/c utilisation. A squared coefficient of variation is variance over mean squared: 1 for
random (exponential), 0 for a clock.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import NOT_NEGATIVE, POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


@dataclass(frozen=True, slots=True)
class Waiting:
    """What waits: mean wait [s], mean number waiting [-], chance of having to wait [-], utilisation [-]."""

    mean_wait: float
    mean_queue: float
    probability_of_wait: float
    utilisation: float


def erlang_b(servers: int, *, load: float) -> float:
    """Chance that all places are taken where nobody waits. [-]

    Parameters
    ----------
    servers : int
        Places. [-]
    load : float
        Offered load: arrivals in a service time. [-]

    Returns
    -------
    float
        B(c, a) by B_i = a B_(i-1)/(i + a B_(i-1)). [-]

    References
    ----------
    .. [1] A. K. Erlang, Solution of some problems in the theory of probabilities, 1917.

    Examples
    --------
    >>> round(erlang_b(3, load=2.0), 6)
    0.210526
    """
    lost = 1.0
    for place in range(1, servers + 1):
        lost = load * lost / (place + load * lost)
    return lost


def erlang_c(servers: int, *, load: float) -> float:
    """Chance of having to wait in an open queue. [-]

    Parameters
    ----------
    servers : int
        Places, more than the load. [-]
    load : float
        Offered load: arrivals in a service time. [-]

    Returns
    -------
    float
        C = B/(1 - rho (1 - B)). [-]

    Examples
    --------
    >>> round(erlang_c(3, load=2.0), 6)
    0.444444
    """
    lost = erlang_b(servers, load=load)
    return lost / (1.0 - load / servers * (1.0 - lost))


def waiting_time(
    arrival_rate: float,
    service_rate: float,
    *,
    servers: int = 1,
    arrival_variability: float = 1.0,
    service_variability: float = 1.0,
) -> Waiting:
    """Waiting in front of like places with one queue. [s]

    Parameters
    ----------
    arrival_rate : float
        Arrivals. [1/s]
    service_rate : float
        Served by one place without a pause. [1/s]
    servers : int
        Places; servers times service_rate must exceed arrival_rate. [-]
    arrival_variability : float
        Squared coefficient of variation of the time between arrivals. [-]
    service_variability : float
        Squared coefficient of variation of the service time. [-]

    Returns
    -------
    Waiting
        In the queue, without the service itself. [s]

    Notes
    -----
    M/M/c is exact: Wq = C/(c mu - lambda), Lq = lambda Wq. Other variability: Wq times (ca^2 +
    cs^2)/2 (Allen and Cunneen): exact for one place and random arrivals, else an approximation,
    good to 10-20 % at high utilisation and too large where arrivals are regular and work is light;
    the chance of waiting is then still that of M/M/c. Rework loops, batches and halves that wait
    for their mates are not in it.

    References
    ----------
    .. [1] F. S. Hillier, G. J. Lieberman, Introduction to Operations Research, queueing theory.
    .. [2] A. O. Allen, Probability, Statistics and Queueing Theory, 1990.

    Examples
    --------
    >>> found = waiting_time(2.0, 3.0, servers=2)
    >>> round(found.mean_wait * 24, 9), round(found.mean_queue * 12, 9)
    (1.0, 1.0)
    """
    load = arrival_rate / service_rate
    busy = erlang_c(servers, load=load)
    wait = busy / (servers * service_rate - arrival_rate)
    wait *= 0.5 * (arrival_variability + service_variability)
    return Waiting(wait, arrival_rate * wait, busy, load / servers)


def kingman_wait(
    utilisation: float, service_time: float, *, arrival_variability: float, service_variability: float
) -> float:
    """Mean wait at one place, by variability, utilisation and time. [s]

    Parameters
    ----------
    utilisation : float
        Share of time in use, below 1. [-]
    service_time : float
        Mean, waits for repair and setup included. [s]
    arrival_variability : float
        Squared coefficient of variation between arrivals. [-]
    service_variability : float
        Squared coefficient of variation of the service time. [-]

    Returns
    -------
    float
        (ca^2 + cs^2)/2 rho/(1 - rho) te; exact for random arrivals. [s]

    References
    ----------
    .. [1] J. F. C. Kingman, The single server queue in heavy traffic, 1961.
    .. [2] W. J. Hopp, M. L. Spearman, Factory Physics, chapter 8.

    Examples
    --------
    >>> round(kingman_wait(0.85, 10.0, arrival_variability=1.0, service_variability=0.25), 4)
    35.4167
    """
    variability = 0.5 * (arrival_variability + service_variability)
    return variability * utilisation / (1.0 - utilisation) * service_time


def sakasegawa_wait(
    utilisation: float,
    service_time: float,
    *,
    servers: int,
    arrival_variability: float,
    service_variability: float,
) -> float:
    """Mean wait before several like places, in closed form. [s]

    Parameters
    ----------
    utilisation : float
        Share of time in use, below 1. [-]
    service_time : float
        Mean. [s]
    servers : int
        Places. [-]
    arrival_variability : float
        Squared coefficient of variation between arrivals. [-]
    service_variability : float
        Squared coefficient of variation of the service time. [-]

    Returns
    -------
    float
        (ca^2 + cs^2)/2 rho^(sqrt(2 (c + 1)) - 1)/(c (1 - rho)) te. [s]

    Notes
    -----
    Equals Kingman's for one place; within some 3 % of the exact M/M/3 at 80 %.

    References
    ----------
    .. [1] H. Sakasegawa, An approximation formula, Ann. Inst. Stat. Math. 29 (1977).

    Examples
    --------
    >>> round(
    ...     sakasegawa_wait(
    ...         0.8, 1.0, servers=3, arrival_variability=1.0, service_variability=1.0
    ...     ),
    ...     4,
    ... )
    1.1083
    """
    crowd = math.pow(utilisation, math.sqrt(2.0 * (servers + 1)) - 1.0) / (servers * (1.0 - utilisation))
    return 0.5 * (arrival_variability + service_variability) * crowd * service_time


def _waiting_time_law(
    arrival_rate: float,
    service_rate: float,
    servers: int,
    arrival_variability: float,
    service_variability: float,
) -> dict[str, Any]:
    if arrival_rate >= servers * service_rate:
        raise InputError(
            Problem(
                "calc waiting_time",
                "arrival_rate",
                text("below servers x service_rate, {most} 1/s", most=servers * service_rate),
                shown(arrival_rate),
                text("add places or let fewer in: this queue grows without end"),
            )
        )
    found = waiting_time(
        arrival_rate, service_rate, servers=servers,
        arrival_variability=arrival_variability, service_variability=service_variability,
    )  # fmt: skip
    return {
        "mean_wait": found.mean_wait, "mean_queue": found.mean_queue,
        "probability_of_wait": found.probability_of_wait, "utilisation": found.utilisation,
    }  # fmt: skip


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="waiting_time",
        title=text("Waiting in front of a station"),
        function=_waiting_time_law,
        arguments=(
            Argument("arrival_rate", "1/s", text("arrivals"), NOT_NEGATIVE),
            Argument("service_rate", "1/s", text("served by one place without a pause"), POSITIVE),
            Argument("servers", "-", text("like places with one queue"), Span(1, 100_000), shape="whole",
                     default=1),
            Argument("arrival_variability", "-", text("squared coefficient of variation between arrivals; "
                                                      "1 is random"), NOT_NEGATIVE, Span(0.0, 4.0),
                     default=1.0),
            Argument("service_variability", "-", text("squared coefficient of variation of the service time; "
                                                      "1 is exponential"), NOT_NEGATIVE, Span(0.0, 4.0),
                     default=1.0),
        ),
        results=(
            Result("mean_wait", "s", text("in the queue, without the service")),
            Result("mean_queue", "-", text("waiting, on average")),
            Result("probability_of_wait", "-", text("chance of not being served at once (random arrivals)")),
            Result("utilisation", "-", text("share of the places' time in use")),
        ),
        accuracy=text("exact for random arrivals and exponential service; with other variability an "
                      "approximation to some 20 %; batches, rework and waiting for a mate are not in it"),
        sources=(
            Source("published", "F. S. Hillier, G. J. Lieberman, Introduction to Operations Research, "
                                "example of the county hospital"),
            Source("published", "A. O. Allen, Probability, Statistics and Queueing Theory, 1990 "
                                "(Allen-Cunneen approximation)"),
        ),
        worked=Worked(
            {"arrival_rate": 2.0, "service_rate": 3.0, "servers": 2},
            {"mean_wait": 1.0 / 24.0, "mean_queue": 1.0 / 12.0, "probability_of_wait": 1.0 / 6.0},
            tolerance=1e-9,
        ),
    ),
)  # fmt: skip
