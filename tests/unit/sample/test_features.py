"""The sample works uses everything that a definition can say, and its recipes hold."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from pairwright import process
from pairwright.sample import layout
from pairwright.sample.stock import COLOURS, FACES, PER_SET, draw_lots, need
from pairwright.works import Book, Part, Product, Step, Works, apply_changes, load_book, load_works
from pairwright.works.product import COMPUTED_KINDS


@pytest.fixture(scope="module")
def texts() -> dict[str, str]:
    return layout()


@pytest.fixture(scope="module")
def works(texts: dict[str, str]) -> Works:
    return load_works(texts)


@pytest.fixture(scope="module")
def book(texts: dict[str, str], works: Works) -> Book:
    return load_book(texts, works)


def every_step(works: Works) -> Iterator[tuple[Product, Part, Step]]:
    for product in works.variants.values():
        for part in product.parts.values():
            for step in part.steps:
                yield product, part, step


def test_a_pair_takes_fifty_to_seventy_five_steps_over_its_parts(works: Works) -> None:
    for (product, _), variant in works.variants.items():
        steps = sum(len(part.steps) for part in variant.parts.values())
        assert 50 <= steps <= 75, product


def test_there_are_about_two_dozen_stations_of_all_kinds_and_each_is_used(works: Works) -> None:
    stations = works.factory.stations
    used = {a.station for _, _, step in every_step(works) for a in step.stations}

    assert 20 <= len(stations) <= 26
    assert used == set(stations)
    assert {s.kind for s in stations.values()} == {"single", "parallel", "batch", "line"}
    assert {s.manned for s in stations.values()} == {True, False}


def test_every_kind_of_step_that_physics_decides_is_computed(works: Works) -> None:
    kinds = {step.kind for _, _, step in every_step(works)}
    stated = [s.id for _, _, s in every_step(works) if s.kind in COMPUTED_KINDS and s.duration != "computed"]

    assert set(COMPUTED_KINDS) <= kinds
    assert stated == []


FEATURES = {
    "alternatives with their own duration": lambda s: any(a.duration for a in s.stations),
    "a setup family": lambda s: s.setup is not None,
    "a batch word": lambda s: s.batch is not None,
    "mates in one batch": lambda s: s.mates == "same batch",
    "mates within a time": lambda s: s.mates_within is not None,
    "a least wait": lambda s: s.next_min > 0,
    "a longest wait": lambda s: s.next_max is not None,
    "a place kept": lambda s: s.keeps_place,
    "a carrier taken": lambda s: s.takes is not None,
    "a carrier returned": lambda s: s.returns is not None,
    "a buffer": lambda s: s.buffer is not None,
    "work that may pause": lambda s: s.pause and s.stations,
    "work that may not pause": lambda s: not s.pause and s.stations,
    "done together": lambda s: s.together,
    "people of its own": lambda s: s.people is not None,
    "a programme": lambda s: s.programme is not None,
    "materials used": lambda s: s.consumes,
    "scrap": lambda s: s.scrap > 0,
    "rework": lambda s: s.rework is not None,
    "a confidential recipe": lambda s: s.restricted is not None,
    "cautions of its own": lambda s: s.cautions,
    "handling": lambda s: s.handling,
    "a part built in": lambda s: s.uses,
    "some options only": lambda s: s.only,
}


@pytest.mark.parametrize("name", FEATURES)
def test_the_sample_shows(name: str, works: Works) -> None:
    assert any(FEATURES[name](step) for _, _, step in every_step(works))


def test_windows_are_short_for_glue_and_long_for_coats(works: Works) -> None:
    windows = {s.kind: s.next_max for _, _, s in every_step(works) if s.next_max is not None}

    assert windows["glue-up"] <= 600.0
    assert windows["stove"] >= 2 * 86400.0


def test_the_factory_has_maintenance_breakdowns_setups_and_ways(works: Works) -> None:
    factory = works.factory
    stations = factory.stations.values()

    assert any(s.maintenance for s in stations)
    assert any(s.breakdown for s in stations)
    assert sum(s.setup is not None for s in stations) >= 3
    assert any(s.setup is not None and s.setup.changes for s in stations)
    assert factory.transport.ways
    assert {p.side for p in factory.programmes.values()} == {"left", "right", "both"}
    assert all(c.source for entries in factory.cautions.values() for c in entries if c.figure)


def test_products_bind_as_their_veneer_or_colour_asks(works: Works) -> None:
    walnut, painted = works.variant("alder", "walnut"), works.variant("alder", "painted")

    assert walnut.binding == "early"
    assert walnut.sides() == ("left", "right")
    assert painted.binding == works.variant("sorrel", "ink").binding == "late"
    assert painted.sides() == ("a", "b")
    assert works.variant("tansy", "slate").kind == "single"
    extra = {s.id for s in painted.route("cabinet")} - {s.id for s in walnut.route("cabinet")}
    assert extra == {"colour-1", "colour-1-dry", "colour-2", "colour-2-dry"}


def test_a_colour_decides_setup_and_coating(works: Works) -> None:
    coats = {
        option: next(s for s in works.variant("sorrel", option).route("cabinet") if s.id == "colour-1")
        for option in works.products["sorrel"].options
    }

    assert len({s.setup for s in coats.values()}) == 4
    assert len({getattr(s.recipe, "coating", None) for s in coats.values()}) == 4


def test_alder_states_its_plies_as_a_number_with_an_alternation(texts: dict[str, str]) -> None:
    changed = load_works(apply_changes(texts, [("products/alder.shell.layup.plies", "13")]))

    layup = changed.variant("alder", "oak").parts["shell"].layup
    assert layup is not None
    assert layup.stated == len(layup.plies) == 13


def test_two_more_plies_take_longer_to_press(texts: dict[str, str], works: Works) -> None:
    changed = load_works(apply_changes(texts, [("products/alder.shell.layup.plies", "13")]))

    before, after = (
        next(
            t.likely
            for t in process.durations(w)
            if (t.product, t.option, t.step) == ("alder", "ash", "press")
        )
        for w in (works, changed)
    )

    assert before + 60.0 < after < 1.2 * before


def test_no_recipe_of_the_sample_is_wrong_and_some_have_something_to_say(works: Works) -> None:
    found = process.check(works)

    assert [f.code for f in found if f.severity == "error"] == []
    assert any(f.severity == "warning" for f in found)


def test_the_press_closes_for_eight_to_twelve_minutes(works: Works) -> None:
    step = works.variant("alder", "walnut").route("shell")[0]
    whole = next(t.likely for t in process.durations(works) if (t.product, t.step) == ("alder", "press"))
    recipe = step.recipe
    assert step.kind == "press"
    assert recipe is not None

    assert 8 * 60 < whole - recipe.lay_up - recipe.unload < 12 * 60


def test_gloss_rests_nine_to_fourteen_days_and_satin_less(works: Works) -> None:
    rests = {t.product: t.likely / 86400.0 for t in process.durations(works) if t.step == "rest"}

    assert 9.0 < rests["sorrel"] < 14.0
    assert 2.0 < rests["alder"] < 5.0


def test_lots_carry_shelf_lives_and_measured_values(book: Book) -> None:
    opening = max(lot.received for lot in book.lots if lot.received is not None)
    last = max(o.due for o in book.orders)

    assert any(lot.expiry is not None and opening < lot.expiry < last for lot in book.lots)
    assert {name for lot in book.lots for name, _ in lot.values} == {"moisture", "thickness", "viscosity"}
    assert book.parts
    assert book.purchases


def test_walnut_leaves_run_short_and_most_else_does_not(texts: dict[str, str], book: Book) -> None:
    from pairwright.sample.layout import OPENING
    from pairwright.sample.orders import draw_orders

    orders = draw_orders(pairs=40, start=OPENING, seed=1)
    have: dict[str, float] = {}
    for lot in draw_lots(orders, start=OPENING, seed=1):
        have[lot.material] = have.get(lot.material, 0.0) + lot.quantity
    for purchase in book.purchases:
        have[purchase.material] = have.get(purchase.material, 0.0) + purchase.quantity

    short = {material for material, amount in need(orders).items() if have[material] < amount}

    assert short == {"walnut-leaf"}


def test_by_hand_the_press_is_what_the_works_has_least_of(works: Works, book: Book) -> None:
    """Working time of ten weeks against the steps' times; mould changes and holidays not counted."""
    minutes = {
        (t.product, t.option, t.part, t.step, t.station): t.likely / 60 for t in process.durations(works)
    }
    load: dict[str, float] = {}
    for order in book.orders:
        variant = works.variant(order.product, order.option)
        for part, step, count in steps_of_a_set(variant):
            if step.stations:
                name = step.stations[0].station
                time = minutes[variant.id, variant.option, part, step.id, name]
                load[name] = load.get(name, 0.0) + order.quantity * count * time

    share = {name: load.get(name, 0.0) / ten_weeks(works, name) for name in works.factory.stations}

    assert max(share, key=share.__getitem__) == "hot-press"
    assert 0.4 < share["hot-press"] < 0.9
    assert sorted(share.values())[-2] > 0.2


