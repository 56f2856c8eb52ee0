"""The layup laws as the command line asks them: shapes, errors in five parts, findings."""

from __future__ import annotations

from typing import Any

import pytest

from pairwright.base.errors import InputError
from pairwright.base.laws import Law, ask
from pairwright.physics import (
    bending,
    cure,
    laminate,
    movement,
    presslaw,
    pressure,
    shell,
    slab,
    steam,
    wood,
)
from pairwright.physics.heat import HeatModel
from pairwright.physics.kinetics import fit_kinetics, kissinger_fit
from pairwright.physics.press import Glue, Ply, PressStack, press_cycle
from pairwright.physics.species import species

LAWS: dict[str, Law] = {
    law.name: law
    for module in (wood, movement, steam, slab, cure, presslaw, laminate, bending, pressure, shell)
    for law in module.LAWS
}

# name -> result fields that scripts rely on
FIELDS = {
    "equilibrium_moisture": {"moisture"},
    "wood_conductivity": {"conductivity"},
    "wood_heat_capacity": {"heat_capacity"},
    "wood_movement": {"change"},
    "steam_pressure": {"pressure"},
    "slab_temperature": {"temperature"},
    "press_cycle": {"open_time", "coldest_line", "line_temperatures", "line_cures", "steam_pressure"},
    "cure_fraction": {"cure"},
    "laminate": {"A", "B", "D", "thickness", "flexural_modulus_x", "flexural_modulus_y"},
    "spring_back": {"fraction", "free_radius"},
    "spring_in": {"change_deg"},
    "minimum_bend_radius": {"radius"},
    "wall_pressure": {"normal_pressure"},
    "curved_beam": {"neutral_radius", "eccentricity", "inner_stress", "outer_stress"},
    "shell_opening": {"opening"},
}


def problems(name: str, given: dict[str, Any]) -> list[str]:
    with pytest.raises(InputError) as caught:
        ask(LAWS[name], given)
    for problem in caught.value.problems:
        assert problem.where == f"calc {name}"
        assert all(str(part) for part in (problem.field, problem.must_be, problem.got, problem.do))
    return [problem.field for problem in caught.value.problems]


def test_every_law_of_the_layup_is_there() -> None:
    assert set(LAWS) == set(FIELDS)


@pytest.mark.parametrize("name", FIELDS)
def test_a_law_answers_with_the_agreed_fields(name: str) -> None:
    law = LAWS[name]

    answer = ask(law, law.worked.inputs)

    assert FIELDS[name] <= set(answer.result)
    assert set(answer.result) == {result.name for result in law.results}
    for field, wanted in law.worked.result.items():
        assert answer.result[field] == pytest.approx(wanted, rel=law.worked.tolerance)


def change(name: str, **wrong: object) -> dict[str, Any]:
    return {**LAWS[name].worked.inputs, **wrong}


# what cannot be, and the field that must be named
@pytest.mark.parametrize(
    ("name", "wrong", "field"),
    [
        ("equilibrium_moisture", {"humidity": 1.2}, "humidity"),
        ("equilibrium_moisture", {"temperature": 20.0}, "temperature"),
        ("wood_conductivity", {"specific_gravity": -0.1}, "specific_gravity"),
        ("wood_heat_capacity", {"moisture": -0.01}, "moisture"),
        ("wood_movement", {"species": "teak"}, "species"),
        ("wood_movement", {"direction": "upwards"}, "direction"),
        ("wood_movement", {"dimension": 0.0}, "dimension"),
        ("steam_pressure", {"temperature": 700.0}, "temperature"),
        ("slab_temperature", {"position": 0.041}, "position"),
        ("slab_temperature", {"heat_transfer": None, "conductivity": 1.0}, "heat_transfer"),
        ("press_cycle", {"plies": []}, "plies"),
        ("press_cycle", {"platen": -5.0}, "platen"),
        ("press_cycle", {"target_cure": 1.0}, "target_cure"),
        ("press_cycle", {"one_sided": 3}, "one_sided"),
        ("cure_fraction", {"history": [[0.0, 300.0]]}, "history"),
        ("cure_fraction", {"history": [[0.0, 300.0], [1.0]]}, "history[1]"),
        ("cure_fraction", {"history": [[0.0, 300.0], [1.0, -3.0]]}, "history[1]"),
        ("cure_fraction", {"history": [[5.0, 300.0], [1.0, 300.0]]}, "history[1]"),
        ("spring_back", {"plies": [{"E": 1e9, "thickness": 1e-3}]}, "plies"),
        ("spring_back", {"mould_radius": -1.0}, "mould_radius"),
        ("minimum_bend_radius", {"limit_strain": 0.0}, "limit_strain"),
        ("wall_pressure", {"wall_angle_deg": 91.0}, "wall_angle_deg"),
        ("curved_beam", {"outer_radius": 2.0}, "outer_radius"),
        ("shell_opening", {"stiffness": 0.0}, "stiffness"),
    ],
)
def test_what_cannot_be_is_refused(name: str, wrong: dict[str, object], field: str) -> None:
    given = {k: v for k, v in change(name, **wrong).items() if v is not None}

    assert field in problems(name, given)


