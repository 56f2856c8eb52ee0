"""Lacquer: how much an area takes, wet film and dry film, the parts of a mix."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any, Final

from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import Source
from pairwright.base.words import text


def spreading_rate(dry_film: float, volume_solids: float) -> float:
    """Area that a volume of lacquer covers without loss. [1/m]

    Parameters
    ----------
    dry_film : float
        Dry film wanted. [m]
    volume_solids : float
        Volume fraction that stays. [-]

    Returns
    -------
    float
        Area per volume, m2/m3; 1000 of them are 1 m2 per litre. [1/m]

    References
    ----------
    .. [1] Published coating-coverage note: m2/L = 10 VS%/DFT um.

    Examples
    --------
    >>> round(spreading_rate(125e-6, 0.65) / 1000.0, 2)
    5.2
    """
    return volume_solids / dry_film


def wet_film_for(dry_film: float, volume_solids: float) -> float:
    """Wet film that dries to the film wanted. [m]

    Parameters
    ----------
    dry_film : float
        Dry film wanted. [m]
    volume_solids : float
        Volume fraction that stays. [-]

    Returns
    -------
    float
        Wet film to aim at, as a wet comb reads it. [m]

    Examples
    --------
    >>> round(wet_film_for(100e-6, 0.65) * 1e6, 2)
    153.85
    """
    return dry_film / volume_solids


def lacquer_volume(
    area: float, dry_film: float, *, volume_solids: float, transfer_efficiency: float = 1.0
) -> float:
    """Lacquer to mix for an area, losses included. [m3]

    Parameters
    ----------
    area : float
        Area to coat. [m2]
    dry_film : float
        Dry film wanted. [m]
    volume_solids : float
        Volume fraction that stays. [-]
    transfer_efficiency : float
        Share of the lacquer that lands on the piece. [-]

    Returns
    -------
    float
        Volume of mixed lacquer. [m3]

    Notes
    -----
    area x dry film/(volume solids x transfer efficiency). Losses by the published guide: brush
    and roller 10-15 %, airless spray 30 %, conventional spray 50 %. Hose, cup and rinse are extra.

    References
    ----------
    .. [1] Published coating-coverage notes: theoretical spreading rate and loss guide.

    Examples
    --------
    >>> round(lacquer_volume(2.4, 60e-6, volume_solids=0.40, transfer_efficiency=0.65) * 1000, 4)
    0.5538
    """
    return area * dry_film / (volume_solids * transfer_efficiency)


def wet_film(spread: float, density: float) -> float:
    """Wet film of a spread rate. [m]

    Parameters
    ----------
    spread : float
        Wet mass per area that arrives on the piece. [kg/m2]
    density : float
        Density of the wet lacquer. [kg/m3]

    Returns
    -------
    float
        Wet film. [m]

    Examples
    --------
    >>> round(wet_film(0.120, 1000.0) * 1e6, 6)
    120.0
    """
    return spread / density


def dry_film(wet: float, solids: float) -> float:
    """Dry film left by a wet film. [m]

    Parameters
    ----------
    wet : float
        Wet film. [m]
    solids : float
        Volume solids. [-]

    Returns
    -------
    float
        Dry film. [m]

    Notes
    -----
    Counts evaporation only; a reactive lacquer also shrinks as it cures (polyester some 6-9 % by
    volume, from memory): state the volume solids as measured on the cured film.

    Examples
    --------
    >>> dry_film(200e-6, 0.5)
    0.0001
    """
    return wet * solids


def volume_solids(mass_solids: float, wet_density: float, *, dry_density: float) -> float:
    """Volume solids from mass solids and densities. [-]

    Parameters
    ----------
    mass_solids : float
        Mass fraction that stays. [-]
    wet_density : float
        Density of the wet lacquer. [kg/m3]
    dry_density : float
        Density of the dry film. [kg/m3]

    Returns
    -------
    float
        Volume fraction that stays. [-]

    Examples
    --------
    >>> volume_solids(0.5, 1000.0, dry_density=1250.0)
    0.4
    """
    return mass_solids * wet_density / dry_density


def mix_parts(volume: float, parts: Sequence[float]) -> tuple[float, ...]:
    """Volumes of the components of a mix. [m3]

    Parameters
    ----------
    volume : float
        Mixed volume wanted. [m3]
    parts : Sequence[float]
        Parts by volume, such as lacquer, hardener, thinner. [-]

    Returns
    -------
    tuple of float
        Volume of each. [m3]

    Examples
    --------
    >>> mix_parts(0.0015, (2.0, 1.0))
    (0.001, 0.0005)
    """
    total = sum(parts)
    return tuple(volume * p / total for p in parts)


def _lacquer_volume_law(
    area: float, dry_film: float, volume_solids: float, transfer_efficiency: float
) -> dict[str, Any]:
    return {
        "volume": lacquer_volume(
            area, dry_film, volume_solids=volume_solids, transfer_efficiency=transfer_efficiency
        ),
        "wet_film": wet_film_for(dry_film, volume_solids),
    }


_SHARE: Final = Span(0.0, 1.0, open_low=True)

LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="lacquer_volume",
        title=text("Lacquer for an area, and the wet film"),
        function=_lacquer_volume_law,
        arguments=(
            Argument("area", "m2", text("area to coat"), must=POSITIVE),
            Argument("dry_film", "m", text("dry film wanted"), must=POSITIVE, range=Span(5e-6, 1e-3)),
            Argument("volume_solids", "-", text("volume fraction that stays"), must=_SHARE,
                     range=Span(0.05, 1.0)),
            Argument("transfer_efficiency", "-", text("share that lands on the piece"), must=_SHARE,
                     range=Span(0.2, 1.0), default=1.0),
        ),
        results=(
            Result("volume", "m3", text("lacquer to mix, losses included")),
            Result("wet_film", "m", text("wet film to aim at")),
        ),
        accuracy=text("exact as a balance; the transfer efficiency decides: 10 to 50 % is lost"),
        sources=(
            Source("published", "coating-coverage note: spreading rate = 1000 VS/DFT, wet film = DFT/VS"),
            Source("published", "the same note's loss guide: brush 10-15 %, airless 30 %, spray 50 %"),
        ),
        worked=Worked(
            {"area": 2.4, "dry_film": 60e-6, "volume_solids": 0.40, "transfer_efficiency": 0.65},
            {"volume": 0.5538e-3, "wet_film": 150e-6},
        ),
    ),
)  # fmt: skip
