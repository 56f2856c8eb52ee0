"""The laws of quality, colour and pairs as the handbook serves them."""

from __future__ import annotations

import json
from typing import Any

import pytest

from pairwright.base.errors import InputError
from pairwright.base.laws import Law, ask
from pairwright.measure import colour
from pairwright.pairing import best_pairs
from pairwright.quality import (
    capability,
    characteristic,
    charts,
    gauge,
    queues,
    run_length,
    sampling,
    tolerance_factor,
    yields,
)

MODULES = (
    best_pairs, capability, characteristic, charts, colour, gauge, queues, run_length, sampling,
    tolerance_factor, yields,
)  # fmt: skip
LAWS = [law for module in MODULES for law in module.LAWS]
every_law = pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)
by_name = {law.name: law for law in LAWS}


@every_law
def test_the_worked_number_lies_in_the_source_s_range(law: Law) -> None:
    assert "out_of_range" not in {f.code for f in ask(law, law.worked.inputs).findings}


@every_law
def test_the_answer_has_the_fields_it_announces_and_can_be_written_as_json(law: Law) -> None:
    answer = ask(law, law.worked.inputs)

    assert set(answer.result) == {r.name for r in law.results}
    assert json.loads(json.dumps(dict(answer.result), allow_nan=False)) == dict(answer.result)


@every_law
def test_the_same_question_has_the_same_answer(law: Law) -> None:
    assert ask(law, law.worked.inputs) == ask(law, law.worked.inputs)


