"""Whether works.toml holds together: calendars, crews, stations, programmes, ways."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date, timedelta
from typing import Final

from pairwright.base.errors import Problem
from pairwright.base.time import zone_named
from pairwright.base.words import Text, text
from pairwright.works.calendars import first_overlap, may_meet, works_at_all
from pairwright.works.draft import Draft, unknown
from pairwright.works.factory import Calendar, Change, Crew, Station
from pairwright.works.lines import Loc
from pairwright.works.reading import Sheet, near

_DIGEST: Final = re.compile(r"[0-9a-f]{64}")
_RECIPE_FILE: Final = re.compile(r"restricted/[^/]+\.toml")


def check_factory(draft: Draft) -> Iterator[Problem]:
    """Every contradiction within works.toml."""
    yield from _frame(draft)
    yield from _climate(draft)
    for name, calendar in draft.factory.calendars.items():
        yield from _calendar(draft.works, name, calendar=calendar)
    for name, crew in draft.factory.crews.items():
        if crew.calendar not in draft.known("calendars"):
            yield _lost_calendar(draft, ("crews", name, "calendar"), got=crew.calendar)
        yield from _absences(draft.works, ("crews", name, "absences"), crew=crew)
    for name, station in draft.factory.stations.items():
        yield from _station(draft, name, station=station)
    yield from _programmes(draft)
    yield from _transport(draft)


def _absences(sheet: Sheet, base: Loc, *, crew: Crew) -> Iterator[Problem]:
    """Absences end after they begin, and never are more people away than there are."""
    edges: list[tuple[date, int, int]] = []
    for number, one in enumerate(crew.absences):
        if one.to < one.from_:
            yield sheet.problem(
                (*base, number, "to"),
                text("{day} or later", day=str(one.from_)),
                do=text("correct one of the two days"),
            )
            continue
        edges += [(one.from_, one.people, number), (one.to + timedelta(days=1), -one.people, number)]
    away = 0
    for _, change, number in sorted(edges):
        away += change
        if away > crew.people and change > 0:
            yield sheet.problem(
                (*base, number, "people"),
                text("at most the {n} people of the crew at any time", n=crew.people),
                got=str(away),
                do=text("correct the number or the days"),
            )
            return


def _frame(draft: Draft) -> Iterator[Problem]:
    factory, sheet = draft.factory, draft.works
    try:
        zone_named(factory.time_zone)
    except ValueError:
        from zoneinfo import available_timezones

        alike = near(factory.time_zone, available_timezones(), 1)
        yield sheet.problem(
            ("time_zone",),
            text("a time zone of the IANA data base, such as Europe/Berlin"),
            do=text("write {name}", name=alike[0]) if alike else text("write region and city"),
        )
    if factory.opening is not None and factory.opening.tzinfo is None:
        yield sheet.problem(
            ("opening",),
            text("a time with its offset from UTC, such as 2027-03-01T06:00:00+01:00"),
            do=text("add the offset"),
        )
    for path, digest in factory.restricted.items():
        if not _RECIPE_FILE.fullmatch(path):
            yield sheet.problem(
                ("restricted", path),
                text('a file of the restricted folder, such as "restricted/clear.toml"'),
                got=path,
                do=text("name the file with its folder"),
            )
        if not _DIGEST.fullmatch(digest):
            yield sheet.problem(
                ("restricted", path),
                text("a SHA-256 digest of 64 small hexadecimal digits"),
                do=text("take it from `sha256sum {path}`", path=path),
            )


def _climate(draft: Draft) -> Iterator[Problem]:
    climate = draft.factory.climate
    for low, mid, high in (("coldest", "temperature", "warmest"), ("driest", "humidity", "dampest")):
        middle = getattr(climate, mid)
        for name, sign in ((low, 1.0), (high, -1.0)):
            end = getattr(climate, name)
            if end is not None and sign * (end - middle) > 0:
                must_be = (
                    text("at most the usual {what}", what=mid)
                    if sign > 0
                    else text("at least the usual {what}", what=mid)
                )
                yield draft.works.problem(("climate", name), must_be, do=text("put the three in order"))


def _calendar(sheet: Sheet, name: str, *, calendar: Calendar) -> Iterator[Problem]:
    base: Loc = ("calendars", name)
    if not works_at_all(calendar):
        yield sheet.problem(
            base,
            text("a calendar with some working time"),
            got="none",
            do=text("state a week, or always = true"),
        )
    if calendar.always and any(calendar.week.values()):
        yield sheet.problem(
            (*base, "always"), text("false where a week is stated"), do=text("keep the week or always")
        )
    spans = [((*base, "week", day), hours) for day, hours in calendar.week.items()]
    spans += [((*base, "exceptions", n, "hours"), e.hours) for n, e in enumerate(calendar.exceptions)]
    for loc, hours in spans:
        number = first_overlap(hours)
        if number is not None:
            yield sheet.problem(
                (*loc, number),
                text("hours that do not overlap others of the day"),
                do=text("let one end where the next begins"),
            )
    yield from _exceptions(sheet, base, calendar=calendar)


def _exceptions(sheet: Sheet, base: Loc, *, calendar: Calendar) -> Iterator[Problem]:
    seen: dict[date, int] = {}
    for number, one in enumerate(calendar.exceptions):
        loc: Loc = (*base, "exceptions", number)
        until = one.until or one.date
        if until < one.date:
            yield sheet.problem(
                (*loc, "until"), text("{day} or later", day=str(one.date)), do=text("swap the two days")
            )
        elif (until - one.date).days > 3660:
            yield sheet.problem(
                (*loc, "until"), text("within ten years of its first day"), do=text("correct the year")
            )
        else:
            days = [one.date + timedelta(days=n) for n in range((until - one.date).days + 1)]
            twice = next((d for d in days if d in seen), None)
            if twice is not None:
                yield sheet.problem(
                    (*loc, "date"),
                    text("days that no other exception of the calendar names"),
                    got=twice,
                    do=text("join the two exceptions"),
                )
            seen.update((d, number) for d in days)


def _station(draft: Draft, name: str, *, station: Station) -> Iterator[Problem]:
    base: Loc = ("stations", name)
    sheet, factory = draft.works, draft.factory
    if station.calendar not in draft.known("calendars"):
        yield _lost_calendar(draft, (*base, "calendar"), got=station.calendar)
    crew = factory.crews.get(station.crew) if station.crew is not None else None
    if station.crew is not None and station.crew not in draft.known("crews"):
        yield unknown(
            sheet, (*base, "crew"), what=text("a crew"), got=station.crew, known=draft.known("crews")
        )
    if crew is not None and station.people > crew.people:
        yield sheet.problem(
            (*base, "people"),
            text("at most {n}, the people of crew {crew}", n=crew.people, crew=str(station.crew)),
            got=station.people,
            do=text("enlarge the crew or ask for fewer"),
        )
    if crew is not None and station.manned:
        hours, theirs = factory.calendars.get(station.calendar), factory.calendars.get(crew.calendar)
        if hours and theirs and works_at_all(hours) and works_at_all(theirs) and not may_meet(hours, theirs):
            yield sheet.problem(
                (*base, "crew"),
                text("a crew that works in the station's hours"),
                do=text("give them a calendar in common"),
            )
    if station.tool is not None and (station.places > 1 or station.kind == "line"):
        yield sheet.problem(
            (*base, "tool"),
            text("only at a station with one place"),
            do=text("make a station of each place that has a tool of its own"),
        )
    if station.setup is not None:
        yield from _changes(sheet, (*base, "setup", "changes"), changes=station.setup.changes, ordered=True)


def _changes(sheet: Sheet, base: Loc, *, changes: tuple[Change, ...], ordered: bool) -> Iterator[Problem]:
    seen: set[tuple[str, str]] = set()
    for number, change in enumerate(changes):
        pair = (change.before, change.after)
        key = pair if ordered else (min(pair), max(pair))
        if change.before == change.after:
            yield sheet.problem(
                (*base, number, "after"), text("another than before"), do=text("leave the entry out")
            )
        if key in seen:
            yield sheet.problem(
                (*base, number),
                text("the only time from {before} to {after}", before=change.before, after=change.after),
                do=text("keep one of the entries"),
            )
        seen.add(key)


def _programmes(draft: Draft) -> Iterator[Problem]:
    sheet = draft.works
    for name, programme in draft.factory.programmes.items():
        base: Loc = ("programmes", name)
        if programme.station not in draft.known("stations"):
            yield unknown(
                sheet,
                (*base, "station"),
                what=text("a station"),
                got=programme.station,
                known=draft.known("stations"),
            )
        if programme.product not in draft.known("products"):
            yield unknown(
                sheet,
                (*base, "product"),
                what=text("a product"),
                got=programme.product,
                known=draft.known("products"),
            )
            continue
        products = [v.product for v in draft.variants if v.product.id == programme.product]
        parts = draft.part_names(programme.product)
        if products and programme.part not in parts:
            yield unknown(
                sheet, (*base, "part"), what=text("a part of the product"), got=programme.part, known=parts
            )
        if programme.side != "both" and products and not products[0].handed:
            yield sheet.problem(
                (*base, "side"), text("both, as the product is not handed"), do=text("leave the side out")
            )


def _transport(draft: Draft) -> Iterator[Problem]:
    factory = draft.factory
    areas = {s.area for s in factory.stations.values()} | {b.area for b in factory.buffers.values()}
    base: Loc = ("transport", "ways")
    for number, way in enumerate(factory.transport.ways):
        for end in ("before", "after"):
            area = getattr(way, end)
            if area not in areas:
                what: Text = text("an area of a station or buffer")
                yield unknown(draft.works, (*base, number, end), what=what, got=area, known=areas)
    yield from _changes(draft.works, base, changes=factory.transport.ways, ordered=False)


def _lost_calendar(draft: Draft, loc: Loc, *, got: str) -> Problem:
    return unknown(draft.works, loc, what=text("a calendar"), got=got, known=draft.known("calendars"))
