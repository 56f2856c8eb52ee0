"""TOML texts as sheets: parsed trees that know where each of their keys stands."""

from __future__ import annotations

import re
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from typing import Any, Final

from pairwright.base.errors import Problem, shown
from pairwright.base.words import Text, text
from pairwright.works.lines import Loc, key_lines, line_of

DEEPEST: Final = 20  # tables within tables; the definition itself needs nine
LARGEST: Final = 2**53  # whole numbers up to here are exact wherever they go
_PLACE: Final = re.compile(r"\(at (?:line ([0-9]+), column [0-9]+|end of document)\)")
_DIGITS: Final = re.compile(r"[0-9_]{1000}")
_CONTROL: Final = re.compile(r"[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff]")


@dataclass(frozen=True)
class Sheet:
    """One TOML text and its tree."""

    path: str
    text: str
    tree: dict[str, Any]

    @cached_property
    def lines(self) -> Mapping[Loc, int]:
        """Line of every key path."""
        return key_lines(self.text)

    def where(self, loc: Loc) -> str:
        """The file and, where it is found, the line."""
        return _where(self.path, line_of(self.lines, loc))

    def field(self, loc: Loc) -> str:
        """The dotted path of a place; entries of a list by their id where they have one."""
        node: Any = self.tree
        names: list[str] = []
        for key in loc:
            node = _below(node, key)
            by_id = isinstance(key, int) and isinstance(node, dict) and isinstance(node.get("id"), str)
            names.append(node["id"] if by_id else str(key))
        return ".".join(names) or "(whole file)"

    def at(self, loc: Loc) -> Any:
        """The value of a place, or None."""
        node: Any = self.tree
        for key in loc:
            node = _below(node, key)
        return node

    def problem(self, loc: Loc, must_be: Text, *, got: object = None, do: Text) -> Problem:
        """A five-part message about a place; `got` defaults to the value there."""
        value = self.at(loc) if got is None else got
        given = "nothing" if value is None else as_written(value)
        return Problem(self.where(loc), self.field(loc), must_be, given, do)


def read_sheet(path: str, body: str, problems: list[Problem]) -> Sheet | None:
    """Parse a TOML text; what is wrong with it goes to `problems`."""
    broken = _broken(path, body)
    if broken is not None:
        problems.append(broken)
        return None
    try:
        tree = tomllib.loads(body)
    except RecursionError:
        problems.append(_too_deep(path, None))
        return None
    except tomllib.TOMLDecodeError as error:
        problems.append(_not_toml(path, body, error))
        return None
    except ValueError:  # Python refuses to read a number of thousands of digits
        problems.append(_too_long(path, body))
        return None
    depth_first = _deep_place(tree)
    if depth_first is not None:
        problems.append(_too_deep(path, depth_first))
        return None
    sheet = Sheet(path, body, tree)
    odd_keys = list(_odd_keys(sheet))
    problems.extend(odd_keys or _odd_values(sheet))
    return None if odd_keys else sheet


def unique(problems: Iterable[Problem]) -> list[Problem]:
    """Each problem once, in the order of files and lines."""
    seen: dict[tuple[str, str, str, str], Problem] = {}
    for problem in problems:
        seen.setdefault((problem.where, problem.field, str(problem.must_be), problem.got), problem)
    return sorted(seen.values(), key=_by_place)


def as_written(value: object) -> str:
    """A value as the `got` part shows it, in the spelling of the file."""
    return shown(value) if isinstance(value, str) else shown(_Plain(_spelt(value)))


class _Plain:
    """Text that `shown` leaves without quotation marks."""

    def __init__(self, body: str) -> None:
        self.body = body

    def __str__(self) -> str:
        return self.body


def _spelt(value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {_spelt(v)}" for k, v in value.items()) + " }"
    if isinstance(value, list | tuple):
        return "[" + ", ".join(_spelt(v) for v in value) + "]"
    return f'"{value}"' if isinstance(value, str) else str(value)


