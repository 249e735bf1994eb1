"""Where the addresses of plugins begin."""

START = "/api/v1/x/"


def plugin_of(address: str) -> str:
    """Name the plugin that an address belongs to; "" for none."""
    return address.removeprefix(START).partition("/")[0] if address.startswith(START) else ""
