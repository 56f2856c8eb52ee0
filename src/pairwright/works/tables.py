"""Orders and stock from their CSV files, checked against the definition."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Final

from pairwright.base.errors import InputError, Problem
from pairwright.base.quantities import QuantityError, parse
from pairwright.base.words import text
from pairwright.works.definition import Works
from pairwright.works.effectivity import check_book
from pairwright.works.orders import Book, Lot, Order, PartStock, Purchase
from pairwright.works.rows import Columns, Row, read_rows

ORDERS: Final = Columns(
    ("order", "product", "option", "quantity", "due"), ("weight", "released", "customer", "kind")
)
LOTS: Final = Columns(("lot", "material", "quantity", "unit"), ("received", "expiry"), others=True)
PARTS: Final = Columns(("product", "part", "quantity"), ("option", "side"))
PURCHASES: Final = Columns(("purchase", "material", "quantity", "unit", "arrives"))

MOST_SETS: Final = 100_000  # of one order


def load_book(texts: Mapping[str, str], works: Works) -> Book:
    """The order book and the stock of a works; a file that is not there counts as empty.

    Parameters
    ----------
    texts : Mapping[str, str]
        Contents by path: orders.csv, stock/lots.csv, stock/parts.csv, stock/purchases.csv.
    works : Works
        The definition they refer to.

    Raises
    ------
    InputError
        With every problem of all files, by line and column.
    """
    problems: list[Problem] = []

    def rows(path: str, columns: Columns) -> list[Row]:
        return read_rows(path, texts[path], columns=columns, problems=problems) if path in texts else []

    return book_of_rows(
        works,
        orders=rows("orders.csv", ORDERS),
        lots=rows("stock/lots.csv", LOTS),
        parts=rows("stock/parts.csv", PARTS),
        purchases=rows("stock/purchases.csv", PURCHASES),
        problems=problems,
    )


def book_of_rows(
    works: Works,
    *,
    orders: Sequence[Row] = (),
    lots: Sequence[Row] = (),
    parts: Sequence[Row] = (),
    purchases: Sequence[Row] = (),
    problems: list[Problem],
) -> Book:
    """The order book and the stock that rows say; the rows report to `problems`.

    Parameters
    ----------
    works : Works
        The definition they refer to.
    orders, lots, parts, purchases : Sequence[Row]
        What the tables hold.
    problems : list[Problem]
        What was wrong with them so far; anything in it is raised.

    Raises
    ------
    InputError
        With every problem.
    """
    wanted = [_order(row, works) for row in _once(orders, "order")]
    bulk = [_lot(row, works) for row in _once(lots, "lot")]
    made = [_part(row, works) for row in parts]
    coming = [_purchase(row, works) for row in _once(purchases, "purchase")]
    book = Book(
        tuple(o for o in wanted if o is not None),
        tuple(one for one in bulk if one is not None),
        tuple(p for p in made if p is not None),
        tuple(p for p in coming if p is not None),
    )
    if not problems:
        problems.extend(check_book(works, book))
    if problems:
        raise InputError(problems)
    return book


def _once(rows: Sequence[Row], column: str) -> Sequence[Row]:
    """The rows; an id that stands twice or is none is told."""
    seen: dict[str, int] = {}
    for row in rows:
        name = row.ident(column)
        if name is None:
            continue
        if name in seen:
            row.refuse(
                column,
                text("named once; line {line} has it too", line=seen[name]),
                text("give each its own"),
            )
        seen.setdefault(name, row.line)
    return rows


def _product(row: Row, works: Works) -> str | None:
    return row.one_of("product", works.products, what=text("a product"))


def _option(row: Row, works: Works, *, product: str) -> str | None:
    """The option; empty is enough where the product has only one."""
    options = works.products[product].options
    if not row.cell("option") and len(options) == 1:
        return next(iter(options))
    return row.one_of("option", options, what=text("an option of {product}", product=product))


def _order(row: Row, works: Works) -> Order | None:
    product = _product(row, works)
    option = _option(row, works, product=product) if product is not None else None
    quantity = row.whole("quantity", most=MOST_SETS)
    due, released = row.day("due"), row.day("released", needed=False)
    weight = row.number("weight", needed=False)
    if due is not None and released is not None and released > due:
        row.refuse(
            "released", text("the due day {day} or before", day=str(due)), text("correct one of the two")
        )
    kind = _kind(row, works, product=product) if product is not None else "order"
    if product is None or option is None or quantity is None or due is None:
        return None
    return Order(
        id=row.cell("order"),
        product=product,
        option=option,
        quantity=quantity,
        due=due,
        weight=1.0 if weight is None else weight,
        released=released,
        customer=row.cell("customer"),
        kind=kind,
    )


def _kind(row: Row, works: Works, *, product: str) -> str:
    """Order or trial: a product of the kind trial is made by trials only, and the other way round."""
    must = "trial" if works.products[product].kind == "trial" else "order"
    if (row.cell("kind") or "order") != must:
        row.refuse(
            "kind",
            text("{kind}, as {product} is of the kind {what}", kind=must, product=product,
                 what=works.products[product].kind),
            text("write {kind}", kind=must),
        )  # fmt: skip
    return must


def _lot(row: Row, works: Works) -> Lot | None:
    material, quantity = _material_and_quantity(row, works)
    received, expiry = row.day("received", needed=False), row.day("expiry", needed=False)
    if received is not None and expiry is not None and expiry < received:
        row.refuse("expiry", text("{day} or later", day=str(received)), text("correct one of the two days"))
    if material is None or quantity is None:
        return None
    return Lot(row.cell("lot"), material, quantity, received, expiry, row.others())


def _purchase(row: Row, works: Works) -> Purchase | None:
    material, quantity = _material_and_quantity(row, works)
    arrives = row.day("arrives")
    if material is None or quantity is None or arrives is None:
        return None
    return Purchase(row.cell("purchase"), material, quantity, arrives)


def _material_and_quantity(row: Row, works: Works) -> tuple[str | None, float | None]:
    """The material, and so much of it in its own unit."""
    name = row.one_of("material", works.materials, what=text("a material"))
    stated, unit = row.number("quantity"), row.cell("unit")
    if name is None or stated is None:
        return name, None
    wanted = works.materials[name].unit
    if wanted == "piece":
        if unit != "piece":
            row.refuse("unit", text("piece, the unit of {material}", material=name), text("write piece"))
        elif stated != int(stated):
            row.refuse("quantity", text("a whole number of pieces"), text("count the pieces"))
        return name, stated
    try:
        return name, parse(f"{stated!r} {unit}" if unit else "?", wanted)
    except QuantityError:
        row.refuse(
            "unit",
            text("{unit} or another unit of the same kind", unit=wanted),
            text("write the unit of the quantity"),
        )
        return name, None


def _part(row: Row, works: Works) -> PartStock | None:
    quantity = row.whole("quantity", most=MOST_SETS)
    product = _product(row, works)
    if product is None:
        return None
    option = ""
    if row.cell("option"):
        option = _option(row, works, product=product) or ""
    variants = [v for (p, o), v in works.variants.items() if p == product and option in ("", o)]
    parts = {name: part for v in variants for name, part in v.parts.items()}
    part = row.one_of("part", parts, what=text("a part of {product}", product=product))
    if part is None or quantity is None:
        return None
    if parts[part].article is not None:
        row.refuse(
            "part",
            text("a made part; {part} is bought", part=part),
            text("list it in stock/lots.csv as {material}", material=str(parts[part].article)),
        )
    side = row.cell("side") or None
    sides = sorted({s for v in variants for s in v.sides() if s is not None})
    if side is not None and side not in sides:
        row.one_of("side", sides, what=text("a side of {product}, or empty", product=product))
    elif side is None and parts[part].handed and "left" in sides:
        row.refuse("side", text("left or right, as the part is handed"), text("state its side"))
    return PartStock(product, option, part, quantity, side)
