"""The finish, glue-up, tolerance and loudspeaker laws as the handbook serves them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import pytest

from pairwright.base.errors import InputError
from pairwright.base.laws import Law, ask
from pairwright.measure import bands, sweep
from pairwright.physics import (
    abrasion,
    box,
    clamp,
    crossover,
    drive_unit,
    film,
    grades,
    hardness,
    lacquer,
    network,
    stove,
    tolerance,
)

MODULES = (
    abrasion, bands, box, clamp, crossover, drive_unit, film, grades, hardness, lacquer, network,
    stove, sweep, tolerance,
)  # fmt: skip
LAWS = [law for module in MODULES for law in module.LAWS]
every_law = pytest.mark.parametrize("law", LAWS, ids=lambda law: law.name)
by_name = {law.name: law for law in LAWS}


def same(found: Any, wanted: Any, tolerance: float) -> bool:
    """Whether two answers agree, however deep their lists and objects go."""
    if isinstance(wanted, Mapping):
        return all(same(found[name], value, tolerance) for name, value in wanted.items())
    if isinstance(wanted, Sequence) and not isinstance(wanted, str):
        return len(found) == len(wanted) and all(map(same, found, wanted, [tolerance] * len(wanted)))
    if isinstance(wanted, str):
        return bool(found == wanted)
    return bool(found == pytest.approx(wanted, rel=tolerance, abs=1e-12))


@every_law
def test_the_worked_number_comes_out(law: Law) -> None:
    answer = ask(law, law.worked.inputs)

    for name, value in law.worked.result.items():
        assert same(answer.result[name], value, law.worked.tolerance), (name, answer.result[name])
    assert not [f for f in answer.findings if f.code == "out_of_range"]


@every_law
def test_the_answer_has_the_fields_it_announces(law: Law) -> None:
    answer = ask(law, law.worked.inputs)

    assert set(answer.result) == {r.name for r in law.results}


@every_law
def test_nothing_given_is_asked_for_by_name(law: Law) -> None:
    with pytest.raises(InputError) as refused:
        ask(law, {})

    assert {p.field for p in refused.value.problems} == {a.name for a in law.arguments if a.required}


IMPOSSIBLE: list[tuple[str, dict[str, Any]]] = [
    ("clamp_force", {"pressure": -1.0, "length": 0.5, "width": 0.02}),
    ("clamp_force", {"pressure": 1e6, "length": 0.0, "width": 0.02}),
    ("iso_tolerance", {"size": 0.05, "grade": "IT19"}),
    ("iso_tolerance", {"size": 4.0, "grade": "IT7"}),
    ("iso_tolerance", {"size": 0.6, "grade": "IT01"}),
    ("tolerance_chain", {"contributors": []}),
    ("tolerance_chain", {"contributors": [{"nominal": 1.0, "tolerance": -0.1}]}),
    ("lacquer_volume", {"area": 1.0, "dry_film": 5e-5, "volume_solids": 0.0}),
    ("lacquer_volume", {"area": 1.0, "dry_film": 5e-5, "volume_solids": 1.2}),
    ("film_build", {"coats": [{"wet": 1e-4, "solids": 1.5}], "reserve": 0.0}),
    ("abrasion_depth", {"coefficient": 1e-12, "pressure": 1e4, "speed": -1.0, "time": 60.0}),
    ("hardness_day", {"readings": [[1.0, 40.0]], "threshold": 80.0}),
    ("hardness_day", {"readings": [[1.0, 40.0], [1.0, 41.0]], "threshold": 80.0}),
    ("closed_box", {"resonance": 0.0, "compliance_volume": 0.1, "total_q": 0.4, "box_volume": 0.1}),
    ("vented_box", {"resonance": 30.0, "compliance_volume": 0.1, "total_q": 0.4, "box_volume": 0.1,
                    "box_tuning": 30.0, "leakage_q": -7.0}),
    ("driver_parameters", {"resistance": 6.0, "mass": 0.01, "compliance": 1e-3, "loss": 0.0,
                           "force_factor": 7.0, "area": 0.01}),
    ("crossover_values", {"type": "LR3", "side": "low", "frequency": 2e3, "resistance": 8.0}),
    ("pad", {"resistance": 8.0, "attenuation_db": 0.0}),
    ("impedance_corrector", {"resistance": 0.0, "inductance": 1e-3}),
    ("network", {"circuit": [{"kind": "resistor", "nodes": ["a", "a"], "value": 8.0}], "frequencies": [1.0]}),
    ("network", {"circuit": [{"kind": "resistor", "nodes": ["a", "b"], "value": 8.0}], "frequencies": [1.0]}),
    ("network", {"circuit": [{"kind": "resistor", "nodes": ["a", "common"]}], "frequencies": [1.0]}),
    ("network", {"circuit": [{"kind": "measured", "nodes": ["a", "common"]}], "frequencies": [1.0]}),
    ("network", {"circuit": [{"kind": "source", "nodes": ["a", "common"], "value": 1.0}],
                 "frequencies": [0.0]}),
    ("sweep_lead", {"start": 20.0, "stop": 20.0, "duration": 5.0, "order": 2.0}),
    ("sweep_lead", {"start": 20.0, "stop": 2e4, "duration": 5.0, "order": 0.5}),
    ("band_edges", {"fraction": 0, "index": 1}),
    ("a_weighting", {"frequency": 0.0}),
    ("stove_temperature", {"layers": [], "initial": 293.0, "air": 323.0, "heat_transfer": 20.0, "time": 9.0}),
]  # fmt: skip


@pytest.mark.parametrize(("name", "inputs"), IMPOSSIBLE)
def test_what_cannot_be_is_refused_in_five_parts(name: str, inputs: dict[str, Any]) -> None:
    with pytest.raises(InputError) as refused:
        ask(by_name[name], inputs)

    for problem in refused.value.problems:
        assert all(problem.as_json().values()), problem


OUTSIDE: list[tuple[str, dict[str, Any]]] = [
    ("clamp_force", {"pressure": 4e6, "length": 0.5, "width": 0.02}),
    ("lacquer_volume", {"area": 1.0, "dry_film": 5e-3, "volume_solids": 0.5}),
    ("film_build", {"coats": [{"wet": 5e-3, "solids": 0.5}]}),
    ("abrasion_depth", {"coefficient": 1e-12, "pressure": 1e6, "speed": 1.0, "time": 60.0}),
    ("tolerance_chain", {"contributors": [{"nominal": 1.0, "tolerance": 0.1}], "samples": 100}),
    ("closed_box", {"resonance": 30.0, "compliance_volume": 0.1, "total_q": 3.0, "box_volume": 0.1}),
    ("a_weighting", {"frequency": 1.0}),
]


@pytest.mark.parametrize(("name", "inputs"), OUTSIDE)
def test_outside_the_source_s_range_the_number_comes_with_a_finding(
    name: str, inputs: dict[str, Any]
) -> None:
    answer = ask(by_name[name], inputs)

    assert "out_of_range" in {f.code for f in answer.findings}
    assert answer.result


def test_quantities_with_units_are_read() -> None:
    answer = ask(by_name["clamp_force"], {"pressure": "0.8 MPa", "length": "500 mm", "width": "20 mm"})

    assert answer.result["force"] == pytest.approx(8000.0)


def test_a_hardness_out_of_reach_says_so_and_gives_no_day() -> None:
    readings = [[1.0, 40.0], [3.0, 70.0], [7.0, 79.0], [14.0, 80.0]]

    answer = ask(by_name["hardness_day"], {"readings": readings, "threshold": 150.0})

    assert answer.result["day"] is None
    assert "hardness_not_reached" in {f.code for f in answer.findings}


def test_null_stands_for_a_default_of_none() -> None:
    inputs = dict(by_name["hardness_day"].worked.inputs)

    assert ask(by_name["hardness_day"], {**inputs, "reading_sd": None}).result["day"] is not None


def test_frequencies_beyond_a_measured_impedance_come_with_a_finding() -> None:
    circuit = [
        {"kind": "source", "nodes": ["in", "common"], "value": 1.0, "series_resistance": 1.0},
        {"kind": "measured", "nodes": ["in", "common"], "impedance": [[100.0, 7.0, 0.0], [1e3, 9.0, 2.0]]},
    ]

    inside = ask(by_name["network"], {"circuit": circuit, "frequencies": [100.0, 1000.0]})
    outside = ask(by_name["network"], {"circuit": circuit, "frequencies": [2000.0]})

    assert inside.findings == ()
    assert [f.code for f in outside.findings] == ["out_of_range"]
    assert inside.result["nodes"]["in"][0] == pytest.approx([7.0 / 8.0, 0.0])


def test_a_lossless_box_is_said_with_null_or_with_nothing() -> None:
    inputs = dict(by_name["vented_box"].worked.inputs)

    assert ask(by_name["vented_box"], {**inputs, "leakage_q": None}).result == (
        ask(by_name["vented_box"], inputs).result
    )
