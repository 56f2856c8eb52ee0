"""The exponential sweep: its rate, and where its harmonics fall."""

from __future__ import annotations

import math
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


def sweep_rate(start: float, stop: float, *, duration: float) -> float:
    """Rate of an exponential sweep: time per factor e of frequency. [s]

    Parameters
    ----------
    start : float
        First frequency. [Hz]
    stop : float
        Last frequency, above the first. [Hz]
    duration : float
        Of the sweep. [s]

    Returns
    -------
    float
        L = T/ln(f2/f1). [s]

    References
    ----------
    .. [1] A. Farina, "Simultaneous measurement of impulse response and distortion with a
       swept-sine technique", 108th AES Convention, Paris (2000), preprint 5093.

    Examples
    --------
    >>> round(sweep_rate(20.0, 20000.0, duration=5.0), 7)
    0.7238241
    """
    if stop <= start:
        raise InputError(
            Problem("sweep", "stop", text("above the start, {start} Hz", start=start), shown(stop),
                    text("give the higher frequency as stop"))
        )  # fmt: skip
    return duration / math.log(stop / start)


def sweep_lead(start: float, stop: float, *, duration: float, order: float) -> float:
    """Time by which a harmonic comes before the fundamental. [s]

    Parameters
    ----------
    start : float
        First frequency. [Hz]
    stop : float
        Last frequency, above the first. [Hz]
    duration : float
        Of the sweep. [s]
    order : float
        Order of the harmonic, 1 is the fundamental. [-]

    Returns
    -------
    float
        L ln(order), with L as it is, not rounded. [s]

    References
    ----------
    .. [1] Farina 2000.
    .. [2] A. Novak, P. Lotton, L. Simon, J. Audio Eng. Soc. 63 (2015) 786-798.

    Examples
    --------
    >>> round(sweep_lead(20.0, 20000.0, duration=5.0, order=2), 6)
    0.501717
    """
    return sweep_rate(start, stop, duration=duration) * math.log(order)


def synchronized_rate(start: float, stop: float, *, duration: float) -> float:
    """Rate that starts every harmonic in phase. [s]

    Parameters
    ----------
    start : float
        First frequency. [Hz]
    stop : float
        Last frequency. [Hz]
    duration : float
        Wished; the sweep becomes a little shorter or longer. [s]

    Returns
    -------
    float
        L with L f1 a whole number, at least 1/f1. [s]

    References
    ----------
    .. [1] A. Novak, L. Simon, F. Kadlec, P. Lotton, IEEE Trans. Instrum. Meas. 59 (2010)
       2220-2229.

    Examples
    --------
    >>> synchronized_rate(20.0, 20000.0, duration=5.0)
    0.7
    """
    periods = round(start * sweep_rate(start, stop, duration=duration))
    return max(1, periods) / start


def _sweep_lead_law(start: float, stop: float, duration: float, order: float) -> dict[str, Any]:
    return {"lead": sweep_lead(start, stop, duration=duration, order=order)}


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="sweep_lead",
        title=text("Lead of a harmonic in an exponential sweep"),
        function=_sweep_lead_law,
        arguments=(
            Argument("start", "Hz", text("first frequency"), must=POSITIVE, range=Span(1.0, 96000.0)),
            Argument("stop", "Hz", text("last frequency"), must=POSITIVE, range=Span(1.0, 96000.0)),
            Argument("duration", "s", text("of the sweep"), must=POSITIVE),
            Argument("order", "-", text("order of the harmonic"), must=Span(1.0)),
        ),
        results=(Result("lead", "s", text("time before the fundamental's response")),),
        accuracy=text("exact"),
        sources=(
            Source("published", "A. Farina, 108th AES Convention, Paris (2000), preprint 5093"),
            Source("published", "Novak, Lotton, Simon, J. Audio Eng. Soc. 63 (2015) 786-798"),
        ),
        worked=Worked({"start": 20.0, "stop": 20000.0, "duration": 5.0, "order": 2.0},
                      {"lead": 0.501717}, tolerance=1e-5),
    ),
)  # fmt: skip
