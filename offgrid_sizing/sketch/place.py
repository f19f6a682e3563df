"""Where the system stands: the site, its roof planes, its skyline and the weather asked for."""

from typing import Annotated, Literal

from pydantic import Field, model_validator

from offgrid_sizing.sketch.base import Frac, Name, NotNegative, Part, Positive, TwelveNotNegative
from offgrid_sizing.words import sentence


class Site(Part):
    """A point on Earth. Longitude east positive; elevation above sea level."""

    name: Name = Field("Unnamed place", description="what people call it")
    country: str = Field("", max_length=80)
    latitude_deg: float = Field(ge=-90, le=90, description="north positive")
    longitude_deg: float = Field(ge=-180, le=180, description="east positive")
    elevation_m: float | None = Field(
        None, ge=-430, le=6500, description="above sea level; empty: read from the altitude grid"
    )
    utc_offset_h: float | None = Field(
        None,
        ge=-12,
        le=14,
        description="standard time, hours ahead of UTC; empty: longitude / 15, rounded",
    )
    civil_zone: str | None = Field(
        None, max_length=64, description="IANA zone, for daylight saving of habits only"
    )
    albedo: Frac = Field(0.2, description="share of light the ground returns")  # common practice

    @property
    def offset_h(self) -> float:
        """Standard-time offset in hours; the nominal zone where none was given."""
        if self.utc_offset_h is not None:
            return self.utc_offset_h
        return float(round(self.longitude_deg / 15))

    @property
    def equator_azimuth_deg(self) -> float:
        """Where a roof best looks: south in the northern half of the Earth, north in the other."""
        return 180.0 if self.latitude_deg >= 0 else 0.0


class HorizonPoint(Part):
    """One point of the skyline; between points it is interpolated round the compass."""

    azimuth_deg: float = Field(ge=0, le=360, description="clockwise from north")
    elevation_deg: float = Field(ge=0, le=90, description="height of the horizon")


class Obstacle(Part):
    """A box of the sky that is covered: a tree, a chimney, a neighbour's wall."""

    name: Name = "Obstacle"
    azimuth_from_deg: float = Field(ge=0, le=360, description="clockwise from north")
    azimuth_to_deg: float = Field(ge=0, le=360)
    elevation_from_deg: float = Field(0, ge=0, le=90)
    elevation_to_deg: float = Field(ge=0, le=90)
    transmittance_frac: Frac = Field(0, description="light that passes, e.g. a bare tree 0.5")


class RoofPlane(Part):
    """One plane of modules: its slope, where it looks, and the strings drawn on it."""

    name: Name = "Roof"
    tilt_deg: float = Field(30, ge=0, le=90, description="0 flat, 90 upright")
    azimuth_deg: float = Field(180, ge=0, le=360, description="clockwise from north; 180 = south")
    mounting: Literal["open_rack", "close_roof", "insulated_back"] = "close_roof"
    modules_in_series: int = Field(2, ge=0, le=40, description="modules in one string")
    strings: int = Field(1, ge=0, le=200, description="strings side by side")
    max_modules: int | None = Field(
        None, ge=0, le=5000, description="how many fit; empty: no limit"
    )
    width_m: Positive | None = Field(
        None, le=500, description="of the plane along the eaves; empty: not said"
    )
    slope_m: Positive | None = Field(
        None, le=500, description="of the plane from eaves to ridge, up the slope; empty: not said"
    )
    edge_m: NotNegative | None = Field(
        None, le=50, description="kept free round the modules; empty: 0.3 m"
    )

    @property
    def modules(self) -> int:
        """Modules drawn on this plane."""
        return self.modules_in_series * self.strings


class WeatherChoice(Part):
    """Which weather the sketch is computed with, and how many years of it."""

    source: Literal[
        "climate", "sample", "file", "monthly", "pvgis_typical", "pvgis_hourly", "nasa_power"
    ] = Field("climate", description="climate: built in, works for any place without a network")
    sample: Literal["greensboro", "miami", "sand_point"] | None = Field(
        None, description="a real typical year that pvlib carries"
    )
    file: str | None = Field(None, max_length=1000, description="path of a weather file")
    file_stamp: Literal["auto", "begin", "middle", "end", "instant"] = Field(
        "auto", description="what the file's time stamps mark; auto: its format's rule, or the sun"
    )
    file_unit: Literal["auto", "W/m2", "Wh/m2", "kWh/m2", "kJ/m2", "J/m2"] = Field(
        "auto", description="unit of radiation in a plain CSV"
    )
    file_utc_offset_h: float | None = Field(
        None, ge=-12, le=14, description="the file's clock, hours ahead of UTC; empty: as it says"
    )
    monthly_ghi_kwh_per_m2_day: TwelveNotNegative | None = Field(
        None, description="daily mean on the horizontal, January to December"
    )
    monthly_tilted_peak_sun_hours_h: TwelveNotNegative | None = Field(
        None, description="daily peak sun hours on the tilt below, January to December"
    )
    monthly_tilt_deg: float | None = Field(None, ge=0, le=90)
    monthly_azimuth_deg: float | None = Field(None, ge=0, le=360)
    years: int = Field(20, ge=1, le=60, description="weather years for reliability")
    extended_years: int = Field(
        0,
        ge=0,
        le=60,
        description="synthetic years drawn around the means of recorded or typical ones; 0: none",
    )
    first_year: int | None = Field(None, ge=1940, le=2100)
    last_year: int | None = Field(None, ge=1940, le=2100)
    seed: int = Field(1, ge=0, le=2**31 - 1)
    array_reserve: Positive = Field(
        1.0, le=3, description="array is made this much larger to cover the weather's uncertainty"
    )
    record_low_c: float | None = Field(
        None,
        ge=-80,
        le=40,
        description="own coldest air for string voltage; empty: 20-year low less 5 K",
    )

    @model_validator(mode="after")
    def _has_what_its_source_needs(self):
        if self.source == "sample" and self.sample is None:
            raise ValueError(sentence("refused.reason.no_sample"))
        if self.source == "file" and not (self.file or "").strip():
            raise ValueError(sentence("refused.reason.no_file"))
        first, last = self.first_year, self.last_year
        if first and last and last < first:
            raise ValueError(sentence("refused.reason.years_order", first=first, last=last))
        if self.source == "monthly":
            given = (self.monthly_ghi_kwh_per_m2_day, self.monthly_tilted_peak_sun_hours_h)
            if sum(table is not None for table in given) != 1:
                raise ValueError(sentence("refused.reason.no_table"))
        return self


RoofPlanes = Annotated[tuple[RoofPlane, ...], Field(max_length=12)]
Horizon = Annotated[tuple[HorizonPoint, ...], Field(max_length=360)]
Obstacles = Annotated[tuple[Obstacle, ...], Field(max_length=50)]
