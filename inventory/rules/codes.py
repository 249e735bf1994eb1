"""Codes of lines, plots, blocks and places, read forgivingly against the ones that are known."""

import difflib
import re
from collections import defaultdict
from collections.abc import Collection, Iterator

from inventory.rules.mistakes import Mistake, Question
from inventory.rules.reading import ReadAs, ReadCode, listed, plain, quoted, typed_text, unaccented

LOOKALIKES = str.maketrans({"o": "0", "i": "1", "l": "1", "|": "1"})
ALPHABET = "abcdefghijklmnopqrstuvwxyz0123456789"
BETWEEN_CODES = re.compile(r"[/,;+&\n]|\b(?:and|et|y)\b", re.IGNORECASE)
MOST_PROPOSALS = 3
MOST_WORDS_IN_A_CODE = 4
SMALL_ENOUGH_TO_SEARCH = 2_000  # codes; beyond, only neighbours by one slip are looked up, whose cost does not grow


class CodeUnknown(Mistake):
    """A code that is not in the books, with the nearest that are."""

    code = "code_unknown"

    def __init__(self, typed: str, near: tuple[str, ...] = (), *, kind: str = "code", field: str = "") -> None:
        says = f"{quoted(typed)} is not a {kind} we know." if typed.strip() else f"No {kind} is given."
        says += f" Did you mean {listed(list(near))}?" if near else f" Check the tag, or enter the {kind} first."
        super().__init__(says, field=field or kind, proposal=near[0] if near else None)


class CodesUnknown(Mistake):
    """Several codes in one cell that are not in the books."""

    code = "code_unknown"

    def __init__(self, each: list[CodeUnknown]) -> None:
        super().__init__(" ".join(mistake.says for mistake in each), field=each[0].field)
        self.each = tuple(each)


class CodeAmbiguous(Question):
    """A code that several known ones fit."""

    code = "code_ambiguous"

    def __init__(self, typed: str, fits: tuple[str, ...], *, kind: str = "code", field: str = "") -> None:
        shown = [*fits[:MOST_PROPOSALS], *(["others"] if len(fits) > MOST_PROPOSALS else [])]
        super().__init__(f"{quoted(typed)} can be {listed(shown)}. Which {kind} is it?", field=field or kind)
        self.readings = fits


class Vocabulary:
    """The known codes of one kind, indexed once, so that a sheet of thousands of rows is read at once.

    Args:
        known: codes as stored: "QB-2103", "QM24-T105".
        kind: their word in a sentence: "line", "plot", "place".
    """

    def __init__(self, known: Collection[str], *, kind: str = "code") -> None:
        self.kind = kind
        self.known = frozenset(known)
        self._same: defaultdict[str, list[str]] = defaultdict(list)
        self._alike: defaultdict[str, list[str]] = defaultdict(list)
        self._ends: defaultdict[str, list[str]] = defaultdict(list)
        for code in sorted(self.known):
            self._same[_same_key(code)].append(code)
            self._alike[_alike_key(code)].append(code)
            self._ends[_alike_key(re.split(r"[-\s]", code)[-1])].append(code)

    def fits(self, text: str) -> tuple[str, ...]:
        """List the codes a text can stand for: the same, else but for case, blanks, hyphens, else but for O/0, I/1."""
        if text in self.known:
            return (text,)
        return tuple(self._same.get(_same_key(text)) or self._alike.get(_alike_key(text)) or ())

    def ending_in(self, text: str) -> tuple[str, ...]:
        """List the codes whose last part a text is: "T101" -> QM24-T101, HM25-T101."""
        return tuple(self._ends.get(_alike_key(text), ()))

    def near(self, text: str) -> tuple[str, ...]:
        """List up to three codes that differ by one slip, else the most similar ones."""
        key = _alike_key(text)
        found = dict.fromkeys(code for slip in _slips(key) for code in self._alike.get(slip, ()))
        if not found and len(self.known) <= SMALL_ENOUGH_TO_SEARCH:
            keys = difflib.get_close_matches(key, self._alike, n=MOST_PROPOSALS, cutoff=0.7)
            found = dict.fromkeys(code for near in keys for code in self._alike[near])
        return tuple(found)[:MOST_PROPOSALS]


