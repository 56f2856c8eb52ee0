"""The verdict on every recipe, cautions, and what a change does."""

from __future__ import annotations

from collections.abc import Sequence

from pairwright.base.words import Amount, Text, Words, text
from pairwright.render.chart import Figure
from pairwright.render.compose_money import money
from pairwright.render.curves import axis_unit, curve_figure
from pairwright.render.document import (
    Block,
    Cell,
    Column,
    Grid,
    Heading,
    Item,
    Items,
    Para,
    Plot,
    Section,
    State,
    sentence_case,
)
from pairwright.render.film import film_build
from pairwright.render.marks import KIND_WORDS, STATE_WORDS
from pairwright.render.press import press_trace
from pairwright.reports.book import BookData
from pairwright.reports.comparison import Comparison, Moved
from pairwright.reports.figures import FilmBuild, PressTrace
from pairwright.reports.recipes import AnyFigure, Verdict, worth_drawing


def draw(figure: AnyFigure, words: Words, *, id: str, width: float) -> Figure:
    """Any figure of a recipe in its own form."""
    if isinstance(figure, PressTrace):
        return press_trace(figure, words, id=id, width=width)
    if isinstance(figure, FilmBuild):
        return film_build(figure, words, id=id, width=width)
    return curve_figure(figure, words, id=id, width=width)


def recipes_section(data: BookData, words: Words, *, width: float) -> Section:
    """Product by product: the table of its recipes, then the curves that decide."""
    found, blocks = data.verdicts, list[Block]()
    wrong = sum(v.state == "broken" for v in found)
    doubtful = sum(v.state == "watch" for v in found)
    lead = text("{n} recipes: {wrong} will not work, {doubtful} are doubtful, the others are fine.", n=len(found),
                wrong=wrong, doubtful=doubtful)  # fmt: skip
    blocks.append(_findings(data, words))
    drawn = {id(v) for v in worth_drawing(found)}
    for product in dict.fromkeys(v.product for v in found):
        mine = [v for v in found if v.product == product]
        blocks.append(Heading(mine[0].product_name, f"recipes-{product}", 3))
        blocks += _verdict_grids(mine, words)
        for n, verdict in enumerate(mine):
            if id(verdict) in drawn:
                blocks += _curves(verdict, words, id=f"{product}-{n}", width=width)
    return Section("recipes", words.say(text("Recipes")), words.say(lead), tuple(blocks))


def _findings(data: BookData, words: Words) -> Grid:
    columns = (
        Column(words.say(text("State")), width=0.9), Column(words.say(text("Where")), width=1.5),
        Column(words.say(text("What")), width=3.4), Column(words.say(text("After")), width=1.5),
    )  # fmt: skip
    names: dict[str, tuple[State, Text]] = {
        "error": ("broken", text("will not work")),
        "warning": ("watch", text("doubtful")),
    }
    rows = tuple(
        (
            Cell(words.say(names[f.severity][1]), names[f.severity][0]),
            f.subject,
            words.say(f.text),
            str(f.source),
        )
        for f in data.findings
        if f.severity in names
    )
    return Grid(words.say(text("What was found")), columns, rows, words.say(text("Nothing was found.")))


def _verdict_grids(found: Sequence[Verdict], words: Words) -> list[Block]:
    """Computed times with their reason; stated ones shorter."""
    columns = (
        Column(words.say(text("Part, step")), width=1.6), Column(words.say(text("Kind")), width=0.6),
        Column(words.say(text("Verdict")), width=0.7), Column(words.say(text("Time")), True, "durations"),
        Column(words.say(text("from – to")), True),
    )  # fmt: skip
    because = Column(words.say(text("Because")), width=3.0)
    computed = _rows([v for v in found if v.timing.computed], words, reason=True)
    stated = _rows([v for v in found if not v.timing.computed], words, reason=False)
    return [
        Grid(
            words.say(text("Computed from the recipe")),
            (*columns, because),
            computed,
            words.say(text("None.")),
        ),
        Grid(words.say(text("Stated in the step")), columns, stated, words.say(text("None."))),
    ]


def _rows(found: Sequence[Verdict], words: Words, *, reason: bool) -> tuple[tuple[str | Cell, ...], ...]:
    """One row for options that take the same time for the same reason."""
    alike: dict[tuple[str, str, str, str], list[Verdict]] = {}
    for one in found:
        alike.setdefault((one.part, one.step, words.say(one.timing.reason), one.state), []).append(one)
    steps = {(v.part, v.step): sum((k[0], k[1]) == (v.part, v.step) for k in alike) for v in found}
    return tuple(
        _verdict_row(told[0], words, reason=reason,
                     options=() if steps[part, step] == 1 else tuple(o for v in told for o in v.options))
        for (part, step, _, _), told in alike.items()
    )  # fmt: skip


