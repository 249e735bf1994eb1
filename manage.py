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
        from django.apps import apps  # noqa: PLC0415 - as below
        from django.core.exceptions import ImproperlyConfigured  # noqa: PLC0415 - Django's settings must be named first
        from django.core.management import execute_from_command_line  # noqa: PLC0415 - as above
    except ModuleNotFoundError:
        sys.exit(_refused(NO_PACKAGES))
    try:
        execute_from_command_line(sys.argv)
    except Exception as error:
        if not apps.ready and _plugins_are_on():
            _start_without_plugins(error)
        if isinstance(error, ImproperlyConfigured):
            sys.exit(_refused(str(error)))
        raise


def _plugins_are_on() -> bool:
    from hilum.plugins.starting import are_on  # noqa: PLC0415 - only a start that failed asks

    return are_on()


def _start_without_plugins(error: Exception) -> None:
    """Start once more without plugins: one of them passed its trial and fails now; the next start tries them anew."""
    from hilum.plugins.starting import SAFE_MODE, forget  # noqa: PLC0415 - as above

    forget()
    says = f"The site did not start with its plugins ({type(error).__name__}: {error}). It starts without them now."
    print(says, file=sys.stderr)  # noqa: T201 - said to whoever looks after the site
    os.execve(sys.executable, [sys.executable, *sys.orig_argv[1:]], {**os.environ, SAFE_MODE: "1"})  # noqa: S606 - ourselves


def _refused(says: str) -> int:
    print(says, file=sys.stderr)  # noqa: T201 - this is a command's answer
    return 2


if __name__ == "__main__":
    main()
