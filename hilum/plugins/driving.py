"""Lets a driver read what a device sent, within a time: a scale's people wait for the answer."""

from collections.abc import Sequence
from threading import Thread
from typing import Any

from hilum.plugins.answers import all_of
from hilum.plugins.facts import DeviceDriver, DeviceReading

LONGEST = 2.0  # seconds for one text


class ReadingUnread(Exception):  # noqa: N818 - an answer about what was sent
    """What a device sent was not read; the text is a full sentence."""


class DriverFailed(Exception):  # noqa: N818 - the driver's fault, not ours
    """A driver raised something else than a ValueError, answered with something else, or took too long."""


def parsed(driver: DeviceDriver, text: str) -> tuple[DeviceReading, ...]:
    """Read a text.

    A thread cannot be ended from outside: one that takes too long goes on by itself and its answer is dropped. The host
    sets such a driver aside after a few times.

    Raises:
        ReadingUnread: the driver says that it cannot read it.
        DriverFailed: the driver failed.
    """
    heard: list[Any] = []
    thread = Thread(target=_parse, args=(driver, text, heard), name=f"driver {driver.name}", daemon=True)
    thread.start()
    thread.join(LONGEST)
    if not heard:
        raise DriverFailed(f"it took longer than {LONGEST:g} seconds")
    [answer] = heard
    if isinstance(answer, ValueError):
        raise ReadingUnread(str(answer)) from answer
    if isinstance(answer, BaseException):
        raise DriverFailed(f"{type(answer).__name__}: {answer}") from answer
    try:
        return all_of(DeviceReading)(answer)
    except TypeError as error:
        raise DriverFailed(str(error)) from error


def _parse(driver: DeviceDriver, text: str, heard: "list[Sequence[DeviceReading] | BaseException]") -> None:
    try:
        heard.append(driver.parse(text))
    except BaseException as error:
        heard.append(error)
