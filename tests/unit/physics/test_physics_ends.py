"""What the functions answer at the ends of their domains, where formulas divide by zero."""

from __future__ import annotations

import math

import pytest

from cfglint.physics import (
    atmosphere,
    climb,
    contingency,
    descent,
    filters,
    hover,
    magnetics,
    propeller,
    rotor,
    stall,
    turn,
    wind,
)


def test_no_bank_never_turns() -> None:
    assert turn.turn_radius(15, 0) == math.inf
    assert turn.turn_radius_in_wind(15, 5, 0) == math.inf
    assert contingency.horizontal_contingency_fixed_wing(15, 0) == math.inf


def test_turning_back_has_no_fly_by() -> None:
    assert turn.turn_anticipation(30, 180) == math.inf
    assert turn.turn_anticipation(30, 0) == 0.0


def test_wing_on_edge_carries_nothing() -> None:
    assert stall.load_factor(90) == math.inf
    assert stall.stall_speed_in_turn(10, 90) == math.inf
    assert stall.stall_speed(2, 0, 1.2) == math.inf


def test_no_bank_is_left_at_the_stall() -> None:
    assert stall.bank_for_margin(1.0) == stall.bank_for_margin(0.5) == 0.0
    assert stall.bank_for_margin(math.inf) == pytest.approx(90)


def test_no_tilt_never_stops() -> None:
    assert contingency.stopping_distance(10, 0) == math.inf


def test_no_way_home_against_the_wind() -> None:
    assert wind.return_time(100, wind.ground_speed_against(8, 9)) == math.inf
    assert wind.ground_speed_against(8, 9) == -1.0


def test_hover_at_no_throttle_and_at_full() -> None:
    assert hover.hover_thrust_low(1000) == hover.hover_thrust_high(1000) == math.inf
    assert hover.hover_thrust_low(2000) == hover.hover_thrust_high(2000) == 1.0
    assert hover.hover_throttle_low(1) == hover.hover_throttle_high(1) == 2000
    assert hover.hover_throttle_high(0) == math.inf


def test_throttle_below_the_stop_gives_no_thrust() -> None:
    assert hover.thrust_share_low(988, 1400) == hover.thrust_share_high(988, 1400) == 0.0


def test_no_rotors_need_endless_wash() -> None:
    assert rotor.induced_velocity(1, 1.225, 0) == math.inf
    assert propeller.rotor_frequency(1, 0, 0.1, 1.225, 0.25) == math.inf


def test_descent_that_never_ends() -> None:
    assert descent.descent_time(30, 10, 0, 0.5) == math.inf
    assert descent.descent_time(30, 0, 2, 0) == 15
    assert descent.descent_time(8, 10, 0, 0.5) == 16
    assert descent.descent_time(30, 10, 2, 0.5) == 30


def test_filters_at_their_ends() -> None:
    assert filters.lowpass_delay(0, 2) == math.inf
    assert filters.lowpass_phase(10, 0, 2) == pytest.approx(180)
    assert filters.lowpass_phase(0, 0, 2) == 0.0
    assert filters.notch_delay(100, 100) == filters.notch_delay(100, 150) == 0.0
    assert filters.notch_delay(100, 0) == math.inf
    assert filters.alias_frequency(100, 200) == 100
    assert filters.alias_frequency(400, 200) == 0


def test_compass_without_a_field_may_point_anywhere() -> None:
    assert magnetics.heading_error(1, 0) == 90
    assert magnetics.wire_field(1, 0) == math.inf
    assert magnetics.wire_field(0, 0) == 0.0
    assert magnetics.declination_uncertainty(0) == 180


def test_climb_without_a_climb_rate_is_none() -> None:
    assert climb.climb_angle(0, 0) == climb.climb_angle(0, 15) == 0.0
    assert climb.climb_angle(5, 5) == climb.climb_angle(5, 0) == 90
    assert climb.climb_angle_from_thrust(0.2, 8) == 0.0
    assert climb.climb_angle_from_thrust(1, 0) == 0.0
    assert climb.transition_time(15, 0, 4) == math.inf


def test_no_air_carries_nothing() -> None:
    assert atmosphere.true_airspeed(10, 0) == math.inf
