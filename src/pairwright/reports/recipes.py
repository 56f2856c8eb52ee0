"""The verdict on every recipe: its time with its reason, what was found, its curves."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import TypeAlias

from pairwright.base.findings import Finding
from pairwright.base.sources import Source
from pairwright.base.words import Amount, Text, text
from pairwright.process import Curve, Figure, StepReport, Timing, cautions_of, report
from pairwright.reports.figures import FilmBuild, FilmStage, PlyLayer, PressTrace, State
from pairwright.reports.names import part_name, step_word
from pairwright.works import Works
from pairwright.works.factory import Caution
from pairwright.works.material import Veneer
from pairwright.works.product import Product

AnyFigure: TypeAlias = PressTrace | FilmBuild | Figure


@dataclass(frozen=True, slots=True)
class Verdict:
    """One recipe, told once for all options in which it is the same."""

    product: str
    product_name: str
    options: tuple[str, ...]  # by name; empty where all are alike
    part: str
    part_name: str
    step: str
    kind: str
    name: str
    timing: Timing
    state: State
    findings: tuple[Finding, ...]
    keys: tuple[tuple[Text, Amount], ...]
    figures: tuple[AnyFigure, ...]
    sources: tuple[Source, ...]


@dataclass(frozen=True, slots=True)
class StepCautions:
    """The usual cautions of one kind of step that the works does."""

    kind: str
    cautions: tuple[Caution, ...]


def all_reports(works: Works) -> tuple[StepReport, ...]:
    """A report of every step of every product in every option."""
    return tuple(
        report(works, product.id, option=product.option, part=name, step=step.id)
        for product in works.variants.values()
        for name, part in product.parts.items()
        for step in part.steps
    )


def state_of(findings: Iterable[Finding]) -> State:
    """Broken with an error, watch with a warning, else fine."""
    worst: State = "fine"
    for finding in findings:
        if finding.severity == "error":
            return "broken"
        if finding.severity == "warning":
            worst = "watch"
    return worst


def verdicts(works: Works, reports: Sequence[StepReport]) -> tuple[Verdict, ...]:
    """Every recipe once: options whose step says the same share a verdict."""
    alike: dict[tuple[str, str, str], list[tuple[StepReport, list[str]]]] = {}
    for one in reports:
        told = alike.setdefault((one.product, one.part, one.step), [])
        for known, options in told:
            if _same(known, one):
                options.append(one.option)
                break
        else:
            told.append((one, [one.option]))
    found: list[Verdict] = []
    for (product, part, _step), told in alike.items():
        made = sum(part in v.parts for (p, _), v in works.variants.items() if p == product)
        for one, options in told:
            found.append(_verdict(works, one, options, everywhere=len(options) == made))
    return tuple(found)


def _same(one: StepReport, other: StepReport) -> bool:
    return (
        one.timing == other.timing
        and one.keys == other.keys
        and one.figures == other.figures
        and [(f.code, f.text) for f in one.findings] == [(f.code, f.text) for f in other.findings]
    )


def _verdict(works: Works, one: StepReport, options: list[str], *, everywhere: bool) -> Verdict:
    line = works.products[one.product]
    names = () if everywhere else tuple(line.options[o].name for o in options)
    figures = tuple(figures_of(works, one))
    return Verdict(
        one.product, line.name, names, one.part,
        part_name(works, one.product, option=one.option, part=one.part), one.step, one.kind, one.name,
        one.timing, state_of(one.findings), one.findings, tuple(one.keys), figures, one.sources,
    )  # fmt: skip


def figures_of(works: Works, one: StepReport) -> list[AnyFigure]:
    """A report's figures; press and film in the mirrored language, others as curves."""
    product = works.variants[one.product, one.option]
    if one.kind == "press":
        trace = _press_trace(works, product, one)
        if trace is not None:
            return [trace]
    return [_film_build(product, one, f) if _is_film(f) else f for f in one.figures]


def _is_film(figure: Figure) -> bool:
    return figure.y_kind == "film" and bool(figure.places) and len(figure.curves) >= 1


