"""The time that a workshop's own clock shows."""

from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from zoneinfo import ZoneInfo

from babel.core import get_global

from service.workshop import Workshop

THE_SAME_FOR_ALL = "UTC"


def zone_of(workshop: Workshop) -> ZoneInfo:
    """Return the zone that a workshop has named, or its country's where that keeps one time, else UTC."""
    return ZoneInfo(workshop.zone or usual_zone(workshop.region))


def zones_of(region: str) -> tuple[str, ...]:
    """Return the zones of a country [ISO 3166]. Source: Unicode CLDR. Worked: GB has Europe/London."""
    return tuple(get_global("territory_zones").get(region, ()))


@cache
def every_zone() -> frozenset[str]:
    """Return every zone that a country has, and UTC."""
    countries = get_global("territory_zones").values()
    return frozenset({THE_SAME_FOR_ALL, *(name for zones in countries for name in zones if "/" in name)}) - {
        "Etc/Unknown"
    }


@cache
def usual_zone(region: str) -> str:
    """Return the zone of a country [ISO 3166] that keeps one time all over, else UTC.

    Source: Unicode CLDR's zones by country, IANA's rules for them. Worked: GB is Europe/London, US is UTC.
    """
    zones = zones_of(region)
    noons = [datetime(2026, month, 1, 12) for month in range(1, 13)]  # noqa: DTZ001 - of any zone
    kept = {tuple(noon.replace(tzinfo=ZoneInfo(zone)).utcoffset() for noon in noons) for zone in zones}
    return zones[0] if len(kept) == 1 else THE_SAME_FOR_ALL


def local(at: datetime, workshop: Workshop) -> datetime:
    """Return a moment by a workshop's clock."""
    return at.astimezone(zone_of(workshop))


def local_day(at: datetime, workshop: Workshop) -> date:
    """Return the day that a moment falls on, by a workshop's clock."""
    return local(at, workshop).date()


def end_of(day: date, workshop: Workshop) -> datetime:
    """Return the moment at which a day ends by a workshop's clock."""
    return datetime.combine(day + timedelta(days=1), time(), zone_of(workshop)).astimezone(UTC)
