"""What an act at a station answers: done, or refused with one sentence that says what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from pairwright.base.findings import Finding
from pairwright.base.words import ENGLISH, Text, Words


@dataclass(frozen=True, slots=True)
class Done:
    """What was recorded: keys and places of the events, and a sentence for the page.

    `replayed` says that the same act had been recorded before.
    """

    act: str
    key: str
    subjects: tuple[str, ...]
    events: tuple[str, ...]
    sequence: int
    says: Text
    replayed: bool = False

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "done": True, "act": self.act, "key": self.key, "subjects": list(self.subjects),
            "events": list(self.events), "sequence": self.sequence, "text": words.say(self.says),
            "replayed": self.replayed,
        }  # fmt: skip


@dataclass(frozen=True, slots=True)
class Refusal:
    """Why an act was refused: the first reason as a code and a sentence with what to do, and all of them.

    The refusal itself is recorded, under `key`, and nothing else.
    """

    act: str
    key: str
    code: str
    says: Text
    findings: tuple[Finding, ...]
    replayed: bool = False

    @property
    def codes(self) -> tuple[str, ...]:
        """Every reason, the first one first."""
        return tuple(dict.fromkeys(one.code for one in self.findings)) or (self.code,)

    def as_json(self, words: Words = ENGLISH) -> dict[str, Any]:
        """The public shape."""
        return {
            "done": False, "act": self.act, "key": self.key, "code": self.code, "codes": list(self.codes),
            "text": words.say(self.says), "replayed": self.replayed,
        }  # fmt: skip
