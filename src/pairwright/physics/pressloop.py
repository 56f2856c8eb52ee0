"""The inner loop of the press model: heat through a stack, cure of its glue lines.

Finite volumes on cells; TR-BDF2 in time (trapezoid to gamma h, then a backward difference over
the whole step: second order, no ringing after the platen's jump). Heat content is carried as
such, so what flows in is what is stored. Written with plain loops over sequences: lists make it
the readable twin, arrays make it ready for the compiler (`compiled_march`); both run this text.

The letters, the same in every function (a bundle is a tuple, always in this order; heat capacity is
a + b T per volume, conductivity k at the origin and rising with temperature):

    t             time since the press closed [s]
    h             length of a step [s]
    dt            the share of a step that a stage takes implicitly [s]
    T             temperatures of the cells [K]
    F             net heat into each cell [W/m2]
    g             conductances: face to cell, cell to cell, cell to face [W/(m2*K)]
    times         points in time of the faces' temperatures [s]
    values        temperatures at these points [K]
    source        values to be copied [-]
    target        where they go [-]
    cells         a, b, k, width, rise of k (rows), its origin [J/(m3*K), J/(m3*K2), W/(m*K), m, 1/K, K]
    faces         times, bottom, top, contact below, contact above (0 insulates) [s, K, K, W/(m2*K), W/(m2*K)]
    lines         index of the cell below each line, A, E, dose to reach [-, 1/s, J/mol, -]
    at            temperatures of the lines [K]
    rate          Arrhenius rates of the lines [1/s]
    rates         the same, to be filled [1/s]
    middle        the same in the middle of a step [1/s]
    rate_before   the same before the step [1/s]
    dose          doses of the lines: time integrals of the rates [-]
    before        the same before the step [-]
    goal          dose to reach [-]
    first         first step [s]
    growth        longest step over the time so far [-]
    cap           longest time [s]
    stepping      first, growth, cap [s, -, s]
    state         T, F, at, rate, middle, dose, dose before, rate before [K, W/m2, K, 1/s, 1/s, -, -, 1/s]
    work          heat wanted, g, two to eliminate, T at the start, T kept [J/m2, W/(m2*K), -, K, K, K]
    out           times, heat taken in, temperatures and doses of the lines [s, J/m2, K, -]
"""

from __future__ import annotations

import math
from collections.abc import Callable
from functools import cache
from typing import Any, Final, TypeAlias

Row: TypeAlias = Any  # a list of floats, or an array when compiled
Bundle: TypeAlias = Any  # a tuple as described above

GAMMA: Final = 2.0 - math.sqrt(2.0)
IMPLICIT: Final = GAMMA / 2.0  # the share of the step that each stage takes implicitly
OUTER: Final = math.sqrt(2.0) / 4.0  # weight of the rates at the start and at gamma h
_GAS: Final = 8.314462618
_CLOSE: Final = 1e-6  # Newton stops when no cell moved by more; the next step would move it 30 times less [K]


def piecewise(t: float, times: Row, values: Row) -> float:
    """Temperature of a face at a time, linear between points, constant beyond. [K]"""
    last = len(times) - 1
    if t <= times[0]:
        return float(values[0])
    if t >= times[last]:
        return float(values[last])
    n = 1
    while times[n] < t:
        n += 1
    share = (t - times[n - 1]) / (times[n] - times[n - 1])
    return float(values[n - 1] + share * (values[n] - values[n - 1]))


def copy(source: Row, target: Row) -> None:
    """Copy as many values as the source has."""
    for i in range(len(source)):
        target[i] = source[i]


