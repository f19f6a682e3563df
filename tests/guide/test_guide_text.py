"""The guide holds together: links lead somewhere, pictures are there and used, numbers are true."""

import re
import tomllib
from pathlib import Path

import pytest

from offgrid_sizing import ageing_laws as laws
from offgrid_sizing import guide, pv_array
from offgrid_sizing.chemistry import CHEMISTRIES
from offgrid_sizing.dispatch import kernels
from offgrid_sizing.electrical import bank, legs, overload, protection
from offgrid_sizing.loads import drivers, motors
from offgrid_sizing.sizing import autonomy, futures, handbook, minute_sun, unknowns
from offgrid_sizing.ui.navigation import STEPS
from offgrid_sizing.weather import bands, climate, daily, extended, sun, synthesis, yearly
from offgrid_sizing.wiring_code import WIRING_CODES
from offgrid_sizing.words import catalogue, said

ROOT = Path(__file__).resolve().parents[2]
CELL = CHEMISTRIES["lifepo4"].ageing.cell
STRINGS = WIRING_CODES["nfpa70"].strings
LEAD = CHEMISTRIES["lead_acid_flooded"].ageing


def headings(part: str) -> list[str]:
    return re.findall(r"^#+ (.+)$", guide.text_of(part), re.MULTILINE)


@pytest.mark.parametrize("part", guide.PARTS)
def test_every_link_inside_the_guide_leads_to_a_heading(part):
    for target in guide.links_of(guide.text_of(part)):
        file, _, anchor = target.partition("#")
        other = file.removesuffix(".md") or part
        assert other in guide.PARTS, target
        assert not anchor or anchor in [guide.slug(title) for title in headings(other)], target


@pytest.mark.parametrize("part", guide.PARTS)
def test_no_link_leads_out_and_no_heading_stands_twice(part):
    text = guide.text_of(part)
    assert "://" not in text
    slugs = [guide.slug(title) for title in headings(part)]
    assert len(set(slugs)) == len(slugs)
    assert text.count("](") == len(guide.links_of(text)) + text.count("](pictures/")


def test_the_parts_do_link_to_each_other():
    """Else the first test could not fail."""
    targets = {target for part in guide.PARTS for target in guide.links_of(guide.text_of(part))}
    assert {"theory.md#loads", "validation.md", "#strings", "#what-is-not-validated"} <= targets


def test_every_picture_exists_is_described_and_used():
    pictures = [
        block
        for part in guide.PARTS
        for chapter in guide.chapters_of(part)
        for block in chapter.blocks
        if isinstance(block, guide.Picture)
    ]
    files = sorted(guide.PICTURES.iterdir())
    assert sorted(picture.path for picture in pictures) == files
    assert len(files) == 7
    assert all(len(picture.words) > 40 for picture in pictures)
    assert all(file.read_bytes()[8:12] == b"WEBP" for file in files)
    assert sum(file.stat().st_size for file in files) < 600_000


def test_chapters_hold_the_whole_text_but_the_title():
    for part in guide.PARTS:
        chapters = guide.chapters_of(part)
        assert [one.title for one in chapters] == re.findall(
            r"^## (.+)$", guide.text_of(part), re.MULTILINE
        )
        assert all(chapter.blocks for chapter in chapters)
        assert not any("](" in b for c in chapters for b in c.blocks if isinstance(b, str))
        told = [b for c in chapters for b in c.blocks]
        words = "".join(
            getattr(b, "lines", None) or getattr(b, "markdown", None) or getattr(b, "words", b)
            for b in told
        )
        plain = guide.text_of(part)
        lost = len(re.sub(r"[\s`*]", "", plain)) - len(re.sub(r"[\s`*]", "", words))
        heads = sum(len(re.sub(r"\s", "", line)) for line in re.findall(r"^#+ .*$", plain, re.M))
        marks = sum(len(f"[]({target})") for target in guide.links_of(plain))
        marks += sum(len(f"![](pictures/{b.path.name})") for b in told if hasattr(b, "path"))
        assert lost == heads + marks


