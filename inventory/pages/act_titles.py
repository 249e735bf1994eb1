"""What each act is called on pages, in the groups in which people look for it."""

from collections.abc import Collection, Iterable, Mapping

from django.utils.translation import gettext, gettext_lazy

Titles = Mapping[str, object]

# Group -> verb -> words; a verb of a plugin stands behind all of these.
GROUPS: tuple[tuple[object, Titles], ...] = (
    (gettext_lazy("Seed comes, stands and leaves"), {
        "receive": gettext_lazy("Weigh in"), "move": gettext_lazy("Move seed"),
        "split": gettext_lazy("Split a lot"), "tip": gettext_lazy("Tip loose seed into a bag"),
        "bag": gettext_lazy("Bag off"), "count": gettext_lazy("Count what is there"), "ship": gettext_lazy("Ship"),
        "return": gettext_lazy("Take back what was shipped"), "label": gettext_lazy("Print labels"),
        "hold": gettext_lazy("Hold lots"), "lift": gettext_lazy("Lift a hold"),
        "drill": gettext_lazy("Keep a recall drill"),
    }),
    (gettext_lazy("The plant"), {
        "dry": gettext_lazy("Dry a lot"), "clean": gettext_lazy("Book a cleaning run"),
        "size": gettext_lazy("Book a sizing run"), "sort": gettext_lazy("Book a sorting run"),
        "run": gettext_lazy("Book a run, as its machines say"),
        "late addition": gettext_lazy("Add a late tote to a run"),
        "book draft": gettext_lazy("Close a run that is being filled"),
        "park draft": gettext_lazy("Book a run and leave it open"), "blend": gettext_lazy("Blend lots"),
        "treat": gettext_lazy("Treat seed"),
    }),
    (gettext_lazy("The bench"), {
        "bench sample": gettext_lazy("Draw a sample to grade"), "grade": gettext_lazy("Grade a sample"),
        "correct grade": gettext_lazy("Put a grading right"), "sample tag": gettext_lazy("Print a sample's tag"),
        "set tray": gettext_lazy("Lay out a germination tray"),
        "germination": gettext_lazy("Count a germination test"),
        "seed health": gettext_lazy("Count a seed health test"), "purity": gettext_lazy("Weigh a purity test"),
        "variety purity": gettext_lazy("Count off-types"), "seed weight": gettext_lazy("Weigh hundred seeds"),
        "size curve": gettext_lazy("Enter what stayed on the screens"), "colour": gettext_lazy("Enter a colour"),
        "moisture": gettext_lazy("Enter a moisture"), "judge card": gettext_lazy("Judge how a sample looks"),
        "keep file sample": gettext_lazy("Put a kept sample on its shelf"),
        "take file sample out": gettext_lazy("Take a kept sample out"),
        "discard file sample": gettext_lazy("Discard a kept sample"),
        "sample": gettext_lazy("Take seed for a sample that is not graded here"),
        "test": gettext_lazy("Take seed for a test that is not counted here"),
    }),
    (gettext_lazy("The programme"), {
        "sow": gettext_lazy("Take seed for sowing"), "pack for sowing": gettext_lazy("Pack envelopes for sowing"),
        "promise": gettext_lazy("Promise seed"), "release promise": gettext_lazy("Let a promise go"),
        "decide": gettext_lazy("Decide about a line"), "pollinate": gettext_lazy("Log a pollination"),
        "field weight": gettext_lazy("Enter a field weight"),
        "note stage": gettext_lazy("Write down a stage of growth"),
        "note": gettext_lazy("Write down what was seen of a plot or lot"),
        "note sample": gettext_lazy("Write down what was seen of a sample"),
        "amend note": gettext_lazy("Put a note right"),
        "log weather": gettext_lazy("Enter daily temperatures"),
        "feedback": gettext_lazy("Write down what customers said"),
        "seed limit": gettext_lazy("Set what may be found in seed"), "add line": gettext_lazy("Add a line"),
        "add cross": gettext_lazy("Add a cross"), "add plot": gettext_lazy("Add a plot"),
        "add plant": gettext_lazy("Add a plant"), "came from": gettext_lazy("Say from which cross a line came"),
        "rename": gettext_lazy("Give a line a new name"), "merge": gettext_lazy("Join two names of one line"),
    }),
    (gettext_lazy("The books"), {
        "reverse": gettext_lazy("Take an act back"), "correct": gettext_lazy("Put a delivery right"),
        "adjust": gettext_lazy("Adjust a mass"),
        "reassign": gettext_lazy("Give a lot another line or plot"), "write off": gettext_lazy("Write seed off"),
        "check tare": gettext_lazy("Weigh a container empty"), "add container": gettext_lazy("Add a container"),
        "add place": gettext_lazy("Add a place"), "add class": gettext_lazy("Add a market class"),
        "add site": gettext_lazy("Add a site"),
        "gs1 numbers": gettext_lazy("State GS1 numbers"), "add person": gettext_lazy("Add a person"),
        "change role": gettext_lazy("Give a person another role"), "draft rules": gettext_lazy("Draft rules"),
        "put rules in force": gettext_lazy("Put rules in force"), "withdraw rules": gettext_lazy("Withdraw rules"),
        "regrade plan": gettext_lazy("Say how often samples are graded twice"),
    }),
)  # fmt: skip
_WORDS = {verb: words for _group, titles in GROUPS for verb, words in titles.items()}

# Acts that are refused without their why.
NEED_WHY = frozenset((
    "adjust", "came from", "change role", "correct", "correct grade", "decide", "drill", "hold", "lift", "merge",
    "park draft", "put rules in force", "reassign", "release promise", "rename", "return", "reverse", "withdraw rules",
    "write off",
))  # fmt: skip


def title_of(verb: str) -> str:
    """Say an act as a heading does."""
    return str(_WORDS.get(verb) or verb.capitalize())


def in_groups(verbs: Collection[str]) -> Iterable[tuple[str, list[tuple[str, str]]]]:
    """Put acts in their groups: the group's words, and each verb with its own; what plugins add comes last."""
    for words, titles in GROUPS:
        if found := [(verb, str(said)) for verb, said in titles.items() if verb in verbs]:
            yield str(words), found
    if more := [(verb, title_of(verb)) for verb in sorted(verbs) if verb not in _WORDS]:
        yield gettext("More"), more
