"""Links of a chain as they are made: measured scatter in place of assumed, and what climate adds."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import text
from pairwright.physics.fit import Climate
from pairwright.physics.tolerance import Contributor

FEWEST = 4  # readings; below, no standard deviation of the next piece exists


def measured_link(link: Contributor, *, mean: float, sd: float, count: int) -> Contributor:
    """Link with the scatter that was measured in place of the assumed. [-]

    Parameters
    ----------
    link : Contributor
        As drawn: nominal and tolerance stay. [-]
    mean : float
        Of the readings. [m]
    sd : float
        Of the readings, with n - 1. [m]
    count : int
        Number of readings, at least 4. [-]

    Returns
    -------
    Contributor
        Normal, with the standard deviation of the next piece. [-]

    Notes
    -----
    What few readings say of the next piece is a shifted and scaled Student variable: its standard
    deviation is s sqrt((1 + 1/n)(n - 1)/(n - 3)), which is 1.94 s for 4 readings and 1.08 s for 20.

    References
    ----------
    .. [1] JCGM 101:2008, 6.4.9 (variance of a scaled and shifted t).

    Examples
    --------
    >>> link = measured_link(Contributor(0.1, 0.3e-3), mean=0.10002, sd=50e-6, count=20)
    >>> round(link.shift * 1e6, 3), round(link.spread * 1e6, 2)
    (20.0, 54.16)
    """
    if count < FEWEST:
        raise InputError(Problem("measured link", "count", text("at least {least} readings", least=FEWEST),
                                 shown(count), text("measure more pieces, or keep the assumed scatter")))  # fmt: skip
    next_piece = sd * math.sqrt((1.0 + 1.0 / count) * (count - 1) / (count - 3))
    return replace(link, distribution="normal", sd=next_piece, shift=mean - link.nominal)


def capable_link(link: Contributor, *, cp: float, cpk: float, high: bool = True) -> Contributor:
    """Link with the scatter that its capability states. [-]

    Parameters
    ----------
    link : Contributor
        As drawn. [-]
    cp : float
        Tolerance over six standard deviations. [-]
    cpk : float
        The same to the nearer limit, at most `cp`. [-]
    high : bool
        Whether the process runs above nominal. [-]

    Returns
    -------
    Contributor
        Normal, with the stated scatter and shift. [-]

    Notes
    -----
    sd = tolerance/(3 Cp), shift = 3 sd (Cp - Cpk). Capability of few pieces is itself uncertain.

    References
    ----------
    .. [1] ISO 22514-2 (definitions of the indices).

    Examples
    --------
    >>> link = capable_link(Contributor(0.1, 0.3e-3), cp=1.6, cpk=1.2)
    >>> round(link.spread * 1e6, 2), round(link.shift * 1e6, 2)
    (62.5, 75.0)
    """
    if cp <= 0.0 or cpk > cp:
        raise InputError(Problem("capable link", "cpk", text("at most cp, which is above 0"),
                                 shown(f"cp {cp:g}, cpk {cpk:g}"), text("correct the indices")))  # fmt: skip
    sd = link.tolerance / (3.0 * cp)
    shift = 3.0 * sd * (cp - cpk)
    return replace(link, distribution="normal", sd=sd, shift=shift if high else -shift)


@dataclass(frozen=True, slots=True)
class MovingLink:
    """A link whose size moves: strain per moisture fraction [-], expansion [1/K]."""

    link: Contributor
    movement: float = 0.0
    expansion: float = 0.0


def climate_links(
    links: Sequence[MovingLink], *, made: Climate, dry: Climate, wet: Climate
) -> tuple[Contributor, Contributor]:
    """What moisture and temperature add to a chain, as two links. [-]

    Parameters
    ----------
    links : Sequence[MovingLink]
        The links of the chain. [-]
    made : Climate
        In which the sizes hold. [-]
    dry : Climate
        One end of what the loudspeaker will see. [-]
    wet : Climate
        The other end. [-]

    Returns
    -------
    tuple of Contributor
        Of moisture and of temperature: uniform between the ends, shifted from the climate in which
        the parts were made. [-]

    Notes
    -----
    All links see one climate, so that their movements add with their signs before they count as
    scatter: wood against metal grows, wood against the same wood cancels. Moisture and temperature
    count as independent. Sizes are those at equilibrium.

    References
    ----------
    .. [1] USDA Wood Handbook FPL-GTR-190 (2010), ch. 13.
    .. [2] JCGM 100:2008, 5.2.4 (influence common to several inputs).

    Examples
    --------
    >>> recess = MovingLink(Contributor(0.179, 0.1e-3), movement=0.338)
    >>> ring = MovingLink(Contributor(0.178, 0.1e-3, sensitivity=-1.0), expansion=23e-6)
    >>> moist, warm = climate_links(
    ...     [recess, ring],
    ...     made=Climate("shop", 0.08, 293.15),
    ...     dry=Climate("winter", 0.06, 291.15),
    ...     wet=Climate("summer", 0.11, 301.15),
    ... )
    >>> round(moist.tolerance * 1e3, 3), round(moist.shift * 1e3, 3), round(warm.shift * 1e6, 2)
    (1.513, 0.303, -12.28)
    """
    per_moisture = math.fsum(m.link.sensitivity * m.link.nominal * m.movement for m in links)
    per_kelvin = math.fsum(m.link.sensitivity * m.link.nominal * m.expansion for m in links)
    found = []
    for slope, ends, start in (
        (per_moisture, (dry.moisture, wet.moisture), made.moisture),
        (per_kelvin, (dry.temperature, wet.temperature), made.temperature),
    ):
        half, middle = 0.5 * abs(ends[1] - ends[0]), 0.5 * (ends[0] + ends[1])
        found.append(
            Contributor(0.0, abs(slope) * half, distribution="uniform", shift=slope * (middle - start))
        )
    return found[0], found[1]
