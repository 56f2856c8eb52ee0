"""Labels and travellers of what a works has: from its record, or without one for what is new."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Final

from pairwright.base.codes import CodeError, is_clear, is_code, read_code
from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.words import Words, text
from pairwright.floor import State
from pairwright.floor.routes import Routes, halves
from pairwright.floor.things import Item, Set
from pairwright.reports.labels import Label, cartons_of, kind_of, label_of
from pairwright.reports.traveller import Traveller, traveller_of

if TYPE_CHECKING:
    from pairwright.app.opened import Opened

MOST: Final = 500  # labels in one file
COPIES: Final = 2  # of a cabinet's label: one may be covered or torn
# The size that a kind of thing is labelled in, where none is asked for.
USUAL: Final = {
    "item": "part", "leaf": "part", "lot": "shelf", "order": "shelf", "set": "shelf", "batch": "shelf",
    "carrier": "cabinet", "mould": "cabinet", "instrument": "cabinet",
    "programme": "station", "person": "station", "station": "station",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Desk:
    """A works with its record, or with an empty one where it has none yet."""

    opened: Opened
    state: State
    people: dict[str, str] = field(default_factory=dict)

    @property
    def words(self) -> Words:
        """The works' language and time."""
        from pairwright.app.language import words_of

        return words_of(self.opened.works)


@dataclass(frozen=True, slots=True)
class New:
    """What an item that is not begun yet will be."""

    product: str
    part: str
    option: str | None = None
    side: str | None = None
    set: str | None = None


@contextmanager
def open_desk(folder: Path | str) -> Iterator[Desk]:
    """A works to print from; nothing is written to it.

    Parameters
    ----------
    folder : Path | str
        The works folder.
    """
    from pairwright.app.opened import open_definition
    from pairwright.app.recording import has_record, open_floor

    if not has_record(folder):
        yield Desk(open_definition(folder, book=False), State())
        return
    with open_floor(folder, readonly=True) as floor:
        with floor.record.reading() as reading:
            people = reading.names()
        with floor.looking() as state:
            yield Desk(floor.opened, state, people)


def identity_of(given: str) -> tuple[str, str | None]:
    """The identity that a person named, and its kind where they scanned a code; raises `InputError`.

    Parameters
    ----------
    given : str
        An identity, or what a scanner sent.
    """
    if not (is_code(given) or " " in given.strip()):
        return given.strip(), None
    try:
        code = read_code(given)
    except CodeError as error:
        raise InputError(
            Problem(
                "command line", "ID", text("an identity, or a code from a label"), shown(given), error.reason
            )
        ) from None
    return code.id, code.kind


def labels_for(
    desk: Desk,
    given: Sequence[str],
    *,
    kind: str | None = None,
    size: str | None = None,
    copies: int | None = None,
) -> tuple[list[Label], str]:
    """The labels of things, and the size to print them in.

    Parameters
    ----------
    desk : Desk
        The works.
    given : Sequence[str]
        Identities, or codes as scanned. For the size ``carton`` sets, or halves of them.
    kind : str | None
        The kind of things that nobody knows yet: labels for what is to be made.
    size : str | None
        One of `render.labels.SIZES`; default by kind.
    copies : int | None
        Of each; default two for a cabinet, else one.

    Raises
    ------
    InputError
        When one is not known and no kind is given, or the sizes differ.
    """
    routes = Routes(desk.opened.works)
    found: list[Label] = []
    sizes: dict[str, str] = {}
    for one in given:
        name, stated = identity_of(one)
        if size == "carton":
            made = list(_cartons(desk, routes, name))
        else:
            made = [_label(desk, routes, name=name, stated=stated, kind=kind)]
        for label in made:
            usual = _usual(routes, desk.state, label)
            sizes.setdefault(usual, name)
            wanted = copies or (
                COPIES if size in (None, "cabinet") and usual == "cabinet" and label.part else 1
            )
            found += [label] * wanted
    if len(found) > MOST:
        raise InputError(
            Problem("labels", "ID", text("at most {n} labels at once", n=MOST), str(len(found)),
                    text("print them in several files"))
        )  # fmt: skip
    if size is None and len(sizes) > 1:
        both = ", ".join(f"{usual} ({name})" for usual, name in sizes.items())
        raise InputError(
            Problem("labels", "size", text("the same for all of one roll"), both,
                    text("print them one size after the other, or state --size"))
        )  # fmt: skip
    return found, size or next(iter(sizes), "part")


