"""Containers as people call them: by their code, by their number alone, or as "bin 7"."""

import re
from collections.abc import Mapping, Sequence

from inventory.rules.codes import CodeAmbiguous, CodeUnknown, read_code
from inventory.rules.reading import ReadAs, ReadCode, plain, typed_text, unaccented

_CALLED = re.compile(r"(?:(?P<word>[^\d\s-]+)[\s-]*)?0*(?P<number>[1-9][0-9]{0,5})")
_NUMBER = re.compile(r"0*([1-9][0-9]*)$")


def read_container(typed: object, kinds: Mapping[str, str], *, field: str = "container") -> ReadCode[str]:
    """Read a container's code, or the number or kind and number that only one of them has.

    Args:
        kinds: the containers in the books, code -> kind: {"SB-07": "steel bin"}.

    Raises:
        CodeUnknown: none is called so, with the nearest codes.
        CodeAmbiguous: a question, where several are called so.
    """
    text = typed_text(typed)
    try:
        return read_code(typed, list(kinds), kind="container", field=field)
    except CodeUnknown:
        fits = _called(plain(text), kinds)
        if not fits:
            raise
    if len(fits) > 1:
        raise CodeAmbiguous(text, fits, kind="container", field=field)
    return ReadCode(fits[0], text, (ReadAs(text, fits[0], field=field),))


def carry_words(typed: Sequence[str]) -> tuple[str, ...]:
    """Give numbers that stand alone the word before them: "bin 7", "8", "9" are bins 7, 8 and 9."""
    said: list[str] = []
    word = ""
    for text in typed:
        called = _CALLED.fullmatch(plain(text))
        if called and called["word"]:
            word = plain(text)[: called.end("word")]
        is_bare = called is not None and not called["word"] and bool(word)
        said.append(f"{word} {plain(text)}" if is_bare else text)
        word = word if called else ""
    return tuple(said)


def _called(text: str, kinds: Mapping[str, str]) -> tuple[str, ...]:
    called = _CALLED.fullmatch(text)
    if called is None:
        return ()
    numbered = [code for code in sorted(kinds) if (end := _NUMBER.search(code)) and end[1] == called["number"]]
    word = unaccented(called["word"] or "")
    return tuple(code for code in numbered if not word or _is_kind(word, code, kinds[code]))


def _is_kind(word: str, code: str, kind: str) -> bool:
    """Say whether a word names a kind, in whole or by one of its words, or begins the code."""
    words = unaccented(kind).split()
    return word in words or word.removesuffix("s") in words or unaccented(code).startswith(word)
