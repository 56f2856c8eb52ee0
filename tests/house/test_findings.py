"""What the program says of a recipe or plan is listed, explained and in the shop's words."""

from __future__ import annotations

import ast
import importlib.util
import re
import sys
from functools import cache
from types import ModuleType

import pytest

from tests.house.source import ROOT, calls, dotted, in_packages

GLOSSARY = ROOT / "docs" / "glossary.md"
RULES = ROOT / "docs" / "rules-of-a-plan.md"

# Words of codes that are no nouns of the shop: verbs, adjectives, adverbs, prepositions, numbers.
PLAIN_WORDS = frozenset(
    """
    above after ahead all always and any apart as asks at awaits away before begun behind below beside
    between beyond breaks broken by can cannot circular closed cold colder complete confirmed
    contradicts dated differs disagrees doubled doubtful dry earlier earliest early elastic empty end ends
    equal estimated exceeded exceeds expired fails falls far fast few first flat for foreign from full good
    greater has heavier heavy held high higher hot hotter ideal in inside into is itself large larger late
    later latest least less light likely long longer longest low lower many may missing more most much
    must narrow near nearly needs never next no not nothing of off old on one only open other out outside
    over overlapping past poor reached ready rough same sealed short shorter shortest slow small
    smaller split stated steep stiff strong such sure taken than thick thicker thin thinner tight to
    together too twice uncertain uncured under uneven unknown unlisted unmanned unproven until untried
    unreadable unused up upper weak wet when while whole wide with within without wrong zero
    """.split()
)


