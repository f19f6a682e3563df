"""Search the gazetteer as one types, and find what lies nearest to a point."""

import difflib
from collections.abc import Callable

import numpy as np

from offgrid_sizing.places.gazetteer import Gazetteer, Place, gazetteer, letter_pairs
from offgrid_sizing.places.ground import nautical_offset_h
from offgrid_sizing.spelling import edits_to_beginning, folded

EARTH_RADIUS_KM = 6371.0
ZONE_REACH_KM = 150
FEW = 3  # with fewer finds than this, misspelt names are looked for too
_Wanted = Callable[[int], bool] | None


def _countries_of(key: str, places: Gazetteer) -> set[int]:
    """Countries that a folded text means: exact, else by beginning, else nearly spelt."""
    if key in places.country_keys:
        return {places.country_keys[key]}
    starts = {k for name, k in places.country_keys.items() if name.startswith(key)}
    near = difflib.get_close_matches(key, places.country_keys, n=1, cutoff=0.75)
    return starts or {places.country_keys[name] for name in near}


def _narrowed(rest: str, places: Gazetteer) -> _Wanted:
    """Test of a place's row against what was typed behind the comma; None where it says nothing.

    A state of the United States goes first when it is named, a country otherwise.
    """
    parts = [folded(part) for part in rest.split(",") if folded(part)]
    if not parts:
        return None
    states = {places.states[part] for part in parts if part in places.states}
    countries = _countries_of(parts[-1], places)
    others = countries - {places.codes.index("US")}
    if states and parts[-1] in places.states:
        return lambda row: places.regions[row] in states or int(places.country[row]) in others
    if states:
        return lambda row: places.regions[row] in states
    return lambda row: int(places.country[row]) in countries


def _add_exact(
    places: Gazetteer,
    needle: str,
    wanted: _Wanted,
    taken: dict[int, None],
    limit: int,
    *,
    own: bool,
) -> None:
    """Add the places, most populous first, whose keys hold the needle."""
    at = places.text.find(needle)
    while at >= 0 and len(taken) < limit:
        row = int(np.searchsorted(places.key_start, at + (needle[0] != " "), "right")) - 1
        place = int(places.key_place[row])
        if (not own or places.key_own[row]) and (wanted is None or wanted(place)):
            taken.setdefault(place)
        at = places.text.find(needle, at + 1)


def _add_misspelt(
    places: Gazetteer, query: str, wanted: _Wanted, taken: dict[int, None], limit: int
) -> None:
    """Add the places whose keys begin almost like the query, fewest slips first."""
    slips = 1 if len(query) < 6 else 2 if len(query) < 11 else 3
    bits = np.uint64(letter_pairs(query))
    shared = np.bitwise_count(places.signature & bits)
    floor = max(int(np.bitwise_count(bits)) - 3 * slips, 1)
    rows = np.flatnonzero(shared >= floor)
    rows = rows[np.argsort(-shared[rows].astype(int), kind="stable")[:400]]
    scored = []
    for row in rows:
        place = int(places.key_place[row])
        if place in taken or (wanted is not None and not wanted(place)):
            continue
        key = places.keys[row]
        edits = edits_to_beginning(query, key, slips)
        if edits <= slips:
            scored.append((edits, abs(len(key) - len(query)) > slips, place))
    for _, _, place in sorted(scored):
        if len(taken) >= limit:
            return
        taken.setdefault(place)


def _ranked(places: Gazetteer, query: str, wanted: _Wanted, limit: int) -> dict[int, None]:
    taken: dict[int, None] = {}
    _add_exact(places, f"\n{query}\n", wanted, taken, limit, own=False)
    _add_exact(places, f"\n{query}", wanted, taken, limit, own=True)
    _add_exact(places, f"\n{query}", wanted, taken, limit, own=False)
    _add_exact(places, f" {query}", wanted, taken, limit, own=True)
    return taken


def _without_comma(places: Gazetteer, query: str) -> tuple[str, _Wanted]:
    """'greensboro nc', 'lyon france': name, and the last one to three words as state or country."""
    words = query.split()
    for count in (1, 2, 3):
        last = " ".join(words[-count:])
        begins = len(last) >= 4 and any(name.startswith(last) for name in places.country_keys)
        if len(words) > count and (begins or last in places.states or last in places.country_keys):
            return " ".join(words[:-count]), _narrowed(last, places)
    return query, None


def search_places(text: str, limit: int = 10) -> tuple[Place, ...]:
    """Places that a typed text may mean, best first; works while one types.

    Whole name, then beginning, then a later word, then nearly spelt; the more populous first.
    "name, country" or "name, state" (United States) narrows the search. Where nothing is found,
    words with digits are left out: post codes are not in the list.

    Parameters
    ----------
    text : str
        Accents, hyphens, capitals and one to three slips do not matter.
    limit : int
        Most places returned.
    """
    text = text[:200].replace("\n", " ")
    found = _found(text, limit)
    if not found and any(letter.isdigit() for letter in text):
        words = (word for word in text.split() if not any(letter.isdigit() for letter in word))
        found = _found(" ".join(words).strip(" ,;"), limit, misspelt=False)
    places = gazetteer()
    return tuple(places.place(row) for row in found)


def _found(text: str, limit: int, *, misspelt: bool = True) -> dict[int, None]:
    """Rows of the places that a text may mean, best first."""
    name, _, rest = text.partition(",")
    query = folded(name)
    if not query:
        return {}
    places = gazetteer()
    wanted = _narrowed(rest, places)
    found = _ranked(places, query, wanted, limit)
    if not found and wanted is None:
        query, wanted = _without_comma(places, query)
        found = _ranked(places, query, wanted, limit)
    if misspelt and len(found) < FEW and len(query) >= 4:
        _add_misspelt(places, query, wanted, found, limit)
    if not found and wanted is not None:
        found = _ranked(places, query, None, limit)
    return found


def nearest_place(latitude_deg: float, longitude_deg: float) -> tuple[Place, float]:
    """The populated place nearest to a point, and how far away it is in km (haversine)."""
    places = gazetteer()
    here, there = np.radians(latitude_deg), np.radians(places.latitude_deg)
    across = np.radians(places.longitude_deg - longitude_deg)
    half = np.sin((there - here) / 2) ** 2 + np.cos(here) * np.cos(there) * np.sin(across / 2) ** 2
    row = int(np.argmin(half))
    return places.place(row), float(2 * EARTH_RADIUS_KM * np.arcsin(np.sqrt(half[row])))


def clock_of(latitude_deg: float, longitude_deg: float) -> tuple[str | None, float]:
    """Civil zone (None far from any town) and standard-time offset [h] of a point.

    The zone of the nearest place within 150 km; beyond that the nautical offset, longitude / 15.
    """
    place, away_km = nearest_place(latitude_deg, longitude_deg)
    if away_km <= ZONE_REACH_KM:
        return place.civil_zone, place.utc_offset_h
    return None, nautical_offset_h(longitude_deg)
