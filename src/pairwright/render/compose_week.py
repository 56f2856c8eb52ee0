"""The first page: the week's decisions."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import datetime
from typing import Final

from pairwright.base.words import Amount, Text, Words, text
from pairwright.render.document import (
    Block,
    Column,
    Columns,
    Grid,
    Item,
    Items,
    Section,
    Tile,
    Tiles,
    sentence_case,
)
from pairwright.render.marks import KIND_WORDS
from pairwright.render.timeline import short_day
from pairwright.reports.book import BookData
from pairwright.reports.names import quantity_of_unit
from pairwright.reports.purchases import Purchase
from pairwright.reports.week import Action, Bottleneck, Decision, Duty, Risk, Ship

MOST: Final = 5  # entries of a list on the first page
WEEKDAYS: Final[tuple[Text, ...]] = (
    text("Mon"), text("Tue"), text("Wed"), text("Thu"), text("Fri"), text("Sat"), text("Sun"),
)  # fmt: skip


def week_section(data: BookData, words: Words) -> Section:
    """What must be decided this week, on one page."""
    week = data.week
    blocks: tuple[Block, ...] = (
        _tiles(data, words),
        Columns(
            (_risks(week.risks, words),),
            (
                _ships(data, words),
                _bottleneck(week.bottleneck, words),
                _buys(week.buys, words),
                _decisions(week.decisions, words),
            ),
        ),
        _duties(data, words),
    )
    return Section("week", words.say(text("The week's decisions")), words.say(_lead(data)), blocks)


def _lead(data: BookData) -> Text:
    late = sum(r.state == "broken" for r in data.week.risks)
    risk = len(data.week.risks) - late
    orders, narrow = data.plan.orders, data.week.bottleneck
    if orders == 0:
        return text("There is no plan: what stands in the way is listed below.")
    if late == risk == 0:
        head: Text = text("All {n} orders are planned in time and stay so in nine futures of ten.", n=orders)
    else:
        head = text(
            "Of {n} orders {late} are planned late and {risk} more may be.", n=orders, late=late, risk=risk
        )
    if narrow is None:
        return head
    return text("{head} {station} is the bottleneck.", head=head, station=narrow.word)


def _tiles(data: BookData, words: Words) -> Tiles:
    week = data.week
    late = [r for r in week.risks if r.state == "broken"]
    risk = [r for r in week.risks if r.state == "watch"]
    first = (*week.ships, *week.next_ships)[:1]
    tiles = [
        Tile(
            str(len(week.ships)), words.say(text("orders ship this week")),
            words.say(text("next: {order} on {day}", order=first[0].order, day=short_day(first[0].completion, words)))
            if first and not week.ships else "",
            origin="plan",
        ),
        Tile(
            str(len(late)), words.say(text("orders planned late")),
            state="broken" if late else "fine",
            word=_listed([r.order for r in late], words) if late else words.say(text("none")), origin="plan",
        ),
        Tile(
            str(len(risk)), words.say(text("orders at risk")), state="watch" if risk else "fine",
            word=words.say(text("P90 after the due date")) if risk else words.say(text("none")), origin="forecast",
        ),
    ]  # fmt: skip
    if week.bottleneck is not None and week.bottleneck.planned is not None:
        tiles.append(
            Tile(words.amount(Amount(week.bottleneck.planned, "share", 2)),
                 words.say(text("{station}, the bottleneck", station=week.bottleneck.word)),
                 words.say(text("of its time over the whole plan")), origin="stations")
        )  # fmt: skip
    return Tiles(tuple(tiles))


def _listed(names: Sequence[str], words: Words, most: int = 3) -> str:
    said = ", ".join(names[:most])
    return (
        said
        if len(names) <= most
        else words.say(text("{names} and {n} more", names=said, n=len(names) - most))
    )


def _ships(data: BookData, words: Words) -> Items:
    week = data.week
    title = text("Ships this week") if week.ships else text("Nothing ships this week; next")
    shown = week.ships or week.next_ships
    return Items(
        words.say(title), tuple(_ship(s, words) for s in shown[:MOST]),
        words.say(text("No order is in the plan.")), _more(len(shown), words), "plan",
    )  # fmt: skip


def _ship(ship: Ship, words: Words) -> Item:
    body = text(
        "{sets}, planned {day}, due {due}", sets=ship.sets,
        day=short_day(ship.completion, words), due=short_day(ship.due, words),
    )  # fmt: skip
    return Item(f"{ship.order} · {words.say(ship.name)}", words.say(body), state=ship.state)


def _risks(risks: Sequence[Risk], words: Words) -> Items:
    return Items(
        words.say(text("At risk, and why")), tuple(_risk(r, words) for r in risks[:MOST]),
        words.say(text("No order is late in the plan or in the ninth future of ten.")),
        _more(len(risks), words, text("Promises")), "reasons",
    )  # fmt: skip


def _risk(risk: Risk, words: Words) -> Item:
    word = (
        text("planned {late} late", late=Amount(risk.late, "duration", 2))
        if risk.state == "broken"
        else text("may be late")
    )
    why = sentence_case("; ".join(words.say(s.text) for s in risk.reasons[:3]))
    note = text("due {due}, planned {plan}", due=short_day(risk.due, words), plan=short_day(risk.plan, words))
    if risk.p90 is not None:
        note = text("{note}, P90 {p90}", note=note, p90=short_day(risk.p90, words))
    if risk.on_time is not None:
        note = text(
            "{note}, in time in {share} of futures", note=note, share=Amount(risk.on_time, "share", 2)
        )
    return Item(
        f"{risk.order} · {words.say(risk.name)}", f"{why}." if why else "", sentence_case(words.say(note)), risk.state,
        words.say(word),
    )  # fmt: skip


def _bottleneck(narrow: Bottleneck | None, words: Words) -> Items:
    title = words.say(text("The bottleneck"))
    if narrow is None:
        return Items(title, (), words.say(text("No station is used.")))
    says = []
    if narrow.planned is not None:
        says.append(
            words.say(text("{share} of its time is planned", share=Amount(narrow.planned, "share", 2)))
        )
    if narrow.forecast is not None:
        says.append(words.say(text("{share} in the forecast", share=Amount(narrow.forecast, "share", 2))))
    note = ""
    if narrow.fullest is not None:
        note = words.say(text("Fullest in the week of {day} with {share}.", day=short_day(narrow.fullest, words),
                              share=Amount(narrow.fullest_share, "share", 2)))  # fmt: skip
    if narrow.until is not None and narrow.until != narrow.fullest:
        note += " " + words.say(text("Tight until the week of {day}.", day=short_day(narrow.until, words)))
    return Items(title, (Item(narrow.word, ", ".join(says) + ".", note, "watch"),), origin="stations")


def _buys(buys: Sequence[Purchase], words: Words) -> Items:
    return Items(
        words.say(text("Order this week")), tuple(_buy(b, words) for b in buys[:MOST]),
        words.say(text("Nothing to order this week.")), _more(len(buys), words, text("Purchases")), "purchases",
    )  # fmt: skip


def _buy(buy: Purchase, words: Words) -> Item:
    late = buy.state == "broken"
    amount = quantity_of_unit(buy.unit, buy.missing, whole=True)
    body = text("order {amount}", amount=amount)
    if buy.late >= buy.missing - 1e-9:
        body = text("hasten {amount} of what is on the way", amount=amount)
    if buy.order_by is not None and not late:
        body = text("{body} by {day}", body=body, day=short_day(buy.order_by, words))
    note = text("wanted from {day}", day=short_day(buy.short_from or 0, words))
    if buy.lead_time is not None:
        note = text("{note}, delivery takes {time}", note=note, time=Amount(buy.lead_time, "duration"))
    if 0 < buy.late < buy.missing - 1e-9:
        note = text(
            "{note}; {amount} on the way come too late",
            note=note,
            amount=quantity_of_unit(buy.unit, buy.late),
        )
    word = ""
    if late:
        coming = buy.late >= buy.missing - 1e-9
        word = words.say(text("comes too late") if coming else text("late even if ordered today"))
    return Item(buy.name, sentence_case(words.say(body)), sentence_case(words.say(note)), buy.state, word)


def _decisions(found: Sequence[Decision], words: Words) -> Items:
    return Items(
        words.say(text("Needs a decision")), tuple(_decision(d, words) for d in found[:MOST]),
        words.say(text("No recipe and no plan asks for one.")), _more(len(found), words, text("Recipes")), "durations",
    )  # fmt: skip


def _decision(one: Decision, words: Words) -> Item:
    note = ""
    if one.also:
        note = words.say(text("Also: {subjects}", subjects=_listed(one.also, words)))
    word = words.say(text("will not work") if one.state == "broken" else text("doubtful"))
    return Item(one.subject, sentence_case(words.say(one.text)), note, one.state, word)


def _more(count: int, words: Words, where: Text | None = None) -> str:
    if count <= MOST:
        return ""
    if where is None:
        return words.say(text("{n} more", n=count - MOST))
    return words.say(text("{n} more under {where}", n=count - MOST, where=where))


def _duties(data: BookData, words: Words) -> Grid:
    week = data.week
    used = [n for n in range(len(week.days)) if any(d.days[n] for d in week.duties)]
    columns = [Column(words.say(text("Crew")), width=0.9)]
    columns += [Column(_day_name(week.days[n], words), origin="") for n in used]
    rows = tuple((d.name, *(_actions(d, n, words) for n in used)) for d in week.duties)
    return Grid(
        words.say(text("Who does what by when")), tuple(columns), rows,
        words.say(text("No crew has anything to do this week.")),
    )  # fmt: skip


def _day_name(moment: int, words: Words) -> str:
    day = datetime.fromtimestamp(moment, tz=words.zone)
    return f"{words.say(WEEKDAYS[day.weekday()])} {short_day(moment, words)}"


def _actions(duty: Duty, day: int, words: Words) -> str:
    """A crew's day: how many of each kind, in order of the first start."""
    counts: dict[str, int] = {}
    action: Action
    for action in duty.days[day]:
        counts[action.kind] = counts.get(action.kind, 0) + action.count
    if not counts:
        return ""
    said = ", ".join(f"{n} {words.say(KIND_WORDS[kind])}" for kind, n in counts.items())
    return f"{words.moment(duty.days[day][0].start, '%H:%M')}  {said}"
