"""One stack, two ways through time: stepped and by modes they tell the same temperatures."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from pairwright.physics.heat import INSULATED, PERFECT, Faces, HeatModel, Layer, heat_stack
from pairwright.physics.modes import Stack
from tests.strategies import finite

CELLS = 24
layers = st.lists(
    st.builds(Layer, finite(4e-4, 0.01), finite(0.08, 2.0), finite(300.0, 2000.0), finite(900.0, 2500.0)),
    min_size=1,
    max_size=4,
)
contacts = st.sampled_from([PERFECT, 300.0, 15.0])


@given(
    stack=layers,
    bottom=finite(290.0, 410.0),
    top=finite(290.0, 410.0),
    below=contacts,
    above=st.one_of(contacts, st.just(INSULATED)),
    time=finite(2.0, 3000.0),
)
@settings(max_examples=25)
def test_steps_and_modes_agree_between_any_two_faces(
    stack: list[Layer], bottom: float, top: float, below: float, above: float, time: float
) -> None:
    faces = Faces((0.0,), (bottom,), (top,), below, above)
    stepped = heat_stack(
        stack, faces, initial=293.15, cap=time, model=HeatModel(cells=CELLS, growth=0.03, compiled=False)
    )

    exact = Stack(stack, below, contact_top=above, cells=CELLS)
    modes = exact.advance(exact.begin(293.15), time, bottom=(bottom, 0.0), top=(top, 0.0))

    assert exact.out @ modes == pytest.approx(stepped.profile, abs=0.03)
    lines = exact.places(modes, bottom=bottom, top=top)[1:-1]
    assert lines == pytest.approx(stepped.temperatures[-1], abs=0.03)
    scale = float(exact.capacity.sum())
    assert exact.heat(modes, initial=293.15) == pytest.approx(stepped.stored, abs=0.03 * scale)


@given(stack=layers, rise=finite(0.01, 1.0), fall=finite(-0.5, 0.5), time=finite(10.0, 900.0))
@settings(max_examples=15)
def test_steps_and_modes_agree_while_both_faces_change(
    stack: list[Layer], rise: float, fall: float, time: float
) -> None:
    end = (293.15 + rise * time, 330.0 + fall * time)
    faces = Faces((0.0, time), (293.15, end[0]), (330.0, end[1]), 200.0, 40.0)
    stepped = heat_stack(
        stack, faces, initial=300.0, cap=time, model=HeatModel(cells=CELLS, growth=0.02, compiled=False)
    )

    exact = Stack(stack, 200.0, contact_top=40.0, cells=CELLS)
    modes = exact.advance(exact.begin(300.0), time, bottom=(293.15, rise), top=(330.0, fall))

    assert exact.out @ modes == pytest.approx(stepped.profile, abs=0.05)


def test_a_stack_between_two_insulated_faces_keeps_its_heat() -> None:
    wood = Layer(0.004, 0.16, 650.0, 1600.0)
    stack = Stack([wood, wood], INSULATED)
    start = np.linspace(290.0, 390.0, stack.capacity.size)

    modes = stack.advance(stack.begin(start), 1e6, bottom=(500.0, 0.0))

    assert stack.out @ modes == pytest.approx(np.full(start.size, 340.0), abs=1e-6)


def test_a_march_goes_on_where_another_ended() -> None:
    wood = Layer(0.004, 0.16, 650.0, 1300.0, 2.0, 0.0025)
    model = HeatModel(growth=0.01, compiled=False)
    faces = Faces((0.0,), (390.0,), (390.0,))
    whole = heat_stack([wood, wood], faces, initial=293.15, cap=120.0, model=model)

    half = heat_stack([wood, wood], faces, initial=293.15, cap=60.0, model=model)
    rest = heat_stack([wood, wood], faces, initial=half.profile, cap=60.0, model=model)

    assert rest.profile == pytest.approx(whole.profile, abs=0.01)
    assert half.heat[-1] + rest.heat[-1] == pytest.approx(whole.heat[-1], rel=1e-3)


def test_modes_refuse_properties_that_move() -> None:
    with pytest.raises(ValueError, match="heat_stack"):
        Stack([Layer(1e-3, 0.16, 650.0, 1300.0, 2.0)], 20.0)
