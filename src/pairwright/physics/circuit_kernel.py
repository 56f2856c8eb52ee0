"""The inner loop of the circuit's Monte Carlo: many draws of one circuit, side by side.

A circuit is eliminated by a fixed list of steps (`circuit_plan` makes it once). Each step is done for a
block of draws, the lanes, before the next: what the list costs to read is shared by all lanes, and the
loops over lanes are plain enough for the compiler to do several at a time. Real and imaginary parts
lie in separate rows. Written with plain loops over sequences: uncompiled it is the readable twin
(`solve_lanes`), compiled it is fast (`compiled_lanes`); both run this text.

The letters (a bundle is a tuple, always in this order):

    plan      steps, scales, kinds, omega, table_re, table_im, wanted [-, V, -, rad/s, ohm, ohm, -]
    data      values, series, volts, growth, rows [ohm, ohm, V, -, S]

Of `plan`: `steps` rows of operation, target, first and second operand; `scales` a factor of each step;
`kinds` of the parts; `omega` angular frequencies; `table_re`, `table_im` the measured impedances, part by
frequency; `wanted` the rows that hold the asked node voltages. Of `data`: `values` and `series`, part by
draw (for a measured part the value is a factor of its table); `volts` node by frequency by draw by real
and imaginary part, to be filled; `growth` frequency by draw, to be filled: how much the elimination may have enlarged
rounding, squared; `rows` the working rows, row by real and imaginary part by lane, as many lanes as a
block has.
"""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from typing import Any, Final, TypeAlias

Row: TypeAlias = Any  # a list or an array of floats
Bundle: TypeAlias = Any  # a tuple as described above

# what a step does to its target
SET: Final = 0  # becomes scale times the first
ADD: Final = 1  # grows by scale times the first
TIMES: Final = 2  # becomes the product
MINUS: Final = 3  # is reduced by the product
NEGATIVE: Final = 4  # becomes minus the product
PIVOT: Final = 5  # becomes one over the first, and the growth takes in the last column
FACTOR: Final = 6  # becomes the product, and its size counts as growth

# how a part's admittance comes from its value and its series resistance
RESISTOR: Final = 0
INDUCTOR: Final = 1
CAPACITOR: Final = 2
MEASURED: Final = 3


def _admittance(part: Bundle, value: Row, series: Row, y: Row) -> None:
    """One over the impedance of a part, lane by lane."""
    kind, omega, re, im = part
    if kind == RESISTOR:
        for n in range(len(value)):
            y[0, n] = 1.0 / (value[n] + series[n])
            y[1, n] = 0.0
    elif kind == INDUCTOR:
        for n in range(len(value)):
            x = omega * value[n]
            over = 1.0 / (series[n] * series[n] + x * x)
            y[0, n] = series[n] * over
            y[1, n] = -x * over
    elif kind == CAPACITOR:
        for n in range(len(value)):
            g = omega * value[n]
            gr = g * series[n]
            over = g / (1.0 + gr * gr)
            y[0, n] = gr * over
            y[1, n] = over
    else:
        for n in range(len(value)):
            r = re * value[n] + series[n]
            x = im * value[n]
            over = 1.0 / (r * r + x * x)
            y[0, n] = r * over
            y[1, n] = -x * over


def _scaled(operation: int, scale: float, d: Row, a: Row, count: int) -> None:
    """A step that moves or adds: the target and one operand."""
    if operation == SET:
        for n in range(count):
            d[0, n] = scale * a[0, n]
            d[1, n] = scale * a[1, n]
    else:
        for n in range(count):
            d[0, n] += scale * a[0, n]
            d[1, n] += scale * a[1, n]


def _product(operation: int, d: Row, a: Row, b: Row, count: int) -> None:
    """A step that multiplies: the target and two operands, all complex."""
    if operation == MINUS:
        for n in range(count):
            re = a[0, n] * b[0, n] - a[1, n] * b[1, n]
            im = a[0, n] * b[1, n] + a[1, n] * b[0, n]
            d[0, n] -= re
            d[1, n] -= im
    elif operation == NEGATIVE:
        for n in range(count):
            re = a[0, n] * b[0, n] - a[1, n] * b[1, n]
            im = a[0, n] * b[1, n] + a[1, n] * b[0, n]
            d[0, n] = -re
            d[1, n] = -im
    else:
        for n in range(count):
            re = a[0, n] * b[0, n] - a[1, n] * b[1, n]
            im = a[0, n] * b[1, n] + a[1, n] * b[0, n]
            d[0, n] = re
            d[1, n] = im


def _pivot(d: Row, a: Row, grown: Row, count: int) -> None:
    """One over a pivot; the growth of the column before it is taken in and begins anew."""
    for n in range(count):
        over = 1.0 / (a[0, n] * a[0, n] + a[1, n] * a[1, n])
        d[0, n] = a[0, n] * over
        d[1, n] = -a[1, n] * over
        grown[0, n] *= grown[1, n]
        grown[1, n] = 1.0


def _counted(d: Row, grown: Row, count: int) -> None:
    """The size of a factor of the elimination, squared, is added to its column."""
    for n in range(count):
        grown[1, n] += d[0, n] * d[0, n] + d[1, n] * d[1, n]


def _eliminate(steps: Row, scales: Row, rows: Row, count: int) -> None:
    """Run the list of steps over a block; the last row of all holds growth and column."""
    grown = rows[len(rows) - 1]
    for n in range(count):
        grown[0, n] = 1.0
        grown[1, n] = 1.0
    for s in range(len(steps)):
        operation = steps[s, 0]
        d, a, b = rows[steps[s, 1]], rows[steps[s, 2]], rows[steps[s, 3]]
        if operation <= ADD:
            _scaled(operation, scales[s], d, a, count)
        elif operation == PIVOT:
            _pivot(d, a, grown, count)
        else:
            _product(operation, d, a, b, count)
            if operation == FACTOR:
                _counted(d, grown, count)


def solve_lanes(plan: Bundle, data: Bundle) -> None:
    """Fill the asked node voltages and the growth of every draw at every frequency. [V, -]"""
    steps, scales, kinds, omega, table_re, table_im, wanted = plan
    values, series, volts, growth, rows = data
    draws, lanes = values.shape[1], rows.shape[2]
    for first in range(0, draws, lanes):
        last = min(draws, first + lanes)
        count = last - first
        for f in range(len(omega)):
            for p in range(len(kinds)):
                part = (kinds[p], omega[f], table_re[p, f], table_im[p, f])
                _admittance(part, values[p, first:last], series[p, first:last], rows[p])
            _eliminate(steps, scales, rows, count)
            for o in range(len(wanted)):
                for n in range(count):
                    volts[o, f, first + n, 0] = rows[wanted[o], 0, n]
                    volts[o, f, first + n, 1] = rows[wanted[o], 1, n]
            for n in range(count):
                growth[f, first + n] = rows[len(rows) - 1, 0, n]


@cache
def compiled_lanes() -> Callable[[Bundle, Bundle], None]:
    """`solve_lanes` through the compiler, cached on disk."""
    from numba import njit
    from numba.extending import register_jitable

    for function in (_admittance, _scaled, _product, _pivot, _counted, _eliminate):
        register_jitable(function)
    # without an error check at each division the loops over lanes can be done several at a time;
    # no licence to reorder sums is given, so that the result is that of the plain text
    compiled: Callable[[Bundle, Bundle], None] = njit(cache=True, error_model="numpy")(solve_lanes)
    return compiled