def near(name: str, names: Iterable[str], most: int = 3) -> list[str]:
    """Names that look like a name, the most alike first."""
    import difflib

    return difflib.get_close_matches(name, sorted(set(names)), n=most, cutoff=0.6)


def _by_place(problem: Problem) -> tuple[str, int, str]:
    path, _, line = problem.where.partition(" line ")
    number = line.split()[0] if line else ""
    return path, int(number) if number.isdigit() else 0, problem.field


def _where(path: str, line: int | None) -> str:
    return path if line is None else f"{path} line {line}"


def _below(node: Any, key: str | int) -> Any:
    if isinstance(node, dict):
        return node.get(key)
    if isinstance(node, list) and isinstance(key, int) and key < len(node):
        return node[key]
    return None


def _broken(path: str, body: str) -> Problem | None:
    match = _CONTROL.search(body)
    if match is None:
        return None
    return Problem(
        _where(path, body.count("\n", 0, match.start()) + 1),
        "(text)",
        text("plain text in UTF-8 without control characters"),
        f"U+{ord(match[0]):04X}",
        text("remove the character, or save the file as UTF-8"),
    )


def _not_toml(path: str, body: str, error: ValueError) -> Problem:
    message = str(error)
    match = _PLACE.search(message)
    line = None
    if match is not None:
        line = int(match[1]) if match[1] else body.count("\n") + 1
        message = message[: match.start()].strip()
    stated = body.split("\n")[line - 1].strip() if line is not None else ""
    return Problem(
        _where(path, line),
        "(text)",
        text("TOML"),
        shown(stated) if stated else "nothing more",
        text("correct it: {why}", why=message[:120]),
    )


def _too_long(path: str, body: str) -> Problem:
    match = _DIGITS.search(body)
    line = None if match is None else body.count("\n", 0, match.start()) + 1
    return Problem(
        _where(path, line),
        "(text)",
        text("TOML with numbers of at most {n}", n=str(LARGEST)),
        "a number of a thousand digits or more",
        text("correct the number"),
    )


def _too_deep(path: str, loc: Loc | None) -> Problem:
    return Problem(
        path,
        str(loc[0]) if loc else "(text)",
        text("at most {n} tables and lists within each other", n=DEEPEST),
        "more",
        text("make it flatter"),
    )


def _walk(tree: Any) -> Iterator[tuple[Loc, Any]]:
    """Every place and value of a tree, without recursion: the tree may be a trap."""
    waiting: list[tuple[Loc, Any]] = [((), tree)]
    while waiting:
        loc, node = waiting.pop()
        yield loc, node
        if len(loc) > DEEPEST:
            continue
        if isinstance(node, dict):
            waiting.extend(((*loc, key), value) for key, value in node.items())
        elif isinstance(node, list):
            waiting.extend(((*loc, n), value) for n, value in enumerate(node))


def _deep_place(tree: dict[str, Any]) -> Loc | None:
    return next((loc for loc, _ in _walk(tree) if len(loc) > DEEPEST), None)


def _odd_keys(sheet: Sheet) -> Iterator[Problem]:
    """Names that no message could show."""
    for loc, _ in _walk(sheet.tree):
        if loc and isinstance(loc[-1], str) and not (loc[-1] and loc[-1].isprintable()):
            yield Problem(
                sheet.where(loc),
                "(name of a field)",
                text("a name of printable characters"),
                shown(loc[-1]),
                text("rename it"),
            )


def _odd_values(sheet: Sheet) -> Iterator[Problem]:
    for loc, value in _walk(sheet.tree):
        if isinstance(value, int) and abs(value) > LARGEST:
            yield sheet.problem(
                loc,
                text("a number of at most {n}", n=str(LARGEST)),
                got="more",
                do=text("correct the number"),
            )
        elif isinstance(value, str) and _CONTROL.search(value):
            yield sheet.problem(
                loc, text("a text without control characters"), do=text("remove the character")
            )
