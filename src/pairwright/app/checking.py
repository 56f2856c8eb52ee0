"""The act of checking every recipe before wood is cut."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from pairwright.base.findings import Finding, has_errors
from pairwright.base.words import ENGLISH, Words

if TYPE_CHECKING:
    from pairwright.app.opened import Opened
    from pairwright.works import StepTime


@dataclass(frozen=True, slots=True)
class CheckResult:
    """Findings about every recipe, and how long every step takes."""

    works: str
    revision: str
    findings: tuple[Finding, ...]
    times: tuple[StepTime, ...]

    @property
    def ok(self) -> bool:
        """Whether nothing was found that will not work."""
        return not has_errors(self.findings)

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "works": self.works,
            "revision": self.revision,
            "ok": self.ok,
            "findings": [f.as_json(words) for f in self.findings],
            "durations": [
                {
                    "product": t.product,
                    "option": t.option,
                    "part": t.part,
                    "step": t.step,
                    "station": t.station,
                    "low": t.low,
                    "likely": t.likely,
                    "high": t.high,
                    "computed": t.computed,
                    "reason": words.say(t.reason),
                }
                for t in self.times
            ],
        }


def check_works(opened: Opened, *, actor: str) -> CheckResult:
    """Findings and durations of every recipe of the works; `actor` asked for it."""
    del actor  # a reading act: nothing is recorded yet
    works = opened.works
    return CheckResult(works.factory.name, works.revision, opened.findings, opened.times)
