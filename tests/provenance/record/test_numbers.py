"""Numbers. Outside checks: ISO/IEC 7064:2003 MOD 11-2 as python-stdnum has it (written apart from
ours), and the numbers that the design of the app itself is printed with: 26-042-8, T26-014-5."""

import re
import time

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_2

from provenance.record.errors import RecordError
from provenance.record.numbers import (
    MAX_SEQUENCE,
    NotANumber,
    Number,
    check_character,
    codes_of,
    near_misses,
    parse_section,
    section_letter,
)

NUMBERS = st.builds(
    Number, st.sampled_from(["piece", "tree"]), st.integers(0, 99), st.integers(1, MAX_SEQUENCE)
)
ODD_ENTRIES = ["", " ", "\x00", "26-042-8\x00", "\ud800", "🌳" * 50, "8" * 10_000, "—", "/P/", "X"]


@pytest.fixture(scope="module")
def five_digit_codes() -> list[str]:
    """All 100,000 bodies of five digits with their check character."""
    return [body + check_character(body) for body in (f"{n:05}" for n in range(100_000))]


def test_every_check_character_is_that_of_python_stdnum(five_digit_codes):
    # Source: ISO/IEC 7064:2003, pure system MOD 11-2; python-stdnum's stdnum.iso7064.mod_11_2.
    assert [code[5] for code in five_digit_codes] == [
        mod_11_2.calc_check_digit(code[:5]) for code in five_digit_codes
    ]


def test_a_published_example_of_the_check_character():
    # Source: the worked example in the documentation of python-stdnum's mod_11_2.
    assert check_character("079") == "X"
    assert check_character("0794") == "0"


def test_every_single_wrong_character_is_caught(five_digit_codes):
    # Were one wrong character to give another valid code, the two would agree on all the others.
    for place in range(6):
        others = {code[:place] + code[place + 1 :] for code in five_digit_codes}
        assert len(others) == len(five_digit_codes)


def test_every_neighbouring_swap_is_caught(five_digit_codes):
    valid = set(five_digit_codes)
    for code in five_digit_codes:
        for i in range(5):
            swapped = code[:i] + code[i + 1] + code[i] + code[i + 2 :]
            assert swapped == code or swapped not in valid


def test_every_jump_swap_and_twin_error_is_caught(five_digit_codes):
    valid = set(five_digit_codes)
    for code in five_digit_codes:
        for i in range(4):
            jumped = code[:i] + code[i + 2] + code[i + 1] + code[i] + code[i + 3 :]
            assert jumped == code or jumped not in valid
        for i in (i for i in range(5) if code[i] == code[i + 1]):
            twins = (code[:i] + 2 * digit + code[i + 2 :] for digit in "0123456789")
            assert all(twin == code or twin not in valid for twin in twins)


@pytest.mark.parametrize("body", ["", "26O42", "-1", "26 042", "²", "٢"])
def test_a_check_character_is_only_for_digits(body):
    with pytest.raises(ValueError, match="not a body of digits"):
        check_character(body)


@pytest.mark.parametrize(
    ("number", "spoken", "code"),
    [
        # Source: the project's design, section 4.
        (Number("piece", 26, 42), "26-042-8", "260428"),
        (Number("tree", 26, 14), "T26-014-5", "T260145"),
        # By hand: 2·2⁶ + 6·2⁵ + 1·2⁴ = 336 = 30·11 + 6, and 6 more make it one above 31·11.
        (Number("piece", 26, 1000), "26-1000-6", "2610006"),
    ],
)
def test_a_number_is_written_in_two_ways(number, spoken, code):
    assert str(number) == number.spoken == spoken
    assert number.code == code
    assert Number.parse(spoken) == Number.parse(code) == Number.from_code(code) == number


