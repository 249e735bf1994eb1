"""The grading app."""

from django.apps import AppConfig


class GradingConfig(AppConfig):
    """Registers grading with Django."""

    name = "grading"
