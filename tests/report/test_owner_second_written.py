"""What the household's second page sends whom to do, and warns of, by what is there."""

from dataclasses import dataclass
from types import SimpleNamespace

import pytest

from offgrid_sizing.electrical.cautions import KILLS
from offgrid_sizing.report.sections.owner_second import (
    fails_section,
    hurts_section,
    life_section,
    upkeep_section,
)
from offgrid_sizing.sketch import Generator, Grid, Site, Sketch
from offgrid_sizing.words import to_words


@dataclass
class Home:
    """A home on paper: its boxes, what feeds it beside the sun, and its bank's highest voltage."""

    modules: int = 4
    units: int = 2
    grid: str = "none"
    generator: Generator | None = None
    chemistry: str = "lifepo4"
    place: str = "indoor"
    bank_v: float | None = None
    designed: bool = True

    def outcome(self):
        sketch = Sketch(
            site=Site(latitude_deg=0, longitude_deg=0), grid=Grid(kind=self.grid),
            generator=self.generator,
        )  # fmt: skip
        box = sketch.equipment
        unit = box.battery.model_copy(update={"chemistry": self.chemistry, "end_of_life_frac": 0.7})
        stands = box.bank_place.model_copy(update={"kind": self.place})
        equipment = box.model_copy(update={"battery": unit, "bank_place": stands})
        charging = SimpleNamespace(highest_v=self.bank_v)
        bank = SimpleNamespace(charging=charging) if self.bank_v else None
        return SimpleNamespace(
            sketch=sketch.model_copy(update={"equipment": equipment}),
            system=SimpleNamespace(modules=self.modules, units=self.units),
            design=SimpleNamespace(bank=bank) if self.designed else None,
            ageing=SimpleNamespace(life_y=9.7, law="lfp_sheet", beyond=()),
        )


def key(one):
    return one.origin.key


def tasks(home):
    """Each task's key, how often and who."""
    (table,) = upkeep_section(home.outcome()).blocks
    told = []
    for what, often, who in table.rows:
        # a capital was put before the sentence itself
        names = (key(what.origin.one), key(often), key(who))
        told.append(tuple(name.rsplit(".", 1)[1] for name in names))
    return told


ALWAYS = [("readings", "week", "household"), ("air", "month", "household"),
          ("surge", "storm", "household"), ("residual", "quarter", "household"),
          ("terminals", "first_year", "electrician")]  # fmt: skip
ARRAY = [("clean", "dirt", "household"), ("shade", "spring", "household"),
         ("array", "year", "electrician")]  # fmt: skip
MANAGED = [("bank_managed", "month", "household"), ("bank_firmware", "year", "electrician")]


def named(rows, *keys):
    return [row for row in rows if row[0].startswith(keys)]


@pytest.mark.parametrize(
    ("chemistry", "rows"),
    [
        ("lifepo4", MANAGED),
        ("sodium_ion", MANAGED),
        ("lead_acid_flooded", [
            ("bank_vented", "month", "shown"), ("bank_gravity", "half_year", "electrician"),
            ("bank_terminals", "half_year", "electrician")]),
        ("lead_acid_sealed", [
            ("bank_sealed", "month", "household"), ("bank_terminals", "half_year", "electrician")]),
    ],
)  # fmt: skip
def test_who_looks_after_which_bank(chemistry, rows):
    assert named(tasks(Home(chemistry=chemistry)), "bank") == rows


@pytest.mark.parametrize(
    ("place", "often"),
    [("indoor", "month"), ("outdoor", "month"), ("cupboard", "month"), ("heated", "before_winter")],
)
def test_who_looks_after_the_place_of_the_bank(place, often):
    assert named(tasks(Home(place=place)), "place") == [(f"place_{place}", often, "household")]


def test_only_what_is_there_is_looked_after():
    """No bank, no array, no generator; then a generator that is serviced every 250 h."""
    assert tasks(Home(modules=0, units=0)) == ALWAYS
    assert named(tasks(Home()), "clean", "shade", "array") == ARRAY
    assert named(tasks(Home()), "generator") == []
    home = Home(generator=Generator(service_interval_h=250))
    assert named(tasks(home), "generator") == [
        ("generator_run", "month", "household"), ("generator_service", "service", "electrician"),
    ]  # fmt: skip
    (table,) = upkeep_section(home.outcome()).blocks
    (often,) = [row[1] for row in table.rows if key(row[1]) == "owner.every.service"]
    assert to_words(often, "en").startswith("every 250 h")


@pytest.mark.parametrize(
    ("home", "wait"),
    [
        (Home(), "sun"),
        (Home(grid="failing"), "sun_grid"),
        (Home(generator=Generator()), "sun_generator"),
        (Home(grid="failing", generator=Generator()), "sun_generator"),
        (Home(units=0), "wait_no_bank"),
        (Home(units=0, grid="failing", generator=Generator()), "wait_no_bank"),
    ],
)
def test_what_is_waited_for_when_supply_fails(home, wait):
    now, never = fails_section(home.outcome()).blocks
    assert [key(one).removeprefix("owner.fails.") for one in now.items] == [
        "read", "loads", wait, "back", "call",
    ]  # fmt: skip
    assert len(never.items) == 4


def test_how_long_the_bank_is_calculated_to_last():
    section = life_section(Home().outcome())
    told = to_words(section.sentence, "en")
    assert "9.7 years" in told
    assert "70" in told
    assert key(section.blocks[0].items[0]) == "money.law.lfp_sheet"
    assert key(life_section(Home(units=0).outcome()).sentence) == "offer.lacks.no_bank"


@pytest.mark.parametrize(
    ("home", "more"),
    [
        (Home(modules=0), []),
        (Home(modules=0, designed=False), []),
        (Home(modules=0, bank_v=56.0), []),  # extra-low voltage
        (Home(modules=0, bank_v=448.0), ["cautions.high_voltage"]),
        (Home(), ["cautions.roof"]),
        (Home(modules=0, generator=Generator()), ["cautions.generator"]),
        (Home(bank_v=448.0, generator=Generator()),
         ["cautions.high_voltage", "cautions.roof", "cautions.generator"]),
    ],
)  # fmt: skip
def test_what_can_hurt_beside_what_always_can(home, more):
    (notes,) = hurts_section(home.outcome()).blocks
    assert [key(one) for one in notes.items[len(KILLS) :]] == more
    assert [str(one) for one in notes.items[: len(KILLS)]] == [str(one) for one in KILLS]
