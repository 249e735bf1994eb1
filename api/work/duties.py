"""The duties of a worker: small functions that do one piece of what waits and say how much they did.

A new duty is a function without arguments and a line in `DUTIES`. It does a bounded piece at a time, so that no other
duty waits long, and leaves the books as they were if it is ended half-way: it is called again.
"""

import logging
from collections.abc import Callable, Mapping

from django.db import close_old_connections

from api.jobs.doing import do_next_job, forget_old_jobs, take_up_lost
from api.webhooks.telling import forget_log, queue_messages, send_due
from inventory.actions.telling_plugins import tell_plugins

logger = logging.getLogger("hilum.work")
Duty = Callable[[], int]  # how many pieces were done; 0 where nothing waits, or nothing can be done now
DUTIES: Mapping[str, Duty] = {
    "jobs whose worker was lost": take_up_lost,
    "jobs": do_next_job,
    "acts to tell": queue_messages,
    "messages": send_due,
    "old jobs": forget_old_jobs,
    "plugins are told": tell_plugins,
    "old messages": forget_log,
}


def do_duties(duties: Mapping[str, Duty] | None = None) -> dict[str, int]:
    """Do each duty once; one that fails is logged and keeps no other from being done.

    Returns:
        What was done, by name; -1 for a duty that failed.
    """
    return {name: _done(name, duty) for name, duty in (DUTIES if duties is None else duties).items()}


def _done(name: str, duty: Duty) -> int:
    try:
        return duty()
    except Exception:
        logger.exception("The duty %r failed; it is tried again.", name)
        close_old_connections()
        return -1
