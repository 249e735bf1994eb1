"""The description of the API in OpenAPI 3.1, made from what the views themselves go by: acts, figures, columns."""

from typing import Any

from drf_spectacular.openapi import AutoSchema

from api.plugins.addresses import plugin_of
from api.plugins.described import described
from api.v1.described import describe


class Described(AutoSchema):
    """Describes an address by our own words; the package walks the addresses and writes the document."""

    def get_operation(
        self,
        path: str,
        path_regex: str,  # noqa: ARG002 - the framework's signature
        path_prefix: str,  # noqa: ARG002 - the framework's signature
        method: str,
        registry: Any,  # noqa: ARG002 - the framework's signature
    ) -> dict[str, Any] | None:
        """Describe one method of one address."""
        if plugin := plugin_of(path):
            return described(plugin, self.view, path, method)
        return describe(self.view, path, method)
