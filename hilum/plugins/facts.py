"""What passes between the site and its plugins: plain values that neither side can change afterwards."""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from typing import Any, Literal, TypeAlias

Reading: TypeAlias = Literal["text", "code", "date", "number", "mass"]
Level: TypeAlias = Literal["note", "question", "duplicate", "error"]


@dataclass(frozen=True)
class Trouble:
    """A plugin that was left out, or whose answer was, and why."""

    plugin: str
    says: str


@dataclass(frozen=True)
class Difference:
    """Something in the records that does not agree with itself; `verify` lists it and answers "no"."""

    code: str  # stable name of the kind of difference, snake_case
    where: str  # what it is about, as people type it: a lot, a sample, an operation
    says: str  # a full sentence


@dataclass(frozen=True)
class Judged:
    """A number and its limit, in one unit; drawn as a dot on a rule with a post at the limit."""

    name: str  # what was judged: "contrasting classes"
    reading: Decimal  # as read, 0 or more
    limit: Decimal | None  # over 0; None where nothing limits it
    shown: str  # the reading as written, with its unit
    words: str = ""  # what stands at the end of the rule: "0.16 below No. 1, 72 in 100"
    low: Decimal | None = None  # likely range; None where there is none
    high: Decimal | None = None
    is_least: bool = False  # the limit is the least that will do (germination), not the most


@dataclass(frozen=True)
class Replicates:
    """Readings of one test beside each other, their mean, the spread they may have, and a limit; all in one unit."""

    name: str  # "germination"
    values: tuple[Decimal, ...]  # in the order in which they were counted
    mean: Decimal
    unit: str = ""
    allowed: Decimal | None = None  # spread between the highest and the lowest that may be; None where nobody says
    limit: Decimal | None = None


@dataclass(frozen=True)
class Curve:
    """A curve over the range of what was found before."""

    name: str  # "24-0021-7"
    across: str  # what stands along the foot, with its unit: "screen [mm]"
    up: str  # what stands up the side, with its unit: "passed [%]"
    points: tuple[tuple[Decimal, Decimal], ...]  # along, up; the smallest first
    before: tuple[tuple[Decimal, Decimal, Decimal], ...] = ()  # along, least, most
    before_words: str = ""  # whose range it is: "3 earlier lots of QB-2103"


@dataclass(frozen=True)
class Swatch:
    """A square of a colour as a screen can show it."""

    words: str
    code: str  # "#a1b2c3"


@dataclass(frozen=True)
class Use:
    """Whether a lot will do for a use, and why not."""

    use: Literal["sowing", "ship", "can"]
    answer: Literal["yes", "no", "no result"]
    why: str = ""


@dataclass(frozen=True)
class Panel:
    """A box of findings on a lot's page, all plain text, which the page escapes; with what can be drawn of them."""

    title: str
    rows: tuple[tuple[str, str], ...]  # (what was looked at, what was found)
    says: str = ""  # the finding in one sentence; the rows then stand behind a press
    posts: tuple[Judged, ...] = ()
    replicates: Replicates | None = None
    curve: Curve | None = None
    swatches: tuple[Swatch, ...] = ()
    uses: tuple[Use, ...] = ()  # what this box says the lot will do for
    later: str = ""  # address of a piece that takes longer and is loaded into the page after it


@dataclass(frozen=True)
class LotQuestion:
    """A question that the list of lots answers with one press: which lots in store are so, and why each is."""

    name: str  # for its address, lower case and hyphens: "below-germination"
    words: str  # what is pressed: "below 85 %"
    none: str  # what is said where no lot is: "No lot is below 85 %."
    answer: Callable[[str, str], Mapping[str, str]]  # station, account that asks -> lot number -> why, "79 % by T07"
    also: str = ""  # name of the question that is offered where no lot is


@dataclass(frozen=True)
class PageLink:
    """A page that one of the three areas lists: Floor, Bench or Breeding."""

    area: Literal["floor", "bench", "breeding"]
    words: str  # what is done there, as people say it
    address: str  # a path of this site, "/bench/pan/"
    verb: str = ""  # the act it does; whoever may not do it sees the page last
    answers: str = ""  # the home page's question that it answers: "graders"


@dataclass(frozen=True)
class Waiting:
    """Something that waits for somebody: it stands on the home page, the longest wait first."""

    area: Literal["floor", "bench", "breeding"]
    words: str  # "24-0021-7 has no sample"
    address: str  # where it is done
    since: str = ""  # ISO 8601 moment from which it waits; "" where nobody knows
    verb: str = ""  # the act that ends the wait


