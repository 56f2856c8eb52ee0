"""Acts of cosmetic inspection: what is there to look at, what may stay, what happens most often."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias

from pairwright.app.stationing import making_of
from pairwright.app.stationing_routes import routes_of
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Text, text
from pairwright.floor import Entry, State
from pairwright.floor.effective import correction_in_force
from pairwright.floor.routes import Routes
from pairwright.floor.things import Item, Set
from pairwright.reports.cosmetic import Bar, InspectionShown, Judged, inspection_of, judge_defect, pareto_of

if TYPE_CHECKING:
    from pairwright.app.recording import Floor
    from pairwright.archive.reading import Reading

By: TypeAlias = Literal["kind", "face", "zone", "station", "batch", "product", "person"]
BY: Final = ("kind", "face", "zone", "station", "batch", "product", "person")
NOWHERE: Final = "-"
PAGE: Final = 2000


@dataclass(frozen=True, slots=True)
class Pareto:
    """What happens most often: bars in falling order, and a sentence about the first."""

    by: str
    bars: tuple[Bar, ...]
    total: int
    says: Text


def inspection(floor: Floor, subject: str) -> InspectionShown:
    """What is looked over on an item or set and how it stands.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    subject : str
        Id of the item or set.

    Raises
    ------
    InputError
        When it is not known, or its product has no zones.
    """
    routes = routes_of(floor.opened)
    with making_of(floor).looking(floor) as look:
        state = look.state
        thing = state.thing(subject)
        found = inspection_of(routes, state, thing) if isinstance(thing, Item | Set) else None
    if found is None:
        raise InputError(
            Problem("inspection", "subject", text("an item or set of a product with zones"), shown(subject),
                    text("scan it again, or draw zones in the product's file"))
        )  # fmt: skip
    return found


def judged(floor: Floor, subject: str, *, zone: str, defect: str, size: float | None = None) -> Judged | None:
    """Whether a defect of a size [m] may stay in a zone of an item; None where its product is not known.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    subject : str
        Id of the item.
    zone : str
        Where.
    defect : str
        The kind.
    size : float | None
        Its longest extent. [m]
    """
    routes = routes_of(floor.opened)
    with making_of(floor).looking(floor) as look:
        state = look.state
        thing = state.thing(subject)
        product = routes.variant(thing) if isinstance(thing, Item | Set) else None
    return (
        None if product is None else judge_defect(routes.works, product, zone=zone, defect=defect, size=size)
    )


def pareto(
    floor: Floor, by: By, *, since: int | None = None, until: int | None = None, product: str | None = None
) -> Pareto:
    """How often defects were found, by kind, face, zone, station, batch, product or person.

    Parameters
    ----------
    floor : Floor
        The works with its record.
    by : By
        What to count by.
    since : int | None
        First moment, UTC seconds. [s]
    until : int | None
        Moment before which it was found. [s]
    product : str | None
        Only this one.

    Notes
    -----
    A defect that a correction withdrew does not count. The batch is the last one that the item went
    through before: where a fault of an oven or a mix would show.
    """
    if by not in BY:
        raise InputError(
            Problem(
                "pareto", "by", text("one of {names}", names=", ".join(BY)), shown(by), text("choose one")
            )
        )
    routes = routes_of(floor.opened)
    with floor.record.reading() as reading:
        state = reading.state()
        counts = Counter(
            _under(routes, state, entry, by=by)
            for entry in _defects(reading, state)
            if (since is None or entry.event.event_time >= since)
            and (until is None or entry.event.event_time < until)
            and (product is None or _product(state, entry) == product)
        )
    bars = pareto_of(counts, _names(routes, by))
    total = sum(counts.values())
    return Pareto(by, bars, total, _says(bars, total))


def _defects(reading: Reading, state: State) -> Iterator[Entry]:
    """Every defect that was found, as it counts now."""
    for kind in ("inspected", "reported"):
        after = 0
        while page := reading.find(kind, after=after, limit=PAGE):
            after = page[-1].sequence
            for entry in page:
                if "defect" in entry.event.data and correction_in_force(state.past, entry.event.key) is None:
                    yield entry


def _product(state: State, entry: Entry) -> str | None:
    thing = state.thing(entry.event.subject or "")
    return thing.product if isinstance(thing, Item | Set) else None


def _under(routes: Routes, state: State, entry: Entry, *, by: By) -> str:
    """What a defect is counted under."""
    event = entry.event
    match by:
        case "kind":
            return str(event.data["defect"])
        case "zone":
            return str(event.data.get("zone", NOWHERE))
        case "station":
            return event.station or NOWHERE
        case "person":
            return event.actor
        case "product":
            return _product(state, entry) or NOWHERE
        case "face":
            return _face(routes, state, entry)
        case "batch":
            return _batch(state, entry)


def _face(routes: Routes, state: State, entry: Entry) -> str:
    thing = state.thing(entry.event.subject or "")
    product = routes.variant(thing) if isinstance(thing, Item | Set) else None
    if product is None or product.inspection is None:
        return NOWHERE
    zone = product.inspection.zones.get(str(entry.event.data.get("zone", "")))
    return NOWHERE if zone is None else zone.face


def _batch(state: State, entry: Entry) -> str:
    thing = state.thing(entry.event.subject or "")
    if not isinstance(thing, Item | Set):
        return NOWHERE
    before = [done for done in thing.done if done.batch is not None and done.sequence < entry.sequence]
    return NOWHERE if not before else str(max(before, key=lambda done: done.sequence).batch)


def _names(routes: Routes, by: By) -> dict[str, str]:
    works = routes.works
    inspections = [p.inspection for p in works.variants.values() if p.inspection is not None]
    match by:
        case "kind":
            return {name: one.name for name, one in works.factory.defects.items()}
        case "face":
            return {name: face.name for one in inspections for name, face in one.faces.items()}
        case "zone":
            return {name: zone.name for one in inspections for name, zone in one.zones.items()}
        case "station":
            return {name: one.name for name, one in works.factory.stations.items()}
        case "product":
            return {name: one.name for name, one in works.products.items()}
        case _:
            return {}


def _says(bars: tuple[Bar, ...], total: int) -> Text:
    if not bars:
        return text("no defect was found in this time")
    few = next(n for n, bar in enumerate(bars, 1) if bar.together >= 0.8)
    return text("{name} is the most frequent of {total}; the first {few} make up four fifths",
                name=bars[0].name, total=total, few=few)  # fmt: skip
