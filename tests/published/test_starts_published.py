"""Starting multiples against NEMA's code letters.

NEMA MG 1 / NFPA 70 Table 430.7(B), as reproduced by an engineering reference
(engineeringtoolbox.com, read): letter K is 8.0 to 8.99 kVA for each horsepower with the rotor
locked, letter L 9.0 to 9.99; L is usual below 1 hp, K at 3 hp. IEC 60725's reference impedance:
from memory.
"""

import pytest

from offgrid_sizing.electrical.overload import REFERENCE_OHM
from offgrid_sizing.loads.motors import MOTOR_KINDS

W_PER_HP = 745.7
LETTER_K, LETTER_L = (8.0, 8.99), (9.0, 9.99)


def test_three_phase_motors_start_as_their_code_letters_say():
    """Running: 0.7457 kW over an efficiency of 0.80 and a power factor of 0.75 (common practice,
    no source), 1.243 kVA for each horsepower; locked 8.0 to 9.99: 6.4 to 8.0 times."""
    running_kva = W_PER_HP / 1000 / 0.80 / 0.75
    kind = MOTOR_KINDS["three_phase"]
    assert LETTER_K[0] / running_kva <= kind.multiple <= LETTER_L[1] / running_kva
    assert kind.high == pytest.approx(LETTER_L[1] / running_kva, abs=0.05)


def test_the_reference_line_is_that_of_the_standard():
    """0.24 + j0.15 Ω in the line and 0.16 + j0.10 Ω in the neutral: 0.40 + j0.25 Ω."""
    assert abs(complex(0.24 + 0.16, 0.15 + 0.10)) == pytest.approx(REFERENCE_OHM, rel=1e-12)
