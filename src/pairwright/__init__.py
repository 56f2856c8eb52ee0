"""Pairwright: production engineering for loudspeakers made in matched pairs."""

__version__ = "0.1.0"
