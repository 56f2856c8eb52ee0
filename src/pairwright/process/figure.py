"""What a page shows of a step: plain data, in base SI, with a sentence for each figure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text
from pairwright.process.timing import Timing

KeyFigure: TypeAlias = tuple[Text, Amount]


@dataclass(frozen=True, slots=True)
class Curve:
    """One line: `x` and `y` of the same length; `spread` is one standard deviation at each point."""

    name: Text
    x: tuple[float, ...]
    y: tuple[float, ...]
    spread: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Level:
    """A limit or a goal across a figure; `upright` ones stand at an x."""

    name: Text
    value: float
    upright: bool = False


@dataclass(frozen=True, slots=True)
class Figure:
    """Curves over one axis.

    `x_kind` and `y_kind` are kinds of `Amount`; `places` names the points of a figure whose x is a
    count of steps.
    """

    title: Text
    says: Text
    x_name: Text
    x_kind: str
    y_name: Text
    y_kind: str
    curves: tuple[Curve, ...]
    levels: tuple[Level, ...] = ()
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Shown:
    """Figures, key figures and sources of one kind of step."""

    figures: tuple[Figure, ...] = ()
    keys: tuple[KeyFigure, ...] = ()
    sources: tuple[Source, ...] = ()


@dataclass(frozen=True, slots=True)
class StepReport:
    """Everything a page says about one step."""

    product: str
    option: str
    part: str
    step: str
    kind: str
    name: str
    timing: Timing
    findings: tuple[Finding, ...]
    figures: tuple[Figure, ...]
    keys: tuple[KeyFigure, ...]
    sources: tuple[Source, ...]
