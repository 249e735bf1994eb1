"""The variables that can be noted: those that come with the app."""

import json
from functools import cache
from importlib.resources import files

from inventory.rules.variables import Variable, read_variable


@cache
def shipped_variables() -> tuple[Variable, ...]:
    """Give every shipped variable, those of the crop ontology first (reads files once a process)."""
    folder = files("inventory") / "variables"
    return tuple(
        read_variable(told)
        for name in ("common_bean.json", "own.json")
        for told in json.loads((folder / name).read_text("utf-8"))["variables"]
    )


@cache
def variables_by_id() -> dict[str, Variable]:
    """Give every variable by its id."""
    return {variable.id: variable for variable in shipped_variables()}
