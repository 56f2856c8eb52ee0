"""Orders and stock: strictly read, every problem told by line and column."""

from __future__ import annotations

from datetime import date

import pytest

from pairwright.base.errors import InputError, Problem
from pairwright.works import Order, PartStock, Works, load_book, load_works
from tests.unit.works.base import base_texts

HEADER = "order,product,option,quantity,due,weight,released,customer\n"


@pytest.fixture(scope="module")
def works() -> Works:
    return load_works(base_texts())


def told(works: Works, path: str, body: str) -> tuple[Problem, ...]:
    with pytest.raises(InputError) as caught:
        load_book({path: body}, works)
    return caught.value.problems


def test_no_files_make_an_empty_book(works: Works) -> None:
    assert load_book({}, works).orders == ()


def test_columns_may_stand_in_any_order(works: Works) -> None:
    book = load_book({"orders.csv": "due,option,product,order,quantity\n2027-05-07,birch,alder,7,3\n"}, works)

    assert book.orders == (Order("7", "alder", "birch", 3, date(2027, 5, 7)),)


def test_an_only_option_needs_no_name(works: Works) -> None:
    book = load_book({"orders.csv": HEADER + "7,tansy,,1,2027-05-07,,,\n"}, works)

    assert book.orders[0].option == "satin"


def test_byte_order_mark_blank_lines_and_windows_ends_are_nothing(works: Works) -> None:
    body = (
        "\ufeff"
        + HEADER.replace("\n", "\r\n")
        + '7,alder,birch,1,2027-05-07,,,"Ann, ""north"""\r\n\r\n,,,,,,,\r\n'
    )

    assert load_book({"orders.csv": body}, works).orders[0].customer == 'Ann, "north"'


def test_amounts_are_in_the_unit_of_the_material(works: Works) -> None:
    book = load_book(base_texts(), works)

    assert {lot.id: lot.quantity for lot in book.lots}["C-9"] == pytest.approx(9.5)
    assert book.lots[0].values == (("moisture", "0.081"),)


def test_stock_of_parts_may_fit_every_option(works: Works) -> None:
    book = load_book(base_texts(), works)

    assert book.parts == (
        PartStock("alder", "", "driver", 2),
        PartStock("alder", "birch", "shell", 1, "left"),
    )


CELLS = [
    ("orders.csv", HEADER + "7,alder,birch,0,2027-05-07,,,\n", 2, "quantity"),
    ("orders.csv", HEADER + "7,alder,birch,1.5,2027-05-07,,,\n", 2, "quantity"),
    ("orders.csv", HEADER + "7,alder,birch,-1,2027-05-07,,,\n", 2, "quantity"),
    ("orders.csv", HEADER + "7,alder,birch,٣,2027-05-07,,,\n", 2, "quantity"),
    ("orders.csv", HEADER + "7,alder,birch,1,2027-02-30,,,\n", 2, "due"),
    ("orders.csv", HEADER + "7,alder,birch,1,0207-02-03,,,\n", 2, "due"),
    ("orders.csv", HEADER + "7,alder,birch,1,,,,\n", 2, "due"),
    ("orders.csv", HEADER + "7,alder,birch,1,2027-05-07,,2027-06-01,\n", 2, "released"),
    ("orders.csv", HEADER + "7,alder,birch,1,2027-05-07,nan,,\n", 2, "weight"),
    ("orders.csv", HEADER + "a b,alder,birch,1,2027-05-07,,,\n", 2, "order"),
    ("orders.csv", HEADER + ",alder,birch,1,2027-05-07,,,\n", 2, "order"),
    ("orders.csv", HEADER + "7,alder,,1,2027-05-07,,,\n", 2, "option"),
    ("orders.csv", "order,product,option,quantity\n7,alder,birch,1\n", 1, "(header)"),
    ("orders.csv", HEADER.replace("weight", "wait") + "7,alder,birch,1,2027-05-07,,,\n", 1, "(header)"),
    ("orders.csv", HEADER.replace("weight", "due") + "7,alder,birch,1,2027-05-07,,,\n", 1, "(header)"),
    ("orders.csv", HEADER.replace(",", "\t"), 1, "(header)"),
    ("orders.csv", HEADER + "7,alder,birch,1,2027-05-07,,,\0\n", 2, "(text)"),
    ("orders.csv", HEADER + '7,alder,birch,1,2027-05-07,,,"a"b\n', 2, "(text)"),
    ("stock/lots.csv", "lot,material,quantity,unit\nL,urea,1,m2\n", 2, "unit"),
    ("stock/lots.csv", "lot,material,quantity,unit\nL,urea,1,\n", 2, "unit"),
    ("stock/lots.csv", "lot,material,quantity,unit\nL,magnet,1.5,piece\n", 2, "quantity"),
    ("stock/lots.csv", "lot,material,quantity,unit\nL,magnet,2,kg\n", 2, "unit"),
    ("stock/lots.csv", "lot,material,quantity,unit,recieved\nL,magnet,2,piece,2027-01-01\n", 1, "(header)"),
    ("stock/lots.csv", "lot,material,quantity,unit,received,expiry\nL,urea,2,kg,2027-02-01,2027-01-01\n", 2, "expiry"),
    ("stock/parts.csv", "product,part,quantity\nalder,ring,2\n", 2, "part"),
    ("stock/parts.csv", "product,part,quantity\nalder,rung,2\n", 2, "part"),
    ("stock/parts.csv", "product,part,quantity\nalder,shell,2\n", 2, "side"),
    ("stock/parts.csv", "product,part,quantity,side\ntansy,body,2,left\n", 2, "side"),
    ("stock/purchases.csv", "purchase,material,quantity,unit,arrives\nP,urea,2,kg,soon\n", 2, "arrives"),
]  # fmt: skip


