"""Machine-made statements about a recipe, a plan or a record."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal, TypeAlias

from pairwright.base.sources import WORKS, Source
from pairwright.base.words import ENGLISH, Text, Words

Severity: TypeAlias = Literal["error", "warning", "note"]
SEVERITIES: Final[tuple[Severity, ...]] = ("error", "warning", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """What was found: `code` (snake_case, in the glossary), `severity`, `subject`, `text`, `source`.

    `subject` names the thing: ``alder.shell.press``, ``order 2211``, ``station hot-press``.
    """

    code: str
    severity: Severity
    subject: str
    text: Text
    source: Source = WORKS

    def as_json(self, words: Words = ENGLISH) -> dict[str, str]:
        """The public shape of a finding."""
        return {
            "code": self.code,
            "severity": self.severity,
            "subject": self.subject,
            "text": words.say(self.text),
            "source": str(self.source),
        }


def has_errors(findings: Iterable[Finding]) -> bool:
    """Whether any finding says that it will not work."""
    return any(f.severity == "error" for f in findings)


def worst_first(findings: Iterable[Finding]) -> tuple[Finding, ...]:
    """Errors, then warnings, then notes; by subject and code within each."""
    return tuple(sorted(findings, key=lambda f: (SEVERITIES.index(f.severity), f.subject, f.code)))
