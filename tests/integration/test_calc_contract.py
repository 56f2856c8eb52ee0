"""Every law that scripts may rely on answers under its name, with its arguments and result fields."""

from __future__ import annotations

import io
import json

import pytest

from pairwright.app.laws import all_laws, arguments_of
from pairwright.cli.main import status_of

# law -> (arguments that callers name, result fields that callers read)
PUBLIC: dict[str, tuple[str, str]] = {
    "equilibrium_moisture": ("temperature humidity", "moisture"),
    "wood_conductivity": ("specific_gravity moisture", "conductivity"),
    "wood_heat_capacity": ("temperature moisture", "heat_capacity"),
    "wood_movement": ("species direction dimension moisture_from moisture_to", "change"),
    "steam_pressure": ("temperature", "pressure"),
    "slab_temperature": (
        "thickness diffusivity initial surface time position conductivity heat_transfer", "temperature"),
    "press_cycle": (
        ("plies plies.species plies.thickness plies.moisture glue glue.rate_constant glue.activation_energy "
        "glue.order glue.spread glue.water platen initial target_cure one_sided"),
        "open_time coldest_line line_temperatures line_cures steam_pressure"),
    "cure_fraction": ("rate_constant activation_energy order history", "cure"),
    "laminate": (
        "plies plies.E1 plies.E2 plies.G12 plies.nu12 plies.thickness plies.angle_deg",
        "A B D thickness flexural_modulus_x flexural_modulus_y"),
    "spring_back": ("plies plies.E plies.thickness mould_radius", "fraction free_radius"),
    "spring_in": ("angle_deg moisture_change movement_along movement_through", "change_deg"),
    "minimum_bend_radius": ("thickness limit_strain", "radius"),
    "wall_pressure": ("pressure wall_angle_deg", "normal_pressure"),
    "curved_beam": (
        "inner_radius outer_radius width axial_force moment",
        "neutral_radius eccentricity inner_stress outer_stress"),
    "shell_opening": ("leg radius stiffness force", "opening"),
    "clamp_force": ("pressure length width", "force"),
    "iso_tolerance": ("size grade", "tolerance"),
    "tolerance_chain": (
        ("contributors contributors.nominal contributors.tolerance contributors.sensitivity "
        "contributors.distribution seed samples"),
        "nominal worst_low worst_high rss_low rss_high mc_low mc_high contributions"),
    "lacquer_volume": ("area dry_film volume_solids transfer_efficiency", "volume wet_film"),
    "film_build": (
        "coats coats.wet coats.solids coats.sd removals removals.mean removals.sd reserve",
        "mean sd probability_below_reserve"),
    "abrasion_depth": ("coefficient pressure speed time", "depth"),
    "hardness_day": ("readings threshold", "day low high"),
    "stove_temperature": (
        ("layers layers.thickness layers.conductivity layers.density layers.heat_capacity initial air "
        "heat_transfer time"), "surface core"),
    "closed_box": (
        "resonance compliance_volume total_q box_volume",
        "system_resonance system_q half_power_frequency peak_db"),
    "vented_box": (
        "resonance compliance_volume total_q box_volume box_tuning leakage_q", "half_power_frequency peak_db"),
    "driver_parameters": (
        "resistance mass compliance loss force_factor area density sound_speed",
        "resonance mechanical_q electrical_q total_q compliance_volume efficiency sensitivity_1w_db"),
    "crossover_values": ("type side frequency resistance", "elements"),
    "pad": ("resistance attenuation_db", "series shunt"),
    "impedance_corrector": ("resistance inductance", "series_resistance series_capacitance"),
    "network": ("circuit circuit.kind circuit.nodes circuit.value circuit.impedance frequencies", "nodes"),
    "sweep_lead": ("start stop duration order", "lead"),
    "band_edges": ("fraction index", "centre lower upper"),
    "a_weighting": ("frequency", "level_db"),
    "control_limits": ("chart data", "centre lower upper spread_centre spread_lower spread_upper sigma"),
    "run_length": ("chart shift rules weight width allowance decision", "average_run_length"),
    "capability": ("lower upper data mean sd n method confidence", "cp cpk ppm"),
    "gauge_study": (
        "data method",
        "equipment_sd appraiser_sd grr_sd part_sd total_sd percent_study distinct_categories"),
    "sampling_plan": ("lot level aql", "code_letter sample accept reject"),
    "operating_characteristic": ("sample accept fraction lot", "probability"),
    "colour_difference": ("lab1 lab2", "delta_e"),
    "waiting_time": ("arrival_rate service_rate servers", "mean_wait mean_queue probability_of_wait"),
    "best_pairs": ("left right units limit", "pairs total worst"),
}  # fmt: skip


@pytest.mark.parametrize("name", PUBLIC)
def test_a_public_law_has_its_arguments(name: str) -> None:
    arguments, _ = PUBLIC[name]

    known = {path for path, _ in arguments_of(all_laws()[name].arguments)}

    assert known >= set(arguments.split())


def test_the_list_mode_answers_every_public_law_with_its_fields(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    asked = [{"law": name, "inputs": dict(all_laws()[name].worked.inputs)} for name in PUBLIC]
    monkeypatch.setattr("sys.stdin", io.StringIO(json.dumps(asked, default=list)))

    status = status_of(["calc", "--stdin", "--json"])
    answers = json.loads(capsys.readouterr().out)

    assert status == 0, [a for a in answers if "error" in a]
    for answer in answers:
        assert set(answer["result"]) >= set(PUBLIC[answer["law"]][1].split()), answer["law"]
        assert answer["source"]
        assert answer["range"]
