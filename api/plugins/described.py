"""What the addresses of plugins do, as OpenAPI has it; the document that is committed holds none of them."""

import inspect
import re

from rest_framework.views import APIView

from api.components import PROBLEMS
from api.v1.describing import ANY, Told, content

_EVERYWHERE = ("400", "401", "403", "404")


def described(plugin: str, view: APIView, path: str, method: str) -> Told:
    """Describe one method of an address: by what its view tells of itself, else by the first line of its words.

    A view tells by `told(method)`, which gives the parts of an OpenAPI operation: at least `responses`.
    """
    told = _told(view, path, method)
    named = [
        {"name": one, "in": "path", "required": True, "schema": {"type": "string"}}
        for one in re.findall(r"{(\w+)}", path)
    ]
    problems = {code: {"$ref": f"#/components/responses/{PROBLEMS[code][0]}"} for code in _EVERYWHERE}
    name = re.sub(r"\W+", "_", path.removeprefix("/api/v1/")).strip("_")
    return {
        "operationId": f"{method.lower()}_{name}",
        **told,
        "parameters": [*named, *told.get("parameters", [])],
        "tags": [f"x-{plugin}"],
        "x-plugin": plugin,
        "security": [{"key": []}],
        "responses": {**problems, **told["responses"]},
    }


def _told(view: APIView, path: str, method: str) -> Told:
    if tells := getattr(view, "told", None):
        return dict(tells(method))
    words = inspect.getdoc(getattr(view, method.lower())) or inspect.getdoc(view) or path
    return {"summary": words.splitlines()[0], "responses": {"200": content("what the plugin answers", ANY)}}
