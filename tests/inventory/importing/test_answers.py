"""Reading a person's answers."""

import json

import pytest

from inventory.importing.answers import Answer, AnswerKind, read_answers
from inventory.rules.mistakes import Refused


def one(answer: object, **more: object) -> Answer:
    return read_answers(json.dumps([{"row": 8, "column": "Moist", "answer": answer, **more}])).given[0]


@pytest.mark.parametrize(
    ("said", "kind", "value"),
    [
        ("accept", AnswerKind.ACCEPT, ""),
        ("keep", AnswerKind.KEEP, ""),
        ("leave_out", AnswerKind.LEAVE_OUT, ""),
        ("Leave out", AnswerKind.LEAVE_OUT, ""),
        ("16.2", AnswerKind.VALUE, "16.2"),
        (16.2, AnswerKind.VALUE, "16.2"),
        (16, AnswerKind.VALUE, "16"),
        ("QN-2109", AnswerKind.VALUE, "QN-2109"),
    ],
)
def test_it_reads_an_answer(said, kind, value):
    assert one(said) == Answer(8, "Moist", kind, value)


def test_it_writes_an_answer_as_it_reads_it():
    text = json.dumps(
        [{"row": 8, "column": "Moist", "answer": "16.2"}, {"row": 12, "column": "", "answer": "leave_out"}]
    )
    assert [answer.as_json() for answer in read_answers(text)] == json.loads(text)


def test_answers_are_found_by_row_and_heading_however_it_is_written():
    answers = read_answers('[{"row": 8, "column": " moist ", "answer": "keep"}]')
    assert answers.to(8, "Moist") is not None
    assert answers.to(9, "Moist") is None
    assert answers.to(8, "Net") is None


def test_any_answer_can_leave_the_row_out():
    answers = read_answers('[{"row": 12, "column": "Lot", "answer": "leave_out"}, {"row": 8, "answer": "keep"}]')
    assert (answers.leaves_out(12), answers.leaves_out(8)) == (True, False)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("{", "not JSON"),
        ("[" * 100_000, "not JSON"),
        ('{"row": 1}', "not a list"),
        ('["accept"]', "Answer 1 is not an object"),
        ('[{"column": "Net", "answer": "keep"}]', "does not name its row"),
        ('[{"row": true, "column": "Net", "answer": "keep"}]', "does not name its row"),
        ('[{"row": 0, "column": "Net", "answer": "keep"}]', "does not name its row"),
        ('[{"row": 8, "column": 7, "answer": "keep"}]', "does not name its column"),
        ('[{"row": 8, "column": "Net"}]', "says 'None'"),
        ('[{"row": 8, "column": "Net", "answer": " "}]', "says ' '"),
        ('[{"row": 8, "answer": "keep"}, {"row": 8, "answer": "accept"}]', "two answers for row 8"),
    ],
)
def test_what_it_can_not_read_is_said(text, says):
    with pytest.raises(Refused) as refused:
        read_answers(text)
    assert says in refused.value.mistakes[0].says


def test_everything_wrong_is_said_at_once():
    with pytest.raises(Refused) as refused:
        read_answers('["a", {"row": 8, "answer": "keep"}, {"row": 0, "answer": "keep"}]')
    assert len(refused.value.mistakes) == 2
