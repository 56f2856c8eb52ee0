"""Which tests hold which law to something outside the project: a published number, a closed form, a property.

`tests/house/test_coverage.py` reads this index: every public law must stand here with tests that exist and assert
enough. A source is named once for all tests that share it. Tests under `property/` hold a law by mathematics (closed
forms, conservation, order), not by a publication.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Check(NamedTuple):
    """Tests of one file that hold a law, and what they hold it to."""

    source: str
    file: str  # below tests/
    tests: tuple[str, ...]


def check(source: str, file: str, tests: str) -> Check:
    return Check(source, file, tuple("test_" + name for name in tests.split()))


INDEX: Final[dict[str, tuple[Check, ...]]] = {
    # ------------------------------------------------------------------------------ wood
    "equilibrium_moisture": (
        check("Simpson, FPL-RN-0268, and other published evaluations", "reference/test_wood_and_moisture.py",
              "wood_settles_where_others_computed_it a_workshop_table_in_whole_per_cent_agrees "
              "the_equation_stays_within_its_stated_error_of_the_table"),
        check("measured sorption of European woods", "reference/test_wood_and_moisture.py",
              "measured_european_woods_lie_within_a_point_and_a_half"),
    ),
    "wood_conductivity": (
        check("Wood Handbook, Table 4-7", "reference/test_wood_and_moisture.py",
              "conductivity_is_as_tabulated the_furthest_wood_is_within_the_handbooks_scatter"),
        check("a worked case", "reference/test_wood_and_moisture.py",
              "conductivity_of_a_worked_case conductivity_rises_by_two_to_three_per_cent_in_ten_kelvin"),
    ),
    "wood_heat_capacity": (
        check("Wood Handbook, chapter 4", "reference/test_wood_and_moisture.py",
              "heat_capacity_of_the_handbooks_case dry_wood_holds_heat_in_the_handbooks_span "
              "wet_wood_holds_more_than_the_mixture_of_wood_and_water"),
    ),
    "wood_movement": (
        check("Wood Handbook, Tables 4-3 and 13-5", "reference/test_wood_movement.py",
              "a_tenth_of_a_metre_moves_as_the_table_says one_table_follows_from_the_other"),
        check("flooring trade; sheet of European ash", "reference/test_wood_movement.py",
              "a_mesquite_board_of_the_flooring_trade european_ash_moves_as_its_sheet_says"),
    ),
    # ------------------------------------------------------------------------------ press
    "slab_temperature": (
        check("Incropera et al., Example 5.4", "reference/test_slab_heat.py",
              "the_insulated_face_is_as_hot_as_the_book_says flux_and_energy_are_the_books "
              "root_and_weight_are_the_books"),
        check("Carslaw and Jaeger, the series", "property/test_physics_layup.py",
              "the_middle_rises_as_the_series_says roots_and_weights"),
    ),
    "press_cycle": (
        check("Jokerst and Geimer, Forest Prod. J. 44 (1994): criterion; conduction derived",
              "reference/test_press_cycle.py", "the_solver_heats_half_inch_plywood_in_the_derived_time"),
        check("Key Eng. Mater. 688 (2016) 131-137", "reference/test_press_cycle.py", "hotter_platens_open_sooner"),
        check("Bekhta, Sedliacik, Bekhta, Polymers 12 (2020) 1035", "reference/test_press_cycle.py",
              "more_plies_open_later"),
        check("Trans. ASME 60 (1938), hot-pressing of plywood", "reference/test_press_cycle.py",
              "species_matters_little"),
        check("DE 923505, thick phenolic boards", "reference/test_press_cycle.py",
              "press_time_grows_with_thickness_less_than_squared"),
        check("a stiff library solver", "unit/physics/test_press_twin.py",
              "a_stiff_library_solver_opens_the_press_at_the_same_time"),
    ),
    "cure_fraction": (
        check("Popovic et al., Wood Research 56 (2011): peaks of urea resins", "reference/test_cure.py",
              "the_peak_comes_back_where_it_was_published"),
        check("Poljansek et al., Wood Sci. Technol. 47 (2013): energy and order", "reference/test_cure.py",
              "the_energy_lies_where_resins_were_measured times_to_ninety_per_cent_are_those_of_the_derived_table"),
        check("GB 1063765: veneering in 24 s, a bound", "reference/test_cure.py",
              "a_patent_veneered_faster_than_the_derived_set_allows"),
        check("the exponential integral", "property/test_physics_layup.py",
              "the_dose_of_a_ramp_is_that_of_the_exponential_integral"),
    ),
    "kinetics_fit": (
        check("Kissinger 1957, round trip through a derived table", "reference/test_cure.py",
              "two_times_of_the_table_give_the_energy_back four_peaks_give_the_energy_back "
              "faster_heating_moves_the_peak"),
    ),
    "steam_pressure": (
        check("IAPWS R7-97(2012), Tables 35 and 36", "reference/test_steam.py",
              "pressure_is_the_standards boiling_point_is_the_standards the_line_ends_at_the_critical_point"),
        check("an older printed steam table", "reference/test_steam.py", "an_older_printed_table_agrees"),
        check("a university's table", "reference/test_steam.py", "a_university_table_agrees"),
        check("a pipefitter's gauge table", "reference/test_steam.py", "a_pipefitters_gauge_table_agrees"),
    ),
    "wall_pressure": (
        check("a force resolved; the sum over a half cylinder", "property/test_physics_layup.py",
              "a_leaning_wall_gets_less cylinders_carry_the_press"),
    ),
    # ------------------------------------------------------------------------------ layup
    "laminate": (
        check("Mallick 2008, Ex. 3.6 and 3.7", "reference/test_lamination.py",
              "an_angle_ply_pair_is_the_books its_coupling_is_the_books a_symmetrical_angle_ply_is_the_books "
              "a_three_ply_stack_is_the_books"),
        check("invariants of Tsai and Pagano", "property/test_physics_layup.py",
              "invariants_of_a_whole_laminate_survive_a_turn stiffness_is_symmetric_and_positive"),
    ),
    "warp": (
        check("Timoshenko 1925, bimetal strips", "reference/test_sheet_laws.py",
              "two_strips_bend_as_timoshenko_printed alike_plies_do_not_bend"),
        check("symmetry", "property/test_physics_shells.py",
              "a_balanced_panel_stays_flat a_stray_ply_twists_and_its_mirror_twists_the_other_way"),
    ),
    "three_point_bending": (
        check("the beam with shear, closed form", "reference/test_sheet_laws.py",
              "a_beam_of_one_wood_is_the_textbooks a_crossed_strip_is_softer_by_its_rolling_shear"),
        check("five sixths; a sandwich", "property/test_physics_shells.py",
              "one_wood_has_five_sixths a_sandwich_shears_in_its_core"),
    ),
    "shell_held_open": (
        check("a half ring pulled at its ends, closed form", "reference/test_sheet_laws.py",
              "a_half_ring_pulled_open_is_the_closed_form the_stress_of_a_thin_crown_is_that_of_a_beam"),
        check("linearity", "property/test_physics_shells.py", "an_opened_shell_is_linear_and_its_limit_is_one"),
    ),
    "spring_back": (
        check("the boatbuilders' rule", "reference/test_bending.py", "a_deck_beam_loses_what_the_boatbuilders_say"),
        check("a published chair back", "reference/test_bending.py",
              "a_chair_back_opened_more_than_the_elastic_rule the_rule_gives_no_more_than_the_order_of_size"),
        check("Sanne, Ahn-Ercan, Pfriem, Forests 11 (2020) 725: what does not matter", "reference/test_bending.py",
              "radius_and_thickness_do_not_matter"),
        check("beam theory", "property/test_physics_layup.py", "n_equal_plies_lose_one_over_n_squared"),
    ),
    "spring_in": (
        check("Wood Handbook's beech; the moulders' note", "reference/test_bending.py",
              "spring_in_uses_the_handbooks_beech moulders_see_plywood_close_as_it_dries"),
        check("geometry of a sector", "property/test_physics_layup.py", "spring_in_is_the_geometry_of_a_sector"),
    ),
    "minimum_bend_radius": (
        check("data sheet of bending wood", "reference/test_bending.py",
              "dry_beech_bends_to_sixty_times_its_thickness the_sheets_breaking_strain_is_near_its_radius "
              "the_elastic_limit_is_ninety_three_thicknesses"),
        check("aircraft plywood", "reference/test_bending.py", "aircraft_plywood_was_bent_between_the_limits"),
    ),
    "developed_length": (
        check("parallel curves", "reference/test_profile.py",
              "a_half_ring_of_two_plies a_right_angle_of_sheet_metal every_ply_of_a_u_is_pi_thicknesses_longer"),
        check("turning times distance", "property/test_physics_shells.py",
              "lengths_differ_by_the_turning_times_the_distance"),
    ),
    "shell_opening": (
        check("MacNeal and Harder, curved beam; University of Washington", "reference/test_shell.py",
              "a_quarter_ring_gives_as_in_the_benchmark the_quarter_rings_coefficients_are_those_of_the_lecture "
              "two_half_rings_make_the_pinched_ring the_opening_of_a_long_u_is_that_of_two_cantilevers"),
    ),
    "curved_beam": (
        check("Shigley, crane hook", "reference/test_shell.py",
              "the_hooks_neutral_radius_is_the_books the_hooks_stresses_are_the_books "
              "the_same_hook_in_metres_and_newtons"),
    ),
    # ------------------------------------------------------------------------------ gluing, fit
    "clamp_force": (
        check("a woodworking magazine", "reference/test_clamp.py",
              "the_panel_of_the_woodworking_magazine the_number_of_clamps_of_the_woodworking_magazine "
              "a_large_face_takes_a_press"),
    ),
    "iso_tolerance": (
        check("ISO 286-1, printed tables", "reference/test_grades.py",
              "it5_to_it11_are_the_printed_ones the_finer_and_coarser_grades_are_the_printed_ones "
              "it14_at_ten_and_a_hundred_millimetres"),
    ),
    "tolerance_chain": (
        check("JCGM 101:2008, 9.2", "reference/test_tolerance.py",
              "four_normal_inputs_as_printed four_rectangular_inputs_as_printed "
              "the_shape_of_the_inputs_shows_in_the_interval"),
    ),
    "tolerance_loop": (
        check("closed geometry of the roller clutch and the right triangle",
              "reference/test_circuit_and_tolerance_laws.py",
              "the_roller_between_hub_and_ring a_triangle_of_three_four_and_five"),
    ),
    "tolerance_allocation": (
        check("Lagrange's condition, by hand", "reference/test_circuit_and_tolerance_laws.py",
              "two_links_at_least_cost"),
    ),
    # ------------------------------------------------------------------------------ finish
    "lacquer_volume": (
        check("coverage tables of a coating maker", "reference/test_lacquer.py",
              "a_litre_covers_what_the_coverage_tables_print a_gallon_covers_what_the_coverage_note_prints "
              "the_wet_film_is_the_published_one the_worked_case_of_the_coverage_formula"),
    ),
    "film_build": (
        check("JCGM 100 and 101: sums of independent inputs", "reference/test_film.py",
              "four_equal_inputs_double_the_scatter the_components_of_the_gauge_block_sum_as_printed "
              "solids_turn_wet_scatter_into_dry_scatter"),
    ),
    "abrasion_depth": (
        check("Preston 1927", "reference/test_abrasion.py", "the_law_gives_its_own_number"),
        check("Sydor et al., Appl. Sci. 11 (2021) 2860", "reference/test_abrasion.py",
              "hardwood_takes_longer_by_the_published_factor coarser_grit_cuts_faster_in_the_published_order"),
        check("Ockajova et al., BioRes. 11 (2016) 5242", "reference/test_abrasion.py",
              "a_worn_belt_follows_the_published_form"),
    ),
    "hardness_day": (
        check("NIST StRD, the same form with certified constants", "reference/test_hardness.py",
              "the_constants_are_the_certified_ones the_scatter_is_the_certified_one "
              "the_uncertainties_are_the_certified_ones"),
        check("another published fit of the form", "reference/test_hardness.py",
              "another_published_fit_of_oxygen_demand"),
        check("Ma et al., Pigment & Resin Technol. 43 (2014): the form", "reference/test_hardness.py",
              "the_published_form_is_bounded_and_grows"),
    ),
    "ideal_gloss": (
        check("ISO 2813; Fresnel", "reference/test_solvent_and_gloss.py", "the_angle_to_read_follows_the_standard"),
        check("Fresnel at three angles", "property/test_physics_glue.py",
              "ideal_gloss_is_fresnel reflectance_is_a_share"),
    ),
    "solvent_air": (
        check("published vapour volume and limits of toluene", "reference/test_solvent_and_gloss.py",
              "a_gallon_of_toluene_makes_the_printed_vapour the_limits_are_the_published_ones "
              "a_litre_of_toluene_needs_the_air_of_the_cautious_limit"),
    ),
    "stove_temperature": (
        check("Incropera et al., Example 5.4", "reference/test_stove.py",
              "the_insulated_face_is_as_warm_as_printed the_heat_flux_is_the_printed_one "
              "the_heat_taken_up_is_the_printed_one"),
        check("the series of a plane wall", "property/test_physics_stove.py", "one_layer_is_the_analytic_series"),
    ),
    # ------------------------------------------------------------------------------ sound
    "driver_parameters": (
        check("Small 1972: relations and the efficiency constant", "reference/test_drive_unit.py",
              "the_synthetic_unit_by_small_s_relations the_efficiency_constant_of_the_paper "
              "efficiency_and_sensitivity_of_a_usual_woofer"),
    ),
    "added_mass": (
        check("Small's relations", "reference/test_drive_unit.py", "an_added_mass_gives_back_the_moving_mass"),
        check("the trials on one unit", "reference/test_impedance_fit.py",
              "an_added_mass_and_a_known_volume_give_the_same_moving_parts "
              "the_drawn_scatter_of_the_mass_is_the_stated_one"),
    ),
    "known_volume": (
        check("Small's relations", "reference/test_drive_unit.py", "a_known_volume_gives_back_the_compliance"),
        check("the trials on one unit", "reference/test_impedance_fit.py",
              "an_added_mass_and_a_known_volume_give_the_same_moving_parts"),
    ),
    "three_points": (
        check("the impedance undone", "reference/test_drive_unit.py", "three_points_give_back_the_quality_factors"),
        check("closed form", "property/test_physics_sound.py", "three_points_undo_the_impedance"),
        check("the trials on one unit", "reference/test_circuit_and_tolerance_laws.py", "the_trials_on_a_drive_unit"),
    ),
    "impedance_fit": (
        check("curves of known parameters", "reference/test_impedance_fit.py",
              "a_clean_curve_gives_back_the_parameters_of_small_s_relations "
              "the_stated_uncertainty_covers_the_truth_as_often_as_it_says "
              "a_direct_current_reading_settles_the_resistance"),
    ),
    "closed_box": (
        check("Small 1972; public worked example", "reference/test_box.py",
              "the_worked_closed_box the_half_power_frequency_of_a_closed_box the_peak_of_a_closed_box"),
    ),
    "vented_box": (
        check("Thiele 1961, Table I", "reference/test_box.py", "a_lossless_vented_box_has_thiele_s_corner_and_ripple"),
        check("a public alignment table with leakage", "reference/test_box.py",
              "leakage_as_in_the_published_alignment_table a_bessel_box_with_leakage_as_in_the_published_table"),
    ),
    "leaky_box": (
        check("Small 1972, leakage losses", "reference/test_circuit_and_tolerance_laws.py", "the_leak_of_a_box"),
    ),
    "crossover_values": (
        check("printed coefficients", "reference/test_crossover.py",
              "the_values_are_the_printed_coefficients levels_at_the_crossover the_slope_a_decade_above"),
    ),
    "pad": (
        check("a printed table", "reference/test_crossover.py", "the_pad_for_eight_ohm"),
        check("closed form", "property/test_physics_sound.py", "a_pad_attenuates_as_asked"),
    ),
    "impedance_corrector": (
        check("the network by nodal analysis", "reference/test_crossover.py",
              "the_corrector_makes_a_coil_a_resistance"),
        check("the sum of both branches", "property/test_physics_corrector.py",
              "a_corrected_coil_is_its_resistance_at_every_frequency"),
    ),
    "network": (
        check("textbook circuits", "reference/test_network.py",
              "the_unbalanced_bridge the_series_resonant_circuit "
              "a_coil_with_its_resistance_is_a_coil_and_a_resistor"),
    ),
    "circuit_spread": (
        check("closed forms of a divider and a resonant circuit", "reference/test_circuit_and_tolerance_laws.py",
              "a_divider_whose_lower_part_scatters a_resonant_circuit_whose_coil_and_capacitor_scatter"),
    ),
    "preferred_value": (
        check("IEC 60063", "reference/test_preferred.py",
              "the_short_series_are_the_standard_s_table the_long_series_follow_the_formula tolerance_letters"),
    ),
    "sweep_lead": (
        check("Novak et al., synchronized sweep", "reference/test_signal_constants.py",
              "harmonics_lead_by_the_logarithm_of_their_order the_rate_and_the_synchronized_rate"),
        check("octaves", "property/test_physics_sound.py", "the_fundamental_leads_by_nothing_and_products_add"),
    ),
    "band_edges": (
        check("IEC 61260-1", "reference/test_signal_constants.py",
              "the_edges_at_one_kilohertz third_octaves_at_the_ends_of_hearing "
              "an_even_fraction_has_no_band_at_one_kilohertz"),
    ),
    "a_weighting": (
        check("IEC 61672-1, Table 3", "reference/test_signal_constants.py", "a_weighting_is_the_standard_s_table"),
    ),
    # ------------------------------------------------------------------------------ quality
    "control_limits": (
        check("Montgomery's piston rings and flow widths; NIST handbook", "reference/test_control_limits.py",
              "the_constants_are_those_of_the_printed_tables the_piston_rings_have_the_limits_of_the_book "
              "counts_have_the_limits_of_the_handbook shares_have_the_limits_of_the_handbook"),
    ),
    "run_length": (
        check("published run lengths", "reference/test_run_length.py",
              "the_plain_chart_runs_as_long_as_the_book_says rules_speak_as_often_as_the_exact_results_say "
              "the_weighted_mean_runs_as_long_as_the_table_says the_cumulative_sum_runs_as_long_as_the_table_says"),
    ),
    "capability": (
        check("Bissell; the standard's percentiles", "reference/test_capability.py",
              "the_interval_of_cp_is_that_of_the_book the_interval_of_cpk_is_that_of_bissell_s_example "
              "percentiles_of_a_lognormal_process_give_the_standard_s_indices"),
    ),
    "gauge_study": (
        check("the gauge manual's printed study; a library", "reference/test_gauge_study.py",
              "averages_and_ranges_come_out_as_printed the_shares_of_the_study_come_out_as_printed "
              "the_variance_table_is_that_of_an_independent_library"),
    ),
    "sampling_plan": (
        check("ISO 2859-1 and the older standard", "reference/test_sampling.py",
              "code_letters_of_level_two_are_those_of_the_standard sample_sizes_are_those_of_the_standard "
              "acceptance_numbers_are_those_of_the_standard the_master_table_is_that_of_the_older_standard"),
    ),
    "operating_characteristic": (
        check("a book; a library", "reference/test_sampling.py",
              "the_operating_characteristic_is_that_of_the_book "
              "the_risk_points_of_plans_are_those_of_an_independent_library "
              "a_lot_passes_as_often_as_the_textbook_counts"),
    ),
    "tolerance_factor": (
        check("NIST handbook", "reference/test_sampling.py",
              "one_sided_factors_are_those_of_the_handbook the_two_sided_factor_is_that_of_the_handbook "
              "a_plan_by_measurement_passes_as_the_non_central_t_says"),
    ),
    "zero_failure_sample": (
        check("printed tables", "reference/test_sampling.py",
              "a_sample_without_failure_is_as_large_as_the_tables_say "
              "no_failure_in_59_bounds_the_share_at_4_95_percent"),
    ),
    "colour_difference": (
        check("Sharma et al. 2005", "reference/test_colour.py",
              "a_published_pair_differs_as_printed the_handbook_serves_the_same_number_and_warns_of_far_colours"),
    ),
    "waiting_time": (
        check("a textbook's hospital; Erlang", "reference/test_waiting.py",
              "the_hospital_waits_as_the_textbook_says the_recursion_is_erlang_s_sum "
              "thirty_lines_lose_a_twentieth_of_twenty_five_erlang"),
    ),
    "rolled_yield": (
        check("a trade textbook", "reference/test_waiting.py", "yields_of_a_chain_multiply"),
    ),
    "best_pairs": (
        check("published cases; Parisi; Wastlund; a library", "reference/test_best_pairs.py",
              "a_published_blossom_case_is_solved the_documented_assignment_is_found "
              "random_assignments_cost_what_parisi_says"),
    ),
}  # fmt: skip

# Laws for which the literature gives fewer than two independent numbers: the page must say so in these words.
OPEN: Final[dict[str, str]] = {
    "press_cycle": "No published course of core temperature was found",
    "cure_fraction": "No complete published set",
    "kinetics_fit": "no complete published set",
    "hardness_day": "no published constants",
    "spring_back": "No published table of measured spring-back",
}

TWO_SOURCES: Final = ("press_cycle", "cure_fraction", "spring_back", "steam_pressure", "hardness_day")
