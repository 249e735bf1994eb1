"""Run one of the project's commands: `python manage.py help` lists them."""

import os
import sys


def main() -> None:
    """Hand the command line to Django."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    from django.core.management import execute_from_command_line  # noqa: PLC0415 - Django's settings must be named first

    execute_from_command_line(sys.argv)


if __name__ == "__main__":
    main()
