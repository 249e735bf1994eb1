"""Name the plugin that books an act for somebody: it stands in the act's facts, for whoever reads them later."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from contextvars import ContextVar

from inventory.actions.drafts import Draft

_plugin: ContextVar[str] = ContextVar("the plugin that books", default="")


@contextmanager
def booked_by(plugin: str) -> Iterator[None]:
    """Let acts that are written meanwhile name a plugin; "" for none."""
    before = _plugin.set(plugin)
    try:
        yield
    finally:
        _plugin.reset(before)


def name_plugin(drafts: Sequence[Draft]) -> None:
    """Put the plugin that books, where one does, into the facts of acts."""
    if plugin := _plugin.get():
        for draft in drafts:
            draft.facts["plugin"] = plugin
