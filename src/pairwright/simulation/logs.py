"""What simulated machines log: a press's platens, an oven's air, with stretches missing now and then."""

from __future__ import annotations

import io
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final
from zoneinfo import ZoneInfo

from pairwright.base.time import iso
from pairwright.simulation.hidden import Luck

if TYPE_CHECKING:
    from pairwright.works.product import Step

EVERY: Final = 30  # seconds between samples
HOLE: Final = (180, 900)  # length of a gap [s]
WARM_UP: Final = 60.0  # of a heated oven's air after it was shut [s]
COOLED: Final = 6.0  # that it lost through the open door [K]


@dataclass(frozen=True, slots=True)
class Logged:
    """A log as a file, with the stretches that are missing, UTC seconds."""

    content: bytes
    quantity: str
    gaps: tuple[tuple[int, int], ...]


def is_logged(step: Step) -> bool:
    """Whether a machine logs a step: a press, or a stove that is no moving line."""
    return step.kind in ("press", "stove") and step.recipe is not None


def machine_log(
    step: Step, *, name: str, start: int, end: int, zone: ZoneInfo, luck: Luck, chance: float
) -> Logged:
    """The log of one charge.

    Parameters
    ----------
    step : Step
        A press or stove step, for the temperature that it asks for.
    name : str
        Of the charge: what its luck depends on.
    start : int
        UTC seconds.
    end : int
        UTC seconds.
    zone : ZoneInfo
        For the times in the file.
    luck : Luck
        Of this floor.
    chance : float
        That a stretch is missing. [-]
    """
    gap: tuple[int, int] | None = None
    if luck.happens(f"{name} gap", chance) and end - start > 2 * HOLE[0]:
        begin = start + int((end - start - HOLE[0]) * luck.share(f"{name} from"))
        gap = begin, min(end, begin + int(HOLE[0] + (HOLE[1] - HOLE[0]) * luck.share(f"{name} long")))
    press = step.kind == "press"
    wanted = getattr(step.recipe, "platen" if press else "air")
    off = 0.8 * luck.normal(f"{name} off")
    out = io.StringIO()
    out.write("time,platen [degC],upper platen [degC]\n" if press else "time,air [degC]\n")
    missing: list[int] = []
    last = None
    for number, at in enumerate(range(start, end + 1, EVERY)):
        if gap is not None and gap[0] < at < gap[1]:
            missing.append(at)
            continue
        noise = 0.25 * luck.normal(name, number)
        if press:
            value = wanted - 273.15 + off + noise
            out.write(f"{iso(at, zone)},{value:.1f},{value - 0.3 + 0.2 * luck.share(name, number):.1f}\n")
        else:
            warm = min(1.0, (at - start) / WARM_UP)
            value = wanted - COOLED * (1.0 - warm) - 273.15 + off + noise
            out.write(f"{iso(at, zone)},{value:.1f}\n")
        last = at
    holes = ((missing[0] - EVERY, min(missing[-1] + EVERY, last or end)),) if missing else ()
    return Logged(out.getvalue().encode(), "platen" if press else "air", holes)
