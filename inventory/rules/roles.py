"""Who may do what: five roles, one table.

Reading is open to everyone signed in. A hold may be laid by anyone who works with seed, because it only stops; it is
lifted by breeder or records alone. Records may do everything that is written down, since a load of old sheets does the
acts of all the others; what is decided about a line stays with the breeder.
"""

from inventory.rules.mistakes import Mistake
from inventory.rules.reading import listed

INTAKE, LINE, BENCH, BREEDER, RECORDS = ROLES = ("intake", "line", "bench", "breeder", "records")

# The act, in the words of the operation's kind where it is one: (in a sentence, who may do it beside records)
WHO_MAY: dict[str, tuple[str, tuple[str, ...]]] = {
    # seed comes, stands and leaves
    "receive": ("receive a lot", (INTAKE,)),
    "return": ("take back what was shipped", (INTAKE,)),
    "ship": ("ship seed", (INTAKE,)),
    "move": ("move seed", (INTAKE, LINE, BREEDER)),
    "count": ("count stock", (INTAKE, LINE)),
    "bag": ("bag seed", (INTAKE, LINE)),
    "split": ("split a lot", (INTAKE, LINE)),
    "label": ("print labels", (INTAKE, LINE, BENCH, BREEDER)),
    "moisture": ("enter a moisture", (INTAKE, LINE, BENCH)),
    # the plant
    "dry": ("dry a lot", (INTAKE, LINE)),
    "clean": ("clean a lot", (LINE,)),
    "size": ("size a lot", (LINE,)),
    "sort": ("sort a lot", (LINE,)),
    "treat": ("treat seed", (LINE,)),
    "late addition": ("add to a run afterwards", (LINE,)),
    "blend": ("blend lots", (LINE,)),
    # the bench
    "sample": ("draw a sample", (BENCH, INTAKE, LINE)),
    "grade": ("grade a sample", (BENCH,)),
    "test": ("test seed", (BENCH, BREEDER)),
    "measure": ("enter measurements", (BENCH, BREEDER)),
    "note": ("write field notes", (BREEDER, BENCH, INTAKE)),
    "limit": ("set what may be found in seed", (BREEDER,)),
    # the programme
    "origin": ("enter lines, crosses and plots", (BREEDER,)),
    "rename": ("rename a line", (BREEDER,)),
    "pollinate": ("enter a pollination", (BREEDER,)),
    "field weight": ("enter a field weight", (BREEDER, INTAKE)),
    "sow": ("take seed for sowing", (BREEDER,)),
    "promise": ("promise seed", (BREEDER,)),
    "feedback": ("enter what customers said", (BREEDER, INTAKE)),
    "hold": ("hold a lot", (INTAKE, LINE, BENCH, BREEDER)),
    "lift": ("lift a hold", (BREEDER,)),
    "drill": ("keep a recall drill", (INTAKE, BREEDER)),
    "decide": ("decide about a line", (BREEDER,)),
    "release": ("release a line", (BREEDER,)),
    "reading": ("send readings of devices", (INTAKE, LINE, BENCH, BREEDER)),
    # the books
    "attach": ("attach a paper", (INTAKE, LINE, BENCH, BREEDER)),
    "reverse": ("reverse an entry", (INTAKE,)),
    "adjust": ("adjust a mass", ()),
    "reassign": ("give a lot another line or plot", ()),
    "write off": ("write seed off", ()),
    "load": ("load a sheet", ()),
    "unload": ("take a load back", ()),
    "gs1 numbers": ("state the station's GS1 numbers", ()),
    "places": ("set up places and containers", ()),
    "device": ("set up devices and have their readings read again", ()),
    "people": ("give people their roles", ()),
    "plugins": ("set plugins", ()),
    "draft rules": ("draft rules", (BENCH,)),
    "rules": ("change rules", ()),
}
VERBS = tuple(WHO_MAY)
NOT_FOR_RECORDS = ("decide", "release")


class MayNot(Mistake):
    """The act belongs to another role."""

    code = "may_not"

    def __init__(self, role: str, verb: str) -> None:
        who = listed(list(who_may(verb)))
        account = role or "This account"
        super().__init__(f"{account} may not {WHO_MAY[verb][0]}; {who} may. Ask there.")
        self.role, self.verb = role, verb


def who_may(verb: str) -> tuple[str, ...]:
    """Name the roles that may do something, in the order in which a sentence names them.

    Raises:
        KeyError: there is no such verb.
    """
    others = WHO_MAY[verb][1]
    return others if verb in NOT_FOR_RECORDS else (*others, RECORDS)


def may(role: str, verb: str) -> bool:
    """Say whether a role may do something; an unknown role may nothing.

    Raises:
        KeyError: there is no such verb.
    """
    return role in who_may(verb)