ROW = {"chart": "xbar_r"}
NORMAL = {"lower": 1.0, "upper": 2.0}
IMPOSSIBLE: list[tuple[str, dict[str, Any], str]] = [
    ("control_limits", {**ROW, "data": [1.0, 2.0]}, "data[0]"),
    ("control_limits", {**ROW, "data": [[1.0, 2.0], [1.0]]}, "data[1]"),
    ("control_limits", {**ROW, "data": [[1.0], [2.0]]}, "data[0]"),
    ("control_limits", {"chart": "individuals", "data": [[1.0, 2.0]]}, "data"),
    ("control_limits", {"chart": "individuals", "data": [1.0]}, "data"),
    ("control_limits", {"chart": "individuals", "data": [1.0, [2.0]]}, "data[1]"),
    ("control_limits", {"chart": "c", "data": [3, 1.5]}, "data[1]"),
    ("control_limits", {"chart": "c", "data": [3, -1]}, "data[1]"),
    ("control_limits", {"chart": "p", "data": [[3, 2]]}, "data[0]"),
    ("control_limits", {"chart": "p", "data": [[0, 0]]}, "data[0]"),
    ("control_limits", {"chart": "p", "data": [3, 50]}, "data[0]"),
    ("control_limits", {"chart": "u", "data": [3]}, "chart"),
    ("control_limits", {"chart": "c", "data": []}, "data"),
    ("run_length", {"chart": "rules"}, "rules"),
    ("run_length", {"chart": "rules", "rules": ["six_rising_or_falling"]}, "rules[0]"),
    ("run_length", {"chart": "rules", "rules": []}, "rules"),
    ("run_length", {"chart": "ewma", "weight": 0.2}, "width"),
    ("run_length", {"chart": "ewma", "weight": 0.0, "width": 3.0}, "weight"),
    ("run_length", {"chart": "ewma", "weight": 0.2, "width": 30.0}, "width"),
    ("run_length", {"chart": "cusum", "allowance": 0.5}, "decision"),
    ("run_length", {"chart": "cusum", "allowance": 1.0, "decision": 150.0}, "decision"),
    ("run_length", {"chart": "shewhart", "width": 50.0}, "width"),
    ("run_length", {"chart": "shewhart", "allowance": 0.5}, "allowance"),
    ("run_length", {"chart": "shewhart", "rules": ["one_beyond_three"]}, "rules"),
    ("capability", {"data": [1.0, 2.0]}, "lower"),
    ("capability", {"lower": 2.0, "upper": 1.0, "data": [1.0, 2.0]}, "upper"),
    ("capability", {**NORMAL, "data": [1.5, 1.5]}, "data"),
    ("capability", {**NORMAL, "data": [1.5]}, "data"),
    ("capability", NORMAL, "data"),
    ("capability", {**NORMAL, "mean": 1.5, "sd": 0.1}, "n"),
    ("capability", {**NORMAL, "mean": 1.5, "sd": -0.1, "n": 9}, "sd"),
    ("capability", {**NORMAL, "data": [1.0, 2.0], "n": 2}, "n"),
    ("capability", {**NORMAL, "data": [1.0, 2.0], "distribution": "lognormal"}, "distribution"),
    ("capability", {**NORMAL, "data": [-1.0, 2.0], "method": "percentile", "distribution": "lognormal"}, "data[0]"),
    ("capability", {**NORMAL, "mean": 1.0, "sd": 1.0, "n": 5, "method": "percentile", "distribution": "rayleigh"},
     "distribution"),
    ("capability", {**NORMAL, "data": [1.0, 2.0], "confidence": 1.0}, "confidence"),
    ("gauge_study", {"data": [[1.0, 2.0]]}, "data[0][0]"),
    ("gauge_study", {"data": [[[1.0, 2.0]]]}, "data[0]"),
    ("gauge_study", {"data": [[[1.0], [2.0]]]}, "data[0][0]"),
    ("gauge_study", {"data": [[[1.0, 2.0], [2.0, 3.0]], [[1.0, 2.0]]]}, "data[1]"),
    ("gauge_study", {"data": [[[1.0, 2.0], [2.0, [3.0]]]]}, "data[0][1][1]"),
    ("gauge_study", {"data": [[[1.0, 1.0], [1.0, 1.0]]]}, "data"),
    ("sampling_plan", {"lot": 1, "level": "II", "aql": 0.01}, "lot"),
    ("sampling_plan", {"lot": 100, "level": "IV", "aql": 0.01}, "level"),
    ("sampling_plan", {"lot": 100, "level": "II", "aql": 0.02}, "aql"),
    ("sampling_plan", {"lot": 100, "level": "II", "aql": 0.0}, "aql"),
    ("operating_characteristic", {"sample": 5, "accept": 6, "fraction": 0.1}, "accept"),
    ("operating_characteristic", {"sample": 50, "accept": 1, "fraction": 0.1, "lot": 40}, "sample"),
    ("operating_characteristic", {"sample": 5, "accept": 1, "fraction": 1.1}, "fraction"),
    ("zero_failure_sample", {"reliability": 1.0, "confidence": 0.9}, "reliability"),
    ("tolerance_factor", {"n": 1, "share": 0.9, "confidence": 0.9}, "n"),
    ("tolerance_factor", {"n": 10, "share": 1.0, "confidence": 0.9}, "share"),
    ("rolled_yield", {"yields": [0.9, 0.0]}, "yields[1]"),
    ("colour_difference", {"lab1": [50.0, 1.0], "lab2": [50.0, 1.0, 1.0]}, "lab1"),
    ("colour_difference", {"lab1": [50.0, 1.0, 0.0, 0.0], "lab2": [50.0, 1.0, 1.0]}, "lab1"),
    ("colour_difference", {"lab1": [50.0, 1.0, 0.0], "lab2": [101.0, 1.0, 1.0]}, "lab2[0]"),
    ("waiting_time", {"arrival_rate": 6.0, "service_rate": 3.0, "servers": 2}, "arrival_rate"),
    ("waiting_time", {"arrival_rate": 1.0, "service_rate": 0.0}, "service_rate"),
    ("waiting_time", {"arrival_rate": 1.0, "service_rate": 3.0, "servers": 0}, "servers"),
    ("best_pairs", {}, "left"),
    ("best_pairs", {"left": [[1.0]]}, "right"),
    ("best_pairs", {"units": [[1.0], [2.0]], "left": [[1.0]]}, "left"),
    ("best_pairs", {"units": [[1.0], [2.0, 3.0]]}, "units[1]"),
    ("best_pairs", {"left": [[1.0]], "right": [[2.0, 3.0]]}, "right[0]"),
    ("best_pairs", {"units": [[[1.0]], [[2.0]]]}, "units[0]"),
    ("best_pairs", {"units": [[1.0], [2.0]], "limit": -1.0}, "limit"),
    ("best_pairs", {"units": [[1.0]] * 5001}, "units"),
]  # fmt: skip


@pytest.mark.parametrize(("name", "inputs", "field"), IMPOSSIBLE)
def test_what_cannot_be_is_refused_in_five_parts(name: str, inputs: dict[str, Any], field: str) -> None:
    with pytest.raises(InputError) as refused:
        ask(by_name[name], inputs)

    first = refused.value.problems[0]
    assert first.field == field
    assert all(first.as_json().values()), first


