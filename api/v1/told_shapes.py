"""Shapes of what is told in one piece and sent in one: a lot's story, a trace, a portion and its grade."""

from api.v1.shapes import Shape

_TEXT: Shape = {"type": "string"}
_MAYBE: Shape = {"type": ["string", "null"]}
_TEXTS: Shape = {"type": "array", "items": _TEXT}
_MASS: Shape = {"$ref": "#/components/schemas/Mass"}
_MAYBE_MASS: Shape = {"oneOf": [_MASS, {"type": "null"}]}
_NUMBERS: Shape = {"type": "object", "additionalProperties": {"type": ["number", "string"]}}


def _of(says: str, shape: Shape) -> Shape:
    return {**shape, "description": says}


def _list(says: str, **parts: Shape) -> Shape:
    return {"type": "array", "description": says, "items": {"type": "object", "properties": parts}}


LOT: Shape = {
    "type": "object",
    "properties": {
        "id": _of("never changes", {"type": "string", "format": "uuid"}),
        "lot": _of("its number", _TEXT),
        "line": _of("null for a blend of several", _MAYBE),
        "class": _of("market class", _MAYBE),
        "made_at": _of("when it was received or came out of a run", {**_MAYBE, "format": "date-time"}),
        "opening": _of("what it held when it was made", _MAYBE_MASS),
        "left": _of("what is left of it at all places", _MASS),
        "promised": _of("of what is left", _MASS),
        "generation": _of("in words, such as F9", _MAYBE),
        "heterozygosity": _of("what part of the F1's is expected in it, as a fraction", _MAYBE),
        "moisture_pct": _of("read last, wet basis", _MAYBE),
        "treated": _of("it is no longer food or feed", {"type": "boolean"}),
        "holds": _list("while there is one, nothing of it may leave or be sown", reason=_TEXT, by=_TEXT, since=_MAYBE),
        "stock": _list(
            "what stands where", place=_TEXT, mass=_MASS,
            bag=_of("its number; null for loose seed", {"type": ["integer", "null"]}),
        ),
        "operations": _list(
            "every act that touched it, the first one first", id=_TEXT, kind=_TEXT, name=_TEXT, at=_TEXT, by=_TEXT,
            reason=_TEXT, number=_of("its place in the station's chain", {"type": "integer"}),
            change=_of("of the lot's mass", _MASS), reversed=_of("it was taken back", {"type": "boolean"}),
        ),
        "extensions": _of("what plugins tell of it, by plugin", {"type": "object"}),
    },
    "required": ["id", "lot", "left", "stock", "operations"],
}  # fmt: skip
_FROM_TO: Shape = {"kg": _MAYBE, "share": _of("exact fraction of the seed, such as 217/517", _MAYBE)}
TRACE: Shape = {
    "type": "object",
    "properties": {
        "ref": _of("what was asked for", _TEXT),
        "nodes": _list(
            "the asked thing first, nearer ones before farther ones", kind=_of("lot, plot, line, shipment …", _TEXT),
            id=_of("its number or code", _TEXT), label=_TEXT, date=_MAYBE, **_FROM_TO,
        ),
        "edges": _list(
            "steps from a source to what came of it", operation=_TEXT, **{"from": _TEXT, "to": _TEXT, **_FROM_TO}
        ),
        "truncated": _of("there is more than is told", {"type": "boolean"}),
    },
    "required": ["ref", "nodes", "edges"],
}  # fmt: skip
PORTION_SENT: Shape = {
    "type": "object",
    "properties": {
        "rule_set": _of("its id, as /api/v1/rule-sets lists it", _TEXT),
        "class": _of("market class, one of those of the rule set", _TEXT),
        "portion_g": _of("what was picked through [g]", {"type": ["string", "number"]}),
        "weights_g": _of("each dish by the rule set's name of it [g]; {} if all was sound", _NUMBERS),
        "gross_g": _of("before the dockage was taken off [g]; with dockage_g", {"type": ["string", "number", "null"]}),
        "dockage_g": _of("what was taken off [g]; with gross_g", {"type": ["string", "number", "null"]}),
        "sound_g": _of("what was left in the pan [g], to check the dishes", {"type": ["string", "number", "null"]}),
        "counts": _of("pieces of each dish, and of all of it as portion", _NUMBERS),
        "moisture_pct": _of("wet basis, where the rule set reads it", {"type": ["string", "number", "null"]}),
        "seed_weight_g_per_100": _of("of 100 seeds [g]; chances stand on it", {"type": ["string", "number", "null"]}),
        "appearance": _of("what was judged by eye: thing -> word", {"type": "object"}),
        "stops": _of("findings that no grade allows, such as odour", _TEXTS),
        "readings": _of("what the rule set asks beside weights: name -> number", {"type": "object"}),
        "overlap_g": _of("what lies in several dishes: dishes joined with + -> grams", {}),
        "sampling": _of("how it was drawn: scheme, size, probed, lot_kg, drawn_g", {"type": ["object", "null"]}),
    },
    "required": ["rule_set", "class", "portion_g", "weights_g"],
    "additionalProperties": False,
}
OUTCOME: Shape = {
    "type": "object",
    "properties": {
        "grade": _of("the best that it has; null for none", _MAYBE),
        "printed": _of("as it is written on papers", _MAYBE),
        "qualifies_for": _of("all grades that it reaches, the best first", _TEXTS),
        "limiting": _list(
            "what keeps it from the next grade", factor=_TEXT, words=_TEXT, grade=_MAYBE, kept_from=_MAYBE,
            raw_pct=_MAYBE, read_pct=_of("as the rule rounds it", _MAYBE), limit=_MAYBE,
        ),
        "factors": _list("each with its limits and how sure it is", factor=_TEXT, words=_TEXT, raw_pct=_MAYBE),
        "grade_chances": _of("grade -> chance from 0 to 1; null where nothing says how many beans there were",
                             {"type": ["object", "null"]}),
        "rule_set": _TEXT, "edition": _TEXT, "source": _TEXT, "class": _TEXT,
        "table": _of("which of the rule set's tables", _TEXT),
        "sampling": _of("how it was drawn, where that was said", {"type": ["object", "null"]}),
        "official": _of("always false: it is an in-house reading", {"const": False}),
        "notes": _TEXTS,
        "working": _list("each number with its formula, rounding and source", gives=_TEXT, formula=_TEXT),
    },
    "required": ["grade", "qualifies_for", "factors", "rule_set", "notes"],
}  # fmt: skip
_FIELD: Shape = {
    "type": "object", "required": ["name", "type"],
    "properties": {
        "name": {"type": "string", "description": "as the CSV has it above the column"},
        "type": {"type": "string"}, "format": {"type": "string"}, "description": {"type": "string"},
        "unit": {"type": "string"}, "constraints": {"type": "object"},
    },
}  # fmt: skip
DATA_PACKAGE: Shape = {
    "type": "object", "required": ["profile", "name", "resources"],
    "properties": {
        "profile": {"const": "tabular-data-package"}, "name": {"type": "string"}, "title": {"type": "string"},
        "resources": {
            "type": "array",
            "items": {
                "type": "object", "required": ["name", "path", "schema"],
                "properties": {
                    "name": {"type": "string"},
                    "path": {"type": "string", "description": "address of the CSV under the same filters"},
                    "schema": {
                        "type": "object", "required": ["fields"],
                        "properties": {"fields": {"type": "array", "items": _FIELD}},
                    },
                },
            },
        },
    },
}  # fmt: skip
