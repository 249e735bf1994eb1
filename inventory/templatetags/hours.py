"""How long something has waited, as people say it."""

from datetime import UTC, datetime

from django import template
from django.utils.translation import gettext, ngettext

register = template.Library()
_HOURS_IN_WORDS = 72  # longer waits are said in days


@register.filter
def waited(since: str, now: datetime | str = "") -> str:
    """Say how long ago a moment was: "5 hours", "12 days"; nothing for what cannot be read.

    Args:
        since: when it began, as ISO 8601.
        now: which moment it is, the clock's where none is given: the demo has a day of its own.
    """
    try:
        moment = datetime.fromisoformat(since)
    except ValueError:
        return ""
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    present = now if isinstance(now, datetime) else datetime.now(UTC)
    hours = max(0, int((present - moment).total_seconds() // 3600))
    if not hours:
        return gettext("just now")
    if hours < _HOURS_IN_WORDS:
        return ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    return ngettext("%(n)d day", "%(n)d days", hours // 24) % {"n": hours // 24}