OUTSIDE: list[tuple[str, dict[str, Any]]] = [
    ("run_length", {"chart": "shewhart", "shift": 7.0}),
    ("run_length", {"chart": "ewma", "weight": 0.01, "width": 2.0}),
    ("run_length", {"chart": "cusum", "allowance": 0.05, "decision": 5.0}),
    ("capability", {**NORMAL, "mean": 1.5, "sd": 0.1, "n": 50, "confidence": 0.2}),
    ("tolerance_factor", {"n": 3, "share": 0.9, "confidence": 0.9}),
    ("colour_difference", {"lab1": [50.0, 0.0, 0.0], "lab2": [60.0, 0.0, 0.0]}),
    ("waiting_time", {"arrival_rate": 1.0, "service_rate": 3.0, "service_variability": 9.0}),
]


@pytest.mark.parametrize(("name", "inputs"), OUTSIDE)
def test_outside_the_source_s_range_the_number_comes_with_a_finding(
    name: str, inputs: dict[str, Any]
) -> None:
    answer = ask(by_name[name], inputs)

    assert "out_of_range" in {f.code for f in answer.findings}
    assert answer.result


def test_samples_of_different_size_have_limits_of_their_own() -> None:
    found = ask(by_name["control_limits"], {"chart": "p", "data": [[2, 50], [3, 100], [1, 30]]}).result

    assert found["spread_centre"] is None
    assert found["upper_each"][1] < found["upper_each"][0] < found["upper_each"][2]
    assert found["upper_each"][1] < found["upper"] < found["upper_each"][2]


def test_one_limit_alone_has_no_cp() -> None:
    found = ask(by_name["capability"], {"upper": 2.0, "mean": 1.0, "sd": 0.25, "n": 40}).result

    assert found["cp"] is None
    assert found["cpk"] == pytest.approx(4.0 / 3.0)


def test_few_values_are_said_to_be_few() -> None:
    law = by_name["capability"]
    data = [1.0 + 0.01 * n for n in range(40)]

    measured = ask(law, {"lower": 0.0, "upper": 3.0, "data": data, "method": "percentile"})
    stated = ask(
        law, {"lower": 0.0, "upper": 3.0, "data": data, "method": "percentile", "distribution": "normal"}
    )
    short = ask(law, {"lower": 0.0, "upper": 3.0, "data": data[:10]})

    assert [(f.code, f.severity) for f in measured.findings] == [("few_measurements", "warning")]
    assert stated.findings == ()
    assert [(f.code, f.severity) for f in short.findings] == [("few_measurements", "note")]


def test_one_appraiser_is_a_study_of_the_equipment_alone() -> None:
    data = [[[1.0, 1.1], [2.0, 2.1], [3.1, 3.0]]]

    for method in ("anova", "range"):
        found = ask(by_name["gauge_study"], {"data": data, "method": method}).result
        assert found["appraiser_sd"] == 0.0
        assert found["part_sd"] > 10.0 * found["equipment_sd"] > 0.0
        assert found["p_interaction"] is None


def test_a_gauge_is_compared_with_its_tolerance() -> None:
    data = [[[1.0, 1.1], [2.0, 2.1], [3.1, 3.0]]]
    found = ask(by_name["gauge_study"], {"data": data, "tolerance": 3.0}).result

    assert found["percent_tolerance"] == pytest.approx(200.0 * found["grr_sd"])


def test_a_plan_larger_than_the_lot_inspects_it_all() -> None:
    answer = ask(by_name["sampling_plan"], {"lot": 12, "level": "II", "aql": 0.0065})

    assert (answer.result["sample"], answer.result["whole_lot"]) == (12, True)
    assert [f.code for f in answer.findings] == ["full_inspection"]


def test_pieces_may_be_plain_numbers_and_pools_may_be_empty() -> None:
    law = by_name["best_pairs"]

    assert ask(law, {"units": [3.0, 1.0, 1.2]}).result["pairs"] == [[1, 2]]
    assert ask(law, {"units": []}).result["worst"] is None
    nothing = ask(law, {"left": [], "right": [[1.0]]}).result
    assert (nothing["pairs"], nothing["right_over"]) == ([], [0])


def test_a_law_of_quality_loads_no_heavy_library_before_it_is_asked() -> None:
    import subprocess
    import sys

    names = ", ".join(f"{m.__name__}" for m in MODULES)
    script = (
        f"import sys, {names}; print([n for n in ('scipy', 'rustworkx', 'networkx') if n in sys.modules])"
    )

    said = subprocess.run([sys.executable, "-c", script], capture_output=True, text=True, check=True)

    assert said.stdout.strip() == "[]"
