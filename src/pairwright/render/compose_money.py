"""Purchases, costs and energy of the book."""

from __future__ import annotations

from typing import Final

from pairwright.base.words import Amount, Text, Words, text
from pairwright.render.document import Cell, Column, Grid, Para, Section
from pairwright.render.timeline import short_day
from pairwright.reports.book import BookData
from pairwright.reports.costs import CostLine
from pairwright.reports.names import quantity_of_unit
from pairwright.reports.purchases import Purchase

ORDER_WORDS: Final[dict[str, Text]] = {
    "broken": text("too late"),
    "watch": text("this week"),
    "fine": text("later"),
}
COUNTED: Final[Text] = text(
    "Likely times at the first station of each step, people at their crew's rate, materials with what scrap "
    "and rework take along, energy at its price, overhead on people and stations. Setups, waiting and the "
    "price of delay are not in it."
)


def grouped(value: float, words: Words) -> str:
    """Whole money with its thousands set apart by a narrow space, which no language reads wrongly."""
    return f"{value:,.0f}".replace(",", "\u202f") if value >= 0 else words.fixed(value, 0)


def money(value: float, words: Words) -> str:
    """Whole money with its currency."""
    return f"{grouped(value, words)} {words.currency}"


def purchases_section(data: BookData, words: Words) -> Section:
    """What the plan needs beyond stock and arrivals, by the day it must be ordered."""
    missing = [p for p in data.purchases if p.missing > 0]
    covered = [p for p in data.purchases if p.missing <= 0]
    total = sum(p.money for p in missing)
    lead = text("{n} materials must be bought for {money}; stock and arrivals cover {others} more.", n=len(missing),
                money=money(total, words), others=len(covered))  # fmt: skip
    columns = (
        Column(words.say(text("Material")), width=1.8), Column(words.say(text("State")), width=0.8),
        Column(words.say(text("Order by")), True, "purchases"), Column(words.say(text("Wanted from")), True),
        Column(words.say(text("Buy")), True, "purchases"), Column(words.say(text("Needed")), True),
        Column(words.say(text("On hand")), True), Column(words.say(text("Coming")), True),
        Column(words.say(text("Lead time")), True), Column(data.currency, True),
    )  # fmt: skip
    rows = tuple(_purchase_row(p, words) for p in missing)
    wasted = [p for p in data.purchases if p.wasted > 1e-9]
    blocks = [Grid(words.say(text("To buy")), columns, rows, words.say(text("Nothing has to be bought."))),
              Grid(words.say(text("Covered by stock and arrivals")), _covered_columns(words),
                   tuple(_covered_row(p, words) for p in covered), words.say(text("None.")))]  # fmt: skip
    if wasted:
        said = "; ".join(f"{p.name} {words.value(quantity_of_unit(p.unit, p.wasted))}" for p in wasted)
        blocks.append(Para(words.say(text("Will expire before it is used: {what}.", what=said))))  # type: ignore[arg-type]
    return Section("purchases", words.say(text("Purchases")), words.say(lead), tuple(blocks))


def _purchase_row(one: Purchase, words: Words) -> tuple[str | Cell, ...]:
    amounts = (one.needed, one.on_hand, one.coming)
    state = ORDER_WORDS[one.state]
    return (
        one.name, Cell(words.say(state), one.state),
        "" if one.order_by is None else short_day(one.order_by, words),
        "" if one.short_from is None else short_day(one.short_from, words),
        words.value(quantity_of_unit(one.unit, one.missing, whole=True)),
        *(words.value(quantity_of_unit(one.unit, v)) if v else "" for v in amounts),
        "" if one.lead_time is None else words.amount(Amount(one.lead_time, "duration")),
        grouped(one.money, words),
    )  # fmt: skip


def _covered_columns(words: Words) -> tuple[Column, ...]:
    return (
        Column(words.say(text("Material")), width=2.0), Column(words.say(text("Needed")), True),
        Column(words.say(text("On hand")), True), Column(words.say(text("Coming")), True),
    )  # fmt: skip


def _covered_row(one: Purchase, words: Words) -> tuple[str, ...]:
    return (
        one.name,
        *(
            words.value(quantity_of_unit(one.unit, v)) if v else ""
            for v in (one.needed, one.on_hand, one.coming)
        ),
    )


def costs_section(data: BookData, words: Words) -> Section:
    """Standard cost and energy per good set."""
    columns = (
        Column(words.say(text("Set")), width=1.5), Column(words.say(text("Material")), True),
        Column(words.say(text("People")), True), Column(words.say(text("Stations")), True),
        Column(words.say(text("Energy")), True), Column(words.say(text("Overhead")), True),
        Column(words.say(text("Total")), True, "costs"), Column(words.say(text("Energy used")), True),
        Column(words.say(text("People's time")), True), Column(words.say(text("On order")), True),
    )  # fmt: skip
    rows = tuple(_cost_row(c, words) for c in data.costs.lines)
    dear = tuple(
        (words.say(c.name), "; ".join(f"{step} {grouped(spent, words)}" for step, spent in c.dearest))
        for c in data.costs.lines
    )
    lead = text("The sets on order cost {money} at standard times and rates.",
                money=money(data.costs.order_book, words))  # fmt: skip
    blocks = (
        Grid(words.say(text("Cost of one good set, in {currency}", currency=data.currency)), columns, rows),
        Para(words.say(COUNTED), quiet=True),
        Grid(words.say(text("The dearest steps, in {currency}", currency=data.currency)),
             (Column(words.say(text("Set")), width=1.0), Column(words.say(text("Steps")), width=3.0)), dear),
    )  # fmt: skip
    return Section("costs", words.say(text("Cost and energy per set")), words.say(lead), blocks)


def _cost_row(one: CostLine, words: Words) -> tuple[str, ...]:
    parts = (one.material, one.labour, one.place, one.energy, one.overhead, one.total)
    return (
        words.say(one.name), *(grouped(v, words) for v in parts),
        words.amount(Amount(one.energy_joule, "energy")),
        words.say(text("{hours} h", hours=words.fixed(one.people_time / 3600.0, 1))), str(one.ordered),
    )  # fmt: skip
