"""Days, periods and instants of the contract."""

import calendar
from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

EPOCH = datetime(1970, 1, 1, tzinfo=timezone.utc)


def last_day(text):
    """The day on which what is written as `text` counts: a partial date or an interval on its last, the
    day of a moment as written in its own offset."""
    if "/" in text:
        return max(last_day(part) for part in text.split("/"))
    parts = [int(part) for part in text.split("T")[0].split("-")]
    year, month = parts[0], parts[1] if len(parts) > 1 else 12
    return date(year, month, parts[2] if len(parts) > 2 else calendar.monthrange(year, month)[1])


def period(text):
    """First and last day of `2026`, `2026-Q3`, `2026-07` or `2026-07-01..2026-09-30`."""
    if ".." in text:
        first, last = text.split("..")
        return date.fromisoformat(first), date.fromisoformat(last)
    if "Q" in text:
        year, quarter = text.split("-Q")
        return date(int(year), 3 * int(quarter) - 2, 1), last_day(f"{year}-{3 * int(quarter):02}")
    last = last_day(text)
    return date(last.year, last.month if "-" in text else 1, 1), last


def microseconds(instant):
    """An RFC 3339 instant in whole microseconds since 1970."""
    return (datetime.fromisoformat(instant) - EPOCH) // timedelta(microseconds=1)


def written(stamp, zone="UTC"):
    """Microseconds since 1970 as RFC 3339."""
    return (EPOCH + timedelta(microseconds=stamp)).astimezone(ZoneInfo(zone)).isoformat(timespec="microseconds")


def day(stamp, zone):
    """The day in a zone on which a stamp falls."""
    return (EPOCH + timedelta(microseconds=stamp)).astimezone(ZoneInfo(zone)).date()


def known_at(text, zone):
    """The last microsecond that is known: of an instant itself, of a bare date the day's in the zone."""
    if "T" in text:
        return microseconds(text)
    midnight = datetime.combine(date.fromisoformat(text) + timedelta(days=1), datetime.min.time(), ZoneInfo(zone))
    return microseconds(midnight.isoformat()) - 1
