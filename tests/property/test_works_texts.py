"""Reading and writing texts: nothing is lost, nothing but a message comes of nonsense."""

from __future__ import annotations

import tomllib
from pathlib import Path
from typing import Any

import pytest
import tomlkit
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pairwright.base.errors import InputError
from pairwright.works import apply_changes, dump, load_book, load_works
from pairwright.works.lines import key_lines
from pairwright.works.placeholders import fill
from tests.strategies import names

BASE = Path(__file__).resolve().parents[1] / "damaged" / "base"
TEXTS = {
    p.relative_to(BASE).as_posix(): p.read_text(encoding="utf-8")
    for p in sorted(BASE.rglob("*"))
    if p.is_file()
}
PATHS = sorted(TEXTS)

scalars = st.one_of(
    st.integers(-(2**53), 2**53), st.booleans(), st.dates(), st.text(max_size=12), st.floats(allow_nan=False)
)
values: st.SearchStrategy[Any] = st.recursive(
    scalars,
    lambda inner: st.one_of(
        st.lists(inner, max_size=3), st.dictionaries(st.one_of(names, st.text(max_size=5)), inner, max_size=3)
    ),
    max_leaves=8,
)
tables = st.dictionaries(names, values, max_size=6)


def _places(node: Any, loc: tuple[str | int, ...] = ()) -> list[tuple[str | int, ...]]:
    below: list[tuple[str | int, ...]] = []
    items = node.items() if isinstance(node, dict) else enumerate(node) if isinstance(node, list) else ()
    for key, value in items:
        below += [(*loc, key), *_places(value, (*loc, key))]
    return below


@given(tables)
def test_every_key_of_a_text_has_a_line(tree: dict[str, Any]) -> None:
    body = tomlkit.dumps(tree)
    read = tomllib.loads(body)

    lines = key_lines(body)

    assert set(_places(read)) <= set(lines)
    assert all(1 <= n <= body.count("\n") + 1 for n in lines.values())


@pytest.mark.parametrize("path", [p for p in PATHS if p.endswith(".toml")])
def test_the_line_of_a_key_holds_the_key(path: str) -> None:
    body = TEXTS[path].split("\n")

    for loc, line in key_lines(TEXTS[path]).items():
        if isinstance(loc[-1], str):
            assert loc[-1] in body[line - 1]


@given(tables, st.text(alphabet=" #abc", max_size=10))
def test_writing_back_gives_the_same_bytes(tree: dict[str, Any], comment: str) -> None:
    texts = {"works.toml": f"# {comment}\n" + tomlkit.dumps(tree)}

    assert dump(texts) == texts


@given(st.sampled_from([p for p in PATHS if p.endswith(".toml")]), st.data())
def test_an_edit_touches_its_own_value_only(path: str, data: st.DataObject) -> None:
    tree = tomllib.loads(TEXTS[path])
    leaves = [
        loc
        for loc in _places(tree)
        if not isinstance(_at(tree, loc), dict | list) and "." not in str(loc[-1])
    ]
    loc = data.draw(st.sampled_from(leaves))
    value = data.draw(st.sampled_from(["7", "true", '"a # b"', "2.5 mm", "[1, 2]", "2027-01-01"]))

    after = apply_changes(TEXTS, [(".".join([path.removesuffix(".toml"), *map(str, loc)]), value)])

    expected = tomllib.loads(TEXTS[path])
    _at(expected, loc[:-1])[loc[-1]] = tomllib.loads(f"v = {value}")["v"] if value != "2.5 mm" else value
    assert tomllib.loads(after[path]) == expected
    assert [x for x in after[path].split("\n") if x[:1] == "#"] == [
        x for x in TEXTS[path].split("\n") if x[:1] == "#"
    ]


def _at(node: Any, loc: tuple[str | int, ...]) -> Any:
    for key in loc:
        node = node[key]
    return node


@settings(suppress_health_check=[HealthCheck.too_slow, HealthCheck.data_too_large])
@given(st.data())
def test_a_value_replaced_by_anything_loads_or_is_refused_in_five_parts(data: st.DataObject) -> None:
    path = data.draw(
        st.sampled_from([p for p in PATHS if p.endswith(".toml") and not p.startswith("restricted")])
    )
    tree = tomllib.loads(TEXTS[path])
    loc = data.draw(st.sampled_from(_places(tree)))
    _at(tree, loc[:-1])[loc[-1]] = data.draw(values)

    _loads_or_refuses({**TEXTS, path: tomlkit.dumps(tree)})


@given(st.sampled_from(PATHS), st.data())
def test_a_text_cut_or_stirred_loads_or_is_refused_in_five_parts(path: str, data: st.DataObject) -> None:
    body = TEXTS[path]
    start = data.draw(st.integers(0, len(body)))
    end = data.draw(st.integers(start, min(len(body), start + 80)))
    middle = data.draw(st.text(max_size=6))

    _loads_or_refuses({**TEXTS, path: body[:start] + middle + body[end:]})


def _loads_or_refuses(texts: dict[str, str]) -> None:
    problems = ()
    try:
        load_book(texts, load_works(texts))
    except InputError as error:
        problems = error.problems or (None,)
    for problem in problems:
        assert problem is not None, "refused without a reason"
        assert all(problem.as_json().values()), problem
        assert "\n" not in problem.line()


@given(st.dictionaries(names, st.text(alphabet="abc-0", max_size=6), min_size=1), values)
def test_filling_leaves_no_known_word_and_keeps_the_shape(words: dict[str, str], tree: Any) -> None:
    name = sorted(words)[0]
    missing: list[str] = []

    filled = fill({"a": f"<{{{name}}}>", "b": tree}, words, unknown=lambda loc, found: missing.append(found))

    assert filled["a"] == f"<{words[name]}>"
    assert [str(p) for p in _places(filled["b"])] == [str(p) for p in _places(tree)]
