"""The sample works: Marlhouse, an invented factory, laid out as texts."""

from pairwright.sample.layout import layout

__all__ = ["layout"]
