"""The site itself as a Django app, so that its templates and static files are found."""

from django.apps import AppConfig


class HilumConfig(AppConfig):
    """The site: settings, addresses, base templates, the plugin host."""

    name = "hilum"

    def ready(self) -> None:
        """Register the system checks."""
        from hilum import checks  # noqa: F401, PLC0415 - a check registers itself once the apps are loaded
