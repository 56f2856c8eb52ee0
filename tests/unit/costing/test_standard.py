"""What a set costs, against sums done by hand."""

from __future__ import annotations

import pytest

from pairwright.costing import order_book_cost, runs_per_set, set_cost, set_costs
from pairwright.costing.standard import likely_times
from pairwright.works import Works, load_works
from tests.unit.audit.small import TERN, TEXTS, loaded

COSTS = """
[costs]
currency = "EUR"
labour = "36 EUR/h"
energy = "0.36 EUR/kWh"
overhead = 0.5
"""


def works_with(tern: str = TERN, works: str = "") -> Works:
    texts = {**TEXTS, "products/tern.toml": tern, "works.toml": works or TEXTS["works.toml"] + COSTS}
    return load_works(texts)


def runs(tern: str = TERN) -> dict[tuple[str, str], float]:
    return {(r.part, r.step.id): r.runs for r in runs_per_set(works_with(tern).variant("tern", "ash"))}


def test_a_pair_makes_its_halves_twice_and_packs_once() -> None:
    found = runs()

    assert found["cabinet", "glue"] == 2.0
    assert found["shell", "form"] == 2.0
    assert found["cabinet", "pack"] == 1.0


def test_scrap_is_paid_by_every_step_before_it() -> None:
    found = runs(TERN.replace('id = "harden"', 'id = "harden"\nscrap = 0.2'))

    assert found["cabinet", "harden"] == pytest.approx(2.5)
    assert found["cabinet", "glue"] == pytest.approx(2.5)
    assert found["shell", "form"] == pytest.approx(2.5)
    assert found["cabinet", "pack"] == 1.0


def test_rework_repeats_only_the_steps_it_goes_back_over() -> None:
    found = runs(TERN.replace('id = "warm"', 'id = "warm"\nrework = { chance = 0.2, to = "coat" }'))

    assert found["cabinet", "coat"] == pytest.approx(2.5)
    assert found["cabinet", "warm"] == pytest.approx(2.5)
    assert found["cabinet", "cure"] == 2.0
    assert found["shell", "form"] == 2.0


def test_people_station_and_overhead_add_up_as_by_hand() -> None:
    body = TEXTS["works.toml"].replace(
        '[stations.press]\nname = "Press"',
        '[stations.press]\nname = "Press"\npower = "10 kW"\nrate = "12 EUR/h"',
    )
    works = works_with(works=body + COSTS)
    _, _, times = loaded()

    cost = set_cost(works, works.variant("wren", "oak"), times=likely_times(times))

    # press: one person for 1 h, 12 EUR/h, 10 kWh; packing: one person for half an hour
    assert cost.labour == pytest.approx(36.0 * 1.5)
    assert cost.place == pytest.approx(12.0)
    assert cost.energy == pytest.approx(3.6)
    assert cost.energy_joule == pytest.approx(3.6e7)
    assert cost.overhead == pytest.approx(0.5 * (54.0 + 12.0))
    assert cost.total == pytest.approx(54.0 + 12.0 + 3.6 + 33.0)
    assert cost.people_time == pytest.approx(5400.0)


def test_nobody_is_paid_while_clamps_cure_by_themselves() -> None:
    works = works_with()
    _, _, times = loaded()

    cost = set_cost(works, works.variant("tern", "ash"), times=likely_times(times))

    cure = next(s for s in cost.steps if s.step == "cure")
    assert cure.labour == 0.0
    assert cure.people_time == 0.0


def test_a_full_charge_shares_its_oven() -> None:
    oven = '[stations.oven]\nname = "Oven"'
    body = TEXTS["works.toml"].replace(oven, f'{oven}\nrate = "8 EUR/h"')
    works = works_with(works=body + COSTS)
    _, _, times = loaded()

    cost = set_cost(works, works.variant("tern", "ash"), times=likely_times(times))

    warm = next(s for s in cost.steps if s.step == "warm")
    assert warm.place == pytest.approx(8.0)  # two halves, an hour each, half the oven each


def test_what_a_step_uses_up_is_priced_with_its_scrap() -> None:
    tern = TERN.replace('id = "harden"', 'id = "harden"\nscrap = 0.2').replace(
        'id = "glue"', 'id = "glue"\nconsumes = [{ material = "thin", amount = 3 }]'
    )
    texts = {**TEXTS, "products/tern.toml": tern}
    texts["materials/woods.toml"] = texts["materials/woods.toml"].replace(
        "face = true", 'face = true\nprice = "2 EUR"'
    )
    works = load_works(texts)
    _, _, times = loaded()

    cost = set_cost(works, works.variant("tern", "ash"), times=likely_times(times))

    assert cost.material == pytest.approx(2.5 * 3 * 2.0)
    assert cost.materials == (("thin", pytest.approx(7.5), pytest.approx(15.0)),)


def test_the_order_book_counts_every_set() -> None:
    _, book, times = loaded()
    works = works_with()
    each = {(c.product, c.option): c.total for c in set_costs(works, times)}

    assert each["tern", "ash"] > 0
    assert order_book_cost(works, book, times=times) == pytest.approx(
        each["tern", "ash"] + each["wren", "oak"]
    )