def test_the_guide_travels_in_the_wheel():
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    assert project["tool"]["hatch"]["build"]["targets"]["wheel"]["packages"] == ["offgrid_sizing"]
    assert guide.FOLDER == ROOT / "offgrid_sizing" / "guide"
    ignored = (ROOT / ".gitignore").read_text(encoding="utf-8").split()
    assert not {"*.md", "*.webp", "guide/", "build.py"} & set(ignored)


THEORY = guide.text_of("theory")


@pytest.mark.parametrize(
    "said",
    [
        f"(Troom − {drivers.INSIDE_C:g}) / ({drivers.DUTY_ROOM_C:g} − {drivers.INSIDE_C:g})",
        f"at most {motors.SOFT_START_MULTIPLE:g} behind a soft starter",
        f"G0n = {sun.SOLAR_CONSTANT_W_PER_M2:g}·",
        f"below {sun.HORIZON_COS:g} counts as night",
        f"exp(−1/{daily.SLOW_DAYS:g})",
        f"√{1 - daily.SLOW_SHARE:g}·AR1(ρ) + √{daily.SLOW_SHARE:g}·",
        f"ρ = {daily.QUICK_FACTOR:g}·clip",
        f"s = {daily.TOP:g}·(q(x) / {daily.TOP:g})^p",
        f"max(s, {synthesis.CEILING:g})",
        f"{synthesis.BEAM_CEILING:g}·clear-sky DNI",
        f"Wind is {climate.WIND_M_PER_S:g} m/s",
        f"design low = Tmin − {bands.COLD_MARGIN_K:g} K",
        f"mean · exp(±{yearly.NINE_OF_TEN:g}·√(s² + v²))",
        "s = {guessed:g} guessed, {listed:g} listed by appliance, {two_weeks:g} two".format(
            **unknowns.LOAD_SPREAD
        ),
        "{bills:g} a year's bills, {metered:g} a year of meter".format(**unknowns.LOAD_SPREAD),
        f"output:    s = {unknowns.OUTPUT_SPREAD:g}        "
        f"capacity:  s = {unknowns.CAPACITY_SPREAD:g}",
        f"{futures.DRAWS} draws: each of {futures.DRAWS} equally likely",
        f"of {futures.LOAD_LEVELS} of the load {futures.DRAWS_A_LEVEL} times",
        f"w ≤ {daily.MOST_SLOW:g}",
        "in the source, {:g} to {:g} times".format(*extended.QUICK_RANGE),
        f"({extended.PRIOR_YEARS}·σ₀² + (n − 1)·s²) / ({extended.PRIOR_YEARS} + n − 1)",
        f"σ₀ = {yearly.YEAR_SPREAD:g}, from {bands.CLOUDY_FROM_DEG:g}° of latitude on "
        f"{yearly.YEAR_SPREAD_CLOUDY:g}",
        f"of {extended.NEIGHBOURS} days to either side",
        f"{1 - extended.DARKEST_SHARE:g}·GHI / cos z",
        f"v = {yearly.YEAR_SPREAD:g} up to 44°, {yearly.YEAR_SPREAD_CLOUDY:g} beyond",
        "s = {climate_near:g}, {climate_cloudy:g}, {climate_far:g} (climate".format(
            **yearly.SOURCE_SPREAD
        ),
        f"{yearly.SOURCE_SPREAD['file']:g} (monthly values, files, fetched hours)",
        *(
            f"| {bands.ARRAY_ERROR_FRAC[name]:g} | "
            + " | ".join(f"{one:g}" for one in bands.ARRAY_RESERVE[name])
            + " |"
            for name in bands.ARRAY_RESERVE
            if name != "online"
        ),
        f"| built-in climate elsewhere | {bands.ARRAY_ERROR_FRAC['climate_far']:g} |",
        *(
            f"{low:g} to {high:g} ({name})"
            for (low, high), name in zip(
                bands.ARRAY_BAND.values(), ("climate", "monthly values"), strict=True
            )
        ),
        f"well-observed regions up to {bands.CLOUDY_FROM_DEG:g}° |",
        f"{STRINGS.bright_sky_factor:g}·Isc·Np",
        f"I2 ≤ {protection.BREAKER_FACTOR:g}·Iz",
        f"{protection.FUSE_FACTOR:g} for gG fuses",
        f"advised below {legs.IMBALANCE_LIMIT_FRAC:.2f}",
        f"copper bar at {bank.BAR_A_PER_MM2:g} A/mm²",
        f"f = 2^((T − {laws.REFERENCE_C:g})/{LEAD.doubling.per_k:g})",
        f"mean(max(f, {laws.SLOWEST_CALENDAR:g}))",
        f"exp(−({CELL.calendar_j_per_mol:g}/{laws.GAS_J_PER_MOL_K:g})",
        f"·({CELL.calendar_soc[0]:g}·(SOC − 0.5)³ + {CELL.calendar_soc[1]:g})",
        f"({CELL.cycle_rate[0]:.4f}·C + {CELL.cycle_rate[1]:g})",
        f"({CELL.cycle_depth[0]:g}·(D − {CELL.cycle_depth[1]:g})³ + {CELL.cycle_depth[2]:g})",
        f"hours since the last full charge ({LEAD.part_charge.longest_h:g} at most)",
        f"A dip up to {overload.DIP_LIMIT_FRAC:.2f} is borne",
        f"(P/Pclear − {minute_sun.CLOUD_FRAC:g})",
        f"repeat every {minute_sun.PASS_MIN:g} minutes",
        f"X = −5.38 + {synthesis.RECORDED_HOURS.kt:g}·Kt",
        f"X = −3.807 + {synthesis.SYNTHETIC_HOURS.kt:g}·Kt",
        f"ratio is {handbook.ARRAY_TO_LOAD_RATIO_MIN['non_critical']:g}, "
        f"for critical loads {handbook.ARRAY_TO_LOAD_RATIO_MIN['critical']:g}",
        f"Followed for {autonomy.ENOUGH_H / 24:g} days",
    ],
)
def test_the_numbers_of_the_theory_are_those_of_the_code(said):
    assert said in THEORY