def _label(desk: Desk, routes: Routes, *, name: str, stated: str | None, kind: str | None) -> Label:
    known = kind_of(desk.opened.works, desk.state, name) or ("person" if name in desk.people else None)
    wanted = known or stated or kind
    if wanted is None:
        raise InputError(
            Problem("labels", "ID", text("known to the record or the works"), shown(name),
                    text("correct it, or state --kind for what is to be made"))
        )  # fmt: skip
    if (
        known is None
        and stated is None
        and wanted in ("item", "leaf", "lot", "set", "batch")
        and not is_clear(name)
    ):
        raise InputError(
            Problem("labels", "ID",
                    text("of capitals without I, O and Q, figures and hyphens, at most 20, as nobody can misread it"),
                    shown(name), text("choose another for what is to be made"))
        )  # fmt: skip
    try:
        return label_of(routes, desk.state, name, kind=wanted, people=desk.people)
    except CodeError as error:
        raise InputError(
            Problem("labels", "ID", text("an identity that a code can hold"), shown(name), error.reason)
        ) from None


def _usual(routes: Routes, state: State, label: Label) -> str:
    """The usual size; that of a cabinet for what is a finished half."""
    thing = state.thing(label.code.id)
    variant = routes.variant(thing) if isinstance(thing, Item) else None
    if variant is not None and label.part == variant.root:
        return "cabinet"
    return USUAL[label.code.kind]


def _cartons(desk: Desk, routes: Routes, name: str) -> tuple[Label, ...]:
    thing = desk.state.thing(name)
    if isinstance(thing, Item) and thing.set is not None:
        thing = desk.state.thing(thing.set)
    made = cartons_of(routes, desk.state, thing) if isinstance(thing, Set) else ()
    if not made:
        raise InputError(
            Problem("labels", "ID", text("a set whose halves are both recorded"), shown(name),
                    text("name a set, once its pair is made"))
        )  # fmt: skip
    return made


def travellers_for(desk: Desk, given: str, *, new: New | None = None) -> list[Traveller]:
    """The traveller of an item, or those of the halves and parts of a set.

    Parameters
    ----------
    desk : Desk
        The works.
    given : str
        Identity, or code as scanned.
    new : New | None
        What it will be, where nobody knows the item yet.

    Raises
    ------
    InputError
        When it is not known, or has no route.
    """
    from pairwright.app.stationing_routes import routes_of

    name, _ = identity_of(given)
    routes = routes_of(desk.opened)
    thing = desk.state.thing(name)
    if thing is None and new is not None:
        thing = _to_be(desk, name, new)
    items = [thing] if isinstance(thing, Item) else []
    if isinstance(thing, Set):
        items = _of_set(desk.state, thing)
    sheets = [
        sheet for sheet in (traveller_of(routes, desk.state, item) for item in items) if sheet is not None
    ]
    if not sheets:
        raise InputError(
            Problem("traveller", "ID", text("an item or set that the record knows and that has a route"), shown(name),
                    text("correct it, or state --product and --part for what is to be made"))
        )  # fmt: skip
    return sheets


def _of_set(state: State, one: Set) -> list[Item]:
    """The halves, then the parts that are not yet in something."""
    items = list(halves(state, one))
    for name in one.members:
        item = state.item(name)
        if item is not None and item not in items and not (item.scrapped or item.into or item.used_in):
            items.append(item)
    return items


def _to_be(desk: Desk, name: str, new: New) -> Item:
    works = desk.opened.works
    line = works.products.get(new.product)
    if line is None:
        raise _refused("--product", ", ".join(works.products), new.product)
    options = [o for (p, o), v in works.variants.items() if p == new.product and new.part in v.parts]
    if not options:
        parts = {part for (p, _), v in works.variants.items() if p == new.product for part in v.parts}
        raise _refused("--part", ", ".join(sorted(parts)), new.part)
    option = new.option or options[0]
    if option not in options:
        raise _refused("--option", ", ".join(options), option)
    sides = ("left", "right", "a", "b")
    if new.side is not None and new.side not in sides:
        raise _refused("--side", ", ".join(sides), new.side)
    if not is_clear(name):
        raise InputError(
            Problem("traveller", "ID", text("of capitals without I, O and Q, figures and hyphens, at most 20"),
                    shown(name), text("choose another for what is to be made"))
        )  # fmt: skip
    return Item(
        name, "item", 0, 0, product=new.product, option=option, part=new.part, side=new.side, set=new.set
    )


def _refused(field: str, names: str, got: str) -> InputError:
    return InputError(
        Problem("command line", field, text("one of {names}", names=names), shown(got), text("correct it"))
    )
