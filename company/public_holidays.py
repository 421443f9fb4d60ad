"""Public holidays of countries and regions, as the `holidays` library knows them."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from functools import cache


@dataclass(frozen=True)
class PublicHoliday:
    """One public holiday."""

    day: date
    word: str


@cache
def countries() -> tuple[tuple[str, str], ...]:
    """Codes and English names of the countries that are known, by name."""
    from holidays.registry import COUNTRIES

    named = [(codes[1], key.replace("_", " ").title()) for key, codes in COUNTRIES.items()]
    return tuple(sorted(named, key=lambda pair: pair[1]))


@cache
def regions_of(country: str) -> tuple[tuple[str, str], ...]:
    """Codes and names of the regions of a country that have holidays of their own."""
    import holidays

    entity = getattr(holidays, country, None)
    if entity is None:
        return ()
    names = {code: alias for alias, code in getattr(entity, "subdivisions_aliases", {}).items()}
    found = [(code, names.get(code, code)) for code in entity.subdivisions]
    return tuple(sorted(found, key=lambda pair: pair[1]))


def public_holidays(country: str, year: int, region: str = "") -> tuple[PublicHoliday, ...]:
    """The public holidays of a year, earliest first, in English where the library has it.

    KeyError for a country, ValueError for a region that is not known.
    """
    import holidays

    if country not in dict(countries()):
        raise KeyError(country)
    if region and region not in dict(regions_of(country)):
        raise ValueError(region)
    entity = getattr(holidays, country)
    spoken = [word for word in entity.supported_languages if word.startswith("en")]
    found = holidays.country_holidays(
        country, subdiv=region or None, years=year, language=spoken[0] if spoken else None
    )
    return tuple(PublicHoliday(day, word) for day, word in sorted(found.items()))