def balance(t: float, T: Row, cells: Bundle, faces: Bundle, g: Row, F: Row) -> float:
    """Fill conductances g (n + 1) and net heat F (n); return what both faces give. [W/m2]

    A contact of 0 insulates a face.
    """
    _, _, k, w, rise, origin = cells
    times, bottoms, tops, contact_bottom, contact_top = faces
    bottom, top = piecewise(t, times, bottoms), piecewise(t, times, tops)
    n = len(w)
    below = 0.0
    for i in range(n):
        half = 0.5 * w[i] / (k[i] * (1.0 + rise[i] * (T[i] - origin)))
        if i:
            g[i] = 1.0 / (below + half)
        below = half
    g[0] = g[n] = 0.0
    if contact_bottom > 0.0:
        half = 0.5 * w[0] / (k[0] * (1.0 + rise[0] * (0.5 * (T[0] + bottom) - origin)))
        g[0] = 1.0 / (1.0 / contact_bottom + half)
    if contact_top > 0.0:
        half = 0.5 * w[n - 1] / (k[n - 1] * (1.0 + rise[n - 1] * (0.5 * (T[n - 1] + top) - origin)))
        g[n] = 1.0 / (1.0 / contact_top + half)
    into = from_bottom = g[0] * (bottom - T[0])
    for i in range(n - 1):
        onward = g[i + 1] * (T[i] - T[i + 1])
        F[i] = into - onward
        into = onward
    from_top = g[n] * (top - T[n - 1])
    F[n - 1] = into + from_top
    return float(from_bottom + from_top)


def solve(t: float, dt: float, T: Row, cells: Bundle, faces: Bundle, work: Row, F: Row) -> float:
    """Solve H(T) - dt F(T) = want in place (Newton, tridiagonal); return what the faces give. [W/m2]"""
    a, b, _, w, _, _ = cells
    want, g, c, d = work[0], work[1], work[2], work[3]
    n = len(w)
    for _ in range(30):
        balance(t, T, cells, faces, g, F)
        for i in range(n):
            stored = w[i] * T[i] * (a[i] + 0.5 * b[i] * T[i])
            diagonal = w[i] * (a[i] + b[i] * T[i]) + dt * (g[i] + g[i + 1])
            right = want[i] + dt * F[i] - stored
            if i:
                diagonal -= dt * g[i] * c[i - 1]
                right += dt * g[i] * d[i - 1]
            c[i] = dt * g[i + 1] / diagonal
            d[i] = right / diagonal
        step, moved = 0.0, 0.0
        for j in range(n):
            i = n - 1 - j
            step = d[i] + (c[i] * step if j else 0.0)
            T[i] += step
            moved = max(moved, abs(step))
        if moved < _CLOSE:
            break
    return balance(t, T, cells, faces, g, F)


def line_rates(T: Row, cells: Bundle, lines: Bundle, at: Row, rates: Row) -> None:
    """Fill temperature and Arrhenius rate of every line, from the two cells that it parts."""
    _, _, k, w, rise, origin = cells
    left, factor, energy, _ = lines
    for j in range(len(left)):
        i = left[j]
        below = k[i] * (1.0 + rise[i] * (T[i] - origin)) / w[i]
        above = k[i + 1] * (1.0 + rise[i + 1] * (T[i + 1] - origin)) / w[i + 1]
        at[j] = (below * T[i] + above * T[i + 1]) / (below + above)
        rates[j] = factor * math.exp(-energy / (_GAS * at[j]))


def crossing(h: float, goal: float, before: Row, dose: Row, rate_before: Row, rate: Row) -> float:
    """Share of the step after which every dose has passed the goal (cubic in between). [-]"""
    latest = 0.0
    for j in range(len(dose)):
        if before[j] >= goal:
            continue
        low, high = 0.0, 1.0
        for _ in range(50):
            s = 0.5 * (low + high)
            slope = h * s * (1.0 - s) * (rate_before[j] * (1.0 - s) - rate[j] * s)
            if before[j] + (dose[j] - before[j]) * s * s * (3.0 - 2.0 * s) + slope < goal:
                low = s
            else:
                high = s
        latest = max(latest, high)
    return latest


def passed(goal: float, dose: Row) -> bool:
    """Whether every dose has reached the goal; without lines nothing has."""
    for j in range(len(dose)):
        if dose[j] < goal:
            return False
    return len(dose) > 0


def longest_wait(goal: float, dose: Row, rate: Row) -> float:
    """Time until the last dose passes the goal at present rates; negative if all have. [s]"""
    wait = -math.inf
    for j in range(len(dose)):
        wait = max(wait, (goal - dose[j]) / rate[j])
    return wait