def test_a_laminate_that_would_give_energy_is_refused() -> None:
    ply = {"E1": 1e9, "E2": 10e9, "G12": 1e9, "nu12": 0.9, "thickness": 1e-3, "angle_deg": 0.0}

    assert problems("laminate", {"plies": [ply]}) == ["plies[0].nu12"]


def test_a_cure_that_is_never_reached_says_how_far_it_came() -> None:
    given = change("press_cycle", platen=303.15)

    with pytest.raises(InputError) as caught:
        ask(LAWS["press_cycle"], given)

    line = str(caught.value)
    assert "target_cure must be reachable within 120 min, got 0." in line
    assert "< 0.95" in line

    longer = ask(LAWS["press_cycle"], {**given, "longest": "3 d"})
    assert longer.result["open_time"] > 7200.0


def test_quantities_with_units_are_read() -> None:
    answer = ask(LAWS["equilibrium_moisture"], {"temperature": "21.1 degC", "humidity": "65 %"})

    assert answer.result["moisture"] == pytest.approx(0.1196, abs=0.0001)


# outside the source's range: the number and a finding
@pytest.mark.parametrize(
    ("name", "given"),
    [
        ("equilibrium_moisture", {"temperature": 293.15, "humidity": 0.99}),
        ("wood_conductivity", {"specific_gravity": 0.25, "moisture": 0.1}),
        ("wood_heat_capacity", {"temperature": 300.0, "moisture": 0.5}),
        ("steam_pressure", {"temperature": 263.15}),
        ("minimum_bend_radius", {"thickness": 0.001, "limit_strain": 0.05}),
        ("wall_pressure", {"pressure": 1e6, "wall_angle_deg": 85.0}),
    ],
)
def test_outside_its_range_a_law_says_so(name: str, given: dict[str, Any]) -> None:
    answer = ask(LAWS[name], given)

    assert "out_of_range" in [finding.code for finding in answer.findings]
    assert all(isinstance(value, float) for value in answer.result.values())


def test_thin_wet_veneers_are_reported() -> None:
    plies = [{"species": "birch", "thickness": 0.0006, "moisture": 0.08}] * 5
    glue = {"rate_constant": 1.8e9, "activation_energy": 80e3, "order": 1.0, "spread": 0.16, "water": 0.5}

    answer = ask(LAWS["press_cycle"], change("press_cycle", plies=plies, glue=glue))

    assert [f.code for f in answer.findings] == ["out_of_range"]
    assert "28" in str(answer.findings[0].text) or "31" in str(answer.findings[0].text)


def test_a_wood_from_memory_is_marked() -> None:
    given = change("wood_movement", species="okoume")
    plies = [{"species": "okoume", "thickness": 0.0015, "moisture": 0.08}] * 3

    assert [f.code for f in ask(LAWS["wood_movement"], given).findings] == ["not_confirmed"]
    assert "not_confirmed" in [
        f.code for f in ask(LAWS["press_cycle"], change("press_cycle", plies=plies)).findings
    ]


def test_an_unknown_wood_lists_the_known_ones() -> None:
    with pytest.raises(InputError, match="birch, yellow"):
        species("teak", where="materials/wood.toml")


def test_every_mistake_in_a_stack_is_named_at_once() -> None:
    with pytest.raises(InputError) as caught:
        PressStack((Ply(-1.0, 0.6, -0.1),), Glue(0.0, 80e3, -1.0, -0.1, 2.0))

    fields = [problem.field for problem in caught.value.problems]
    assert fields == [
        "plies", "plies[0].thickness", "plies[0].moisture", "glue.spread", "glue.water",
        "glue.rate_constant", "glue.order",
    ]  # fmt: skip


def test_a_ramp_out_of_order_is_refused() -> None:
    stack = PressStack((Ply(1e-3, 0.6, 0.08),) * 2, Glue(1.8e9, 80e3))

    with pytest.raises(InputError, match="ramp must be points of rising time"):
        press_cycle(stack, platen=390.0, initial=293.0, target_cure=0.9, ramp=[(0.0, 300.0), (0.0, 390.0)])
    with pytest.raises(InputError, match="cap must be above 0"):
        press_cycle(stack, platen=390.0, initial=293.0, target_cure=0.9, cap=0.0)


def test_without_a_record_the_course_is_empty_and_the_end_the_same() -> None:
    stack = PressStack((Ply(1e-3, 0.6, 0.08),) * 3, Glue(1.8e9, 80e3))

    kept, dropped = (
        press_cycle(stack, platen=390.0, initial=293.0, target_cure=0.9, record=r, model=HeatModel(cells=16))
        for r in (True, False)
    )

    assert dropped.times.shape == (0,)
    assert dropped.cures.shape == (0, 2)
    assert kept.open_time == dropped.open_time
    assert kept.temperatures.shape == kept.cures.shape == (len(kept.times), 2)


def test_kinetics_need_a_hotter_and_shorter_time() -> None:
    for second in ((373.15, 50.0), (393.15, 140.0), (393.15, 0.0)):
        with pytest.raises(InputError, match="kinetics"):
            fit_kinetics((373.15, 133.0), second)
    with pytest.raises(InputError, match="two or more heating rates"):
        kissinger_fit([(0.1, 370.0)])