@pytest.mark.parametrize(("path", "body", "line", "column"), CELLS, ids=range(len(CELLS)))
def test_a_cell_that_is_not_what_it_must_be(
    works: Works, path: str, body: str, line: int, column: str
) -> None:
    problems = told(works, path, body)

    assert (f"{path} line {line}", column) in {(p.where, p.field) for p in problems}
    assert all(all(p.as_json().values()) for p in problems)


def test_a_decimal_comma_gets_a_hint(works: Works) -> None:
    (problem,) = told(works, "stock/lots.csv", 'lot,material,quantity,unit\nL,urea,"1,5",kg\n')

    assert str(problem.do) == "write the decimal sign as a point"


def test_the_line_counts_the_lines_of_quoted_cells(works: Works) -> None:
    problems = told(
        works,
        "orders.csv",
        HEADER + '7,alder,birch,1,2027-05-07,,,"two\nlines"\n8,alder,birch,x,2027-05-07,,,\n',
    )

    assert [(p.where, p.field) for p in problems] == [("orders.csv line 4", "quantity")]


def test_an_empty_file_is_told(works: Works) -> None:
    (problem,) = told(works, "orders.csv", "\n")

    assert problem.field == "(header)"


def test_all_files_are_told_at_once(works: Works) -> None:
    with pytest.raises(InputError) as caught:
        load_book(
            {
                "orders.csv": HEADER + "7,alder,birch,x,2027-05-07,,,\n7,elder,birch,1,y,,,\n",
                "stock/lots.csv": "lot,material,quantity,unit\nL,glue,1,kg\n",
                "stock/purchases.csv": "purchase\n",
            },
            works,
        )

    assert len(caught.value.problems) == 6


PANEL = """
id = "panel"
name = "Panel"
kind = "trial"
binding = "none"
root = "panel"

[options.plain]
name = "Plain"

[panel]
name = "Panel"

[[panel.steps]]
id = "press"
kind = "finish"
stations = ["hot-press"]
duration = "10 min"
"""


@pytest.fixture(scope="module")
def with_a_trial() -> Works:
    return load_works({**base_texts(), "products/panel.toml": PANEL})


def test_a_trial_is_ordered_as_one(with_a_trial: Works) -> None:
    rows = ["order,product,option,quantity,due,kind", "7,panel,,2,2027-05-07,trial", "8,tansy,,1,2027-05-07,"]

    book = load_book({"orders.csv": "\n".join(rows)}, with_a_trial)

    assert [order.kind for order in book.orders] == ["trial", "order"]


@pytest.mark.parametrize(
    ("product", "kind"), [("panel", ""), ("panel", "order"), ("tansy", "trial"), ("tansy", "test")]
)
def test_a_trial_and_a_sale_are_not_mixed_up(with_a_trial: Works, product: str, kind: str) -> None:
    found = told(
        with_a_trial,
        "orders.csv",
        f"order,product,option,quantity,due,kind\n7,{product},,1,2027-05-07,{kind}\n",
    )

    assert [p.field for p in found] == ["kind"]


@pytest.mark.parametrize(
    ("old", "new"),
    [('binding = "none"', 'binding = "early"'), ('binding = "none"', 'binding = "none"\nhanded = true')],
)
def test_a_trial_has_no_policy_of_pairs(old: str, new: str) -> None:
    with pytest.raises(InputError):
        load_works({**base_texts(), "products/panel.toml": PANEL.replace(old, new)})