def advance(
    t: float, h: float, cells: Bundle, faces: Bundle, lines: Bundle, state: Bundle, work: Row
) -> float:
    """One step of length h in place: temperatures, rates and doses; heat taken in. [J/m2]"""
    T, F, at, rate, middle, dose, _, _ = state
    a, b, _, w, _, _ = cells
    want, g, first = work[0], work[1], work[4]
    n, m = len(w), len(dose)
    q0 = balance(t, T, cells, faces, g, F)
    for i in range(n):
        first[i] = T[i]
        want[i] = w[i] * T[i] * (a[i] + 0.5 * b[i] * T[i]) + h * IMPLICIT * F[i]
    for j in range(m):
        dose[j] += h * (1.0 - OUTER) / 3.0 * rate[j]
    q1 = solve(t + GAMMA * h, h * IMPLICIT, T, cells, faces, work, F)
    line_rates(T, cells, lines, at, middle)
    for j in range(m):
        dose[j] += h * (3.0 * OUTER + 1.0) / 3.0 * middle[j]
    scale = 1.0 / (GAMMA * (2.0 - GAMMA))
    for i in range(n):
        now = w[i] * T[i] * (a[i] + 0.5 * b[i] * T[i])
        was = w[i] * first[i] * (a[i] + 0.5 * b[i] * first[i])
        want[i] = scale * (now - (1.0 - GAMMA) * (1.0 - GAMMA) * was)
        T[i] = first[i] + (T[i] - first[i]) / GAMMA  # a good first guess for the end of the step
    q2 = solve(t + h, h * IMPLICIT, T, cells, faces, work, F)
    line_rates(T, cells, lines, at, rate)
    for j in range(m):
        dose[j] += h * IMPLICIT / 3.0 * rate[j]
    return h * (OUTER * (q0 + q1) + IMPLICIT * q2)


def last_step(
    t: float, h: float, cells: Bundle, faces: Bundle, lines: Bundle, state: Bundle, work: Row
) -> tuple[float, float]:
    """Do the step in which the goal falls again, exact: its length and heat. [s, J/m2]"""
    T, _, _, rate, _, dose, dose_before, rate_before = state
    goal, whole = lines[3], h
    h *= crossing(h, goal, dose_before, dose, rate_before, rate)
    heat = 0.0
    for _ in range(4):
        for i in range(len(T)):
            T[i] = work[5][i]
        copy(dose_before, dose)
        copy(rate_before, rate)
        heat = advance(t, h, cells, faces, lines, state, work)
        short = longest_wait(goal, dose, rate)
        if abs(short) <= 1e-9 * h:
            break
        h = min(max(h + short, 0.5 * h), whole)
    return h, heat


def next_step(t: float, first: float, growth: float, cap: float, times: Row) -> float:
    """The larger of `first` and `growth` times the time so far, no further than the next point. [s]"""
    h = min(max(first, growth * t), cap - t)
    for n in range(len(times)):
        if t * (1.0 + 1e-12) < times[n] < t + h:
            h = times[n] - t
            break
    return h


def march(
    cells: Bundle, faces: Bundle, lines: Bundle, stepping: Bundle, state: Bundle, work: Row, out: Bundle
) -> int:
    """Step until every dose passes the goal or time the cap: rows, negative if capped. [-]"""
    T, _, at, rate, _, dose, dose_before, rate_before = state
    first, growth, cap = stepping
    out_time, out_heat, out_temperature, out_dose = out
    goal = lines[3]
    t, heat, row = 0.0, 0.0, 0
    line_rates(T, cells, lines, at, rate)
    reached = False
    while True:
        out_time[row], out_heat[row] = t, heat
        copy(at, out_temperature[row])
        copy(dose, out_dose[row])
        row += 1
        if reached:
            return row
        if t >= cap or row >= len(out_time):
            return -row
        h = next_step(t, first, growth, cap, faces[0])
        copy(T, work[5])
        copy(dose, dose_before)
        copy(rate, rate_before)
        gained = advance(t, h, cells, faces, lines, state, work)
        reached = passed(goal, dose)
        if reached:
            h, gained = last_step(t, h, cells, faces, lines, state, work)
        t += h
        heat += gained


@cache
def compiled_march() -> Callable[..., int]:
    """`march` through the compiler, cached on disk; it returns the rows written. [-]"""
    from numba import njit
    from numba.extending import register_jitable

    inner = (
        piecewise,
        copy,
        balance,
        solve,
        line_rates,
        crossing,
        passed,
        longest_wait,
        advance,
        last_step,
        next_step,
    )
    for function in inner:
        register_jitable(function)
    compiled: Callable[..., int] = njit(cache=True)(march)
    return compiled
