"""Which plugins the site starts with: those that are on, and of these only what a process of its own could start.

A plugin's models are loaded by Django itself, all apps at once, and one that fails there takes the whole site down; no
`try` of ours stands around that. So what is on is first started in a second process. That is done once, and again only
when something that it stood on has changed.
"""

import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from hilum.plugins.facts import Trouble
from hilum.plugins.installed import Installed, LeftOut, installed
from hilum.plugins.plugin import Plugin
from hilum.plugins.stamping import stamp_of
from hilum.plugins.switched import Board, Switched, read_board, unread, write_board
from hilum.plugins.trying import TRIED, try_out

SAFE_MODE = "HILUM_WITHOUT_PLUGINS"


@dataclass(frozen=True)
class Started:
    """What the site starts with."""

    plugins: tuple[Plugin, ...] = ()
    left_out: tuple[Trouble, ...] = ()
    off_at: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    is_safe_mode: bool = False

    @property
    def apps(self) -> list[str]:
        """Their Django apps."""
        return [plugin.app for plugin in self.plugins if plugin.app]


def started(folder: Path) -> Started:
    """Say what to start with, by the switches in a data folder; raises nothing."""
    _started_from[:] = [folder]
    if os.environ.get(SAFE_MODE) == "1":
        return Started(is_safe_mode=True)
    if tried := os.environ.get(TRIED):
        return Started(tuple(one.load() for one in named(tried.split(","))))
    if wrong := unread(folder):
        return Started(left_out=(Trouble("plugins", wrong),))
    board = read_board(folder)
    return _started(folder, board) if board.on else Started()


def are_on() -> bool:
    """Say whether this process started with plugins of its own accord."""
    is_tried = bool(os.environ.get(TRIED)) or os.environ.get(SAFE_MODE) == "1"
    return not is_tried and bool(_started_from and read_board(_started_from[0]).on)


def forget() -> None:
    """Let the next start try everything that is on anew."""
    for folder in _started_from:
        _keep(folder, replace(read_board(folder), stamp=""))


_started_from: list[Path] = []  # the data folder that the settings named, once they did


def named(names: Sequence[str]) -> list[Installed]:
    """Find installed plugins named as in a child's environment, slug@package."""
    here = {f"{one.slug}@{one.package}": one for one in installed()}
    return [here[name] for name in names if name in here]


def name_of(one: Installed | Switched) -> str:
    """Name an installed plugin as in a child's environment."""
    return f"{one.slug}@{one.package}"


def check_again(folder: Path) -> Board:
    """Try everything that is on in processes of their own, and keep what was found."""
    board = read_board(folder)
    found, gone = _found(board)
    left_out = {**gone, **_failing(found)}
    checked = replace(board, stamp=stamp_of(found), left_out=left_out)
    write_board(folder, checked)
    return checked


def _started(folder: Path, board: Board) -> Started:
    found, gone = _found(board)
    left_out: dict[str, str] = {**gone}
    if board.stamp != stamp_of(found):
        left_out.update(_failing(found))
        _keep(folder, replace(board, stamp=stamp_of(found), left_out=left_out))
    else:
        left_out.update(board.left_out)
    plugins: list[Plugin] = []
    for one in found:
        try:
            if one.slug not in left_out:
                plugins.append(one.load())
        except LeftOut as why:
            left_out[one.slug] = str(why)
    troubles = tuple(trouble(slug, why) for slug, why in left_out.items())
    return Started(tuple(plugins), troubles, {one.slug: one.off_at for one in board.on})


def trouble(slug: str, why: str) -> Trouble:
    """Word why a plugin was left out."""
    return Trouble(slug, f"The plugin {slug} was left out: {why}.")


def _keep(folder: Path, board: Board) -> None:
    try:
        write_board(folder, board)
    except OSError:
        return  # a folder that may not be written to: the check is made at each start


def _found(board: Board) -> tuple[list[Installed], dict[str, str]]:
    here = {(one.slug, one.package): one for one in installed()}
    gone = {
        one.slug: f"the package {one.package} is not installed any more; install it, or disable {one.slug}"
        for one in board.on
        if (one.slug, one.package) not in here
    }
    return [here[one.slug, one.package] for one in board.on if one.slug not in gone], gone


def _failing(plugins: Sequence[Installed]) -> dict[str, str]:
    """Try all at once; only where that fails, one more each time, so that the one that fails is known."""
    left_out = {one.slug: why for one in plugins if (why := _unfit(one))}
    fit = [name_of(one) for one in plugins if one.slug not in left_out]
    if not fit or not try_out("start", fit).why:
        return left_out
    standing: list[str] = []
    for name in fit:
        why = try_out("start", [*standing, name]).why
        if why:
            left_out[name.partition("@")[0]] = why
        else:
            standing.append(name)
    return left_out


def _unfit(one: Installed) -> str:
    """Say why a plugin is out by its own words, for which no process is needed."""
    try:
        one.load()
    except LeftOut as why:
        return str(why)
    return ""
