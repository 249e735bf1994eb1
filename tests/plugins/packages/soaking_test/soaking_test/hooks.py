"""What the plugin answers when the site asks."""

from collections.abc import Sequence

from hilum.plugins import Panel, hookimpl


@hookimpl
def lot_panels(lot_number: str) -> Sequence[Panel]:
    """Show a lot's newest soak."""
    return [Panel("Soaking", (("Water taken up", f"of {lot_number}"),))]
