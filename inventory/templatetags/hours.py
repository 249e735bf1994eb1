"""How long something has waited, as people say it."""

from datetime import UTC, datetime

from django import template
from django.utils.translation import ngettext

register = template.Library()
_HOURS_IN_WORDS = 72  # longer waits are said in days


@register.filter
def waited(since: str) -> str:
    """Say how long ago a moment was: "5 hours", "12 days"; nothing for what cannot be read."""
    try:
        moment = datetime.fromisoformat(since)
    except ValueError:
        return ""
    moment = moment if moment.tzinfo else moment.replace(tzinfo=UTC)
    hours = max(0, int((datetime.now(UTC) - moment).total_seconds() // 3600))
    if hours < _HOURS_IN_WORDS:
        return ngettext("%(n)d hour", "%(n)d hours", hours) % {"n": hours}
    return ngettext("%(n)d day", "%(n)d days", hours // 24) % {"n": hours // 24}
