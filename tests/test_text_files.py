"""One guess at the encoding of a dropped file, held on every door a file comes in by."""

import pytest

from offgrid_sizing.batch.sites import decoded as table_of_sites
from offgrid_sizing.loads.meter_text import layout_of
from offgrid_sizing.sketch import BadInput
from offgrid_sizing.text_files import SAMPLE_BYTES, decoded, encoding_of
from offgrid_sizing.weather.formats import text_of
from offgrid_sizing.weather.horizon import read_horizon

WORDS = "Zeit;Außen °C;Preis €\n1;2,5;“drei”\n"


@pytest.mark.parametrize(
    ("written_as", "told"),
    [
        ("utf-8", "utf-8"),
        ("utf-8-sig", "utf-8-sig"),
        ("utf-16", "utf-16"),
        ("utf-16-le", "utf-16-le"),
        ("utf-16-be", "utf-16-be"),
        ("cp1252", "cp1252"),
    ],
)
def test_each_encoding_is_told_and_read_back(written_as, told):
    content = WORDS.encode(written_as)
    assert encoding_of(content) == told
    assert decoded(content) == WORDS
    assert text_of(content, "x.csv") == WORDS


def test_a_letter_cut_by_the_sample_is_no_other_encoding():
    head = ("a" * (SAMPLE_BYTES - 1) + "é").encode()[:SAMPLE_BYTES]
    assert encoding_of(head) == "utf-8"
    assert encoding_of(b"caf\xe9") == "cp1252"
    assert encoding_of(b"\xe9" + b"a" * SAMPLE_BYTES) == "cp1252"


def test_what_an_encoding_lacks_is_marked():
    assert decoded(b"a\x81\xe9") == "a\ufffdé"
    assert decoded(b"") == ""


@pytest.mark.parametrize("written_as", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "cp1252"])
def test_a_skyline_is_read_in_each(written_as):
    points = read_horizon("Azimut °;Höhe °\n90;5\n180;12\n".encode(written_as))
    assert [(one.azimuth_deg, one.elevation_deg) for one in points] == [(90, 5), (180, 12)]


def test_a_skyline_of_bytes_is_no_text():
    with pytest.raises(BadInput, match="the horizon file is not text"):
        read_horizon(b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0dIHDR\x00\x00")


def test_a_meter_of_a_western_spreadsheet_keeps_its_headers():
    rows = "".join(f"2024-01-01 {hour:02d}:00;{hour}\n" for hour in range(24))
    found = layout_of(("Zeit;Zähler “Küche” W\n" + rows).encode("cp1252"))
    assert found.encoding == "cp1252"
    assert found.header == ("Zeit", "Zähler “Küche” W")


def test_a_table_of_sites_is_never_guessed_at():
    assert table_of_sites("name\nGenève\n".encode("utf-16-le"), "s.csv") == "name\nGenève\n"
    with pytest.raises(BadInput, match="line 2 contains byte 0xE8"):
        table_of_sites("name\nGenève\n".encode("cp1252"), "s.csv")
