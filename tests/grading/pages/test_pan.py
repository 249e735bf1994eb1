"""The pan: dishes in, closed or brought back with everything, the grade only afterwards."""

import pytest
from django.test import Client

from grading.models import BenchManner, Portion
from inventory.models import ActiveHold, Operation
from inventory.queries.verifying import verify
from tests.grading.pages.bench import LOT, a_bench, a_pan, drawn, text
from tests.grading.station import Bench

pytestmark = pytest.mark.django_db


@pytest.fixture
def bench(client: Client) -> Bench:
    made = a_bench()
    drawn(made)
    client.force_login(made.plant.bench)
    return made


def test_it_asks_for_a_tag_and_lists_what_waits(client: Client, bench: Bench) -> None:
    said = text(client.get("/bench/pan/"))
    assert "Sample tag" in said
    assert "G01 pinto" in said


def test_a_typed_tag_opens_its_pan_and_an_unknown_one_names_the_nearest(client: Client, bench: Bench) -> None:
    assert client.get("/bench/pan/", {"sample": "g01"}).headers["Location"] == "/bench/pan/G01/"
    answer = client.get("/bench/pan/", {"sample": "G77"})
    assert answer.status_code == 404
    assert "G77" in text(answer)


def test_it_shows_the_dishes_of_the_rule_set_with_a_letter_each_and_never_the_lot(client: Client, bench: Bench) -> None:
    page = client.get("/bench/pan/G01/").content.decode()
    assert 'data-letter="S"' in page and 'data-letter="D"' in page
    assert "contrasting classes" in page
    assert LOT not in page


def test_it_does_not_show_the_grade_before_the_pan_is_closed(client: Client, bench: Bench) -> None:
    said = text(client.post("/bench/pan/G01/", {**a_pan(), "check": "yes"}))
    assert "No. 1" not in said
    assert "portion 500.30 = dishes 5.60 + sound 494.65 + 0.05 missing, closes" in said
    assert not Portion.objects.exists()


def test_a_switch_shows_the_grade_so_far(client: Client, bench: Bench) -> None:
    BenchManner.objects.create(user=bench.plant.bench, shows_grade=True)
    assert "So far No. 1" in text(client.post("/bench/pan/G01/look", a_pan()))


def test_the_piece_that_looks_again_takes_a_half_typed_pan(client: Client, bench: Bench) -> None:
    BenchManner.objects.create(user=bench.plant.bench, shows_grade=True, advises=True)
    for typed in ({}, {"portion_g": "x"}, {"portion_g": "500", "weights_g.splits": "2,,4"}, {"stop.odour": "yes"}):
        assert client.post("/bench/pan/G01/look", typed).status_code == 200


def test_advice_says_when_it_is_beyond_and_only_where_it_was_switched_on(client: Client, bench: Bench) -> None:
    half = a_pan(picked="250", **{"weights_g.contrasting_classes": "6.0"})
    assert "already beyond" not in text(client.post("/bench/pan/G01/look", half))
    BenchManner.objects.create(user=bench.plant.bench, advises=True)
    said = text(client.post("/bench/pan/G01/look", half))
    assert "After 250 g it is already beyond No. 1 by contrasting classes (99 in 100)." in said
    assert "Advice only" in said
    assert "already beyond" not in text(client.post("/bench/pan/G01/look", a_pan(picked="250")))
    assert "already beyond" not in text(client.post("/bench/pan/G01/look", {**half, "picked": "900"}))