def test_the_curve_has_the_bends_the_theory_says():
    assert kernels.BENDS == 8


def test_mountings_stand_in_the_theory_with_their_parameters():
    from pvlib.temperature import TEMPERATURE_MODEL_PARAMETERS

    names = {"open_rack": "open rack", "close_roof": "close to the roof",
             "insulated_back": "insulated back"}  # fmt: skip
    assert set(names) == set(pv_array.SAPM_SET)
    for mounting, words in names.items():
        one = TEMPERATURE_MODEL_PARAMETERS["sapm"][pv_array.SAPM_SET[mounting]]
        row = f"| {words} | {one['a']:g} | {one['b']:g} | {one['deltaT']:g} |"
        assert row.replace("-", "−") in THEORY


def test_pages_are_called_in_the_readme_as_on_screen():
    """Each page but the first and the list of sketches has its row, in the order of the bar."""
    readme = (ROOT / "README.md").read_text(encoding="utf-8")
    rows = re.findall(r"^\| ([A-Z][^|]*?) \|", readme.split("## A short tour")[1], re.M)
    names = [str(said(f"{step.name}.nav")) for step in STEPS if step.name not in ("start", "saved")]
    assert rows[: len(names)] == names


def test_pages_are_called_in_the_tour_as_on_screen():
    """What the tour sets in italics with a capital is a page or a section of one."""
    named = set(re.findall(r"\*([A-Z][^*]+)\*", guide.text_of("tour")))
    assert len(named) > 5
    assert named <= set(catalogue("en").values())