@given(NUMBERS)
def test_every_number_reads_back(number):
    assert Number.from_code(number.code) == number
    assert Number.parse(number.spoken) == number
    assert Number.parse(number.spoken.lower().replace("-", " ")) == number
    assert Number.parse(number.code.replace("0", "O").replace("1", "l")) == number
    assert Number.parse(f"https://bole.example.org/p/{number.code}/") == number
    assert len(number.code) <= 10


@pytest.mark.parametrize(
    "typed",
    [
        "26-042-8",
        "260428",
        " 26 042 8 ",
        "26.042.8",
        "26·042·8",
        "#26-042-8",
        "26–042—8",  # en and em dash
        "26‑042−8",  # hyphen that doesn't break, minus
        "26-O42-8",
        "26-o42-8",
        "26\N{NO-BREAK SPACE}042\N{ZERO WIDTH SPACE}8\n",
        "\N{FULLWIDTH DIGIT TWO}6-042-8",
        "https://bole.example.org/P/260428",
        "https://p.example.org/p/p/260428?from=card#top",
        "bole.example.org/p/26-042-8/",
    ],
)
def test_a_number_is_read_however_it_is_typed(typed):
    assert Number.parse(typed) == Number("piece", 26, 42)


@pytest.mark.parametrize(
    "typed",
    ["T26-014-5", "t26O145", "T 26 0l4 5", "https://a.example.org/T/T260145", "x/t/26-014-5"],
)
def test_a_trees_number_is_read_however_it_is_typed(typed):
    assert Number.parse(typed) == Number("tree", 26, 14)


def test_a_final_x_is_read_in_either_case():
    number = Number("piece", 26, 9)
    assert number.spoken == "26-009-X"
    assert Number.parse("26009x") == number


@pytest.mark.parametrize(
    ("typed", "sentence"),
    [
        ("26-042-3", "26-042-3 is not a number of ours: check the last character."),
        ("t26o14x", "T26-014-X is not a number of ours: check the last character."),
        (
            "the big bowl",
            "“the big bowl” is not a number of ours: "
            "a piece's looks like 26-042-8, a tree's like T26-014-5.",
        ),
        (
            "",
            "This is not a number of ours: a piece's looks like 26-042-8, a tree's like T26-014-5.",
        ),
    ],
)
def test_what_is_no_number_is_refused_in_a_sentence(typed, sentence):
    with pytest.raises(NotANumber) as refused:
        Number.parse(typed)
    assert str(refused.value) == sentence
    assert isinstance(refused.value, RecordError)


@pytest.mark.parametrize("body", ["260042", "26000", "260000", "2600042", "261234567"])
def test_needless_zeros_and_sequences_out_of_range_are_no_numbers(body):
    with pytest.raises(NotANumber):
        Number.parse(body + check_character(body))


@pytest.mark.parametrize("code", ["26-042-8", "t260145", " 260428", "26O428", "", "260423"])
def test_a_stored_code_is_taken_only_as_it_is_stored(code):
    with pytest.raises(NotANumber):
        Number.from_code(code)


@pytest.mark.parametrize(("year", "sequence"), [(-1, 1), (100, 1), (26, 0), (26, MAX_SEQUENCE + 1)])
def test_a_number_that_cannot_be_is_never_made(year, sequence):
    with pytest.raises(ValueError, match="no such number"):
        Number("piece", year, sequence)


@pytest.mark.parametrize("entry", ODD_ENTRIES)
def test_odd_entries_get_a_sentence(entry):
    for read in (Number.parse, parse_section):
        with pytest.raises(NotANumber, match=r"\.$"):
            read(entry)
    near_misses(entry)


@given(st.text(st.characters()))
def test_any_entry_is_a_number_or_gets_a_sentence(entry):
    for read in (Number.parse, parse_section):
        try:
            read(entry)
        except NotANumber as refused:
            assert str(refused).encode()
    near_misses(entry)


def test_numbers_sort_by_year_and_sequence():
    numbers = [Number("piece", 26, 1000), Number("piece", 25, 1), Number("piece", 26, 999)]
    assert [n.spoken[:6] for n in sorted(numbers)] == ["25-001", "26-999", "26-100"]


