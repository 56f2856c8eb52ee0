"""The acts of this package: check, durations, report, consumption, energy."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from pairwright.base.findings import Finding, worst_first
from pairwright.base.sources import Source
from pairwright.process.cautions import caution_findings
from pairwright.process.context import StepContext, context_of, contexts
from pairwright.process.figure import Shown, StepReport
from pairwright.process.material_use import Use, gathered
from pairwright.process.registry import kind_of
from pairwright.process.shift_length import shift_findings
from pairwright.process.stated import stated_findings, timings_of
from pairwright.works.definition import Works
from pairwright.works.factory import Station
from pairwright.works.product import Product
from pairwright.works.steptime import StepTime


def findings_of(context: StepContext) -> list[Finding]:
    """Everything found about one step."""
    timings = timings_of(context)
    found = [*stated_findings(context, timings), *shift_findings(context, timings)]
    if context.sealed or (context.step.recipe is None and kind_of(context).timing is not None):
        return found
    return [*kind_of(context).findings(context), *found]


def check(works: Works, *, product: str | None = None) -> tuple[Finding, ...]:
    """Findings of every recipe of the works, worst first.

    Parameters
    ----------
    works : Works
        The definition.
    product : str, optional
        Only what concerns this product, in all its options.

    Notes
    -----
    A finding that is the same in every option of a product is told once, as
    ``alder.shell.press``; otherwise with its option, as ``alder.walnut.shell.press``.
    """
    per_step: dict[tuple[str, str, str], dict[str, list[Finding]]] = {}
    for context in contexts(works, product):
        place = (context.product.id, context.part_id, context.step.id)
        per_step.setdefault(place, {})[context.product.option] = findings_of(context)
    found: list[Finding] = []
    for place, by_option in per_step.items():
        found.extend(_told_once(place, by_option))
    return worst_first([*found, *caution_findings(works, product)])


def _told_once(place: tuple[str, str, str], by_option: dict[str, list[Finding]]) -> Iterable[Finding]:
    told: set[tuple[str, str, str]] = set()
    for findings in by_option.values():
        for one in findings:
            everywhere = all(any(_same(f, one) for f in others) for others in by_option.values())
            subject = ".".join(place) if everywhere else one.subject
            key = (one.code, subject, str(one.text))
            if key not in told:
                told.add(key)
                yield replace(one, subject=subject)


def _same(one: Finding, other: Finding) -> bool:
    """Whether a reader sees the same: equal to the digits that are shown."""
    return (one.code, one.severity, str(one.text)) == (other.code, other.severity, str(other.text))


def durations(works: Works, *, product: str | None = None) -> tuple[StepTime, ...]:
    """Low, likely and high of every step, in every option, at every station. [s]

    Parameters
    ----------
    works : Works
        The definition.
    product : str, optional
        Only the steps of this product.
    """
    found: list[StepTime] = []
    for context in contexts(works, product):
        for station, timing in timings_of(context):
            found.append(
                StepTime(
                    context.product.id, context.product.option, context.part_id, context.step.id, station,
                    timing.low, timing.likely, timing.high, timing.computed, timing.reason,
                )
            )  # fmt: skip
    return tuple(found)


def report(works: Works, product: str, *, option: str, part: str, step: str) -> StepReport:
    """Everything a page says about one step: time, findings, figures, key figures, sources.

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option.
    part : str
        The part.
    step : str
        The step.
    """
    context = context_of(works, product, option=option, part=part, step=step)
    found = findings_of(context)
    hidden = context.step.recipe is None
    shown = Shown() if hidden else kind_of(context).shown(context)
    sources: list[Source] = []
    for source in (*shown.sources, *(f.source for f in found)):
        if source not in sources:
            sources.append(source)
    return StepReport(
        product, option, part, step, context.step.kind, context.step.name or context.step.id,
        timings_of(context)[0][1], worst_first(found), shown.figures, shown.keys, tuple(sources),
    )  # fmt: skip


def consumption(works: Works, product: str, *, option: str, part: str, step: str) -> tuple[Use, ...]:
    """What one item uses up in a step: material and amount in the material's unit.

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option.
    part : str
        The part.
    step : str
        The step.

    Notes
    -----
    What the recipe makes it (veneer with its allowance, adhesive, lacquer with its loss, abrasives by
    their life), what the step states beside, and the bought parts that it builds in. A step done
    for the whole set counts once for the set.
    """
    context = context_of(works, product, option=option, part=part, step=step)
    uses: list[Use] = [] if context.step.recipe is None else kind_of(context).consumption(context)
    uses += [(c.material, c.amount) for c in context.step.consumes]
    uses += bought(context.product, context.step.uses)
    return gathered(uses)


def bought(product: Product, names: Iterable[str]) -> list[Use]:
    """The articles among the parts that a step builds in, with their number."""
    found: list[Use] = []
    for name in names:
        part = product.parts.get(name)
        if part is not None and part.article is not None and not part.steps:
            found.append((part.article, float(part.quantity)))
    return found


def energy(works: Works, product: str, *, option: str, part: str, step: str) -> float:
    """Energy that one item takes in a step at its first station. [J]

    Parameters
    ----------
    works : Works
        The definition.
    product : str
        Its id.
    option : str
        Its option.
    part : str
        The part.
    step : str
        The step.

    Notes
    -----
    The station's power over the likely time, shared among what is on it (a batch by load, a line by
    its places), and the heat that press or stove put into the item.
    """
    context = context_of(works, product, option=option, part=part, step=step)
    heat = 0.0 if context.step.recipe is None else kind_of(context).heat(context)
    name, timing = timings_of(context)[0]
    if name is None:
        return heat
    station = works.factory.stations[name]
    return heat + float(station.power) * timing.likely * _share(station, context.step.load)


def _share(station: Station, load: float) -> float:
    """Share of a station that an item takes while it is on it. [-]"""
    match station.kind:
        case "batch":
            return min(1.0, load / float(station.capacity))
        case "line":
            return 1.0 / station.places
        case _:
            return 1.0
