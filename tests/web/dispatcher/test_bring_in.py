"""Bring in: a sheet is read dry, looked at, brought in once, and its questions are answered."""

from pathlib import Path

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile

from drainservice.accounts.models import Account, Change
from drainservice.exchange.models import Question, Sheet
from drainservice.register.models import Pit, Site, System
from tests import makers

FOLDER = Path(__file__).parents[2] / "data" / "import"
HEADER = "Customer,Where,Phones,Mail,Pit depth,Pump,Done\n"
ROW = "Juno Greenlaw,290 Maple Rd,253-555-0174,juno@example.com,4 ft,1/2 hp,2018-06-08\n"

pytestmark = pytest.mark.django_db


@pytest.fixture
def office(dispatcher, client):
    """A browser in which a dispatcher is signed in."""
    client.force_login(Account.objects.get(pk=dispatcher.account_id))
    return client


def send(client, content, name="list.csv"):
    file = SimpleUploadedFile(name, content if isinstance(content, bytes) else content.encode())
    return client.post("/bring-in", {"sheet": file}, follow=True)


def send_sample(client, name="ex1_customers.csv"):
    return send(client, (FOLDER / name).read_bytes(), name)


def text_of(answer):
    return answer.content.decode()


def test_a_chosen_file_is_read_and_nothing_is_written(office):
    answer = send_sample(office)

    assert "24 rows can come in as read. Nothing is written yet." in text_of(answer)
    assert "Bring in the good rows" in text_of(answer)
    assert not Site.objects.exists()


def test_a_dispatcher_reads_each_row_in_the_units_of_the_firm(office):
    page = text_of(send_sample(office))

    assert "Cosmo Kirkbeck, 934 Fernhill St" in page
    assert "pit depth 4 ft;" in page  # 4 ft in the sheet
    assert "from “check valve laying flat”" in page
    assert "Row 25" in page
    assert "row 24 says the same" in page


@pytest.mark.parametrize(
    "told",
    ["Row 8", "Pit depth", "-4 ft", "it is negative", "2/30/2020", "no day of the calendar"],
)
def test_a_refused_cell_is_told_with_row_column_value_and_reason(office, told):
    assert told in text_of(send_sample(office))


def test_a_column_that_was_not_understood_is_named_with_its_examples(office):
    page = text_of(send(office, "Zorp," + HEADER + "vlim," + ROW))

    assert "1 column was not understood" in page
    assert "vlim" in page


def test_the_good_rows_come_in_once_however_often_the_button_is_pressed(office):
    send_sample(office)
    sheet = Sheet.objects.get()

    first = office.post(f"/bring-in/{sheet.pk}", follow=True)
    office.post(f"/bring-in/{sheet.pk}")

    assert "24 rows are in the register" in text_of(first)
    assert "Bring in the good rows" not in text_of(first)
    assert System.objects.count() == 24
    assert Sheet.objects.count() == 1


def test_the_same_file_again_says_that_it_would_add_nothing(office):
    send(office, HEADER + ROW)
    office.post(f"/bring-in/{Sheet.objects.get().pk}")

    page = text_of(send(office, HEADER + ROW))

    assert "No row of this sheet would add anything." in page
    assert "Bring in the good rows" not in page


@pytest.fixture
def question(office):
    """The question a depth without a unit leaves open."""
    send(office, HEADER + ROW.replace("4 ft", "48"))
    office.post(f"/bring-in/{Sheet.objects.get().pk}")
    return Question.objects.get()


def test_a_question_is_answered_on_the_page(office, question):
    answer = office.post(f"/bring-in/questions/{question.pk}", {"typed": "48 in"}, follow=True)

    assert "1 row is in the register." in text_of(answer)
    assert Pit.objects.get().depth_m == pytest.approx(1.2192)  # 48 in x 0.0254


