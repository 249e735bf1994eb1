"""What every command does on a real pipe: it ends quietly, with its own status, when its reader leaves."""

import subprocess
import sys
from collections.abc import Sequence

import pytest

HEAD = (sys.executable, "-c", "import sys; sys.stdin.readline()")  # reads one line and leaves, as `head -1` does
pytestmark = pytest.mark.slow  # each starts Python and Django anew
MANY = '{"rule_set": "QM-DEMO", "class": "navy", "portion_g": "500", "weights_g": {}}\n' * 400
NOTHING = (sys.executable, "-c", "pass")


def piped(reader: Sequence[str], *words: str, said: str = "") -> tuple[int, str]:
    """Run a command whose output another program reads: its status, and what it said on stderr."""
    command = [sys.executable, "manage.py", *words]
    with (
        subprocess.Popen(command, stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as writes,
        subprocess.Popen(reader, stdin=writes.stdout) as reads,
    ):
        if writes.stdout:
            writes.stdout.close()  # the reader holds the only end now
        reads.wait(30) if reader is NOTHING else None
        _, stderr = writes.communicate(said.encode(), timeout=60)
    return writes.returncode, stderr.decode()


@pytest.mark.parametrize(
    ("reader", "words", "said", "status"),
    [
        (NOTHING, ("figure",), "", 0),
        (NOTHING, ("rules", "CA-BEANS"), "", 0),
        (HEAD, ("grade", "--all", "-", "--working"), MANY, 0),
    ],
)
def test_a_command_ends_quietly_and_with_its_status_when_its_reader_leaves(
    reader: Sequence[str], words: tuple[str, ...], said: str, status: int
) -> None:
    assert piped(reader, *words, said=said) == (status, "")


def test_what_is_refused_is_still_said_and_still_the_status_when_nobody_reads_the_answers() -> None:
    status, err = piped(NOTHING, "grade", "--all", "-", said=MANY + "{}\n")
    assert status == 2
    assert "Line 401: " in err
    assert "Traceback" not in err
