"""Names without accents: one folding for places, appliances and the columns of files."""

import pytest
from paste_kit import taken_from

from offgrid_sizing.followup.logger import guess_columns
from offgrid_sizing.spelling import edits_to_beginning, folded, unaccented


@pytest.mark.parametrize(
    ("typed", "plain"),
    [
        ("Año", "ano"),
        ("LAMPARAS", "lamparas"),
        ("Straße (m²)", "strasse (m2)"),
        ("Ærø", "aero"),
        ("İstanbul", "istanbul"),
        ("Łódź", "lodz"),
        ("Москва", "москва"),
    ],
)
def test_accents_go_and_marks_stay(typed, plain):
    assert unaccented(typed) == plain


def test_folding_drops_marks_as_well_and_keeps_lines():
    assert folded("Saint-Étienne\nL’Aquila ") == "saint etienne\nlaquila"


def test_slips_are_counted():
    assert edits_to_beginning("muncih", "munich", 2) == 1
    assert edits_to_beginning("berlin", "bern", 1) == 2


def test_an_appliance_of_a_pasted_table_is_known_whatever_its_accents():
    found, _ = taken_from("name,watts\nRéfrigerator,100\n")
    plain, _ = taken_from("name,watts\nRefrigerator,100\n")
    assert found[0].kind == plain[0].kind == "refrigerator"


def test_a_logger_s_headers_are_read_without_their_accents():
    rows = "".join(f"2024-06-01 {hour:02d}:00,{100 * hour}\n" for hour in range(24))
    found = guess_columns(f"Zeít,Lóad W\n{rows}".encode())
    assert set(found.columns) == {"time", "load"}
