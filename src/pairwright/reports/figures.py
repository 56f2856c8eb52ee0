"""What the figures show: plain data in base SI and UTC seconds, with the sentence each one says."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, TypeAlias

from pairwright.base.words import Text

State: TypeAlias = Literal["fine", "watch", "broken", "waiting", "simulated"]


@dataclass(frozen=True, slots=True)
class Bar:
    """One operation in a track: when, of which kind, its word."""

    start: int
    end: int
    kind: str
    word: str


@dataclass(frozen=True, slots=True)
class Join:
    """A sub-assembly that meets the track: begun, ready, used; `side` +1 above, -1 below, 0 both."""

    word: str
    start: int
    ready: int
    used: int
    side: int


@dataclass(frozen=True, slots=True)
class Gap:
    """Starts of one step in the two halves, and how far apart they may be. [s]"""

    word: str
    upper: int
    lower: int
    allowed: float | None

    @property
    def apart(self) -> int:
        """Time between the two starts. [s]"""
        return abs(self.upper - self.lower)

    @property
    def beyond(self) -> float:
        """Time beyond what is allowed; zero where nothing is said. [s]"""
        return 0.0 if self.allowed is None else max(0.0, self.apart - self.allowed)


@dataclass(frozen=True, slots=True)
class Track:
    """A set about a time axis: one half above, its mate below, what is done together across.

    A single has no `sides`: its operations are in `both`.
    """

    set: str
    order: str
    product: str
    name: Text
    sides: tuple[str, ...]
    upper: tuple[Bar, ...]
    lower: tuple[Bar, ...]
    both: tuple[Bar, ...]
    joins: tuple[Join, ...]
    gaps: tuple[Gap, ...]
    due: int | None
    completion: int
    state: State
    word: Text
    sentence: Text

    @property
    def widest(self) -> Gap | None:
        """The gap furthest beyond its allowance, else the widest one."""
        return max(self.gaps, key=lambda g: (g.beyond, g.apart), default=None)

    @property
    def start(self) -> int:
        """The first start of anything in the track."""
        return min((b.start for b in (*self.upper, *self.lower, *self.both)), default=self.completion)


@dataclass(frozen=True, slots=True)
class PlyLayer:
    """One veneer in a drawn stack: thickness [m], whether its grain runs along the bend."""

    thickness: float
    along: bool
    word: str


@dataclass(frozen=True, slots=True)
class PressTrace:
    """Temperatures of every glue line and cure of the coldest one through a press cycle.

    `lines` runs as the glue lines of `plies` do, inner face first; each has one temperature [K]
    per entry of `times` [s]. `steam` and `allowed` are pressures at opening. [Pa]
    """

    plies: tuple[PlyLayer, ...]
    times: tuple[float, ...]
    lines: tuple[tuple[float, ...], ...]
    coldest: int
    cure: tuple[float, ...]
    target: float
    open_time: float
    platen: float
    state: State
    sentence: Text
    steam: float | None = None
    allowed: float | None = None
    allowed_word: Text | None = None
    open_low: float | None = None
    open_high: float | None = None


@dataclass(frozen=True, slots=True)
class FilmStage:
    """Dry film after one step: mean and standard deviation, on the flat and at an edge. [m]"""

    word: str
    kind: str
    mean: float
    sd: float
    edge: float | None = None


@dataclass(frozen=True, slots=True)
class FilmBuild:
    """How a film or a veneer grows and shrinks, step by step, above the least to be left. [m]"""

    title: Text
    stages: tuple[FilmStage, ...]
    reserve: float
    chances: tuple[tuple[Text, float], ...]  # of going through, by name
    state: State
    sentence: Text


@dataclass(frozen=True, slots=True)
class LoadRow:
    """One station: share of its available time as planned, and as forecast under scatter. [-]"""

    station: str
    word: str
    planned: float | None
    forecast: float | None
    blocked: float | None
    starved: float | None
    state: State


@dataclass(frozen=True, slots=True)
class StationLoad:
    """Utilisation of the stations, plan against forecast."""

    rows: tuple[LoadRow, ...]
    sentence: Text


@dataclass(frozen=True, slots=True)
class WeekLoad:
    """One week of one station: time worked and set up as shares of its available time. [-]"""

    start: int
    worked: float
    setup: float
    available: float  # [s]


@dataclass(frozen=True, slots=True)
class WeeklyLoad:
    """A station's weeks."""

    station: str
    word: str
    weeks: tuple[WeekLoad, ...]
    sentence: Text


@dataclass(frozen=True, slots=True)
class PromiseRow:
    """An order's due date, planned completion and forecast days."""

    order: str
    name: Text
    due: int
    plan: int
    p10: float | None
    p50: float | None
    p90: float | None
    on_time: float | None
    state: State


@dataclass(frozen=True, slots=True)
class PromiseFan:
    """All orders about their due dates."""

    rows: tuple[PromiseRow, ...]
    sentence: Text


@dataclass(frozen=True, slots=True)
class BufferRow:
    """Places taken in one buffer as the plan goes: (moment, places) from each change on."""

    buffer: str
    word: str
    places: int
    levels: tuple[tuple[int, float], ...]
    most: float
    mean: float | None
    p95: float | None
    state: State


@dataclass(frozen=True, slots=True)
class BufferLevels:
    """The waiting areas over the time of the plan."""

    rows: tuple[BufferRow, ...]
    begin: int
    end: int
    sentence: Text
