"""Switch plugins on and off; nothing is on before a second process has started with it and its tables stand."""

import difflib
from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from hilum.plugins.installed import Installed, LeftOut, installed
from hilum.plugins.plugin import Plugin
from hilum.plugins.starting import check_again, name_of
from hilum.plugins.switched import Board, Switched, read_board, write_board
from hilum.plugins.trying import try_out

State = Literal["on", "off", "left out", "gone"]


class CannotSwitch(Exception):  # noqa: N818 - an answer, not a fault
    """What was asked for cannot be done; the text is a full sentence that says what to do next."""


class NoSuchPlugin(CannotSwitch):
    """No plugin of that name can be meant."""


@dataclass(frozen=True)
class Told:
    """A plugin as the list tells it."""

    slug: str
    package: str
    version: str
    title: str
    api: str
    state: State
    says: str = ""  # why it is left out, or cannot be switched on
    off_at: tuple[str, ...] = ()


def told_plugins(folder: Path) -> list[Told]:
    """List every plugin that is installed or on, with what stands in its way."""
    board, here = read_board(folder), installed()
    gone = [one for one in board.on if (one.slug, one.package) not in {(it.slug, it.package) for it in here}]
    return [
        *(_told(one, board, here) for one in here),
        *(
            Told(one.slug, one.package, "", "", "", "gone", board.left_out.get(one.slug, ""), one.off_at)
            for one in gone
        ),
    ]


def enable(folder: Path, slug: str) -> tuple[Plugin, tuple[str, ...]]:
    """Switch a plugin on, once everything has been tried.

    Returns:
        What it says of itself, and the migrations that were applied for it.

    Raises:
        CannotSwitch: it is not installed, does not fit, or the site does not start with it; nothing was changed then,
            but that migrations which went through before one that failed stay.
    """
    one = _only(slug)
    plugin = _read(one)
    board = read_board(folder)
    beside = _standing_beside(board, slug)
    planned = try_out("plan" if plugin.app else "start", [*beside, name_of(one)], plugin.label)
    if planned.why:
        raise CannotSwitch(f"The plugin {slug} was not switched on: {planned.why}.")
    if plugin.app:
        done = try_out("migrate", [*beside, name_of(one)], plugin.label)
        if done.why:
            raise CannotSwitch(f"The plugin {slug} was not switched on: {done.why}.")
    before = board.of(slug)
    write_board(folder, board.with_on(Switched(slug, one.package, before.off_at if before else ())))
    return plugin, planned.said if plugin.app else ()


def disable(folder: Path, slug: str) -> None:
    """Switch a plugin off; its tables stay as they are.

    Raises:
        CannotSwitch: it is not on.
    """
    write_board(folder, _board_with(folder, slug).without(slug))


def switch_at(folder: Path, slug: str, station: str, *, is_on: bool) -> None:
    """Switch a plugin that is on, on or off at one station.

    Raises:
        CannotSwitch: it is not on.
    """
    board = _board_with(folder, slug)
    one = board.of(slug)
    if one is None:
        raise AssertionError("a plugin that is on has its switch")
    off_at = [code for code in one.off_at if code != station] + ([] if is_on else [station])
    on = tuple(replace(it, off_at=tuple(off_at)) if it is one else it for it in board.on)
    write_board(folder, replace(board, on=on))


def check_one(folder: Path, slug: str) -> Plugin:
    """Try a plugin that may be off; nothing is changed.

    Raises:
        CannotSwitch: it would not start.
    """
    one = _only(slug)
    plugin = _read(one)
    beside = _standing_beside(read_board(folder), slug)
    if why := try_out("plan" if plugin.app else "start", [*beside, name_of(one)], plugin.label).why:
        raise CannotSwitch(f"The plugin {slug} cannot be switched on: {why}.")
    return plugin


def migrate_all(folder: Path) -> list[str]:
    """Bring the tables of every plugin that is on up to date; one that fails is left out until it is checked anew.

    Returns:
        A sentence for each that failed.
    """
    if not read_board(folder).on:
        return []
    board = check_again(folder)
    here = {(one.slug, one.package): one for one in installed()}
    failed: dict[str, str] = {}
    for switch in board.on:
        one = here.get((switch.slug, switch.package))
        if one is None or switch.slug in board.left_out or not one.load().app:
            continue
        if why := try_out("migrate", [name_of(one)], one.load().label).why:
            failed[switch.slug] = why
    if failed:
        write_board(folder, replace(board, left_out={**board.left_out, **failed}))
    return [f"The plugin {slug} was left out: {why}." for slug, why in {**board.left_out, **failed}.items()]


def _told(one: Installed, board: Board, here: Sequence[Installed]) -> Told:
    switch = board.of(one.slug)
    is_on = switch is not None and switch.package == one.package
    says, title, api = board.left_out.get(one.slug, "") if is_on else "", "", ""
    try:
        plugin = one.load()
        title, api = plugin.title, plugin.api
    except LeftOut as why:
        says = str(why)
    twins = [it.package for it in here if it.slug == one.slug and it.package != one.package]
    if twins and not is_on:
        says = says or f"{' and '.join(twins)} brings a plugin of the same name"
    state: State = ("left out" if says else "on") if is_on else "off"
    return Told(one.slug, one.package, one.version, title, api, state, says, switch.off_at if switch and is_on else ())


def _only(slug: str) -> Installed:
    here = installed()
    found = [one for one in here if one.slug == slug]
    if not found:
        names = sorted({one.slug for one in here})
        near = difflib.get_close_matches(slug, names, n=1)
        there = f"Did you mean {near[0]}?" if near else f"There are: {', '.join(names) or 'none'}."
        raise NoSuchPlugin(f"No installed package brings a plugin {slug!r}. {there} Install it with pip first.")
    if len(found) > 1:
        packages = " and ".join(one.package for one in found)
        raise CannotSwitch(f"{packages} both bring a plugin {slug!r}. Uninstall the one that is not meant.")
    return found[0]


def _read(one: Installed) -> Plugin:
    try:
        return one.load()
    except LeftOut as why:
        raise CannotSwitch(f"The plugin {one.slug} cannot be switched on: {why}.") from None


def _standing_beside(board: Board, slug: str) -> list[str]:
    here = {(one.slug, one.package) for one in installed()}
    return [
        name_of(one)
        for one in board.on
        if one.slug != slug and one.slug not in board.left_out and (one.slug, one.package) in here
    ]


def _board_with(folder: Path, slug: str) -> Board:
    board = read_board(folder)
    if board.of(slug) is None:
        on = ", ".join(one.slug for one in board.on) or "none"
        raise NoSuchPlugin(f"The plugin {slug!r} is not on. On are: {on}.")
    return board
