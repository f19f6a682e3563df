"""Places by name, by coordinates, and their height: offline."""


def altitude_m(latitude_deg: float, longitude_deg: float) -> float:
    """Height above sea level from pvlib's 1/12° map, 0 where it holds no data. [m]"""
    import pvlib

    return float(pvlib.location.lookup_altitude(latitude_deg, longitude_deg))
