"""Sites of a batch: tables as people save them, and every fault in one sentence."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from offgrid_sizing.batch.fields import is_field
from offgrid_sizing.batch.sites import cell_value, laid_over, read_sites, site_key
from offgrid_sizing.demos import demo
from offgrid_sizing.sketch import BadInput, sketch_to_json

HEAD = "name,latitude,longitude"


def table(tmp_path, text, encoding="utf-8"):
    path = tmp_path / "sites.csv"
    path.write_bytes(text if isinstance(text, bytes) else text.encode(encoding))
    return path


def test_rows_are_laid_over_the_template(tmp_path):
    path = table(
        tmp_path,
        f"{HEAD},loads.scale,roof_planes.0.tilt_deg,targets.judge,equipment.battery.name\n"
        "Nairobi,-1.3,36.8,1.5,12,bad_year,My unit\nKyiv,50.4,30.5,,,,\n",
    )
    (first, second), bad = read_sites(path)
    assert not bad
    assert first.sketch.site.latitude_deg == -1.3
    assert first.sketch.loads.scale == 1.5
    assert first.sketch.roof_planes[0].tilt_deg == 12
    assert first.sketch.targets.judge == "bad_year"
    assert first.sketch.equipment.battery.name == "My unit"
    assert second.sketch.loads.scale == demo().loads.scale
    assert second.row == "row 3"


def test_a_table_may_name_a_field_as_older_sketches_do(tmp_path):
    cells = "strategy.rescue_soc_frac,strategy.dear_price_per_kwh,targets.judge"
    (one,), bad = read_sites(table(tmp_path, f"{HEAD},{cells}\nKyiv,50.4,30.5,0.27,0.31,median\n"))
    assert not bad
    found = one.sketch.strategy
    assert (found.recharge_soc_frac, found.peak_price_per_kwh) == (0.27, 0.31)
    both = "strategy.rescue_soc_frac,strategy.recharge_soc_frac"
    with pytest.raises(BadInput, match=r"'strategy\.recharge_soc_frac'"):
        read_sites(table(tmp_path, f"{HEAD},{both}\nKyiv,50.4,30.5,0.2,0.3\n"))


def test_the_templates_own_place_stays_behind():
    sketch, note = laid_over(
        demo("farmhouse"), {"name": "Lima", "latitude": "-12", "longitude": "-77"}
    )
    assert sketch.weather.source == "climate"
    assert sketch.weather.years == 20
    assert sketch.site.elevation_m is None
    assert sketch.roof_planes[0].azimuth_deg == 0
    assert "equator" in note
    assert "climate" in note
    north, note = laid_over(
        demo("farmhouse"),
        {"name": "Lima", "latitude": "-12", "longitude": "-77", "roof_planes.0.azimuth_deg": "180"},
    )
    assert north.roof_planes[0].azimuth_deg == 180
    assert "equator" not in note


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        (f"{HEAD}\nMünchen,48.1,11.6\n", "utf-8"),
        (f"\ufeff{HEAD}\nMünchen,48.1,11.6\n", "utf-8"),
        (f"{HEAD}\nMünchen,48.1,11.6\n", "utf-16"),
        ("name;latitude;longitude\r\nMünchen;48,1;11,6\r\n", "utf-8"),
        ("name\tlatitude\tlongitude\nMünchen\t48.1\t11.6\n\n", "utf-8"),
        (f'{HEAD}\n"München",48.1,11.6\n', "utf-8"),
    ],
)
def test_tables_as_spreadsheets_save_them(tmp_path, text, encoding):
    (site,), bad = read_sites(table(tmp_path, text, encoding))
    assert not bad
    assert (site.name, site.sketch.site.latitude_deg) == ("München", 48.1)
    assert site.sketch.site.longitude_deg == 11.6


@pytest.mark.parametrize(
    ("content", "says"),
    [
        (
            f"{HEAD}\nMünchen,48,11\n".encode() + "Genève,46,6\n".encode("latin-1"),
            "sites.csv mixes encodings: line 3 contains byte 0xE8, which is not UTF-8",
        ),
        (b"", "sites.csv is empty"),
        (f"{HEAD}\n".encode(), "holds no sites below its head"),
        (b"name,lat,lon\nA,1,2\n", "lacks the columns latitude, longitude"),
        (f"{HEAD},loads.scales\nA,1,2,3\n".encode(), "column 'loads.scales' is not a field"),
        (f"{HEAD},name\nA,1,2,B\n".encode(), "the column 'name' twice"),
        (f'{HEAD}\nB,1,2\n"A,1,2\n'.encode(), "not closed, in the row after line 2; correct"),
        (f"{HEAD}\n{'x' * 200_000},1,2\n".encode(), "in the row after line 1; correct that row"),
        (f"{HEAD},,\nA,1,2,,\n".encode(), "column 4 and column 5 of the first line have no name"),
        (f"{HEAD}, \nA,1,2,\n".encode(), "column 4 of the first line has no name: name or delete"),
        (b"PK\x03\x04\x00\x00", "is not a text file"),
        (f'{HEAD}\n"A,1,2\n'.encode(), "not a readable CSV table"),
        (b"\xff\xfea", "begins as UTF-16 but does not continue as such"),
    ],
)
def test_a_table_that_cannot_be_read_is_refused_in_one_sentence(tmp_path, content, says):
    with pytest.raises(BadInput) as refused:
        read_sites(table(tmp_path, content))
    (sentence,) = refused.value.sentences
    assert says in sentence


@pytest.mark.parametrize(
    ("row", "says"),
    [
        ("A,91,2", "site.latitude_deg must be less than or equal to 90 (got 91)."),
        ("A,,2", "latitude is missing."),
        (",1,2", "name is missing."),
        ("A,north,2", "site.latitude_deg must be a valid number"),
        ("A,1,2,3", "it has 4 cells where the header has 3."),
        ("A,NaN,2", "site.latitude_deg must be a"),
        ("A,1e999,2", "site.latitude_deg must be a"),
    ],
)
def test_a_bad_row_is_named_and_the_others_go_on(tmp_path, row, says):
    sites, bad = read_sites(table(tmp_path, f"{HEAD}\nGood,1,2\n{row}\nAlso good,3,4\n"))
    assert [site.name for site in sites] == ["Good", "Also good"]
    (fault,) = bad
    assert fault.row == "row 3"
    assert says in fault.sentence


def test_files_a_template_names_are_looked_for_beside_it(tmp_path):
    (tmp_path / "templates").mkdir()
    template = tmp_path / "templates" / "shop.json"
    template.write_text(sketch_to_json(demo("shop")))
    path = table(tmp_path, f"{HEAD}\nA,1,2\n")
    (beside,), _ = read_sites(path, template)
    assert beside.base_dir == str(template.parent)
    assert beside.sketch.loads == demo("shop").loads
    (own,), _ = read_sites(path, demo("shop"))
    assert own.base_dir == str(tmp_path)
    assert own.key == beside.key


def test_a_list_index_beyond_the_template_is_a_bad_row(tmp_path):
    _, (fault,) = read_sites(table(tmp_path, f"{HEAD},roof_planes.7.tilt_deg\nA,1,2,30\n"))
    assert "the template has only 1 of these" in fault.sentence


def test_no_such_file_and_empty_folder(tmp_path):
    with pytest.raises(BadInput, match="there is no file or folder"):
        read_sites(tmp_path / "nowhere.csv")
    with pytest.raises(BadInput, match=r"contains no \.json sketches"):
        read_sites(tmp_path)


def test_a_folder_of_sketches(tmp_path):
    (tmp_path / "a.json").write_text(sketch_to_json(demo("shop")))
    (tmp_path / "b.json").write_text("{")
    sites, bad = read_sites(tmp_path)
    assert [site.row for site in sites] == ["a.json"]
    assert sites[0].sketch == demo("shop")
    assert "not valid JSON" in bad[0].sentence


def test_keys_are_safe_names_and_change_with_the_sketch():
    key = site_key("../../etc/passwd\x00 Ünï", demo())
    assert key.startswith("etc-passwd-uni-")
    assert key != site_key("../../etc/passwd\x00 Ünï", demo("shop"))
    assert site_key("北京", demo()).startswith("site-")


@settings(max_examples=50, deadline=None)
@given(st.text(min_size=0, max_size=60))
def test_any_name_makes_a_folder_name(name):
    key = site_key(name, demo())
    assert set(key) <= set("abcdefghijklmnopqrstuvwxyz0123456789-")
    assert 0 < len(key) <= 53


@settings(max_examples=100, deadline=None)
@given(st.binary(max_size=300))
def test_no_bytes_break_the_reader(tmp_path_factory, content):
    path = tmp_path_factory.mktemp("any") / "sites.csv"
    path.write_bytes(content)
    sites, bad, sentences = (), (), ()
    try:
        sites, bad = read_sites(path)
    except BadInput as refused:
        sentences = refused.sentences
    assert len(sentences) == 1 or sites or bad


@pytest.mark.parametrize(
    ("path", "there"),
    [
        ("loads.scale", True),
        ("generator.rated_w", True),
        ("roof_planes.3.tilt_deg", True),
        ("loads.appliances.0.count", True),
        ("prices", True),
        ("roof_planes.tilt_deg", False),
        ("loads.scale.more", False),
        ("__class__", False),
        ("model_fields", False),
        ("", False),
        ("loads.", False),
    ],
)
def test_paths_are_checked_against_the_model(path, there):
    assert is_field(path) is there


@pytest.mark.parametrize(
    ("text", "value"),
    [("1.5", 1.5), ("-3", -3), ("TRUE", True), ("[1, 2]", [1, 2]), ("null", None),
     ("12 rue", "12 rue"), ("nfpa70", "nfpa70"), ("{", "{")],
)  # fmt: skip
def test_what_cells_say(text, value):
    assert cell_value(text) == value


def test_an_endless_device_is_no_table():
    with pytest.raises(BadInput, match="not an ordinary file"):
        read_sites("/dev/zero")


def test_rows_without_a_template_get_the_mains_of_their_country(tmp_path):
    """The farmhouse beneath them stands in North Carolina: 120 V, 60 Hz, NFPA 70."""
    table = tmp_path / "sites.csv"
    table.write_text(
        "name,latitude,longitude\nA farm,36.0,-79.8\nA village,52.5,13.4\nA camp,-1.3,36.8\n"
        "Nowhere,abc,13.4\n"
    )
    sites, bad = read_sites(table)
    found = [
        (
            site.sketch.equipment.inverter.output_v,
            site.sketch.equipment.inverter.frequency_hz,
            site.sketch.wiring.rule_book,
            site.sketch.equipment.inverter.name,
        )
        for site in sites
    ]
    name = "Generic 5 kW 48 V inverter-charger"
    assert found == [
        (120, 60, "nfpa70", f"{name}, 120 V"),
        (230, 50, "iec60364", name),
        (240, 50, "iec60364", f"{name}, 240 V"),
    ]
    assert [row.name for row in bad] == ["Nowhere"]
    own, _ = read_sites(table, template=demo("farmhouse"))
    assert {site.sketch.equipment.inverter.output_v for site in own} == {120}
