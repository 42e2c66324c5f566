"""Names, telephones, e-mail and street addresses as they are typed (all invented)."""

import pytest

from drainservice.exchange.cells import CellDoubtful, CellRefused
from drainservice.exchange.judging_rows import is_slip, names_agree
from drainservice.exchange.people import read_emails, read_names, read_phones
from drainservice.exchange.people_places import address_key, read_address

NAMES = {
    "Greenlaw, Juno": ["Juno Greenlaw"],
    "Juno Greenlaw": ["Juno Greenlaw"],
    "Juno & Cosmo Greenlaw": ["Juno Greenlaw", "Cosmo Greenlaw"],
    "Greenlaw, Juno and Cosmo": ["Juno Greenlaw", "Cosmo Greenlaw"],
    "Juno Greenlaw and Cosmo Stonecrop": ["Juno Greenlaw", "Cosmo Stonecrop"],
    "Greenlaw, Juno / Stonecrop, Cosmo": ["Juno Greenlaw", "Cosmo Stonecrop"],
    "Greenlaw, Juno and Stonecrop, Cosmo": ["Juno Greenlaw", "Cosmo Stonecrop"],
    "Greenlaw, Juno Jr.": ["Juno Greenlaw Jr."],
    "Mr. & Mrs. Greenlaw": ["Mr. & Mrs. Greenlaw"],
    "Maple Court HOA": ["Maple Court HOA"],
    "Oxbow Homes, LLC": ["Oxbow Homes, LLC"],
    "Juno Greenlaw (tenant)": ["Juno Greenlaw"],
}
PHONES = {
    "(253) 555-0174 / (253) 555-0181": ["2535550174", "2535550181"],
    "253.555.0188": ["2535550188"],
    "+1 253 555 0188 x12": ["2535550188x12"],
    "1-253-555-0188 ext. 12": ["2535550188x12"],
    "2535550188/2535550199": ["2535550188", "2535550199"],
    "253/555-0188": ["2535550188"],
    "H: 253-555-0188\nC: 253-555-0189": ["2535550188", "2535550189"],
    "253-555-0188 253-555-0199": ["2535550188", "2535550199"],
    "+44 20 7946 0958": ["+442079460958"],
}


@pytest.mark.parametrize("text", NAMES)
def test_names_read_first_name_first(text):
    assert read_names(text)[0] == NAMES[text]


@pytest.mark.parametrize("text", ["=1+1", "@home", "12", "--"])
def test_what_is_no_name_is_refused(text):
    with pytest.raises(CellRefused):
        read_names(text)


@pytest.mark.parametrize("text", PHONES)
def test_phones_are_ten_digits_and_the_extension(text):
    assert read_phones(text)[0] == PHONES[text]


@pytest.mark.parametrize(
    "text", ["555-0188", "253-555-018", "ask wife", "153-555-0188", "2535550188123", "999-999-9999"]
)
def test_what_is_no_phone_is_refused(text):
    with pytest.raises(CellRefused) as told:
        read_phones(text)

    assert told.value.reason == "not_a_phone"


def test_one_bad_phone_beside_a_good_one_is_named():
    assert read_phones("253-555-0188 / 555-0199") == (["2535550188"], [], ["555-0199"])


def test_emails_lose_trailing_commas_and_display_names():
    assert read_emails("juno@example.com,")[0] == ["juno@example.com"]
    assert read_emails("Juno <Juno@Example.com>; b@example.org")[0] == [
        "juno@example.com",
        "b@example.org",
    ]


@pytest.mark.parametrize(
    "text", ["juno@example", "juno at example.com", "j@@example.com", "@example.com"]
)
def test_what_is_no_email_is_refused(text):
    with pytest.raises(CellRefused) as told:
        read_emails(text)

    assert told.value.reason == "invalid_email"


def test_one_bad_email_beside_a_good_one_is_named():
    assert read_emails("a@example.com / b@example") == (["a@example.com"], ["b@example"])


def test_addresses_stay_as_written_but_for_town_and_state():
    assert read_address("290 Maple Rd\nUnit 4") == {"site.address": "290 Maple Rd, Unit 4"}
    assert read_address("290 Maple Rd, Harbor, WA 98001")["site.city"] == "Harbor"


@pytest.mark.parametrize(
    ("text", "place"),
    [
        ("12 Oxbow Ct (rear)", "rear"),
        ("12 Oxbow Ct - back yard", "back yard"),
        ("12 Oxbow Ct, pit 2", "pit 2"),
    ],
)
def test_the_place_in_the_yard_is_split_off(text, place):
    assert read_address(text) == {"site.address": "12 Oxbow Ct", "system.place": place}


@pytest.mark.parametrize(
    "text", ["12 Oxbow Ct, Unit 4", "934 North St", "12 Oxbow Ct, S", "Lot 12, Fernhill"]
)
def test_what_is_part_of_the_street_stays(text):
    assert read_address(text) == {"site.address": text}


def test_two_whole_names_with_a_comma_are_two_people():
    assert read_names("Juno Greenlaw, Cosmo Greenlaw")[0] == ["Juno Greenlaw", "Cosmo Greenlaw"]
    assert read_names("de la Cruz, Maria Elena")[0] == ["Maria Elena de la Cruz"]


def test_two_words_before_and_behind_a_comma_are_asked_about():
    with pytest.raises(CellDoubtful):
        read_names("Oxbow Hill, Mary Ann")


@pytest.mark.parametrize("text", ["no address", "unknown", "12", "--"])
def test_words_for_nowhere_are_no_address(text):
    with pytest.raises(CellRefused) as told:
        read_address(text)

    assert told.value.reason == "no_address"


def test_a_post_box_is_no_site():
    with pytest.raises(CellDoubtful) as told:
        read_address("P.O. Box 12")

    assert told.value.reason == "no_address"


def test_two_spellings_of_an_address_have_one_key():
    assert address_key("852 Heather Avenue, North") == address_key("852  heather ave. n")


def test_people_agree_by_surname_initial_and_household():
    assert names_agree(["Juno Greenlaw"], ["Greenlaw"])
    assert names_agree(["J. Greenlaw"], ["Greenlaw Juno", "Cosmo Stonecrop"])
    assert not names_agree(["Juno Greenlaw"], ["Cosmo Greenlaw"])


def test_a_slip_is_the_same_figures_in_another_order():
    assert is_slip("852 Heather Ave", "825 Heather Avenue")
    assert not is_slip("852 Heather Ave", "854 Heather Ave")
