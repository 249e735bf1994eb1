"""The written form of rule sets: of an edition that came with the app or is in the books, or of a draft."""

import json
from importlib.resources import files
from typing import Any, TypeVar

from grading.models import RuleEdition
from grading.queries.drafts import NoSuchDraft, draft_of
from grading.queries.editions import rules_of
from grading.queries.shipped import SCHEMA
from grading.rules.mistakes import UnknownWord
from grading.rules.rule_set import RuleSet
from inventory.models import Station
from inventory.rules.mistakes import Mistake

T = TypeVar("T", list[Any], dict[str, Any], str)


def find_edition(station: Station, rule_set: str, edition: str) -> RuleSet:
    """Find an edition of a station by its id and name (2 queries).

    Raises:
        UnknownWord: there is none.
    """
    known = rules_of(station)
    for each in known:
        if (each.id, each.edition) == (rule_set, edition):
            return each
    raise UnknownWord("edition", f"{rule_set}:{edition}", [f"{each.id}:{each.edition}" for each in known], "edition")


def text_of(station: Station, rule_set: str, edition: str) -> str:
    """Give the JSON text of a draft, else of an edition (4 queries at most).

    Raises:
        Mistake: there is neither.
    """
    try:
        return draft_of(station, rule_set, edition).text
    except NoSuchDraft:
        find_edition(station, rule_set, edition)
    own = RuleEdition.objects.filter(station=station, rule_set__iexact=rule_set, edition=edition)
    row = own.order_by("operation__seq").last()
    return row.text if row else _shipped_text(rule_set, edition)


def _shipped_text(rule_set: str, edition: str) -> str:
    folder = files("grading") / "rule_sets"
    for entry in folder.iterdir():
        if entry.name.endswith(".json") and entry.name != SCHEMA:
            text = entry.read_text("utf-8")
            document = json.loads(text)
            if (document["id"], document["edition"]) == (rule_set, edition):
                return text
    raise Mistake(f"The text of {rule_set}, edition {edition}, is no longer here.")


def limits_of(document: Any) -> list[dict[str, Any]]:
    """Lay the limits of a written rule set out: a table a class, a row a factor, a cell a grade with its JSON pointer.

    Args:
        document: parsed JSON of any shape; what is no table is passed over.
    """
    tables = _part(document, "tables", list)
    found = []
    for index, table in enumerate(tables):
        rows = _part(table, "grades", list)
        limits = [_part(row, "limits", dict) for row in rows]
        at = f"/tables/{index}/grades"
        cells = [
            (_words(document, name), [(f"{at}/{n}/limits/{name}", each.get(name, "")) for n, each in enumerate(limits)])
            for name in dict.fromkeys(name for each in limits for name in each)
        ]
        names = [row.get("grade", "") if isinstance(row, dict) else "" for row in rows]
        found.append({"class": _part(table, "class", str), "grades": names, "rows": cells})
    return found


def with_limits(document: Any, typed: dict[str, str]) -> Any:
    """Put typed limits into a written rule set; an empty one takes the limit away.

    Args:
        typed: JSON pointer of a limit, as `limits_of` names them -> the limit as written.
    """
    for table in limits_of(document):
        for _name, cells in table["rows"]:
            for pointer, _limit in cells:
                if pointer in typed:
                    _set(document, pointer, typed[pointer].strip())
    return document


def _set(document: Any, pointer: str, limit: str) -> None:
    _root, _tables, table, _grades, grade, _limits, name = pointer.split("/", 6)
    limits = document["tables"][int(table)]["grades"][int(grade)].setdefault("limits", {})
    if limit:
        limits[name] = limit
    else:
        limits.pop(name, None)


def _words(document: Any, name: str) -> str:
    factor = _part(_part(document, "factors", dict), name, dict)
    return str(factor.get("words", name))


def _part(document: Any, name: str, kind: type[T]) -> T:
    """Give a part of a document where it has the right shape, else an empty one."""
    part = document.get(name) if isinstance(document, dict) else None
    return part if isinstance(part, kind) else kind()