def _press_trace(works: Works, product: Product, one: StepReport) -> PressTrace | None:
    """Temperatures, cure and steam bound of one press cycle, laid over its stack."""
    layup = product.parts[one.part].layup
    heat = next((f for f in one.figures if f.y_kind == "temperature"), None)
    cure = next((f for f in one.figures if f.y_kind == "share"), None)
    if layup is None or heat is None or cure is None or not heat.curves or not cure.curves:
        return None
    opens = next((n.value for n in heat.levels if n.upright), heat.curves[0].x[-1])
    steam = next((f for f in one.figures if f.y_kind == "pressure"), None)
    bound = _at(steam.curves[0], opens) if steam is not None and steam.curves else None
    level = next((n for n in steam.levels if not n.upright), None) if steam is not None else None
    spread = one.timing.high - one.timing.likely
    plies = tuple(
        PlyLayer(v.thickness, abs(p.grain) < 0.79, v.name)
        for p in layup.plies
        if isinstance(v := works.materials.get(p.veneer), Veneer)
    )
    lines = tuple(c.y for c in heat.curves)
    return PressTrace(
        plies, heat.curves[0].x, lines, _coldest(heat.curves, cure.curves[0]), cure.curves[0].y,
        next((n.value for n in cure.levels if not n.upright), 1.0), opens,
        next((n.value for n in heat.levels if not n.upright), max(max(c) for c in lines)),
        state_of(one.findings), heat.says, bound, level.value if level is not None else None,
        level.name if level is not None else None, max(0.0, opens - spread), opens + spread,
    )  # fmt: skip


def _coldest(lines: Sequence[Curve], cure: Curve) -> int:
    """The glue line that the cure curve is of, by its number, else the one with the least heat."""
    for name, value in cure.name.values:
        if name == "n" and isinstance(value, int) and 1 <= value <= len(lines):
            return value - 1
    return min(range(len(lines)), key=lambda n: sum(lines[n].y))


def _at(curve: Curve, x: float) -> float:
    """The value of a curve at the last point not after x."""
    before = [y for a, y in zip(curve.x, curve.y, strict=True) if a <= x + 1e-9]
    return before[-1] if before else curve.y[0]


def _film_build(product: Product, one: StepReport, figure: Figure) -> FilmBuild:
    """The film step by step with its kinds of step."""
    flat = figure.curves[0]
    edge = figure.curves[1] if len(figure.curves) > 1 else None
    kinds = {s.id: s.kind for part in product.parts.values() for s in part.steps}
    own = {s.id: s.kind for s in product.parts[one.part].steps}
    stages = tuple(
        FilmStage(
            step_word(place) or "veneer", own.get(place, kinds.get(place, "press")), flat.y[n],
            flat.spread[n] if flat.spread else 0.0, edge.y[n] if edge is not None else None,
        )
        for n, place in enumerate(figure.places)
    )  # fmt: skip
    reserve = next((n.value for n in figure.levels if not n.upright), 0.0)
    chances = tuple((name, amount.value) for name, amount in one.keys if amount.kind == "share")
    return FilmBuild(figure.title, stages, reserve, chances, state_of(one.findings), figure.says)


def cautions(works: Works) -> tuple[StepCautions, ...]:
    """The cautions of every kind of step that is done here."""
    found: dict[str, list[Caution]] = {}
    for product in works.variants.values():
        for part in product.parts.values():
            for step in part.steps:
                known = found.setdefault(step.kind, [])
                known.extend(c for c in cautions_of(works, step) if c not in known)
    return tuple(StepCautions(kind, tuple(told)) for kind, told in found.items() if told)


def worth_drawing(found: Sequence[Verdict]) -> tuple[Verdict, ...]:
    """Recipes whose figures the book shows.

    For each product, part and kind the last of its route. A film grows from step to step: the
    recipe that shows most of it is drawn, once for each way of finishing. What will not work is
    drawn always.
    """
    films = {(v.product, v.part, _coats(v)) for v in found if _coats(v)}
    last: dict[tuple[object, ...], Verdict] = {}
    for one in found:
        coats = _coats(one)
        if coats:
            grows = any(
                (p, q) == (one.product, one.part) and len(c) > len(coats) and c[: len(coats)] == coats
                for p, q, c in films
            )
            if not grows:
                last.setdefault((one.product, one.part, coats), one)
        elif one.figures:
            last[one.product, one.part, one.kind] = one
    chosen = {id(v) for v in last.values()}
    return tuple(v for v in found if v.figures and (id(v) in chosen or v.state == "broken"))


def _coats(one: Verdict) -> tuple[str, ...]:
    """The steps of the film that a recipe shows; empty where it shows none, or bare veneer."""
    film = next((f for f in one.figures if isinstance(f, FilmBuild)), None)
    return () if film is None or one.kind == "sand" else tuple(s.word for s in film.stages)


def where(verdict: Verdict) -> Text:
    """The place of a recipe in words: ``Alder, Shell: Press the shell``."""
    if verdict.options:
        return text(
            "{product} ({options}), {part}: {step}", product=verdict.product_name,
            options=", ".join(verdict.options), part=verdict.part_name, step=verdict.name,
        )  # fmt: skip
    return text(
        "{product}, {part}: {step}", product=verdict.product_name, part=verdict.part_name, step=verdict.name
    )
