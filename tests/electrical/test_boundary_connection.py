"""The connection carries the unprotected supply beside the machines; the machines do not."""

import pytest
from boundary_kit import small_home, us_home

from offgrid_sizing.electrical.ac_input import input_limits
from offgrid_sizing.electrical.design import electrical_design
from offgrid_sizing.electrical.diagram import single_line_svg
from offgrid_sizing.electrical.source_device import feeds
from offgrid_sizing.electrical.starts import companies, strain_on_grid
from offgrid_sizing.loads.boundary import everything_protected, only_critical_protected
from offgrid_sizing.loads.peaks import peak_of
from offgrid_sizing.loads.year import Peak
from offgrid_sizing.system import drawn_system


def _design(sketch):
    peak: Peak = peak_of(sketch)
    return electrical_design(sketch, drawn_system(sketch), record_low_c=-5, peak=peak)


def test_the_connection_by_hand():
    """One machine passes 20 A; 1,150 W at 230 V are 5 A more; IEC 60364 asks no factor."""
    (feed,) = feeds(small_home(), drawn_system(small_home()))
    assert (feed.beside_a, feed.passes_a) == pytest.approx((5, 20))
    assert (feed.device_a, feed.drawn_a) == pytest.approx((25, 25))
    whole = everything_protected(small_home())
    (bare,) = feeds(whole, drawn_system(whole))
    assert (bare.beside_a, bare.device_a, bare.drawn_a) == pytest.approx((0, 20, 20))


def test_the_run_of_the_grid_carries_both_and_says_so():
    design = _design(small_home())
    need = design.run("grid_in").need
    assert need.current_a == pytest.approx(25)
    assert "the unprotected supply upstream of them takes up to 5 A" in need.why
    assert design.run("grid_in").shown.device.rating_a == 25
    assert design.run("ac_out").need.current_a == pytest.approx(
        _design(everything_protected(small_home())).run("ac_out").need.current_a
    )
    (source, *_) = design.sources
    assert "5 A of it on the fullest line" in " ".join(map(str, source.notes))


def test_the_inputs_are_set_to_what_is_left():
    """4,600 W at 230 V are 20 A, of which 5 A go to the heater."""
    home = small_home(import_limit_w=4600)
    (limit,) = input_limits(home, drawn_system(home))
    assert (limit.each_a, limit.lasting_a) == (15, pytest.approx(15))
    assert "5.0 A of it kept for the unprotected supply" in limit.because
    (free,) = input_limits(small_home(), drawn_system(home))
    assert free.each_a == 20


def test_a_connection_too_small_for_the_unprotected_supply_is_said():
    design = _design(small_home(import_limit_w=1000))  # 4.35 A
    told = " ".join(design.advice)
    assert "takes 5 A on the fullest line, the connection carries 4.3 A" in told
    assert "the grid leaves 0 A for the input" in told
    assert "unprotected" not in " ".join(_design(small_home()).advice)


def test_lines_and_starts_are_of_the_protected_board():
    design = _design(small_home())
    assert [one.name for one in design.arrangement.legs.placed] == ["Pump", "Lamp"]
    assert design.arrangement.legs.va == {"L1": pytest.approx(400)}
    assert [row.event.name for row in design.starts.rows] == ["Pump"]


def test_a_start_on_the_grid_meets_the_unprotected_supply_too():
    """Beside the pump run the lamp, 100 VA, and on the grid's line the heater, 1,150 VA."""
    home = small_home()
    (company,) = companies(home, "single")
    assert company.grid_beside_va == pytest.approx(1150)
    assert sum(company.beside_va) == pytest.approx(100)
    strain = strain_on_grid(home, drawn_system(home), company)
    start_va = company.event.start_va
    assert strain.load_frac == pytest.approx((start_va + 100 + 1150) / 10_000)
    alone = strain_on_grid(home, drawn_system(home), company, 0.0)
    assert alone.load_frac == pytest.approx(start_va / 10_000)


def test_two_legs_each_carry_their_own_of_it():
    """240 V loads put half on each leg; the fuller leg decides the connection."""
    home = only_critical_protected(us_home())
    beside = peak_of(home, "unprotected")
    (feed,) = feeds(home, drawn_system(home))
    assert feed.beside_a == pytest.approx(max(beside.leg_va.values()) / 120)
    assert feed.drawn_a == pytest.approx(50 + feed.beside_a)
    # 125 % for what lasts (NFPA 70, 210.20(A), from memory), up to the next standard size
    assert feed.device_a == 175
    assert 150 < 1.25 * feed.drawn_a <= 175


def test_the_drawing_names_both():
    home = small_home()
    drawing = single_line_svg(home, drawn_system(home), _design(home))
    assert "protected distribution board" in drawing
    whole = everything_protected(home)
    other = single_line_svg(whole, drawn_system(whole), _design(whole))
    assert "protected" not in other
    assert "unprotected supply" in drawing
    assert "unprotected" not in other