@dataclass(frozen=True)
class LookAt:
    """Something in the records that looks wrong or is missing: it stands on the daily list with its fix."""

    group: str  # what is alike in all such: "No sample was drawn"
    says: str  # a full sentence about this one
    address: str  # where it is put right, a path of this site
    lots: tuple[str, ...] = ()  # numbers of the lots that it touches


@dataclass(frozen=True)
class Found:
    """A thing of a plugin's own that was typed or scanned, with its page."""

    kind: str  # "sample"
    name: str  # as people type it: "G03"
    address: str  # a path of this site


@dataclass(frozen=True)
class SheetColumn:
    """One column of a sheet that people fill in."""

    name: str  # what rows call it, snake_case
    headings: tuple[str, ...]  # how people head it, in any language; the first is the template's
    reads: Reading = "text"
    required: bool = False
    help: str = ""  # one sentence for the template


@dataclass(frozen=True)
class SheetRow:
    """One data row as the site has read it: dates ISO, numbers with a point, masses in grams; empty cells absent."""

    number: int  # as the spreadsheet shows it
    values: Mapping[str, str]  # column name -> what was read


@dataclass(frozen=True)
class SheetFinding:
    """What is wrong or doubtful in one row, for the person who typed it."""

    row: int
    column: str  # the column's name; "" for the whole row
    level: Level
    says: str  # a full sentence that says what to do next
    proposal: str | None = None


@dataclass(frozen=True)
class SheetKind:
    """A kind of sheet the site can load beyond its own.

    The site reads the file, shows the findings and asks its questions; a kind only checks and saves rows. `save` is
    called inside one transaction, and only with rows whose findings are all settled. Acts that it calls for belong to
    the load and are reversed with it; rows of its own should hang on such an act and count as gone once that is
    reversed.
    """

    name: str  # for `--kind`, snake_case
    title: str
    columns: tuple[SheetColumn, ...]
    check: Callable[[Sequence[SheetRow], str], Sequence[SheetFinding]]  # rows, station
    save: Callable[[Sequence[SheetRow], str, str], Sequence[str]]  # rows, station, user name -> uids of operations


@dataclass(frozen=True)
class ActSheetKind:
    """A kind of sheet whose rows the site books as acts, so that questions, loads and taking back work as for its own.

    For apps of this project, which know those acts; other plugins bring a `SheetKind`.
    """

    name: str  # for `--kind`, snake_case
    title: str
    acts: object  # an `inventory.importing.kinds.kind.Kind`


@dataclass(frozen=True)
class MeasurementField:
    """Something that is typed of one measurement."""

    name: str  # snake_case; what values call it
    words: str  # what people read: "water before soaking"
    reads: Literal["number", "text", "date"] = "number"
    unit: str = ""  # "g"
    least: Decimal = Decimal(0)  # of numbers
    most: Decimal = Decimal(1_000_000)
    several: bool = False  # replicates, in their order
    required: bool = True
    choices: tuple[str, ...] = ()  # of texts; the first stands where nothing is typed
    example: str = ""


@dataclass(frozen=True)
class MeasurementFinding:
    """What is wrong or doubtful in what was typed; a question goes through with a reason, an error does not."""

    code: str  # stable name, snake_case: an answer is given to it
    field: str  # name of the field; "" for the whole
    level: Literal["note", "question", "error"]
    says: str  # a full sentence that says what to do next


@dataclass(frozen=True)
class Result:
    """A number that was worked out."""

    name: str  # "hydration coefficient"
    value: Decimal
    unit: str = ""


@dataclass(frozen=True)
class WorkedOut:
    """What a measurement comes to."""

    results: tuple[Result, ...] = ()
    findings: tuple[MeasurementFinding, ...] = ()


MeasuredValue: TypeAlias = str | Decimal | tuple[str, ...] | tuple[Decimal, ...]


@dataclass(frozen=True)
class Measurement:
    """A measurement that stands in the books, with the keys on which a plugin's own rows may hang."""

    kind: str
    lot: str
    at: str  # ISO 8601, UTC
    person: str
    operation: str  # uid of its act
    values: Mapping[str, MeasuredValue]
    results: tuple[Result, ...]
    keys: Mapping[str, int]  # "station", "operation" and "lot": primary keys, for foreign keys


