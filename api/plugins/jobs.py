"""Long work of plugins: asked for, looked at, fetched and cancelled as any other."""

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from api.jobs.doing import Stopped
from api.jobs.kinds import JobKind, Made, Progress, Task
from api.jobs.models import LONGEST_FILE_NAME, LONGEST_MEDIA_TYPE
from hilum.plugins import JobAsked, JobMade, PluginJob
from hilum.plugins.facts import MeasuredValue
from hilum.plugins.host import the_host
from inventory.actions.plugin_measuring import read_values
from inventory.importing.measurements import given, words_of_fields
from inventory.rules.mistakes import Mistake, Refused
from inventory.rules.plugin_mistakes import PluginFailed, PluginOff
from inventory.rules.reading import UNKEPT


def plugin_jobs(station: str = "") -> Iterator[JobKind]:
    """Give the jobs of all plugins that are on at a station, or at any, as kinds of work."""
    for plugin, job in the_host().jobs(station).values():
        words = words_of_fields(job.name, job.tells, job.fields)
        yield JobKind(job.name, job.tells, words, partial(_do, plugin, job), partial(_check, plugin, job))


def _check(plugin: str, job: PluginJob, task: Task) -> None:
    _values(plugin, job, task)


def _values(plugin: str, job: PluginJob, task: Task) -> dict[str, MeasuredValue]:
    """Read what was asked for, at a station at which the plugin is on."""
    if not the_host().is_on(plugin, task.station.code):
        raise Refused([PluginOff(plugin, task.station.code)])
    values, mistakes = read_values(job.fields, given(task.words))
    if mistakes:
        raise Refused(mistakes)
    return values


def _do(plugin: str, job: PluginJob, task: Task, progress: Progress) -> Made:
    asked = JobAsked(task.station.code, task.person.get_username(), _values(plugin, job, task))
    made = _made(plugin, lambda: job.do(asked, progress))
    if made.file_name:
        task.file.write_bytes(made.content)
    return Made(made.says, made.file_name, made.media_type)


def _made(plugin: str, do: Callable[[], Any]) -> JobMade:
    """Let the plugin work.

    Raises:
        Stopped: it was cancelled.
        Refused: it failed.
    """
    try:
        made = do()
        if not isinstance(made, JobMade):
            raise TypeError(f"a {type(made).__name__} where a JobMade is promised")
        _must_be_kept(made)
    except (Stopped, Refused, Mistake):
        raise
    except Exception as error:
        why = UNKEPT.sub("?", str(error))
        says = f"The plugin {plugin} failed ({type(error).__name__}: {why}). Tell whoever brought it."
        raise Refused([PluginFailed(says)]) from error
    return made


def _must_be_kept(made: JobMade) -> None:
    """Hold what a plugin made against what a job can keep and a header can name.

    Raises:
        ValueError: it cannot.
    """
    name, media = made.file_name, made.media_type
    if not isinstance(made.content, bytes) or UNKEPT.search(made.says):
        raise ValueError("its content is no bytes, or its sentence holds a sign that cannot be kept")
    if len(name) > LONGEST_FILE_NAME or not name.isprintable() or not 0 < len(media) <= LONGEST_MEDIA_TYPE:
        raise ValueError("the name of its file or its media type is too long, or holds a sign that nobody sees")
    if not media.isascii() or not media.isprintable():
        raise ValueError("its media type is no plain text")
