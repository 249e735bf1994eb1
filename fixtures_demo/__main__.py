"""`python -m fixtures_demo`: make the embedded database ready. The season itself is not written yet."""

import os
import sys

import django
from django.core.management import call_command


def main() -> int:
    """Lay the tables; say that there is no season yet.

    Returns:
        0 when the database is ready.
    """
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    django.setup()
    call_command("migrate", interactive=False, verbosity=0)
    print("The database is ready. The demo season is not written yet, so there are no lots in it.")
    return 0


if __name__ == "__main__":
    sys.exit(main())
