"""Holding a shell open for its bracing: force, stress, the opening it bears, what stays in the joint."""

from __future__ import annotations

from dataclasses import dataclass

from pairwright.physics.shell import curved_section, opening_moment, radial_stress, shell_opening


@dataclass(frozen=True, slots=True)
class Shell:
    """A U-shaped shell.

    `leg` length of each straight leg [m]; `radius` of the half ring to the mid-surface [m];
    `thickness` [m]; `width` along the bend's axis [m]; `modulus` of bending along the U [Pa].
    """

    leg: float
    radius: float
    thickness: float
    width: float
    modulus: float

    @property
    def stiffness(self) -> float:
        """E I of the whole width. [N*m2]"""
        return self.modulus * self.width * self.thickness**3 / 12.0


@dataclass(frozen=True, slots=True)
class Opened:
    """A shell held open.

    `opening` between the tips [m]; `force` at each tip [N]; `hoop_stress` at the inside of the
    crown, tension [Pa]; `radial_stress` through the thickness there, tension [Pa]; `share` of the
    nearer limit used [-].
    """

    opening: float
    force: float
    hoop_stress: float
    radial_stress: float
    share: float


def opened(shell: Shell, opening: float, *, along_limit: float, through_limit: float) -> Opened:
    """Force and stress of a shell held open.

    Parameters
    ----------
    shell : Shell
        The shell.
    opening : float
        Between the tips, beyond its free shape. [m]
    along_limit : float
        Hoop stress that must not be passed. [Pa]
    through_limit : float
        Stress through the thickness that must not be passed. [Pa]

    Returns
    -------
    Opened
        Force, both stresses, the share of the nearer limit.

    Notes
    -----
    Thin ring for the give, Winkler-Bach for the stress at the crown, 3M/(2 b h R) through the
    thickness. Both limits are the user's: the strength of his panel with his margin. American
    beech breaks across the grain at 6.96 MPa.

    Examples
    --------
    >>> shell = Shell(0.25, 0.15, 0.018, 1.0, 10e9)
    >>> held = opened(shell, 0.010, along_limit=40e6, through_limit=1.5e6)
    >>> round(held.force), round(held.hoop_stress / 1e6, 2), round(held.share, 2)
    (718, 5.58, 0.14)
    """
    unit = shell_opening(shell.leg, shell.radius, stiffness=shell.stiffness, force=1.0)
    force = opening / unit
    moment = opening_moment(shell.leg, shell.radius, force=force)
    half = 0.5 * shell.thickness
    section = curved_section(shell.radius - half, shell.radius + half, width=shell.width)
    hoop = section.stress(section.inner_radius, axial_force=force, moment=moment)
    through = radial_stress(moment, width=shell.width, thickness=shell.thickness, radius=shell.radius)
    return Opened(opening, force, hoop, through, max(hoop / along_limit, through / through_limit))


def safe_opening(shell: Shell, *, along_limit: float, through_limit: float) -> Opened:
    """The widest opening within both limits.

    Parameters
    ----------
    shell : Shell
        The shell.
    along_limit : float
        Hoop stress that must not be passed. [Pa]
    through_limit : float
        Stress through the thickness that must not be passed. [Pa]

    Returns
    -------
    Opened
        At a share of 1: the limit itself, margin is in the limits given.

    Examples
    --------
    >>> shell = Shell(0.25, 0.15, 0.018, 1.0, 10e9)
    >>> round(safe_opening(shell, along_limit=40e6, through_limit=1.5e6).opening * 1e3, 1)
    71.7
    """
    one = opened(shell, 1e-3, along_limit=along_limit, through_limit=through_limit)
    return opened(shell, 1e-3 / one.share, along_limit=along_limit, through_limit=through_limit)


def residual_force(shell: Shell, *, free_opening: float, fitted_opening: float) -> float:
    """Force with which a fitted shell still presses on its bracing. [N]

    Parameters
    ----------
    shell : Shell
        The shell.
    free_opening : float
        Distance between the tips when nothing holds them. [m]
    fitted_opening : float
        Distance that the bracing holds. [m]

    Returns
    -------
    float
        At each tip; positive presses inwards on the bracing, negative pulls on the joint. [N]

    Examples
    --------
    >>> shell = Shell(0.25, 0.15, 0.018, 1.0, 10e9)
    >>> round(residual_force(shell, free_opening=0.300, fitted_opening=0.302))
    144
    """
    unit = shell_opening(shell.leg, shell.radius, stiffness=shell.stiffness, force=1.0)
    return (fitted_opening - free_opening) / unit
