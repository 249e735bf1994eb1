"""The Django app of the plugin."""

from django.apps import AppConfig


class SoakingTestConfig(AppConfig):
    """Holds the plugin's table; its label begins with px_, so that everybody sees whose it is."""

    name = "soaking_test"
    label = "px_soaking_test"
    default_auto_field = "django.db.models.BigAutoField"