def test_an_answer_that_is_no_value_is_said_beside_the_words_that_were_typed(office, question):
    answer = office.post(f"/bring-in/questions/{question.pk}", {"typed": "rather deep"})

    assert answer.status_code == 422
    assert 'value="rather deep"' in text_of(answer)
    assert "Type the value with its unit" in text_of(answer)
    assert not Pit.objects.exists()


def test_a_question_left_out_is_closed(office, question):
    office.post(f"/bring-in/questions/{question.pk}", {"choice": "leave"})

    assert Question.objects.get().answer == "leave"


def test_rows_to_mend_are_taken_home_behind_apostrophes(office):
    send(office, HEADER + ROW + "=cmd|' /C calc'!A0,12 Oak St,,,3 ft,1/2 hp,2018\n")

    answer = office.get(f"/bring-in/{Sheet.objects.get().pk}/to-mend.csv")

    assert answer["Content-Disposition"].startswith("attachment")
    assert "'=cmd" in answer.content.decode("utf-8-sig")
    assert "what to mend" in answer.content.decode("utf-8-sig")


@pytest.mark.parametrize(
    ("name", "content", "sentence"),
    [
        ("list.pdf", b"%PDF-1.7 x", "The file is a PDF"),
        ("list.csv", b"just words, and more\n", "No row of headings was found"),
        ("list.xlsx", b"PK\x03\x04 broken", "."),
        ("list.csv", b"", "empty"),
    ],
    ids=["pdf", "no-headings", "broken", "empty"],
)
def test_a_file_that_cannot_be_read_is_refused_in_a_sentence(office, name, content, sentence):
    answer = send(office, content, name)

    assert answer.status_code == 422
    assert sentence in text_of(answer)
    assert not Sheet.objects.exists()


def test_no_file_at_all_is_said_too(office):
    answer = office.post("/bring-in", {})

    assert answer.status_code == 422


def test_a_file_beyond_ten_megabytes_is_refused(office):
    answer = send(office, b"a," * 5_300_000)

    assert answer.status_code in {413, 422}
    assert not Sheet.objects.exists()


def test_a_hostile_name_of_a_file_is_shown_as_text(office):
    page = text_of(send(office, HEADER + ROW, "<script>alert(1)</script>.csv"))

    assert "<script>alert" not in page


def test_hostile_cells_are_shown_as_text(office):
    page = text_of(send(office, HEADER + ROW.replace("290 Maple Rd", "<b>9</b> Maple Rd")))

    assert "<b>9</b>" not in page


ADDRESSES = ["/bring-in", "/bring-in/{sheet}", "/bring-in/{sheet}/to-mend.csv"]


@pytest.mark.parametrize("address", ADDRESSES)
def test_reading_a_page_writes_nothing(office, question, address):
    before = (Change.objects.count(), Sheet.objects.count(), System.objects.count())

    office.get(address.format(sheet=question.sheet_id))

    assert (Change.objects.count(), Sheet.objects.count(), System.objects.count()) == before


@pytest.mark.parametrize("address", [*ADDRESSES, "/bring-in/questions/{question}"])
def test_a_technician_may_not(client, question, address):
    client.force_login(makers.make_account("andrea", "technician"))

    answer = client.post(
        address.format(sheet=question.sheet_id, question=question.pk), {"choice": "leave"}
    )

    assert answer.status_code in {403, 405}
    assert Question.objects.get().answered_at is None


@pytest.mark.parametrize("address", ADDRESSES)
def test_a_stranger_is_sent_to_sign_in(client, question, address):
    client.logout()

    answer = client.get(address.format(sheet=question.sheet_id))

    assert (answer.status_code, answer["Location"]) == (302, "/sign-in")


@pytest.mark.parametrize(
    "address", ["/bring-in/999", "/bring-in/999/to-mend.csv", "/bring-in/99999999999999999999"]
)
def test_a_sheet_that_is_not_there_is_not_found(office, address):
    assert office.get(address).status_code == 404


def test_an_answer_needs_to_be_sent(office, question):
    assert office.get(f"/bring-in/questions/{question.pk}").status_code == 405
