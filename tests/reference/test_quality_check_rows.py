"""The rows of the reference file on pairs, charts, gauges, sampling, queues and colour, where that file is at hand.

Confirmed rows that name a publication are asserted. Rows from memory, and rows whose only source is a library that
computed them, are printed beside ours (`pytest -s`) and not counted. Nothing is copied here, so a row that is corrected
in the file is felt at once.
"""

from __future__ import annotations

import json
import math
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pairwright.measure.colour import colour_difference
from pairwright.pairing.match import Edges, match_edges
from pairwright.quality import characteristic, gauge, queues, tolerance_factor
from pairwright.quality.capability import normal_capability
from pairwright.quality.charts import count_limits, share_limits, subgroup_limits
from pairwright.quality.constants import chart_constants
from pairwright.quality.rules import USUAL
from pairwright.quality.run_length import (
    cusum_run_length,
    ewma_run_length,
    rules_run_length,
    shewhart_run_length,
)
from pairwright.quality.sampling import quality_place
from pairwright.quality.sampling_table import LETTERS, SIZES, cell, code_letter
from tests.reference.published_sets import FLOW_WIDTH, GAUGE_DATA, PISTON_RINGS

Row = dict[str, Any]
SHIFTS = (0.0, 0.25, 0.5, 0.75, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0)
STUDY = np.asarray(GAUGE_DATA)
# the book multiplies by a D4 rounded to 2.115: up to 0.0005 x 0.325 off in the limit of the range
ROUNDED = {"hard-bake flow width, 25 subgroups of 5": 1.7e-4}
# the source of such a row is a formula and a library that computed it, no print
COMPUTED = (
    "numpy", "scipy", "percentile method; scipy", "Erlang formulas", "success-run theorem", "Clopper-Pearson",
    "non-central t", "Pollaczek",
)  # fmt: skip


def constants(row: Row) -> dict[str, float]:
    k = chart_constants(row["inputs"]["n"])
    return {name: getattr(k, name) for name in row["expected"]}


def rings(_: Row) -> dict[str, float]:
    found = subgroup_limits(PISTON_RINGS, spread="range")
    return {
        "mean": found.centre, "Rbar": found.spread_centre or 0.0, "sigma": found.sigma, "UCL": found.upper,
        "LCL": found.lower, "UCL_R": found.spread_upper or 0.0,
    }  # fmt: skip


def ring_capability(_: Row) -> dict[str, float | None]:
    found = subgroup_limits(PISTON_RINGS, spread="range")
    overall = float(np.std(PISTON_RINGS, ddof=1))
    short = normal_capability(73.95, 74.05, mean=found.centre, sd=found.sigma, n=125)
    long = normal_capability(73.95, 74.05, mean=found.centre, sd=overall, n=125)
    return {"Cp": short.cp, "Cpk": short.cpk, "Pp": long.cp}


def flow(_: Row) -> dict[str, float | None]:
    found = subgroup_limits(FLOW_WIDTH, spread="range")
    return {
        "mean": found.centre, "Rbar": found.spread_centre, "UCL": found.upper, "LCL": found.lower,
        "UCL_R": found.spread_upper, "sigma": found.sigma,
        "Cp": normal_capability(1.0, 2.0, mean=found.centre, sd=found.sigma, n=125).cp,
        "sbar": subgroup_limits(FLOW_WIDTH, spread="sd").spread_centre,
    }  # fmt: skip


def counts(row: Row) -> dict[str, float]:
    found = count_limits(row["inputs"]["c"])
    return {"cbar": found.centre, "UCL": found.upper, "LCL": found.lower}


def shares(row: Row) -> dict[str, float]:
    bad = row["inputs"]["d"]
    found = share_limits(bad, [row["inputs"]["n"]] * len(bad))
    return {"pbar": found.centre, "UCL": found.upper, "LCL": found.lower}


def rules(row: Row) -> float:
    numbers = row["quantity"].partition("rules ")[2].partition(",")[0].split("+")
    return rules_run_length([USUAL[int(n) - 1] for n in numbers])


def weighted(row: Row) -> list[float]:
    said = row["quantity"].split()
    weight, width = float(said[2].partition("=")[2]), float(said[3].partition("=")[2].rstrip(","))
    return [ewma_run_length(s, weight=weight, width=width) for s in SHIFTS]


def sums(row: Row) -> list[float]:
    decision = float(row["quantity"].partition("h=")[2][:1])
    return [cusum_run_length(s, allowance=0.5, decision=decision) for s in SHIFTS]


