"""Sampling plan for a lot by attributes: how many to inspect, how many bad ones to accept.

For incoming parts and audits; what we make ourselves is tested to the last piece. Normal inspection,
single sampling. Switching to tightened inspection after rejected lots is a matter of the contract.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Final

from pairwright.base.errors import InputError, Problem, shown
from pairwright.base.findings import Finding
from pairwright.base.laws import POSITIVE, Argument, Law, Result, Span, Worked
from pairwright.base.sources import FROM_MEMORY, Source
from pairwright.base.words import text
from pairwright.quality.sampling_table import (
    LETTERS,
    LEVELS,
    QUALITY_LEVELS,
    SIZES,
    cell,
    code_letter,
    follow_arrows,
    was_read,
)

STANDARD: Final = Source("standard", "ISO 2859-1, tables 1 and 2-A, normal single sampling")
COPY: Final = Source(
    "published", "MIL-STD-105E (1989), tables I and II-A, from which the standard's come; levels of "
                 "0.065 to 15 % and all code letters read in public copies"
)  # fmt: skip


@dataclass(frozen=True, slots=True)
class SamplingPlan:
    """A plan: letters before and after the arrows, sample, acceptance and rejection number [-].

    `whole_lot` says that the sample would be the lot or more, so that every item is inspected;
    `read` that every cell on the way was read in a public copy of the table.
    """

    first_letter: str
    code_letter: str
    sample: int
    accept: int
    reject: int
    whole_lot: bool
    read: bool


def sampling_plan(lot: int, aql: float, *, level: str = "II") -> SamplingPlan:
    """Normal single sampling plan of a lot. [-]

    Parameters
    ----------
    lot : int
        Items in the lot, at least 2. [-]
    aql : float
        Acceptable quality, one of `QUALITY_LEVELS`. [-]
    level : str
        Inspection level ``I``, ``II`` or ``III``. [-]

    Returns
    -------
    SamplingPlan
        After following arrows; a lot passes with at most `accept` bad items in the sample. [-]

    Notes
    -----
    An arrow leads to another letter and so to another sample size. Where the sample is the lot or
    more, the whole lot is inspected.

    References
    ----------
    .. [1] ISO 2859-1, tables 1 and 2-A.

    Examples
    --------
    >>> plan = sampling_plan(100, 0.0065)
    >>> plan.code_letter, plan.sample, plan.accept, plan.reject
    ('F', 20, 0, 1)
    """
    quality = quality_place(aql)
    if quality is None:
        raise ValueError("not one of the preferred quality levels")
    first = LETTERS.index(code_letter(lot, level))
    last = follow_arrows(first, quality)
    accept = cell(last, quality)
    if not isinstance(accept, int):
        raise TypeError("an arrow led to an arrow")
    way = range(min(first, last), max(first, last) + 1)
    return SamplingPlan(
        LETTERS[first], LETTERS[last], min(lot, SIZES[last]), accept, accept + 1,
        whole_lot=SIZES[last] >= lot, read=all(was_read(n, quality) for n in way),
    )  # fmt: skip


def quality_place(aql: float) -> int | None:
    """Place of a quality level in the preferred series, None where it is not in it. [-]

    Parameters
    ----------
    aql : float
        Acceptable quality. [-]

    Returns
    -------
    int or None
        Place in `QUALITY_LEVELS`. [-]

    Examples
    --------
    >>> quality_place(0.01), quality_place(0.012)
    (10, None)
    """
    return next((n for n, q in enumerate(QUALITY_LEVELS) if math.isclose(aql, q, rel_tol=1e-9)), None)


def _sampling_plan_law(lot: int, level: str, aql: float) -> dict[str, Any]:
    if quality_place(aql) is None:
        near = min(QUALITY_LEVELS, key=lambda q: abs(math.log(q / aql)))
        raise InputError(
            Problem(
                "calc sampling_plan",
                "aql",
                text(
                    "one of the preferred levels: {levels}",
                    levels=", ".join(f"{q:g}" for q in QUALITY_LEVELS),
                ),
                shown(aql),
                text("take one of them; the nearest is {near}", near=f"{near:g}"),
            )
        )
    plan = sampling_plan(lot, aql, level=level)
    return {
        "code_letter": plan.code_letter, "sample": plan.sample, "accept": plan.accept,
        "reject": plan.reject, "first_letter": plan.first_letter, "whole_lot": plan.whole_lot,
    }  # fmt: skip


def _notes(inputs: Mapping[str, Any]) -> list[Finding]:
    plan = sampling_plan(inputs["lot"], inputs["aql"], level=inputs["level"])
    found = []
    if not plan.read:
        said = text(
            "the row of letter {letter} at {aql} was not read in a copy of the table: it follows its diagonals; "
            "look it up before relying on it",
            letter=plan.code_letter, aql=f"{100 * inputs['aql']:g} %",
        )  # fmt: skip
        found.append(Finding("from_memory", "warning", "sampling_plan", said, FROM_MEMORY))
    if plan.whole_lot:
        said = text("the plan asks for {n} of {lot} items: inspect the whole lot",
                    n=SIZES[LETTERS.index(plan.code_letter)], lot=inputs["lot"])  # fmt: skip
        found.append(Finding("full_inspection", "note", "sampling_plan", said, STANDARD))
    return found


LAWS: Final[tuple[Law, ...]] = (
    Law(
        name="sampling_plan",
        title=text("Sampling plan of a lot by attributes"),
        function=_sampling_plan_law,
        arguments=(
            Argument("lot", "-", text("items in the lot"), Span(2, 1e9), shape="whole"),
            Argument("level", "-", text("inspection level: II is usual, I inspects less, III more"),
                     shape="word", choices=tuple(LEVELS), default="II"),
            Argument("aql", "-", text("acceptable quality: share of bad items, a preferred level 0.0001 to 0.10; "
                                      "above, 0.15 to 10, nonconformities for each item"),
                     POSITIVE, Span(0.0001, 10.0)),
        ),
        results=(
            Result("code_letter", "-", text("after following arrows")),
            Result("sample", "-", text("items to inspect, at most the lot")),
            Result("accept", "-", text("largest number of bad items that passes")),
            Result("reject", "-", text("smallest number that does not")),
            Result("first_letter", "-", text("before following arrows")),
            Result("whole_lot", "-", text("whether every item is inspected")),
        ),
        accuracy=text("as the table; levels below 0.065 % and above 15 % from memory, and a finding says so"),
        sources=(STANDARD, COPY),
        worked=Worked(
            {"lot": 100, "aql": 0.0065},
            {"code_letter": "F", "sample": 20, "accept": 0, "reject": 1},
        ),
        also=_notes,
    ),
)  # fmt: skip