def test_a_closed_pan_leads_to_the_sentence_and_the_posts(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/pan/G01/", a_pan(), follow=True)
    said = text(answer)
    assert answer.redirect_chain == [("/bench/samples/G01/", 302)]
    assert "No. 1. Total defects 1.12 %, limit 2.00." in said
    assert "if the sample was fairly drawn: 8 points probed; the rule asks 8" in said
    assert "0.88 below No. 1" in said
    assert "% of the cleaned weight" in said
    assert "not an official certificate" in said
    assert "QM-DEMO, edition 1" in said
    assert verify(bench.plant.station).differences == []


def test_a_pan_that_does_not_close_comes_back_with_everything_and_the_slip(client: Client, bench: Bench) -> None:
    answer = client.post(
        "/bench/pan/G01/", a_pan(**{"weights_g.splits": "24.0", "stop.odour": "", "counts.stones": "0"})
    )
    said = answer.content.decode()
    assert answer.status_code == 422
    assert "Splits 24.0: did you mean 2.4?" in said
    assert 'value="weights_g.splits=2.4"' in said
    for typed in ("500.30", "24.0", "3.10", "0.10", "494.65", "36.0"):
        assert f'value="{typed}"' in said
    assert not Portion.objects.exists()


def test_the_proposal_is_taken_with_one_press(client: Client, bench: Bench) -> None:
    typed = a_pan(**{"weights_g.splits": "24.0", "take": "weights_g.splits=2.4"})
    assert client.post("/bench/pan/G01/", typed).status_code == 302
    assert Portion.objects.get().weights_g["splits"] == "2.4"


def test_a_pan_that_is_open_goes_through_with_a_reason(client: Client, bench: Bench) -> None:
    typed = a_pan(sound_g="490.0", **{"answer.pan_does_not_close": "spilled on the floor"})
    assert client.post("/bench/pan/G01/", typed).status_code == 302


@pytest.mark.parametrize(
    ("field", "typed", "says"),
    [
        ("portion_g", "", "The portion has no weight."),
        ("portion_g", "half", "The portion is"),
        ("weights_g.splits", "2.4.1", "Splits is"),
        ("weights_g.damaged", "-3", "Damaged is"),
        ("weights_g.stones", "600", "Stones"),
        ("counts.stones", "two", "Pieces of stones is"),
        ("sound_g", "lots", "The sound beans is"),
        ("seed_weight_g_per_100", "0", "100 seeds weigh 0 g"),
        ("weights_g.gravel", "1", "gravel"),
        ("stop.smell", "yes", "smell"),
    ],
)
def test_what_cannot_be_read_is_said_in_words_of_the_page(
    client: Client, bench: Bench, field: str, typed: str, says: str
) -> None:
    answer = client.post("/bench/pan/G01/", a_pan(**{field: typed}))
    assert answer.status_code == 422
    assert says in text(answer).replace("&#x27;", "'")
    assert "weights_g." not in text(answer) or field == "weights_g.gravel"


def test_the_same_pan_sent_twice_is_one_portion(client: Client, bench: Bench) -> None:
    for _ in range(2):
        assert client.post("/bench/pan/G01/", a_pan()).status_code == 302
    assert Portion.objects.count() == 1


def test_another_pan_under_a_used_key_is_said_to_be_saved_already(client: Client, bench: Bench) -> None:
    client.post("/bench/pan/G01/", a_pan())
    answer = client.post("/bench/pan/G01/", a_pan(**{"weights_g.splits": "2.41"}))
    assert answer.status_code == 422
    assert "saved already" in text(answer)


def test_two_graders_each_keep_their_own_portion_and_the_page_says_so(client: Client, bench: Bench) -> None:
    client.post("/bench/pan/G01/", a_pan())
    assert "1 portion of it is in the books" in text(client.get("/bench/pan/G01/"))
    client.force_login(bench.plant.records)
    client.post("/bench/pan/G01/", a_pan(key="k2"))
    assert sorted(Portion.objects.values_list("grader", flat=True)) == ["bench-qm", "records-qm"]


def test_a_stop_holds_the_lot_at_once(client: Client, bench: Bench) -> None:
    client.post("/bench/pan/G01/", a_pan(**{"stop.live_insects": "yes"}))
    assert ActiveHold.objects.filter(lot__number=LOT).exists()


def test_a_bean_in_two_dishes_counts_once_in_a_total(client: Client, bench: Bench) -> None:
    both = {"overlap_g.1.factors.1": "damaged", "overlap_g.1.factors.2": "contrasting_classes", "overlap_g.1.g": "0.50"}
    typed = a_pan(**both, **{"weights_g.contrasting_classes": "0.50"})
    assert client.post("/bench/pan/G01/", typed).status_code == 302
    assert Portion.objects.get().overlap_g == [{"factors": ["damaged", "contrasting_classes"], "g": "0.50"}]


def test_whoever_may_not_grade_is_told_who_may(client: Client, bench: Bench) -> None:
    client.force_login(bench.plant.intake)
    answer = client.post("/bench/pan/G01/", a_pan())
    assert answer.status_code == 422
    assert "bench or records may" in text(answer)


def test_putting_right_wants_a_reason_and_leaves_both_in_the_books(client: Client, bench: Bench) -> None:
    client.post("/bench/pan/G01/", a_pan())
    wrong = Operation.objects.get(kind="grade")
    page = client.get(f"/bench/pan/G01/?corrects={wrong.seq}").content.decode()
    assert 'value="494.65"' in page
    right = a_pan(key="k2", corrects=f"#{wrong.seq}", **{"weights_g.damaged": "3.15"})
    assert "reason" in text(client.post("/bench/pan/G01/", right)).lower()
    assert client.post("/bench/pan/G01/", {**right, "reason": "read the balance wrong"}).status_code == 302
    wrong.refresh_from_db()
    assert wrong.reversed_by.reason == "read the balance wrong"
    assert Portion.objects.count() == 2
    assert "1.13 %" in text(client.get("/bench/samples/G01/"))
    assert verify(bench.plant.station).differences == []


def test_a_session_that_ended_keeps_what_was_typed(client: Client, bench: Bench) -> None:
    grader = bench.plant.bench
    grader.set_password("beans-and-more")
    grader.save()
    client.logout()
    client.post("/bench/pan/G01/", a_pan())
    client.post("/sign-in/", {"username": grader.get_username(), "password": "beans-and-more"})
    assert 'value="494.65"' in client.get("/bench/pan/G01/").content.decode()
    assert not Portion.objects.exists()


def test_the_pan_asks_the_books_no_more_with_many_samples_than_with_few(
    client: Client, bench: Bench, django_assert_max_num_queries
) -> None:
    for number in range(2, 30):
        drawn(bench, f"G{number:02d}")
    with django_assert_max_num_queries(20):
        client.get("/bench/pan/G01/")
    with django_assert_max_num_queries(12):
        client.get("/bench/pan/")


def test_words_of_a_rule_set_are_chosen_and_a_count_is_kept(client: Client, bench: Bench) -> None:
    page = client.get("/bench/pan/G01/?rule_set=CA-BEANS&class_name=pinto").content.decode()
    assert 'type="radio" name="appearance.colour" value="good_natural"' in page
    assert 'name="rule_set" value="CA-BEANS"' in page
    typed = a_pan(rule_set="CA-BEANS", class_name="pinto", **{"appearance.colour": "off", "counts.stones": "2"})
    answer = client.post("/bench/pan/G01/", {**typed, "weights_g.stones": "0.20", "sound_g": "494.45"}, follow=True)
    kept = Portion.objects.get()
    assert (kept.rule_set, kept.appearance, kept.counts) == ("CA-BEANS", {"colour": "off"}, {"stones": 2})
    assert "2 pieces" in text(answer)


def test_a_word_that_is_none_of_the_rule_sets_is_refused(client: Client, bench: Bench) -> None:
    answer = client.post("/bench/pan/G01/", a_pan(rule_set="CA-BEANS", **{"appearance.colour": "blue"}))
    assert answer.status_code == 422
    assert "blue" in text(answer)


def test_a_rule_set_that_is_not_in_force_is_asked_for(client: Client, bench: Bench) -> None:
    answer = client.get("/bench/pan/G01/?rule_set=GONE")
    assert answer.status_code == 200
    assert "GONE" in text(answer)
    assert "QM-DEMO" in text(answer)
    assert client.post("/bench/pan/G01/", a_pan(rule_set="GONE")).status_code == 422


def test_a_class_that_no_rule_set_grades_can_be_named(client: Client, bench: Bench) -> None:
    assert "Market class" in text(client.get("/bench/pan/G01/?class_name=peas"))


def test_a_dish_that_a_rule_set_counts_is_asked_for_by_its_pieces(client: Client, bench: Bench) -> None:
    typed = a_pan(rule_set="IN-RAJMA", class_name="rajma")
    typed = {name: value for name, value in typed.items() if not name.startswith("weights_g.")}
    answer = client.post("/bench/pan/G01/", {**typed, "sound_g": "500.3", "weights_g.weevilled": "0.1"})
    assert answer.status_code == 422
    assert "Count the pieces" in text(answer)