def test_the_first_near_miss_is_the_number_with_its_check_character_put_right():
    assert near_misses("26-042-3")[0] == Number("piece", 26, 42)
    assert near_misses("T26-014-X")[0] == Number("tree", 26, 14)


@pytest.mark.parametrize(
    "slip",
    [
        "26-043-8",  # a wrong character
        "26-402-8",  # a swap
        "26-04-8",  # one left out
        "26-042",  # the check character left off
        "26-0422-8",  # one too many
        "T26-042-8",  # a tree's letter put before it
        "26-Z42-8",  # a letter that no number has
    ],
)
def test_a_number_is_found_from_one_slip(slip):
    assert Number("piece", 26, 42) in near_misses(slip)


@given(NUMBERS, st.data())
def test_every_single_slip_leads_back(number, data):
    code = number.code
    place = data.draw(st.integers(0, len(code) - 1))
    other = data.draw(st.sampled_from("0123456789XT"))
    for slip in (code[:place] + other + code[place + 1 :], code[:place] + code[place + 1 :]):
        if slip != code:
            assert number in near_misses(slip)
    found = near_misses(code)
    assert number not in found
    assert len(found) == len(set(found))


def test_near_misses_are_quick_and_few():
    begun = time.perf_counter()
    for _ in range(20):
        assert len(near_misses("26-042-3")) < 30
    assert time.perf_counter() - begun < 1  # it takes about 3 ms


def test_what_is_nothing_like_a_number_has_no_near_misses():
    assert near_misses("hello there") == []
    assert near_misses("26042842042842") == []


def test_sections_are_lettered_like_columns():
    letters = [section_letter(n) for n in (0, 1, 25, 26, 27, 51, 52, 701, 702)]
    assert letters == ["A", "B", "Z", "AA", "AB", "AZ", "BA", "ZZ", "AAA"]
    with pytest.raises(ValueError, match="counted from 0"):
        section_letter(-1)


@given(NUMBERS.filter(lambda n: n.kind == "tree"), st.integers(0, 701))
def test_every_section_reads_back(tree, index):
    letter = section_letter(index)
    assert parse_section(f"{tree} {letter}") == (tree, letter)
    assert parse_section(f"{tree.code.lower()} {letter.lower()}") == (tree, letter)
    if "X" not in letter:
        assert parse_section(tree.code + letter) == (tree, letter)
        assert parse_section(f"{tree}-{letter}") == (tree, letter)


@pytest.mark.parametrize("letter", ["O", "I", "L", "X"])
def test_a_sections_letter_is_never_taken_for_a_figure(letter):
    assert parse_section(f"T26-O14-5 {letter}") == (Number("tree", 26, 14), letter)


@pytest.mark.parametrize("typed", ["T26-014-5", "26-042-8 B", "B", "T26-014-5 B2", "T26-014-5 ABC"])
def test_a_section_needs_a_trees_number_and_a_letter(typed):
    with pytest.raises(
        NotANumber, match=re.escape(f"“{typed}” is not a section's number: that is")
    ):
        parse_section(typed)


@pytest.mark.parametrize("typed", ["T26-014-3 B", "T26-014-3b", "t26o143-b"])
def test_a_wrong_check_character_is_named_in_a_section_too(typed):
    with pytest.raises(NotANumber, match=r"^T26-014-3 is not a number of ours: check the last"):
        parse_section(typed)


def test_a_trees_own_final_x_is_no_sections_letter():
    tree = next(n for n in (Number("tree", 26, s) for s in range(1000, 2000)) if n.check == "X")
    with pytest.raises(NotANumber):
        parse_section(tree.spoken)
    assert parse_section(f"{tree} X") == (tree, "X")


def test_of_many_texts_the_numbers_are_taken_once_and_in_order():
    texts = ["26-042-8", "26-042-3", "", "a\0b", "T26-014-5", "260428", "9" * 5000]
    assert codes_of(texts) == ["260428", "T260145"]