def edges(row: Row) -> tuple[list[list[int]], int]:
    listed = row["inputs"]["edges"]
    top = max(w for _, _, w in listed)
    ends = np.array([sorted(e[:2]) for e in listed])
    distance = np.array([float(top - w) for _, _, w in listed])
    pairs = match_edges(int(ends.max()) + 1, Edges(ends[:, 0], ends[:, 1], distance))
    weight = {tuple(sorted(e[:2])): e[2] for e in listed}
    return [list(p) for p in pairs], sum(weight[p] for p in pairs)


def study(row: Row) -> Any:
    table, ranges, pooled = gauge.variance_table(STUDY), gauge.range_study(STUDY), gauge.anova_study(STUDY)
    equipment, mixed = table.mean_square("equipment"), table.mean_square("interaction")
    match row["quantity"]:
        case "average-and-range percent of TV":
            found = (ranges.equipment_sd, ranges.appraiser_sd, ranges.grr_sd, ranges.part_sd)
            return dict(
                zip(("EV", "AV", "GRR", "PV"), (100 * v / ranges.total_sd for v in found), strict=True)
            )
        case "ANOVA F over equipment MS":
            return {
                "appraiser": table.mean_square("appraiser") / equipment, "part": table.mean_square("part") / equipment,
                "interaction": mixed / equipment, "p_interaction": pooled.p_interaction,
            }  # fmt: skip
        case "ANOVA F over interaction MS (random model)":
            return {s: table.mean_square(s) / mixed for s in ("appraiser", "part")}
        case "ANOVA pooled: variance components":
            return {
                "EV": pooled.equipment_sd**2, "AV": pooled.appraiser_sd**2, "GRR": pooled.grr_sd**2,
                "PV": pooled.part_sd**2, "TV": pooled.total_sd**2,
            }  # fmt: skip
        case _:
            return (mixed - equipment) / 3


def waiting(row: Row) -> dict[str, float]:
    servers = 1 if "M/M/1" in row["quantity"] else 2
    found = queues.waiting_time(2.0, 3.0, servers=servers)
    return {
        "rho": found.utilisation, "Lq": found.mean_queue, "L": found.mean_queue + 2.0 / 3.0, "Wq": found.mean_wait,
        "W": found.mean_wait + 1.0 / 3.0, "C": found.probability_of_wait,
    }  # fmt: skip


def erlang(row: Row) -> dict[str, float]:
    c, a = row["inputs"]["c"], row["inputs"]["a"]
    return {
        "B": queues.erlang_b(c, load=a), "C": queues.erlang_c(c, load=a),
        "Lq": queues.waiting_time(a, 1.0, servers=c).mean_queue,
    }  # fmt: skip


def plan(row: Row) -> str:
    said = row["quantity"]
    letter = said.partition("letter ")[2][0]
    percent = float(said.partition("AQL ")[2].split()[0])
    accept = cell(LETTERS.index(letter), quality_place(percent / 100) or 0)
    return f"{accept}/{accept + 1}" if isinstance(accept, int) else accept


