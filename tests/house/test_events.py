"""Every kind of event and every field of it is on the page of events, and its nouns are in the glossary."""

from __future__ import annotations

from pairwright.floor import KINDS
from tests.house.source import ROOT
from tests.house.test_findings import load


def test_the_page_of_events_is_what_the_program_says() -> None:
    page = (ROOT / "docs" / "events.md").read_text(encoding="utf-8")

    assert page == load("make_events").render(), "run scripts/docs --refresh"


def test_every_field_is_described() -> None:
    page = load("make_events").render()

    sections = {part.split("`", 1)[0]: part for part in page.split("\n## `")[1:]}
    assert list(sections) == list(KINDS)
    for kind in KINDS.values():
        for field in kind.fields:
            assert f"| `{field.name}`" in sections[kind.name], (kind.name, field.name)
