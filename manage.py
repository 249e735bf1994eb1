"""Run one of the project's commands: `python manage.py help` lists them."""

import os
import sys


def main() -> None:
    """Hand the command line to Django; a setting that can't be used is said in its sentence, with exit status 2."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    from django.core.exceptions import ImproperlyConfigured  # noqa: PLC0415 - Django's settings must be named first
    from django.core.management import execute_from_command_line  # noqa: PLC0415 - as above

    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(_refused(str(error)))


def _refused(says: str) -> int:
    print(says, file=sys.stderr)  # noqa: T201 - this is a command's answer
    return 2


if __name__ == "__main__":
    main()