COMPUTE: list[tuple[str, str, Callable[[Row], Any]]] = [
    ("4 Pair matching", "general matching", lambda r: dict(zip(("pairs", "weight"), edges(r), strict=True))),
    ("4 Pair matching", "max weight vs max", lambda r: {"max_cardinality": edges(r)[0]}),
    ("5 SPC", "control-chart constants", constants),
    ("5 SPC", "piston rings, first", rings),
    ("5 SPC", "piston rings capability", ring_capability),
    ("5 SPC", "hard-bake", flow),
    ("5 SPC", "c chart", counts),
    ("5 SPC", "p chart", shares),
    ("5 SPC", "Shewhart", lambda r: shewhart_run_length(r["inputs"]["shift_sigma"])),
    ("5 SPC", "Western Electric rules", rules),
    ("5 SPC", "all four rules", lambda _: rules_run_length(USUAL, shift=1.0)),
    ("5 SPC", "EWMA ARL", weighted),
    ("5 SPC", "two-sided CUSUM", sums),
    ("5 SPC", "CUSUM design", lambda _: None),  # its expected values are inputs: see test_run_length
    ("5 SPC", "Cp 95 % interval", lambda _: _cp()),
    ("6 Gauge study", "average-and-range percent", study),
    ("6 Gauge study", "ANOVA", study),
    ("7 Acceptance sampling", "OC of n=89", lambda _: [
        characteristic.acceptance(89, 2, fraction=p) for p in (.005, .01, .02, .03, .04, .05, .06, .07, .08, .09)
    ]),
    ("7 Acceptance sampling", "code letters", lambda _: [
        code_letter(lot, "II") for lot in (50, 90, 150, 280, 500, 1200, 3200, 10000)
    ]),
    ("7 Acceptance sampling", "sample sizes", lambda _: list(SIZES)),
    ("7 Acceptance sampling", "normal single", plan),
    ("7 Acceptance sampling", "zero-failure", lambda r: characteristic.zero_failure_sample(
        r["inputs"]["reliability"], r["inputs"]["confidence"]
    )),
    ("7 Acceptance sampling", "upper 95 %", lambda _: characteristic.share_interval(0, 59, confidence=0.90)[1]),
    ("7 Acceptance sampling", "small-lot", lambda _: {
        "hypergeometric": characteristic.lot_acceptance(13, 0, bad=2, lot=50),
        "binomial": characteristic.acceptance(13, 0, fraction=0.04),
    }),
    ("7 Acceptance sampling", "one-sided tolerance factor n=43", lambda _: tolerance_factor.one_sided_factor(
        43, share=0.90, confidence=0.99
    )),
    ("7 Acceptance sampling", "one-sided tolerance factor n=10", lambda _: tolerance_factor.one_sided_factor(
        10, share=0.95, confidence=0.95
    )),
    ("7 Acceptance sampling", "two-sided tolerance", lambda _: tolerance_factor.two_sided_factor(
        43, share=0.90, confidence=0.99
    )),
    ("7 Acceptance sampling", "s-method", lambda _: [
        tolerance_factor.variables_acceptance(20, 1.82, fraction=p) for p in (0.005, 0.01, 0.02, 0.05, 0.1)
    ]),
    ("9 Yield and line flow", "M/M/", waiting),
    ("9 Yield and line flow", "Erlang", erlang),
    ("9 Yield and line flow", "M/D/1", lambda _: queues.waiting_time(0.9, 1.0, service_variability=0.0).mean_wait),
    ("9 Yield and line flow", "Kingman", lambda _: queues.kingman_wait(
        0.85, 10.0, arrival_variability=1.0, service_variability=0.25
    )),
    ("9 Yield and line flow", "G/G/3", lambda _: {
        "approx": queues.sakasegawa_wait(0.8, 1.0, servers=3, arrival_variability=1.0, service_variability=1.0),
        "exact": queues.waiting_time(2.4, 1.0, servers=3).mean_wait,
    }),
    ("10 Colour and grain", "CIEDE2000", lambda r: colour_difference(r["inputs"]["lab1"], r["inputs"]["lab2"])),
]  # fmt: skip


def _cp() -> dict[str, float | None]:
    found = normal_capability(38.0, 62.0, mean=50.0, sd=1.75, n=20)
    return {"Cp": found.cp, "lo": found.cp_low, "hi": found.cp_high}


def near(ours: Any, theirs: Any, tolerance: Any) -> bool:
    if isinstance(theirs, dict):
        return all(near(ours[k], v, tolerance) for k, v in theirs.items() if k in ours)
    if isinstance(theirs, list):
        return len(ours) == len(theirs) and all(
            near(o, t, tolerance) for o, t in zip(ours, theirs, strict=True)
        )
    if isinstance(theirs, str):
        return bool(ours == theirs)
    if isinstance(tolerance, str):  # "0.5 % or 0.1", "0.4 %"
        share, _, flat = tolerance.partition(" or ")
        allowed = max(float(share.split()[0]) / 100 * abs(theirs), float(flat or 0.0))
    else:
        allowed = tolerance or 0.0
    return math.isclose(ours, theirs, rel_tol=1e-12, abs_tol=allowed + 1e-12)


def is_published(row: Row) -> bool:
    return row["confidence"] == "confirmed" and not row["source"].startswith(COMPUTED)


def test_every_published_row_on_quality_and_pairs_comes_out(shared: Path) -> None:
    rows = json.loads((shared / "references" / "checks.json").read_text(encoding="utf-8"))
    wrong, counted, only_printed = [], 0, []
    for row in rows:
        for topic, start, compute in COMPUTE:
            if row["topic"] != topic or not row["quantity"].startswith(start):
                continue
            ours = compute(row)
            if ours is None:
                continue
            if not is_published(row):
                only_printed.append((row["quantity"], row["expected"], ours))
                continue
            counted += 1
            if not near(ours, row["expected"], ROUNDED.get(row["quantity"], row["tolerance"])):
                wrong.append((row["quantity"], row["inputs"], ours, row["expected"], row["tolerance"]))

    print("\nrecalled or only computed, not counted:")
    for quantity, theirs, ours in only_printed:
        print(f"  {quantity:60} {theirs!s:30} {ours}")
    assert wrong == []
    assert counted >= 40


@pytest.mark.parametrize("topic", sorted({topic for topic, _, _ in COMPUTE}))
def test_the_reference_file_still_has_these_topics(shared: Path, topic: str) -> None:
    rows = json.loads((shared / "references" / "checks.json").read_text(encoding="utf-8"))

    assert any(row["topic"] == topic for row in rows)
