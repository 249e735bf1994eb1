"""`python -m fixtures_demo [--fresh] [--practice] [--delete]`: fill the database with the demo, print its answers.

Run twice it builds nothing anew and asks the questions again. It refuses to touch a database that holds real lots.
"""

import argparse
import os
import sys

import django
from django.core.management import call_command


def main(arguments: list[str]) -> int:
    """Build and ask.

    Returns:
        0 when every answer is as it must be, 1 when one differs, 2 when the database is not the demo's.
    """
    parser = argparse.ArgumentParser(prog="bin/demo", description="Fill the database with the demo season.")
    parser.add_argument("--fresh", action="store_true", help="start over: the demo's database is deleted first")
    parser.add_argument("--practice", action="store_true", help="lines, plots and blocks only, to try sheets on")
    parser.add_argument("--delete", action="store_true", help="delete the demo's database whole, and build nothing")
    options = parser.parse_args(arguments)
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "hilum.settings")
    django.setup()
    call_command("migrate", interactive=False, verbosity=0)
    from fixtures_demo.telling import delete_whole, tell  # noqa: PLC0415 - models can be read only after Django is set up

    if options.delete:
        return delete_whole()
    return tell(is_fresh=options.fresh, is_practice=options.practice)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
