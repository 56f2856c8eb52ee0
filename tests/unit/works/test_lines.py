"""Places in TOML texts are found again, whatever way they are written."""

from __future__ import annotations

import pytest

from pairwright.works.lines import key_lines, line_of

TEXT = '''# a comment = [ not a table ]
name = "a # b"
"quoted key" = 1
a.b.c = 2
long = """
[not.a.table]
x = 1
"""

[[steps]]
id = "press" # [x]
  recipe = { platen = "1", list = [ 1,
      2, { deep = 3 } ] }
[steps.more]
y = 'it''s'
[[steps]]
id = "trim"
[[steps.sub]]
z = 1
[[steps.sub]]
z = [
  "a",   # one
  "b",
]
[ other . 'part' ]
when = 2027-03-01T06:00:00+01:00
last = true
'''.replace("'it''s'", "'it'")

EXPECTED = {
    ("name",): 2,
    ("quoted key",): 3,
    ("a", "b", "c"): 4,
    ("long",): 5,
    ("steps", 0, "id"): 11,
    ("steps", 0, "recipe", "platen"): 12,
    ("steps", 0, "recipe", "list", 1): 13,
    ("steps", 0, "recipe", "list", 2, "deep"): 13,
    ("steps", 0, "more", "y"): 15,
    ("steps", 1): 16,
    ("steps", 1, "id"): 17,
    ("steps", 1, "sub", 0, "z"): 19,
    ("steps", 1, "sub", 1): 20,
    ("steps", 1, "sub", 1, "z", 1): 23,
    ("other", "part", "when"): 26,
    ("other", "part", "last"): 27,
}


@pytest.mark.parametrize(
    ("loc", "line"), EXPECTED.items(), ids=lambda v: ".".join(map(str, v)) if isinstance(v, tuple) else ""
)
def test_the_line_of_a_place(loc: tuple[str | int, ...], line: int) -> None:
    assert key_lines(TEXT)[loc] == line


def test_what_is_not_there_is_told_by_the_table_above() -> None:
    lines = key_lines(TEXT)

    assert line_of(lines, ("steps", 1, "sub", 1, "missing", "deeper")) == 20
    assert line_of(lines, ("nowhere",)) is None