def ten_weeks(works: Works, name: str) -> float:
    """Minutes that a station's places and capacity bring in ten plain weeks."""
    station = works.factory.stations[name]
    calendar = works.factory.calendars[station.calendar]
    week = (
        7 * 1440 if calendar.always else sum(h.end - h.start for day in calendar.week.values() for h in day)
    )
    return 10.0 * week * station.places * (station.capacity if station.kind == "batch" else 1.0)


@pytest.mark.parametrize(("product", "option"), [("alder", "painted"), ("sorrel", "ink"), ("tansy", "chalk")])
def test_the_table_behind_the_stock_agrees_with_the_recipes(product: str, option: str, works: Works) -> None:
    """The table is rounded; a tenth off is allowed."""
    named = {"{face}": FACES.get(option, ""), "{colour}": COLOURS.get(option) or option}
    table: dict[str, float] = {}
    for name, amount in PER_SET[product].items():
        table[named.get(name, name)] = table.get(named.get(name, name), 0.0) + amount

    taken = taken_by(works, works.variant(product, option))

    assert set(taken) == set(table)
    assert all(taken[m] == pytest.approx(table[m], rel=0.1) for m in taken)


def taken_by(works: Works, product: Product) -> dict[str, float]:
    """What one set takes of each material, by the recipes."""
    total: dict[str, float] = {}
    for part, step, count in steps_of_a_set(product):
        where = {"option": product.option, "part": part, "step": step.id}
        for material, amount in process.consumption(works, product.id, **where):
            total[material] = total.get(material, 0.0) + count * amount
    return total


def steps_of_a_set(product: Product) -> Iterator[tuple[str, Step, int]]:
    """Part, step and how often one set takes it."""

    def below(part: str, items: int) -> Iterator[tuple[str, Step, int]]:
        for step in product.route(part):
            count = 1 if step.together else items
            yield part, step, count
            for used in step.uses:
                yield from below(used, count * product.parts[used].quantity)

    return below(product.root, len(product.sides()))