@dataclass(frozen=True)
class MeasurementKind:
    """A way to measure a lot, with its calculation; no seed leaves the lot.

    The site asks for the values on a page, a sheet, a command and the API, keeps what was typed and what was worked out
    in an act of the chain, and takes both back when it is reversed.
    """

    name: str  # snake_case; of the sheet, and with blanks the verb: "soaking_test" -> "soaking test"
    title: str
    fields: tuple[MeasurementField, ...]
    work_out: Callable[[Mapping[str, MeasuredValue]], WorkedOut]  # pure: the same values, the same results
    keep: Callable[[Measurement], None] | None = None  # writes rows of its own, within the act's transaction


@dataclass(frozen=True)
class JobAsked:
    """Long work as it was asked for."""

    station: str
    person: str
    values: Mapping[str, MeasuredValue]  # read by the job's fields


@dataclass(frozen=True)
class JobMade:
    """What came of long work: a sentence, and a file where there is one."""

    says: str
    content: bytes = b""
    file_name: str = ""  # "" for no file
    media_type: str = "application/octet-stream"


@dataclass(frozen=True)
class PluginJob:
    """Long work that the worker does: asked for by the API, with its progress told while it is done."""

    name: str  # snake_case
    tells: str  # what it makes, in a sentence
    fields: tuple[MeasurementField, ...]
    do: Callable[[JobAsked, Callable[[int, int], None]], JobMade]  # calls progress(done, of), which ends it if it must


@dataclass(frozen=True)
class DeviceReading:
    """One number that a device gave."""

    quantity: str  # what was read, snake_case: "mass", "moisture", "colour_l"
    value: Decimal
    unit: str  # as the device means it: "g", "kg", "lb", "%"; "" for none
    is_stable: bool = True  # it had come to rest


@dataclass(frozen=True)
class DeviceDriver:
    """Reads what one kind of device sends."""

    name: str  # lower case and hyphens: "bench-balance"
    title: str
    parse: Callable[[str], Sequence[DeviceReading]]  # raises a ValueError, in a full sentence, at what it cannot read


@dataclass(frozen=True)
class Moved:
    """One signed mass of an act: of a lot at a place, or of an account outside the store."""

    mg: int
    lot: str = ""
    place: str = ""
    bag: int = 0  # 0 is loose seed
    account: str = ""


@dataclass(frozen=True)
class ActAhead:
    """An act that is about to be written."""

    kind: str
    person: str
    at: str  # ISO 8601, UTC
    reason: str
    lots: tuple[str, ...]  # whose seed it moves, makes or measures
    moves: tuple[Moved, ...]


@dataclass(frozen=True)
class Veto:
    """A no to an act that is about to be written; nothing of what was asked for is written then."""

    says: str  # a full sentence that says why, and what to do next
    act: int = 0  # which of those that were shown


@dataclass(frozen=True)
class ActDone:
    """An act that is written."""

    number: int  # its place in the station's chain, without gaps
    uid: str
    kind: str
    person: str
    at: str  # ISO 8601, UTC
    recorded_at: str
    reason: str
    lots: tuple[str, ...]
    reverses: int | None = None  # number of the act that it takes back


@dataclass(frozen=True)
class PaperPart:
    """A part of a paper: a heading, sentences, facts or a table; plain text, which the site lays out."""

    heading: str = ""
    words: str = ""
    is_warning: bool = False  # of the words: in a frame
    facts: tuple[tuple[str, str], ...] = ()
    columns: tuple[str, ...] = ()  # of a table
    rows: tuple[tuple[str, ...], ...] = ()


@dataclass(frozen=True)
class PaperText:
    """What stands on one paper."""

    title: str
    under: str  # one line under it
    parts: tuple[PaperPart, ...]


@dataclass(frozen=True)
class PaperForm:
    """A report or form about a lot, printed from its page."""

    name: str  # for its address, lower case and hyphens
    title: str
    write: Callable[[str, str, str], PaperText]  # lot number, station, person


@dataclass(frozen=True)
class ActOffer:
    """An act that the general door offers beside the site's own, done from words as people type them.

    For apps of this project, which write acts. The door fills `words`, names the nearest field when one is mistyped,
    and hands back the questions and refusals that `do` raises.
    """

    verb: str  # as people say it, one word or more
    words: type[object]  # a frozen dataclass of typed words
    do: Callable[..., Any]  # do(words, station=, by=, key=, reason=, answers=, now=) -> what was booked
