"""The api app."""

from django.apps import AppConfig


class ApiConfig(AppConfig):
    """Registers api with Django."""

    name = "api"
