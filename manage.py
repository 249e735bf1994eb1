"""Run one of the project's commands: `.venv/bin/python manage.py help` lists them."""

import os
import sys

NO_PACKAGES = (
    "This Python has none of the packages that are needed. "
    "Run bin/demo or bin/serve once, which set them up in .venv/, and then .venv/bin/python manage.py …"
)


def main() -> None:
    """Hand the command line to Django; a setting that can't be used is said in its sentence, with exit status 2."""
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    try:
        from django.core.exceptions import ImproperlyConfigured  # noqa: PLC0415 - Django's settings must be named first
        from django.core.management import execute_from_command_line  # noqa: PLC0415 - as above
    except ModuleNotFoundError:
        sys.exit(_refused(NO_PACKAGES))
    try:
        execute_from_command_line(sys.argv)
    except ImproperlyConfigured as error:
        sys.exit(_refused(str(error)))


def _refused(says: str) -> int:
    print(says, file=sys.stderr)  # noqa: T201 - this is a command's answer
    return 2


if __name__ == "__main__":
    main()
