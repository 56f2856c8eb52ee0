"""What can go wrong, as exceptions with five-part messages.

    PairwrightError
    ├── InputError       the call or a file is wrong: exit 2, nothing written
    ├── RefusedError     the request is understood and the answer is no: exit 1
    └── MachineryError   a disk, a solver, a library failed: exit 3

Expected trouble in a recipe, a plan or a record is not an exception but a `Finding`.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from pairwright.base.words import ENGLISH, Text, Words


@dataclass(frozen=True, slots=True)
class Problem:
    """One mistake: where, which field, what it must be, what it got, what to do."""

    where: str
    field: str
    must_be: Text
    got: str
    do: Text

    def as_json(self, words: Words = ENGLISH) -> dict[str, str]:
        """The public shape of an error."""
        return {
            "where": self.where,
            "field": self.field,
            "must_be": words.say(self.must_be),
            "got": self.got,
            "do": words.say(self.do),
        }

    def line(self, words: Words = ENGLISH) -> str:
        """The message as people read it."""
        from pairwright.base.words import text

        return words.say(
            text(
                "{where}: {field} must be {must_be}, got {got}; {do}",
                where=self.where,
                field=self.field,
                must_be=self.must_be,
                got=self.got,
                do=self.do,
            )
        )


class PairwrightError(Exception):
    """Root of all our exceptions."""


class InputError(PairwrightError):
    """The input or the call is wrong; carries every problem found, never just the first."""

    def __init__(self, problems: Problem | Iterable[Problem]) -> None:
        self.problems: tuple[Problem, ...] = (problems,) if isinstance(problems, Problem) else tuple(problems)
        super().__init__("\n".join(p.line() for p in self.problems))


class RefusedError(PairwrightError):
    """The request is well formed and the answer is no."""

    def __init__(self, reason: Text) -> None:
        self.reason = reason
        super().__init__(str(reason))


class MachineryError(PairwrightError):
    """Something outside the user's input failed."""

    def __init__(self, reason: Text) -> None:
        self.reason = reason
        super().__init__(str(reason))


def shown(value: object, limit: int = 60) -> str:
    """A value as the `got` part shows it: short, on one line, quoted when it is text."""
    body = repr(value) if isinstance(value, str) else str(value)
    body = " ".join(body.split())
    return body if len(body) <= limit else body[: limit - 1] + "…"
