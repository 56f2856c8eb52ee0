"""Waiting and yield against textbooks."""

from __future__ import annotations

import math

import pytest

from pairwright.quality.queues import erlang_b, erlang_c, kingman_wait, sakasegawa_wait, waiting_time
from pairwright.quality.yields import rolled_yield


@pytest.mark.parametrize(
    ("servers", "wait", "queue", "chance"),
    # Hillier & Lieberman, county hospital: 2 arrivals, 3 served an hour; one doctor or two
    [(1, 2.0 / 3.0, 4.0 / 3.0, 2.0 / 3.0), (2, 1.0 / 24.0, 1.0 / 12.0, 1.0 / 6.0)],
)
def test_the_hospital_waits_as_the_textbook_says(
    servers: int, wait: float, queue: float, chance: float
) -> None:
    found = waiting_time(2.0, 3.0, servers=servers)

    assert found.mean_wait == pytest.approx(wait, rel=1e-12)
    assert found.mean_queue == pytest.approx(queue, rel=1e-12)
    assert found.probability_of_wait == pytest.approx(chance, rel=1e-12)


@pytest.mark.parametrize(("servers", "load"), [(1, 0.5), (2, 1.6), (3, 2.0), (5, 4.0), (10, 8.0), (40, 36.0)])
def test_the_recursion_is_erlang_s_sum(servers: int, load: float) -> None:
    # A. K. Erlang 1917: B = (a^c/c!)/sum a^k/k!; C with a^c/c! c/(c - a) in its place
    terms = [load**k / math.factorial(k) for k in range(servers + 1)]
    waiting = terms[-1] * servers / (servers - load)

    assert erlang_b(servers, load=load) == pytest.approx(terms[-1] / math.fsum(terms), rel=1e-12)
    assert erlang_c(servers, load=load) == pytest.approx(
        waiting / (math.fsum(terms[:-1]) + waiting), rel=1e-12
    )


def test_thirty_lines_lose_a_twentieth_of_twenty_five_erlang() -> None:
    # published demonstration of the formula: 30 call lines, 25 erlang, a loss of about 0.05
    assert erlang_b(30, load=25.0) == pytest.approx(0.05, abs=0.005)


@pytest.mark.parametrize(
    ("variability", "wait"),
    # public textbook solutions, 0.8 arrivals and mean service 1: exponential, uniform(.1, 1.9), triangular(.1, 1, 1.9)
    [(1.0, 4.0), (1.8**2 / 12.0, 2.54), (1.8**2 / 24.0, 2.27)],
)
def test_one_place_waits_by_the_variance_of_its_work(variability: float, wait: float) -> None:
    found = waiting_time(0.8, 1.0, service_variability=variability)

    assert found.mean_wait == pytest.approx(wait, abs=1e-9)


def test_a_clockwork_service_halves_the_wait() -> None:
    # Pollaczek and Khinchine: M/D/1 at 90 % waits 4.5 services, half of M/M/1
    assert waiting_time(0.9, 1.0, service_variability=0.0).mean_wait == pytest.approx(4.5, rel=1e-12)


def test_variability_times_utilisation_times_time() -> None:
    # Hopp & Spearman, Factory Physics: ca2 1, ce2 0.25, u 0.85, te 10 -> 35.4167
    found = kingman_wait(0.85, 10.0, arrival_variability=1.0, service_variability=0.25)

    assert found == pytest.approx(35.416667, abs=1e-5)


def test_the_closed_form_for_several_places_is_within_three_percent() -> None:
    # Sakasegawa, as in Hopp & Spearman: u 0.8, three places -> 1.1083 against the exact 1.0787
    found = sakasegawa_wait(0.8, 1.0, servers=3, arrival_variability=1.0, service_variability=1.0)

    assert found == pytest.approx(1.108296, abs=1e-5)
    assert waiting_time(2.4, 1.0, servers=3).mean_wait == pytest.approx(1.078652, abs=1e-5)


def test_yields_of_a_chain_multiply() -> None:
    # textbook example of a rolled yield: 0.98, 0.95, 0.99, 0.97
    found = rolled_yield([0.98, 0.95, 0.99, 0.97])

    assert found.rolled == pytest.approx(0.8940393, abs=1e-9)
    assert found.normalised == pytest.approx(0.9723870, abs=1e-7)
    assert found.faults_per_unit == pytest.approx(-math.log(0.8940393), abs=1e-9)
