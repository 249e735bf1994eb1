"""The kinds of operation, and the accounts outside the store, each once and in the words of the trade."""

# Acts that make lots or move their seed.
MAKING = ("receive", "clean", "size", "sort", "blend", "split")
SEED = (*MAKING, "dry", "treat", "bag", "move", "sow", "ship", "return", "sample", "test", "count", "write off")
# Acts that put something right.
CORRECTING = ("adjust", "reassign", "late addition", "reverse")
# Dated acts that move no seed.
SAID = (
    "hold",
    "lift",
    "promise",
    "decide",
    "grade",
    "measure",
    "note",
    "field weight",
    "pollinate",
    "rename",
    "origin",
    "drill",
    "feedback",
    "rules",
    "limit",
    "file sample",
    "attach",
    "tray",
    "put rules in force",
    "withdraw rules",
    "label",
    "gs1 numbers",
)
KINDS = (*SEED, *CORRECTING, *SAID)

ACCOUNTS = (
    "harvested",  # from our own plots, plants and crosses
    "received",  # from a sender outside
    "screenings",  # taken off on the line, by stream
    "moisture",  # water that drying took
    "treatment",  # product that treating put on
    "spilled",
    "sampled",
    "tested",
    "sown",
    "shipped",
    "discarded",
    "unaccounted",
)

# What comes off a machine beside clean seed.
STREAMS = ("scalpings", "throughs", "liftings", "lights", "middlings", "stones", "picked")

ROW_KINDS_THAT_DO_NOT_USE_SEED = SAID

# A fact of an act that is told of its lot only when another act has followed it: whoever does it may not know the lot.
BLIND = "blind"