def read_code(typed: object, known: Collection[str] | Vocabulary, *, kind: str = "", field: str = "") -> ReadCode[str]:
    """Read one code: QB2103, qb-2103, "QB 2103" and QB-21O3 are all QB-2103.

    Args:
        known: the codes in the books; a `Vocabulary` where many rows are read.
        kind: its word in a sentence, if it is not called like the field; a `Vocabulary` brings its own.
        field: the argument or column, if it is not called like the kind.

    Raises:
        CodeUnknown: with up to three near codes.
        CodeAmbiguous: a question, where several fit.
    """
    words = known if isinstance(known, Vocabulary) else Vocabulary(known, kind=kind or field or "code")
    text = typed_text(typed)
    code = _one(plain(text), words, words.fits(plain(text)), field)
    return ReadCode(code, text, () if text == code else (ReadAs(text, code, field=field or words.kind),))


def read_plots(
    typed: object, known: Collection[str] | Vocabulary, *, prefix: str | None = None, field: str = "plot"
) -> ReadCode[tuple[str, ...]]:
    """Read the plots of one cell, however they are put in a row: "T101/T206", "QM24-T107 QM24-T204", "T101 + T206".

    Args:
        known: the plots in the books.
        prefix: site and season that short codes belong to, "QM24"; without it a short code is completed as the other
            codes of its cell are, or where only one plot ends in it.

    Returns:
        The plots in the order written, each once; a note where anything was written otherwise.

    Raises:
        CodeUnknown, CodesUnknown: all codes that are not known, at once.
        CodeAmbiguous: a question, where a short code fits several plots.
    """
    words = known if isinstance(known, Vocabulary) else Vocabulary(known, kind="plot")
    text = typed_text(typed)
    pieces = [piece.strip() for piece in BETWEEN_CODES.split(plain_lines(text)) if piece.strip()]
    prefix = prefix or next((_head(fit) for piece in pieces for fit in words.fits(piece.split(" ")[0])), None)
    unknown: list[CodeUnknown] = []
    plots: list[str] = []
    for part in [part for piece in pieces for part in _parts(piece, words, prefix)] or [""]:
        try:
            plots.append(_one(part, words, _short_fits(part, words, prefix), field))
        except CodeUnknown as mistake:
            unknown.append(mistake)
    if unknown:
        raise CodesUnknown(unknown) if len(unknown) > 1 else unknown[0]
    read = tuple(dict.fromkeys(plots))
    shown = ", ".join(read)
    as_written = re.sub(r"[\s/,;+]+", ", ", text.strip()) == shown
    return ReadCode(read, text, () if as_written else (ReadAs(text.strip(), shown, field=field),))


def plain_lines(text: str) -> str:
    """Bring a text to plain signs, keeping its line breaks as marks between codes."""
    return ";".join(plain(line) for line in text.splitlines())


def _one(text: str, words: Vocabulary, fits: tuple[str, ...], field: str) -> str:
    if not fits:
        raise CodeUnknown(text, words.near(text) if text else (), kind=words.kind, field=field)
    if len(fits) > 1:
        raise CodeAmbiguous(text, fits, kind=words.kind, field=field)
    return fits[0]


def _short_fits(text: str, words: Vocabulary, prefix: str | None) -> tuple[str, ...]:
    """Fit a whole code, then a short one behind the prefix, then a short one that only ends like it."""
    return words.fits(text) or (prefix and words.fits(f"{prefix}-{text}")) or words.ending_in(text)


def _parts(piece: str, words: Vocabulary, prefix: str | None) -> Iterator[str]:
    """Part a piece at blanks, the longest known code first: "QM24 T107 T204" -> "QM24 T107", "T204"."""
    tokens = piece.split(" ")
    while tokens:
        sizes = range(min(MOST_WORDS_IN_A_CODE, len(tokens)), 0, -1)
        size = next((size for size in sizes if _short_fits(" ".join(tokens[:size]), words, prefix)), 1)
        yield " ".join(tokens[:size])
        del tokens[:size]


def _head(code: str) -> str | None:
    head, hyphen, _ = code.rpartition("-")
    return head if hyphen else None


def _same_key(text: str) -> str:
    return re.sub(r"[\s\-_.]", "", unaccented(plain(text)))


def _alike_key(text: str) -> str:
    return _same_key(text).translate(LOOKALIKES)


def _slips(key: str) -> Iterator[str]:
    """Undo one slip: two neighbours swapped, one sign wrong, one left out, one too many; the commonest first."""
    for place in range(len(key) - 1):
        yield key[:place] + key[place + 1] + key[place] + key[place + 2 :]
    for place in range(len(key)):
        yield from (key[:place] + sign + key[place + 1 :] for sign in ALPHABET)
    for place in range(len(key) + 1):
        yield from (key[:place] + sign + key[place:] for sign in ALPHABET)
    for place in range(len(key)):
        yield key[:place] + key[place + 1 :]
