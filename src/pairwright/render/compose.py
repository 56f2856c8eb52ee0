"""The book as a document: its sections in order, in the reader's language."""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Amount, Text, Words, text
from pairwright.render.compose_money import costs_section, purchases_section
from pairwright.render.compose_plan import pairs_section, promises_section, stations_section
from pairwright.render.compose_recipes import cautions_section, comparison_section, recipes_section
from pairwright.render.compose_week import week_section
from pairwright.render.document import Block, Column, Document, Grid, Item, Items, Section, sentence_case
from pairwright.render.pairs import WIDTH
from pairwright.reports.book import BookData
from pairwright.reports.origins import Origins

STATUS_WORDS: Final[dict[str, Text]] = {
    "optimal": text("proven best"),
    "feasible": text("feasible"),
    "infeasible": text("infeasible"),
    "unknown": text("no plan found in the time given"),
}


def book_document(data: BookData, words: Words, *, width: float = WIDTH) -> Document:
    """Lay the book's data out as sections of finished text.

    Parameters
    ----------
    data : BookData
        What the book says.
    words : Words
        The reader's language, units and zone.
    width : float
        Width of its figures. [-]
    """
    sections = [week_section(data, words)]
    if data.comparison is not None:
        sections.append(comparison_section(data.comparison, words))
    sections += [
        promises_section(data, words, width=width),
        pairs_section(data, words, width=width),
        stations_section(data, words, width=width),
        recipes_section(data, words, width=width),
        purchases_section(data, words),
        costs_section(data, words),
        cautions_section(data, words),
        origins_section(data.origins, words),
    ]
    day = Amount(float(data.week.days[0]), "date")
    return Document(
        data.works, words.say(text("The week from {day}", day=day)), _facts(data, words), tuple(sections),
        words.language, _frame(words),
    )  # fmt: skip


def _facts(data: BookData, words: Words) -> tuple[tuple[str, str], ...]:
    plan = data.plan
    status = words.say(STATUS_WORDS.get(plan.status, text("{status}", status=plan.status)))
    facts = [
        (words.say(text("as of")), words.amount(Amount(float(data.now), "instant"))),
        (words.say(text("plan")), f"{status}; {words.say(plan.gap)}"),
        (words.say(text("audit")), words.say(_audit(data))),
        (
            words.say(text("orders")),
            words.say(text("{orders} for {sets} sets", orders=plan.orders, sets=plan.sets)),
        ),
        (words.say(text("revision")), data.revision[:12]),
    ]
    return tuple(facts)


def _audit(data: BookData) -> Text:
    if data.plan.operations == 0:
        return text("nothing to audit")
    return text("no violation") if data.plan.verified else text("violations")


def _frame(words: Words) -> dict[str, str]:
    return {
        "contents": words.say(text("Contents")),
        "skip": words.say(text("Skip to the week's decisions")),
        "table": words.say(text("Table")),
        "table_of": words.say(text("The same as a table")),
        "origin": words.say(text("where this number comes from")),
    }


def origins_section(origins: Origins, words: Words) -> Section:
    """Birth certificates: each kind of number, then every source with who leans on it."""
    items = tuple(
        Item(
            sentence_case(words.say(o.what)),
            sentence_case(words.say(text("{how}; from {inputs}.", how=o.computed, inputs=o.inputs))),
            sentence_case(words.say(o.source)), id=f"origin-{o.id}",
        )
        for o in origins.numbers
    )  # fmt: skip
    columns = (
        Column(words.say(text("Kind")), width=0.8), Column(words.say(text("Source")), width=3.0),
        Column(words.say(text("Used for")), width=2.2),
    )  # fmt: skip
    rows = tuple((c.kind, c.citation, _used(c.used, words)) for c in origins.citations)
    blocks: tuple[Block, ...] = (
        Items(words.say(text("Each kind of number")), items),
        Grid(words.say(text("Sources of the laws and material values")), columns, rows,
             words.say(text("No recipe names a source."))),
    )  # fmt: skip
    lead = text(
        "Works revision {revision}; orders and stock {orders}; pairwright {version}.",
        revision=origins.revision[:12],
        orders=origins.orders_digest[:12],
        version=origins.version or "-",
    )
    return Section("origins", words.say(text("Where each number comes from")), words.say(lead), blocks)


def _used(places: tuple[Text, ...], words: Words, most: int = 3) -> str:
    said = "; ".join(words.say(p) for p in places[:most])
    if len(places) > most:
        said += " " + words.say(text("and {n} more", n=len(places) - most))
    return said