def load(maker: str) -> ModuleType:
    """A script of docs/ as a module."""
    spec = importlib.util.spec_from_file_location(maker, ROOT / "docs" / f"{maker}.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules[maker] = module  # dataclasses look their module up
    spec.loader.exec_module(module)
    return module


@cache
def glossary() -> dict[str, str]:
    """Each term of the glossary and its definition."""
    found: dict[str, str] = {}
    inside = False
    terms: list[str] = []
    for line in GLOSSARY.read_text(encoding="utf-8").splitlines():
        if line.startswith("```"):
            inside = line.strip() == "```{glossary}"
        elif inside and line and not line[0].isspace():
            terms.append(line.strip())
        elif inside and line.strip():
            for term in terms:
                found[term] = f"{found.get(term, '')} {line.strip()}".strip()
        elif not line.strip():
            terms = []
    return found


@cache
def glossary_words() -> frozenset[str]:
    """Every single word of a term, and its plain plural."""
    words = {w.lower() for term in glossary() for w in re.findall(r"[A-Za-z0-9]+", term)}
    return frozenset(words | {f"{w}s" for w in words} | {f"{w[:-1]}ies" for w in words if w.endswith("y")})


def participle(word: str) -> bool:
    """Whether a word is a plain one by its form: measured, judged, unbalanced."""
    return word.endswith("ed") and word not in ("bed", "bleed", "feed", "seed", "speed", "thread", "weed")


def foreign_words(code: str) -> list[str]:
    return [
        w for w in code.split("_") if w not in glossary_words() and w not in PLAIN_WORDS and not participle(w)
    ]


def codes() -> list[str]:
    return sorted({code for _, code in load("make_findings").collect().statements})


def rules_in_docs() -> set[str]:
    body = RULES.read_text(encoding="utf-8").partition("## Rules")[2].partition("\n## ")[0]
    return set(re.findall(r"^\| `([a-z_]+)` \|", body, re.MULTILINE))


def test_every_code_is_a_literal() -> None:
    assert load("make_findings").collect().unreadable == ()


@pytest.mark.parametrize("code", codes())
def test_a_code_is_snake_case_of_the_shop_s_words(code: str) -> None:
    assert re.fullmatch(r"[a-z][a-z0-9]*(_[a-z0-9]+)*", code)
    assert foreign_words(code) == [], "define the noun in docs/glossary.md, or take one from there"


def test_the_page_of_findings_is_what_the_source_says() -> None:
    page = (ROOT / "docs" / "findings.md").read_text(encoding="utf-8")

    assert page == load("make_findings").render(), "run scripts/docs --refresh"


def test_the_reader_of_the_source_finds_passed_on_codes() -> None:
    sources = {
        "process.context": (
            "class Step:\n    def finding(self, code, severity, what):\n"
            "        return Finding(code, severity, self.subject, what)\n"
        ),
        "process.press": (
            "def note(step, code):\n    return step.finding(code, 'note', text('noted'))\n"
            "def f(step, bad):\n    said = text('too thin by {d}', d=1)\n"
            "    note(step, 'ply')\n"
            "    step.finding('thin_ply' if bad else 'thin_veneer', 'warning', said)\n"
            "    for code, field in (('low', 'a'), ('high', 'b')):\n"
            "        step.finding(code, 'error', text('beyond'))\n"
            "    name, how = ('weak', 'error') if bad else ('poor', 'note')\n"
            "    return step.finding(name, how, text('as it is'))\n"
        ),
    }

    found = load("make_findings").read(sources)

    told = {code: (s.severities, s.sentences) for (_, code), s in found.statements.items()}
    assert told == {
        "ply": ({"note"}, {"noted"}),
        "thin_ply": ({"warning"}, {"too thin by {d}"}),
        "thin_veneer": ({"warning"}, {"too thin by {d}"}),
        "low": ({"error"}, {"beyond"}),
        "high": ({"error"}, {"beyond"}),
        "weak": ({"error", "note"}, {"as it is"}),
        "poor": ({"error", "note"}, {"as it is"}),
    }
    assert found.unreadable == ()


def test_the_reader_of_the_source_complains_about_a_code_made_at_run_time() -> None:
    source = "def f(name):\n    return Finding('thin_' + name, 'note', 'x', text('thin'))\n"

    assert load("make_findings").read({"process.x": source}).unreadable == ("process.x:2",)


def test_a_foreign_noun_is_noticed() -> None:
    assert foreign_words("glue_line_too_cold") == []
    assert foreign_words("wobble_too_cold") == ["wobble"]


def test_the_rules_of_the_audit_are_those_of_the_docs() -> None:
    stated = rules_in_docs()
    said = {
        node.value
        for module in in_packages(frozenset({"audit"}))
        for node in ast.walk(module.tree)
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }
    literal = {
        call.args[0].value
        for module in in_packages(frozenset({"audit"}))
        for call in calls(module.tree)
        if dotted(call.func).split(".")[-1] == "Violation"
        and call.args
        and isinstance(call.args[0], ast.Constant)
    }

    assert len(stated) >= 18
    assert stated - said == set(), "stated in docs/rules-of-a-plan.md, never uttered by the audit"
    assert literal - stated == set(), "uttered by the audit, not stated in docs/rules-of-a-plan.md"


@pytest.mark.parametrize("rule", sorted(rules_in_docs()))
def test_a_rule_is_named_in_the_shop_s_words(rule: str) -> None:
    assert foreign_words(rule) == []


WORDS_OF_THE_TRADE = (
    "works, revision, product, part, item, option, set, pair, single, mate, orphan, early-bound, "
    "late-bound, flitch, leaf, book-match, layup, ply, glue line, mould, hot press, press cycle, "
    "spring-back, spring-in, bracing, opening fixture, glue-up, open time, clamp time, cure, sealer, "
    "coat, flash-off, stove, flatting, rest, polish, film build, drive unit, crossover board, assembled "
    "network, metal part, route, step, station, place, crew, carrier, buffer, batch, lot, serial, "
    "programme, utilisation, completion, shipment, release, nonconformance, rework, repair, concession, "
    "scrap, hold, finding, traveller, dossier"
).split(", ")


@pytest.mark.parametrize("word", WORDS_OF_THE_TRADE)
def test_the_glossary_defines_the_words_of_the_trade(word: str) -> None:
    assert len(glossary().get(word, "").split()) >= 3, f"{word} has no definition"


def test_no_term_is_without_a_definition() -> None:
    assert [t for t, d in glossary().items() if not d] == []