def _verdict_row(
    verdict: Verdict, words: Words, *, reason: bool, options: tuple[str, ...]
) -> tuple[str | Cell, ...]:
    timing = verdict.timing
    name = f"{verdict.part_name}: {verdict.name}"
    if options:
        name += f" ({', '.join(options)})"
    row: tuple[str | Cell, ...] = (
        name, words.say(KIND_WORDS[verdict.kind]), Cell(words.say(STATE_WORDS[verdict.state]), verdict.state),
        words.amount(Amount(timing.likely, "duration")), _spread(timing.low, timing.high, words=words),
    )  # fmt: skip
    return (*row, words.say(timing.reason)) if reason else row


def _spread(low: float, high: float, *, words: Words) -> str:
    """Both ends in the unit of the longer one: ``18.3 – 20.4 min``."""
    if high <= low:
        return ""
    unit = axis_unit("duration", high, words=words)
    return f"{words.number(unit.shown(low))} – {words.number(unit.shown(high))} {unit.name}"


def _curves(verdict: Verdict, words: Words, *, id: str, width: float) -> list[Block]:
    name = f"{verdict.part_name}: {verdict.name}"
    if verdict.options:
        name += f" ({', '.join(verdict.options)})"
    blocks: list[Block] = [
        Heading(name, f"recipe-{id}", 4, verdict.state, words.say(STATE_WORDS[verdict.state]))
    ]
    if verdict.keys:
        keys = "; ".join(f"{words.say(k)} {words.amount(a)}" for k, a in verdict.keys)
        blocks.append(Para(f"{sentence_case(keys)}."))
    blocks += [Plot(draw(f, words, id=f"curve-{id}-{n}", width=width)) for n, f in enumerate(verdict.figures)]
    return blocks


def cautions_section(data: BookData, words: Words) -> Section:
    """The usual cautions by kind of step, with the figure to compare with and its source."""
    columns = (
        Column(words.say(text("Kind")), width=0.7), Column(words.say(text("Caution")), width=3.0),
        Column(words.say(text("Figure to compare with")), width=2.0), Column(words.say(text("Source")), width=1.8),
    )  # fmt: skip
    rows = tuple(
        (words.say(KIND_WORDS[s.kind]) if n == 0 else "", c.text, c.figure, c.source)
        for s in data.cautions
        for n, c in enumerate(s.cautions)
    )
    lead = text(
        "Reminders, and published figures to compare with. Local codes, the supplier's safety sheets and licensed "
        "practice decide; nothing here says that a place, a machine or a product is safe."
    )
    empty = words.say(text("The works states no cautions."))
    return Section(
        "cautions", words.say(text("Cautions")), words.say(lead), (Grid("", columns, rows, empty),)
    )


def comparison_section(change: Comparison, words: Words) -> Section:
    """What a change does and why, from cause to effect."""
    says = tuple(Item(sentence_case(words.say(s))) for s in change.says)
    after, before = money(change.cost_after, words), money(change.cost_before, words)
    delta = money(abs(change.cost_after - change.cost_before), words)
    bill = (
        text(
            "The order book costs {after} instead of {before}, {delta} more.",
            after=after,
            before=before,
            delta=delta,
        )
        if change.cost_after >= change.cost_before
        else text(
            "The order book costs {after} instead of {before}, {delta} less.",
            after=after,
            before=before,
            delta=delta,
        )
    )
    blocks: list[Block] = [
        Items(words.say(text("From cause to effect")), says, words.say(text("Nothing moves."))),
        _moved(words.say(text("Durations")), change.durations, kind="duration", words=words),
        _moved(words.say(text("Stations")), change.stations, kind="share", words=words),
        _moved(words.say(text("Orders")), change.orders, kind="instant", words=words),
        Para(words.say(bill)),
    ]
    findings = [(text("new"), f) for f in change.new] + [(text("gone"), f) for f in change.gone]
    if findings:
        columns = (Column("", width=0.5), Column(words.say(text("Where")), width=1.4),
                   Column(words.say(text("What")), width=3.0))  # fmt: skip
        rows = tuple((words.say(w), f.subject, words.say(f.text)) for w, f in findings)
        blocks.append(Grid(words.say(text("Findings")), columns, rows))
    lead = "; ".join(f"{path} = {value}" for path, value in change.changes)
    return Section("change", words.say(text("What the change does, and why")), lead, tuple(blocks))


def _moved(title: str, rows: Sequence[Moved], *, kind: str, words: Words) -> Grid:
    columns = (
        Column("", width=2.0),
        Column(words.say(text("Before")), True),
        Column(words.say(text("After")), True),
    )
    found = tuple(
        (
            words.say(r.subject),
            *("–" if v is None else words.amount(Amount(v, kind)) for v in (r.before, r.after)),
        )
        for r in rows
    )
    return Grid(title, columns, found, words.say(text("No difference.")))
