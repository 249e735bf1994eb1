"""How often a key may ask, as the framework reads it."""

from django.core.exceptions import ImproperlyConfigured


def rate_from(typed: str) -> str | None:
    """Read requests a minute: "1200" -> "1200/min"; 0 is no limit.

    Raises:
        ImproperlyConfigured: it is no whole number.
    """
    if not typed.isascii() or not typed.isdigit():
        raise ImproperlyConfigured(f"HILUM_API_RATE is {typed!r}. Give whole requests a minute, or 0 for no limit.")
    return f"{int(typed)}/min" if int(typed) else None
