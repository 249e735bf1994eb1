"""`grade --all`: a line in, a line out, and what is refused is said by its number."""

import io
import json
import subprocess
import sys

import pytest

from grading.queries.answers import graded
from grading.queries.many_answers import BATCH, graded_lines
from grading.rules.exact_json import read_object
from tests.grading.management.commands.test_grade import PORTION, ROOT
from tests.inventory.management.asking import ask

pytestmark = pytest.mark.django_db
GOOD = json.dumps(PORTION)
OTHER = json.dumps({**PORTION, "weights_g": {"splits": 9}, "sampling": {"scheme": "bins", "size": 1, "probed": 4}})


def written(folder, *lines):
    file = folder / "portions.ndjson"
    file.write_bytes(b"\n".join(line.encode() if isinstance(line, str) else line for line in lines))
    return str(file)


def answers(text):
    return [json.loads(line) for line in text.splitlines()]


def test_each_line_gets_its_own_answer_in_order(tmp_path):
    answer = ask("grade", "--all", written(tmp_path, GOOD, "", OTHER))
    assert (answer.status, answer.err) == (0, "")
    first, second = answers(answer.out)
    assert (first["line"], second["line"]) == (1, 3)
    assert second["sampling"]["enough"] is False


@pytest.mark.parametrize("line", [GOOD, OTHER])
def test_an_answer_is_the_same_as_that_of_one_portion_alone(line):
    alone = graded(read_object(line))
    (together,) = graded_lines([line], with_working=True)
    assert together.answer == alone
    (short,) = graded_lines([line])
    assert short.answer == {name: value for name, value in alone.items() if name != "working"}


@pytest.mark.parametrize(
    ("bad", "says"),
    [
        ("[]", "Line 2: What was sent is []"),
        ("{", "Line 2: This is not JSON"),
        (b'{"class": "\xff"}', "Line 2: "),
        (json.dumps({**PORTION, "portion_g": 0}), "Line 2: The portion weighs 0 g"),
        ('{"portion_g": NaN}', "Line 2: portion_g is NaN"),
        (json.dumps({**PORTION, "weights_g": {"splits": 600}}), "Line 2: Splits"),
        ("x" * 4_100_000, "Line 2: The text has"),
    ],
    ids=["list", "brace", "bytes", "portion 0", "NaN", "more than the portion", "too long"],
)
def test_a_refused_line_is_said_by_its_number_and_the_others_are_graded(tmp_path, bad, says):
    answer = ask("grade", "--all", written(tmp_path, GOOD, bad, OTHER))
    assert answer.status == 2
    assert says in answer.err
    first, second, third = answers(answer.out)
    assert [first["line"], third["line"]] == [1, 3] and first["grade"] and third["grade"]
    assert second["refused"] and all(mistake["says"].endswith((".", "?")) for mistake in second["refused"])


def test_a_file_that_is_not_there_is_a_sentence(tmp_path):
    answer = ask("grade", "--all", str(tmp_path / "none.ndjson"))
    assert (answer.status, answer.out) == (2, "")
    assert "cannot be read" in answer.err and answer.err.strip().endswith(".")


def test_one_thing_at_a_time_is_graded():
    assert "Give one of" in ask("grade", "--all", "x", "--sample", "G03").err
    assert "Give one of" in ask("grade").err


def test_an_empty_file_has_no_answers(tmp_path):
    assert ask("grade", "--all", written(tmp_path)).out == ""


def test_it_streams_a_pipe():
    command = [sys.executable, "manage.py", "grade", "--all", "-"]
    done = subprocess.run(command, input=f"{GOOD}\n{OTHER}".encode(), capture_output=True, cwd=ROOT, check=False)
    assert (done.returncode, done.stderr) == (0, b"")
    assert [one["line"] for one in answers(done.stdout.decode())] == [1, 2]


def test_it_takes_lines_as_they_come_and_holds_no_more_than_a_batch():
    lines = iter(["[]"] * (3 * BATCH))
    assert next(graded_lines(lines)).number == 1
    assert len(list(lines)) == 2 * BATCH


def test_no_statistic_is_worked_out_sample_by_sample(monkeypatch):
    def singly(*_):
        raise AssertionError("a range was asked for alone")

    monkeypatch.setattr("grading.stats.beta.share_interval", singly)
    monkeypatch.setattr("grading.stats.portion_chance.share_interval", singly)
    monkeypatch.setattr("grading.stats.portion_chance.chance_within", singly)
    assert all(line.answer for line in graded_lines(io.StringIO(f"{GOOD}\n{OTHER}")))
