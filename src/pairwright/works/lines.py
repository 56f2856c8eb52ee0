"""Where a key stands in a TOML text: its line, for messages.

The text has been read by a real parser already; this only finds places again. What it cannot
find it says by the nearest table above.
"""

from __future__ import annotations

import re
import tomllib
from bisect import bisect_right
from collections.abc import Mapping
from typing import Final, TypeAlias

Loc: TypeAlias = tuple[str | int, ...]

_BLANK: Final = re.compile(r"(?:[ \t\r\n]+|#[^\n]*)*")
_SPACE: Final = re.compile(r"[ \t]*")
_KEY: Final = re.compile(r"""[A-Za-z0-9_-]+|"(?:[^"\\\n]|\\.)*"|'[^'\n]*'""")
_STRING: Final = re.compile(
    r'"""(?:[^\\]|\\.)*?"{3,5}|\'\'\'.*?\'{3,5}|"(?:[^"\\\n]|\\.)*"|\'[^\'\n]*\'', re.DOTALL
)
_PLAIN: Final = re.compile(r"[^,\]}\n#]+")


class _Scanner:
    """Walks through a valid TOML text once and notes the line of every key and list entry."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.at = 0
        self.breaks = [m.start() for m in re.finditer("\n", text)]
        self.found: dict[Loc, int] = {}
        self.counts: dict[Loc, int] = {}

    def note(self, loc: Loc) -> None:
        line = bisect_right(self.breaks, self.at - 1) + 1
        for n in range(1, len(loc) + 1):
            self.found.setdefault(loc[:n], line)

    def skip(self, pattern: re.Pattern[str]) -> None:
        match = pattern.match(self.text, self.at)
        self.at = match.end() if match else self.at

    def sees(self, piece: str) -> bool:
        return self.text.startswith(piece, self.at)

    def key(self) -> list[str]:
        keys: list[str] = []
        while match := _KEY.match(self.text, self.at):
            raw = match[0]
            keys.append(tomllib.loads(f"k = {raw}")["k"] if raw[0] in "\"'" else raw)
            self.at = match.end()
            self.skip(_SPACE)
            if not self.sees("."):
                break
            self.at += 1
            self.skip(_SPACE)
        return keys

    def table(self, keys: list[str]) -> Loc:
        """The place a header means: of a list of tables, its last one."""
        loc: Loc = ()
        for key in keys:
            loc = (*loc, key)
            if loc in self.counts:
                loc = (*loc, self.counts[loc] - 1)
        return loc

    def header(self) -> Loc:
        several = self.sees("[[")
        self.at += 2 if several else 1
        self.skip(_SPACE)
        keys = self.key()
        if several:
            above = (*self.table(keys[:-1]), *keys[-1:])
            self.counts[above] = self.counts.get(above, 0) + 1
        loc = self.table(keys)
        self.note(loc)
        self.at = self.text.find("]", self.at) + (2 if several else 1)
        return loc

    def pair(self, base: Loc) -> bool:
        """One ``key = value``; False where there is none."""
        start = self.at
        keys = self.key()
        if not keys or not self.sees("="):
            self.at = start
            return False
        end, self.at = self.at, start
        self.note((*base, *keys))
        self.at = end + 1
        self.skip(_SPACE)
        self.value((*base, *keys))
        return True

    def value(self, loc: Loc) -> None:
        if self.sees("["):
            self.at += 1
            self.items(loc)
        elif self.sees("{"):
            self.at += 1
            self.skip(_BLANK)
            while self.pair(loc):
                self.skip(_BLANK)
                self.at += self.sees(",")
                self.skip(_BLANK)
            self.at += self.sees("}")
        else:
            self.skip(_STRING if self.sees('"') or self.sees("'") else _PLAIN)

    def items(self, loc: Loc) -> None:
        index = 0
        self.skip(_BLANK)
        while self.at < len(self.text) and not self.sees("]"):
            before = self.at
            self.note((*loc, index))
            self.value((*loc, index))
            self.skip(_BLANK)
            self.at += self.sees(",")
            self.skip(_BLANK)
            index += 1
            if self.at == before:
                return
        self.at += 1

    def run(self) -> Mapping[Loc, int]:
        base: Loc = ()
        while True:
            self.skip(_BLANK)
            if self.at >= len(self.text):
                return self.found
            if self.sees("["):
                base = self.header()
            elif not self.pair(base):
                return self.found


def key_lines(text: str) -> Mapping[Loc, int]:
    r"""Line of every key path of a valid TOML text, counted from 1.

    Parameters
    ----------
    text : str
        The text, already known to be TOML.

    Examples
    --------
    >>> key_lines('name = "a"\n[[step]]\nid = "x"\n[[step]]\nid = "y"')["step", 1, "id"]
    5
    """
    return _Scanner(text).run()


def line_of(lines: Mapping[Loc, int], loc: Loc) -> int | None:
    """Line of a key path, or of the nearest table above it."""
    for n in range(len(loc), 0, -1):
        if loc[:n] in lines:
            return lines[loc[:n]]
    return None
