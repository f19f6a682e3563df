"""The gazetteer shipped in `data/places.npz` (GeoNames, CC BY 4.0), laid out for quick search."""

from dataclasses import dataclass
from functools import cache
from itertools import pairwise

import numpy as np

from offgrid_sizing.paths import data_dir
from offgrid_sizing.places.ground import altitude_m, standard_offset_h
from offgrid_sizing.spelling import folded

_COUNTRY_ALIASES = {
    "usa": "US",
    "america": "US",
    "uk": "GB",
    "great britain": "GB",
    "england": "GB",
    "scotland": "GB",
    "wales": "GB",
    "uae": "AE",
    "holland": "NL",
    "burma": "MM",
    "ivory coast": "CI",
    "czech republic": "CZ",
    "swaziland": "SZ",
    "drc": "CD",
    "turkey": "TR",
    "cape verde": "CV",
    "macedonia": "MK",
    "korea": "KR",
}


@dataclass(frozen=True)
class Place:
    """A populated place of the gazetteer.

    `civil_zone` is its IANA time zone; `utc_offset_h` that zone's standard time.
    `region` is the state's code in the United States and empty elsewhere.
    """

    name: str
    country: str
    region: str
    latitude_deg: float
    longitude_deg: float
    civil_zone: str
    population: int

    @property
    def label(self) -> str:
        """Name, region and country, to show."""
        return ", ".join(part for part in (self.name, self.region, self.country) if part)

    @property
    def utc_offset_h(self) -> float:
        """Standard time of the place, hours ahead of UTC."""
        return standard_offset_h(self.civil_zone)

    @property
    def elevation_m(self) -> float:
        """Height read from the altitude map."""
        return altitude_m(self.latitude_deg, self.longitude_deg)


@dataclass(frozen=True, eq=False)
class Gazetteer:
    """Places by falling population; `text` holds every search key between line ends."""

    names: list[str]
    regions: list[str]
    country: np.ndarray
    zone: np.ndarray
    latitude_deg: np.ndarray
    longitude_deg: np.ndarray
    people: np.ndarray
    codes: list[str]
    countries: list[str]
    country_keys: dict[str, int]
    zones: list[str]
    states: dict[str, str]
    keys: list[str]
    key_place: np.ndarray
    key_own: np.ndarray
    text: str
    key_start: np.ndarray
    signature: np.ndarray

    def place(self, index: int) -> Place:
        """One row as a Place."""
        return Place(
            name=self.names[index],
            country=self.countries[self.country[index]],
            region=self.regions[index],
            latitude_deg=float(self.latitude_deg[index]),
            longitude_deg=float(self.longitude_deg[index]),
            civil_zone=self.zones[self.zone[index]],
            population=int(self.people[index]),
        )


def letter_pairs(key: str) -> int:
    """Letter pairs of a key as bits of one 64-bit word."""
    bits = 0
    for first, second in pairwise(key):
        bits |= 1 << ((ord(first) * 31 + ord(second) * 7) & 63)
    return bits


def _signatures(keys: list[str]) -> np.ndarray:
    """`letter_pairs` of every key at once, shape (keys,), uint64."""
    codes = np.frombuffer("\n".join(keys).encode("utf-32-le"), dtype=np.uint32).astype(np.int64)
    slot = (codes[:-1] * 31 + codes[1:] * 7) & 63
    bit = np.left_shift(np.uint64(1), slot.astype(np.uint64))
    bit[(codes[:-1] == 10) | (codes[1:] == 10)] = 0
    starts = np.concatenate([[0], np.flatnonzero(codes == 10) + 1])
    return np.bitwise_or.reduceat(bit, np.minimum(starts, len(bit) - 1))


def _country_keys(codes: list[str], codes3: list[str], names: list[str]) -> dict[str, int]:
    keys = {folded(name): k for k, name in enumerate(names)}
    keys |= {code.lower(): k for table in (codes3, codes) for k, code in enumerate(table)}
    return keys | {alias: codes.index(code) for alias, code in _COUNTRY_ALIASES.items()}


@cache
def gazetteer() -> Gazetteer:
    """All populated places that come with the program, unpacked once."""
    with np.load(data_dir() / "places.npz") as packed:

        def lines(name):
            return packed[name].tobytes().decode().split("\n")

        names, codes, countries = lines("names"), lines("country_codes"), lines("country_names")
        own = folded(packed["names"].tobytes().decode()).split("\n")
        keys = own + lines("extra_keys")
        place = np.concatenate([np.arange(len(own)), packed["extra_place"].astype(int)])
        order = np.argsort(place, kind="stable")
        keys = [keys[k] for k in order]
        codes_of_states = lines("state_codes")
        states = dict(zip(map(folded, lines("state_names")), codes_of_states, strict=True))
        states |= {code.lower(): code for code in codes_of_states}
        lengths = np.fromiter((len(key) + 1 for key in keys), dtype=np.int64, count=len(keys))
        return Gazetteer(
            names=names,
            regions=lines("regions"),
            country=packed["country"],
            zone=packed["zone"],
            latitude_deg=packed["lat"] / 1000,
            longitude_deg=packed["lon"] / 1000,
            people=packed["people_100"].astype(int) * 100,
            codes=codes,
            countries=countries,
            country_keys=_country_keys(codes, lines("country_codes3"), countries),
            zones=lines("zones"),
            states=states,
            keys=keys,
            key_place=place[order],
            key_own=order < len(own),
            text="\n" + "\n".join(keys) + "\n",
            key_start=np.cumsum(lengths) - lengths,
            signature=_signatures(keys),
        )
