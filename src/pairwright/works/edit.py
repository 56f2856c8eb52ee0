"""Changing a definition in its texts: comments and order of everything else are kept."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable, Mapping, MutableMapping, MutableSequence, Sequence
from typing import Any, Final

from pairwright.base.errors import InputError, MachineryError, Problem, shown
from pairwright.base.words import text
from pairwright.works.lines import Loc
from pairwright.works.reading import near
from pairwright.works.revision import recipe_digest

_WHERE: Final = "command line"


def dump(texts: Mapping[str, str]) -> dict[str, str]:
    """The texts as they are written back: an unchanged definition comes back byte for byte.

    Parameters
    ----------
    texts : Mapping[str, str]
        Texts by path; what is not TOML is passed on.
    """
    import tomlkit

    return {
        path: tomlkit.dumps(tomlkit.parse(body)) if path.endswith(".toml") else body
        for path, body in texts.items()
    }


def split_change(argument: str) -> tuple[str, str]:
    """Path and value of ``PATH=VALUE``; the first equals sign divides.

    >>> split_change("products/alder.shell.layup.plies=13")
    ('products/alder.shell.layup.plies', '13')
    """
    path, sign, value = argument.partition("=")
    if not sign or not path.strip() or not value.strip():
        raise InputError(
            Problem(
                _WHERE,
                "--change",
                text("PATH=VALUE, such as products/alder.shell.layup.plies=13"),
                shown(argument),
                text("write the path, an equals sign and the value"),
            )
        )
    return path.strip(), value.strip()


def apply_changes(texts: Mapping[str, str], changes: Sequence[tuple[str, str]]) -> dict[str, str]:
    r"""The texts with some values changed.

    Parameters
    ----------
    texts : Mapping[str, str]
        The definition's texts by path.
    changes : Sequence[tuple[str, str]]
        Path and value. A path is the file without ``.toml``, then keys divided by points;
        entries of a list go by their id or their number from 0. A value is TOML, and where it is
        not, a text. The last key of a path may be new.

    Raises
    ------
    InputError
        With every path that leads nowhere.

    Examples
    --------
    >>> apply_changes(
    ...     {"works.toml": "[stations.press]\nplaces = 1  # one\n"},
    ...     [("works.stations.press.places", "2")],
    ... )["works.toml"]
    '[stations.press]\nplaces = 2  # one\n'
    """
    changed = dict(texts)
    problems: list[Problem] = []
    for path, value in changes:
        file = _file_of(changed, path)
        if file is None:
            problems.append(_no_file(changed, path))
            continue
        tree = _parsed(changed[file], file)
        rest = path[len(file) - len(".toml") + 1 :]
        loc = _resolve(tree, rest)
        if loc is None:
            problems.append(_no_place(tree, file=file, path=path, rest=rest))
            continue
        changed[file] = _written(changed[file], loc, value=value, tree=tree)
        if file.startswith("restricted/"):
            _list_anew(changed, file)
    if problems:
        raise InputError(problems)
    return changed


def read_value(value: str) -> Any:
    """The value that a text means: TOML where it is TOML, else the text itself.

    >>> read_value("13"), read_value("112 degC"), read_value("[1, 2]")
    (13, '112 degC', [1, 2])
    """
    try:
        tree = tomllib.loads(f"value = {value}")
    except (ValueError, RecursionError):
        return value
    return tree["value"] if len(tree) == 1 and "\n" not in value else value


def _file_of(texts: Mapping[str, str], path: str) -> str | None:
    files = [f for f in texts if f.endswith(".toml") and path.startswith(f.removesuffix(".toml") + ".")]
    return max(files, key=len, default=None)


def _parsed(body: str, file: str) -> dict[str, Any]:
    try:
        return tomllib.loads(body)
    except (ValueError, RecursionError) as error:
        raise InputError(
            Problem(file, "(text)", text("TOML"), shown(str(error)), text("correct the file first"))
        ) from None


def _names(node: Any) -> list[tuple[str, str | int]]:
    """What one step of a path may be called here, and the key it means."""
    if isinstance(node, dict):
        return [(str(key), key) for key in node]
    if isinstance(node, list):
        by_id = [(str(e["id"]), n) for n, e in enumerate(node) if isinstance(e, dict) and "id" in e]
        return [*by_id, *((str(n), n) for n in range(len(node)))]
    return []


def _resolve(node: Any, rest: str) -> Loc | None:
    """The place that a dotted path means; of several readings the one with the longest names."""
    for name, key in sorted(_names(node), key=lambda pair: -len(pair[0])):
        if rest == name:
            return (key,)
        if rest.startswith(name + "."):
            below = _resolve(node[key], rest[len(name) + 1 :])
            if below is not None:
                return (key, *below)
    if (
        isinstance(node, dict)
        and rest
        and "." not in rest
        and rest.replace("-", "").replace("_", "").isalnum()
    ):
        return (rest,)  # a field that was left out so far; the loader knows whether it exists
    return None


def _written(body: str, loc: Loc, *, value: str, tree: dict[str, Any]) -> str:
    import tomlkit

    document = tomlkit.parse(body)
    new = read_value(value)
    _assign(document, loc, tomlkit.parse(f"value = {value}")["value"] if new != value else value)
    _assign(tree, loc, new)
    result = tomlkit.dumps(document)
    if _form(tomllib.loads(result)) != _form(tree):
        raise MachineryError(
            text("the change of {place} could not be written", place=".".join(map(str, loc)))
        )
    return result


def _list_anew(texts: dict[str, str], file: str) -> None:
    """A changed restricted recipe gets its new digest in works.toml, where it was listed."""
    tree = _parsed(texts.get("works.toml", ""), "works.toml")
    if file in tree.get("restricted", {}):
        digest = recipe_digest(texts[file])
        texts["works.toml"] = _written(
            texts["works.toml"], ("restricted", file), value=f'"{digest}"', tree=tree
        )


def _form(tree: Any) -> str:
    """A tree in one form, in which NaN equals itself (the loader will refuse it)."""
    import json

    return json.dumps(tree, sort_keys=True, default=str)


def _assign(document: Any, loc: Loc, value: Any) -> None:
    node: MutableMapping[Any, Any] | MutableSequence[Any] = document
    for key in loc[:-1]:
        node = node[key]  # type: ignore[index]
    node[loc[-1]] = value  # type: ignore[index]


def _no_file(texts: Mapping[str, str], path: str) -> Problem:
    files = [f.removesuffix(".toml") for f in texts if f.endswith(".toml")]
    head = path.partition(".")[0]
    return _problem(path, got=head, names=files, prefix="")


def _no_place(tree: dict[str, Any], *, file: str, path: str, rest: str) -> Problem:
    """Follow the path as far as it leads, and say what there is."""
    node: Any = tree
    prefix = file.removesuffix(".toml") + "."
    while True:
        fitting = [(n, k) for n, k in _names(node) if rest.startswith(n + ".")]
        if not fitting:
            return _problem(
                path, got=rest.partition(".")[0], names=[n for n, _ in _names(node)], prefix=prefix
            )
        name, key = max(fitting, key=lambda pair: len(pair[0]))
        node, rest, prefix = node[key], rest[len(name) + 1 :], f"{prefix}{name}."


def _problem(path: str, *, got: str, names: Iterable[str], prefix: str) -> Problem:
    known = list(dict.fromkeys(names))
    alike = near(got, known, 1)
    listed = known if len(known) <= 8 else near(got, known, 8) or known[:8]
    must_be = (
        text("a place in the works ({names})", names=", ".join(prefix + n for n in listed))
        if listed
        else text("a place in the works; nothing lies within {prefix}", prefix=prefix.rstrip("."))
    )
    do = text("write {name}", name=prefix + alike[0]) if alike else text("correct the path")
    return Problem(_WHERE, f"--change {path}", must_be, shown(got), do)
