"""The networks of one's own that may be told of acts, by HILUM_WEBHOOK_NETWORKS."""

from ipaddress import IPv4Network, IPv6Network, ip_network

from django.core.exceptions import ImproperlyConfigured


def networks_from(typed: str) -> tuple[IPv4Network | IPv6Network, ...]:
    """Read networks with commas between them: "192.168.10.0/24, fd00:12::/64"; none where nothing is said.

    Raises:
        ImproperlyConfigured: one that is none.
    """
    return tuple(_network(one.strip()) for one in typed.split(",") if one.strip())


def _network(typed: str) -> IPv4Network | IPv6Network:
    try:
        return ip_network(typed)
    except ValueError:
        raise ImproperlyConfigured(
            f"HILUM_WEBHOOK_NETWORKS names {typed!r}. Write networks such as 192.168.10.0/24, with commas between."
        ) from None
